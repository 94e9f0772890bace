//! Backups: what goes in comes out, to the byte; what is damaged is told, and
//! the rest read; what is hostile does no harm.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod clients;
mod command;
mod damage;
mod fuzz;
mod hostile;
mod locked;
mod merge;
mod mutate;
mod round_trip;
mod zip;
