//! What no person means but a file, a slip or a fault can bring: numbers that
//! are none, that are huge or next to nothing, points on one spot or in each
//! other's place. The engine draws a sound brow or says in one readable
//! sentence why not; it never stops the program and never draws nonsense.

// The exemption for tests doesn't reach the functions that tests share.
#![allow(clippy::unwrap_used)]

use ophryon_brow::{
    AimFrame, Brow, BrowPoints, Conflict, Ear, EyeSide, Form, HairRegion, Handle, Limits,
    MappingLines, NaturalBrow, Offset, Pair, PeakRule, Rules, Setting, SideMeasures, StartRule,
    TailRule, constraints, differences, draw, propose,
};
use ophryon_face::{
    FaceFrame, FrontFace, Held, Landmark, Landmarks, Reference, Scale, brow_differences,
    mirror_residual, pupil_distance,
};
use ophryon_frames::{Frame, Lateral, Photo, Point, Side, Sided, Skin, Vector, Wrap, WrapKind};
use proptest::prelude::*;

/// Longest sentence that is still read, characters.
const LONGEST_SENTENCE: usize = 250;

fn config() -> ProptestConfig {
    ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(600)
    }
}

/// A number to trip over.
fn nasty() -> impl Strategy<Value = f64> {
    prop_oneof![
        3 => any::<f64>(),
        1 => prop::sample::select(vec![
            f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, -0.0,
            f64::MAX, f64::MIN, f64::MIN_POSITIVE, 5e-324, -5e-324,
            1e-300, 1e300, 1e154, 1e16, 4_503_599_627_370_496.5, f64::EPSILON,
        ]),
    ]
}

/// Mostly a number of that size, now and then a nasty one or a neighbour of
/// the range's ends.
fn mostly(least: f64, most: f64) -> impl Strategy<Value = f64> {
    prop_oneof![
        12 => least..most,
        1 => nasty(),
        1 => Just(least),
        1 => Just(most.next_down()),
    ]
}

fn place<F: Frame>((x0, x1): (f64, f64), (y0, y1): (f64, f64)) -> impl Strategy<Value = Point<F>> {
    (mostly(x0, x1), mostly(y0, y1)).prop_map(|(x, y)| Point::new(x, y))
}

/// Five points near a brow's, some of them nowhere, some on one spot, some in
/// each other's place.
fn points() -> impl Strategy<Value = BrowPoints> {
    let five = [
        place((10.0, 20.0), (20.0, 27.0)).boxed(),
        place((10.0, 20.0), (12.0, 20.0)).boxed(),
        place((35.0, 45.0), (25.0, 34.0)).boxed(),
        place((36.0, 48.0), (18.0, 26.0)).boxed(),
        place((50.0, 70.0), (8.0, 20.0)).boxed(),
    ];
    let confusion = prop_oneof![
        4 => Just(None),
        1 => (0..5_usize, 0..5_usize, any::<bool>()).prop_map(Some),
    ];
    (five, confusion).prop_map(|(mut five, confusion)| {
        if let Some((a, b, same)) = confusion {
            if same {
                five[a] = five[b];
            } else {
                five.swap(a, b);
            }
        }
        let [front_top, front_bottom, peak, lower_arch, tail] = five;
        BrowPoints {
            front_top,
            front_bottom,
            peak,
            lower_arch,
            tail,
        }
    })
}

fn limits() -> impl Strategy<Value = Limits> {
    let lengths = (
        mostly(0.05, 1.0),
        mostly(0.5, 12.0),
        mostly(0.2, 1.0),
        mostly(1.0, 2.0),
        mostly(2.0, 5.0),
    );
    let rest = (
        mostly(0.5, 5.0),
        prop_oneof![3 => 0..3_u32, 1 => any::<u32>()],
        mostly(0.05, 0.9),
        prop::option::of(mostly(0.0, 1.0)),
        prop::option::of(mostly(0.1, 3.0)),
    );
    (lengths, rest).prop_map(|((straight, radius, least, usual, most), rest)| Limits {
        straight_mm: straight,
        peak_radius_mm: radius,
        arch_behind_least_mm: least,
        arch_behind_mm: usual,
        arch_behind_most_mm: most,
        aim_degrees: rest.0,
        inflections: rest.1,
        rounding: rest.2,
        hair_inside_least: rest.3,
        hair_step_most_mm: rest.4,
    })
}

fn offset() -> impl Strategy<Value = Offset> {
    let within = || mostly(-15.0, 15.0);
    (within(), within(), within()).prop_map(|(lateral_mm, height_mm, turn_degrees)| Offset {
        lateral_mm,
        height_mm,
        turn_degrees,
    })
}

/// Whether a person could have meant that number, however wrongly. A sentence
/// that repeats a number of three hundred digits is the asker's own.
fn tame(value: f64) -> bool {
    value.is_finite() && value.abs() < 1e6 && (value == 0.0 || value.abs() > 1e-6)
}

fn tame_point<F: Frame>(p: Point<F>) -> bool {
    tame(p.x) && tame(p.y)
}

fn tame_points(points: &BrowPoints) -> bool {
    Handle::ALL.iter().all(|h| tame_point(points.at(*h)))
}

/// A sentence for a person; with `tame` numbers asked for, a short one.
fn said(sentence: &str, tame: bool) -> Result<(), TestCaseError> {
    prop_assert!(sentence.chars().any(char::is_alphabetic));
    if tame {
        let count = sentence.chars().count();
        let begin: String = sentence.chars().take(160).collect();
        prop_assert!(count <= LONGEST_SENTENCE, "{count} characters: {begin}...");
        prop_assert!(
            !sentence.contains("NaN") && !sentence.contains("inf mm"),
            "{sentence}"
        );
    }
    Ok(())
}

/// A conflict lists every problem of the points; each is a sentence.
fn refused(conflict: &Conflict, tame: bool) -> Result<(), TestCaseError> {
    match conflict {
        Conflict::Points(problems) => {
            prop_assert!(!problems.is_empty());
            for problem in problems {
                said(&problem.to_string(), tame)?;
            }
            Ok(())
        }
        other => said(&other.to_string(), tame),
    }
}

fn sound(brow: &Brow, asked: &BrowPoints) -> Result<(), TestCaseError> {
    prop_assert_eq!(brow.points(), asked);
    let outline = brow.outline();
    for p in outline.segments().iter().flat_map(|s| s.controls) {
        prop_assert!(p.is_finite());
        // A brow lies on a face.
        prop_assert!(p.x.abs() < 200.0 && p.y.abs() < 200.0, "{p:?}");
    }
    prop_assert!(outline.area().is_finite() && outline.area() > 0.1);
    Ok(())
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn any_points_and_limits_give_a_sound_brow_or_a_sentence(
        points in points(), limits in limits(), offset in offset(), ear in place((120.0, 160.0), (-30.0, 10.0)),
    ) {
        let pair = Pair { offset: Sided { right: Offset::default(), left: offset }, ..Pair::even(points) };
        let brows = match pair.draw(&limits) {
            Ok(brows) => brows,
            Err(failed) => {
                return refused(&failed.conflict, tame_points(&points) && tame(limits.peak_radius_mm));
            }
        };
        sound(&brows.right, &points)?;
        let usable = offset.is_plausible() && ear.is_finite();
        let setting = Setting { ear, offset, hair: None };
        for reading in constraints(&brows.left, &setting, &limits) {
            if !usable {
                continue; // asked for nonsense; it came back without a stop
            }
            prop_assert!(reading.value.is_none_or(f64::is_finite), "{reading:?}");
            said(&reading.sentence, tame_point(ear))?;
            if let Some(mend) = reading.mend {
                said(&mend.sentence, tame_point(ear))?;
                prop_assert!(draw(&mend.points, &Form::default(), &limits).is_ok());
            }
        }
        let measures = Sided::from_fn(|side| SideMeasures::of(brows.get(side), pair.offset.get(side)));
        for row in differences(&measures) {
            prop_assert!(row.right_mm.is_finite());
            prop_assert!(!usable || row.left_mm.is_finite());
        }
    }

    #[test]
    fn dragging_anything_anywhere_keeps_the_pair_whole(
        points in points(), offset in offset(), unlinked in any::<bool>(),
        drags in prop::collection::vec((any::<bool>(), 0..6_usize, place((-20.0, 90.0), (-40.0, 90.0))), 1..6),
    ) {
        let mut pair = Pair { offset: Sided { right: offset, left: Offset::default() }, ..Pair::even(points) };
        if unlinked {
            pair = pair.unlinked();
        }
        for (left, handle, to) in drags {
            let side = if left { Side::Left } else { Side::Right };
            let handle = Handle::ALL[handle];
            let usable = tame_point(to) && offset.is_plausible() && tame_points(pair.points(side));
            pair = pair.with_handle_on(side, handle, to);
            if usable {
                let lies = pair.points_on(side).at(handle);
                prop_assert!(lies.distance(to) < 1e-6, "{handle:?} {lies:?} not {to:?}");
            }
            if let Err(failed) = pair.draw(&Limits::default()) {
                refused(&failed.conflict, tame_points(pair.points(failed.side)))?;
            }
        }
    }

    #[test]
    fn any_landmarks_give_a_proposal_or_a_sentence(
        eye in (
            place((12.0, 20.0), (-3.0, 3.0)), place((40.0, 50.0), (-3.0, 3.0)),
            place((13.0, 20.0), (-44.0, -30.0)), place((26.0, 36.0), (-0.5, 0.5)),
            prop::option::of(place((32.0, 42.0), (-0.5, 0.5))),
            prop::option::of(place((34.0, 44.0), (-7.0, -2.0))),
        ),
        hair in (
            place((10.0, 20.0), (20.0, 27.0)), place((10.0, 20.0), (12.0, 20.0)),
            place((35.0, 45.0), (24.0, 34.0)),
            prop::option::of(place((36.0, 48.0), (18.0, 26.0))),
            place((48.0, 60.0), (8.0, 20.0)),
        ),
        ear in (prop::option::of(mostly(90.0, 200.0)), prop::option::of(place((70.0, 80.0), (-20.0, 0.0)))),
        radius_mm in mostly(45.0, 200.0),
        (start_offset_mm, peak, tail, aim) in (mostly(-15.0, 15.0), 0..4_usize, any::<bool>(), any::<bool>()),
    ) {
        let rules = Rules {
            start: StartRule::NoseWing,
            start_offset_mm,
            peak: [
                PeakRule::AbovePupil, PeakRule::AboveIrisRim,
                PeakRule::WingThroughPupil, PeakRule::WingThroughIrisRim,
            ][peak],
            tail: if tail { TailRule::LowerLid } else { TailRule::WingThroughOuterCorner },
            aim: if aim { AimFrame::Skin } else { AimFrame::Front },
        };
        let (inner_corner, outer_corner, nose_wing, pupil, iris_outer_rim, lower_lid) = eye;
        let eye = EyeSide { inner_corner, outer_corner, nose_wing, pupil, iris_outer_rim, lower_lid };
        let lines = match MappingLines::construct(&eye, &rules) {
            Ok(lines) => lines,
            Err(why) => return said(&why.to_string(), false),
        };
        let (start_top, start_bottom, peak, lower_arch, tail) = hair;
        let natural = NaturalBrow { start_top, start_bottom, peak, lower_arch, tail };
        let ear = Ear::from_known(ear.0, ear.1);
        let wrap = Wrap::Cylinder { radius_mm };
        let limits = Limits::default();
        let proposed = propose(
            &Sided::from_fn(|_| lines), &Sided::from_fn(|_| natural), &Sided::from_fn(|_| ear),
            &rules, &Sided::from_fn(|_| wrap), &limits,
        );
        match proposed {
            Ok(points) => match draw(&points, &Form::default(), &limits) {
                Ok(brow) => sound(&brow, &points)?,
                Err(conflict) => refused(&conflict, tame_points(&points))?,
            },
            Err(why) => said(&why.to_string(), false)?,
        }
    }

    #[test]
    fn any_hair_border_is_weighed_or_refused(
        border in prop::collection::vec(place::<Lateral>((10.0, 65.0), (10.0, 35.0)), 0..40),
        twice in any::<bool>(),
    ) {
        let mut border = border;
        if twice {
            border = border.iter().flat_map(|p| [*p, *p]).collect();
        }
        // Borders come from taps on a face; see the record's own bounds.
        if border.iter().any(|p| p.x.abs() > 1e6 || p.y.abs() > 1e6) {
            return Ok(());
        }
        let Some(hair) = HairRegion::new(border) else { return Ok(()) };
        let brow = draw(&plain(), &Form::default(), &Limits::default()).unwrap();
        let fit = hair.fit(brow.outline());
        let all = [fit.inside_mm2, fit.outside_mm2, fit.bare_mm2, fit.largest_step_mm];
        prop_assert!(all.iter().all(|v| v.is_finite() && *v >= -1e-9), "{fit:?}");
        // What is inside and what is bare make up the brow.
        let brow_mm2 = brow.outline().area();
        prop_assert!((fit.inside_mm2 + fit.bare_mm2 - brow_mm2).abs() < 0.01 * brow_mm2, "{fit:?}");
        let setting = Setting { ear: Point::new(143.0, -11.0), offset: Offset::default(), hair: Some(&hair) };
        prop_assert!(constraints(&brow, &setting, &Limits::default()).len() == 8);
    }

    #[test]
    fn any_taps_give_a_face_or_a_sentence(
        taps in prop::collection::vec(place::<Photo>((0.0, 3000.0), (0.0, 4000.0)), 27),
        kept in prop::collection::vec(prop::bool::weighted(0.9), 27),
        ends in [place((0.0, 3000.0), (0.0, 4000.0)), place((0.0, 3000.0), (0.0, 4000.0))],
        length_mm in mostly(1.0, 500.0), which in 0..5_usize,
    ) {
        let mut landmarks = Landmarks::default();
        for ((landmark, at), kept) in Landmark::in_order().into_iter().zip(taps).zip(kept) {
            if kept {
                landmarks.set(landmark, at);
            }
        }
        for error in landmarks.check(3000, 4000) {
            said(&error.to_string(), true)?;
        }
        let chin = Landmark::from_id("middle/chin").unwrap();
        let bridge = Landmark::from_id("middle/bridge").unwrap();
        let reference = [
            Reference::Card { long: ends, short: Some([ends[1], ends[0]]), held: Held::Forehead },
            Reference::Ruler { ends, length_mm, held: Held::Nearer { mm: length_mm } },
            Reference::Sticker { rim: ends, diameter_mm: length_mm, held: Held::Cheek },
            Reference::Caliper { between: [chin, bridge], distance_mm: length_mm },
            Reference::Iris { side: Side::Left, rim: ends },
        ][which];
        let scale = match reference.scale(&landmarks) {
            Ok(scale) => scale,
            Err(why) => {
                said(&why.to_string(), false)?;
                Scale::new(0.1, 0.01).unwrap()
            }
        };
        prop_assert!(scale.mm_per_px() > 0.0 && scale.relative_sd().is_finite());
        for landmark in Landmark::in_order() {
            landmarks.expected(landmark, Some(length_mm));
        }
        landmarks.brow_region(None);
        if let Ok(apart) = pupil_distance(&landmarks, scale) {
            prop_assert!(apart.mm >= 0.0);
        }
        let frame = match FaceFrame::fit(&landmarks, scale) {
            Ok(frame) => frame,
            Err(why) => return said(&why.to_string(), false),
        };
        prop_assert!(frame.origin().is_finite() && frame.roll_degrees().is_finite());
        match FrontFace::new(&landmarks, &frame) {
            Ok(front) => {
                prop_assert!(front.points.values().all(|p| p.is_finite()));
                mirror_residual(&front);
                if let Err(why) = brow_differences(&front) {
                    said(&why.to_string(), false)?;
                }
            }
            Err(why) => said(&why.to_string(), false)?,
        }
    }

    #[test]
    fn any_tape_gives_a_head_or_a_sentence(
        start in place((8.0, 20.0), (10.0, 25.0)), tail in place((45.0, 65.0), (5.0, 25.0)),
        tape_mm in mostly(30.0, 80.0), radius_mm in mostly(40.0, 210.0), seen in place((0.0, 80.0), (-20.0, 40.0)),
    ) {
        let taped = |kind| Wrap::from_tape(kind, &[start, tail], tape_mm);
        for wrap in [taped(WrapKind::Cylinder), taped(WrapKind::Profile), Wrap::cylinder(radius_mm)] {
            match wrap {
                Ok(wrap) => {
                    let a_heads = match wrap {
                        Wrap::Flat => false,
                        Wrap::Cylinder { radius_mm } => (45.0..=200.0).contains(&radius_mm),
                        Wrap::Profile { depth } => (0.002..=0.35).contains(&depth),
                    };
                    prop_assert!(a_heads, "{wrap:?}");
                    match wrap.to_skin(seen) {
                        Ok(on) => prop_assert!(!seen.is_finite() || wrap.to_front(on).distance(seen) < 1e-6),
                        Err(why) => said(&why.to_string(), false)?,
                    }
                }
                Err(why) => said(&why.to_string(), false)?,
            }
        }
    }

    #[test]
    fn a_ruler_laid_anywhere_reads_a_number_or_nothing(
        at in place((0.0, 70.0), (0.0, 40.0)), x in mostly(-1.0, 1.0), y in mostly(-1.0, 1.0), each in 0..50_u32,
    ) {
        let brow = draw(&plain(), &Form::default(), &Limits::default()).unwrap();
        let (outline, way) = (brow.outline(), Vector::new(x, y));
        if at.is_finite() && at.x.abs() < 1e3 && at.y.abs() < 1e3 {
            prop_assert!(outline.crossings(at, way).iter().all(|t| t.is_finite()));
            prop_assert!(outline.across(at, way).is_none_or(|mm| mm > 0.0 && mm < 120.0));
        } else {
            outline.across(at, way);
        }
        if at.is_finite() {
            outline.contains(at);
        }
        prop_assert!(outline.sampled(each).iter().all(|p| p.is_finite()));
        let seen = brow.placed(Side::Right, &Offset::default()).seen(&Wrap::Cylinder { radius_mm: 45.0 });
        prop_assert!(seen.segments().iter().all(|s| s.controls.iter().all(|p| p.is_finite())));
        let _: Point<Skin> = Side::Right.place(at);
    }
}

fn plain() -> BrowPoints {
    BrowPoints {
        front_top: Point::new(15.0, 24.0),
        front_bottom: Point::new(15.0, 16.0),
        peak: Point::new(41.0, 29.5),
        lower_arch: Point::new(42.5, 22.0),
        tail: Point::new(57.0, 15.5),
    }
}
