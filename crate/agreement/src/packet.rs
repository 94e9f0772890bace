//! What travels between two devices as one line of text: short enough for a
//! link's fragment and a QR code, and no use to anybody who changes it.
//!
//! `ask1.BODY.CHECK`: which kind and which version of it; the canonical JSON,
//! deflated (RFC 1951), in base64 for links (RFC 4648, section 5, unpadded);
//! nine bytes of SHA-256 over all before the last dot, likewise. The check
//! finds what happens on the way. Whoever changes a packet on purpose can
//! make a new check: that is for seal and one-time number to find.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use miniz_oxide::deflate::compress_to_vec;
use miniz_oxide::inflate::decompress_to_vec_with_limit;
use serde::Serialize;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};

use crate::{NoCanonicalForm, canonical};

/// Longest packet that still goes into a link shown as a QR code, characters.
/// The largest QR code holds 2953 bytes (ISO/IEC 18004, version 40-L; from
/// memory); the address before the fragment needs some of them.
pub const LONGEST_LINK: usize = 2_800;

/// Longest packet that is looked at, characters: as a file it may be longer.
pub const LONGEST_PACKET: usize = 64 * 1024;

/// Most that a packet may unfold to, bytes. Deflate can make a thousand of one.
const LARGEST_BODY: usize = 256 * 1024;

/// Bytes of the check.
const CHECK: usize = 9;

/// Of the deflater: small before quick.
const LEVEL: u8 = 10;

/// What a packet holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PacketKind {
    /// A design to look at and sign.
    Invitation,
    /// What was signed.
    Answer,
}

impl PacketKind {
    const ALL: [Self; 2] = [Self::Invitation, Self::Answer];

    const fn word(self) -> &'static str {
        match self {
            Self::Invitation => "ask",
            Self::Answer => "yes",
        }
    }

    const fn name(self) -> &'static str {
        match self {
            Self::Invitation => "an invitation to sign",
            Self::Answer => "a signed answer",
        }
    }
}

/// The version of both kinds.
const VERSION: u32 = 1;

/// Why a packet was not taken. Nothing was changed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PacketError {
    /// Nothing there.
    #[error("there is nothing in it; copy the whole link, or choose the file again")]
    Empty,
    /// More than any packet.
    #[error("this is larger than anything Ophryon sends (at most {} kB); nothing was taken from it", LONGEST_PACKET / 1024)]
    TooLarge,
    /// Something else.
    #[error("this is nothing that Ophryon sent; nothing was taken from it")]
    NotOurs,
    /// The other kind.
    #[error("this is {}, and {} is wanted here", .found.name(), .wanted.name())]
    OtherKind {
        /// What it is.
        found: PacketKind,
        /// What it should be.
        wanted: PacketKind,
    },
    /// From a later version.
    #[error("this was sent by a newer Ophryon; update this one first")]
    Newer,
    /// The check doesn't fit.
    #[error("this was cut off or changed on its way, so nothing was taken from it; send it again")]
    Damaged,
    /// Unfolds to too much.
    #[error("this unfolds to more than anything Ophryon sends, so nothing was taken from it")]
    TooMuch,
    /// The check fits, what is in it doesn't.
    #[error(
        "this was not made by Ophryon as it is, so nothing was taken from it ({what}); send it again"
    )]
    NotAsMade {
        /// What the reader stumbled over.
        what: String,
    },
    /// It can't be made.
    #[error("{0}")]
    NoCanonicalForm(#[from] NoCanonicalForm),
}

fn check(before: &str) -> String {
    let hash = Sha256::digest(before.as_bytes());
    URL_SAFE_NO_PAD.encode(hash.iter().take(CHECK).copied().collect::<Vec<_>>())
}

/// One line of text.
///
/// # Errors
/// A number that is none.
pub fn pack<T>(kind: PacketKind, value: &T) -> Result<String, PacketError>
where
    T: Serialize + DeserializeOwned + PartialEq,
{
    let body = compress_to_vec(canonical(value)?.as_bytes(), LEVEL);
    let before = format!("{}{VERSION}.{}", kind.word(), URL_SAFE_NO_PAD.encode(body));
    let check = check(&before);
    Ok(format!("{before}.{check}"))
}

/// Reads such a line, with the address before it or without.
///
/// # Errors
/// [`PacketError`], a sentence; no text takes more memory than
/// some hundred kB.
pub fn unpack<T>(kind: PacketKind, text: &str) -> Result<T, PacketError>
where
    T: Serialize + DeserializeOwned + PartialEq,
{
    let text = text.trim();
    if text.is_empty() {
        return Err(PacketError::Empty);
    }
    if text.len() > LONGEST_PACKET {
        return Err(PacketError::TooLarge);
    }
    let text = text.rsplit('#').next().unwrap_or(text);
    let (before, found_check) = text.rsplit_once('.').ok_or(PacketError::NotOurs)?;
    let (head, body) = before.split_once('.').unwrap_or((before, ""));
    head_is(kind, head)?;
    if check(before) != found_check {
        return Err(PacketError::Damaged);
    }
    let body = URL_SAFE_NO_PAD
        .decode(body)
        .map_err(|_| PacketError::Damaged)?;
    let body = decompress_to_vec_with_limit(&body, LARGEST_BODY).map_err(|why| {
        if why.status == miniz_oxide::inflate::TINFLStatus::HasMoreOutput {
            PacketError::TooMuch
        } else {
            PacketError::Damaged
        }
    })?;
    let not_as_made = |what: &str| PacketError::NotAsMade {
        what: what.chars().filter(|c| !c.is_control()).take(200).collect(),
    };
    let json = String::from_utf8(body).map_err(|_| not_as_made("it is no text"))?;
    let value: T = serde_json::from_str(&json).map_err(|why| not_as_made(&why.to_string()))?;
    // One value, one spelling: a second would be room to hide something in.
    if canonical(&value)? != json {
        return Err(not_as_made("its spelling is another"));
    }
    Ok(value)
}

fn head_is(kind: PacketKind, head: &str) -> Result<(), PacketError> {
    let word_end = head
        .find(|c: char| c.is_ascii_digit())
        .unwrap_or(head.len());
    let (word, version) = head.split_at(word_end);
    let found = PacketKind::ALL.into_iter().find(|k| k.word() == word);
    let found = found.ok_or(PacketError::NotOurs)?;
    let digits = (1..=6).contains(&version.len()) && !version.starts_with('0');
    let version: u32 = version.parse().map_err(|_| PacketError::NotOurs)?;
    if !digits || version == 0 {
        return Err(PacketError::NotOurs);
    }
    if version > VERSION {
        return Err(PacketError::Newer);
    }
    if found != kind {
        return Err(PacketError::OtherKind {
            found,
            wanted: kind,
        });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;

    #[derive(Debug, PartialEq, Serialize, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Note {
        mm: f64,
        said: String,
    }

    fn note() -> Note {
        Note {
            mm: 21.499_999_999_999_996,
            said: "Žofie".to_owned(),
        }
    }

    fn read(text: &str) -> Result<Note, PacketError> {
        unpack(PacketKind::Answer, text)
    }

    /// The same as `pack` for any JSON.
    fn packed(json: &[u8]) -> String {
        let before = format!("yes1.{}", URL_SAFE_NO_PAD.encode(compress_to_vec(json, 10)));
        let check = check(&before);
        format!("{before}.{check}")
    }

    #[test]
    fn it_comes_back_from_a_link_a_file_and_by_itself() {
        let text = pack(PacketKind::Answer, &note()).unwrap();
        assert!(text.starts_with("yes1."));
        let safe = |c: char| c.is_ascii_alphanumeric() || "-_.".contains(c);
        assert!(text.chars().all(safe), "fit for a fragment: {text}");
        for way in [
            text.clone(),
            format!("  {text}\r\n"),
            format!("https://192.168.0.7:8443/#{text}"),
        ] {
            assert_eq!(read(&way).unwrap(), note());
        }
    }

    #[test]
    fn every_other_thing_is_told_apart() {
        let good = pack(PacketKind::Answer, &note()).unwrap();
        let asked = pack(PacketKind::Invitation, &note()).unwrap();
        let bomb = packed(&vec![b' '; 50_000_000]);
        assert!(bomb.len() < LONGEST_PACKET + 4000);
        let newer = good.replacen("yes1", "yes2", 1);
        for (text, part) in [
            (" \n", "there is nothing in it"),
            (&"a".repeat(70_000), "larger than anything"),
            ("dear diary", "nothing that Ophryon sent"),
            ("yes1.abc", "cut off or changed"),
            ("yes.abc", "nothing that Ophryon sent"),
            ("yes01.abc.def", "nothing that Ophryon sent"),
            ("yes+1.abc.def", "nothing that Ophryon sent"),
            ("no1.abc.def", "nothing that Ophryon sent"),
            (
                &asked,
                "an invitation to sign, and a signed answer is wanted",
            ),
            (&newer, "newer Ophryon"),
            (&good[..good.len() - 1], "cut off or changed"),
            (&good.replacen("yes1.", "yes1..", 1), "cut off or changed"),
            (&packed(&vec![b' '; 300_000]), "unfolds to more"),
            (&packed(b"\xff\xfe"), "it is no text"),
            (&packed(b"{\"mm\":1}"), "missing field"),
            (
                &packed(b"{\"mm\":1,\"said\":\"\",\"more\":2}"),
                "unknown field",
            ),
            (
                &packed(b"{\"mm\":1.0,\"said\":\"\"}"),
                "its spelling is another",
            ),
            (
                &packed(b"{\"said\":\"\",\"mm\":1}"),
                "its spelling is another",
            ),
            (
                &packed("[".repeat(100_000).as_bytes()),
                "not made by Ophryon as it is",
            ),
        ] {
            let said = read(text).unwrap_err().to_string();
            assert!(said.contains(part), "{said}");
        }
        assert!(read(&bomb).is_err());
    }

    #[test]
    fn any_letter_that_changes_is_noticed() {
        let good = pack(PacketKind::Answer, &note()).unwrap();
        for at in 0..good.len() {
            for letter in ["A", "z", "7", "-", ".", ""] {
                let mut other = good.clone();
                other.replace_range(at..=at, letter);
                assert!(other == good || read(&other).is_err(), "{other}");
            }
        }
    }
}
