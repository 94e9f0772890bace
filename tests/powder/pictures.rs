//! The pictures of docs/pictures/powder-*.png: before, drawn, fresh and healed
//! on six skin tones, by the same engine as the app.

use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder, RgbImage};
use ophryon_demo::{TONES, looks};
use ophryon_frames::Point;
use ophryon_powder::{Stage, Tone};

use crate::faces::{Seen, drawn, powders, project};

/// Both brows and the eyes, px.
const WIDE: u32 = 540;
const HIGH: u32 = 196;

/// Between two pictures, px.
const GAP: u32 = 6;

/// px of the picture to one of the photo.
const SCALE: f64 = 0.68;

/// Which of the generator's looks, and a tone that an artist might take there.
pub const SHOWN: [(usize, Tone, &str); TONES] = [
    (0, Tone::DryFern, "1-fair"),
    (2, Tone::FoxCoat, "2-light"),
    (4, Tone::RiverClay, "3-medium"),
    (5, Tone::AcornShell, "4-olive"),
    (6, Tone::WetBark, "5-brown"),
    (7, Tone::DeepPeat, "6-dark"),
];

#[test]
#[ignore = "draws docs/pictures/powder-*.png anew"]
fn pictures_for_the_docs() {
    let drawn = drawn();
    let powders = powders(&drawn);
    for (look, tone, name) in SHOWN {
        let seen = Seen::new(
            &looks()[look],
            &drawn,
            Point::new(0.0, 14.0),
            (WIDE, HIGH),
            SCALE,
        );
        let mut sheet = RgbImage::from_pixel(2 * WIDE + GAP, 2 * HIGH + GAP, [255; 3].into());
        for (i, stage) in Stage::ALL.into_iter().enumerate() {
            let picture = seen.painted(&powders, stage, tone);
            let part = RgbImage::from_raw(WIDE, HIGH, picture.rgb).unwrap();
            let (column, row) = ((i % 2) as i64, (i / 2) as i64);
            let at = |n: i64, side: u32| n * i64::from(side + GAP);
            image::imageops::replace(&mut sheet, &part, at(column, WIDE), at(row, HIGH));
        }
        let mut bytes = Vec::new();
        PngEncoder::new_with_quality(&mut bytes, CompressionType::Best, FilterType::Adaptive)
            .write_image(
                &sheet,
                sheet.width(),
                sheet.height(),
                ExtendedColorType::Rgb8,
            )
            .unwrap();
        println!("{name}: {} kB", bytes.len() / 1000);
        std::fs::write(project(&format!("docs/pictures/powder-{name}.png")), bytes).unwrap();
    }
}
