//! Drawn outlines held against what they promise, read by an independent
//! sampler; their fairness against another library's fit; circles given and
//! found again; and how steadily they move.

// Failing loudly is what a test is for.
#![allow(clippy::panic, clippy::expect_used, clippy::unwrap_used)]

mod circle;
mod fairness;
mod kept;
mod lot;
#[path = "../plausible.rs"]
mod plausible;
mod promises;
mod sampler;
mod steady;
