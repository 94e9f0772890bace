//! The engine against what stands outside this project: published standards,
//! constructions and sizes, closed forms of geometry, an open mean face, and
//! general-purpose libraries that know nothing of brows.
//!
//! Each check names its source beside it. "Common practice, no source" marks a
//! rule of the trade, "from memory" a value whose source was not read.

// The exemption for tests doesn't reach the functions that tests share.
#![allow(clippy::unwrap_used, clippy::panic)]

mod curves;
mod fixtures;
mod mapping;
mod mean_face;
mod outline;
mod scale;
mod symmetry;
mod units;
