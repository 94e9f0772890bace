//! Backups, erasing, earlier versions: what keeps clients safe. A part of the
//! app that comes when it is first used; reached by its views alone, see
//! [`crate::later`].

mod age;
pub mod backup;
mod card;
mod days;
mod details;
mod erase;
mod find;
mod own;
mod pages;
pub mod progress;
mod search;
mod today;
mod unfinished;
mod versions;

pub use card::card;
pub use details::{details, in_client, wishes};
pub use find::find;
pub use today::wish_of_today;
pub use versions::{between_windows, versions};
