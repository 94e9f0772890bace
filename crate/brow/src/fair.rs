//! The tail: the fairest upper and lower edge from the peak and the lower arch
//! to the tip, under the bounds.
//!
//! # Frame
//! The tail's own axis: σ runs from the lower arch to the tip, τ stands on it,
//! up (mm). In it both edges are graphs τ(σ), and thickness across the axis is
//! their plain difference.
//!
//! # Unknowns
//! The second derivative at a few stations, linear between them. Then each
//! stretch is exactly one cubic Bézier, the edges are twice continuously
//! differentiable, and every bound is linear: not concave anywhere means a
//! second derivative that is never positive, a smallest radius R means one
//! that is never below -1/R (slope only widens it), and a taper means that the
//! upper slope never exceeds the lower one.
//!
//! # What is minimised
//! [`CHANGE`] ∫(τ''')² + [`BEND`] ∫ w τ''² with w growing toward the tip: the
//! least change of curvature (after Moreton and Sequin, SIGGRAPH 1992, for
//! small slopes; from memory), with the bend kept near the peak, so that a
//! tail runs out straight and thin as an artist draws it.

use crate::quadratic::{Condition, NoSolution, minimise};

/// Weight of the squared change of curvature, mm³.
const CHANGE: f64 = 1.0;

/// Weight of the squared curvature at the tip, mm; see [`Edge::bend_weight`].
const BEND: f64 = 0.12;

/// Stations of one edge as shares of its run; closer where it turns most.
const STATIONS: [f64; 7] = [0.0, 0.06, 0.15, 0.28, 0.46, 0.7, 1.0];

/// Least closing of the tail, mm per mm: 1 mm over 20 mm. With less the two
/// edges run into one line long before the tip.
const CLOSING: f64 = 0.05;

/// What a bound stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bound {
    /// The upper edge may not turn tighter than its radius.
    UpperRadius,
    /// The upper edge may not bend the other way.
    UpperHollow,
    /// The lower edge may not turn tighter than its radius.
    LowerRadius,
    /// The lower edge may not bend the other way.
    LowerHollow,
    /// The tail may not grow thicker.
    Taper,
}

/// One edge before it is solved: where it starts and where it must end.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Edge {
    /// σ at the start (peak or lower arch), mm.
    pub from: f64,
    /// σ at the tip, mm.
    pub to: f64,
    /// τ at the start, mm.
    pub height: f64,
    /// Slope dτ/dσ at the start.
    pub slope: f64,
    /// Second derivative at the start, 1/mm; joins the edge before the peak.
    pub bend: f64,
    /// τ at the tip, mm.
    pub end_height: f64,
    /// Tightest turn allowed, mm.
    pub radius: f64,
    /// Stations, from the last, that may bend the other way.
    pub free: usize,
}

/// A solved edge: stations with height, slope and second derivative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Station {
    pub sigma: f64,
    pub height: f64,
    pub slope: f64,
    pub bend: f64,
}

/// A linear form: constant plus coefficients of all unknowns.
#[derive(Clone)]
struct Form {
    constant: f64,
    of: Vec<f64>,
}

impl Form {
    fn constant(constant: f64, unknowns: usize) -> Self {
        Self {
            constant,
            of: vec![0.0; unknowns],
        }
    }

    fn plus(&self, other: &Self, times: f64) -> Self {
        let of = self
            .of
            .iter()
            .zip(&other.of)
            .map(|(a, b)| a + times * b)
            .collect();
        Self {
            constant: self.constant + times * other.constant,
            of,
        }
    }

    fn at(&self, x: &[f64]) -> f64 {
        self.constant + self.of.iter().zip(x).map(|(a, x)| a * x).sum::<f64>()
    }

    /// `self >= bound` as a condition.
    fn at_least(&self, bound: f64, means: Bound) -> Condition<Bound> {
        Condition {
            normal: self.of.clone(),
            bound: bound - self.constant,
            means,
        }
    }
}

/// The heights, slopes and second derivatives of one edge as linear forms.
struct Track {
    sigma: Vec<f64>,
    height: Vec<Form>,
    slope: Vec<Form>,
    bend: Vec<Form>,
}

impl Track {
    fn lay(edge: &Edge, first_unknown: usize, unknowns: usize) -> Self {
        let run = edge.to - edge.from;
        let sigma: Vec<f64> = STATIONS.iter().map(|s| edge.from + s * run).collect();
        let bend: Vec<Form> = (0..STATIONS.len())
            .map(|i| {
                let mut form = Form::constant(0.0, unknowns);
                match i {
                    0 => form.constant = edge.bend,
                    i => form.of[first_unknown + i - 1] = 1.0,
                }
                form
            })
            .collect();
        let mut height = vec![Form::constant(edge.height, unknowns)];
        let mut slope = vec![Form::constant(edge.slope, unknowns)];
        for i in 1..STATIONS.len() {
            let h = sigma[i] - sigma[i - 1];
            let (m0, m1) = (&bend[i - 1], &bend[i]);
            let rise = height[i - 1]
                .plus(&slope[i - 1], h)
                .plus(m0, h * h / 3.0)
                .plus(m1, h * h / 6.0);
            height.push(rise);
            slope.push(slope[i - 1].plus(m0, 0.5 * h).plus(m1, 0.5 * h));
        }
        Self {
            sigma,
            height,
            slope,
            bend,
        }
    }

    /// The slope at any σ between the first and the last station.
    fn slope_at(&self, sigma: f64) -> Form {
        let last = self.sigma.len() - 2;
        let i = self.sigma[1..]
            .iter()
            .position(|s| sigma <= *s)
            .unwrap_or(last)
            .min(last);
        let (h, d) = (self.sigma[i + 1] - self.sigma[i], sigma - self.sigma[i]);
        // Integral of the straight line between the two second derivatives.
        let toward = 0.5 * d * d / h;
        self.slope[i]
            .plus(&self.bend[i], d - toward)
            .plus(&self.bend[i + 1], toward)
    }

    fn stations(&self, x: &[f64]) -> Vec<Station> {
        (0..self.sigma.len())
            .map(|i| Station {
                sigma: self.sigma[i],
                height: self.height[i].at(x),
                slope: self.slope[i].at(x),
                bend: self.bend[i].at(x),
            })
            .collect()
    }
}

/// Solves both edges of the tail together, because the taper ties them.
pub(crate) fn tail(upper: &Edge, lower: &Edge) -> Result<[Vec<Station>; 2], NoSolution<Bound>> {
    let each = STATIONS.len() - 1;
    let unknowns = 2 * each + 1; // and one that is held at 1, for the constants
    let one = unknowns - 1;
    let tracks = [
        Track::lay(upper, 0, unknowns),
        Track::lay(lower, each, unknowns),
    ];
    let edges = [upper, lower];

    let mut gram = vec![vec![0.0; unknowns]; unknowns];
    for (edge, track) in edges.iter().zip(&tracks) {
        edge.add_cost(track, one, &mut gram);
    }
    // Strictly convex whatever the weights: far below anything it could move.
    gram.iter_mut()
        .enumerate()
        .for_each(|(i, row)| row[i] += 1e-9);

    let mut equal = vec![held(one, unknowns)];
    let mut at_least = Vec::new();
    for (index, (edge, track)) in edges.iter().zip(&tracks).enumerate() {
        let (radius, hollow) = match index {
            0 => (Bound::UpperRadius, Bound::UpperHollow),
            _ => (Bound::LowerRadius, Bound::LowerHollow),
        };
        equal.push(track.height[each].at_least(edge.end_height, radius));
        for (i, bend) in track.bend.iter().enumerate().skip(1) {
            at_least.push(bend.at_least(-1.0 / edge.radius, radius));
            if i + edge.free <= each {
                at_least.push(
                    Form::constant(0.0, unknowns)
                        .plus(bend, -1.0)
                        .at_least(0.0, hollow),
                );
            }
        }
    }
    at_least.extend(taper(&tracks, upper.from.max(lower.from), upper.to));
    let x = minimise(&gram, &equal, &at_least)?;
    Ok(tracks.map(|track| track.stations(&x)))
}

/// The conditions under which the tail closes steadily.
///
/// Between neighbouring stations of either edge the difference of the slopes
/// is a parabola; it is nowhere less than [`CLOSING`] when its three Bernstein
/// coefficients are not, and these are linear in the unknowns.
fn taper(tracks: &[Track; 2], begin: f64, end: f64) -> Vec<Condition<Bound>> {
    let mut places: Vec<f64> = tracks
        .iter()
        .flat_map(|t| t.sigma.iter().copied())
        .collect();
    places.retain(|sigma| *sigma > begin && *sigma < end);
    places.extend([begin, end]);
    places.sort_by(f64::total_cmp);
    let closing = |sigma: f64| {
        tracks[1]
            .slope_at(sigma)
            .plus(&tracks[0].slope_at(sigma), -1.0)
    };
    let mut conditions = vec![closing(begin).at_least(CLOSING, Bound::Taper)];
    for pair in places.windows(2) {
        let (a, b) = (closing(pair[0]), closing(pair[1]));
        let middle = closing(0.5 * (pair[0] + pair[1]));
        let between = Form::constant(0.0, middle.of.len())
            .plus(&middle, 2.0)
            .plus(&a, -0.5)
            .plus(&b, -0.5);
        conditions.push(between.at_least(CLOSING, Bound::Taper));
        conditions.push(b.at_least(CLOSING, Bound::Taper));
    }
    conditions
}

/// The extra unknown that carries constants into the quadratic form.
fn held(one: usize, unknowns: usize) -> Condition<Bound> {
    let mut normal = vec![0.0; unknowns];
    normal[one] = 1.0;
    Condition {
        normal,
        bound: 1.0,
        means: Bound::Taper,
    }
}

impl Edge {
    /// Share of [`BEND`] at a station: nothing at the peak, all at the tip.
    fn bend_weight(share: f64) -> f64 {
        share * share
    }

    fn add_cost(&self, track: &Track, one: usize, gram: &mut [Vec<f64>]) {
        let mut add = |form: &Form, weight: f64| {
            let mut row = form.of.clone();
            row[one] += form.constant;
            for (i, a) in row.iter().enumerate().filter(|(_, a)| **a != 0.0) {
                for (j, b) in row.iter().enumerate() {
                    gram[i][j] += weight * a * b;
                }
            }
        };
        for i in 1..STATIONS.len() {
            let h = track.sigma[i] - track.sigma[i - 1];
            add(&track.bend[i].plus(&track.bend[i - 1], -1.0), CHANGE / h);
            let weight =
                0.5 * (Self::bend_weight(STATIONS[i - 1]) + Self::bend_weight(STATIONS[i]));
            // ∫ of a squared straight line: h/3 (a² + ab + b²).
            let (a, b) = (&track.bend[i - 1], &track.bend[i]);
            add(&a.plus(b, 1.0), BEND * weight * h / 6.0);
            add(a, BEND * weight * h / 6.0);
            add(b, BEND * weight * h / 6.0);
        }
    }
}
