//! A small picture of a client's brows with the outline over them, a few kB.

use ophryon_frames::Side;
use ophryon_record::{Image, Record};
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, Path2d};

use crate::device::pictures;
use crate::shaping::compare::around_brows;

/// Width, px: three times as wide as it is shown at its smallest.
const WIDTH: f64 = 360.0;

/// Its height where the brows are not known yet, as a share of its width.
const TALL: f64 = 0.42;

/// Light enough for a few kB, fine enough for a hair line.
const QUALITY: f64 = 0.72;

/// Draws it; `None` without a photo or where this browser can't.
pub(super) async fn draw(record: &Record, picture: impl Fn(&str) -> Option<Blob>) -> Option<Blob> {
    let photo = record.design_photo().filter(|p| !p.erased)?;
    let Image::File { name } = &photo.image else {
        return None;
    };
    let blob = picture(name)?;
    let (wide, high) = (f64::from(photo.width_px), f64::from(photo.height_px));
    // Without landmarks a band in the upper half, where a face has its brows.
    let band = [0.0, 0.18 * high, wide, TALL * wide];
    let shown = around_brows(record).unwrap_or(band);
    let paths: Vec<String> = match record.drawn() {
        Ok(drawn) => Side::BOTH.iter().map(|s| drawn.photo_path(*s)).collect(),
        Err(_) => Vec::new(),
    };
    drawn(&blob, shown, &paths).await.ok()
}

async fn drawn(
    blob: &Blob,
    [left, top, wide, high]: [f64; 4],
    paths: &[String],
) -> Result<Blob, JsValue> {
    let window = web_sys::window().ok_or_else(|| JsValue::from_str("no window"))?;
    let decoding = window.create_image_bitmap_with_blob_and_a_sx_and_a_sy_and_a_sw_and_a_sh(
        blob,
        left.round() as i32,
        top.round() as i32,
        (wide.round() as i32).max(1),
        (high.round() as i32).max(1),
    )?;
    let bitmap: web_sys::ImageBitmap = JsFuture::from(decoding).await?.into();
    let scale = WIDTH / wide;
    let height = (high * scale).round().max(1.0);
    let (canvas, context) = pictures::canvas(WIDTH as u32, height as u32)?;
    // What lies outside the photo is paper, not black.
    context.set_fill_style_str("#e8e4df");
    context.fill_rect(0.0, 0.0, WIDTH, height);
    context.draw_image_with_image_bitmap_and_dw_and_dh(&bitmap, 0.0, 0.0, WIDTH, height)?;
    bitmap.close();
    context.scale(scale, scale)?;
    context.translate(-left, -top)?;
    // A light edge under a dark line shows on any skin.
    for (color, width) in [("rgba(255,255,255,.85)", 4.2), ("#1c1a18", 1.7)] {
        context.set_stroke_style_str(color);
        context.set_line_width(width / scale);
        for path in paths {
            context.stroke_with_path(&Path2d::new_with_path_string(path)?);
        }
    }
    pictures::jpeg(&canvas, QUALITY).await
}
