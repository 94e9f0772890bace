//! Backups, erasing, earlier versions: what keeps clients safe. A part of the
//! app that comes when it is first used; reached by its views alone, see
//! [`crate::later`].

mod age;
mod backup;
mod bring;
mod card;
mod carry;
mod changes;
mod compare;
mod details;
mod erase;
mod find;
mod keeping;
mod own;
mod pages;
mod progress;
mod restore;
mod search;
mod sink;
mod source;
mod versions;

pub use card::card;
pub use details::{details, in_client, wishes};
pub use find::find;
pub use keeping::keeping;
pub use versions::{between_windows, versions};
