//! Shapes and pictures that no face has.

use ophryon_frames::{Front, Point, Vector};
use ophryon_powder::{Bed, Manner, Pixels, Powder, Stage, Tone, Window, dots};
use proptest::prelude::*;

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        6 => -60.0..60.0f64,
        1 => Just(0.0),
        1 => -1e-9..1e-9f64,
        1 => -250.0..250.0f64,
        1 => prop_oneof![
            Just(f64::NAN), Just(f64::INFINITY), Just(f64::NEG_INFINITY), Just(1e300), Just(-1e300),
        ],
    ]
}

fn line(most: usize) -> impl Strategy<Value = Vec<Point<Front>>> {
    let point = (number(), number()).prop_map(|(x, y)| Point::new(x, y));
    prop::collection::vec(point, 0..most)
}

/// Small enough that nearly all of it is a brow's size, and crosses itself.
fn tangle() -> impl Strategy<Value = Vec<Point<Front>>> {
    let point = (-30.0..30.0f64, -10.0..10.0f64).prop_map(|(x, y)| Point::new(x, y));
    prop::collection::vec(point, 3..60)
}

fn all_stages(bed: Bed, healed: Bed, window: &Window) {
    let powder = Powder::on(bed, healed);
    for stage in Stage::ALL {
        let cover = powder.cover(stage, window);
        assert!(cover.cells.iter().all(|c| (0.0..=1.0).contains(c)));
        // Fewer bytes than there are pixels, and none.
        for length in [0, 1, 50, 4 * 40 * 30] {
            let mut bytes = vec![200_u8; length];
            let mut pixels = Pixels {
                bytes: &mut bytes,
                each: 4,
            };
            powder.paint(stage, Tone::DeepPeat, window, &mut pixels);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn any_lines_are_taken(
        rings in prop::collection::vec(line(12), 0..4), kept in line(12), middle in line(8),
    ) {
        let window = Window::new(
            (40, 30), Point::new(-60.0, 45.0), Vector::new(3.0, 0.1), Vector::new(0.1, -3.0),
        ).unwrap();
        all_stages(Bed::of_rings(rings, middle.clone()), Bed::of_rings(vec![kept], middle), &window);
    }

    #[test]
    fn tangles_are_powdered_within(ring in tangle(), middle in line(6)) {
        let bed = Bed::of_rings(vec![ring], middle);
        for dot in dots(&bed, &Manner::FRESH) {
            prop_assert!(bed.holds(dot.at));
        }
        let window = Window::new(
            (40, 30), Point::new(-30.0, 12.0), Vector::new(1.5, 0.0), Vector::new(0.0, -0.8),
        ).unwrap();
        all_stages(bed.clone(), bed, &window);
    }

    #[test]
    fn any_window_is_one_or_is_refused(
        size in (0..400_u32, 0..400_u32), a in (number(), number()), b in (number(), number()),
        c in (number(), number()),
    ) {
        let window = Window::new(
            size, Point::new(a.0, a.1), Vector::new(b.0, b.1), Vector::new(c.0, c.1),
        );
        if let Some(window) = window {
            all_stages(crate::band(8.0), crate::band(6.0), &window);
        }
    }
}

/// What is far too large, too far away, too many corners or nothing at all
/// takes no powder and no time.
#[test]
fn what_is_no_brow_stays_bare() {
    let p = Point::new;
    let huge = vec![p(-190.0, -190.0), p(190.0, -190.0), p(0.0, 190.0)];
    let far = vec![p(1e6, 0.0), p(1e6 + 5.0, 0.0), p(1e6, 5.0)];
    let many = (0..200_000).map(|i| {
        let (s, c) = libm::sincos(f64::from(i) * 1e-4);
        p(30.0 + 9.0 * c, 9.0 * s)
    });
    for ring in [huge, far, many.collect(), vec![p(1.0, 1.0); 9], Vec::new()] {
        let bed = Bed::of_rings(vec![ring], vec![p(0.0, 0.0), p(30.0, 0.0)]);
        assert!(dots(&bed, &Manner::FRESH).is_empty());
    }
    let fine = Manner {
        spacing_mm: 1e-9,
        ..Manner::FRESH
    };
    assert!(dots(&crate::band(8.0), &fine).is_empty());
    let nan = Manner {
        spacing_mm: f64::NAN,
        soft_mm: f64::NAN,
        full_at: 0.0,
        ..Manner::FRESH
    };
    assert!(dots(&crate::band(8.0), &nan).is_empty());
}

#[test]
fn windows_that_are_none_are_refused() {
    let (at, right, down) = (
        Point::new(0.0, 0.0),
        Vector::new(1.0, 0.0),
        Vector::new(0.0, -1.0),
    );
    assert!(Window::new((10, 10), at, right, down).is_some());
    assert!(Window::new((0, 10), at, right, down).is_none());
    assert!(Window::new((u32::MAX, u32::MAX), at, right, down).is_none());
    assert!(Window::new((10, 10), at, right, right).is_none());
    assert!(Window::new((10, 10), Point::new(f64::NAN, 0.0), right, down).is_none());
}

/// Cells are counted in whole numbers; these lie beyond the largest of them.
#[test]
fn a_window_far_from_the_face_shows_none_of_it() {
    for far in [1e3, 1e19, 1e300, -1e300] {
        let window = Window::new(
            (9, 7),
            Point::new(far, far),
            Vector::new(1.0, 0.0),
            Vector::new(0.0, -1.0),
        )
        .unwrap();
        let powder = Powder::on(crate::band(8.0), crate::band(6.0));
        let mut bytes = vec![200_u8; 9 * 7 * 3];
        let mut pixels = Pixels {
            bytes: &mut bytes,
            each: 3,
        };
        for stage in Stage::ALL {
            powder.paint(stage, Tone::DeepPeat, &window, &mut pixels);
        }
        assert!(bytes.iter().all(|b| *b == 200), "{far}");
    }
}
