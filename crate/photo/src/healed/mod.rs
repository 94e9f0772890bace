//! Powder in healed skin: how much darker than the skin round it each place
//! of a brow is, and what of an agreed outline is still filled.
//!
//! 1. Hairs are thin and dark strokes: a closing of the picture (Serra, Image
//!    Analysis and Mathematical Morphology, 1982) takes away what is thinner
//!    than twice its radius and leaves the powder between them ([`strength`]).
//! 2. The skin's colour is a smooth field fitted outside of the brow, as for
//!    hair; powder differs from it in a direction that this photo itself
//!    tells.
//! 3. On a grid over the skin, laid by whoever knows how the outline lies in
//!    the photo, a place counts as filled where the powder is at least half as
//!    strong as it mostly is nearby ([`filled`]).
//! 4. What is not filled inside the outline is told apart in patches, and
//!    drawn as closed lines ([`touch_up`]).
//!
//! Where hairs stand so close that no skin shows between them, nobody can
//! tell powder from hair in a photo. Such places count as filled, and how much
//! of the brow they are is told.

mod band;
mod filled;
mod shape;
mod strength;
mod touch_up;
mod usual;

pub use band::{Band, BandPlace};
pub use filled::{Columns, FIFTHS, Filled, Measured};
pub use strength::{Pigment, PigmentSearch};
pub use touch_up::{Patch, TouchUp};

use crate::Pixels;

/// Why powder can't be measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NoPigment {
    /// The pixels hold nothing of the brow.
    #[error(
        "the photo doesn't show the whole of this brow; take it again with both brows well inside"
    )]
    OutOfPhoto,
    /// Hardly any skin round it.
    #[error(
        "too little skin is seen round this brow to know its colour; take the photo again with hair and hands away from the brows"
    )]
    NoSkin,
    /// Skin and brow look alike.
    #[error(
        "the brow is not distinguishable from the skin round it in this photo, so nothing is measured; take one in even, brighter light"
    )]
    NotTold,
    /// The photo has too few px to a millimetre.
    #[error(
        "the photo is too coarse to measure a brow in; take it from nearer or with more pixels"
    )]
    Coarse,
}

/// Measures one brow: `band` is the agreed outline on a grid over the skin,
/// with where each of its cells is seen in the photo.
///
/// # Errors
/// [`NoPigment`].
pub fn measure_healed(
    pixels: &Pixels<'_>,
    search: &PigmentSearch,
    band: &Band,
) -> Result<Measured, NoPigment> {
    let pigment = Pigment::find(pixels, search)?;
    Measured::of(&pigment, band)
}
