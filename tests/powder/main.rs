//! The powder look: what it promises of its density, its dots and its colours,
//! measured on what is painted; and the pictures for the docs.

// Failing loudly is what a test is for.
#![allow(clippy::panic, clippy::expect_used, clippy::unwrap_used)]

mod faces;
mod pictures;
