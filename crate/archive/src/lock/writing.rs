//! Locking while writing.

use std::io::{self, Write};

use chacha20poly1305::ChaCha20Poly1305;
use chacha20poly1305::aead::Aead;

use super::Passphrase;
use super::header::{self, FileKey, Work};
use super::payload::{NONCE, PIECE, Place, nonce};

/// Random bytes that a locked file needs: its key, its salt and its nonce, 16
/// each. They must come from a source fit for keys, and be used once.
pub const LOCK_RANDOM: usize = 48;

/// Locks what is written to it. Without [`Locker::finish`] the file is cut off,
/// and readers say so.
pub struct Locker<W: Write> {
    sink: W,
    cipher: ChaCha20Poly1305,
    index: u64,
    /// What was not written yet: at most one whole piece, since only what
    /// follows tells whether it is the last.
    waiting: Vec<u8>,
}

impl<W: Write> Locker<W> {
    /// Begins a locked file.
    ///
    /// # Errors
    /// What the sink says.
    pub fn new(
        mut sink: W,
        passphrase: &Passphrase,
        work: Work,
        random: &[u8; LOCK_RANDOM],
    ) -> io::Result<Self> {
        let (key, rest) = random.split_at(16);
        let (salt, once) = rest.split_at(16);
        let unusable = || io::Error::other("the passphrase can't be used");
        let key = FileKey::new(key.try_into().map_err(|_| unusable())?);
        let salt = salt.try_into().map_err(|_| unusable())?;
        let header = header::write(passphrase, &key, salt, work).ok_or_else(unusable)?;
        sink.write_all(&header)?;
        sink.write_all(once)?;
        debug_assert_eq!(once.len(), NONCE);
        Ok(Self {
            sink,
            cipher: key.payload(once),
            index: 0,
            waiting: Vec::with_capacity(PIECE),
        })
    }

    fn put(&mut self, place: Place) -> io::Result<()> {
        let locked = self
            .cipher
            .encrypt(&nonce(self.index, place), self.waiting.as_slice())
            .map_err(|_| io::Error::other("a piece can't be locked"))?;
        self.index += 1;
        self.waiting.clear();
        self.sink.write_all(&locked)
    }

    /// Writes the last piece and gives the sink back.
    ///
    /// # Errors
    /// What the sink says.
    pub fn finish(mut self) -> io::Result<W> {
        self.put(Place::Last)?;
        self.sink.flush()?;
        Ok(self.sink)
    }
}

impl<W: Write> Write for Locker<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.waiting.len() == PIECE && !bytes.is_empty() {
            self.put(Place::Amid)?;
        }
        let taken = bytes.len().min(PIECE - self.waiting.len());
        self.waiting.extend_from_slice(&bytes[..taken]);
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.sink.flush()
    }
}
