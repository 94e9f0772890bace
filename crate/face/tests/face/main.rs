//! A face from taps to millimetres, checked from outside: published sizes, a
//! published mean face, and a linear-algebra library.

// The exemption for tests doesn't reach the functions that tests share.
#![allow(clippy::unwrap_used)]

mod faults;
mod levelling;
mod mean_face;
mod references;
mod scale;
mod surveying;
mod symmetry;
