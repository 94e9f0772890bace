//! Over thousands of plausible faces and shaken brows: whatever is wished,
//! what is drawn keeps its points and limits.

use std::cell::RefCell;

use ophryon_brow::{BrowPoints, Conflict, Form, Front, Limits, draw};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

use crate::lot::{Wishes, wishes};
use crate::plausible::{face, shaken};
use crate::sampler::{Readings, read};

/// In the usual run, and in the long proof.
const SAMPLE: u32 = 150;
const PROOF: u32 = 5000;

/// The worst met, printed at the end.
#[derive(Default)]
struct Worst {
    drawn: u32,
    conflicts: u32,
    top_line_off: f64,
    radius_short: f64,
    growth: f64,
    gap: f64,
    jump: f64,
    kink: f64,
    points_off: f64,
}

impl Worst {
    fn see(&mut self, r: &Readings, limits: &Limits) {
        self.drawn += 1;
        self.top_line_off = self.top_line_off.max(r.top_line_off);
        let short = (limits.peak_radius_mm - r.radius[0]).max(2.0 - r.radius[1]);
        self.radius_short = self.radius_short.max(short);
        self.growth = self.growth.max(r.growth);
        if self.gap == 0.0 || r.gap < self.gap {
            self.gap = r.gap;
        }
        self.jump = self.jump.max(r.jump);
        self.kink = self.kink.max(r.kink);
    }
}

/// What every drawn outline promises.
fn keeps_promises(
    points: &BrowPoints,
    form: &Form,
    limits: &Limits,
    worst: &mut Worst,
) -> Result<(), TestCaseError> {
    let brow = match draw(points, form, limits) {
        Ok(brow) => brow,
        Err(conflict) => {
            worst.conflicts += 1;
            let said = conflict.to_string();
            prop_assert!(said.starts_with("the ") && !said.contains("NaN"), "{said}");
            return Ok(());
        }
    };
    let soft = form.front != Front::Square;
    let r = read(brow.outline(), points, soft);
    worst.see(&r, limits);
    prop_assert!(r.open == 0.0, "open by {} mm", r.open);
    for (i, off) in r.points_off.iter().enumerate() {
        // A soft front's corners lie outside of it, its start doesn't.
        if soft && i < 2 {
            continue;
        }
        worst.points_off = worst.points_off.max(*off);
        prop_assert!(*off < 1e-9, "point {i} missed by {off} mm");
    }
    prop_assert!(r.top_line_off <= limits.straight_mm + 1e-9, "{r:?}");
    prop_assert!(r.top_line_share > 0.05, "{r:?}");
    // A ten-thousandth of a radius, for curvature read between two places.
    prop_assert!(r.radius[0] >= limits.peak_radius_mm * (1.0 - 1e-4), "{r:?}");
    prop_assert!(r.radius[1] >= 2.0 * (1.0 - 1e-4), "{r:?}");
    prop_assert!(
        r.inflections.iter().all(|n| *n <= limits.inflections),
        "{r:?}"
    );
    prop_assert!(r.growth < 1e-3, "{r:?}");
    prop_assert!(r.gap > 0.4, "{r:?}");
    prop_assert!(r.jump < 1e-6 && r.kink < 1e-9, "{r:?}");
    prop_assert!(r.above_peak < 1e-9, "{r:?}");
    prop_assert!(r.crossings == 0, "{r:?}");
    Ok(())
}

fn with_and_without_wishes(
    points: &BrowPoints,
    wishes: &Wishes,
    worst: &mut Worst,
) -> Result<(), TestCaseError> {
    let limits = Limits::default();
    keeps_promises(points, &Form::default(), &limits, worst)?;
    let bending = Limits {
        inflections: wishes.inflections(),
        ..limits
    };
    keeps_promises(points, &wishes.form(points), &bending, worst)
}

fn prove<S: Strategy>(
    cases: u32,
    points: S,
    named: &str,
    of: impl Fn(S::Value) -> Option<BrowPoints>,
) -> Worst {
    let worst = RefCell::new(Worst::default());
    let mut config = ProptestConfig::with_cases(cases);
    config.failure_persistence = None;
    config.max_shrink_iters = 200;
    let outcome =
        TestRunner::new(config).run(&(points, wishes()), |(points, wishes)| match of(points) {
            Some(points) => with_and_without_wishes(&points, &wishes, &mut worst.borrow_mut()),
            None => Ok(()),
        });
    outcome.unwrap_or_else(|e| panic!("{e}"));
    let worst = worst.into_inner();
    println!(
        "{named}: {} drawn, {} conflicts; worst: top line {:.4} mm off, radius short by {:.2e} mm, \
         tail grown by {:.2e} mm, gap {:.3} mm, curvature jumps {:.1e}, kink {:.1e}, points {:.1e} mm",
        worst.drawn,
        worst.conflicts,
        worst.top_line_off,
        worst.radius_short,
        worst.growth,
        worst.gap,
        worst.jump,
        worst.kink,
        worst.points_off
    );
    worst
}

fn plausible_faces(cases: u32) {
    let worst = prove(cases, face(), "plausible faces", |face| {
        face.proposal().ok()
    });
    assert!(worst.drawn * 100 >= 2 * cases * 95, "{} drawn", worst.drawn);
}

fn shaken_brows(cases: u32) {
    let sound = |points: BrowPoints| points.problems().is_empty().then_some(points);
    let worst = prove(cases, shaken(), "shaken brows", sound);
    assert!(worst.drawn > cases / 5 && worst.conflicts > 0);
}

#[test]
fn plausible_faces_keep_points_and_limits_whatever_is_wished() {
    plausible_faces(SAMPLE);
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn five_thousand_plausible_faces_keep_points_and_limits() {
    plausible_faces(PROOF);
}

#[test]
fn shaken_brows_keep_points_and_limits_whatever_is_wished() {
    shaken_brows(SAMPLE);
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn twenty_thousand_shaken_brows_keep_points_and_limits() {
    shaken_brows(4 * PROOF);
}

/// Numbers that are none, endless, huge and swapped.
fn wild() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -60.0..120.0f64,
        1 => prop::sample::select(vec![
            f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300, 1e-300, 0.0, -0.0, f64::MAX,
        ]),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(800) })]

    #[test]
    fn hostile_points_wishes_and_lines_give_a_shape_or_a_named_conflict(
        at in prop::array::uniform10(wild()), near in any::<bool>(), points in shaken(),
        radius in wild(), body in wild(), tail in prop::collection::vec((wild(), wild()), 0..10),
        line in prop::collection::vec((wild(), wild()), 0..40), weights in prop::array::uniform6(wild()),
        usual_weights in any::<bool>(),
    ) {
        use ophryon_brow::{Guide, GuidePlace, GuideSource, TailWish, Weights};
        use ophryon_frames::Point;
        let points = if near {
            points
        } else {
            BrowPoints {
                front_top: Point::new(at[0], at[1]), front_bottom: Point::new(at[2], at[3]),
                peak: Point::new(at[4], at[5]), lower_arch: Point::new(at[6], at[7]),
                tail: Point::new(at[8], at[9]),
            }
        };
        let places: Vec<_> = line.iter().map(|(x, y)| Point::new(*x, *y)).collect();
        let (upper, lower) = places.split_at(places.len() / 2);
        let by_file: Vec<_> = line.iter().map(|(share, off_mm)| GuidePlace { share: *share, off_mm: *off_mm }).collect();
        let [fairness, straight_runs, sketch, hair, last_shape, thickness] = weights;
        let form = Form {
            front: Front::Soft { radius_mm: radius },
            body_mm: Some(body),
            tail: tail.iter().map(|(share, thickness_mm)| TailWish { share: *share, thickness_mm: *thickness_mm }).collect(),
            guide: Guide::from_lines(&points, upper, lower, GuideSource::Sketch),
            last_shape: Some(Guide {
                source: GuideSource::LastShape, upper_body: by_file, upper_tail: vec![], lower_body: vec![], lower_tail: vec![],
            }),
            weights: if usual_weights { Weights::default() } else {
                Weights { fairness, straight_runs, sketch, hair, last_shape, thickness }
            },
        };
        for form in [form.clone(), Form { last_shape: None, ..form.clone() }, Form { guide: form.guide, ..Form::default() }] {
            match draw(&points, &form, &Limits::default()) {
                Ok(brow) => {
                    let mut worst = Worst::default();
                    keeps_promises(&points, &form, &Limits::default(), &mut worst)?;
                    let reached = brow.reached();
                    prop_assert!(reached.sentences().iter().all(|s| !s.contains("NaN")), "{reached:?}");
                }
                Err(Conflict::Points(problems)) => prop_assert!(!problems.is_empty()),
                Err(conflict) => prop_assert!(!conflict.to_string().contains("NaN"), "{conflict}"),
            }
        }
    }
}
