//! A shape that follows the hand: dragged by a tenth of a millimetre, no place
//! of the outline leaps.

use std::cell::RefCell;

use ophryon_brow::{Brow, BrowPoints, Form, Handle, Limits, draw};
use ophryon_frames::{Lateral, Point, Vector};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

use crate::lot::wishes;
use crate::plausible::face;

const SAMPLE: u32 = 25;
const PROOF: u32 = 700;

/// One step of a hand, and how many it takes.
const STEP_MM: f64 = 0.1;
const STEPS: u32 = 20;

/// What is dragged, and the farthest that any place of its outline may go in
/// one step, mm. A point's own move is passed on enlarged where a long edge
/// hangs on it. Wishes that can't be met press the outline into a corner of
/// what is allowed, which moves faster than what it hangs on.
const KINDS: [(&str, f64); 3] = [
    ("without wishes", 0.6),
    ("with wishes that are met", 0.4),
    ("with wishes that can't be met", 4.0),
];

/// Which of them.
fn kind(brow: &Brow, wishing: bool) -> usize {
    let reached = brow.reached();
    let met = reached
        .body
        .iter()
        .chain(reached.tail.iter().map(|(_, w)| w))
        .all(|w| w.is_met());
    let close = reached.guide.is_none_or(|g| g.largest_mm < 2.0);
    match (wishing, met && close) {
        (false, _) => 0,
        (true, true) => 1,
        (true, false) => 2,
    }
}

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

/// Farthest that a place lies beside the other outline, which is walked in the
/// same order: looked for over the cubics nearby.
fn moved(from: &[Point<Lateral>], to: &[Point<Lateral>]) -> f64 {
    let n = to.len();
    let beside = |(i, p): (usize, &Point<Lateral>)| {
        (n + i - NEARBY..n + i + NEARBY)
            .map(|k| to_edge(*p, to[k % n], to[(k + 1) % n]))
            .fold(f64::INFINITY, f64::min)
    };
    from.iter().enumerate().map(beside).fold(0.0, f64::max)
}

/// Places before and after: two and a half cubics.
const NEARBY: usize = 50;

fn to_edge(p: Point<Lateral>, a: Point<Lateral>, b: Point<Lateral>) -> f64 {
    let run = b - a;
    let square = run.dot(run);
    let t = if square > 0.0 {
        ((p - a).dot(run) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    p.distance(a.lerp(b, t))
}

fn dragged_steadily(cases: u32) {
    let worst = RefCell::new([(0.0_f64, 0_u32); 3]);
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
        let at = |step: u32| {
            let moved: BrowPoints = points.moved(handle, by * f64::from(step));
            draw(&moved, &form, &Limits::default()).ok()
        };
        let mut before: Option<Vec<Point<Lateral>>> = None;
        for step in 0..STEPS {
            let brow = at(step);
            let now = brow.as_ref().map(places);
            if let (Some(before), Some(now), Some(brow)) = (&before, &now, &brow) {
                let leap = moved(before, now).max(moved(now, before));
                let kind = kind(brow, wishing);
                let worst = &mut worst.borrow_mut()[kind];
                *worst = (worst.0.max(leap), worst.1 + 1);
                let (named, most) = KINDS[kind];
                prop_assert!(
                    leap < most,
                    "{named}: {leap} mm at step {step} of {handle:?} {degrees} from {points:?}"
                );
            }
            before = now;
        }
        Ok(())
    });
    outcome.unwrap_or_else(|e| panic!("{e}"));
    for ((leap, steps), (named, _)) in worst.into_inner().iter().zip(KINDS) {
        println!(
            "{named}: {steps} steps of {STEP_MM} mm; the outline went at most {leap:.3} mm in one"
        );
        assert!(*steps > cases / 5);
    }
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
