//! Light at the front, fuller toward the tail, nothing outside, soft at every
//! edge: common practice, in the numbers of [`Manner`].

use kurbo::Shape;
use ophryon_frames::{Point, Sided};
use ophryon_powder::{Bed, Cover, Manner, Powder, Stage, Window};
use proptest::prelude::*;

use crate::faces::{drawn, powders};
use crate::plausible::shaken;
use crate::{band, seen, window};

const SHOWN: [Stage; 2] = [Stage::Fresh, Stage::Healed];

/// Mean cover of the pixels that lie where `is_there` says.
fn mean(cover: &Cover, window: &Window, is_there: impl Fn(f64, f64) -> bool) -> f64 {
    let (mut sum, mut count) = (0.0, 0_u32);
    for row in 0..cover.height {
        for column in 0..cover.width {
            let p = window.place(column, row);
            if is_there(p.x, p.y) {
                sum += f64::from(cover.cells[(row * cover.width + column) as usize]);
                count += 1;
            }
        }
    }
    assert!(count > 0);
    sum / f64::from(count)
}

/// Read off what is painted, every 4 mm along a band: it rises until it is
/// full and stays so, and the tail has more than twice what the front has.
#[test]
fn it_rises_from_a_light_front_to_a_full_tail() {
    let powder = Powder::on(band(8.0), band(8.0));
    let window = window(Point::new(8.0, -6.0), Point::new(62.0, 6.0), 8.0);
    for stage in SHOWN {
        let cover = powder.cover(stage, &window);
        let at = |from: f64| {
            mean(&cover, &window, |x, y| {
                (from..from + 4.0).contains(&x) && y.abs() < 1.5
            })
        };
        let along: Vec<f64> = (0..11).map(|i| at(13.0 + 4.0 * f64::from(i))).collect();
        for pair in along[..7].windows(2) {
            assert!(pair[1] > pair[0] + 0.005, "{stage:?}: {along:.3?}");
        }
        let full = along[8];
        assert!(full > 2.0 * along[0], "{stage:?}: {along:.3?}");
        for late in &along[8..10] {
            assert!((late / full - 1.0).abs() < 0.06, "{stage:?}: {along:.3?}");
        }
    }
}

/// Half of the fullest lies half a softness inside, all of it one; the front's
/// own edge is softer still.
#[test]
fn edges_are_as_soft_as_they_say() {
    for manner in [Manner::FRESH, Manner::HEALED] {
        let bed = band(14.0);
        let tail = |depth_mm: f64| manner.density(bed.place(Point::new(45.0, 7.0 - depth_mm)));
        assert_eq!(tail(0.0), 0.0);
        assert_eq!(tail(-0.4), 0.0);
        assert!((tail(0.5 * manner.soft_mm) - 0.5).abs() < 1e-9);
        assert!((tail(manner.soft_mm) - 1.0).abs() < 1e-9);
        let front =
            |from_front_mm: f64| manner.density(bed.place(Point::new(10.0 + from_front_mm, 0.0)));
        assert!(
            front(1.0) < 0.25 * tail(1.0),
            "{} {}",
            front(1.0),
            tail(1.0)
        );
    }
    let (fresh, healed) = (Manner::FRESH, Manner::HEALED);
    assert!(healed.soft_mm > fresh.soft_mm && healed.soft_front_mm > fresh.soft_front_mm);
}

/// On a real shape, painted finer than any screen shows it: from one pixel
/// (0.05 mm) to the next across the edge at most a seventh of the fullest, also at
/// the tip, where the brow is thinnest.
#[test]
fn no_rim_is_hard() {
    let (drawn, powders) = (drawn(), powders(&drawn()));
    for (side, powder) in powders.iter() {
        let (low, high) = drawn.seen.get(side).bounds();
        let window = window(low, high, 20.0);
        for stage in SHOWN {
            let cover = powder.cover(stage, &window);
            let most = cover.cells.iter().copied().fold(0.0, f32::max);
            let outline = drawn.seen.get(side);
            let mut steepest = 0.0_f32;
            for at in outline.sampled(12) {
                let (x, y) = window.pixel(at);
                let (x, y) = (x as i64, y as i64);
                let cell = |x: i64, y: i64| {
                    let is_in = (0..i64::from(cover.width)).contains(&x)
                        && (0..i64::from(cover.height)).contains(&y);
                    if is_in {
                        cover.cells[(y * i64::from(cover.width) + x) as usize]
                    } else {
                        0.0
                    }
                };
                for (dx, dy) in [(1, 0), (-1, 0), (0, 1), (0, -1)] {
                    steepest = steepest.max((cell(x + dx, y + dy) - cell(x, y)).abs());
                }
            }
            assert!(most > 0.4, "{stage:?} {most}");
            assert!(steepest < most / 7.0, "{stage:?}: {steepest} of {most}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// By kurbo's own winding rule, on plausible brows of many kinds.
    #[test]
    fn outside_there_is_nothing(points in shaken()) {
        let Some(seen) = seen(&points) else { return Ok(()) };
        let path = seen.path();
        let powder = Powder::of(&seen, std::slice::from_ref(&seen));
        let (low, high) = seen.bounds();
        let margin = ophryon_frames::Vector::new(2.0, 2.0);
        let window = window(low + -margin, high + margin, 5.0);
        for stage in SHOWN {
            let cover = powder.cover(stage, &window);
            let mut inside = 0.0_f64;
            for row in 0..cover.height {
                for column in 0..cover.width {
                    let there = cover.cells[(row * cover.width + column) as usize];
                    prop_assert!((0.0..=1.0).contains(&there));
                    // The grid of the ground is a hundredth of a mm off.
                    let p = window.place(column, row);
                    if !path.contains(p.to_kurbo()) {
                        prop_assert!(there < 0.004, "{stage:?} {p:?}: {there}");
                    } else {
                        inside += f64::from(there);
                    }
                }
            }
            prop_assert!(inside > 100.0, "{inside}");
        }
    }
}

/// A side that can't heal keeps nothing, and says so by an empty picture.
#[test]
fn what_does_not_heal_is_not_painted() {
    let powder = Powder::on(band(8.0), Bed::of_rings(Vec::new(), Vec::new()));
    let window = window(Point::new(8.0, -6.0), Point::new(62.0, 6.0), 4.0);
    let sums = Sided::from_fn(|side| {
        let stage = match side {
            ophryon_frames::Side::Right => Stage::Fresh,
            ophryon_frames::Side::Left => Stage::Healed,
        };
        powder.cover(stage, &window).cells.iter().sum::<f32>()
    });
    assert!(sums.right > 100.0 && sums.left == 0.0, "{sums:?}");
}
