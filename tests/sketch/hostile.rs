//! Strokes that are no sketch: never a panic, always a shape that can be drawn
//! or a sentence, and never more than some work.

use ophryon_brow::{Limits, Part, SketchError, draw, sketch};
use ophryon_frames::{Lateral, Point};
use proptest::prelude::*;

use crate::hand::{Dice, Stroke, edge, plain_brow};

/// What comes of any strokes is sound.
fn sound(strokes: &[Stroke], limits: &Limits) -> Result<(), TestCaseError> {
    match sketch(strokes, &plain_brow(), limits) {
        Ok(found) => {
            let again = draw(found.brow.points(), found.brow.form(), limits);
            prop_assert_eq!(again.as_ref(), Ok(&found.brow));
            prop_assert!(found.followed.largest_mm >= found.followed.rms_mm);
            prop_assert!(found.followed.largest_mm.is_finite());
            prop_assert!(found.sentence().ends_with('.'), "{}", found.sentence());
        }
        Err(why) => prop_assert!(!why.to_string().is_empty()),
    }
    Ok(())
}

fn refused(strokes: &[Stroke]) -> SketchError {
    sketch(strokes, &plain_brow(), &Limits::default()).expect_err("no brow")
}

#[test]
fn strokes_without_a_brow_are_refused_by_what_they_lack() {
    let at = |x: f64, y: f64| Point::new(x, y);
    for nothing in [vec![], vec![vec![]], vec![vec![], vec![]]] {
        assert_eq!(refused(&nothing), SketchError::Nothing);
    }
    let nan = vec![at(f64::NAN, 20.0), at(20.0, f64::INFINITY)];
    assert_eq!(refused(&[nan]), SketchError::NotNumbers { count: 2 });
    let far = vec![at(1e12, 20.0), at(f64::NAN, 1.0), at(30.0, -500.0)];
    assert_eq!(refused(&[far]), SketchError::OffTheFace { count: 3 });
    for short in [
        vec![at(30.0, 20.0)],
        vec![at(30.0, 20.0); 500],
        vec![at(30.0, 10.0), at(30.0, 40.0)],
        vec![at(30.0, 20.0), at(33.0, 20.0)],
    ] {
        let why = refused(&[short]);
        assert!(matches!(why, SketchError::TooShort { .. }), "{why:?}");
        assert!(
            why.to_string().contains("at least 5 mm of an edge"),
            "{why}"
        );
    }
}

#[test]
fn what_lies_elsewhere_or_at_the_midline_is_no_sketch() {
    let along = |from: f64, y: f64| -> Stroke {
        let x = (0..=80).map(|i| from + 0.5 * f64::from(i));
        x.map(|x| Point::new(x, y)).collect()
    };
    // One edge on the cheek, or high on the forehead.
    for y in [-20.0, 60.0] {
        let why = refused(&[along(20.0, y)]);
        assert!(matches!(why, SketchError::TooThick { .. }), "{why:?}");
        assert!(why.to_string().contains("draw along the brow's"), "{why}");
    }
    // Down over the cheek.
    let down = (0..=60).map(|i| Point::new(45.0 + 0.1 * f64::from(i), 5.0 - 0.5 * f64::from(i)));
    let why = refused(&[down.collect()]);
    assert!(matches!(why, SketchError::FarFromABrow { .. }), "{why:?}");
    // A whole brow, below the eye.
    let low = [0.0, -8.0].map(|y| along(20.0, y - 8.0));
    assert_eq!(refused(&low), SketchError::BelowThePupils);
    // A whole brow, moved over the midline.
    let edges = |by: f64| -> [Stroke; 2] {
        [Part::is_upper as fn(Part) -> bool, Part::is_lower].map(|wanted| {
            let all = edge(plain_brow().outline(), wanted, 0.5);
            all.into_iter().map(|p| Point::new(p.x - by, p.y)).collect()
        })
    };
    for (by, says) in [(13.6, "from the midline"), (18.0, "beyond the midline")] {
        let why = refused(&edges(by));
        assert!(matches!(why, SketchError::AtTheMidline { .. }), "{why:?}");
        assert!(why.to_string().contains(says), "{why}");
    }
    let near = sketch(&edges(9.0), &plain_brow(), &Limits::default());
    assert!(near.is_ok(), "{near:?}");
}

#[test]
fn points_on_the_other_brow_are_said_to_lie_there() {
    let mut strokes = vec![edge(plain_brow().outline(), Part::is_upper, 0.5)];
    strokes.push(vec![Point::new(-30.0, 22.0), Point::new(-40.0, 22.0)]);
    let found = sketch(&strokes, &plain_brow(), &Limits::default()).expect("a brow");
    assert_eq!(found.left_out.beyond_midline, 2);
    let said = found.remarks().join(" ");
    assert!(
        said.contains("2 points left out: beyond the midline"),
        "{said}"
    );
    assert!(!said.contains("off the face"), "{said}");
}

#[test]
fn a_hundred_thousand_points_of_anything_are_borne() {
    let mut dice = Dice::new(3);
    let spiral = |i: u32| {
        let a = f64::from(i) * 0.01;
        Point::new(
            40.0 + 0.02 * a * libm::cos(a),
            25.0 + 0.02 * a * libm::sin(a),
        )
    };
    let zigzag = |i: u32| Point::new(10.0 + 0.0005 * f64::from(i), f64::from(i % 2) * 40.0);
    let all: [Stroke; 5] = [
        (0..100_000).map(spiral).collect(),
        (0..100_000).map(zigzag).collect(),
        (0..100_000)
            .map(|_| Point::new(dice.between(-10.0, 120.0), dice.between(-30.0, 80.0)))
            .collect(),
        vec![Point::new(30.0, 20.0); 100_000],
        (0..100_000)
            .map(|i| Point::new(15.0 + 0.0004 * f64::from(i), 20.0))
            .collect(),
    ];
    for stroke in all {
        sound(std::slice::from_ref(&stroke), &Limits::default()).unwrap_or_else(|e| panic!("{e}"));
        // As single points, and as many strokes.
        let dots: Vec<Stroke> = stroke.iter().step_by(10).map(|p| vec![*p]).collect();
        sound(&dots, &Limits::default()).unwrap_or_else(|e| panic!("{e}"));
    }
}

/// Points of any kind, a third of them hardly points.
fn anywhere() -> impl Strategy<Value = Point<Lateral>> {
    prop_oneof![
        6 => (0.0..70.0f64, 0.0..40.0f64),
        2 => (-200.0..200.0f64, -200.0..200.0f64),
        1 => (any::<f64>(), any::<f64>()),
        1 => Just((30.0, 20.0)),
        1 => (29.9999..30.0001f64, 19.9999..20.0001f64),
    ]
    .prop_map(|(x, y)| Point::new(x, y))
}

fn limits() -> impl Strategy<Value = Limits> {
    let usual = Just(Limits::default());
    let odd = (1.0..12.0f64, 0.1..3.0f64, 0..3u32, 0.05..0.9f64).prop_map(
        |(peak_radius_mm, arch_behind_least_mm, inflections, rounding)| Limits {
            peak_radius_mm,
            arch_behind_least_mm,
            arch_behind_mm: 3.0,
            arch_behind_most_mm: 3.5,
            inflections,
            rounding,
            ..Limits::default()
        },
    );
    prop_oneof![usual, odd]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_strokes_give_a_sound_brow_or_a_sentence(
        strokes in prop::collection::vec(prop::collection::vec(anywhere(), 0..60), 0..6),
        limits in limits(),
    ) {
        let present = draw(plain_brow().points(), plain_brow().form(), &limits);
        if present.is_ok() {
            sound(&strokes, &limits)?;
        }
    }
}
