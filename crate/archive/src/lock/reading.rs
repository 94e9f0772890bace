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
