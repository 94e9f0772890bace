//! Fairness against another library's smooth fit through the same points:
//! kurbo's `simplify_bezpath` (curve fitting after Levien, "Fitting cubic
//! Bézier curves", raphlinus.github.io, 2021; from memory), held to 0.05 mm.
//!
//! Given that is either the edge's places every 2 mm, joined by straight lines
//! (what it is meant for least: it follows their corners), or the edge itself,
//! which it may leave by 0.05 mm.

use std::cell::RefCell;

use kurbo::simplify::{SimplifyOptLevel, SimplifyOptions, simplify_bezpath};
use kurbo::{BezPath, CubicBez, PathSeg};
use ophryon_brow::{Brow, Form, Limits, Outline, draw};
use ophryon_frames::Lateral;
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

use crate::lot::wishes;
use crate::plausible::face;

const SAMPLE: u32 = 40;
const PROOF: u32 = 500;

/// Over this much of an edge a change of curvature is taken, mm.
const STEP_MM: f64 = 0.5;

/// How far apart the points lie that both go through, mm, and how near to
/// them the fit stays.
const APART_MM: f64 = 2.0;
const NEAR_MM: f64 = 0.05;

type Cubic = [[f64; 2]; 4];

/// ∫ (dκ/ds)² ds along an edge by differences over [`STEP_MM`], 1/mm³. Where
/// curvature jumps from one cubic to the next the true integral is endless;
/// over a step it is what an eye may see of it.
fn change_of_curvature(edge: &[Cubic]) -> f64 {
    let steps = 400;
    let mut walked = Vec::with_capacity(edge.len() * steps as usize);
    let mut length = 0.0;
    for cubic in edge {
        for i in 0..steps {
            let (bend, speed) = bend_at(cubic, (f64::from(i) + 0.5) / f64::from(steps));
            let piece = speed / f64::from(steps);
            // A handle without length has no curvature at its end: left out.
            if bend.is_finite() {
                walked.push((length + 0.5 * piece, bend));
            }
            length += piece;
        }
    }
    let places = (length / STEP_MM).ceil().max(1.0);
    let each = length / places;
    let bend = |s: f64| {
        let next = walked
            .partition_point(|w| w.0 < s)
            .clamp(1, walked.len() - 1);
        let ((s0, k0), (s1, k1)) = (walked[next - 1], walked[next]);
        k0 + (k1 - k0) * ((s - s0) / (s1 - s0)).clamp(0.0, 1.0)
    };
    (0..places as u32)
        .map(|i| {
            let s = f64::from(i) * each;
            let change = bend(s + each) - bend(s);
            change * change / each
        })
        .sum()
}

/// Curvature and speed of a cubic.
fn bend_at(cubic: &Cubic, t: f64) -> (f64, f64) {
    let u = 1.0 - t;
    let axis = |k: usize| {
        let p = cubic.map(|c| c[k]);
        let first =
            3.0 * (u * u * (p[1] - p[0]) + 2.0 * u * t * (p[2] - p[1]) + t * t * (p[3] - p[2]));
        let second = 6.0 * (u * (p[2] - 2.0 * p[1] + p[0]) + t * (p[3] - 2.0 * p[2] + p[1]));
        (first, second)
    };
    let ((dx, ddx), (dy, ddy)) = (axis(0), axis(1));
    let speed = (dx * dx + dy * dy).sqrt();
    ((dx * ddy - dy * ddx) / (speed * speed * speed), speed)
}

fn edges(outline: &Outline<Lateral>) -> [Vec<Cubic>; 2] {
    let of = |wanted: fn(ophryon_brow::Part) -> bool| {
        let segments = outline.segments().iter().filter(|s| wanted(s.part));
        segments.map(|s| s.controls.map(|p| [p.x, p.y])).collect()
    };
    [
        of(ophryon_brow::Part::is_upper),
        of(ophryon_brow::Part::is_lower),
    ]
}

/// Places on an edge, [`APART_MM`] apart or a little less, both ends included.
fn points(edge: &[Cubic]) -> Vec<kurbo::Point> {
    let mut line = Vec::new();
    for c in edge {
        for i in 0..50 {
            let (t, u) = (f64::from(i) / 50.0, 1.0 - f64::from(i) / 50.0);
            let w = [u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t];
            let axis = |k: usize| (0..4).map(|j| w[j] * c[j][k]).sum::<f64>();
            line.push(kurbo::Point::new(axis(0), axis(1)));
        }
    }
    let last = edge[edge.len() - 1][3];
    line.push(kurbo::Point::new(last[0], last[1]));
    let length: f64 = line.windows(2).map(|w| w[0].distance(w[1])).sum();
    let apart = length / (length / APART_MM).ceil();
    let (mut found, mut walked) = (vec![line[0]], 0.0);
    for pair in line.windows(2) {
        walked += pair[0].distance(pair[1]);
        if walked >= apart * found.len() as f64 - 1e-6 {
            found.push(pair[1]);
        }
    }
    found
}

/// As the other library fits it, without corners.
fn fitted(path: BezPath) -> Vec<Cubic> {
    let options = SimplifyOptions::default()
        .opt_level(SimplifyOptLevel::Optimize)
        .angle_thresh(2.0);
    let fit = simplify_bezpath(path, NEAR_MM, &options);
    fit.segments()
        .map(|s| {
            let c = match s {
                PathSeg::Line(l) => {
                    let at = |t: f64| l.p0.lerp(l.p1, t);
                    CubicBez::new(l.p0, at(1.0 / 3.0), at(2.0 / 3.0), l.p1)
                }
                other => other.to_cubic(),
            };
            [c.p0, c.p1, c.p2, c.p3].map(|p| [p.x, p.y])
        })
        .collect()
}

/// The edge's places joined by straight lines.
fn joined(edge: &[Cubic]) -> BezPath {
    let points = points(edge);
    let mut path = BezPath::new();
    path.move_to(points[0]);
    points[1..].iter().for_each(|p| path.line_to(*p));
    path
}

/// The edge itself.
fn itself(edge: &[Cubic]) -> BezPath {
    let at = |p: [f64; 2]| kurbo::Point::new(p[0], p[1]);
    let mut path = BezPath::new();
    path.move_to(at(edge[0][0]));
    edge.iter()
        .for_each(|c| path.curve_to(at(c[1]), at(c[2]), at(c[3])));
    path
}

/// Ours over the fit's, both edges together: of the fit through the edge's
/// places, and of the fit to the edge itself.
fn compared(brow: &Brow) -> [f64; 2] {
    let edges = edges(brow.outline());
    let ours: f64 = edges.iter().map(|e| change_of_curvature(e)).sum();
    [joined, itself].map(|source| {
        let theirs = edges
            .iter()
            .map(|e| change_of_curvature(&fitted(source(e))));
        ours / theirs.sum::<f64>()
    })
}

/// What is compared, and in what share of the cases ours is to be no less
/// fair, %. Wishes cost fairness by their nature, and against the fit to the
/// edge itself ours has more to keep: the points to the last digit, a straight
/// top line, a taper.
const KINDS: [(&str, f64); 4] = [
    ("plain, against the fit through places 2 mm apart", 95.0),
    ("plain, against the fit to the edge itself", 90.0),
    (
        "with wishes, against the fit through places 2 mm apart",
        95.0,
    ),
    ("with wishes, against the fit to the edge itself", 80.0),
];

fn fairer_than_the_fit(cases: u32) {
    let ratios = RefCell::new([const { Vec::new() }; 4]);
    let mut config = ProptestConfig::with_cases(cases);
    config.failure_persistence = None;
    config.max_shrink_iters = 200;
    let outcome = TestRunner::new(config).run(&(face(), wishes()), |(face, wishes)| {
        let Ok(points) = face.proposal() else {
            return Ok(());
        };
        for (kind, form) in [Form::default(), wishes.form(&points)].iter().enumerate() {
            if let Ok(brow) = draw(&points, form, &Limits::default()) {
                for (which, ratio) in compared(&brow).into_iter().enumerate() {
                    ratios.borrow_mut()[2 * kind + which].push(ratio);
                }
            }
        }
        Ok(())
    });
    outcome.unwrap_or_else(|e| panic!("{e}"));
    for ((kind, least), mut ratios) in KINDS.iter().zip(ratios.into_inner()) {
        ratios.sort_by(f64::total_cmp);
        let fairer = ratios.iter().filter(|r| **r <= 1.0).count();
        let (count, middle) = (ratios.len(), ratios[ratios.len() / 2]);
        let share = 100.0 * fairer as f64 / count as f64;
        println!(
            "{kind}: {fairer} of {count} ({share:.1} %) no less fair than the fit, \
             median ratio {middle:.3}, worst {:.2}",
            ratios[count - 1]
        );
        assert!(share >= *least, "{kind}: only {share:.1} %");
    }
}

#[test]
fn edges_are_fairer_than_a_smooth_fit_through_the_same_points() {
    fairer_than_the_fit(SAMPLE);
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn hundreds_of_faces_edges_are_fairer_than_a_smooth_fit() {
    fairer_than_the_fit(PROOF);
}

/// The integral itself against one known in closed form: of the parabola
/// y = x²/40, κ = (1 + x²/400)^(-3/2)/20, so that over 0..20
/// ∫ (dκ/dx)² (1 + x²/400)^(-1/2) dx = ∫ 9x²/400³ (1 + x²/400)^(-11/2) dx.
#[test]
fn the_integral_of_a_parabola() {
    let parabola = [
        [0.0, 0.0],
        [20.0 / 3.0, 0.0],
        [40.0 / 3.0, 10.0 / 3.0],
        [20.0, 10.0],
    ];
    let steps = 100_000;
    let known: f64 = (0..steps)
        .map(|i| 20.0 * (f64::from(i) + 0.5) / f64::from(steps))
        .map(|x| 9.0 * x * x / 400.0_f64.powi(3) / libm::pow(1.0 + x * x / 400.0, 5.5))
        .sum::<f64>()
        * 20.0
        / f64::from(steps);
    let found = change_of_curvature(&[parabola]);
    assert!((found / known - 1.0).abs() < 0.01, "{found} {known}");
}
