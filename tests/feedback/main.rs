//! What a client says and how it is answered, and styles on faces: over
//! plausible faces, read by an independent sampler, and by hand.

// Failing loudly is what a test is for.
#![allow(clippy::panic, clippy::expect_used)]

mod by_hand;
mod phrases;
#[path = "../plausible.rs"]
mod plausible;
mod ruler;
#[path = "../shape/sampler.rs"]
#[allow(dead_code)]
mod sampler;
mod styles;
