//! The same face as pictures for paper: JPEG, of no screen's size.

use std::rc::Rc;

use ophryon_powder::Tone;
use ophryon_record::Record;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Blob, HtmlCanvasElement};

use super::{Brows, Made, Near, Painted, Wanted, sized};
use crate::device::{page, pictures, said_by};
use crate::stage::sight::Size;

/// Size of a picture, CSS px: printed 60 mm wide, more isn't seen.
const SIZE: Size = Size {
    width: 640.0,
    height: 302.0,
};

/// Quality of a picture, 0 to 1.
const QUALITY: f64 = 0.86;

/// Her face before, with the outline, and healed, as JPEG files; `blob` is the
/// photo that the brows are designed on.
///
/// # Errors
/// A sentence.
pub async fn face_pictures(
    record: &Record,
    tone: Tone,
    blob: &Blob,
) -> Result<[Vec<u8>; 3], String> {
    let drawn = record.drawn().map_err(|why| crate::words::study(&why))?;
    let brows = Brows::of(record, &drawn).ok_or("There is no photo to show the shape on.")?;
    let wanted = Wanted {
        brows: Rc::new(brows),
        tone,
        near: Near::Brows,
        view: SIZE,
    };
    let painted = Made::default().paint(&wanted, blob, || false).await?;
    let painted = painted.ok_or("The pictures were not painted.")?;
    let last = painted.layers.len().saturating_sub(1);
    let failed = |e: JsValue| format!("The face can't be put on paper ({}).", said_by(&e));
    let mut files = [Vec::new(), Vec::new(), Vec::new()];
    for (file, layers) in files.iter_mut().zip([0..0, 0..1, last..last + 1]) {
        let canvas = painted.composed(layers).map_err(failed)?;
        let blob = pictures::jpeg(&canvas, QUALITY).await.map_err(failed)?;
        *file = pictures::bytes(&blob).await?;
    }
    Ok(files)
}

impl Painted {
    /// The photo with some of its layers over it.
    fn composed(&self, layers: std::ops::Range<usize>) -> Result<HtmlCanvasElement, JsValue> {
        let whole = canvas()?;
        let context = sized(&whole, self.photo.width(), self.photo.height())?;
        context.draw_image_with_html_canvas_element(&self.photo, 0.0, 0.0)?;
        for data in self.layers.get(layers).unwrap_or_default() {
            // Put down directly, it would erase the photo where it is clear.
            let over = canvas()?;
            sized(&over, self.patch.width, self.patch.height)?.put_image_data(data, 0.0, 0.0)?;
            let (left, top) = (f64::from(self.patch.left), f64::from(self.patch.top));
            context.draw_image_with_html_canvas_element(&over, left, top)?;
        }
        Ok(whole)
    }
}

fn canvas() -> Result<HtmlCanvasElement, JsValue> {
    let document = page::document().ok_or_else(|| JsValue::from_str("no page"))?;
    Ok(document.create_element("canvas")?.unchecked_into())
}
