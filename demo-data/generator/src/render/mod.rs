//! The photograph: traces the head, lights it softly, paints skin, eyes and
//! hair, and holds the scale object beside it.

mod backdrop;
mod eye_paint;
mod glyph;
mod hair_paint;
mod light;
mod paint;
mod props;
mod sheen;
mod strands;
mod stroke;
mod trace;

use crate::camera::Camera;
use crate::conditions::Conditions;
use crate::exif::Exif;
use crate::head::Head;
use crate::scale_object::ScaleObject;
use crate::surface::Face;
use image::{ExtendedColorType, ImageEncoder};

/// Linear red, green, blue.
pub(crate) type Rgb = [f64; 3];

/// A drawn photograph, 8 bits of sRGB.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// px across.
    pub width: u32,
    /// px down.
    pub height: u32,
    /// Red, green, blue by rows from the top left.
    pub rgb: Vec<u8>,
}

impl Picture {
    /// The pixel at a column and row, nearest inside the picture.
    pub fn pixel(&self, column: u32, row: u32) -> [u8; 3] {
        let (c, r) = (column.min(self.width - 1), row.min(self.height - 1));
        let i = (r as usize * self.width as usize + c as usize) * 3;
        [self.rgb[i], self.rgb[i + 1], self.rgb[i + 2]]
    }

    /// The picture as a JPEG file of this quality (1 to 100).
    ///
    /// # Errors
    /// What the encoder says, for instance of a picture without pixels.
    pub fn jpeg(&self, quality: u8) -> Result<Vec<u8>, image::ImageError> {
        let mut bytes = Vec::new();
        image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, quality).write_image(
            &self.rgb,
            self.width,
            self.height,
            ExtendedColorType::Rgb8,
        )?;
        Ok(bytes)
    }

    /// The picture as a camera stores it: turned as `exif` says, with its EXIF
    /// in the file.
    ///
    /// # Errors
    /// What the encoder says.
    pub fn camera_jpeg(&self, quality: u8, exif: &Exif) -> Result<Vec<u8>, image::ImageError> {
        let stored = self.stored(exif.orientation);
        let mut bytes = Vec::new();
        let mut encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, quality);
        let tiff = exif.tiff((stored.width, stored.height));
        encoder
            .set_exif_metadata(tiff)
            .map_err(image::ImageError::Unsupported)?;
        encoder.write_image(
            &stored.rgb,
            stored.width,
            stored.height,
            ExtendedColorType::Rgb8,
        )?;
        Ok(bytes)
    }

    /// This upright picture as it lies in a file with an EXIF orientation: 1 to
    /// 8; others count as 1. Where the standard has the stored row 0 and column
    /// 0 (top, left …), there they come from.
    pub fn stored(&self, orientation: u16) -> Self {
        let (w, h) = (self.width, self.height);
        let (width, height) = if (5..=8).contains(&orientation) {
            (h, w)
        } else {
            (w, h)
        };
        let mut rgb = Vec::with_capacity(self.rgb.len());
        for row in 0..height {
            for column in 0..width {
                let (x, y) = match orientation {
                    2 => (w - 1 - column, row),
                    3 => (w - 1 - column, h - 1 - row),
                    4 => (column, h - 1 - row),
                    5 => (row, column),
                    6 => (w - 1 - row, column),
                    7 => (w - 1 - row, h - 1 - column),
                    8 => (row, h - 1 - column),
                    _ => (column, row),
                };
                rgb.extend(self.pixel(x, y));
            }
        }
        Self { width, height, rgb }
    }

    /// The picture as a PNG file.
    ///
    /// # Errors
    /// What the encoder says.
    pub fn png(&self) -> Result<Vec<u8>, image::ImageError> {
        let mut bytes = Vec::new();
        image::codecs::png::PngEncoder::new(&mut bytes).write_image(
            &self.rgb,
            self.width,
            self.height,
            ExtendedColorType::Rgb8,
        )?;
        Ok(bytes)
    }
}

/// Everything the drawing steps share.
pub(crate) struct Scene<'a> {
    pub head: &'a Head,
    pub face: Face,
    pub camera: Camera,
    /// px per mm in the plane of the pupils.
    pub px_per_mm: f64,
    pub conditions: Conditions,
}

/// Photographs a head, and a scale object if there is one.
pub fn render(head: &Head, camera: &Camera, scale: Option<&ScaleObject>) -> Picture {
    render_under(head, camera, scale, &Conditions::default())
}

/// The same under chosen conditions. A camera whose picture shows only a part
/// of the face draws that part alone, and quickly; only the shade that the
/// rest would throw on it is missing.
pub fn render_under(
    head: &Head,
    camera: &Camera,
    scale: Option<&ScaleObject>,
    conditions: &Conditions,
) -> Picture {
    let scene = Scene {
        head,
        face: Face::of(head),
        camera: *camera,
        px_per_mm: camera.scale_at(0.0),
        conditions: *conditions,
    };
    let depth = trace::trace(&scene);
    let light = light::Light::falling_on(&scene, &depth);
    let mut canvas = sheen::develop(&scene, &depth, &light);
    strands::draw(&scene, &mut canvas);
    if let Some(object) = scale {
        props::draw(&scene, object, &mut canvas);
    }
    canvas.picture(head.seed, conditions)
}
