//! Known sizes in a photo against the scale that follows from them.

use ophryon_face::{
    Held, Landmark, Landmarks, PupilVerdict, Reference, ScaleError, SidedLandmark, check_pupil_distance,
};
use ophryon_frames::{Photo, Point, Side};

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
            for seen in [lying, Reference::Card { long, short: None, held: Held::default() }] {
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
