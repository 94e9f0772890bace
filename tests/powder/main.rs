//! The powder look: what it promises of its density, its dots and its colours,
//! measured on what is painted; and the pictures for the docs.

// Failing loudly is what a test is for.
#![allow(clippy::panic, clippy::expect_used, clippy::unwrap_used)]

mod density;
mod dots;
mod faces;
mod hostile;
mod painted;
mod pictures;
#[path = "../plausible.rs"]
mod plausible;

use ophryon_brow::{BrowPoints, Form, Limits, Offset, Outline, draw};
use ophryon_frames::{Front, Point, Side, TYPICAL_RADIUS_MM, Vector, Wrap};
use ophryon_powder::{Bed, Window};

/// A brow through these points, as the camera sees it on a typical head; `None`
/// where none can be drawn.
pub fn seen(points: &BrowPoints) -> Option<Outline<Front>> {
    let brow = draw(points, &Form::default(), &Limits::default()).ok()?;
    let wrap = Wrap::cylinder(TYPICAL_RADIUS_MM).unwrap();
    Some(brow.placed(Side::Left, &Offset::default()).seen(&wrap))
}

/// A band from 10 to 60 mm of the client's left, with its middle line.
pub fn band(thick_mm: f64) -> Bed {
    let p = Point::new;
    let half = 0.5 * thick_mm;
    Bed::of_rings(
        vec![vec![
            p(10.0, -half),
            p(60.0, -half),
            p(60.0, half),
            p(10.0, half),
        ]],
        vec![p(10.0, 0.0), p(22.0, 0.0), p(48.0, 0.0), p(60.0, 0.0)],
    )
}

/// Where no powder may lie.
pub fn nothing() -> Bed {
    Bed::of_rings(Vec::new(), Vec::new())
}

/// Upright pixels over a box (mm), so many to a mm.
pub fn window(low: Point<Front>, high: Point<Front>, per_mm: f64) -> Window {
    let count = |mm: f64| (mm * per_mm).ceil() as u32;
    Window::new(
        (count(high.x - low.x), count(high.y - low.y)),
        Point::new(low.x, high.y),
        Vector::new(1.0 / per_mm, 0.0),
        Vector::new(0.0, -1.0 / per_mm),
    )
    .unwrap()
}
