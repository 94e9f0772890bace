//! Where a backup is written to: pieces that the browser holds, not this
//! program's memory.

use std::io::{self, Write};

use ophryon_archive::{LOCK_RANDOM, Locker, Passphrase, Work};
use wasm_bindgen::JsValue;
use web_sys::{Blob, BlobPropertyBag};

use crate::device::{page, said_by};

/// Handed to the browser at a time, bytes.
const PIECE: usize = 4 * 1024 * 1024;

/// Bytes on their way into a file.
#[derive(Default)]
pub struct Pieces {
    waiting: Vec<u8>,
    handed: Vec<Blob>,
}

impl Pieces {
    fn hand_over(&mut self) -> io::Result<()> {
        if self.waiting.is_empty() {
            return Ok(());
        }
        let bytes = js_sys::Uint8Array::from(self.waiting.as_slice());
        let blob = Blob::new_with_u8_array_sequence(&js_sys::Array::of1(&bytes));
        self.handed
            .push(blob.map_err(|e| io::Error::other(said_by(&e)))?);
        self.waiting.clear();
        Ok(())
    }

    /// The whole file.
    ///
    /// # Errors
    /// What the browser says, as where the device has no room.
    fn whole(mut self, media_type: &str) -> io::Result<Blob> {
        self.hand_over()?;
        let kind = BlobPropertyBag::new();
        kind.set_type(media_type);
        let pieces: js_sys::Array = self.handed.iter().map(JsValue::from).collect();
        Blob::new_with_blob_sequence_and_options(&pieces, &kind)
            .map_err(|e| io::Error::other(said_by(&e)))
    }
}

impl Write for Pieces {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.waiting.extend_from_slice(bytes);
        if self.waiting.len() >= PIECE {
            self.hand_over()?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// The same, locked or not.
pub enum Sink {
    /// Anybody who has the file can read it.
    Open(Pieces),
    /// Only who knows the passphrase.
    Locked(Box<Locker<Pieces>>),
}

impl Sink {
    /// Begins a file. With a passphrase this takes about a second.
    ///
    /// # Errors
    /// A sentence.
    pub fn new(passphrase: Option<&Passphrase>) -> Result<Self, String> {
        let Some(passphrase) = passphrase else {
            return Ok(Self::Open(Pieces::default()));
        };
        let random = random().ok_or(
            "This browser hands out no random numbers, so it can't lock anything. Nothing was written.",
        )?;
        Locker::new(Pieces::default(), passphrase, Work::USUAL, &random)
            .map(|l| Self::Locked(Box::new(l)))
            .map_err(|e| format!("The backup can't be locked ({e}). Nothing was written."))
    }

    /// The whole file.
    ///
    /// # Errors
    /// What the browser says.
    pub fn whole(self) -> io::Result<Blob> {
        match self {
            Self::Open(pieces) => pieces.whole("application/zip"),
            Self::Locked(locker) => locker.finish()?.whole("application/octet-stream"),
        }
    }
}

impl Write for Sink {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Self::Open(pieces) => pieces.write(bytes),
            Self::Locked(locker) => locker.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn random() -> Option<[u8; LOCK_RANDOM]> {
    let mut bytes = [0; LOCK_RANDOM];
    for part in bytes.chunks_mut(16) {
        part.copy_from_slice(page::random()?.get(..part.len())?);
    }
    Some(bytes)
}
