//! A client's yes, sealed: against published vectors, against changes of every
//! kind, on the way to another device and back.

#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod breaking;
mod demo;
mod fixed;
mod leaves;
#[allow(dead_code, reason = "more kinds of lots than are drawn here")]
#[path = "../parity/src/lot.rs"]
mod lot;
mod mutated;
mod numbers;
mod travel;
