//! Another's method for the same task, without a brow's constraints: P. J.
//! Schneider, "An Algorithm for Automatically Fitting Digitized Curves", in
//! A. S. Glassner (ed.), Graphics Gems, Academic Press 1990, 612-626; written
//! from its description.
//!
//! (From memory.) Tangents at the ends are taken over a few points, as the
//! author advises where points tremble.
//!
//! A cubic with given end tangents is fitted by least squares of its two
//! handles at parameters proportional to the chord; the parameters are
//! improved by Newton's steps; where the largest distance stays above the
//! tolerance, the points are parted there and both halves fitted.

use kurbo::{CubicBez, ParamCurve, ParamCurveDeriv, Point, Vec2};

/// Over how much of the points a tangent is taken, mm.
const TANGENT_MM: f64 = 4.0;

/// Rounds of improving the parameters, as published.
const ROUNDS: u32 = 4;

/// Fits points with cubics that stay within `tolerance` of all of them.
pub fn fit(points: &[Point], tolerance: f64) -> Vec<CubicBez> {
    let mut all = Vec::new();
    if let [first, _, ..] = points {
        let left = tangent(points.iter(), *first);
        let last = points[points.len() - 1];
        let right = tangent(points.iter().rev(), last);
        fit_between(points, left, right, tolerance, &mut all);
    }
    all
}

fn fit_between(points: &[Point], left: Vec2, right: Vec2, tolerance: f64, all: &mut Vec<CubicBez>) {
    let (first, last) = (points[0], points[points.len() - 1]);
    if points.len() == 2 {
        let third = first.distance(last) / 3.0;
        all.push(CubicBez::new(
            first,
            first + left * third,
            last + right * third,
            last,
        ));
        return;
    }
    let mut at = by_chord(points);
    let mut curve = handles(points, &at, left, right);
    let (mut off, mut worst) = farthest(points, &curve, &at);
    for _ in 0..ROUNDS {
        if off <= tolerance || off > 4.0 * tolerance {
            break;
        }
        at = points
            .iter()
            .zip(&at)
            .map(|(p, t)| newton(&curve, *p, *t))
            .collect();
        curve = handles(points, &at, left, right);
        (off, worst) = farthest(points, &curve, &at);
    }
    if off <= tolerance {
        all.push(curve);
        return;
    }
    let middle = worst.clamp(1, points.len() - 2);
    let here = points[middle];
    let along = unit(
        tangent(points[..=middle].iter().rev(), here) - tangent(points[middle..].iter(), here),
    );
    fit_between(&points[..=middle], left, along, tolerance, all);
    fit_between(&points[middle..], -along, right, tolerance, all);
}

fn unit(v: Vec2) -> Vec2 {
    match v.hypot() {
        0.0 => Vec2::new(1.0, 0.0),
        length => v / length,
    }
}

/// From a point to where the others have come so far from it.
fn tangent<'p>(mut points: impl Iterator<Item = &'p Point> + Clone, from: Point) -> Vec2 {
    let last = points.clone().last().copied().unwrap_or(from);
    let far = points.find(|p| p.distance(from) >= TANGENT_MM);
    unit(*far.unwrap_or(&last) - from)
}

fn by_chord(points: &[Point]) -> Vec<f64> {
    let mut at = vec![0.0];
    for pair in points.windows(2) {
        at.push(at[at.len() - 1] + pair[0].distance(pair[1]));
    }
    let whole = at[at.len() - 1].max(1e-12);
    at.into_iter().map(|t| t / whole).collect()
}

fn handles(points: &[Point], at: &[f64], left: Vec2, right: Vec2) -> CubicBez {
    let (first, last) = (points[0], points[points.len() - 1]);
    let (mut c, mut x) = ([[0.0; 2]; 2], [0.0; 2]);
    for (p, t) in points.iter().zip(at) {
        let s = 1.0 - t;
        let (b0, b1, b2, b3) = (s * s * s, 3.0 * t * s * s, 3.0 * t * t * s, t * t * t);
        let (a1, a2) = (left * b1, right * b2);
        c[0][0] += a1.dot(a1);
        c[0][1] += a1.dot(a2);
        c[1][1] += a2.dot(a2);
        let ends = first.to_vec2() * (b0 + b1) + last.to_vec2() * (b2 + b3);
        let rest = p.to_vec2() - ends;
        x[0] += a1.dot(rest);
        x[1] += a2.dot(rest);
    }
    let det = c[0][0] * c[1][1] - c[0][1] * c[0][1];
    let third = first.distance(last) / 3.0;
    let (mut near, mut far) = (third, third);
    if det.abs() > 1e-12 {
        near = (x[0] * c[1][1] - x[1] * c[0][1]) / det;
        far = (c[0][0] * x[1] - c[0][1] * x[0]) / det;
    }
    // Handles that fall together or back are set by Wu and Barsky's rule.
    if near < 1e-6 * third || far < 1e-6 * third {
        (near, far) = (third, third);
    }
    CubicBez::new(first, first + left * near, last + right * far, last)
}

fn farthest(points: &[Point], curve: &CubicBez, at: &[f64]) -> (f64, usize) {
    let off = points
        .iter()
        .zip(at)
        .map(|(p, t)| curve.eval(*t).distance(*p))
        .enumerate();
    let (worst, off) = off
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or((points.len() / 2, 0.0));
    (off, worst)
}

fn newton(curve: &CubicBez, p: Point, t: f64) -> f64 {
    let (first, second) = (curve.deriv(), curve.deriv().deriv());
    let gap = curve.eval(t) - p;
    let (v, a) = (first.eval(t).to_vec2(), second.eval(t).to_vec2());
    let below = v.dot(v) + gap.dot(a);
    match below == 0.0 {
        true => t,
        false => (t - gap.dot(v) / below).clamp(0.0, 1.0),
    }
}

/// The published method keeps its tolerance, on a curve known beforehand.
#[test]
fn a_half_circle_is_fitted_within_the_tolerance() {
    let half: Vec<Point> = (0..=90)
        .map(|i| f64::from(i) * std::f64::consts::PI / 90.0)
        .map(|a| Point::new(20.0 * libm::cos(a), 20.0 * libm::sin(a)))
        .collect();
    let curves = fit(&half, 0.05);
    assert!(curves.len() <= 8, "{}", curves.len());
    for c in &curves {
        for i in 0..=20 {
            let radius = c.eval(f64::from(i) / 20.0).to_vec2().hypot();
            assert!((radius - 20.0).abs() < 0.06, "{radius}");
        }
    }
}
