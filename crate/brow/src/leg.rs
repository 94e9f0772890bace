//! One leg of an edge: from its turn (peak or lower arch) to the front, or to
//! the tip.
//!
//! # Frame
//! Each leg is the graph of a height over a straight run that begins at the
//! turn: `u` mm along, `h` mm up from the turn. Toward the front the run is
//! level; toward the tip it follows the tail's axis, from the lower arch to
//! the tip, so that thickness across the tail is a plain difference of heights.
//!
//! # Unknowns
//! The second derivative of the height at a few stations, linear between them.
//! Then each stretch is exactly one cubic Bézier and the leg is twice
//! continuously differentiable. Both legs of an edge share the curvature at
//! the turn: the slope there is known, so that it is one unknown for both.

use ophryon_frames::{Lateral, Point, Vector};

use crate::quadratic::Linear;

/// Unknowns of a whole brow: for each edge one at the turn and one at every
/// other station of its two legs.
pub(crate) const UNKNOWNS: usize = 2 * (1 + BODY_STRETCHES + TAIL_STRETCHES);

/// Stretches of a leg toward the front, and toward the tip.
pub(crate) const BODY_STRETCHES: usize = 4;
pub(crate) const TAIL_STRETCHES: usize = 6;

/// Stations of the longest leg.
const MOST_STATIONS: usize = TAIL_STRETCHES + 1;

/// A form over all unknowns.
pub(crate) type Form = Linear<UNKNOWNS>;

/// Where a leg lies.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Plane {
    /// The turn.
    pub origin: Point<Lateral>,
    pub along: Vector<Lateral>,
    pub up: Vector<Lateral>,
}

impl Plane {
    /// From a turn toward the front.
    pub fn level(turn: Point<Lateral>) -> Self {
        Self {
            origin: turn,
            along: Vector::new(-1.0, 0.0),
            up: Vector::new(0.0, 1.0),
        }
    }

    /// From a turn along the tail's axis.
    pub fn tail(turn: Point<Lateral>, axis: Vector<Lateral>) -> Self {
        Self {
            origin: turn,
            along: axis,
            up: Vector::new(-axis.y, axis.x),
        }
    }

    pub fn seen(&self, p: Point<Lateral>) -> (f64, f64) {
        let from = p - self.origin;
        (from.dot(self.along), from.dot(self.up))
    }

    pub fn point(&self, u: f64, h: f64) -> Point<Lateral> {
        self.origin + self.along * u + self.up * h
    }
}

/// A leg before it is solved, with heights, slopes and second derivatives as
/// forms over the unknowns.
pub(crate) struct Leg {
    pub plane: Plane,
    /// Number of stations, the turn included.
    pub count: usize,
    /// Along the run, from 0 at the turn.
    pub at: [f64; MOST_STATIONS],
    pub height: [Form; MOST_STATIONS],
    pub slope: [Form; MOST_STATIONS],
    pub bend: [Form; MOST_STATIONS],
    /// Height that the leg must end at.
    pub end: f64,
    /// 1 + slope², as it is about to be: enough for weights.
    pub lean: [f64; MOST_STATIONS],
}

impl Leg {
    /// A leg with these stations. `turn` is the number of the curvature at the
    /// turn among the unknowns, `first` that of the next station; `slope` is
    /// the leg's own at the turn.
    pub fn lay(
        plane: Plane,
        stations: &[f64],
        slope: f64,
        end: f64,
        turn: usize,
        first: usize,
    ) -> Self {
        let count = stations.len().min(MOST_STATIONS);
        let mut at = [0.0; MOST_STATIONS];
        at[..count].copy_from_slice(&stations[..count]);
        let run = at[count - 1];
        // h'' = κ (1 + h'²)^(3/2).
        let square = 1.0 + slope * slope;
        let none = Form::constant(0.0);
        let mut leg = Self {
            plane,
            count,
            at,
            height: [none; MOST_STATIONS],
            slope: [none; MOST_STATIONS],
            bend: [none; MOST_STATIONS],
            end,
            lean: [square; MOST_STATIONS],
        };
        leg.slope[0].constant = slope;
        leg.bend[0] = Form::unknown(turn, square * square.sqrt());
        // As of a cubic that is level in bend at its end: where a leg begins
        // steep it has turned into its chord after a third of the way.
        let last = slope + 1.5 * (end / run - slope);
        for i in 1..count {
            let h = at[i] - at[i - 1];
            leg.bend[i] = Form::unknown(first + i - 1, 1.0);
            let (m0, m1) = (&leg.bend[i - 1], &leg.bend[i]);
            leg.height[i] = leg.height[i - 1]
                .plus(&leg.slope[i - 1], h)
                .plus(m0, h * h / 3.0)
                .plus(m1, h * h / 6.0);
            leg.slope[i] = leg.slope[i - 1].plus(m0, 0.5 * h).plus(m1, 0.5 * h);
            let left = 1.0 - at[i] / run;
            let about = last + (slope - last) * left * left;
            leg.lean[i] = 1.0 + about * about;
        }
        leg
    }

    /// Length of the run, mm.
    pub fn run(&self) -> f64 {
        self.at[self.count - 1]
    }

    /// The stretch that a place belongs to, and how far into it it lies.
    fn stretch(&self, u: f64) -> (usize, f64) {
        let last = self.count - 2;
        let i = self.at[1..=last].iter().filter(|at| u > **at).count();
        (i, u - self.at[i])
    }

    /// The height anywhere on the run.
    pub fn height_at(&self, u: f64) -> Form {
        let (i, d) = self.stretch(u);
        let toward = d * d * d / (6.0 * (self.at[i + 1] - self.at[i]));
        self.height[i]
            .plus(&self.slope[i], d)
            .plus(&self.bend[i], 0.5 * d * d - toward)
            .plus(&self.bend[i + 1], toward)
    }

    /// The slope anywhere on the run.
    pub fn slope_at(&self, u: f64) -> Form {
        let (i, d) = self.stretch(u);
        let toward = 0.5 * d * d / (self.at[i + 1] - self.at[i]);
        self.slope[i]
            .plus(&self.bend[i], d - toward)
            .plus(&self.bend[i + 1], toward)
    }

    /// 1 + slope², as it is about to be, in the stretch around a place.
    pub fn lean_at(&self, u: f64) -> f64 {
        let (i, _) = self.stretch(u);
        0.5 * (self.lean[i] + self.lean[i + 1])
    }

    /// The leg with the unknowns known.
    pub fn solved(&self, x: &[f64; UNKNOWNS]) -> Solved {
        let stations = (0..self.count).map(|i| Station {
            u: self.at[i],
            height: self.height[i].at(x),
            slope: self.slope[i].at(x),
            bend: self.bend[i].at(x),
        });
        Solved {
            plane: self.plane,
            stations: stations.collect(),
        }
    }
}

/// A place of a solved leg.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Station {
    pub u: f64,
    pub height: f64,
    pub slope: f64,
    pub bend: f64,
}

/// A solved leg, from the turn outward.
pub(crate) struct Solved {
    pub plane: Plane,
    pub stations: Vec<Station>,
}

impl Solved {
    pub fn place(&self, station: &Station) -> Point<Lateral> {
        self.plane.point(station.u, station.height)
    }

    /// The cubics between the stations: exact, since the second derivative is
    /// linear between them.
    pub fn cubics(&self) -> impl DoubleEndedIterator<Item = [Point<Lateral>; 4]> {
        self.stations.windows(2).map(|pair| {
            let (a, b) = (&pair[0], &pair[1]);
            let third = (b.u - a.u) / 3.0;
            [
                self.plane.point(a.u, a.height),
                self.plane.point(a.u + third, a.height + third * a.slope),
                self.plane.point(b.u - third, b.height - third * b.slope),
                self.plane.point(b.u, b.height),
            ]
        })
    }

    /// The height anywhere on the run.
    pub fn height_at(&self, u: f64) -> f64 {
        let pair = self
            .stations
            .windows(2)
            .find(|pair| u <= pair[1].u)
            .or(self.stations.windows(2).last());
        let Some([a, b]) = pair else { return 0.0 };
        let (d, h) = (u - a.u, b.u - a.u);
        a.height + d * (a.slope + d * (0.5 * a.bend + d * (b.bend - a.bend) / (6.0 * h)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn leg() -> Leg {
        let plane = Plane::level(Point::new(40.0, 30.0));
        Leg::lay(plane, &[0.0, 4.0, 9.0, 16.0, 25.0], 0.0, -5.0, 0, 1)
    }

    /// A parabola h = -u²/50 has the second derivative -1/25 throughout.
    #[test]
    fn a_parabola_by_hand() {
        let mut x = [0.0; UNKNOWNS];
        x[..5].fill(-1.0 / 25.0);
        let solved = leg().solved(&x);
        for u in [0.0, 1.0, 4.0, 10.5, 25.0] {
            let by_hand = -u * u / 50.0;
            assert!((solved.height_at(u) - by_hand).abs() < 1e-12);
            assert!((leg().height_at(u).at(&x) - by_hand).abs() < 1e-12);
            assert!((leg().slope_at(u).at(&x) + u / 25.0).abs() < 1e-12);
        }
        let last = solved.cubics().last().unwrap()[3];
        assert!(last.distance(Point::new(15.0, 17.5)) < 1e-12);
    }

    /// Along the axis of a steep tail the same curvature is a larger second
    /// derivative: at 45 degrees by 2^(3/2).
    #[test]
    fn both_legs_have_one_curvature_at_the_turn() {
        let turn = Point::new(40.0, 30.0);
        let axis = Vector::new(1.0, -1.0).unit().unwrap();
        let stations = [0.0, 5.0, 20.0];
        let tail = Leg::lay(Plane::tail(turn, axis), &stations, 1.0, 0.0, 0, 5);
        let mut x = [0.0; UNKNOWNS];
        x[0] = -0.1;
        assert!((tail.bend[0].at(&x) + 0.1 * 8.0_f64.sqrt()).abs() < 1e-15);
    }
}
