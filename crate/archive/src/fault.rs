//! What can't be read of a backup, or shouldn't be: one sentence each.

use std::fmt;

use ophryon_record::ReadError;

/// Something in a backup that isn't as it should be. What is named here was
/// left out unless its sentence says otherwise; all the rest was read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Fault {
    /// The locked file isn't whole.
    #[error("the locked file is cut off or damaged at its end; what comes before can be read")]
    LockCutOff,
    /// No list at the end.
    #[error(
        "the list at the backup's end is missing or damaged, as when a copy was cut off; its files were looked for one by one"
    )]
    NoDirectory,
    /// A stretch that the source doesn't give.
    #[error("the bytes from {from} to {to} can't be read; what lies in them is lost in this copy")]
    Unreadable {
        /// First byte.
        from: u64,
        /// Byte after the last.
        to: u64,
    },
    /// More entries than are looked at.
    #[error(
        "this holds more files than any backup; those after the first {most} were not looked at"
    )]
    TooMany {
        /// How many were.
        most: usize,
    },
    /// A name that leads elsewhere.
    #[error("{name} would lie outside of the backup; it was left out")]
    Outside {
        /// As it stands there.
        name: Name,
    },
    /// Not what a backup consists of.
    #[error("{name} is no part of a backup; it was left out")]
    Foreign {
        /// As it stands there.
        name: Name,
    },
    /// Two entries of one name.
    #[error("{name} is there twice; the first was taken")]
    Twice {
        /// As it stands there.
        name: Name,
    },
    /// A link instead of a file.
    #[error("{name} is a link to another place and no file; it was left out")]
    Link {
        /// As it stands there.
        name: Name,
    },
    /// Locked inside the zip.
    #[error(
        "{name} is locked in a way that Ophryon doesn't use; unpack it with the program that made it"
    )]
    Locked {
        /// As it stands there.
        name: Name,
    },
    /// Packed by a method that is not read.
    #[error(
        "{name} is packed in a way that Ophryon doesn't use; unpack it with the program that made it"
    )]
    Method {
        /// As it stands there.
        name: Name,
    },
    /// Larger than any.
    #[error("{name} is larger than any file of its kind ({megabytes} MB); it was left out")]
    TooLarge {
        /// As it stands there.
        name: Name,
        /// At least so many.
        megabytes: u64,
    },
    /// Unpacks to much more than it is.
    #[error("{name} would unpack to far more than any client's file of its size; it was left out")]
    Swells {
        /// As it stands there.
        name: Name,
    },
    /// Shares its bytes with another entry.
    #[error("{name} lies on top of another file of the backup; it was left out")]
    Overlaps {
        /// As it stands there.
        name: Name,
    },
    /// Its end is missing, or it ends elsewhere than stated.
    #[error("{name} is cut off; it was left out")]
    CutOff {
        /// As it stands there.
        name: Name,
    },
    /// It doesn't hold what its checksum says.
    #[error("{name} is damaged; it was left out")]
    Damaged {
        /// As it stands there.
        name: Name,
    },
    /// Whole by itself, but other than the manifest says.
    #[error(
        "{name} is not what it was when the backup was made; it was read, so look at it before you trust it"
    )]
    Changed {
        /// As it stands there.
        name: Name,
    },
    /// The manifest names it and it isn't there.
    #[error("{name} is missing")]
    Missing {
        /// As the manifest has it.
        name: Name,
    },
    /// No manifest.
    #[error(
        "the backup's own description (manifest.json) is missing, so nobody can tell whether anything else is"
    )]
    NoManifest,
    /// A manifest that can't be read.
    #[error(
        "the backup's own description (manifest.json) can't be read ({what}), so nobody can tell whether anything is missing"
    )]
    BadManifest {
        /// What is wrong with it.
        what: String,
    },
    /// A client's file that is none.
    #[error("{name}: {why}")]
    Client {
        /// Its entry.
        name: Name,
        /// Why it can't be read.
        why: ReadError,
    },
    /// A client without a file.
    #[error("{name} holds photos and no client's file; they were left out")]
    NoClient {
        /// Its folder.
        name: Name,
    },
    /// A photo that the client's file names.
    #[error("client {code}: the photo “{photo}” is not in the backup; all else of her is")]
    NoPhoto {
        /// The client's code.
        code: Name,
        /// The photo's id.
        photo: Name,
    },
    /// Faults beyond those listed.
    #[error("{count} more are not listed")]
    More {
        /// How many.
        count: usize,
    },
}

impl Fault {
    /// Whether any file that has nothing to do with backups has it as well.
    pub(crate) const fn is_of_any_file(&self) -> bool {
        matches!(
            self,
            Self::NoDirectory | Self::NoManifest | Self::Foreign { .. }
        )
    }
}

/// Longest name that is shown whole, characters.
const SHOWN: usize = 80;

/// Text from a file, fit for one line of a message: no control characters,
/// none that turn the direction of what follows, not too long.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Name(String);

impl Name {
    /// From any text.
    pub fn new(text: &str) -> Self {
        let turns = |c: char| matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
        let fit = |c: char| {
            if c.is_control() || turns(c) {
                '\u{fffd}'
            } else {
                c
            }
        };
        let mut short: String = text.chars().take(SHOWN).map(fit).collect();
        if text.chars().nth(SHOWN).is_some() {
            short.push('…');
        }
        Self(short)
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl fmt::Debug for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&self.0, f)
    }
}

/// Faults listed of one backup; more are counted.
const LISTED: usize = 1_000;

/// A list of faults that a hostile file can't make long.
#[derive(Debug, Clone, Default)]
pub(crate) struct Faults {
    listed: Vec<Fault>,
    more: usize,
}

impl Faults {
    pub(crate) fn add(&mut self, fault: Fault) {
        if self.listed.len() < LISTED {
            self.listed.push(fault);
        } else {
            self.more += 1;
        }
    }

    pub(crate) fn all(&self) -> Vec<Fault> {
        let mut all = self.listed.clone();
        if self.more > 0 {
            all.push(Fault::More { count: self.more });
        }
        all
    }
}
