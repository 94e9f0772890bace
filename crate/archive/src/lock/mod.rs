//! A passphrase before a backup: the age format, version 1, with its scrypt
//! recipient.
//!
//! Source: <https://age-encryption.org/v1> (C2SP/age.md). Any program that
//! reads age files opens such a backup with the passphrase. The ciphers are
//! kept crates; what stands here is how the format puts them together, held
//! against the format's published test vectors and its reference program.

mod header;
mod passphrase;
mod payload;
mod reading;
mod writing;

pub use header::Work;
pub use passphrase::{Passphrase, SHORTEST_PASSPHRASE};
pub use reading::{LockError, Unlocked};
pub use writing::{LOCK_RANDOM, Locker};

/// The first line of an age file.
const VERSION_LINE: &[u8] = b"age-encryption.org/v1\n";

/// Whether bytes begin like a locked backup.
pub fn is_locked(first: &[u8]) -> bool {
    first.starts_with(b"age-encryption.org/")
}
