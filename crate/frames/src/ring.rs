//! Closed lines of points: their area, and fewer points for the same line.

use crate::{Frame, Point};

/// Area inside a closed line in the frame's unit squared. Positive where it
/// runs counter-clockwise with y up (clockwise on a screen, with y down).
pub fn signed_area<F: Frame>(ring: &[Point<F>]) -> f64 {
    let Some(first) = ring.first() else {
        return 0.0;
    };
    let next = ring.iter().skip(1).chain([first]);
    // From its first point, so that no digits are lost far from the corner.
    let cross = |(a, b): (&Point<F>, &Point<F>)| 0.5 * (*a - *first).cross(*b - *first);
    ring.iter().zip(next).map(cross).sum()
}

/// A closed line that stays within a tolerance of this one with fewer points;
/// empty where less than a triangle is left.
///
/// Source: Ramer (1972), Douglas and Peucker (1973); the line is parted at
/// the two points farthest from each other, as far as one pass finds them.
pub fn simplified<F: Frame>(ring: &[Point<F>], tolerance: f64) -> Vec<Point<F>> {
    let n = ring.len();
    let farthest = |from: usize| {
        let away = |i: &usize| ring[from].distance(ring[*i]);
        (0..n)
            .max_by(|a, b| away(a).total_cmp(&away(b)))
            .unwrap_or(0)
    };
    if n < 3 {
        return Vec::new();
    }
    let a = farthest(0);
    let b = farthest(a);
    let (a, b) = (a.min(b), a.max(b));
    let mut kept = vec![false; n];
    (kept[a], kept[b]) = (true, true);
    // Stretches still to look at; the second runs over the end.
    let mut stretches = vec![(a, b), (b, a + n)];
    while let Some((from, to)) = stretches.pop() {
        let (p, q) = (ring[from % n], ring[to % n]);
        let off = |i: usize| ring[i % n].distance(ring[i % n].nearest_on(p, q));
        let worst = (from + 1..to).max_by(|i, j| off(*i).total_cmp(&off(*j)));
        if let Some(i) = worst.filter(|i| off(*i) > tolerance) {
            kept[i % n] = true;
            stretches.push((from, i));
            stretches.push((i, to));
        }
    }
    let line: Vec<_> = ring
        .iter()
        .zip(&kept)
        .filter(|(_, k)| **k)
        .map(|(p, _)| *p)
        .collect();
    if line.len() < 3 { Vec::new() } else { line }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Lateral;

    #[test]
    fn a_circle_needs_few_points_and_keeps_its_area() {
        let circle: Vec<Point<Lateral>> = (0..720)
            .map(|i| {
                let (sin, cos) = libm::sincos((f64::from(i) * 0.5).to_radians());
                Point::new(10.0 * cos, 10.0 * sin)
            })
            .collect();
        let area = std::f64::consts::PI * 100.0;
        assert!((signed_area(&circle) / area - 1.0).abs() < 1e-4);
        let few = simplified(&circle, 0.05);
        // A chord 0.05 mm off a circle of 10 mm spans 2 acos(0.995) of it.
        assert!((31..=64).contains(&few.len()), "{}", few.len());
        assert!((signed_area(&few) / area - 1.0).abs() < 0.01);
        assert_eq!(simplified(&circle[..2], 0.05), []);
        assert_eq!(simplified(&[circle[0]; 9], 0.05), []);
        assert_eq!(signed_area::<Lateral>(&[]), 0.0);
    }
}
