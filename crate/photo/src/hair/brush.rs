//! A round brush that adds hair to a border or takes it away.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use ophryon_frames::{Photo, Point, signed_area, simplified};

/// Smallest and largest brush, mm.
pub const BRUSH_MM: std::ops::RangeInclusive<f64> = 0.3..=20.0;
/// Most places of one stroke that count; a hand gives some 60 a second.
const MOST_PLACES: usize = 2000;
/// Most points that a border can have in a client's file.
const MOST_BORDER: usize = 2000;
/// The border keeps this near to what was brushed, mm.
const BORDER_MM: f64 = 0.05;
/// Crumbs and holes that the brush leaves below this are taken along, mm²:
/// less than the tip of a pencil.
const CRUMB_MM2: f64 = 0.15;

/// What a stroke does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Brush {
    /// Hair grows here too.
    Add,
    /// No hair here.
    Remove,
}

/// Why a stroke changed nothing.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum BrushError {
    /// No place of it is a number.
    #[error("the stroke has no place on the photo, so the hair stays as it was")]
    NoStroke,
    /// A brush out of [`BRUSH_MM`], or no scale.
    #[error("a brush of {mm} mm can't be used; choose 0.3 to 20 mm")]
    Size {
        /// As asked for.
        mm: f64,
    },
    /// The border would become too long for a client's file.
    #[error("the border would have more than 2000 points; use a broader brush")]
    TooRagged,
}

/// A border after one stroke of a round brush `brush_mm` across, px of the
/// photo. Lines that wind like the first bound hair, others bare patches in
/// it; the largest comes first. Taking all away leaves none.
///
/// # Errors
/// [`BrushError`]; the border stays as it was.
pub fn brushed(
    border: &[Vec<Point<Photo>>],
    stroke: &[Point<Photo>],
    brush: Brush,
    brush_mm: f64,
    px_per_mm: f64,
) -> Result<Vec<Vec<Point<Photo>>>, BrushError> {
    let radius = 0.5 * brush_mm * px_per_mm;
    if !BRUSH_MM.contains(&brush_mm) || !(1e-3..1e4).contains(&radius) {
        return Err(BrushError::Size { mm: brush_mm });
    }
    let sound = |p: &&Point<Photo>| p.x.abs() < 1e6 && p.y.abs() < 1e6;
    let places: Vec<Point<Photo>> = stroke.iter().filter(sound).copied().collect();
    let swept = swept(&places, radius, BORDER_MM * px_per_mm).ok_or(BrushError::NoStroke)?;
    let rule = match brush {
        Brush::Add => OverlayRule::Union,
        Brush::Remove => OverlayRule::Difference,
    };
    let pairs = |ring: &Vec<Point<Photo>>| ring.iter().map(|p| [p.x, p.y]).collect::<Vec<_>>();
    let before: Vec<Vec<[f64; 2]>> = border.iter().map(pairs).collect();
    let shapes = before.overlay(&swept, rule, FillRule::NonZero);
    let crumb = CRUMB_MM2 * px_per_mm * px_per_mm;
    let mut rings: Vec<Vec<Point<Photo>>> = shapes
        .into_iter()
        .flatten()
        .map(|ring| {
            ring.into_iter()
                .map(|[x, y]| Point::new(x, y))
                .collect::<Vec<_>>()
        })
        .map(|ring| simplified(&ring, BORDER_MM * px_per_mm))
        .filter(|ring| signed_area(ring).abs() >= crumb)
        .collect();
    rings.sort_by(|a, b| signed_area(b).abs().total_cmp(&signed_area(a).abs()));
    if rings.iter().map(Vec::len).sum::<usize>() > MOST_BORDER {
        return Err(BrushError::TooRagged);
    }
    Ok(rings)
}

/// What a disc covers on its way, as overlapping rings that all wind alike.
fn swept(places: &[Point<Photo>], radius: f64, near: f64) -> Option<Vec<Vec<[f64; 2]>>> {
    let first = *places.first()?;
    // Places nearer than the tolerance say nothing new.
    let mut walked = vec![first];
    for p in places {
        if walked.last().is_some_and(|last| last.distance(*p) >= near) {
            walked.push(*p);
        }
    }
    let step = walked.len() / MOST_PLACES + 1;
    let walked: Vec<Point<Photo>> = walked
        .iter()
        .step_by(step)
        .chain(places.last())
        .copied()
        .collect();
    // Corners of the disc: its sides stay within the tolerance.
    let corners = (std::f64::consts::PI / libm::acos(1.0 - (near / radius).min(0.5))).ceil();
    let corners = corners.clamp(12.0, 96.0);
    let round: Vec<[f64; 2]> = (0..corners as u32)
        .map(|i| {
            let (sin, cos) = libm::sincos(f64::from(i) / corners * std::f64::consts::TAU);
            [radius * cos, radius * sin]
        })
        .collect();
    let disc = |p: Point<Photo>| round.iter().map(|[x, y]| [p.x + x, p.y + y]).collect();
    let mut rings: Vec<Vec<[f64; 2]>> = walked.iter().map(|p| disc(*p)).collect();
    for pair in walked.windows(2) {
        let [a, b] = [pair[0], pair[1]];
        if let Some(along) = (b - a).unit() {
            let (x, y) = (-along.y * radius, along.x * radius);
            // Winds as the discs do.
            rings.push(vec![
                [a.x - x, a.y - y],
                [b.x - x, b.y - y],
                [b.x + x, b.y + y],
                [a.x + x, a.y + y],
            ]);
        }
    }
    Some(rings)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const K: f64 = 10.0;

    fn area_mm2(border: &[Vec<Point<Photo>>]) -> f64 {
        border.iter().map(|r| signed_area(r)).sum::<f64>().abs() / (K * K)
    }

    fn line(x0: f64, x1: f64, y: f64) -> Vec<Point<Photo>> {
        (0..=40)
            .map(|i| Point::new(x0 + (x1 - x0) * f64::from(i) / 40.0, y))
            .collect()
    }

    /// A straight stroke covers a stadium.
    #[test]
    fn a_stroke_covers_what_a_disc_does_on_its_way() {
        let made = brushed(&[], &line(100.0, 300.0, 50.0), Brush::Add, 4.0, K).unwrap();
        let stadium = 20.0 * 4.0 + std::f64::consts::PI * 4.0;
        assert_eq!(made.len(), 1);
        assert!(
            (area_mm2(&made) / stadium - 1.0).abs() < 0.01,
            "{}",
            area_mm2(&made)
        );
        // The other way round with a narrower brush leaves a bare patch.
        let bare = brushed(&made, &line(150.0, 250.0, 50.0), Brush::Remove, 2.0, K).unwrap();
        let less = 10.0 * 2.0 + std::f64::consts::PI;
        assert_eq!(bare.len(), 2);
        assert!((area_mm2(&bare) / (stadium - less) - 1.0).abs() < 0.01);
        // Across, it parts the hair.
        let across: Vec<_> = [0.0, 100.0].map(|y| Point::new(200.0, y)).to_vec();
        let parted = brushed(&made, &across, Brush::Remove, 2.0, K).unwrap();
        assert_eq!(parted.len(), 2);
        assert!(signed_area(&parted[0]) * signed_area(&parted[1]) > 0.0);
        let none = brushed(&parted, &line(90.0, 310.0, 50.0), Brush::Remove, 8.0, K).unwrap();
        assert_eq!(none, Vec::<Vec<Point<Photo>>>::new());
    }

    #[test]
    fn a_tap_is_a_disc_and_no_tap_is_said() {
        let tap = [Point::new(5.0, 5.0)];
        let made = brushed(&[], &tap, Brush::Add, 2.0, K).unwrap();
        assert!((area_mm2(&made) / std::f64::consts::PI - 1.0).abs() < 0.05);
        let nowhere = [Point::new(f64::NAN, 5.0)];
        let none = brushed(&made, &nowhere, Brush::Add, 2.0, K);
        assert_eq!(none, Err(BrushError::NoStroke));
        for mm in [0.0, -1.0, f64::NAN, f64::INFINITY, 50.0] {
            let refused = brushed(&made, &tap, Brush::Add, mm, K);
            assert!(matches!(refused, Err(BrushError::Size { .. })), "{mm}");
        }
        for scale in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(brushed(&made, &tap, Brush::Add, 2.0, scale).is_err());
        }
    }

    proptest! {
        /// Any scribble over any scribble: adding never takes, removing never
        /// adds, and the same stroke again changes next to nothing.
        #[test]
        fn adding_never_takes_and_removing_never_adds(
            one in prop::collection::vec((0.0..400.0f64, 0.0..150.0f64), 1..30),
            other in prop::collection::vec((0.0..400.0f64, 0.0..150.0f64), 1..30),
            mm in 0.5..8.0f64,
        ) {
            let points = |p: &Vec<(f64, f64)>| p.iter().map(|(x, y)| Point::new(*x, *y)).collect::<Vec<_>>();
            let start = brushed(&[], &points(&one), Brush::Add, mm, K).unwrap();
            let more = brushed(&start, &points(&other), Brush::Add, mm, K).unwrap();
            let less = brushed(&start, &points(&other), Brush::Remove, mm, K).unwrap();
            let (start_mm2, rim) = (area_mm2(&start), 0.1 * 400.0);
            prop_assert!(area_mm2(&more) > start_mm2 - rim && area_mm2(&less) < start_mm2 + rim);
            let again = brushed(&more, &points(&other), Brush::Add, mm, K).unwrap();
            prop_assert!((area_mm2(&again) - area_mm2(&more)).abs() < rim);
        }
    }
}
