//! What must not make a difference doesn't.

use ophryon_face::{Landmark, STEADY, SidedLandmark};
use ophryon_frames::{Point, Side, Vector};
use ophryon_record::{Balance, Photo, Record, Snap};
use proptest::prelude::*;

use crate::simulated::{CAREFUL, Uneven, client, mirrored};

/// Seed and unevenness: a failure then names those and not two whole photos.
fn pair() -> impl Strategy<Value = (u64, f64, f64)> {
    (0..u64::MAX, -4.0..4.0f64, -4.0..4.0f64)
}

fn taken((seed, set, movement): (u64, f64, f64)) -> Record {
    client(seed, Uneven { set, movement }, CAREFUL)
}

fn balance(record: &Record) -> Balance {
    record.balance().expect("everything was tapped")
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(60) })]

    #[test]
    fn in_a_mirror_the_sides_are_exchanged(of in pair()) {
        let record = taken(of);
        let (here, there) = (balance(&record), balance(&mirrored(&record)));
        prop_assert_eq!(here.verdict, there.verdict);
        prop_assert_eq!(here.judged, there.judged);
        for (a, b) in here.rows.iter().zip(&there.rows) {
            prop_assert!((a.difference_at_rest.mm + b.difference_at_rest.mm).abs() < 1e-6);
            prop_assert!((a.change.mm + b.change.mm).abs() < 1e-6);
            prop_assert!((a.change.plus_minus_mm - b.change.plus_minus_mm).abs() < 1e-4);
            for side in Side::BOTH {
                let (h, t) = (a.in_use.get(side).mm, b.in_use.get(side.other()).mm);
                prop_assert!((h - t).abs() < 1e-6, "{h} {t}");
            }
        }
        for (a, b) in here.plan.rows.iter().zip(&there.plan.rows) {
            prop_assert!((a.change.right.mm - b.change.left.mm).abs() < 1e-6);
            prop_assert!((a.change.left.mm - b.change.right.mm).abs() < 1e-6);
        }
        let exchanged = here.aloud.replace("right", "LEFT").replace("left", "right").replace("LEFT", "left");
        prop_assert_eq!(exchanged, there.aloud);
    }

    /// Another size, place and tilt of the second photo: the same heights.
    #[test]
    fn where_and_how_large_the_second_photo_shows_the_face_does_not_count(
        of in pair(), scale in 0.5..1.4f64, turn in -8.0..8.0f64,
        right in -100.0..100.0f64, down in -100.0..100.0f64,
    ) {
        let mut same = taken(of);
        let surely = |photo: &mut Photo, sd_px: f64| {
            photo.references.clear();
            photo.optics = None;
            for (landmark, tapped) in photo.landmarks.iter() {
                // As sure as the face is large: pixels would be coarser in a
                // smaller picture, and then it is another measurement.
                photo.snapped.insert(landmark, Snap { tapped, sd_px: Some(sd_px) });
            }
        };
        surely(&mut same.photos[1], 1.7);
        let mut moved = same.clone();
        surely(&mut moved.photos[1], 1.7 * scale);
        let photo = &mut moved.photos[1];
        let middle = Point::new(900.0, 1000.0);
        let landmarks: Vec<_> = photo.landmarks.iter().collect();
        for (landmark, p) in landmarks {
            let to = middle + (p - middle).turned(turn) * scale + Vector::new(right, down);
            photo.landmarks.set(landmark, to);
        }
        (photo.width_px, photo.height_px) = (4000, 4000);
        let low = photo.landmarks.iter().all(|(_, p)| p.x >= 0.0 && p.y >= 0.0);
        prop_assume!(low);
        let (here, there) = (balance(&same), balance(&moved));
        for (a, b) in here.rows.iter().zip(&there.rows) {
            prop_assert!((a.difference_in_use.mm - b.difference_in_use.mm).abs() < 1e-6);
            prop_assert!((a.change.mm - b.change.mm).abs() < 1e-6);
            prop_assert!((a.change.plus_minus_mm - b.change.plus_minus_mm).abs() < 1e-4);
        }
        prop_assert!((here.alignment.rms_mm - there.alignment.rms_mm).abs() < 1e-6);
        prop_assert_eq!(here.verdict, there.verdict);
    }

    /// Wherever the brows are, eyes and nose are laid over each other alike.
    #[test]
    fn moving_a_brow_does_not_move_the_alignment(of in pair(), up in -6.0..6.0f64, at_rest in any::<bool>()) {
        let record = taken(of);
        let mut lifted = record.clone();
        let photo = &mut lifted.photos[usize::from(!at_rest)];
        let peak = Landmark::Sided(Side::Left, SidedLandmark::BrowPeak);
        let at = photo.landmarks.get(peak).expect("tapped");
        photo.landmarks.set(peak, at + Vector::new(0.0, -5.6 * up));
        let (here, there) = (balance(&record), balance(&lifted));
        prop_assert_eq!(&here.alignment, &there.alignment);
        prop_assert_eq!(here.overlay, there.overlay);
        let (a, b) = (&here.states.places[1], &there.states.places[1]);
        prop_assert!((a.in_use.right.mm - b.in_use.right.mm).abs() < 1e-9);
        let moved = if at_rest {
            b.at_rest.left.mm - a.at_rest.left.mm
        } else {
            b.in_use.left.mm - a.in_use.left.mm
        };
        prop_assert!((moved - up).abs() < 0.2 + 0.1 * up.abs(), "{moved} for {up}");
    }

    /// The photo in use can be laid over the relaxed one: each steady landmark
    /// comes to lie where it is there.
    #[test]
    fn laid_over_each_other_the_eyes_meet(of in pair()) {
        let record = taken(of);
        let found = balance(&record);
        let [a, b, c, d, e, f] = found.overlay;
        for landmark in STEADY {
            let (rest, now) = (
                record.photos[0].landmarks.get(landmark).expect("tapped"),
                record.photos[1].landmarks.get(landmark).expect("tapped"),
            );
            let laid = Point::new(a * now.x + c * now.y + e, b * now.x + d * now.y + f);
            let mm = laid.distance(rest) / 5.6;
            prop_assert!(mm < 4.0 * found.alignment.rms_mm + 1e-9, "{landmark}: {mm}");
        }
    }
}
