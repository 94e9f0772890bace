//! The drawn outline: a thin light line as of a soft pencil, with a breath of
//! shade beside it so that it shows on the fairest skin as well.

use crate::manner::eased;

/// Half the breadth of the light core, mm.
const CORE_MM: f64 = 0.13;

/// And in px at least.
const CORE_PX: f64 = 0.6;

/// How light it is, 0 to 1.
const CORE: f64 = 0.72;

/// White with a little warmth.
const LIGHT: [f64; 3] = [252.0, 246.0, 238.0];

/// The shade beside it reaches so far from the outline, mm.
const HALO_MM: f64 = 1.3;

/// How much of the light it takes.
const HALO: f64 = 0.21;

/// Farther from the outline than this nothing is drawn, mm.
pub(crate) const BESIDE_MM: f64 = 1.3;

/// Draws the line's part of one pixel at that distance from the outline.
pub(crate) fn draw(px: &mut [u8], depth_mm: f64, px_mm: f64) {
    let off = depth_mm.abs();
    let core = CORE_MM.max(CORE_PX * px_mm);
    let halo = HALO_MM.max(2.0 * core);
    let shade = 1.0 - HALO * eased((halo - off) / halo);
    // The rim of the core fades over a px.
    let light = CORE * eased((core + px_mm - off) / (px_mm + core));
    for (value, white) in px.iter_mut().zip(LIGHT) {
        let shaded = f64::from(*value) * shade;
        *value = (shaded + (white - shaded) * light + 0.5) as u8;
    }
}
