//! The face on canvases of the screen's own pixels: the photo once, and over
//! it one for each stage, which then only fade.

pub mod picture;

use std::cell::RefCell;
use std::rc::Rc;

use ophryon_frames::{Side, Sided};
use ophryon_powder::{Pixels, Powder, Tone};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, CanvasRenderingContext2d, HtmlCanvasElement, ImageBitmap, ImageData};

use super::brows::Brows;
use super::framing::{self, Patch};
use super::{Near, STAGES};
use crate::device::pictures::canvas;
use crate::device::{page, said_by};
use crate::stage::sight::{Sight, Size};

/// More of the screen's own pixels than this, in one picture, aren't seen.
const MOST_PIXELS: f64 = 8e6;

/// What is to be on the canvases.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// The brows.
    pub brows: Rc<Brows>,
    /// Their tone.
    pub tone: Tone,
    /// How near.
    pub near: Near,
    /// Size of the view, CSS px.
    pub view: Size,
}

/// What was made before and may serve again, also to one that is painted while
/// another still is.
#[derive(Default)]
pub struct Made(RefCell<Held>);

#[derive(Default)]
struct Held {
    bitmap: Option<(String, ImageBitmap)>,
    powder: Option<(Rc<Brows>, Rc<Sided<Powder>>)>,
}

impl Drop for Held {
    fn drop(&mut self) {
        if let Some((_, bitmap)) = self.bitmap.take() {
            bitmap.close();
        }
    }
}

/// What was painted, ready to be shown all at once.
pub struct Painted {
    photo: HtmlCanvasElement,
    layers: Vec<ImageData>,
    patch: Patch,
    /// CSS px to one px of the canvases.
    shrink: f64,
}

impl Made {
    /// Paints what is wanted; `is_stale` is asked between steps, and ends it
    /// with `None`.
    ///
    /// # Errors
    /// A sentence.
    pub async fn paint(
        &self,
        wanted: &Wanted,
        blob: &Blob,
        is_stale: impl Fn() -> bool,
    ) -> Result<Option<Painted>, String> {
        let dense = density(wanted.view);
        let view = Size::new(
            (wanted.view.width * dense).round(),
            (wanted.view.height * dense).round(),
        );
        let brows = &wanted.brows;
        // A size that still changes is waited for.
        page::breathe().await;
        if is_stale() {
            return Ok(None);
        }
        let bitmap = self.bitmap(brows, blob).await?;
        if is_stale() {
            return Ok(None);
        }
        let sight = framing::sight(&brows.frame, wanted.near, brows.size, view);
        let failed = |e: JsValue| format!("The face can't be shown ({}).", said_by(&e));
        let photo = draw_photo(&bitmap, sight, view).map_err(failed)?;
        // A sketch of the photo may be painted meanwhile.
        page::breathe().await;
        let powder = self.powder(brows).await;
        let px = (view.width as u32, view.height as u32);
        let beyond = "The brows lie outside of the photo. Tap their places again.";
        let patch = framing::patch(&brows.frame, sight, px, brows.corners(), Powder::BESIDE_MM)
            .ok_or(beyond)?;
        let window = framing::window(&brows.frame, sight, patch).ok_or(beyond)?;
        let under = pixels(&photo, patch).map_err(failed)?;
        let mut layers = Vec::with_capacity(STAGES.len());
        for stage in STAGES {
            page::breathe().await;
            if is_stale() {
                return Ok(None);
            }
            let mut bytes = under.clone();
            let mut shown = vec![false; bytes.len() / 4];
            for (_, powder) in powder.iter() {
                let mut pixels = Pixels {
                    bytes: &mut bytes,
                    each: 4,
                };
                powder.paint(stage, wanted.tone, &window, &mut pixels);
                powder.each_near(&window, |i, _| {
                    if let Some(shown) = shown.get_mut(i) {
                        *shown = true;
                    }
                });
            }
            // All stages hide the same pixels, so that one passes into the
            // next without what lies below shining through.
            for (px, shown) in bytes.chunks_exact_mut(4).zip(&shown) {
                px[3] = if *shown { u8::MAX } else { 0 };
            }
            // The browser's own copy: ours moves whenever memory grows.
            let copy = js_sys::Uint8ClampedArray::from(bytes.as_slice());
            let data =
                ImageData::new_with_js_u8_clamped_array_and_sh(&copy, patch.width, patch.height);
            layers.push(data.map_err(failed)?);
        }
        Ok(Some(Painted {
            photo,
            layers,
            patch,
            shrink: 1.0 / dense,
        }))
    }

    async fn bitmap(&self, brows: &Brows, blob: &Blob) -> Result<ImageBitmap, String> {
        if let Some((name, bitmap)) = &self.0.borrow().bitmap
            && *name == brows.photo
        {
            return Ok(bitmap.clone());
        }
        let failed = |e: JsValue| format!("The photo can't be read ({}).", said_by(&e));
        let window = web_sys::window().ok_or("There is no window.")?;
        // The browser decodes it beside the page's own work.
        let decoding = window.create_image_bitmap_with_blob(blob).map_err(failed)?;
        let bitmap: ImageBitmap = JsFuture::from(decoding)
            .await
            .map_err(failed)?
            .unchecked_into();
        let is_upright = f64::from(bitmap.width()) == brows.size.width
            && f64::from(bitmap.height()) == brows.size.height;
        if !is_upright {
            bitmap.close();
            return Err("This browser doesn’t turn the photo upright.".to_owned());
        }
        let now = (brows.photo.clone(), bitmap.clone());
        let old = self.0.borrow_mut().bitmap.replace(now);
        if let Some((_, old)) = old {
            old.close();
        }
        Ok(bitmap)
    }

    async fn powder(&self, brows: &Rc<Brows>) -> Rc<Sided<Powder>> {
        if let Some((of, powder)) = &self.0.borrow().powder
            && of == brows
        {
            return Rc::clone(powder);
        }
        let right = brows.powder(Side::Right);
        page::breathe().await;
        let left = brows.powder(Side::Left);
        page::breathe().await;
        let powder = Rc::new(Sided { right, left });
        self.0.borrow_mut().powder = Some((Rc::clone(brows), Rc::clone(&powder)));
        powder
    }
}

impl Painted {
    /// Shows it all at once on the view's canvases: the photo's, and one for
    /// each stage.
    ///
    /// # Errors
    /// What the browser says.
    pub fn show(
        &self,
        photo: &HtmlCanvasElement,
        stages: &[HtmlCanvasElement],
    ) -> Result<(), JsValue> {
        let (wide, high) = (self.photo.width(), self.photo.height());
        let context = sized(photo, wide, high)?;
        context.draw_image_with_html_canvas_element(&self.photo, 0.0, 0.0)?;
        self.lay(photo, [0, 0, wide, high])?;
        let Patch {
            left,
            top,
            width,
            height,
        } = self.patch;
        for (canvas, data) in stages.iter().zip(&self.layers) {
            sized(canvas, width, height)?.put_image_data(data, 0.0, 0.0)?;
            self.lay(canvas, [left, top, width, height])?;
        }
        Ok(())
    }

    /// One picture of two: above without the brows, below with a stage of
    /// them.
    ///
    /// # Errors
    /// What the browser says.
    pub fn two(&self, stage: usize) -> Result<HtmlCanvasElement, JsValue> {
        let (wide, high) = (self.photo.width(), self.photo.height());
        let (both, context) = canvas(wide, high.saturating_mul(2))?;
        for top in [0.0, f64::from(high)] {
            context.draw_image_with_html_canvas_element(&self.photo, 0.0, top)?;
        }
        if let Some(layer) = self.layers.get(stage) {
            // Put by itself it would clear what lies below.
            let (brows, over) = canvas(self.patch.width, self.patch.height)?;
            over.put_image_data(layer, 0.0, 0.0)?;
            let (left, top) = (f64::from(self.patch.left), f64::from(self.patch.top));
            context.draw_image_with_html_canvas_element(&brows, left, top + f64::from(high))?;
        }
        Ok(both)
    }

    /// Puts a canvas where its pixels are the screen's.
    fn lay(&self, canvas: &HtmlCanvasElement, box_px: [u32; 4]) -> Result<(), JsValue> {
        let style = canvas.style();
        let names = ["left", "top", "width", "height"];
        for (name, px) in names.into_iter().zip(box_px) {
            style.set_property(name, &format!("{:.4}px", f64::from(px) * self.shrink))?;
        }
        Ok(())
    }
}

/// Pixels of the screen to a CSS px, as far as they are seen.
pub fn density(view: Size) -> f64 {
    let dense = web_sys::window().map_or(1.0, |w| w.device_pixel_ratio());
    let most = (MOST_PIXELS / (view.width * view.height).max(1.0)).sqrt();
    dense.clamp(1.0, 3.0).min(most.max(0.5))
}

fn sized(
    canvas: &HtmlCanvasElement,
    width: u32,
    height: u32,
) -> Result<CanvasRenderingContext2d, JsValue> {
    canvas.set_width(width);
    canvas.set_height(height);
    let context = canvas.get_context("2d")?;
    let context = context.ok_or_else(|| JsValue::from_str("no canvas"))?;
    Ok(context.unchecked_into())
}

fn draw_photo(
    bitmap: &ImageBitmap,
    sight: Sight,
    view: Size,
) -> Result<HtmlCanvasElement, JsValue> {
    let document = page::document().ok_or_else(|| JsValue::from_str("no page"))?;
    let canvas: HtmlCanvasElement = document.create_element("canvas")?.unchecked_into();
    let context = sized(&canvas, view.width as u32, view.height as u32)?;
    context.set_image_smoothing_enabled(true);
    context.draw_image_with_image_bitmap_and_dw_and_dh(
        bitmap,
        sight.left,
        sight.top,
        sight.scale * f64::from(bitmap.width()),
        sight.scale * f64::from(bitmap.height()),
    )?;
    Ok(canvas)
}

fn pixels(canvas: &HtmlCanvasElement, patch: Patch) -> Result<Vec<u8>, JsValue> {
    let context = canvas.get_context("2d")?;
    let context = context.ok_or_else(|| JsValue::from_str("no canvas"))?;
    let context: CanvasRenderingContext2d = context.unchecked_into();
    let data = context.get_image_data(
        f64::from(patch.left),
        f64::from(patch.top),
        f64::from(patch.width),
        f64::from(patch.height),
    )?;
    Ok(data.data().to_vec())
}
