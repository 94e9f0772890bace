//! A piece of the border of a moved outline: an offset curve or an arc.

use kurbo::{CubicBez, ParamCurve, ParamCurveDeriv, Point as At, Vec2};

use crate::outline::Part;

/// Fitted cubics stay this near to the exact offset, mm: a hundredth of what
/// a ruler shows.
pub const FITTED_MM: f64 = 1e-4;

/// Most halvings of one piece on the way there.
const MOST_HALVINGS: u32 = 10;

/// Longest arc that one cubic stands for, radians: with it, a radius of 1 mm
/// is off by less than a millionth of a millimetre.
const LONGEST_ARC: f64 = 0.5;

/// Nodes and weights of Gauss and Legendre's rule with 8 nodes on -1..1
/// (positive half; Abramowitz and Stegun 1964, table 25.4, from memory; tests
/// hold areas against closed forms).
const GAUSS: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_47),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
];

/// A piece of the border before it is cut, run from 0 to 1.
#[derive(Clone, Copy)]
pub enum Course {
    Offset(CubicBez),
    Arc { centre: At, from: f64, sweep: f64 },
}

#[derive(Clone, Copy)]
pub struct Piece {
    pub part: Part,
    pub course: Course,
    /// Distance along the normal to the right of the way it is walked; its
    /// radius for an arc, where it is never negative.
    pub distance: f64,
    /// Runs on into the next piece without a break.
    pub joined: bool,
}

impl Piece {
    /// A curve before it is moved.
    pub fn still(part: Part, curve: CubicBez) -> Self {
        Self {
            part,
            course: Course::Offset(curve),
            distance: 0.0,
            joined: false,
        }
    }

    pub fn at(&self, t: f64) -> At {
        match self.course {
            Course::Offset(curve) => curve.eval(t) + right_of(direction(&curve, t)) * self.distance,
            Course::Arc {
                centre,
                from,
                sweep,
            } => {
                let angle = from + sweep * t;
                centre + Vec2::new(libm::cos(angle), libm::sin(angle)) * self.distance
            }
        }
    }

    /// The derivative by the parameter. That of an offset points along the
    /// curve's own, longer or shorter by the bend times the distance.
    pub fn along(&self, t: f64) -> Vec2 {
        match self.course {
            Course::Offset(curve) => {
                let first = curve.deriv();
                let (v, a) = (first.eval(t).to_vec2(), first.deriv().eval(t).to_vec2());
                let square = v.hypot2();
                if square == 0.0 {
                    return v;
                }
                let bend = v.cross(a) / (square * square.sqrt());
                v * (1.0 + bend * self.distance)
            }
            Course::Arc { from, sweep, .. } => {
                let angle = from + sweep * t;
                Vec2::new(-libm::sin(angle), libm::cos(angle)) * (self.distance * sweep)
            }
        }
    }

    /// At least about its length, mm.
    pub fn reach(&self) -> f64 {
        match self.course {
            Course::Offset(curve) => longest(&curve),
            Course::Arc { sweep, .. } => self.distance * sweep.abs(),
        }
    }

    /// Area swept from the origin (counter-clockwise positive) and length.
    pub fn swept(&self, from: f64, to: f64) -> (f64, f64) {
        let (mut area, mut length) = (0.0, 0.0);
        const PARTS: u32 = 3;
        let half = 0.5 * (to - from) / f64::from(PARTS);
        for part in 0..PARTS {
            let middle = from + half * f64::from(2 * part + 1);
            for (node, weight) in GAUSS {
                for t in [middle - half * node, middle + half * node] {
                    let (at, along) = (self.at(t).to_vec2(), self.along(t));
                    area += 0.5 * weight * half * at.cross(along);
                    length += weight * half * along.hypot2().sqrt();
                }
            }
        }
        (area, length)
    }

    /// Where this piece near `t` crosses another near `u`, by Newton's steps;
    /// `None` when they lead away.
    pub fn crossing(&self, t: f64, other: &Self, u: f64) -> Option<(f64, f64)> {
        let (mut x, mut y) = (t, u);
        for _ in 0..25 {
            let gap = other.at(y) - self.at(x);
            let (a, b) = (self.along(x), other.along(y));
            let across = a.cross(b);
            if across == 0.0 {
                return None;
            }
            (x, y) = (x + gap.cross(b) / across, y + gap.cross(a) / across);
            if !(-0.01..=1.01).contains(&x) || !(-0.01..=1.01).contains(&y) {
                return None;
            }
        }
        let (x, y) = (x.clamp(0.0, 1.0), y.clamp(0.0, 1.0));
        let met = far(self.at(x), other.at(y)) < 1e-9;
        let stayed = far(self.at(x), self.at(t)) < 0.3;
        (met && stayed).then_some((x, y))
    }

    /// Cubics along it from one parameter to another.
    pub fn fit(
        &self,
        from: f64,
        to: f64,
        halvings: u32,
        within: &mut f64,
        put: &mut impl FnMut(CubicBez),
    ) {
        let third = (to - from) / 3.0;
        let (a, b) = (self.at(from), self.at(to));
        let curve = match self.course {
            Course::Offset(_) => CubicBez::new(
                a,
                a + self.along(from) * third,
                b - self.along(to) * third,
                b,
            ),
            Course::Arc { sweep, .. } => {
                // The usual handle of an arc: 4/3 tan of a quarter of it.
                let angle = sweep * (to - from);
                let handle = 4.0 / 3.0 * libm::tan(0.25 * angle) / sweep;
                CubicBez::new(
                    a,
                    a + self.along(from) * handle,
                    b - self.along(to) * handle,
                    b,
                )
            }
        };
        // Its end and derivatives are exact, so what is off is off between.
        let off = (1..16)
            .map(|k| f64::from(k) / 16.0)
            .map(|s| far(curve.eval(s), self.at(from + (to - from) * s)))
            .fold(0.0, f64::max);
        let long = match self.course {
            Course::Offset(_) => false,
            Course::Arc { sweep, .. } => (sweep * (to - from)).abs() > LONGEST_ARC,
        };
        if (off > FITTED_MM || long) && halvings < MOST_HALVINGS {
            let middle = 0.5 * (from + to);
            self.fit(from, middle, halvings + 1, within, put);
            self.fit(middle, to, halvings + 1, within, put);
        } else {
            *within = within.max(off);
            put(curve);
        }
    }
}

pub fn far(a: At, b: At) -> f64 {
    (a - b).hypot2().sqrt()
}

pub fn right_of(v: Vec2) -> Vec2 {
    Vec2::new(v.y, -v.x)
}

/// Length of the control polygon.
pub fn longest(c: &CubicBez) -> f64 {
    far(c.p0, c.p1) + far(c.p1, c.p2) + far(c.p2, c.p3)
}

/// Unit direction of a cubic; where it stands still, that toward its next
/// different control point.
pub fn direction(c: &CubicBez, t: f64) -> Vec2 {
    let mut v = c.deriv().eval(t).to_vec2();
    if v.hypot2() < 1e-24 {
        v = if t < 0.5 { c.p2 - c.p0 } else { c.p3 - c.p1 };
    }
    if v.hypot2() < 1e-24 {
        v = c.p3 - c.p0;
    }
    let length = v.hypot2().sqrt();
    if length > 0.0 { v / length } else { v }
}
