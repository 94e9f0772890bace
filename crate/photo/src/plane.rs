//! Brightness of a piece of the photo, resampled to the px that a search
//! works in.

use ophryon_frames::{Photo, Point};

use crate::Pixels;

/// Share of red, green, blue in brightness. Red shows irises of every colour
/// dark against the white of the eye; green has the finest detail in cameras
/// and in JPEG.
const WEIGHTS: [f64; 3] = [0.5, 0.45, 0.05];

/// Farthest that a blur looks, grid steps.
const MOST_REACH: usize = 64;

/// How brightness is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// As sRGB codes it, about as the eye sees it: steps in the dark count.
    Coded,
    /// Linear light, in which a blurred edge stays where it is.
    Linear,
}

/// A grid of brightness, 0 to 1. Place (u, v) of the grid: origin at its outer
/// corner, so that the middle of the first value is (0.5, 0.5).
pub struct Plane {
    pub width: usize,
    pub height: usize,
    pub values: Vec<f32>,
    /// Grid steps per px of the photo.
    pub scale: f64,
    /// The grid's corner in the photo.
    corner: (f64, f64),
}

impl Plane {
    /// What lies within `reach` px of a place, at its own resolution. `None`
    /// where that is next to nothing.
    pub fn near(pixels: &Pixels<'_>, middle: Point<Photo>, reach: f64, tone: Tone) -> Option<Self> {
        Self::weighed(pixels, middle, (reach, reach), tone, WEIGHTS)
    }

    /// What lies within `reach` px beside and above a place, with red, green
    /// and blue weighed otherwise.
    pub fn weighed(
        pixels: &Pixels<'_>,
        middle: Point<Photo>,
        reach: (f64, f64),
        tone: Tone,
        weights: [f64; 3],
    ) -> Option<Self> {
        let table = table(tone);
        let crop = pixels.crop();
        let span = |middle: f64, reach: f64, first: u32, n: u32| {
            let (low, high) = (middle - reach, middle + reach);
            let low = (low - f64::from(first)).max(0.0).floor();
            let high = (high - f64::from(first)).ceil().min(f64::from(n));
            (high - low >= 2.0).then_some((low as u32, high as u32))
        };
        let (c0, c1) = span(middle.x, reach.0, crop.left, crop.size.width)?;
        let (r0, r1) = span(middle.y, reach.1, crop.top, crop.size.height)?;
        let (width, height) = ((c1 - c0) as usize, (r1 - r0) as usize);
        let mut values = Vec::with_capacity(width * height);
        for row in r0..r1 {
            for column in c0..c1 {
                let rgb = pixels.rgb(column, row);
                let mut sum = 0.0;
                for (c, w) in rgb.iter().zip(weights) {
                    sum += w as f32 * table[usize::from(*c)];
                }
                values.push(sum);
            }
        }
        Some(Self {
            width,
            height,
            values,
            scale: 1.0,
            corner: (f64::from(crop.left + c0), f64::from(crop.top + r0)),
        })
    }

    /// The part of this plane within `reach` (photo px) of a place, with
    /// `scale` grid steps per photo px: averaged over areas where that is
    /// coarser, Catmull-Rom where it is finer. `None` where nothing is left.
    pub fn around(&self, middle: Point<Photo>, reach: f64, scale: f64) -> Option<Self> {
        let span = |middle: f64, corner: f64, n: usize| {
            let low = ((middle - reach - corner) * self.scale).max(0.0).floor();
            let high = ((middle + reach - corner) * self.scale).ceil();
            let high = high.min(n as f64);
            (high - low >= 2.0).then_some((low as usize, high as usize))
        };
        let columns = span(middle.x, self.corner.0, self.width)?;
        let rows = span(middle.y, self.corner.1, self.height)?;
        Some(self.part(columns, rows, scale))
    }

    /// All of it with `scale` grid steps per photo px, resampled likewise.
    pub fn resampled(&self, scale: f64) -> Self {
        self.part((0, self.width), (0, self.height), scale)
    }

    /// Other values on the same grid; there must be as many.
    pub fn with(&self, values: Vec<f32>) -> Self {
        Self { values, ..*self }
    }

    /// A grid of its own, which lies nowhere in a photo.
    pub fn grid_of(width: usize, height: usize, values: Vec<f32>) -> Self {
        Self {
            width,
            height,
            values,
            scale: 1.0,
            corner: (0.0, 0.0),
        }
    }

    fn part(&self, (c0, c1): (usize, usize), (r0, r1): (usize, usize), scale: f64) -> Self {
        let k = scale / self.scale;
        let (across, down) = (taps(c1 - c0, k), taps(r1 - r0, k));
        let mut rows = Vec::with_capacity(across.len() * (r1 - r0));
        for row in r0..r1 {
            let line = &self.values[row * self.width + c0..row * self.width + c1];
            rows.extend(across.iter().map(|t| t.sum(line, 1)));
        }
        let mut values = Vec::with_capacity(across.len() * down.len());
        for t in &down {
            for column in 0..across.len() {
                values.push(t.sum(&rows[column..], across.len()));
            }
        }
        Self {
            width: across.len(),
            height: down.len(),
            values,
            scale,
            corner: (
                self.corner.0 + c0 as f64 / self.scale,
                self.corner.1 + r0 as f64 / self.scale,
            ),
        }
    }

    /// Grid place of a place in the photo.
    pub fn grid(&self, p: Point<Photo>) -> (f64, f64) {
        (
            (p.x - self.corner.0) * self.scale,
            (p.y - self.corner.1) * self.scale,
        )
    }

    /// Place in the photo of a grid place.
    pub fn photo(&self, (u, v): (f64, f64)) -> Point<Photo> {
        Point::new(
            self.corner.0 + u / self.scale,
            self.corner.1 + v / self.scale,
        )
    }

    /// Brightness at a grid place, bilinear; `None` outside.
    pub fn at(&self, u: f64, v: f64) -> Option<f64> {
        let (u, v) = (u - 0.5, v - 0.5);
        let (last_u, last_v) = ((self.width - 1) as f64, (self.height - 1) as f64);
        if !(u >= -0.5 && v >= -0.5 && u <= last_u + 0.5 && v <= last_v + 0.5) {
            return None;
        }
        let (u, v) = (u.clamp(0.0, last_u), v.clamp(0.0, last_v));
        let (c, r) = (u as usize, v as usize);
        let (fu, fv) = (u - c as f64, v - r as f64);
        let (c1, r1) = ((c + 1).min(self.width - 1), (r + 1).min(self.height - 1));
        let get = |c: usize, r: usize| f64::from(self.values[r * self.width + c]);
        let top = get(c, r) + (get(c1, r) - get(c, r)) * fu;
        let low = get(c, r1) + (get(c1, r1) - get(c, r1)) * fu;
        Some(top + (low - top) * fv)
    }

    /// Blurred by a Gaussian of so many grid steps.
    #[must_use]
    pub fn blurred(&self, sigma: f64) -> Self {
        let reach = ((3.5 * sigma) as usize + 1).min(MOST_REACH);
        let mut kernel = [0.0_f32; MOST_REACH + 1];
        let mut all = 0.0;
        for (i, k) in kernel.iter_mut().enumerate().take(reach + 1) {
            let t = i as f64 / sigma;
            let w = libm::exp(-0.5 * t * t);
            *k = w as f32;
            all += if i == 0 { w } else { 2.0 * w };
        }
        let kernel = kernel.map(|k| k / all as f32);
        let (w, h) = (self.width, self.height);
        let pass =
            |from: &[f32], to: &mut Vec<f32>, at: usize, i: usize, n: usize, stride: usize| {
                let mut sum = kernel[0] * from[at + i * stride];
                for (d, k) in kernel.iter().enumerate().take(reach + 1).skip(1) {
                    // Beyond the edge it goes on.
                    let (a, b) = (i.saturating_sub(d), (i + d).min(n - 1));
                    sum += k * (from[at + a * stride] + from[at + b * stride]);
                }
                to.push(sum);
            };
        let mut across = Vec::with_capacity(w * h);
        for row in 0..h {
            for column in 0..w {
                pass(&self.values, &mut across, row * w, column, w, 1);
            }
        }
        let mut values = Vec::with_capacity(w * h);
        for row in 0..h {
            for column in 0..w {
                pass(&across, &mut values, column, row, h, w);
            }
        }
        Self { values, ..*self }
    }

    /// A little blurred: 1 4 6 4 1, about a Gaussian of 1 step.
    #[must_use]
    pub fn softened(&self) -> Self {
        let (w, h) = (self.width, self.height);
        let pass = |from: &[f32], n: usize, stride: usize, i: usize, at: usize| {
            let get = |d: i64| {
                let j = (i as i64 + d).clamp(0, n as i64 - 1) as usize;
                from[at + j * stride]
            };
            (get(-2) + get(2) + 4.0 * (get(-1) + get(1)) + 6.0 * get(0)) / 16.0
        };
        let mut across = Vec::with_capacity(w * h);
        for row in 0..h {
            for column in 0..w {
                across.push(pass(&self.values, w, 1, column, row * w));
            }
        }
        let mut values = Vec::with_capacity(w * h);
        for row in 0..h {
            for column in 0..w {
                values.push(pass(&across, h, w, row, column));
            }
        }
        Self { values, ..*self }
    }
}

/// Brightness of each 8-bit code.
fn table(tone: Tone) -> [f32; 256] {
    std::array::from_fn(|code| {
        let s = code as f64 / 255.0;
        (match tone {
            Tone::Coded => s,
            Tone::Linear => linear(s),
        }) as f32
    })
}

/// Light of an sRGB value, both 0 to 1 (IEC 61966-2-1).
pub fn linear(coded: f64) -> f64 {
    if coded <= 0.040_45 {
        coded / 12.92
    } else {
        libm::pow((coded + 0.055) / 1.055, 2.4)
    }
}

/// What one resampled value is made of.
struct Taps {
    from: usize,
    weights: [f32; MOST_TAPS],
    count: usize,
}

/// Most source values in one; more are thinned out evenly.
const MOST_TAPS: usize = 48;

impl Taps {
    fn sum(&self, line: &[f32], stride: usize) -> f32 {
        let weights = &self.weights[..self.count];
        let mut sum = 0.0;
        for (i, w) in weights.iter().enumerate() {
            sum += w * line[(self.from + i) * stride];
        }
        sum
    }
}

/// Resampling of `n` values at `k` new ones for each.
fn taps(n: usize, k: f64) -> Vec<Taps> {
    let made = ((n as f64 * k) as usize).max(1);
    let last = n - 1;
    (0..made)
        .map(|i| {
            let mut weights = [0.0; MOST_TAPS];
            if k >= 1.0 {
                // Catmull-Rom through the four values around.
                let at = ((i as f64 + 0.5) / k - 0.5).clamp(0.0, last as f64);
                let middle = at as usize;
                let from = middle.saturating_sub(1);
                let mut count = 0;
                for d in 0..4_usize {
                    let j = (middle + d).saturating_sub(1).min(last);
                    let w = catmull_rom(at - (middle as f64 + d as f64 - 1.0));
                    weights[j - from] += w as f32;
                    count = count.max(j - from + 1);
                }
                return Taps {
                    from,
                    weights,
                    count,
                };
            }
            // Each source value by the part of it that lies in the new one.
            let (low, high) = (i as f64 / k, ((i + 1) as f64 / k).min(n as f64));
            let from = (low as usize).min(last);
            let count = ((high.ceil() as usize).min(n) - from).clamp(1, MOST_TAPS);
            let mut all = 0.0;
            for (d, w) in weights.iter_mut().take(count).enumerate() {
                let at = (from + d) as f64;
                *w = (high.min(at + 1.0) - low.max(at)).max(0.0) as f32;
                all += *w;
            }
            for w in &mut weights {
                *w /= all.max(1e-6);
            }
            Taps {
                from,
                weights,
                count,
            }
        })
        .collect()
}

fn catmull_rom(t: f64) -> f64 {
    let t = t.abs();
    if t < 1.0 {
        1.0 + t * t * (1.5 * t - 2.5)
    } else if t < 2.0 {
        2.0 + t * (-4.0 + t * (2.5 - 0.5 * t))
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Layout, Size};

    fn ramp() -> Vec<u8> {
        (0..40 * 30)
            .map(|i| ((i % 40) * 5 + (i / 40)) as u8)
            .collect()
    }

    #[test]
    fn a_ramp_stays_where_it_is_at_every_resolution() {
        let bytes = ramp();
        let pixels = Pixels::of_photo(Size::new(40, 30), Layout::Luma, &bytes).unwrap();
        let p = Point::new(19.3, 14.2);
        let plane = Plane::near(&pixels, p, 50.0, Tone::Coded).unwrap();
        let (u, v) = plane.grid(p);
        let whole = plane.at(u, v).unwrap();
        assert!((whole * 255.0 - ((19.3 - 0.5) * 5.0 + 13.7)).abs() < 1e-3);
        for scale in [0.31, 0.5, 0.77, 1.0, 1.9, 4.0] {
            let part = plane.around(p, 9.0, scale).unwrap();
            let (u, v) = part.grid(p);
            let got = part.at(u, v).unwrap();
            assert!((got - whole).abs() * 255.0 < 0.35, "{scale}: {got} {whole}");
            let back = part.photo((u, v));
            assert!(back.distance(p) < 1e-9);
        }
    }

    /// IEC 61966-2-1: 50 % of light is code 187.5.
    #[test]
    fn half_the_light_is_code_188() {
        assert!((linear(187.516 / 255.0) - 0.5).abs() < 1e-4);
        assert!((linear(1.0) - 1.0).abs() < 1e-12 && linear(0.0) == 0.0);
    }
}
