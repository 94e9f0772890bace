//! A soft front: both corners of the front edge rounded, with continuous
//! curvature.
//!
//! A corner between two straight lines is replaced by two mirrored cubics.
//! Each begins on its line without curvature and ends on the corner's
//! bisector, square to it, where both have the same curvature: the tightest,
//! because it only grows on the way. With the leg L (from the corner to where
//! a rounding begins) and the half turn φ, that is a radius of
//! L (1-f)² cos²φ / (2/3 (1-a) f sin φ), where f and a say how far the
//! handles reach (see [`Handles`]).

use ophryon_frames::{Lateral, Point, Vector};

/// Largest share of the front edge that one rounding takes: a little of it
/// stays straight, so that the start lies on it.
const LONGEST_SHARE: f64 = 0.48;

/// Largest share of an edge's straight beginning that a rounding takes: what
/// is left is long enough to have a direction.
const MOST_OF_STRAIGHT: f64 = 0.9;

/// Shortest leg, mm: a corner that hardly turns still has a place.
const SHORTEST_MM: f64 = 0.01;

/// The rounding of one corner.
pub(crate) struct Rounding {
    /// First and second half, from the line the outline comes in on.
    pub halves: [[Point<Lateral>; 4]; 2],
}

impl Rounding {
    /// Where it leaves the line it comes in on.
    pub fn begin(&self) -> Point<Lateral> {
        self.halves[0][0]
    }

    /// Where it meets the line it goes out on.
    pub fn end(&self) -> Point<Lateral> {
        self.halves[1][3]
    }
}

/// How far the handles reach, by the half turn φ (radians): `f` is where the
/// tangent in the middle meets the line, as a share of the leg; `a` where the
/// first handle ends, as a share of that. A fit, ours, to the pairs whose
/// curvature grows steadily and changes least (searched at 20 to 70 degrees).
struct Handles {
    f: f64,
    a: f64,
}

impl Handles {
    fn of(half_turn: f64) -> Self {
        let square = half_turn.min(1.25) * half_turn.min(1.25);
        Self {
            f: 0.64 - 0.125 * square,
            a: 0.49 - square * (0.11 + 0.08 * square),
        }
    }
}

/// Tightest radius over leg.
fn radius_over_leg(half_turn: f64) -> f64 {
    let Handles { f, a } = Handles::of(half_turn);
    let (sin, cos) = libm::sincos(half_turn);
    let left = (1.0 - f) * cos;
    1.5 * left * left / ((1.0 - a) * f * sin)
}

/// Half of what a line turns by, from one direction to another, radians.
fn half_turn(from: Vector<Lateral>, to: Vector<Lateral>) -> f64 {
    0.5 * libm::atan2(from.cross(to), from.dot(to)).abs()
}

/// Length of the leg that a radius asks for, on a front edge so long.
fn leg_mm(half_turn: f64, radius_mm: f64, front_mm: f64) -> f64 {
    (radius_mm / radius_over_leg(half_turn)).min(LONGEST_SHARE * front_mm)
}

/// Length of straight edge that either corner may need: the upper one turns most where the
/// top line is level, the lower one where the lower line is steepest, here by
/// no more than half again its chord and a little.
pub(crate) fn straight_for_mm(
    top: Point<Lateral>,
    bottom: Point<Lateral>,
    lower_chord: f64,
    radius_mm: f64,
) -> f64 {
    let front = top - bottom;
    let steepest = Vector::new(-1.0, -(1.5 * lower_chord + 0.1));
    let turns = [
        half_turn(front, Vector::new(1.0, 0.0)),
        half_turn(steepest, front),
    ];
    turns
        .into_iter()
        .map(|turn| leg_mm(turn, radius_mm, front.length()))
        .fold(0.0, f64::max)
        / MOST_OF_STRAIGHT
}

/// Rounds a corner between two straight lines. The outline comes in along
/// `coming` and goes on along `going` (both unit vectors); the front edge is
/// `front_mm` long and the other line straight for `straight_mm`.
pub(crate) fn round(
    corner: Point<Lateral>,
    coming: Vector<Lateral>,
    going: Vector<Lateral>,
    radius_mm: f64,
    front_mm: f64,
    straight_mm: f64,
) -> Rounding {
    let turn = half_turn(coming, going);
    let leg = leg_mm(turn, radius_mm, front_mm)
        .min(MOST_OF_STRAIGHT * straight_mm)
        .max(SHORTEST_MM);
    let Handles { f, a } = Handles::of(turn);
    let (begin, end) = (corner - coming * leg, corner + going * leg);
    let (bend_in, bend_out) = (begin.lerp(corner, f), end.lerp(corner, f));
    let middle = bend_in.midpoint(bend_out);
    Rounding {
        halves: [
            [begin, begin.lerp(bend_in, a), bend_in, middle],
            [middle, bend_out, end.lerp(bend_out, a), end],
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{CubicBez, ParamCurveCurvature};

    fn curve([a, b, c, d]: [Point<Lateral>; 4]) -> CubicBez {
        CubicBez::new(a.to_kurbo(), b.to_kurbo(), c.to_kurbo(), d.to_kurbo())
    }

    /// Read off by kurbo's own curvature, for corners from flat to sharp.
    #[test]
    fn curvature_grows_steadily_to_the_radius_asked_for() {
        for turn_degrees in [20.0, 60.0, 90.0, 110.0, 140.0] {
            let coming = Vector::new(0.0, 1.0);
            let going = coming.turned(-turn_degrees);
            let corner = Point::new(15.0, 24.0);
            let rounding = round(corner, coming, going, 2.0, 50.0, 50.0);
            let [first, second] = rounding.halves.map(curve);
            let mut before = 0.0;
            for i in 0..=200 {
                let t = f64::from(i) / 200.0;
                let bend = first.curvature(t).abs();
                assert!(bend >= before - 1e-9, "{turn_degrees} degrees at {t}");
                assert!((bend - second.curvature(1.0 - t).abs()).abs() < 1e-9);
                before = bend;
            }
            assert!(first.curvature(0.0).abs() < 1e-12);
            assert!((before - 0.5).abs() < 1e-9, "{before}");
        }
    }

    #[test]
    fn a_short_front_is_rounded_as_far_as_it_reaches() {
        let (up, out) = (Vector::new(0.0, 1.0), Vector::new(1.0, 0.0));
        let rounding = round(Point::new(15.0, 24.0), up, out, 5.0, 4.0, 50.0);
        assert!((rounding.begin().y - (24.0 - 0.48 * 4.0)).abs() < 1e-12);
        let tightest = 1.0 / curve(rounding.halves[0]).curvature(1.0).abs();
        assert!(tightest < 2.0, "{tightest}");
    }
}
