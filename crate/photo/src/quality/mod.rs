//! Whether a photo is good enough at the brows and eyes, in numbers and in
//! sentences.

mod band;
mod light;
mod remark;
mod sharpness;

pub use band::BrowBand;
pub use light::Exposure;
pub use remark::{Matter, Remark, Weight};

use band::Part;
use ophryon_frames::{Point, Side, Sided};

use crate::plane::{Plane, Tone};
use crate::{Crop, Pixels};

/// From the darkest to the brightest tenth of an edge that a Gaussian blurs,
/// in its standard deviations.
const TEN_TO_NINETY: f64 = 2.563;
/// Finer than this is not looked at, px per mm: it would only take longer.
const FINEST: f64 = 8.0;

/// What the pixels of one side's brow and eye say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideQuality {
    /// Standard deviation of the blur (of a Gaussian one) on the strongest
    /// edges, px. Even the sharpest photo has about 0.6. `None` where no edge
    /// stands out of the grain.
    pub blur_px: Option<f64>,
    /// Standard deviation of the brightness's grain, in steps of 255.
    pub grain: f64,
    /// Light.
    pub exposure: Exposure,
}

/// What the pixels at brows and eyes say.
#[derive(Debug, Clone, PartialEq)]
pub struct Quality {
    /// Resolution, px per mm.
    pub px_per_mm: f64,
    /// Each side; `None` where most of it lies outside the photo.
    pub sides: Sided<Option<SideQuality>>,
    /// What the artist should know; the weightiest first, none for a good
    /// photo.
    pub remarks: Vec<Remark>,
}

impl Quality {
    /// Of the photo at this band. `pixels` must hold [`BrowBand::crop`]; more
    /// does no harm.
    pub fn of(pixels: &Pixels<'_>, band: &BrowBand) -> Self {
        let sides = Sided::from_fn(|side| SideQuality::of(pixels, band, side));
        let mut quality = Self {
            px_per_mm: band.px_per_mm(),
            sides,
            remarks: Vec::new(),
        };
        quality.remarks = remark::remarks(&quality);
        quality
    }

    /// How wide the sharpest edges are, from 10 to 90 % of their step, on the
    /// more blurred side, mm.
    pub fn edge_mm(&self) -> Option<f64> {
        Some(TEN_TO_NINETY * self.blur_px()? / self.px_per_mm)
    }

    /// Blur on the more blurred side, px.
    pub fn blur_px(&self) -> Option<f64> {
        let each = |side: Side| Some(self.sides.get(side).as_ref()?.blur_px);
        match (each(Side::Right), each(Side::Left)) {
            (Some(a), Some(b)) => Some(a?.max(b?)),
            (one, other) => one.or(other)?,
        }
    }

    /// How many times as much light the brighter side gets, and which it is.
    pub fn uneven(&self) -> Option<(f64, Side)> {
        let light = |side: Side| Some(self.sides.get(side).as_ref()?.exposure.median);
        let (right, left) = (light(Side::Right)?, light(Side::Left)?);
        let least = right.min(left).max(1e-4);
        let brighter = if right > left {
            Side::Right
        } else {
            Side::Left
        };
        Some((right.max(left) / least, brighter))
    }
}

impl SideQuality {
    fn of(pixels: &Pixels<'_>, band: &BrowBand, side: Side) -> Option<Self> {
        let exposure = Exposure::of(pixels, band, side)?;
        let corners = band.corners(side, Part::Both);
        let middle = corners[0].midpoint(corners[2]);
        let reach = 0.5 * corners[0].distance(corners[2]);
        let whole = Plane::near(pixels, middle, reach, Tone::Coded)?;
        let k = (FINEST / band.px_per_mm()).min(1.0);
        let plane = if k < 1.0 {
            whole.around(middle, reach, k)?
        } else {
            whole
        };
        let inside = |c: usize, r: usize| {
            let p = plane.photo((c as f64 + 0.5, r as f64 + 0.5));
            band.holds(side, Part::Both, p)
        };
        let grain = sharpness::grain(&plane, inside);
        let blur = sharpness::blur(&plane, inside, grain);
        Some(Self {
            blur_px: blur.map(|b| b.sigma / k),
            grain: grain * 255.0,
            exposure,
        })
    }
}

/// What the pixels say where nobody has shown the brows yet: of the middle of
/// the photo, half as wide and half as high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtLarge {
    /// As in [`SideQuality`].
    pub blur_px: Option<f64>,
    /// As in [`SideQuality`].
    pub grain: f64,
}

impl AtLarge {
    /// Of the middle of a photo. `None` of one of a few px.
    pub fn of(pixels: &Pixels<'_>) -> Option<Self> {
        let Crop { left, top, size } = pixels.crop();
        let half = |first: u32, n: u32| f64::from(first) + 0.5 * f64::from(n);
        let middle = Point::new(half(left, size.width), half(top, size.height));
        let reach = 0.25 * f64::from(size.width.max(size.height));
        let whole = Plane::near(pixels, middle, reach, Tone::Coded)?;
        let k = (MOST_AT_LARGE / (2.0 * reach)).min(1.0);
        let plane = if k < 1.0 {
            whole.around(middle, reach, k)?
        } else {
            whole
        };
        let grain = sharpness::grain(&plane, |_, _| true);
        let blur = sharpness::blur(&plane, |_, _| true, grain);
        Some(Self {
            blur_px: blur.map(|b| b.sigma / k),
            grain: grain * 255.0,
        })
    }
}

/// Side of the piece that is looked at at large, px; a larger one is looked at
/// more coarsely.
const MOST_AT_LARGE: f64 = 1500.0;
