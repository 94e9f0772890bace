//! Taps gone wrong: each fault is named once, with the way out.

use ophryon_face::{Landmark, LandmarkError, Landmarks, SidedLandmark};
use ophryon_frames::{Point, Side};
use proptest::prelude::*;

use crate::mean_face::{Shot, mean_face, sided};

const WIDTH: u32 = 3000;
const HEIGHT: u32 = 4000;

fn taps() -> Landmarks {
    Shot::LEVEL.taps(&mean_face())
}

fn exchanged(mut taps: Landmarks, a: Landmark, b: Landmark) -> Landmarks {
    let (p, q) = (taps.get(a).unwrap(), taps.get(b).unwrap());
    taps.set(a, q);
    taps.set(b, p);
    taps
}

/// The only fault, in words.
fn only(taps: &Landmarks) -> LandmarkError {
    let errors = taps.check(WIDTH, HEIGHT);
    assert_eq!(errors.len(), 1, "{errors:#?}");
    errors[0].clone()
}

proptest! {
    #[test]
    fn a_sound_face_has_no_faults(roll_degrees in -40.0..40.0f64, px_per_mm in 3.0..9.0f64) {
        let shot = Shot { roll_degrees, px_per_mm, at: [1500.0, 2000.0] };
        prop_assert_eq!(shot.taps(&mean_face()).check(WIDTH, HEIGHT), vec![]);
    }

    /// Half-done work is no fault, whichever half.
    #[test]
    fn what_is_still_missing_is_no_fault(kept in proptest::collection::vec(any::<bool>(), 27)) {
        let mut some = taps();
        for (landmark, keep) in Landmark::in_order().into_iter().zip(kept) {
            if !keep {
                some.remove(landmark);
            }
        }
        prop_assert_eq!(some.check(WIDTH, HEIGHT), vec![]);
    }
}

#[test]
fn a_tap_off_the_photo_or_nowhere_is_named() {
    let chin = Landmark::from_id("middle/chin").unwrap();
    let mut off = taps();
    off.set(chin, Point::new(1500.0, 4000.5));
    let error = only(&off);
    assert_eq!(
        error.to_string(),
        "the middle of the chin lies outside the photo of 3000 x 4000 px; tap it again inside"
    );
    off.set(chin, Point::new(f64::NAN, 10.0));
    assert_eq!(only(&off), LandmarkError::NotFinite { landmark: chin });
    off.set(chin, Point::new(1500.0, f64::INFINITY));
    assert_eq!(only(&off), LandmarkError::NotFinite { landmark: chin });
}

#[test]
fn two_landmarks_on_one_spot_are_named() {
    let top = sided(Side::Left, SidedLandmark::BrowStartTop);
    let bottom = sided(Side::Left, SidedLandmark::BrowStartBottom);
    let mut double = taps();
    double.set(top, double.get(bottom).unwrap());
    // In the order of asking.
    assert_eq!(
        only(&double),
        LandmarkError::SameSpot {
            first: bottom,
            second: top
        }
    );
}

#[test]
fn an_exchanged_pair_is_told_from_a_mirrored_photo() {
    let corner = |side| sided(side, SidedLandmark::InnerCorner);
    let one = exchanged(taps(), corner(Side::Right), corner(Side::Left));
    let error = only(&one);
    assert!(
        matches!(error, LandmarkError::SidesSwapped { right, .. } if right == corner(Side::Right))
    );
    assert!(
        error
            .to_string()
            .contains("inner corner of the client's right eye")
    );

    let mut all = Landmarks::default();
    for (landmark, p) in taps().iter() {
        all.set(landmark.partner(), p);
    }
    let error = only(&all);
    assert!(matches!(error, LandmarkError::Mirrored { .. }));
    assert!(error.to_string().contains("mirrored"));
}

#[test]
fn a_turned_photo_is_one_fault() {
    for (roll_degrees, word) in [
        (180.0, "right way up"),
        (90.0, "upright"),
        (-90.0, "upright"),
    ] {
        let shot = Shot {
            roll_degrees,
            at: [1500.0, 2000.0],
            ..Shot::LEVEL
        };
        let error = only(&shot.taps(&mean_face()));
        assert!(error.to_string().contains(word), "{error}");
    }
}

#[test]
fn exchanged_corners_and_edges_are_named() {
    let of = |l| sided(Side::Left, l);
    use SidedLandmark as S;
    let corners = exchanged(taps(), of(S::InnerCorner), of(S::OuterCorner));
    let errors = corners.check(WIDTH, HEIGHT);
    assert!(
        errors
            .iter()
            .all(|e| matches!(e, LandmarkError::OutOfOrder { .. }))
    );
    let words: Vec<String> = errors.iter().map(ToString::to_string).collect();
    assert!(
        words
            .iter()
            .any(|w| w.contains("outer corner of the client's left eye")),
        "{words:?}"
    );
    assert!(
        words
            .iter()
            .any(|w| w.contains("inner corner of the client's left eye")),
        "{words:?}"
    );

    let edges = exchanged(taps(), of(S::BrowStartTop), of(S::BrowStartBottom));
    assert_eq!(
        only(&edges).to_string(),
        "the upper edge of the client's left brow at its start should lie above the lower edge of the client's left brow at its start; tap both again"
    );
}

#[test]
fn files_keep_their_taps_and_refuse_strangers() {
    let written = serde_json::to_string(&taps()).unwrap();
    assert!(written.contains(r#""inner-corner":["#));
    assert_eq!(serde_json::from_str::<Landmarks>(&written).unwrap(), taps());
    assert_eq!(
        serde_json::from_str::<Landmarks>("{}").unwrap(),
        Landmarks::default()
    );
    for strange in [
        r#"{"right":{"elbow":[1,2]}}"#,
        r#"{"up":{}}"#,
        r#"{"middle":{"pupil":[1,2]}}"#,
        r#"{"right":{"pupil":[1]}}"#,
        r#"{"right":{"pupil":[1,null]}}"#,
    ] {
        assert!(
            serde_json::from_str::<Landmarks>(strange).is_err(),
            "{strange}"
        );
    }
}

#[test]
fn asking_goes_on_where_it_stopped() {
    let mut some = Landmarks::default();
    let first = some.next_missing(|_| true).unwrap();
    assert_eq!(first, Landmark::in_order()[0]);
    assert_eq!(some.set(first, Point::new(1.0, 2.0)), None);
    assert_eq!(some.next_missing(|_| true), Some(Landmark::in_order()[1]));
    assert_eq!(some.remove(first), Some(Point::new(1.0, 2.0)));
    assert_eq!(some.next_missing(|_| true), Some(first));
    assert_eq!(taps().next_missing(|_| true), None);
    assert_eq!(taps().iter().count(), 27);
}
