//! Two photos of one face: alignment, heights, verdict and plan, against
//! published methods, worked examples, and heads whose truth is known.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod alignment;
mod demo;
mod invariance;
mod plan;
mod rates;
mod simulated;
