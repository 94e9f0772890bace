//! Backups: making one, and bringing clients back from one. A part of its own,
//! beside the rest of what keeps clients safe; reached by [`page`] and
//! [`back_up`] alone, see [`crate::later`].

mod bring;
mod carry;
mod changes;
mod compare;
mod make;
mod page;
mod restore;
mod sink;
mod source;

pub use page::{back_up, page};

/// Whom a backup is to hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Whom {
    /// All clients on this device.
    All,
    /// One, by her key and code.
    One(String, String),
}
