//! Roll, midline and origin.

use ophryon_face::{FaceError, FaceFrame, FrontFace, Landmark, Landmarks, Scale, SidedLandmark};
use ophryon_frames::{Point, Side};
use proptest::prelude::*;

use crate::mean_face::{Face, HALF_PUPILS_MM, PUPIL_LEVEL_MM, Shot, mean_face, moved, sided};

const BROW_LANDMARKS: [SidedLandmark; 5] = [
    SidedLandmark::BrowStartTop,
    SidedLandmark::BrowStartBottom,
    SidedLandmark::BrowPeak,
    SidedLandmark::BrowLowerArch,
    SidedLandmark::BrowTail,
];

fn seen(face: &Face, shot: &Shot) -> (FaceFrame, FrontFace) {
    let taps = shot.taps(face);
    let frame = FaceFrame::fit(&taps, shot.card().scale(&taps).unwrap()).unwrap();
    let front = FrontFace::new(&taps, &frame).unwrap();
    (frame, front)
}

/// An uneven face: every landmark up to 2 mm off.
fn uneven() -> impl Strategy<Value = Face> {
    proptest::collection::vec((-2.0..2.0f64, -2.0..2.0f64), 27).prop_map(|off| {
        let mut face = mean_face();
        for ((_, at), (x, y)) in face.iter_mut().zip(off) {
            *at = [at[0] + x, at[1] + y];
        }
        face
    })
}

fn shot() -> impl Strategy<Value = Shot> {
    (
        2.0..25.0f64,
        -30.0..30.0f64,
        500.0..5000.0f64,
        500.0..5000.0f64,
    )
        .prop_map(|(px_per_mm, roll_degrees, x, y)| Shot {
            px_per_mm,
            roll_degrees,
            at: [x, y],
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn to_the_front_and_back_is_the_same_place(
        face in uneven(), shot in shot(), x in -100.0..100.0f64, y in -120.0..80.0f64,
    ) {
        let (frame, _) = seen(&face, &shot);
        let p = Point::new(x, y);
        prop_assert!(frame.to_front(frame.to_photo(p)).distance(p) < 1e-9);
        let tap = shot.of([x, y]);
        prop_assert!(frame.to_photo(frame.to_front(tap)).distance(tap) < 1e-9);
    }

    /// Where the face stands in the photo, how large and how turned, changes
    /// no millimetre.
    #[test]
    fn moving_turning_and_enlarging_the_photo_changes_nothing(face in uneven(), shot in shot()) {
        let (level, expected) = seen(&face, &Shot::LEVEL);
        let (frame, front) = seen(&face, &shot);
        for (landmark, p) in &expected.points {
            prop_assert!(front.points[landmark].distance(*p) < 1e-9, "{landmark}");
        }
        prop_assert!((frame.midline_tilt_degrees() - level.midline_tilt_degrees()).abs() < 1e-9);
        let turned = frame.roll_degrees() - level.roll_degrees();
        prop_assert!((turned - shot.roll_degrees).abs() < 1e-9);
    }

    /// The pupils are level, and as far apart as they are.
    #[test]
    fn pupils_lie_on_the_level(face in uneven(), shot in shot()) {
        let (_, front) = seen(&face, &shot);
        let [right, left] = Side::BOTH.map(|s| front.need(s, SidedLandmark::Pupil).unwrap());
        prop_assert!(right.y.abs() < 1e-9 && left.y.abs() < 1e-9);
        prop_assert!(right.x < 0.0 && left.x > 0.0);
        let at = |s| face.iter().find(|e| e.0 == sided(s, SidedLandmark::Pupil)).unwrap().1;
        let [[rx, ry], [lx, ly]] = Side::BOTH.map(at);
        prop_assert!((left.x - right.x - libm::hypot(lx - rx, ly - ry)).abs() < 1e-9);
    }

    /// Brows are what is judged: they move neither midline nor roll nor scale,
    /// not by a bit.
    #[test]
    fn moving_a_brow_moves_nothing_else(
        face in uneven(), which in proptest::sample::select(BROW_LANDMARKS.to_vec()), right in any::<bool>(),
        x in -9.0..9.0f64, y in -9.0..9.0f64,
    ) {
        let landmark = sided(if right { Side::Right } else { Side::Left }, which);
        let (frame, front) = seen(&face, &Shot::LEVEL);
        let (after, front_after) = seen(&moved(face, landmark, x, y), &Shot::LEVEL);
        prop_assert_eq!(frame, after);
        for (l, p) in &front.points {
            prop_assert!(*l == landmark || front_after.points[l] == *p);
        }
    }

    /// Reflecting the whole face reflects the result, exactly swapped.
    #[test]
    fn a_mirrored_face_has_the_mirrored_numbers(face in uneven()) {
        let (frame, front) = seen(&face, &Shot::LEVEL);
        let mirrored = face.iter().map(|(l, [x, y])| (l.partner(), [-x, *y])).collect();
        let (other, reflected) = seen(&mirrored, &Shot::LEVEL);
        prop_assert!((frame.midline_tilt_degrees() + other.midline_tilt_degrees()).abs() < 1e-9);
        for (l, p) in &front.points {
            let q = reflected.points[&l.partner()];
            prop_assert!(Point::new(-q.x, q.y).distance(*p) < 1e-9);
        }
    }

    /// Whatever numbers stand in a file, there is a face or a sentence.
    #[test]
    fn any_numbers_give_a_face_or_a_sentence(
        at in proptest::collection::vec(any::<(f64, f64)>(), 27), mm in any::<f64>(), sd in any::<f64>(),
    ) {
        let mut taps = Landmarks::default();
        for (landmark, (x, y)) in Landmark::in_order().into_iter().zip(at) {
            taps.set(landmark, Point::new(x, y));
        }
        taps.check(3000, 4000);
        let scale = Scale::new(mm, sd).unwrap_or(Scale::new(0.1, 0.01).unwrap());
        if let Ok(frame) = FaceFrame::fit(&taps, scale) {
            prop_assert!(frame.midline_tilt_degrees().is_finite() && frame.origin().is_finite());
            if let Ok(front) = FrontFace::new(&taps, &frame) {
                prop_assert!(front.points.values().all(|p| p.is_finite()));
            }
        }
    }
}

/// The mesh is even by construction, so nothing leans, and its millimetres
/// come back.
#[test]
fn the_mean_face_is_even_and_keeps_its_millimetres() {
    let shot = Shot {
        roll_degrees: -4.0,
        ..Shot::LEVEL
    };
    let (frame, front) = seen(&mean_face(), &shot);
    assert!(frame.midline_tilt_degrees().abs() < 1e-9);
    assert!((frame.roll_degrees() + 4.0).abs() < 1e-9);
    for (landmark, [x, y]) in mean_face() {
        let p = Point::new(x, y - PUPIL_LEVEL_MM);
        assert!(front.points[&landmark].distance(p) < 1e-9, "{landmark}");
    }
    assert!((front.ear_height(Side::Left).unwrap() + 11.0).abs() < 1e-9);
}

/// A face that hangs by 1° and is not levelled shows a false difference of
/// 1.10 mm over the 63 mm between the pupils and 1.92 mm over 110 mm (sine).
#[test]
fn one_degree_of_roll_no_longer_costs_a_millimetre() {
    let shot = Shot {
        roll_degrees: 1.0,
        ..Shot::LEVEL
    };
    let taps = shot.taps(&mean_face());
    let height = |l: Landmark| -taps.get(l).unwrap().y / shot.px_per_mm;
    let raw = height(sided(Side::Left, SidedLandmark::Pupil))
        - height(sided(Side::Right, SidedLandmark::Pupil));
    assert!((raw - 1.10).abs() < 0.005);
    let (frame, front) = seen(&mean_face(), &shot);
    // The client's left eye is the higher one in that photo.
    assert!((frame.roll_degrees() - 1.0).abs() < 1e-9);
    assert!((110.0 * libm::sin(frame.roll_degrees().to_radians()) - 1.92).abs() < 0.005);
    let tails = Side::BOTH.map(|s| front.need(s, SidedLandmark::BrowTail).unwrap().y);
    assert!((tails[0] - tails[1]).abs() < 1e-9);
}

/// The mean face without what may be left out of the midline.
fn only_sided() -> Face {
    let mut face = mean_face();
    face.retain(|(l, _)| matches!(l, Landmark::Sided(_, s) if *s != SidedLandmark::EarMiddle));
    face
}

/// A nose bent toward the client's right leaves the upper end of the midline
/// leaning toward her left, by the sign that is written.
#[test]
fn tilt_is_signed_toward_the_clients_left_above() {
    let mut face = mean_face();
    for side in Side::BOTH {
        face = moved(face, sided(side, SidedLandmark::NoseWing), -3.0, 0.0);
    }
    let (frame, front) = seen(&face, &Shot::LEVEL);
    assert!((0.5..5.0).contains(&frame.midline_tilt_degrees()));
    // Left to the eyes and the nose alone, it is the slope between the two:
    // 3 mm over the 36 mm from one to the other is 4.8°.
    let mut face = only_sided();
    for side in Side::BOTH {
        face = moved(face, sided(side, SidedLandmark::NoseWing), -3.0, 0.0);
    }
    let (alone, _) = seen(&face, &Shot::LEVEL);
    assert!((alone.midline_tilt_degrees() - 4.8).abs() < 0.1);
    // It meets the pupil line near the middle of the eyes all the same.
    let pupil = front.need(Side::Left, SidedLandmark::Pupil).unwrap();
    assert!((pupil.x - HALF_PUPILS_MM).abs() < 0.5);
}

/// A jaw held 4 mm to one side, or one ear tapped 4 mm off, must not shift
/// the distances of the brows from the midline by more than a ruler shows.
#[test]
fn a_loose_chin_or_ear_hardly_moves_the_midline() {
    let chin = Landmark::from_id("middle/chin").unwrap();
    let ear = sided(Side::Right, SidedLandmark::EarMiddle);
    for landmark in [chin, ear] {
        let (_, front) = seen(&moved(mean_face(), landmark, 4.0, 0.0), &Shot::LEVEL);
        let start = front.need(Side::Left, SidedLandmark::BrowStartTop).unwrap();
        assert!((start.x - 13.95634).abs() < 0.5, "{landmark}: {start:?}");
    }
}

#[test]
fn ears_and_middle_may_be_left_out_and_nothing_else() {
    let full = Shot::LEVEL.taps(&mean_face());
    let scale = Scale::new(0.1, 0.01).unwrap();
    use SidedLandmark as S;
    for landmark in Landmark::in_order() {
        let mut taps = full.clone();
        taps.remove(landmark);
        let fitted = FaceFrame::fit(&taps, scale);
        let needed = matches!(
            landmark,
            Landmark::Sided(_, S::Pupil | S::InnerCorner | S::OuterCorner | S::NoseWing)
        );
        if needed {
            let error = fitted.unwrap_err();
            assert_eq!(error, FaceError::Missing { landmark });
            assert!(error.to_string().contains(&landmark.name()));
        } else {
            assert!(fitted.unwrap().midline_tilt_degrees().abs() < 1e-9);
        }
    }
}

#[test]
fn taps_that_make_no_face_are_refused_in_words() {
    let scale = Scale::new(0.1, 0.01).unwrap();
    let fit = |face: &Face| FaceFrame::fit(&Shot::LEVEL.taps(face), scale);
    let mirrored: Face = mean_face()
        .into_iter()
        .map(|(l, [x, y])| (l, [-x, y]))
        .collect();
    assert_eq!(fit(&mirrored), Err(FaceError::MirroredOrTurned));
    // Turned by half, it is only turned: right and left still agree.
    let turned = Shot {
        roll_degrees: 180.0,
        ..Shot::LEVEL
    };
    assert!(FaceFrame::fit(&turned.taps(&mean_face()), scale).is_ok());

    let pupil = sided(Side::Left, SidedLandmark::Pupil);
    let together = moved(mean_face(), pupil, -2.0 * HALF_PUPILS_MM, 0.0);
    assert_eq!(fit(&together), Err(FaceError::PupilsTogether));

    let mut astray = only_sided();
    for side in Side::BOTH {
        astray = moved(astray, sided(side, SidedLandmark::NoseWing), 30.0, 0.0);
    }
    let error = fit(&astray).unwrap_err();
    assert!(matches!(
        error,
        FaceError::MidlineAskew { .. } | FaceError::NoMidline
    ));
    assert!(error.to_string().contains("nose"), "{error}");

    let nowhere = moved(mean_face(), pupil, f64::NAN, 0.0);
    assert_eq!(fit(&nowhere), Err(FaceError::NotFinite { landmark: pupil }));
}
