//! The picture in the making, and fine hairs drawn on it.

use super::{Picture, Rgb};
use crate::chance::{Chance, noise};
use crate::conditions::Conditions;
use crate::curve::step;

/// Linear colours, the light that fell on them, per px.
pub struct Canvas {
    pub width: usize,
    pub height: usize,
    pub colour: Vec<[f32; 3]>,
    /// Irradiance, for what is drawn later.
    pub light: Vec<f32>,
}

/// One hair: positions (px), half-widths (px) and cover (0 to 1) from root to tip.
pub struct Hair<'a> {
    pub path: &'a [(f64, f64)],
    pub root: f64,
    pub tip: f64,
    pub cover: f64,
    pub colour: Rgb,
    /// Share of the light on the skin that the hair shows.
    pub shine: f64,
}

impl Canvas {
    /// Mixes a colour in.
    pub fn mix(&mut self, column: usize, row: usize, colour: Rgb, cover: f64) {
        let cell = &mut self.colour[row * self.width + column];
        for (c, add) in cell.iter_mut().zip(colour) {
            *c += ((add - f64::from(*c)) * cover) as f32;
        }
    }

    /// Light at a px.
    pub fn light_at(&self, column: usize, row: usize) -> f64 {
        f64::from(self.light[row * self.width + column])
    }

    /// Draws a tapering hair with smooth edges.
    pub fn hair(&mut self, hair: &Hair) {
        let n = hair.path.len();
        if n < 2 {
            return;
        }
        let widest = hair.root.max(hair.tip) + 1.0;
        let (mut x0, mut x1, mut y0, mut y1) = (f64::MAX, f64::MIN, f64::MAX, f64::MIN);
        for &(x, y) in hair.path {
            (x0, x1) = (x0.min(x), x1.max(x));
            (y0, y1) = (y0.min(y), y1.max(y));
        }
        let (x0, y0) = (
            (x0 - widest).max(0.0) as usize,
            (y0 - widest).max(0.0) as usize,
        );
        let x1 = ((x1 + widest).max(0.0) as usize + 1).min(self.width);
        let y1 = ((y1 + widest).max(0.0) as usize + 1).min(self.height);
        if x0 >= x1 || y0 >= y1 {
            return;
        }
        let wide = x1 - x0;
        let mut cover = vec![0.0f32; wide * (y1 - y0)];
        for i in 0..n - 1 {
            let (a, b) = (hair.path[i], hair.path[i + 1]);
            let (ta, tb) = (i as f64 / (n - 1) as f64, (i + 1) as f64 / (n - 1) as f64);
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let long = (dx * dx + dy * dy).max(1e-12);
            let cols = (a.0.min(b.0) - widest, a.0.max(b.0) + widest);
            let rows = (a.1.min(b.1) - widest, a.1.max(b.1) + widest);
            let c0 = (cols.0.max(x0 as f64)) as usize;
            let c1 = ((cols.1.max(0.0)) as usize + 1).min(x1);
            let r0 = (rows.0.max(y0 as f64)) as usize;
            let r1 = ((rows.1.max(0.0)) as usize + 1).min(y1);
            for row in r0..r1 {
                for column in c0..c1 {
                    let (px, py) = (column as f64 + 0.5 - a.0, row as f64 + 0.5 - a.1);
                    let t = ((px * dx + py * dy) / long).clamp(0.0, 1.0);
                    let (ex, ey) = (px - t * dx, py - t * dy);
                    let away = (ex * ex + ey * ey).sqrt();
                    let along = ta + (tb - ta) * t;
                    let half = hair.root + (hair.tip - hair.root) * along * along;
                    // Thinner than a px: less cover instead.
                    let full = (2.0 * half).min(1.0);
                    let soft = step(half + 0.62, half.max(0.25) - 0.38, away);
                    let got = (soft * full) as f32;
                    let cell = &mut cover[(row - y0) * wide + column - x0];
                    *cell = cell.max(got);
                }
            }
        }
        for row in y0..y1 {
            for column in x0..x1 {
                let got = f64::from(cover[(row - y0) * wide + column - x0]);
                if got > 0.003 {
                    let lit = hair
                        .colour
                        .map(|c| c * (0.25 + hair.shine * self.light_at(column, row)));
                    self.mix(column, row, lit, got * hair.cover);
                }
            }
        }
    }

    /// The finished picture: gentle film curve, sRGB, a breath of grain.
    pub fn picture(&self, seed: u64, conditions: &Conditions) -> Picture {
        let mut rgb = Vec::with_capacity(self.colour.len() * 3);
        let blurred = (conditions.blur_px > 0.0).then(|| self.blurred(conditions.blur_px));
        let light = libm::exp2(conditions.stops);
        let mut sensor = Chance::new(seed ^ 0x5E45);
        for (i, c) in blurred.as_ref().unwrap_or(&self.colour).iter().enumerate() {
            let (x, y) = ((i % self.width) as f64, (i / self.width) as f64);
            let grain = 0.9 * noise(x * 0.83, y * 0.83, seed ^ 0xA11);
            let beside = (x + 0.5) / self.width as f64 - 0.5;
            let light = light * libm::exp2(conditions.side_stops * beside);
            for v in c {
                let mut s = srgb(film(EXPOSURE * light * f64::from(*v))) * 255.0 + grain;
                if conditions.grain > 0.0 {
                    s += conditions.grain * sensor.normal();
                }
                rgb.push((s + 0.5).clamp(0.0, 255.0) as u8);
            }
        }
        Picture {
            width: self.width as u32,
            height: self.height as u32,
            rgb,
        }
    }
}

impl Canvas {
    /// Colours behind a lens that blurs: a Gaussian, in linear light, as far as
    /// it is above a thousandth.
    fn blurred(&self, sigma: f64) -> Vec<[f32; 3]> {
        let reach = (3.8 * sigma) as usize + 1;
        let weights: Vec<f64> = (0..=reach)
            .map(|i| libm::exp(-0.5 * (i as f64 / sigma) * (i as f64 / sigma)))
            .collect();
        let all: f64 = 2.0 * weights.iter().sum::<f64>() - weights[0];
        let pass = |from: &[[f32; 3]], n: usize, stride: usize, other: usize, step: usize| {
            let mut to = vec![[0.0f32; 3]; from.len()];
            for line in 0..other {
                for i in 0..n {
                    let mut sum = [0.0f64; 3];
                    for (k, w) in weights.iter().enumerate() {
                        // Beyond the picture its edge goes on.
                        let (a, b) = (i.saturating_sub(k), (i + k).min(n - 1));
                        let w = if k == 0 { 0.5 * w } else { *w };
                        for j in [a, b] {
                            let c = from[line * step + j * stride];
                            for (s, c) in sum.iter_mut().zip(c) {
                                *s += w * f64::from(c);
                            }
                        }
                    }
                    to[line * step + i * stride] = sum.map(|s| (s / all) as f32);
                }
            }
            to
        };
        let (w, h) = (self.width, self.height);
        let across = pass(&self.colour, w, 1, h, w);
        pass(&across, h, w, w, 1)
    }
}

/// Brightness of the whole picture.
const EXPOSURE: f64 = 1.12;

/// Soft shoulder for the highlights.
fn film(v: f64) -> f64 {
    let v = v.max(0.0);
    if v < 0.55 {
        v
    } else {
        0.55 + 0.45 * (1.0 - libm::exp(-(v - 0.55) / 0.45))
    }
}

/// Transfer curve of sRGB (IEC 61966-2-1).
fn srgb(v: f64) -> f64 {
    if v <= 0.003_130_8 {
        12.92 * v
    } else {
        1.055 * libm::pow(v, 1.0 / 2.4) - 0.055
    }
}
