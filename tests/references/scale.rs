//! Known sizes in a photo against the scale that follows from them.

use ophryon_face::{
    Coin, Held, Landmark, Landmarks, Lens, PupilVerdict, Reference, ScaleError, SidedLandmark,
    Survey, Taps, check_photo_width, check_pupil_distance,
};
use ophryon_frames::{Photo, Point, Side};

use crate::fixtures::{Shot, landmarks};

/// ISO/IEC 7810, ID-1 (bank cards, driving licences): 85.60 x 53.98 mm.
const ID_1_MM: [f64; 2] = [85.60, 53.98];

/// A card whose sides look so long, lying anyhow in the photo.
fn card(px: [f64; 2], degrees: f64) -> Reference {
    let (sin, cos) = libm::sincos(degrees.to_radians());
    let at = |x: f64, y: f64| Point::new(1500.0 + x * cos - y * sin, 2500.0 + x * sin + y * cos);
    let (long, short) = (0.5 * px[0], 0.5 * px[1]);
    Reference::Card {
        long: [at(-long, 0.0), at(long, 0.0)],
        short: Some([at(0.0, -short), at(0.0, short)]),
        held: Held::default(),
    }
}

fn mm_per_px(reference: Reference) -> Result<f64, ScaleError> {
    let scale = reference.scale(&Landmarks::default())?;
    Ok(scale.mm_per_px())
}

/// ISO/IEC 7810 (quoted on standards pages; the standard itself was not read).
#[test]
fn both_sides_of_an_id_1_card_give_the_same_scale_however_it_lies() {
    for px_per_mm in [3.0, 7.25, 12.0] {
        for degrees in [0.0, 12.0, 90.0, -135.0] {
            let lying = card(ID_1_MM.map(|mm| mm * px_per_mm), degrees);
            let Reference::Card { long, .. } = lying else {
                unreachable!()
            };
            for seen in [
                lying,
                Reference::Card {
                    long,
                    short: None,
                    held: Held::default(),
                },
            ] {
                assert!((mm_per_px(seen).unwrap() * px_per_mm - 1.0).abs() < 1e-12);
            }
        }
    }
}

/// Aspect 1.58577 by ISO/IEC 7810. ISO 216 paper (1.41421, from memory) and a
/// square are no cards; nor is a card with its inches' sides exchanged.
#[test]
fn what_has_not_the_aspect_of_an_id_1_card_is_refused() {
    let aspect = ID_1_MM[0] / ID_1_MM[1];
    assert!((aspect - 1.58577).abs() < 5e-6);
    let other = |aspect: f64| mm_per_px(card([600.0 * aspect, 600.0], 0.0));
    assert!((other(aspect).unwrap() - 53.98 / 600.0).abs() < 1e-12);
    // 3.370 x 2.125 in, as in inch tables: 0.04 % off, still the same card.
    assert!(other(3.370 / 2.125).is_ok());
    for wrong in [std::f64::consts::SQRT_2, 1.0, 1.7] {
        let said = other(wrong).unwrap_err();
        assert!(said.to_string().contains("card"), "{said}");
    }
}

/// Rüfer F, Schröder A, Erb C. Cornea 2005;24:259-61: white to white 11.71 ±
/// 0.42 mm, n = 390 (abstract): 3.6 % between people, ± 2.2 mm on a brow of
/// 60 mm at one standard deviation.
#[test]
fn a_scale_from_the_iris_is_uncertain_by_what_people_differ() {
    let px = 1171.0;
    let rim: [Point<Photo>; 2] = [Point::new(500.0, 500.0), Point::new(500.0 + px, 500.0)];
    for side in Side::BOTH {
        let iris = Reference::Iris { side, rim };
        let scale = iris.scale(&Landmarks::default()).unwrap();
        assert!((scale.mm_per_px() - 11.71 / px).abs() < 1e-15);
        // The rest is taps of 0.3 mm on a soft rim, as much again, and the
        // depth of the eye.
        let people = 0.42 / 11.71;
        let taps = std::f64::consts::SQRT_2 * 0.3 / 11.71;
        let rest = scale.relative_sd() - libm::hypot(people, taps);
        assert!((0.0..0.002).contains(&rest), "{rest}");
        assert!((60.0 * people - 2.2_f64).abs() < 0.06);
    }
}

/// Diameters as published: euro coins in Council Regulation (EU) No 729/2014
/// (2 and 1 euro and 50 cent read in EUR-Lex's summary of it, the others on
/// pages that quote it), United States coins on the Mint's page of coin
/// specifications, British ones as quoted from the Royal Mint. Each coin,
/// photographed at 10 px per mm, gives that scale.
#[test]
fn coins_have_the_diameters_their_mints_publish() {
    let published = [
        (Coin::Euro2, 25.75),
        (Coin::Euro1, 23.25),
        (Coin::Cent50, 24.25),
        (Coin::Cent10, 19.75),
        (Coin::Cent5, 21.25),
        (Coin::Cent2, 18.75),
        (Coin::Cent1, 16.25),
        (Coin::UsCent, 19.05),
        (Coin::UsNickel, 21.21),
        (Coin::UsDime, 17.91),
        (Coin::UsQuarter, 24.26),
        (Coin::UsHalfDollar, 30.61),
        (Coin::UsDollar, 26.49),
        (Coin::Penny1, 20.3),
        (Coin::Pence2, 25.9),
        (Coin::Pence5, 18.0),
        (Coin::Pence10, 24.5),
        (Coin::Pounds2, 28.4),
    ];
    assert_eq!(published.len(), Coin::ALL.len());
    for (coin, mm) in published {
        let rim = [
            Point::new(300.0, 400.0),
            Point::new(300.0, 400.0 + 10.0 * mm),
        ];
        let seen = Reference::Coin {
            rim,
            coin,
            held: Held::Forehead,
        };
        assert!((mm_per_px(seen).unwrap() - 0.1).abs() < 1e-12, "{coin:?}");
    }
}

/// A face is some 140 mm broad (common knowledge, no source): a photo of one
/// is not 3 m wide, nor 5 cm, and one 32 cm or 1 m wide is.
#[test]
fn a_scale_in_another_unit_is_seen_in_the_width_of_the_photo() {
    for (width_px, mm_per_px) in [(1800.0, 0.18), (6000.0, 0.25), (1000.0, 0.1)] {
        assert_eq!(check_photo_width(width_px, mm_per_px), None);
    }
    let inches = check_photo_width(1800.0, 0.18 / 25.4).unwrap();
    assert!(inches.contains("1 cm narrow"), "{inches}");
    let tenfold = check_photo_width(1800.0, 1.8).unwrap();
    assert!(tenfold.contains("324 cm wide"), "{tenfold}");
}

/// Pinhole: 10 mm in front of the brows make a scale 3.4 % too small at 0.3 m,
/// 0.84 % at 1.2 m and 0.67 % at 1.5 m; a lens that says how far the camera was
/// puts that right.
#[test]
fn a_card_in_front_of_the_brows_is_put_right_where_the_distance_is_known() {
    let mut face = landmarks();
    for side in Side::BOTH {
        let pupil = Landmark::Sided(side, SidedLandmark::Pupil);
        face.push((pupil, [31.5 * side.sign(), 26.0]));
    }
    let taps = Shot::LEVEL.taps(&face);
    for (metres, percent) in [(0.3, 3.4), (1.2, 0.84), (1.5, 0.67)] {
        let (focal_px, d) = (12_000.0, 1000.0 * metres);
        let px = ID_1_MM.map(|mm| mm * focal_px / (d - 10.0));
        let nearer = card(px, 0.0).held_at(Held::Nearer { mm: 10.0 });
        let seen = mm_per_px(nearer).unwrap();
        let lens = Some(Lens::calibrated(focal_px));
        let survey = Survey::of(&Taps::from(&taps), &[nearer], lens).unwrap();
        let put_right = survey.scale.scale.mm_per_px();
        assert!((put_right - d / focal_px).abs() < 1e-9);
        assert!((100.0 * (put_right / seen - 1.0) - percent).abs() < 0.06);
    }
}

/// Far pupils are about 2.9 mm wider apart than near ones (Evereklioglu et
/// al., 3448 people; abstract): an optician's distance entered for a near
/// gaze makes everything 4.6 % too large on a mean face (63 mm, Dodgson NA,
/// Proc SPIE 2004;5291:36-46). The engine can't know; the arithmetic is that of
/// the caliper.
#[test]
fn a_far_pupil_distance_for_a_near_gaze_makes_everything_larger() {
    let mut taps = Landmarks::default();
    let pupils = Side::BOTH.map(|side| Landmark::Sided(side, SidedLandmark::Pupil));
    for (landmark, x) in pupils.into_iter().zip([1200.0, 1830.0]) {
        taps.set(landmark, Point::new(x, 1500.0));
    }
    let caliper = |distance_mm| {
        let reference = Reference::Caliper {
            between: pupils,
            distance_mm,
        };
        reference.scale(&taps).unwrap().mm_per_px()
    };
    let bias = caliper(63.0 + 2.9) / caliper(63.0) - 1.0;
    assert!((100.0 * bias - 4.6).abs() < 0.05, "{bias}");
}

/// Dodgson NA, Proc SPIE 2004;5291:36-46 (abstract): most adults 50 to 75 mm,
/// nearly all 45 to 80. Gordon CC et al., NATICK/TR-15/007 (ANSUR II public
/// data): women 61.7 ± 3.6, men 64.0 ± 3.4 mm; its column is in tenths.
#[test]
fn a_survey_passes_and_its_column_of_tenths_stops() {
    for (mean, sd) in [(61.7, 3.6), (64.0, 3.4)] {
        for mm in [mean - 3.0 * sd, mean, mean + 3.0 * sd] {
            assert_eq!(check_pupil_distance(mm).verdict, PupilVerdict::Usual);
            let tenths = check_pupil_distance(10.0 * mm).verdict;
            assert_eq!(tenths, PupilVerdict::Impossible);
        }
    }
}
