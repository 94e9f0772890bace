//! Dots as blue noise, against published measures of it.

use kurbo::ParamCurveNearest;
use ophryon_frames::{Front, Point};
use ophryon_powder::{Bed, Dot, Manner, dots};
use proptest::prelude::*;

use crate::plausible::shaken;
use crate::seen;

/// The same density everywhere, to the edge.
const EVEN: Manner = Manner {
    front: 1.0,
    soft_mm: 0.0,
    soft_front_mm: 0.0,
    ..Manner::FRESH
};

/// A square from so far on, with its middle line.
fn square(side: f64) -> Bed {
    let p = |x: f64, y: f64| Point::new(5.0 + x, y);
    Bed::of_rings(
        vec![vec![p(0.0, 0.0), p(side, 0.0), p(side, side), p(0.0, side)]],
        vec![p(0.0, 0.5 * side), p(side, 0.5 * side)],
    )
}

/// Dots well inside a square, where its edge has no say.
fn inner(side: f64) -> (Vec<Point<Front>>, f64) {
    let margin = 2.0;
    let is_in = |p: &Point<Front>| {
        let (x, y) = (p.x - 5.0, p.y);
        x.min(y) >= margin && x.max(y) < side - margin
    };
    let all = dots(&square(side), &EVEN).into_iter().map(|d| d.at);
    let length = side - 2.0 * margin;
    (all.filter(is_in).collect(), length * length)
}

#[test]
fn the_same_shape_has_the_same_dots_and_another_has_others() {
    let one = dots(&square(12.0), &Manner::FRESH);
    assert!(one.len() > 200, "{}", one.len());
    assert_eq!(one, dots(&square(12.0), &Manner::FRESH));
    assert_ne!(one, dots(&square(12.1), &Manner::FRESH));
}

/// Linked brows mirror each other, dot by dot.
#[test]
fn the_mirror_image_of_a_shape_has_the_mirror_image_of_its_dots() {
    let over = |line: &[Point<Front>]| line.iter().map(|p| Point::new(-p.x, p.y)).collect();
    let left = square(12.0);
    let middle: Vec<_> = vec![Point::new(-5.0, 6.0), Point::new(-17.0, 6.0)];
    let right = Bed::of_rings(left.rings().iter().map(|r| over(r)).collect(), middle);
    let (left, right) = (dots(&left, &Manner::FRESH), dots(&right, &Manner::FRESH));
    assert_eq!(left.len(), right.len());
    for (a, b) in left.iter().zip(&right) {
        assert!(a.at.distance(Point::new(-b.at.x, b.at.y)) < 1e-9 && a.size == b.size);
    }
}

/// Twice the area, twice the dots.
#[test]
fn there_are_as_many_as_there_is_room() {
    let to_mm2 = [10.0, 16.0, 28.0].map(|side| {
        let (inside, mm2) = inner(side);
        inside.len() as f64 / mm2
    });
    for found in to_mm2 {
        assert!((found / to_mm2[2] - 1.0).abs() < 0.06, "{to_mm2:?}");
    }
}

/// Three measures of what a good scattering is, and that plain chance fails
/// them:
/// - no two nearer than asked for;
/// - as many as random sequential adsorption of discs ends with, which cover
///   0.547 of the plane (Feder, J. Theor. Biol. 87, 1980, 237–254; value from
///   memory), here at least nine tenths of that and never more;
/// - the relative radius, the smallest distance over that of the densest
///   packing of as many dots, between 0.65 and 0.85 (Lagae and Dutré, "A
///   comparison of methods for generating Poisson disk distributions",
///   Computer Graphics Forum 27, 2008; bounds from memory).
#[test]
fn no_two_lie_together_and_no_room_is_left() {
    let (inside, mm2) = inner(24.0);
    let nearest = |all: &[Point<Front>]| {
        let pairs = all.iter().enumerate();
        let all_pairs = pairs.flat_map(|(i, a)| all[i + 1..].iter().map(|b| a.distance(*b)));
        all_pairs.fold(f64::INFINITY, f64::min)
    };
    let relative_radius = |all: &[Point<Front>]| {
        let densest = (2.0 / 3.0_f64.sqrt() * mm2 / all.len() as f64).sqrt();
        nearest(all) / densest
    };
    assert!(nearest(&inside) >= EVEN.spacing_mm);
    let disc = std::f64::consts::PI * 0.25 * EVEN.spacing_mm * EVEN.spacing_mm;
    let covered = inside.len() as f64 * disc / mm2;
    assert!((0.9 * 0.547..0.555).contains(&covered), "{covered}");
    let radius = relative_radius(&inside);
    assert!((0.65..0.85).contains(&radius), "{radius}");
    assert!(relative_radius(&by_chance(inside.len(), 20.0)) < 0.1);
}

/// Blue noise has next to no power at low frequencies (Ulichney, "Dithering
/// with blue noise", Proc. IEEE 76, 1988): below half of the principal
/// frequency, √density, under a quarter of what plain chance has, which is 1.
#[test]
fn no_patches_and_no_rows() {
    let (inside, mm2) = inner(24.0);
    let side = mm2.sqrt();
    let principal = (inside.len() as f64 / mm2).sqrt();
    let low = |all: &[Point<Front>]| low_power(all, side, 0.5 * principal);
    let (found, chance) = (low(&inside), low(&by_chance(inside.len(), side)));
    assert!(found < 0.25, "{found}");
    assert!((0.7..1.3).contains(&chance), "{chance}");
}

/// Mean of the periodogram over the whole waves of a square up to a frequency.
fn low_power(all: &[Point<Front>], side: f64, up_to: f64) -> f64 {
    let most = (up_to * side) as i32;
    let (mut sum, mut count) = (0.0, 0);
    for i in -most..=most {
        for j in 0..=most {
            let waves = libm::hypot(f64::from(i), f64::from(j));
            // The square's own edges have their power on the axes.
            if i == 0 || j == 0 || waves > up_to * side {
                continue;
            }
            let (mut re, mut im) = (0.0, 0.0);
            for p in all {
                let turn = (f64::from(i) * p.x + f64::from(j) * p.y) / side;
                let (s, c) = libm::sincos(turn * std::f64::consts::TAU);
                re += c;
                im += s;
            }
            sum += (re * re + im * im) / all.len() as f64;
            count += 1;
        }
    }
    sum / f64::from(count)
}

fn by_chance(count: usize, side: f64) -> Vec<Point<Front>> {
    let mut chance = ophryon_demo::Chance::new(7);
    let mut at = || chance.between(0.0, side);
    (0..count).map(|_| Point::new(at(), at())).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whole dots, by kurbo's winding rule and distance.
    #[test]
    fn no_dot_reaches_outside(points in shaken()) {
        let Some(seen) = seen(&points) else { return Ok(()) };
        let found = dots(&Bed::drawn(&seen), &Manner::FRESH);
        prop_assert!(found.len() > 20, "{}", found.len());
        for Dot { at, size } in found {
            prop_assert!(seen.contains(at));
            let off = seen.segments().iter().map(|s| {
                s.curve().nearest(at.to_kurbo(), 1e-6).distance_sq
            });
            let edge = off.fold(f64::INFINITY, f64::min).sqrt();
            // The outline is followed to 0.02 mm.
            prop_assert!(edge > 0.5 * Manner::FRESH.dot_mm * size - 0.021, "{at:?}: {edge}");
        }
    }
}

/// Fewer at the front than in the body, by as much as it is lighter there.
#[test]
fn they_are_sparse_where_it_is_light() {
    let all = dots(&crate::band(10.0), &Manner::FRESH);
    let between = |from: f64, to: f64| {
        let there = |d: &&Dot| (from..to).contains(&d.at.x) && d.at.y.abs() < 2.0;
        all.iter().filter(there).count() as f64
    };
    let (front, body) = (between(14.0, 20.0), between(44.0, 50.0));
    let share = front / body;
    assert!((0.25..0.65).contains(&share), "{front} {body}");
}
