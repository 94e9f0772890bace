//! Anything at all in pixels and taps: hair, or why not, and never a panic.

use ophryon_frames::{Photo, Point};
use ophryon_photo::{Crop, HairSearch, Layout, Pixels, Size, find_hair};
use proptest::prelude::*;

fn place() -> impl Strategy<Value = Point<Photo>> {
    let axis = || {
        prop_oneof![
            8 => -20.0..400.0f64,
            1 => Just(f64::NAN),
            1 => -1e9..1e9f64,
        ]
    };
    (axis(), axis()).prop_map(|(x, y)| Point::new(x, y))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(160))]

    #[test]
    fn any_pixels_and_taps_give_hair_or_a_reason(
        width in 1..300u32,
        height in 1..200u32,
        kind in 0..4u8,
        seed in any::<u32>(),
        places in prop::collection::vec(place(), 0..9),
        sane in any::<bool>(),
        eye in prop::option::of((place(), place())),
        scale in prop_oneof![1.0..12.0f64, Just(0.0), Just(f64::NAN), Just(f64::INFINITY), -5.0..0.0f64],
        left in 0..50u32,
    ) {
        let mut state = seed;
        let bytes: Vec<u8> = (0..width * height * 3).map(|i| match kind {
            0 => 0,
            1 => 255,
            2 => (i / 3 % width) as u8,
            _ => {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                (state >> 24) as u8
            }
        }).collect();
        let places = if sane {
            let (w, h) = (f64::from(width), f64::from(height));
            [(0.2, 0.6), (0.2, 0.4), (0.7, 0.3), (0.85, 0.5)].map(|(x, y)| Point::new(x * w, y * h)).to_vec()
        } else {
            places
        };
        let search = match HairSearch::new(places, eye.map(|(a, b)| [a, b]), scale) {
            Ok(search) => search,
            Err(why) => {
                prop_assert!(!why.to_string().is_empty());
                return Ok(());
            }
        };
        let crop = Crop { left, top: 3, size: Size::new(width, height) };
        let Some(pixels) = Pixels::of_crop(crop, Layout::Rgb, &bytes) else { return Ok(()) };
        match find_hair(&pixels, &search) {
            Ok(found) => {
                prop_assert!(!found.border.is_empty() && found.apart.is_finite());
                for p in found.border.iter().flatten() {
                    let inside = p.x >= f64::from(left) - 1.0 && p.x <= f64::from(left + width) + 1.0
                        && p.y >= 2.0 && p.y <= f64::from(3 + height) + 1.0;
                    prop_assert!(inside, "{p:?}");
                }
            }
            Err(why) => prop_assert!(!why.to_string().is_empty()),
        }
    }
}
