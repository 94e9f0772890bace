//! A whole photo: tap spread, pose, distance, plausibility, budgets.

use std::collections::BTreeMap;

use ophryon_face::{
    Angle, BrowPlace, Budget, CameraDistance, Cause, Coin, Distance, Held, Landmark, Landmarks,
    Lens, PoseVerdict, PupilVerdict, Quantity, Reference, SidedLandmark, Survey, TapSpread, Taps,
    Unit, check_iris,
};
use ophryon_frames::{Photo, Point, Side};
use proptest::prelude::*;

use crate::mean_face::{Face, HALF_PUPILS_MM, Shot, mean_face, moved, sided};

fn survey(face: &Face) -> Survey {
    surveyed(&Shot::LEVEL.taps(face), None)
}

fn surveyed(taps: &Landmarks, lens: Option<Lens>) -> Survey {
    Survey::of(&Taps::from(taps), &[Shot::LEVEL.card()], lens).unwrap()
}

/// Depths of the mean face's vertices over its pupils (z = 39), mm, and an ear
/// 88 mm behind them.
fn depth(landmark: Landmark) -> f64 {
    use SidedLandmark as S;
    let z = match landmark {
        Landmark::Sided(_, S::InnerCorner) => 37.57904,
        Landmark::Sided(_, S::OuterCorner) => 31.73422,
        Landmark::Sided(_, S::NoseWing) => 48.50470,
        Landmark::Sided(_, S::BrowStartTop) => 53.16032,
        Landmark::Sided(_, S::BrowStartBottom) => 51.06035,
        Landmark::Sided(_, S::BrowPeak) => 44.66315,
        Landmark::Sided(_, S::BrowLowerArch) => 43.0,
        Landmark::Sided(_, S::BrowTail) => 33.63159,
        Landmark::Sided(_, S::EarMiddle) => 39.0 - 88.0,
        Landmark::Sided(..) => 39.0,
        Landmark::Middle(m) => match m.id() {
            "bridge" => 52.36015,
            "nose-base" => 60.58267,
            _ => 42.64492,
        },
    };
    z - 39.0
}

/// The mean face turned toward the client's left and tipped chin up, seen from
/// so far away (mm to the pupils).
fn turned(yaw: f64, pitch: f64, from: f64) -> Landmarks {
    let (sy, cy) = libm::sincos(yaw.to_radians());
    let (sp, cp) = libm::sincos(pitch.to_radians());
    let face: Face = mean_face()
        .into_iter()
        .map(|(l, [x, y])| {
            let (y, z) = (y - 26.0, depth(l));
            let (x, z) = (x * cy + z * sy, z * cy - x * sy);
            let (y, z) = (y * cp + z * sp, z * cp - y * sp);
            let k = from / (from - z);
            (l, [k * x, k * y])
        })
        .collect();
    Shot::LEVEL.taps(&face)
}

/// By hand: 2 landmarks, 2 and 3 taps, so (1 + 2) · 2 = 6 repeats.
#[test]
fn taps_that_were_repeated_say_how_sure_the_hand_is() {
    let landmarks = Shot::LEVEL.taps(&mean_face());
    let tail = sided(Side::Left, SidedLandmark::BrowTail);
    let chin = Landmark::from_id("middle/chin").unwrap();
    let at = |x, y| Point::<Photo>::new(x, y);
    let repeated = BTreeMap::from([
        (tail, vec![at(100.0, 50.0), at(106.0, 50.0)]),
        (chin, vec![at(0.0, 0.0), at(0.0, 6.0), at(3.0, 0.0)]),
    ]);
    let taps = Taps {
        repeated: &repeated,
        ..Taps::from(&landmarks)
    };
    let spread = TapSpread::of(&taps, 0.1);
    assert_eq!(spread.repeats(), 6);
    // Squared deviations from the means (103, 50) and (1, 2): 18 and 6 + 24.
    let default = 3.0 * 3.0 + 0.289 * 0.289;
    let expected = ((6.0 * default + 18.0 + 30.0) / 12.0_f64).sqrt();
    assert!(
        (spread.sd_px() - expected).abs() < 1e-12,
        "{}",
        spread.sd_px()
    );
    // The mean of more taps is surer; one tapped once is not.
    assert!((spread.of_landmark(tail) - expected / 2.0_f64.sqrt()).abs() < 1e-12);
    assert!((spread.of_landmark(chin) - expected / 3.0_f64.sqrt()).abs() < 1e-12);
    let pupil = sided(Side::Left, SidedLandmark::Pupil);
    assert!((spread.of_landmark(pupil) - expected).abs() < 1e-12);
    assert!(spread.sentence().contains("2 landmarks tapped again"));
    assert_eq!(spread.slips().count(), 0);
    // At 0.55 mm per px the same taps are 3.3 and 3.7 mm apart.
    let slips: Vec<String> = TapSpread::of(&taps, 0.55).slips().collect();
    assert_eq!(slips.len(), 2);
    assert!(
        slips[0].contains("lie 3.3 mm apart") && slips[0].contains("Place it anew"),
        "{slips:?}"
    );

    // Where an assistance says how sure it is, that counts.
    let mut placed = Taps::from(&landmarks);
    placed.placed_sd_px.insert(pupil, 1.5);
    assert!((TapSpread::of(&placed, 0.1).of_landmark(pupil) - 1.5).abs() < 1e-12);
    assert_eq!(TapSpread::of(&placed, 0.1).repeats(), 0);
}

/// 0.3 mm on the face at any size of the photo, and never better than a pixel.
#[test]
fn a_tap_is_off_by_millimetres_and_by_pixels() {
    for mm_per_px in [0.03, 0.1, 0.5] {
        let spread = TapSpread::by_default(mm_per_px);
        let expected = libm::hypot(0.3, 0.289 * mm_per_px);
        assert!((spread.sd_mm() - expected).abs() < 1e-12);
        assert!(spread.of_edge() < spread.sd_px() && spread.of_edge() > 0.289);
    }
}

/// A turn is found with its sign and about its size; looking into the lens is
/// the likelier the less is seen, so it is never exaggerated.
#[test]
fn the_pose_of_a_turned_mean_face_is_found() {
    let lens = Lens::calibrated(12_000.0);
    for yaw in [-4.0, -2.0, 0.0, 3.0] {
        for pitch in [-4.0, 0.0, 4.0] {
            let found = surveyed(&turned(yaw, pitch, 1200.0), Some(lens)).pose.pose;
            let Angle { degrees, sd } = found.yaw;
            assert!(
                (degrees - yaw).abs() < 0.15 * yaw.abs() + 0.1,
                "{yaw}: {degrees}"
            );
            assert!((0.3..1.0).contains(&sd), "{sd}");
            assert!(found.pitch.degrees * pitch >= 0.0, "{pitch}: {found:?}");
            assert!(found.pitch.degrees.abs() <= pitch.abs() + 0.1);
            assert!((1.0..3.0).contains(&found.pitch.sd));
        }
    }
}

#[test]
fn a_turned_head_is_said_with_its_cost_and_nothing_is_corrected() {
    let lens = Some(Lens::calibrated(12_000.0));
    let straight = surveyed(&turned(0.0, 0.0, 1200.0), lens);
    assert_eq!(straight.pose.verdict, PoseVerdict::Straight);
    assert!(!straight.pose.asks_for_another());
    assert!(
        straight.pose.cautions().is_empty(),
        "{:?}",
        straight.pose.cautions()
    );
    assert!(straight.pose.sentences()[0].contains("straight enough"));

    let seen = surveyed(&turned(4.0, 0.0, 1200.0), lens);
    assert_eq!(seen.pose.verdict, PoseVerdict::Turned);
    assert!(seen.pose.asks_for_another());
    let said = seen.pose.cautions().concat();
    for word in ["turned", "client's left", "Take another photo", "mm"] {
        assert!(said.contains(word), "{word}: {said}");
    }
    // 4 degrees: the start lies 13 mm in front of the pupils, so both starts
    // go 0.9 mm toward the client's left, and the midline a little less the
    // other way: their distances differ by about 2 mm.
    let start = seen.pose.turn_costs[0];
    assert_eq!(start.place, BrowPlace::Start);
    assert!(
        (-2.6..-1.4).contains(&start.from_midline_difference_mm),
        "{start:?}"
    );
    assert!(start.height_difference_mm.abs() < 0.2);
    // What is measured stays as it was seen.
    let q = Quantity::FromMidlineDifference(BrowPlace::Start);
    let budget = seen.influences().unwrap().of_quantity(q).unwrap();
    assert!((budget.value - start.from_midline_difference_mm).abs() < 0.3);
    // But what is shown holds the truth, which is 0, and says why it is wide.
    assert!(!budget.distinguishable(), "{budget}");
    assert_eq!(budget.dominant().unwrap().0, Cause::Pose);
    let before = straight.influences().unwrap().of_quantity(q).unwrap();
    assert!(budget.sd() > 1.5 * before.sd());
}

#[test]
fn brows_have_no_say_in_pose_or_scale() {
    let before = survey(&mean_face());
    for l in [SidedLandmark::BrowTail, SidedLandmark::BrowStartTop] {
        let face = moved(mean_face(), sided(Side::Right, l), -4.0, 5.0);
        let after = survey(&face);
        assert_eq!(after.pose.pose, before.pose.pose);
        assert_eq!(after.scale, before.scale);
        assert_eq!(after.frame, before.frame);
    }
}

/// d = f k; below a metre it is said with what it costs at the tail.
#[test]
fn a_near_camera_is_said_with_what_it_costs() {
    let taps = Shot::LEVEL.taps(&mean_face());
    for (focal_px, metres, near) in [(5000.0, 0.5, true), (15_000.0, 1.5, false)] {
        let found = surveyed(&taps, Some(Lens::from_equivalent(focal_px)));
        let CameraDistance::Known { mm, sd } = found.distance else {
            panic!("the focal length is known");
        };
        assert!((mm - 1000.0 * metres).abs() < 1e-6, "{mm}");
        assert!((sd / mm - 0.03).abs() < 0.005);
        assert_eq!(found.distance.too_near(), near);
        assert_eq!(found.pose.asks_for_another(), near);
        let tail = found.pose.near_costs[2];
        // The tail of the mean face lies 10 mm behind the plane of its brows
        // and 52.5 mm out: 10/500 of that is 1 mm.
        let by_hand = -52.5 * 9.8 / mm;
        assert!((tail.from_midline_mm - by_hand).abs() < 0.1, "{tail:?}");
        let said = found.pose.cautions().concat();
        assert_eq!(said.contains("The camera was 0.50 m away"), near, "{said}");
        assert_eq!(
            said.contains("The tail of a brow reads 1.0 mm too short"),
            near,
            "{said}"
        );
    }
    // Unknown: no alarm, but everything is less certain.
    let unknown = surveyed(&taps, None);
    assert_eq!(unknown.distance, CameraDistance::Unknown);
    assert!(unknown.pose.sentences()[1].contains("isn't known"));
    let far = surveyed(&taps, Some(Lens::from_equivalent(15_000.0)));
    let q = Quantity::BrowFromMidline(Side::Left, BrowPlace::Tail);
    let sd = |s: &Survey| s.influences().unwrap().of_quantity(q).unwrap().sd();
    assert!(sd(&unknown) > 1.3 * sd(&far));
    // Nonsense is as good as nothing.
    for focal_px in [0.0, -3.0, f64::NAN, f64::INFINITY] {
        let lens = Lens::from_equivalent(focal_px);
        assert_eq!(
            surveyed(&taps, Some(lens)).distance,
            CameraDistance::Unknown
        );
    }
}

/// Rüfer et al., Cornea 2005;24:259-61: 10.70 to 12.58 mm in 390 people.
#[test]
fn an_iris_of_a_wrong_size_warns_and_then_stops() {
    let check = |mm| check_iris(Distance { mm, sd: 0.1 }).verdict;
    for mm in [10.7, 11.71, 12.58, 12.7] {
        assert_eq!(check(mm), PupilVerdict::Usual, "{mm}");
    }
    for mm in [10.3, 13.0, 9.9, 13.1] {
        assert_eq!(check(mm), PupilVerdict::Unusual, "{mm}");
    }
    for mm in [1.17, 9.7, 13.3, 117.0, f64::NAN] {
        assert_eq!(check(mm), PupilVerdict::Impossible, "{mm}");
    }
    // A ruler read in tenths: pupils and irises say so, and the way out.
    let taps = Shot::LEVEL.taps(&mean_face());
    let ruler = |length_mm| Reference::Ruler {
        ends: [Point::new(100.0, 100.0), Point::new(900.0, 100.0)],
        length_mm,
        held: Held::BrowPlane,
    };
    let right = Survey::of(&Taps::from(&taps), &[ruler(80.0)], None).unwrap();
    assert_eq!(right.stops(), None);
    assert!(right.irises.left.is_some());
    let wrong = Survey::of(&Taps::from(&taps), &[ruler(8.0)], None).unwrap();
    assert!(wrong.stops().unwrap().contains("the scale can't be right"));
    assert!(wrong.cautions().len() >= 3);
    // By the irises alone they would only vouch for themselves.
    let iris = Reference::Iris {
        side: Side::Left,
        rim: [Point::new(100.0, 100.0), Point::new(217.1, 100.0)],
    };
    let own = Survey::of(&Taps::from(&taps), &[iris], None).unwrap();
    assert_eq!(own.irises.left, None);
}

/// What dominates is what one would think.
#[test]
fn a_budget_names_its_largest_cause() {
    let far = Some(Lens::calibrated(20_000.0));
    let taps = turned(0.0, 0.0, 2000.0);
    let influences = surveyed(&taps, far).influences().unwrap();
    let of = |q| influences.of_quantity(q).unwrap();
    // Height above the pupils: two taps that are 80 mm apart level a brow.
    let tail = of(Quantity::HeightDifference(BrowPlace::Tail));
    assert_eq!(tail.dominant().unwrap().0, Cause::Level);
    // By hand: each of two taps 0.3014 mm; the level turns by two pupil taps
    // over 63 mm, and the tails are 105.07 mm apart.
    let tap = libm::hypot(0.3, 0.0289);
    let taps_only = std::f64::consts::SQRT_2 * tap;
    assert!(
        (tail.part(Cause::Taps) - taps_only).abs() < 1e-3,
        "{tail:?}"
    );
    let level = taps_only * 2.0 * 52.53 / (2.0 * HALF_PUPILS_MM);
    assert!((tail.part(Cause::Level) - level).abs() < 5e-3, "{tail:?}");
    // Midline and evenness don't touch a height, nor the scale one of 0 mm.
    assert!(tail.part(Cause::Unevenness) < 1e-9 && tail.part(Cause::Scale) < 1e-3);
    let sum: f64 = tail.parts.iter().map(|(_, sd)| sd * sd).sum();
    assert!((tail.sd() - sum.sqrt()).abs() < 1e-12);
    assert_eq!(
        tail.to_string(),
        format!("{:.1} ± {:.1} mm", tail.value, 2.0 * tail.sd())
    );
    // An eye's slant is an angle.
    let corner = |l| sided(Side::Left, l);
    let slant = of(Quantity::Angle(
        corner(SidedLandmark::InnerCorner),
        corner(SidedLandmark::OuterCorner),
    ));
    assert!(slant.to_string().ends_with("degrees"), "{slant}");
    // A landmark that isn't there has no height.
    let mut fewer = taps.clone();
    fewer.remove(corner(SidedLandmark::BrowTail));
    let fewer = surveyed(&fewer, far).influences().unwrap();
    let missing = Quantity::BrowHeight(Side::Left, BrowPlace::Tail);
    assert_eq!(fewer.of_quantity(missing), None);
}

#[test]
fn a_number_is_shown_to_a_tenth_and_never_as_certain() {
    let budget = |value, sd| Budget {
        value,
        unit: Unit::Mm,
        parts: vec![(Cause::Taps, sd)],
    };
    assert_eq!(budget(1.43, 0.15).to_string(), "1.4 ± 0.3 mm");
    assert_eq!(budget(-0.02, 0.001).to_string(), "0.0 ± 0.1 mm");
    assert!(budget(0.31, 0.15).distinguishable() && !budget(0.29, 0.15).distinguishable());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Tapping more surely, or taking a surer reference, never widens what is
    /// shown; and everything is finite.
    #[test]
    fn surer_taps_make_surer_numbers(
        off in proptest::collection::vec((-2.0..2.0f64, -2.0..2.0f64), 27), sd in 0.2..2.0f64,
    ) {
        let mut face = mean_face();
        for ((_, at), (x, y)) in face.iter_mut().zip(off) {
            *at = [at[0] + x, at[1] + y];
        }
        let landmarks = Shot::LEVEL.taps(&face);
        let by_hand = surveyed(&landmarks, None).influences().unwrap();
        let mut placed = Taps::from(&landmarks);
        for l in Landmark::in_order() {
            placed.placed_sd_px.insert(l, sd);
        }
        let placed = Survey::of(&placed, &[Shot::LEVEL.card()], None).unwrap();
        let placed = placed.influences().unwrap();
        for place in BrowPlace::ALL {
            let q = Quantity::HeightDifference(place);
            let (a, b) = (by_hand.of_quantity(q).unwrap(), placed.of_quantity(q).unwrap());
            prop_assert!(a.sd().is_finite() && b.sd() < a.sd());
            prop_assert!((a.value - b.value).abs() < 1e-9);
        }
    }

    /// Whatever is tapped, there is a survey or a sentence, and no number
    /// without an uncertainty.
    #[test]
    fn any_photo_gives_budgets_or_a_sentence(
        at in proptest::collection::vec((-1e4..1e4f64, -1e4..1e4f64), 27), ends in any::<[f64; 4]>(),
        mm in any::<f64>(), focal_px in any::<f64>(),
    ) {
        let mut landmarks = Landmarks::default();
        for (landmark, (x, y)) in Landmark::in_order().into_iter().zip(at) {
            landmarks.set(landmark, Point::new(x, y));
        }
        let ends = [Point::new(ends[0], ends[1]), Point::new(ends[2], ends[3])];
        let references = [
            Reference::Ruler { ends, length_mm: mm, held: Held::Nearer { mm } },
            Reference::Coin { rim: [Point::new(0.0, 0.0), Point::new(250.0, 0.0)], coin: Coin::UsCent, held: Held::Forehead },
        ];
        match Survey::of(&Taps::from(&landmarks), &references, Some(Lens::from_equivalent(focal_px))) {
            Err(why) => prop_assert!(why.to_string().len() > 20),
            Ok(survey) => match survey.influences() {
                Err(why) => prop_assert!(why.to_string().len() > 20),
                Ok(influences) => for place in BrowPlace::ALL {
                    if let Some(budget) = influences.of_quantity(Quantity::HeightDifference(place)) {
                        prop_assert!(budget.sd().is_finite() && budget.sd() > 0.0);
                    }
                },
            },
        }
    }
}

/// A scale that is wrong by the thousand is still measured, so that the
/// sentence about the pupils can be said.
#[test]
fn an_absurd_scale_is_a_matter_of_the_pupils() {
    let taps = Shot::LEVEL.taps(&mean_face());
    for length_mm in [0.5, 1.0, 500.0] {
        let ruler = Reference::Ruler {
            ends: [Point::new(100.0, 100.0), Point::new(130.0, 100.0)],
            length_mm,
            held: Held::BrowPlane,
        };
        let found = Survey::of(&Taps::from(&taps), &[ruler], None).unwrap();
        assert!(found.stops().unwrap().contains("Tap the scale again"));
    }
}
