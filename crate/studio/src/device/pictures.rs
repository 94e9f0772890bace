//! Bringing a photo in: the browser decodes it, upright as its EXIF says;
//! larger ones are scaled down.

use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, CanvasRenderingContext2d, File, HtmlCanvasElement, ImageBitmap};

/// Largest photo that is kept, px: 24 megapixels, the tablets' own limit.
const MOST_PIXELS: f64 = 24e6;

/// Shortest side on which eye corners can still be told from each other, px.
const LEAST_SIDE: u32 = 400;

/// Longest side that any camera makes, px.
const MOST_SIDE: u32 = 20_000;

/// Quality of a photo that had to be written anew.
const QUALITY: f64 = 0.93;

/// A photo that can be worked on.
pub struct Picture {
    /// JPEG or PNG.
    pub blob: Blob,
    /// `image/jpeg` or `image/png`.
    pub media_type: &'static str,
    /// Upright width, px.
    pub width: u32,
    /// Upright height, px.
    pub height: u32,
    /// It was scaled down.
    pub scaled: bool,
}

impl Picture {
    /// The ending of a file name.
    pub const fn ending(media_type: &str) -> &'static str {
        if media_type.len() == "image/png".len() {
            "png"
        } else {
            "jpg"
        }
    }
}

/// Reads a chosen or dropped file.
///
/// # Errors
/// One sentence naming the file and the way out; nothing has changed then.
pub async fn take(file: &File) -> Result<Picture, String> {
    let name = file.name();
    let no_picture = |_: JsValue| {
        format!(
            "“{name}” is not a picture that this browser can read, so nothing was changed. Choose a photo in JPEG or PNG."
        )
    };
    let window = web_sys::window().ok_or("There is no window.")?;
    let decoding = window
        .create_image_bitmap_with_blob(file)
        .map_err(no_picture)?;
    let bitmap: ImageBitmap = JsFuture::from(decoding)
        .await
        .map_err(no_picture)?
        .unchecked_into();
    let (width, height) = (bitmap.width(), bitmap.height());
    let result = fit(file, &name, &bitmap, width, height).await;
    bitmap.close();
    result
}

async fn fit(
    file: &File,
    name: &str,
    bitmap: &ImageBitmap,
    width: u32,
    height: u32,
) -> Result<Picture, String> {
    if width.min(height) < LEAST_SIDE {
        return Err(format!(
            "“{name}” is only {width} x {height} px, too small to tap on exactly, so nothing was changed. Choose a photo of at least {LEAST_SIDE} px on its short side."
        ));
    }
    if width.max(height) > MOST_SIDE {
        return Err(format!(
            "“{name}” is {width} x {height} px, which is no photo of a face, so nothing was changed. Choose one of at most {MOST_SIDE} px."
        ));
    }
    let media_type = match file.type_().as_str() {
        "image/jpeg" => Some("image/jpeg"),
        "image/png" => Some("image/png"),
        _ => None,
    };
    let (new_width, new_height) = scaled_down(width, height);
    let scaled = (new_width, new_height) != (width, height);
    match media_type {
        Some(media_type) if !scaled => Ok(Picture {
            blob: file.clone().unchecked_into(),
            media_type,
            width,
            height,
            scaled,
        }),
        _ => {
            let blob = redrawn(bitmap, new_width, new_height).await.map_err(|_| {
                format!(
                    "“{name}” is too large for this device ({width} x {height} px), so nothing was changed. Choose a smaller photo."
                )
            })?;
            Ok(Picture {
                blob,
                media_type: "image/jpeg",
                width: new_width,
                height: new_height,
                scaled,
            })
        }
    }
}

/// The size a photo is kept at: its own, or so much smaller that it has no
/// more than [`MOST_PIXELS`].
fn scaled_down(width: u32, height: u32) -> (u32, u32) {
    let pixels = f64::from(width) * f64::from(height);
    if pixels <= MOST_PIXELS {
        return (width, height);
    }
    let k = (MOST_PIXELS / pixels).sqrt();
    let side = |px: u32| (f64::from(px) * k).floor() as u32;
    (side(width), side(height))
}

async fn redrawn(bitmap: &ImageBitmap, width: u32, height: u32) -> Result<Blob, JsValue> {
    let missing = || JsValue::from_str("no canvas");
    let canvas: HtmlCanvasElement = super::page::document()
        .ok_or_else(missing)?
        .create_element("canvas")?
        .unchecked_into();
    canvas.set_width(width);
    canvas.set_height(height);
    let context: CanvasRenderingContext2d = canvas
        .get_context("2d")?
        .ok_or_else(missing)?
        .unchecked_into();
    context.draw_image_with_image_bitmap_and_dw_and_dh(
        bitmap,
        0.0,
        0.0,
        f64::from(width),
        f64::from(height),
    )?;
    let made = js_sys::Promise::new(&mut |done, _| {
        let asked = canvas.to_blob_with_type_and_encoder_options(
            &done,
            "image/jpeg",
            &JsValue::from_f64(QUALITY),
        );
        if asked.is_err() {
            // The promise then gives no Blob, which is told below.
            let _ = done.call0(&JsValue::NULL);
        }
    });
    JsFuture::from(made).await?.dyn_into::<Blob>()
}

/// The bytes of a kept picture.
///
/// # Errors
/// A sentence.
pub async fn bytes(blob: &Blob) -> Result<Vec<u8>, String> {
    let buffer = JsFuture::from(blob.array_buffer())
        .await
        .map_err(|e| format!("A photo can't be read ({}).", super::said_by(&e)))?;
    Ok(js_sys::Uint8Array::new(&buffer).to_vec())
}

/// A picture from bytes.
///
/// # Errors
/// A sentence.
pub fn from_bytes(bytes: &[u8], media_type: &str) -> Result<Blob, String> {
    let parts = js_sys::Array::of1(&js_sys::Uint8Array::from(bytes));
    let kind = web_sys::BlobPropertyBag::new();
    kind.set_type(media_type);
    Blob::new_with_u8_array_sequence_and_options(&parts, &kind)
        .map_err(|e| format!("A photo can't be kept ({}).", super::said_by(&e)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_photos_above_24_megapixels_are_scaled_and_keep_their_shape() {
        assert_eq!(scaled_down(4000, 6000), (4000, 6000));
        let (width, height) = scaled_down(9000, 12000);
        assert!(f64::from(width) * f64::from(height) <= MOST_PIXELS);
        assert!((f64::from(width) / f64::from(height) - 0.75).abs() < 1e-3);
    }
}
