//! Backups: clients and their photos in one file, locked with a passphrase or
//! not, and read back whatever became of it.
//!
//! Pure: bytes in, bytes out. Files, clocks and random bytes are handed in by
//! the shells.
//!
//! | to | use |
//! |---|---|
//! | make a backup | [`BackupWriter`] into anything that takes bytes |
//! | lock it | the same into a [`Locker`] |
//! | unlock one | [`is_locked`], [`Unlocked::open`], a [`ReaderAt`] like any other |
//! | read one | [`Backup::open`], [`Backup::client`], [`Backup::faults`] |
//! | see what a restore would change | [`Backup::preview`] against [`Present`] |
//! | restore | [`Preview::plan`]: a list of [`Write`]s to carry out |
//!
//! Layout and limits stand in docs/file-format.md. What can't be read is told
//! as a [`Fault`] each; nothing that a file holds makes reading panic, take
//! more memory than the largest photo needs, or name a place outside.

mod entry;
mod fault;
mod limits;
mod listing;
mod lock;
mod manifest;
mod names;
mod plan;
mod preview;
mod read;
mod salvage;
mod source;
mod sums;
mod write;

pub use fault::{Fault, Name};
pub use lock::{
    LOCK_RANDOM, LockError, Locker, Passphrase, SHORTEST_PASSPHRASE, Unlocked, Work, is_locked,
};
pub use manifest::{MANIFEST_SCHEMA, Made};
pub use names::is_plain as is_plain_name;
pub use plan::{Choice, Write, beside};
pub use preview::{Basis, Comparing, Present, Preview, Row, Standing, state_of};
pub use rawzip::{FileReader, ReaderAt};
pub use read::{BackedUp, Backup, OpenError, Picture};
pub use sums::{Sum, sum};
pub use write::{BackupWriter, PhotoBytes, WriteError};
