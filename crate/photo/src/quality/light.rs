//! Light on a part of the band, from the pixels as they are.

use ophryon_frames::{Point, Side};

use super::band::{BrowBand, Part};
use crate::Pixels;
use crate::plane::linear;

/// Codes of 255 from which on nothing brighter can be told.
const BURNT: u8 = 250;
/// Codes up to which nothing darker can be told.
const BLACK: u8 = 6;
/// Pixels counted along each side of a part, at most: shares and medians need
/// no more.
const MOST_STEPS: f64 = 300.0;

/// Light on one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exposure {
    /// Median brightness of brow and skin around it, as a share of the
    /// brightest that a photo can show (linear light, not sRGB).
    pub median: f64,
    /// Brightness of the white of the eye: nine tenths of what lies around the
    /// pupil are darker. It tells a dark photo from dark skin.
    pub white: f64,
    /// Share of the px at the brow that are burnt out, 0 to 1.
    pub burnt: f64,
    /// Share of the px at the brow that are black, 0 to 1.
    pub black: f64,
}

impl Exposure {
    /// `None` when less than half of brow or eye is in the pixels.
    pub(super) fn of(pixels: &Pixels<'_>, band: &BrowBand, side: Side) -> Option<Self> {
        let mut brow = Tones::of(pixels, band, side, Part::Brow)?;
        let mut eye = Tones::of(pixels, band, side, Part::Eye)?;
        let count = brow.light.len() as f64;
        Some(Self {
            median: brow.quantile(0.5),
            white: eye.quantile(0.9),
            burnt: brow.burnt as f64 / count,
            black: brow.black as f64 / count,
        })
    }
}

/// What the pixels of a part are.
struct Tones {
    /// Linear, by the weights of sRGB's own luminance (IEC 61966-2-1).
    light: Vec<f64>,
    burnt: usize,
    black: usize,
}

impl Tones {
    fn of(pixels: &Pixels<'_>, band: &BrowBand, side: Side, part: Part) -> Option<Self> {
        let corners = band.corners(side, part);
        let span = |of: fn(&Point<_>) -> f64| {
            let low = corners.iter().map(of).fold(f64::INFINITY, f64::min);
            let high = corners.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
            (low, high)
        };
        let ((x0, x1), (y0, y1)) = (span(|p| p.x), span(|p| p.y));
        let stride = ((x1 - x0).max(y1 - y0) / MOST_STEPS).max(1.0);
        let crop = pixels.crop();
        let mut tones = Self {
            light: Vec::new(),
            burnt: 0,
            black: 0,
        };
        let mut asked = 0_usize;
        let steps = |from: f64, to: f64| ((to - from) / stride) as usize;
        for j in 0..=steps(y0, y1) {
            for i in 0..=steps(x0, x1) {
                let p = Point::new(x0 + i as f64 * stride, y0 + j as f64 * stride);
                if !band.holds(side, part, p) {
                    continue;
                }
                asked += 1;
                let (c, r) = (p.x - f64::from(crop.left), p.y - f64::from(crop.top));
                let within = c >= 0.0
                    && r >= 0.0
                    && c < f64::from(crop.size.width)
                    && r < f64::from(crop.size.height);
                if within {
                    tones.add(pixels.rgb(c as u32, r as u32));
                }
            }
        }
        (tones.light.len() * 2 >= asked.max(2)).then_some(tones)
    }

    fn add(&mut self, rgb: [u8; 3]) {
        let [r, g, b] = rgb.map(|c| linear(f64::from(c) / 255.0));
        self.light.push(0.2126 * r + 0.7152 * g + 0.0722 * b);
        self.burnt += usize::from(rgb.iter().any(|c| *c >= BURNT));
        self.black += usize::from(rgb.iter().all(|c| *c <= BLACK));
    }

    fn quantile(&mut self, share: f64) -> f64 {
        let at = ((self.light.len() - 1) as f64 * share) as usize;
        let (_, v, _) = self.light.select_nth_unstable_by(at, f64::total_cmp);
        *v
    }
}
