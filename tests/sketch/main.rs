//! Sketches: strokes as a hand draws them, curves known beforehand, another's
//! published method and hostile input, against the outline that comes of them.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod brows;
mod hand;
mod hostile;
mod known;
mod parts;
mod published;
mod schneider;
