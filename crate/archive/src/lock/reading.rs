//! Unlocking, anywhere in the file, without holding more than one piece.

use std::cell::RefCell;
use std::io;

use chacha20poly1305::ChaCha20Poly1305;
use chacha20poly1305::aead::Aead;
use rawzip::ReaderAt;

use super::Passphrase;
use super::header::{Header, LONGEST, Work};
use super::payload::{NONCE, PIECE, Place, TAG, nonce};
use crate::source;

/// Why a locked file stays locked, in a sentence with the way out.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LockError {
    /// Not an age file.
    #[error("this is not locked with a passphrase; open it as it is")]
    NotLocked,
    /// A later version of the format.
    #[error("this is locked in a newer way than this Ophryon knows; update it first")]
    Newer,
    /// Locked for keys.
    #[error(
        "this is locked for somebody's key rather than with a passphrase; unlock it with the program that locked it"
    )]
    Keys,
    /// Costs more to open than is done.
    #[error(
        "opening this asks for more work than any backup of Ophryon (at most 2^{}); if it is yours, unlock it with the program that locked it",
        Work::MOST.log_n()
    )]
    TooMuchWork,
    /// Another passphrase.
    #[error(
        "this passphrase doesn't open it; check capitals and the keyboard's language, and try again"
    )]
    WrongPassphrase,
    /// The header contradicts itself.
    #[error(
        "this locked file is damaged at its beginning, so nothing in it can be read; fetch the copy it came from"
    )]
    Damaged,
    /// The file can't be read.
    #[error("it can't be read ({0}); try a copy of it")]
    Io(#[from] io::Error),
}

/// A locked file that was opened: reads like what was locked.
pub struct Unlocked<R> {
    source: R,
    cipher: ChaCha20Poly1305,
    /// Where the first piece begins.
    begin: u64,
    /// Locked bytes from there on.
    locked: u64,
    /// The last piece is proven to be the last.
    whole: bool,
    /// The piece that was read last.
    piece: RefCell<Option<(u64, Vec<u8>)>>,
}

impl<R: ReaderAt> Unlocked<R> {
    /// Opens a locked file of so many bytes. Takes about a second.
    ///
    /// # Errors
    /// [`LockError`].
    pub fn open(source: R, length: u64, passphrase: &Passphrase) -> Result<Self, LockError> {
        let first = source::first(&source, length, LONGEST)?;
        let header = Header::read(&first)?;
        let key = header.open(passphrase)?;
        let begin = header.length as u64 + NONCE as u64;
        let once = first
            .get(header.length..header.length + NONCE)
            .ok_or(LockError::Damaged)?;
        let mut unlocked = Self {
            source,
            cipher: key.payload(once),
            begin,
            locked: length.saturating_sub(begin),
            whole: false,
            piece: RefCell::new(None),
        };
        unlocked.whole = unlocked.ends_properly();
        Ok(unlocked)
    }

    /// Whether nothing is missing at its end.
    pub fn is_whole(&self) -> bool {
        self.whole
    }

    /// Plain bytes, by the file's size.
    pub fn length(&self) -> u64 {
        let pieces = self.pieces();
        self.locked.saturating_sub(pieces * TAG as u64)
    }

    fn pieces(&self) -> u64 {
        self.locked.div_ceil((PIECE + TAG) as u64)
    }

    fn ends_properly(&self) -> bool {
        let Some(last) = self.pieces().checked_sub(1) else {
            return false;
        };
        // An empty piece says nothing that a full one before it could not.
        self.unlocked(last, Place::Last)
            .is_ok_and(|plain| last == 0 || !plain.is_empty())
    }

    fn unlocked(&self, index: u64, place: Place) -> io::Result<Vec<u8>> {
        let at = index * (PIECE + TAG) as u64;
        let size = self.locked.saturating_sub(at).min((PIECE + TAG) as u64) as usize;
        let mut locked = vec![0; size];
        self.source.read_exact_at(&mut locked, self.begin + at)?;
        self.cipher
            .decrypt(&nonce(index, place), locked.as_slice())
            .map_err(|_| io::Error::new(io::ErrorKind::InvalidData, "a locked piece is damaged"))
    }
}

impl<R: ReaderAt> ReaderAt for Unlocked<R> {
    fn read_at(&self, buffer: &mut [u8], offset: u64) -> io::Result<usize> {
        let index = offset / PIECE as u64;
        if offset >= self.length() || buffer.is_empty() {
            return Ok(0);
        }
        let mut held = self.piece.borrow_mut();
        if held.as_ref().is_none_or(|(i, _)| *i != index) {
            let place = if index + 1 == self.pieces() && self.whole {
                Place::Last
            } else {
                Place::Amid
            };
            *held = Some((index, self.unlocked(index, place)?));
        }
        let Some((_, plain)) = held.as_ref() else {
            return Ok(0);
        };
        let within = (offset % PIECE as u64) as usize;
        let from = plain.get(within..).unwrap_or_default();
        let count = from.len().min(buffer.len());
        buffer[..count].copy_from_slice(&from[..count]);
        Ok(count)
    }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;
    use crate::lock::header::FileKey;
    use crate::sums::sum;

    /// A vector of C2SP's CCTV: what it expects, by key, and its file.
    fn vector(name: &str) -> (String, Vec<u8>) {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/fixtures/age/");
        let bytes = fs::read(format!("{folder}{name}")).unwrap();
        let end = bytes.windows(2).position(|w| w == b"\n\n").unwrap();
        let keys = String::from_utf8(bytes[..end + 1].to_vec()).unwrap();
        let mut file = bytes[end + 2..].to_vec();
        if keys.contains("compressed: zlib") {
            file = miniz_oxide::inflate::decompress_to_vec_zlib(&file).unwrap();
        }
        (keys, file)
    }

    fn value<'k>(keys: &'k str, key: &str) -> &'k str {
        let mut lines = keys.lines().filter_map(|l| l.split_once(": "));
        lines.find(|(k, _)| *k == key).unwrap().1
    }

    fn bytes(hex: &str) -> Vec<u8> {
        (0..hex.len())
            .step_by(2)
            .map(|i| u8::from_str_radix(&hex[i..i + 2], 16).unwrap())
            .collect()
    }

    fn names(start: &str) -> Vec<String> {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/fixtures/age");
        let all = fs::read_dir(folder).unwrap();
        let names = all.map(|f| f.unwrap().file_name().into_string().unwrap());
        names.filter(|n| n.starts_with(start)).collect()
    }

    /// All that reads before the first trouble, and whether there was any.
    fn read_all<R: ReaderAt>(unlocked: &Unlocked<R>) -> (Vec<u8>, bool) {
        let mut plain = Vec::new();
        let mut buffer = vec![0; PIECE];
        loop {
            match unlocked.read_at(&mut buffer, plain.len() as u64) {
                Ok(0) => return (plain, unlocked.is_whole()),
                Ok(n) => plain.extend_from_slice(&buffer[..n]),
                Err(_) => return (plain, false),
            }
        }
    }

    #[test]
    fn passphrases_of_the_formats_own_vectors() {
        let all = names("scrypt");
        assert_eq!(all.len(), 25);
        for name in all {
            let (keys, file) = vector(&name);
            let passphrase = Passphrase::new(value(&keys, "passphrase"));
            let length = file.len() as u64;
            match (
                value(&keys, "expect"),
                Unlocked::open(file, length, &passphrase),
            ) {
                ("success", Ok(unlocked)) => {
                    let (plain, whole) = read_all(&unlocked);
                    assert!(whole, "{name}");
                    let payload = bytes(value(&keys, "payload"));
                    assert_eq!(sum(&plain).to_vec(), payload, "{name}");
                }
                // In capitals the recipient is another one, for which there is
                // no key here.
                ("no match", Err(LockError::WrongPassphrase | LockError::Keys))
                | (
                    "header failure",
                    Err(LockError::Damaged | LockError::Keys | LockError::TooMuchWork),
                ) => {}
                (expected, found) => {
                    panic!("{name}: {expected}, but {:?}", found.err());
                }
            }
        }
    }

    /// The vectors of the payload are locked for a key, whose result they
    /// name: from there on they read like ours.
    #[test]
    fn payloads_of_the_formats_own_vectors() {
        let all = names("stream");
        assert_eq!(all.len(), 28);
        for name in all {
            let (keys, file) = vector(&name);
            let key: [u8; 16] = bytes(value(&keys, "file key")).try_into().unwrap();
            let at = file.windows(5).position(|w| w == b"\n--- ").unwrap() + 5;
            let begin = at + file[at..].iter().position(|b| *b == b'\n').unwrap() + 1;
            let expect = value(&keys, "expect");
            let Some(once) = file.get(begin..begin + NONCE) else {
                assert_eq!(expect, "header failure", "{name}");
                continue;
            };
            let mut unlocked = Unlocked {
                cipher: FileKey::new(key).payload(once),
                begin: (begin + NONCE) as u64,
                locked: (file.len() - begin - NONCE) as u64,
                whole: false,
                piece: RefCell::new(None),
                source: file,
            };
            unlocked.whole = unlocked.ends_properly();
            let (plain, whole) = read_all(&unlocked);
            let payload = bytes(value(&keys, "payload"));
            assert_eq!(whole, expect == "success", "{name}");
            if expect == "success" {
                assert_eq!(sum(&plain).to_vec(), payload, "{name}");
            }
        }
    }
}
