//! A shape that follows the hand: dragged by a tenth of a millimetre, no place
//! of the outline leaps.

use std::cell::RefCell;

use ophryon_brow::{Brow, BrowPoints, Form, Handle, Limits, draw};
use ophryon_frames::{Lateral, Point, Vector};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

use crate::lot::wishes;
use crate::plausible::face;

const SAMPLE: u32 = 60;
const PROOF: u32 = 2000;

/// One step of a hand, and how many it takes.
const STEP_MM: f64 = 0.1;
const STEPS: u32 = 20;

/// Farthest that any place of the outline may go in one step, mm.
const LEAP_MM: f64 = 0.6;

/// Twenty places of each cubic.
fn places(brow: &Brow) -> Vec<Point<Lateral>> {
    let along = |c: [Point<Lateral>; 4], t: f64| {
        let (ab, bc, cd) = (c[0].lerp(c[1], t), c[1].lerp(c[2], t), c[2].lerp(c[3], t));
        ab.lerp(bc, t).lerp(bc.lerp(cd, t), t)
    };
    let segments = brow.outline().segments().iter();
    segments
        .flat_map(|s| (0..20).map(move |i| along(s.controls, f64::from(i) / 20.0)))
        .collect()
}

/// Farthest that a place went, along the outline too.
fn moved(from: &[Point<Lateral>], to: &[Point<Lateral>]) -> f64 {
    assert_eq!(from.len(), to.len());
    let pairs = from.iter().zip(to);
    pairs.map(|(a, b)| a.distance(*b)).fold(0.0, f64::max)
}

fn dragged_steadily(cases: u32) {
    let worst = RefCell::new((0.0_f64, 0u32, String::new()));
    let mut config = ProptestConfig::with_cases(cases);
    config.failure_persistence = None;
    config.max_shrink_iters = 200;
    let lot = (face(), wishes(), 0..6usize, 0.0..360.0f64, any::<bool>());
    let outcome = TestRunner::new(config).run(&lot, |(face, wishes, handle, degrees, wishing)| {
        let Ok(points) = face.proposal() else {
            return Ok(());
        };
        let form = if wishing {
            wishes.form(&points)
        } else {
            Form::default()
        };
        let by = Vector::new(STEP_MM, 0.0).turned(degrees);
        let handle = Handle::ALL[handle];
        let at = |step: u32| -> Option<Brow> {
            let moved: BrowPoints = points.moved(handle, by * f64::from(step));
            draw(&moved, &form, &Limits::default()).ok()
        };
        let mut before: Option<Vec<Point<Lateral>>> = None;
        for step in 0..STEPS {
            let now = at(step).as_ref().map(places);
            if let (Some(before), Some(now)) = (&before, &now) {
                let leap = moved(before, now);
                let worst = &mut *worst.borrow_mut();
                worst.1 += 1;
                if leap > worst.0 {
                    *worst = (leap, worst.1, format!("{handle:?} {points:?} {form:?}"));
                }
                prop_assert!(leap < LEAP_MM, "{leap} mm at step {step}");
            }
            before = now;
        }
        Ok(())
    });
    outcome.unwrap_or_else(|e| panic!("{e}"));
    let (leap, steps, _) = worst.into_inner();
    println!("{steps} steps of {STEP_MM} mm; the outline went at most {leap:.3} mm in one");
    assert!(steps > cases * 5);
}

#[test]
fn an_outline_follows_a_drag_without_leaps() {
    dragged_steadily(SAMPLE);
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn thousands_of_drags_without_leaps() {
    dragged_steadily(PROOF);
}
