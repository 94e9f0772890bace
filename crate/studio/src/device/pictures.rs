//! Bringing a photo in: its bytes are looked at first, the browser decodes
//! it, and larger ones are scaled down.

use crate::face::quality::{BrowsAt, Judged};
use crate::face::snap::FoundIris;
use ophryon_face::Scale;
use ophryon_frames::{Photo as Px, Point};
use ophryon_record::Optics;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, CanvasRenderingContext2d, File, HtmlCanvasElement, ImageBitmap};

/// Quality of a photo that had to be written anew.
const QUALITY: f64 = 0.93;

/// Larger than any photo, bytes; what is read must fit a tablet's memory.
const MOST_BYTES: f64 = 200e6;

/// A photo that can be worked on.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// JPEG or PNG.
    pub blob: Blob,
    /// `image/jpeg` or `image/png`.
    pub media_type: &'static str,
    /// Upright width, px.
    pub width: u32,
    /// Upright height, px.
    pub height: u32,
    /// What its file says of the lens.
    pub optics: Option<Optics>,
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

/// What a photo's file says, as far as bringing it in needs it.
#[derive(Debug, Clone, PartialEq)]
pub struct FileSays {
    /// As it came, without what is no business of anybody's; `None` where it
    /// has to be written anew, in a kind that every browser reads.
    pub kept_as: Option<(&'static str, Vec<u8>)>,
    /// Upright size at which it is kept, px.
    pub width: u32,
    /// The same.
    pub height: u32,
    /// It is larger than that.
    pub is_larger: bool,
    /// What it says of the lens.
    pub optics: Option<Optics>,
    /// What to say where this browser can't show it.
    pub cannot_show: String,
}

/// How a decoded picture still has to be turned: mirrored first, then so many
/// quarters clockwise.
pub type Turn = (bool, u8);

/// Width and height, px.
pub type PxSize = (u32, u32);

/// What was found, or a sentence why not.
pub type Told<T> = Result<T, String>;

/// A tap on a pupil in a photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PupilTap {
    /// Where.
    pub at: Point<Px>,
    /// Size of the photo.
    pub photo: PxSize,
    /// Its scale, where there is one.
    pub scale: Option<Scale>,
}

/// What looks at a photo's bytes and pixels; it is in a part, see
/// [`crate::later`].
#[derive(Clone, Copy)]
pub struct Looks {
    /// What a file of that name says, or why it is not taken.
    pub read: fn(&[u8], &str) -> Told<FileSays>,
    /// How what was decoded from it, in that size, is to be turned.
    pub turn: fn(&[u8], PxSize, &str) -> Told<Turn>,
    /// The piece of the photo that the search for an iris needs.
    pub eye: fn(PupilTap) -> Told<Piece>,
    /// The piece of the photo with both brows and eyes, where it holds them.
    pub brows: fn(BrowsAt) -> Option<Piece>,
    /// What its pixels say.
    pub judge: fn(&[u8], Piece, BrowsAt) -> Option<Judged>,
    /// The iris in it, or why the tap is left as it is.
    pub iris: fn(&[u8], Piece, PupilTap) -> Told<FoundIris>,
}

/// Reads a chosen or dropped file.
///
/// # Errors
/// One sentence naming the file and the way out; nothing has changed then.
pub async fn take(looks: Looks, file: &File) -> Result<Picture, String> {
    let name = file.name();
    if file.size() > MOST_BYTES {
        return Err(format!(
            "“{name}” is larger than any photo, so nothing was changed. Choose a photo in JPEG or PNG."
        ));
    }
    let bytes = bytes(file).await?;
    let says = (looks.read)(&bytes, &name)?;
    let cannot = |_: JsValue| says.cannot_show.clone();
    let window = web_sys::window().ok_or("There is no window.")?;
    let decoding = window.create_image_bitmap_with_blob(file).map_err(cannot)?;
    let bitmap: ImageBitmap = JsFuture::from(decoding)
        .await
        .map_err(cannot)?
        .unchecked_into();
    let result = fit(looks, &bytes, &says, &name, &bitmap).await;
    bitmap.close();
    result
}

async fn fit(
    looks: Looks,
    bytes: &[u8],
    says: &FileSays,
    name: &str,
    bitmap: &ImageBitmap,
) -> Result<Picture, String> {
    let turn = (looks.turn)(bytes, (bitmap.width(), bitmap.height()), name)?;
    let (width, height) = (says.width, says.height);
    let (media_type, blob) = match &says.kept_as {
        Some((media_type, bytes)) => (*media_type, from_bytes(bytes, media_type)?),
        None => {
            let blob = redrawn(bitmap, turn, width, height).await.map_err(|_| {
                format!(
                    "“{name}” is too large for this device, so nothing was changed. Choose a smaller photo."
                )
            })?;
            ("image/jpeg", blob)
        }
    };
    Ok(Picture {
        blob,
        media_type,
        width,
        height,
        optics: says.optics,
        scaled: says.is_larger,
    })
}

/// A canvas of that size, to draw on.
pub(crate) fn canvas(
    width: u32,
    height: u32,
) -> Result<(HtmlCanvasElement, CanvasRenderingContext2d), JsValue> {
    let missing = || JsValue::from_str("no canvas");
    let canvas: HtmlCanvasElement = super::page::document()
        .ok_or_else(missing)?
        .create_element("canvas")?
        .unchecked_into();
    canvas.set_width(width);
    canvas.set_height(height);
    let context = canvas.get_context("2d")?.ok_or_else(missing)?;
    Ok((canvas, context.unchecked_into()))
}

async fn redrawn(
    bitmap: &ImageBitmap,
    (mirrored, quarters): Turn,
    width: u32,
    height: u32,
) -> Result<Blob, JsValue> {
    let (canvas, context) = canvas(width, height)?;
    let (wide, high) = (f64::from(width), f64::from(height));
    let (across, down) = if quarters % 2 == 1 {
        (high, wide)
    } else {
        (wide, high)
    };
    context.translate(0.5 * wide, 0.5 * high)?;
    context.rotate(f64::from(quarters) * std::f64::consts::FRAC_PI_2)?;
    if mirrored {
        context.scale(-1.0, 1.0)?;
    }
    context.draw_image_with_image_bitmap_and_dw_and_dh(
        bitmap,
        -0.5 * across,
        -0.5 * down,
        across,
        down,
    )?;
    jpeg(&canvas, QUALITY).await
}

/// What a canvas shows as JPEG.
pub(crate) async fn jpeg(canvas: &HtmlCanvasElement, quality: f64) -> Result<Blob, JsValue> {
    let made = js_sys::Promise::new(&mut |done, _| {
        let asked = canvas.to_blob_with_type_and_encoder_options(
            &done,
            "image/jpeg",
            &JsValue::from_f64(quality),
        );
        if asked.is_err() {
            // The promise then gives no Blob, which is told below.
            let _ = done.call0(&JsValue::NULL);
        }
    });
    JsFuture::from(made).await?.dyn_into::<Blob>()
}

/// A rectangle of whole px.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Piece {
    /// First column.
    pub left: u32,
    /// First row.
    pub top: u32,
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
}

impl From<ophryon_photo::Crop> for Piece {
    fn from(crop: ophryon_photo::Crop) -> Self {
        Self {
            left: crop.left,
            top: crop.top,
            width: crop.size.width,
            height: crop.size.height,
        }
    }
}

/// The pixels of a piece of a kept picture, which has that upright size: red,
/// green, blue, alpha.
///
/// # Errors
/// A sentence.
pub async fn pixels(blob: &Blob, size: (u32, u32), piece: Piece) -> Result<Vec<u8>, String> {
    let read = async || -> Result<Vec<u8>, JsValue> {
        let window = web_sys::window().ok_or_else(|| JsValue::from_str("no window"))?;
        let decoding = window.create_image_bitmap_with_blob(blob)?;
        let bitmap: ImageBitmap = JsFuture::from(decoding).await?.unchecked_into();
        if (bitmap.width(), bitmap.height()) != size {
            return Err(JsValue::from_str("this browser doesn’t turn it upright"));
        }
        let (_, context) = canvas(piece.width, piece.height)?;
        let (left, top) = (f64::from(piece.left), f64::from(piece.top));
        context.draw_image_with_image_bitmap(&bitmap, -left, -top)?;
        bitmap.close();
        let data =
            context.get_image_data(0.0, 0.0, f64::from(piece.width), f64::from(piece.height))?;
        Ok(data.data().to_vec())
    };
    read()
        .await
        .map_err(|e| format!("The photo's pixels can't be read ({}).", super::said_by(&e)))
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
