//! Thin dark strokes in a picture, told from dots and from broad places; and
//! whether a place lies inside a closed line.

use crate::plane::Plane;

pub(super) use crate::hair::inside;

/// Directions in which a stroke is looked across; a hair is then crossed
/// within a sixteenth of a turn of straight across.
const DIRECTIONS: usize = 8;
/// Longest half segment, cells.
const MOST_REACH: usize = 24;

/// How much lighter each place would be without the dark strokes that are
/// thinner than twice `reach` (in cells) and longer than that.
///
/// A closing by a segment takes away what is darker and shorter than the
/// segment along it. A stroke goes in every direction but its own, a dot in
/// all of them, a broad place in none: so the most that any of them gives,
/// less the least, is the strokes alone.
pub fn strokes(plane: &Plane, reach: f64) -> Plane {
    let reach = (reach + 0.5).clamp(1.0, MOST_REACH as f64) as i64;
    let (w, h) = (plane.width, plane.height);
    let mut most = vec![f32::NEG_INFINITY; w * h];
    let mut least = vec![f32::INFINITY; w * h];
    for d in 0..DIRECTIONS {
        let turn = std::f64::consts::PI * d as f64 / DIRECTIONS as f64;
        let (sin, cos) = libm::sincos(turn);
        let steps: Vec<(i64, i64)> = (-reach..=reach)
            .map(|t| {
                let t = t as f64;
                (libm::round(t * cos) as i64, libm::round(t * sin) as i64)
            })
            .collect();
        let lightest = along(&plane.values, (w, h), &steps, f32::max);
        let closed = along(&lightest, (w, h), &steps, f32::min);
        for (i, v) in closed.iter().enumerate() {
            most[i] = most[i].max(*v);
            least[i] = least[i].min(*v);
        }
    }
    let strokes = most.iter().zip(&least).map(|(m, l)| m - l).collect();
    plane.with(strokes)
}

/// The lightest or darkest of what lies along a segment about each place.
fn along(
    values: &[f32],
    (w, h): (usize, usize),
    steps: &[(i64, i64)],
    better: fn(f32, f32) -> f32,
) -> Vec<f32> {
    let mut made = Vec::with_capacity(values.len());
    for r in 0..h as i64 {
        for c in 0..w as i64 {
            let mut best = values[r as usize * w + c as usize];
            for (dx, dy) in steps {
                let x = (c + dx).clamp(0, w as i64 - 1) as usize;
                let y = (r + dy).clamp(0, h as i64 - 1) as usize;
                best = better(best, values[y * w + x]);
            }
            made.push(best);
        }
    }
    made
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stroke_is_told_from_a_dot_and_from_a_broad_place() {
        let (w, h) = (90, 40);
        let values = (0..w * h)
            .map(|i| match (i % w, i / w) {
                // A stroke two cells wide, a dot of two by two, a broad place.
                (20 | 21, 4..36) | (40 | 41, 20 | 21) => 0.2,
                (60..80, _) => 0.4,
                _ => 0.8,
            })
            .collect();
        let found = strokes(&Plane::grid_of(w, h, values), 4.0);
        let at = |c: usize, r: usize| found.values[r * w + c];
        assert!((at(20, 20) - 0.6).abs() < 1e-6);
        assert!(at(40, 20).abs() < 1e-6);
        for c in [50, 59, 60, 70, 79, 80] {
            assert!(at(c, 20).abs() < 1e-6, "{c}");
        }
    }
}
