//! What a restore will write, as values that a shell carries out.

use ophryon_record::Record;

use crate::preview::{Basis, Preview, Row, Standing};

/// What shall become of one client of the backup.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    /// The backup's: new, or in place of the one that is here.
    Take,
    /// The one that is here.
    KeepHere,
    /// The one that is here, with the pictures that only the backup has.
    KeepHereAddPhotos,
    /// Both: the backup's comes beside the one that is here.
    KeepBoth,
}

/// One thing to write. Clients are counted as in the backup, those present as
/// they were handed to the preview.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Write {
    /// A client that is not here.
    New {
        /// Of the backup.
        client: usize,
    },
    /// The backup's record and pictures in place of hers. Pictures that only
    /// the device has stay with their ids.
    Replace {
        /// Of the backup.
        client: usize,
        /// Of those here.
        present: usize,
    },
    /// Only pictures that are missing here, of those photos that her record
    /// has.
    AddPhotos {
        /// Of the backup.
        client: usize,
        /// Of those here.
        present: usize,
    },
    /// A second client beside her; see [`beside`].
    Beside {
        /// Of the backup.
        client: usize,
        /// Of those here.
        present: usize,
    },
}

impl Row {
    /// What is done unless the artist chooses otherwise: whatever loses
    /// nothing.
    pub fn usual(&self) -> Choice {
        match self.standing {
            Standing::New | Standing::NewerThere(Basis::Known) => Choice::Take,
            Standing::Same => Choice::KeepHere,
            Standing::PhotosOnlyThere | Standing::NewerHere(_) => Choice::KeepHereAddPhotos,
            Standing::NewerThere(Basis::Dates) | Standing::BothChanged => Choice::KeepBoth,
        }
    }

    /// Whether there is anything to choose.
    pub fn is_open(&self) -> bool {
        !matches!(self.standing, Standing::New | Standing::Same)
    }

    fn write(&self, choice: Choice) -> Option<Write> {
        let client = self.client;
        let Some(present) = self.present else {
            let wanted = !matches!(choice, Choice::KeepHere | Choice::KeepHereAddPhotos);
            return wanted.then_some(Write::New { client });
        };
        match (choice, self.standing) {
            (_, Standing::Same) | (Choice::KeepHere, _) => None,
            (Choice::KeepHereAddPhotos, _) | (_, Standing::PhotosOnlyThere) => {
                let some = !self.photos_there.is_empty();
                some.then_some(Write::AddPhotos { client, present })
            }
            (Choice::Take, _) => Some(Write::Replace { client, present }),
            (Choice::KeepBoth, _) => Some(Write::Beside { client, present }),
        }
    }
}

impl Preview {
    /// What to write when each row is treated as `choose` says.
    pub fn plan(&self, choose: impl Fn(&Row) -> Choice) -> Vec<Write> {
        let rows = self.rows.iter();
        rows.filter_map(|row| row.write(choose(row))).collect()
    }
}

/// Longest code, characters, as in a client's file.
const LONGEST_CODE: usize = 100;
/// What marks a client that was kept beside another.
const MARK: &str = " (backup)";

/// The record of a client that comes beside the one that is here: with an
/// identity of its own, from random bytes, and a code that tells them apart.
pub fn beside(record: &Record, random: [u8; 16]) -> Record {
    let mut record = record.clone();
    record.id = None;
    record.identify(random);
    let code = &record.client.code;
    if !code.ends_with(MARK) {
        let kept = LONGEST_CODE - MARK.len();
        let short: String = code.chars().take(kept).collect();
        record.client.code = format!("{short}{MARK}");
    }
    record
}
