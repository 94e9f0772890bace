//! The client's face before, as drawn and as healed, painted for paper.

use std::fs;
use std::path::Path;

use image::codecs::jpeg::JpegEncoder;
use image::imageops::{FilterType, crop_imm, resize};
use ophryon_face::FaceFrame;
use ophryon_frames::{Front, Point, Side, Sided};
use ophryon_photo::PhotoFile;
use ophryon_powder::{Pixels, Powder, Stage, Tone, Window};
use ophryon_record::{FacePictures, Image, Record};
use ophryon_stencil::Jpeg;

use crate::inspect_photo::decode;

/// Half the breadth and the height of what is shown, and its middle above the
/// pupils, mm: brows reach some 58 mm from the midline.
const SHOWN_MM: [f64; 3] = [68.0, 32.0, 10.0];

/// Columns of a picture: a photo printed 60 mm wide shows no more.
const COLUMNS: u32 = 900;

/// Quality of a picture, 1 to 100.
const QUALITY: u8 = 88;

/// The pictures of a record whose photo lies `beside` it or within, or why
/// there are none.
pub fn face_pictures(record: &Record, beside: &Path) -> Result<FacePictures, String> {
    let photo = record.design_photo().ok_or("there is no photo")?;
    if photo.erased {
        return Err("the photo was erased".to_owned());
    }
    let bytes = match &photo.image {
        Image::File { name } => fs::read(beside.join(name)).ok(),
        Image::Embedded { .. } => photo.image.bytes(),
    };
    let bytes = bytes.ok_or("the photo can't be read")?;
    let stated = PhotoFile::read(&bytes).map_err(|why| format!("the photo {why}"))?;
    let picture = decode(&stated, &bytes)?.ok_or("this kind of photo is shown in the app only")?;
    let drawn = record.drawn().map_err(|why| why.to_string())?;
    let healed = drawn.healed();
    let powder = Sided::from_fn(|side| {
        let stays = healed.get(side).as_ref().map(|h| h.seen.as_slice());
        Powder::of(drawn.seen.get(side), stays.unwrap_or_default())
    });
    let frame = &drawn.measured.levelled.survey.frame;
    let [left, top, width, height] =
        shown(frame, picture.dimensions()).ok_or("the brows lie outside of the photo")?;
    let cut = crop_imm(&picture, left, top, width, height).to_image();
    let columns = width.min(COLUMNS);
    let rows = (u64::from(height) * u64::from(columns) / u64::from(width.max(1))).max(1) as u32;
    let small = resize(&cut, columns, rows, FilterType::CatmullRom);
    let front = |x: f64, y: f64| {
        let px = f64::from(width) / f64::from(columns);
        frame.to_front(Point::new(
            f64::from(left) + x * px,
            f64::from(top) + y * px,
        ))
    };
    let corner = front(0.0, 0.0);
    let window = Window::new(
        (columns, rows),
        corner,
        front(1.0, 0.0) - corner,
        front(0.0, 1.0) - corner,
    );
    let window = window.ok_or("the photo shows no face")?;
    let painted = |stage: Stage| {
        let mut bytes = small.as_raw().clone();
        for side in Side::BOTH {
            let mut pixels = Pixels {
                bytes: &mut bytes,
                each: 3,
            };
            powder
                .get(side)
                .paint(stage, Tone::default(), &window, &mut pixels);
        }
        let mut file = Vec::new();
        let written = JpegEncoder::new_with_quality(&mut file, QUALITY).encode(
            &bytes,
            columns,
            rows,
            image::ExtendedColorType::Rgb8,
        );
        written.map_err(|why| why.to_string())?;
        Jpeg::read(file).ok_or_else(|| "the picture is too large for paper".to_owned())
    };
    Ok(FacePictures {
        before: painted(Stage::Before)?,
        drawn: painted(Stage::Drawn)?,
        healed: painted(Stage::Healed)?,
    })
}

/// Left, top, width and height of what is shown, px.
fn shown(frame: &FaceFrame, (width, height): (u32, u32)) -> Option<[u32; 4]> {
    let [across, upright, above] = SHOWN_MM;
    let middle = frame.to_photo(Point::<Front>::new(0.0, above));
    let px_per_mm = middle.distance(frame.to_photo(Point::<Front>::new(1.0, above)));
    let (half_wide, half_high) = (across * px_per_mm, upright * px_per_mm);
    // A cast keeps within the type's bounds.
    let from = |at: f64| at.max(0.0) as u32;
    let to = |at: f64, most: u32| (at.ceil().max(0.0) as u32).min(most);
    let (left, top) = (from(middle.x - half_wide), from(middle.y - half_high));
    let wide = to(middle.x + half_wide, width).checked_sub(left)?;
    let high = to(middle.y + half_high, height).checked_sub(top)?;
    (wide > 1 && high > 1).then_some([left, top, wide, high])
}
