//! The fairest upper and lower edge under the points and the limits.
//!
//! Both edges are found together, from front to tip, by one convex quadratic
//! programme over the second derivatives of their four legs ([`crate::leg`]):
//! points and limits are its conditions, and what freedom is left goes to
//!
//! - fairness, the squared change of curvature along each edge (after Moreton
//!   and Séquin, SIGGRAPH 1992; from memory), with curvature taken at the
//!   slopes that the legs are about to have;
//! - straight runs: little bend away from the two turns;
//! - what the form wishes ([`crate::wish`]).
//!
//! Every bound is linear in the unknowns or replaced by a linear one that is a
//! little stricter, so that the answer keeps the limits themselves: no hollow
//! means a second derivative that is never positive; a smallest radius R one
//! that is never below -1/R (slope only widens it); a taper, that the upper
//! slope never exceeds the lower one; a straight top line, that its second
//! derivatives are too small to leave the chord.

use ophryon_frames::{Lateral, Point, Vector};

use crate::leg::{Form, Leg, Plane, Solved, TAIL_STRETCHES, UNKNOWNS};
use crate::quadratic::{NoSolution, Programme};
use crate::{BrowPoints, Front, Limits, wish};

/// Length of the rounding of the lower edge before the lower arch, as a share
/// of front bottom to lower arch: longer than above, so that the body keeps
/// its thickness to the peak.
const LOWER_ROUNDING: f64 = 0.5;

/// Longest rounding as a share of the edge; the rest stays straight.
const LONGEST_ROUNDING: f64 = 0.9;

/// Stations of a tail's leg as shares of its run; closer where it turns most.
const TAIL_STATIONS: [f64; TAIL_STRETCHES + 1] = [0.0, 0.06, 0.15, 0.28, 0.46, 0.7, 1.0];

/// Least gap between upper and lower edge along the body, mm, and how much
/// more is asked at the places that are looked at: between two of them the
/// lower edge may rise by as much on its tightest turn.
pub(crate) const LEAST_GAP_MM: f64 = 0.4;
const GAP_BETWEEN_MM: f64 = 0.1;

/// Places along the body where the gap is looked at.
const GAP_PLACES: u32 = 20;

/// How much steeper than the lower edge a front edge must be that leans out,
/// mm per mm: below it the two run into one line.
const FRONT_STEEPER: f64 = 0.1;

/// What is left of the weight of straight runs where a line is given.
const BESIDE_A_LINE: f64 = 0.05;

/// Longest straight beginning of an edge for a soft front's rounding, as a
/// share of what lies before the rounding of the turn.
const LONGEST_SOFT: f64 = 0.5;

/// What a bound stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bound {
    /// The upper edge may not turn tighter than its radius, nor bend the
    /// other way more often than allowed, and ends where the points are.
    Upper,
    /// The top line must be straight.
    Straight,
    /// The lower edge, as the upper.
    Lower,
    /// The tail may not grow thicker.
    Taper,
    /// The edges must stay apart.
    Apart,
}

/// What the edges must keep to, in numbers that can be eased one by one to
/// find out by how much one is missed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bounds {
    /// Tightest turn of the upper edge, mm.
    pub upper_radius_mm: f64,
    /// Tightest turn of the lower edge, mm.
    pub lower_radius_mm: f64,
    /// Largest distance of the top line from its chord, mm.
    pub straight_mm: f64,
    /// Least closing of the tail, mm per mm.
    pub closing: f64,
}

impl Bounds {
    /// What a fine liner can follow.
    const LOWER_RADIUS_MM: f64 = 2.0;

    /// 1 mm over 20 mm. With less the two edges run into one line long before
    /// the tip.
    const CLOSING: f64 = 0.05;

    pub fn of(limits: &Limits) -> Self {
        Self {
            upper_radius_mm: limits.peak_radius_mm,
            lower_radius_mm: Self::LOWER_RADIUS_MM,
            straight_mm: limits.straight_mm,
            closing: Self::CLOSING,
        }
    }
}

/// Both edges, each by its leg toward the front and its leg toward the tip.
pub(crate) struct Legs<T> {
    pub upper_body: T,
    pub upper_tail: T,
    pub lower_body: T,
    pub lower_tail: T,
}

/// How long the parts of an edge before its turn are, mm.
#[derive(Debug, Clone, Copy)]
struct Lengths {
    /// The rounding before the turn.
    rounding: f64,
    /// The straight beginning, where one is needed.
    straight: f64,
}

/// What is drawn, as the programme needs it.
pub(crate) struct Task<'a> {
    pub points: &'a BrowPoints,
    pub form: &'a crate::Form,
    pub limits: &'a Limits,
    pub bounds: &'a Bounds,
    /// The tail's axis: a direction that points out.
    pub axis: Vector<Lateral>,
    /// By what share of what is possible the roundings are made longer, 0 to 1.
    pub lengthened: f64,
    /// Longest straight beginning that a soft front needs, mm; 0 for a square one.
    pub soft_mm: f64,
}

impl Task<'_> {
    /// Slope of a level direction over the tail's axis.
    fn tail_slope(&self) -> f64 {
        -self.axis.y / self.axis.x
    }

    /// By how much a curvature at a turn grows when it is seen over the axis.
    fn widening(&self) -> f64 {
        let square = 1.0 + self.tail_slope() * self.tail_slope();
        square * square.sqrt()
    }

    /// Rounding and straight beginning of an edge. The rounding is longer
    /// where its radius asks for it.
    fn lengths(
        &self,
        front: Point<Lateral>,
        turn: Point<Lateral>,
        share: f64,
        radius_mm: f64,
    ) -> Lengths {
        let (run, rise) = (turn.x - front.x, turn.y - front.y);
        let longest = LONGEST_ROUNDING * run;
        let share = share + self.lengthened * (LONGEST_ROUNDING - share).max(0.0);
        let needed = rounding_for(run, rise, radius_mm * self.widening());
        let rounding = needed.max(share * run).min(longest);
        Lengths {
            rounding,
            straight: self.soft_mm.min(LONGEST_SOFT * (run - rounding)),
        }
    }

    fn body(
        &self,
        front: Point<Lateral>,
        turn: Point<Lateral>,
        lengths: Lengths,
        number: usize,
    ) -> Leg {
        let run = turn.x - front.x;
        let Lengths { rounding, straight } = lengths;
        let before = run - rounding;
        let next = match self.form.front {
            Front::Square => rounding + 0.5 * before,
            Front::Soft { .. } => run - straight,
        };
        let stations = [0.0, 0.5 * rounding, rounding, next, run];
        let end = front.y - turn.y;
        Leg::lay(Plane::level(turn), &stations, 0.0, end, number, number + 1)
    }

    fn tail(&self, turn: Point<Lateral>, number: usize, first: usize) -> Leg {
        let plane = Plane::tail(turn, self.axis);
        let (run, end) = plane.seen(self.points.tail);
        let stations = TAIL_STATIONS.map(|share| share * run);
        Leg::lay(plane, &stations, self.tail_slope(), end, number, first)
    }

    /// Solves both edges.
    pub fn solve(&self) -> Result<Legs<Solved>, NoSolution<Bound>> {
        let (points, limits) = (self.points, self.limits);
        let upper = self.lengths(
            points.front_top,
            points.peak,
            limits.rounding,
            self.bounds.upper_radius_mm,
        );
        let lower = self.lengths(
            points.front_bottom,
            points.lower_arch,
            LOWER_ROUNDING,
            self.bounds.lower_radius_mm,
        );
        let half = UNKNOWNS / 2;
        let legs = Legs {
            upper_body: self.body(points.front_top, points.peak, upper, 0),
            upper_tail: self.tail(points.peak, 0, half - TAIL_STRETCHES),
            lower_body: self.body(points.front_bottom, points.lower_arch, lower, half),
            lower_tail: self.tail(points.lower_arch, half, UNKNOWNS - TAIL_STRETCHES),
        };
        let mut programme = Programme::new();
        let straight = self.straight_runs();
        let fairness = self.form.weights.fairness;
        let turned = [
            (&legs.upper_body, upper.rounding),
            (&legs.upper_tail, legs.upper_tail.run()),
            (&legs.lower_body, lower.rounding),
            (&legs.lower_tail, legs.lower_tail.run()),
        ];
        for ((leg, turned), straight) in turned.into_iter().zip(straight) {
            add_fairness(&mut programme, leg, fairness, straight, turned);
        }
        wish::add(&mut programme, &legs, self.points, self.form);
        self.bound(&mut programme, &legs);
        let x = programme.minimise()?;
        Ok(Legs {
            upper_body: legs.upper_body.solved(&x),
            upper_tail: legs.upper_tail.solved(&x),
            lower_body: legs.lower_body.solved(&x),
            lower_tail: legs.lower_tail.solved(&x),
        })
    }

    /// The weight of straight runs on each leg: little where a line says how
    /// the leg runs.
    fn straight_runs(&self) -> [f64; 4] {
        let usual = self.form.weights.straight_runs;
        match &self.form.guide {
            None => [usual; 4],
            Some(guide) => guide
                .coverage()
                .map(|share| usual * (1.0 - share + share * BESIDE_A_LINE)),
        }
    }

    fn bound(&self, programme: &mut Programme<Bound, UNKNOWNS>, legs: &Legs<Leg>) {
        let limits = self.limits;
        let free = limits.inflections.min(3) as usize;
        let edges = [
            (
                &legs.upper_body,
                &legs.upper_tail,
                self.bounds.upper_radius_mm,
                Bound::Upper,
            ),
            (
                &legs.lower_body,
                &legs.lower_tail,
                self.bounds.lower_radius_mm,
                Bound::Lower,
            ),
        ];
        for (body, tail, radius_mm, means) in edges {
            let most = 1.0 / radius_mm;
            for leg in [body, tail] {
                programme.equal(&leg.height[leg.count - 1], leg.end, means);
            }
            if let Front::Soft { .. } = self.form.front {
                for bend in &body.bend[body.count - 2..body.count] {
                    programme.equal(bend, 0.0, means);
                }
            }
            // The turn's curvature, as the tail sees it, bounds the body's too.
            for bend in body.bend[1..body.count]
                .iter()
                .chain(&tail.bend[..tail.count])
            {
                programme.at_least(bend, -most, means);
            }
            let hollow = tail.count - free;
            for bend in body.bend[1..body.count].iter().chain(&tail.bend[..hollow]) {
                programme.at_most(bend, 0.0, means);
            }
            for bend in &tail.bend[hollow..tail.count] {
                programme.at_most(bend, most, means);
            }
            // Where it may bend the other way it still never rises again: of
            // each stretch's slope, a parabola, all Bernstein coefficients
            // stay below a level line's slope over the axis.
            let level = self.tail_slope();
            for i in hollow..tail.count {
                let half = 0.5 * (tail.at[i] - tail.at[i - 1]);
                let between = tail.slope[i - 1].plus(&tail.bend[i - 1], half);
                programme.at_most(&between, level, means);
                programme.at_most(&tail.slope[i], level, means);
            }
        }
        self.straighten(programme, &legs.upper_body);
        self.keep_apart(programme, legs);
        close_tail(programme, legs, self.bounds.closing);
    }

    /// How far a top line of length H leaves its chord at most: each station's
    /// second derivative by its own largest share. Of two equal stretches that
    /// is H²/12 for the station in the middle and 0.02652 H² for the ends
    /// (the beam's deflection under a triangular load, worked by hand);
    /// together at most a tenth more than they ever do at one place. With a
    /// straight stretch before, H/4 times what the bend adds up to.
    fn straighten(&self, programme: &mut Programme<Bound, UNKNOWNS>, leg: &Leg) {
        let (begin, end) = (leg.at[2], leg.run());
        let all = end - begin;
        let mut off = Form::constant(0.0);
        match self.form.front {
            Front::Square => {
                for (i, share) in [(2, 0.02652), (3, 1.0 / 12.0), (4, 0.02652)] {
                    off = off.plus(&leg.bend[i], -share * all * all);
                }
            }
            Front::Soft { .. } => {
                let bent = leg.at[3] - begin;
                off = off.plus(&leg.bend[2], -all * bent / 8.0);
            }
        }
        programme.at_most(&off, self.bounds.straight_mm, Bound::Straight);
    }

    /// Along the body both edges are heights over one level line.
    fn keep_apart(&self, programme: &mut Programme<Bound, UNKNOWNS>, legs: &Legs<Leg>) {
        let points = self.points;
        let begin = points.front_top.x.max(points.front_bottom.x);
        let end = points.peak.x.min(points.lower_arch.x);
        let rise = points.peak.y - points.lower_arch.y;
        for i in 0..GAP_PLACES {
            let x = begin + (end - begin) * f64::from(i) / f64::from(GAP_PLACES);
            if x >= end {
                break;
            }
            let gap = legs
                .upper_body
                .height_at(points.peak.x - x)
                .plus(&legs.lower_body.height_at(points.lower_arch.x - x), -1.0);
            programme.at_least(&gap, LEAST_GAP_MM + GAP_BETWEEN_MM - rise, Bound::Apart);
        }
        // A front edge that leans out must leave the lower edge at once.
        let lean = points.front_top - points.front_bottom;
        if lean.x > 0.0 {
            let leg = &legs.lower_body;
            let slope = Form::constant(0.0).plus(&leg.slope[leg.count - 1], -1.0);
            programme.at_most(&slope, lean.y / lean.x - FRONT_STEEPER, Bound::Apart);
        }
    }
}

/// The ℓ with ℓ (d - ℓ/3) = 2 H R: so long is a rounding whose second
/// derivative falls steadily to -1/R over the run d with the rise H. As long
/// as can be where there is none.
fn rounding_for(run: f64, rise: f64, radius_mm: f64) -> f64 {
    let under_root = 9.0 * run * run - 24.0 * rise * radius_mm;
    0.5 * (3.0 * run - under_root.max(0.0).sqrt())
}

/// Fairness and straight runs of one leg. `turned` is how far from the turn
/// the leg should be done with bending, mm.
fn add_fairness(
    programme: &mut Programme<Bound, UNKNOWNS>,
    leg: &Leg,
    fairness: f64,
    straight_runs: f64,
    turned: f64,
) {
    let curvature = |i: usize| {
        let lean = leg.lean[i];
        Form::constant(0.0).plus(&leg.bend[i], 1.0 / (lean * lean.sqrt()))
    };
    let away = |i: usize| {
        let share = (leg.at[i] / turned).min(1.0);
        share * share
    };
    for i in 1..leg.count {
        let lean = 0.5 * (leg.lean[i - 1] + leg.lean[i]);
        let length = (leg.at[i] - leg.at[i - 1]) * lean.sqrt();
        let (a, b) = (curvature(i - 1), curvature(i));
        programme.add_square(&b.plus(&a, -1.0), fairness / length);
        // ∫ of a squared straight line: length/3 (a² + ab + b²).
        let straight = straight_runs * 0.5 * (away(i - 1) + away(i)) * length / 6.0;
        programme.add_square(&a.plus(&b, 1.0), straight);
        programme.add_square(&a, straight);
        programme.add_square(&b, straight);
    }
}

/// The conditions under which the tail closes steadily.
///
/// Between neighbouring stations of either edge the difference of the slopes
/// is a parabola; it is nowhere less than its least when its three Bernstein
/// coefficients are not, and these are linear in the unknowns.
fn close_tail(programme: &mut Programme<Bound, UNKNOWNS>, legs: &Legs<Leg>, least: f64) {
    let (upper, lower) = (&legs.upper_tail, &legs.lower_tail);
    // Along the axis from the lower arch.
    let (ahead, _) = lower.plane.seen(upper.plane.origin);
    let (begin, end) = (ahead.max(0.0), lower.run());
    let on_upper = upper.at[..upper.count].iter().map(|u| u + ahead);
    let mut places: Vec<f64> = on_upper
        .chain(lower.at[..lower.count].iter().copied())
        .collect();
    places.retain(|u| *u > begin && *u < end);
    places.extend([begin, end]);
    places.sort_by(f64::total_cmp);
    let closing = |u: f64| lower.slope_at(u).plus(&upper.slope_at(u - ahead), -1.0);
    let mut a = closing(begin);
    programme.at_least(&a, least, Bound::Taper);
    for pair in places.windows(2) {
        let b = closing(pair[1]);
        let between = Form::constant(0.0)
            .plus(&closing(0.5 * (pair[0] + pair[1])), 2.0)
            .plus(&a, -0.5)
            .plus(&b, -0.5);
        programme.at_least(&between, least, Bound::Taper);
        programme.at_least(&b, least, Bound::Taper);
        a = b;
    }
}
