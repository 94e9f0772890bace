//! The whole engine over some hundreds of invented faces, as a flat list of
//! labelled figures, to compare one machine's arithmetic with another's.
//!
//! The brow agreed on in the browser must be the brow that the command line
//! prints, so both must come to the same numbers. [`native`] holds what the
//! building machine found (see build.rs), [`run::all`] finds them where it
//! runs.

pub mod agreement;
pub mod compare;
pub mod faces;
pub mod figures;
pub mod lot;
pub mod run;
pub mod wishes;

/// What the machine that built this crate found, as written by
/// [`figures::Figures::to_bytes`].
pub const fn native() -> &'static [u8] {
    include_bytes!(concat!(env!("OUT_DIR"), "/native.figures"))
}
