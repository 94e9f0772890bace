//! Several things of known size in one photo, near and far.

use ophryon_face::{
    Coin, CombinedScale, Held, Landmark, Landmarks, Lens, Reference, ScaleError, SidedLandmark,
    Survey, SurveyError, Taps,
};
use ophryon_frames::{Photo, Point, Side};

use crate::mean_face::{Shot, mean_face, sided};

/// A ruler of 100 mm that looks so long.
fn ruler(px: f64, held: Held) -> Reference {
    Reference::Ruler {
        ends: [Point::new(100.0, 200.0), Point::new(100.0 + px, 200.0)],
        length_mm: 100.0,
        held,
    }
}

fn coin(px: f64) -> Reference {
    Reference::Coin {
        rim: [Point::new(900.0, 900.0), Point::new(900.0, 900.0 + px)],
        coin: Coin::Euro2,
        held: Held::BrowPlane,
    }
}

fn iris(side: Side, px: f64) -> Reference {
    Reference::Iris {
        side,
        rim: [Point::new(500.0, 500.0), Point::new(500.0 + px, 500.0)],
    }
}

fn taps() -> Landmarks {
    Shot::LEVEL.taps(&mean_face())
}

fn combined(references: &[Reference], lens: Option<Lens>) -> Result<CombinedScale, SurveyError> {
    Survey::of(&Taps::from(&taps()), references, lens).map(|s| s.scale)
}

fn alone(reference: Reference) -> f64 {
    let scale = combined(&[reference], None).unwrap().scale;
    scale.relative_sd()
}

/// By hand: two independent numbers count by the inverse of their variances,
/// on the logarithm.
#[test]
fn two_references_are_weighted_by_their_uncertainties() {
    let (a, b) = (ruler(1000.0, Held::BrowPlane), coin(256.0));
    let both = combined(&[a, b], None).unwrap();
    let own = |i: usize| both.readings[i].scale.clone().unwrap().relative_sd();
    let (sa, sb) = (own(0), own(1));
    let (wa, wb) = (1.0 / (sa * sa), 1.0 / (sb * sb));
    let ln = (wa * libm::log(0.1) + wb * libm::log(25.75 / 256.0)) / (wa + wb);
    assert!((libm::log(both.scale.mm_per_px()) - ln).abs() < 1e-12);
    assert!((both.scale.relative_sd() - (1.0 / (wa + wb)).sqrt()).abs() < 1e-12);
    assert!((both.readings[0].weight - wa / (wa + wb)).abs() < 1e-12);
    assert!(both.sentences.is_empty(), "{:?}", both.sentences);
    // Off by (25.75/256)/0.1, and it is allowed to.
    let off = both.readings[1].against_others_percent.unwrap();
    assert!((off - 100.0 * (25.75 / 25.6 - 1.0)).abs() < 1e-9);
    assert!(!both.readings[1].disagrees());
    // One that is twice as sure counts four times as much; together they are
    // surer than either.
    assert!(both.scale.relative_sd() < sa.min(sb));
}

/// People's irises differ, their own two don't: a second one halves what the
/// taps add and nothing else (Rüfer et al. 2005: 0.42 of 11.71 mm).
#[test]
fn a_second_iris_is_no_second_person() {
    let one = alone(iris(Side::Right, 117.1));
    let both = combined(&[iris(Side::Right, 117.1), iris(Side::Left, 117.1)], None).unwrap();
    let people = 0.42 / 11.71;
    let taps = 2.0 * (0.09 + 0.0289 * 0.0289) / (11.71 * 11.71);
    let expected = (one * one - taps / 2.0).sqrt();
    assert!((both.scale.relative_sd() - expected).abs() < 1e-9);
    assert!(both.scale.relative_sd() > people);
    // Beside a card both together hardly count.
    let card = Shot::LEVEL.card();
    let three = combined(
        &[card, iris(Side::Right, 117.1), iris(Side::Left, 117.1)],
        None,
    )
    .unwrap();
    assert!(three.readings[0].weight > 0.9);
}

#[test]
fn of_two_that_disagree_neither_is_believed() {
    let both = combined(&[ruler(1000.0, Held::BrowPlane), coin(270.0)], None).unwrap();
    assert!(both.readings.iter().all(|r| r.disagrees()));
    let said = both.sentences.concat();
    // 0.1 mm per px are 4.9 % more than 25.75 mm over 270 px.
    for word in [
        "By the ruler everything is 4.9 % larger",
        "2 euro coin",
        "One of the two",
        "tap both again",
    ] {
        assert!(said.contains(word), "{word}: {said}");
    }
    // It is still there, and the scale that much less certain.
    let (sa, sb) = (alone(ruler(1000.0, Held::BrowPlane)), alone(coin(270.0)));
    let agreeing = 1.0 / (1.0 / (sa * sa) + 1.0 / (sb * sb)).sqrt();
    assert!(both.scale.relative_sd() > 1.5 * agreeing);
}

#[test]
fn of_three_the_odd_one_is_named() {
    let odd = Reference::Sticker {
        rim: [Point::new(50.0, 50.0), Point::new(50.0, 180.0)],
        diameter_mm: 14.0, // 13 mm, mistyped
        held: Held::BrowPlane,
    };
    for at in 0..3 {
        let mut all = vec![ruler(1000.0, Held::BrowPlane), coin(257.5)];
        all.insert(at, odd);
        let three = combined(&all, None).unwrap();
        let said = three.sentences.concat();
        assert!(
            said.starts_with("By the sticker everything is 7."),
            "{said}"
        );
        assert!(said.contains("larger") && said.contains("or take it out"));
        assert!(
            said.contains("the ruler and the 2 euro coin together"),
            "{said}"
        );
    }
    // Two of a kind are told apart.
    let two = combined(
        &[
            ruler(1000.0, Held::BrowPlane),
            ruler(930.0, Held::BrowPlane),
        ],
        None,
    );
    assert!(two.unwrap().sentences.concat().contains("ruler no. 2"));
}

/// What can't be used is left out with its reason, never silently; alone it
/// stops.
#[test]
fn a_tilted_card_beside_a_ruler_is_left_out_and_said_so() {
    let tilted = Reference::Card {
        long: [Point::new(0.0, 0.0), Point::new(0.0, 856.0)],
        short: Some([Point::new(0.0, 0.0), Point::new(520.0, 0.0)]),
        held: Held::BrowPlane,
    };
    let both = combined(&[tilted, ruler(1000.0, Held::BrowPlane)], None).unwrap();
    assert!((both.scale.mm_per_px() - 0.1).abs() < 1e-12);
    assert!(matches!(
        both.readings[0].scale,
        Err(ScaleError::CardTilted { .. })
    ));
    let said = both.sentences.concat();
    assert!(
        said.contains("card is left out") && said.contains("tilted"),
        "{said}"
    );
    assert!(matches!(
        combined(&[tilted], None),
        Err(SurveyError::Scale(ScaleError::CardTilted { .. }))
    ));
    assert!(matches!(
        combined(&[], None),
        Err(SurveyError::Scale(ScaleError::NoReference))
    ));
}

/// Pinhole: a thing Δ in front of the brows at d has Δ/(d - Δ) too few mm per
/// px: 10 mm are 3.4 % at 0.3 m, 0.84 % at 1.2 m, 0.67 % at 1.5 m.
#[test]
fn a_thing_in_front_of_the_brows_is_corrected_where_the_distance_is_known() {
    let held = Held::Nearer { mm: 10.0 };
    for (d, percent) in [(300.0, 3.4), (1200.0, 0.84), (1500.0, 0.67)] {
        let focal_px = 9000.0;
        // As the pinhole sees 100 mm at d - 10.
        let seen = ruler(focal_px * 100.0 / (d - 10.0), held);
        let lens = Lens::calibrated(focal_px);
        let survey = Survey::of(&Taps::from(&taps()), &[seen], Some(lens)).unwrap();
        let mm_per_px = survey.scale.scale.mm_per_px();
        assert!((mm_per_px - d / focal_px).abs() < 1e-12, "{d}");
        let corrected = survey.scale.readings[0].corrected_percent;
        assert!((corrected - percent).abs() < 0.06, "{corrected} at {d}");
        let said = survey.scale.sentences.concat();
        assert!(said.contains("10 mm in front of the brows"), "{said}");

        // Not knowing the distance, nothing is corrected, and it costs.
        let blind = combined(&[seen], None).unwrap();
        assert!((blind.scale.mm_per_px() - (d - 10.0) / focal_px).abs() < 1e-12);
        let reading = &blind.readings[0];
        assert!((reading.uncorrected_percent - 1.58).abs() < 0.01);
        let said = blind.sentences.concat();
        assert!(said.contains("1.6 % too short, 0.9 mm on 57 mm"), "{said}");
        // In the plane of the brows there is nothing to say.
        let there = combined(&[seen.held_at(Held::BrowPlane)], None).unwrap();
        assert!(there.sentences.is_empty());
        assert!(there.scale.relative_sd() < blind.scale.relative_sd());
    }
    let beyond = combined(&[ruler(1000.0, Held::Nearer { mm: 300.0 })], None);
    assert!(beyond.unwrap_err().to_string().contains("within 200 mm"));
}

/// A caliper spans two landmarks in the round. Inner to outer corner of the
/// mean face: 26.56 mm between vertices 362 and 263, 25.91 mm of it seen from
/// the front.
#[test]
fn a_caliper_distance_is_longer_than_what_the_photo_shows_of_it() {
    let (inner, outer): ([f64; 3], [f64; 3]) = (
        [18.56432, 25.85245, 37.57904],
        [44.45859, 26.63991, 31.73422],
    );
    let apart = |axes: &[usize]| {
        let squares = axes.iter().map(|i| (inner[*i] - outer[*i]).powi(2));
        squares.sum::<f64>().sqrt()
    };
    let (solid, seen) = (apart(&[0, 1, 2]), apart(&[0, 1]));
    assert!((solid - 26.56).abs() < 0.01 && (seen - 25.91).abs() < 0.01);
    let caliper = Reference::Caliper {
        between: [SidedLandmark::InnerCorner, SidedLandmark::OuterCorner]
            .map(|l| sided(Side::Left, l)),
        distance_mm: solid,
    };
    let scale = caliper.scale(&taps()).unwrap();
    // The face is photographed from the front at 10 px per mm.
    assert!(
        (scale.mm_per_px() / 0.1 - 1.0).abs() < 5e-4,
        "{}",
        scale.mm_per_px()
    );
    // An ear lies behind the eye, not beside it.
    let behind = Reference::Caliper {
        between: [SidedLandmark::OuterCorner, SidedLandmark::EarMiddle]
            .map(|l| sided(Side::Left, l)),
        distance_mm: 90.0,
    };
    let said = behind.scale(&taps()).unwrap_err().to_string();
    assert!(said.contains("one behind the other"), "{said}");
}

/// Pupils and the eye corners by calipers share taps: three of them are not
/// three independent scales.
#[test]
fn calipers_that_share_a_landmark_are_not_counted_twice() {
    let pupil = |side| Landmark::Sided(side, SidedLandmark::Pupil);
    let between = |a: Landmark, b: Landmark, distance_mm| Reference::Caliper {
        between: [a, b],
        distance_mm,
    };
    let (r, l) = (pupil(Side::Right), pupil(Side::Left));
    let same = between(r, l, 63.0);
    let one = alone(same);
    let twice = combined(&[same, between(l, r, 63.0)], None).unwrap().scale;
    // Only the caliper's own reading is new: 0.5 of 63 mm, halved in square.
    let reading = 0.5 / 63.0;
    // Where it was held and how deep the pupils lie is each reference's own.
    assert!(twice.relative_sd() < one);
    let taps: f64 = 2.0 * (0.09 + 0.0289 * 0.0289) / (63.0 * 63.0);
    assert!(twice.relative_sd() > (taps + 0.5 * reading * reading).sqrt());
    assert!(twice.relative_sd() > one / std::f64::consts::SQRT_2 + 1e-4);
}

#[test]
fn coins_and_places_are_written_in_words() {
    let read = |s: &str| serde_json::from_str::<Reference>(s);
    let written = serde_json::to_string(&coin(100.0)).unwrap();
    assert!(written.contains(r#""coin":"euro2""#), "{written}");
    for coin in Coin::ALL {
        let reference = Reference::Coin {
            rim: [Point::<Photo>::new(0.0, 0.0), Point::new(90.0, 0.0)],
            coin,
            held: Held::Nearer { mm: -12.5 },
        };
        let written = serde_json::to_string(&reference).unwrap();
        assert_eq!(read(&written).unwrap(), reference);
        assert!((15.0..32.0).contains(&coin.diameter_mm()) && !coin.name().is_empty());
    }
    // A file from before says nothing of where the card was held.
    let before = read(r#"{"kind":"card","long":[[0,0],[856,0]]}"#).unwrap();
    assert_eq!(before.held(), Some(Held::BrowPlane));
    let chin = read(r#"{"kind":"card","long":[[0,0],[856,0]],"held":{"where":"chin"}}"#).unwrap();
    assert_eq!(chin.held(), Some(Held::Chin));
    assert!(read(r#"{"kind":"coin","rim":[[0,0],[9,0]],"coin":"doubloon"}"#).is_err());
    assert!(
        read(r#"{"kind":"ruler","ends":[[0,0],[9,0]],"length-mm":9,"held":{"where":"knee"}}"#)
            .is_err()
    );
}
