//! How strongly each place of the photo differs from the skin as powder does.

use ophryon_frames::{Photo, Point, Vector};

use super::NoPigment;
use super::shape::{inside, strokes};
use crate::hair::{Differing, FEATURES, Mask, Tell};
use crate::plane::{Plane, Tone};
use crate::{Crop, Pixels, Size};

/// Cells to a millimetre at most: a hair's breadth is 0.07 to 0.13 mm.
const FINEST: f64 = 8.0;
/// Coarser than this nothing is measured, px per mm.
const COARSEST: f64 = 2.0;
/// Dark strokes thinner than twice this are hairs, mm: a hair is 0.07 to 0.13
/// mm broad, and a lens and a JPEG file make up to four times that of it.
const STROKE_MM: f64 = 0.4;
/// Grain is evened out over so many mm before strokes are looked for.
const GRAIN_MM: f64 = 0.06;
/// The powder's dots are evened out over so many mm.
const EVEN_MM: f64 = 0.22;
/// How far beyond the outline skin is looked at, mm.
const AROUND_MM: f64 = 9.0;
/// Nearer than this to the outline no skin is learned from, mm: where a brow
/// was laid and where it healed differ.
const SKIN_OFF_MM: f64 = 1.6;
/// And powder only so far inside, mm.
const CORE_MM: f64 = 0.9;
/// The brow has to differ from the skin by so many of the skin's standard
/// deviations; below it nothing can be told.
const UNTOLD: f64 = 3.5;
/// Nor can what is hardly darker than the skin.
const LEAST_DARKNESS: f64 = 0.03;
/// A place that changed by more than this share as strokes were taken away was
/// hair; grain of a sensor stays below it.
const HAIR: f32 = 0.12;
/// Where more than this share of the places nearby were, what is left between
/// them is too little to tell powder by.
const DENSE: f32 = 0.4;
/// How near that is, mm.
const DENSE_MM: f64 = 0.6;

/// Where powder is looked for.
#[derive(Debug, Clone, PartialEq)]
pub struct PigmentSearch {
    /// The agreed outline as it lies in the photo, in order.
    pub outline: Vec<Point<Photo>>,
    /// The eye's corners, so that lids and lashes count as neither.
    pub eye: [Point<Photo>; 2],
    /// px per mm on the face.
    pub px_per_mm: f64,
}

/// Most places of an outline.
const MOST_PLACES: usize = 4000;

impl PigmentSearch {
    /// The piece of the photo that is needed. `None` when the brow doesn't lie
    /// inside with the skin beside it.
    pub fn crop(&self, photo: Size) -> Option<Crop> {
        Crop::around(&self.outline, AROUND_MM * self.px_per_mm + 1.0, photo)
    }

    fn is_sound(&self) -> bool {
        let sound = |p: &Point<Photo>| p.x.abs() < 1e6 && p.y.abs() < 1e6;
        (3..=MOST_PLACES).contains(&self.outline.len())
            && self.outline.iter().all(sound)
            && self.eye.iter().all(sound)
            && self.px_per_mm.is_finite()
    }

    /// Lids, lashes and what lies below the eye. Upward an ellipse through the
    /// fold of the lid, as for hair.
    fn is_eye(&self, p: Point<Photo>) -> bool {
        let [a, b] = self.eye;
        let Some(along) = (b - a).unit() else {
            return false;
        };
        let middle = a.midpoint(b);
        let up = Vector::new(along.y, -along.x);
        let n = self.outline.len() as f64;
        let towards: f64 = self.outline.iter().map(|q| (*q - middle).dot(up)).sum();
        let up = if towards / n < 0.0 { up * -1.0 } else { up };
        let from = p - middle;
        let half = 0.5 * a.distance(b) + 5.0 * self.px_per_mm;
        let (along, up) = (from.dot(along) / half, from.dot(up) / self.px_per_mm);
        if up > 0.0 {
            along * along + (up / 9.5) * (up / 9.5) < 1.0
        } else {
            along.abs() < 1.0
        }
    }
}

/// Powder on a grid over the photo.
pub struct Pigment {
    /// 0 on skin, about 1 where powder is as it mostly is inside.
    pub(super) strength: Plane,
    /// Where hairs stand too close to tell: 0 or 1.
    dense: Plane,
    /// How many standard deviations of the skin the powder lies from it.
    pub apart: f64,
    /// How much darker than the skin round it the middle of the brow is,
    /// 0 to 1.
    pub darkness: f64,
    /// Standard uncertainty of that: how unevenly the skin itself is lit.
    pub darkness_sd: f64,
}

impl Pigment {
    /// Finds it. `pixels` must hold [`PigmentSearch::crop`].
    ///
    /// # Errors
    /// [`NoPigment`].
    pub fn find(pixels: &Pixels<'_>, search: &PigmentSearch) -> Result<Self, NoPigment> {
        if !search.is_sound() {
            return Err(NoPigment::OutOfPhoto);
        }
        if search.px_per_mm < COARSEST {
            return Err(NoPigment::Coarse);
        }
        let light = light(pixels, search).ok_or(NoPigment::OutOfPhoto)?;
        let per_mm = search.px_per_mm * light[0].scale;
        let (w, h) = (light[0].width, light[0].height);
        let middle = |c: usize, r: usize| light[0].photo((c as f64 + 0.5, r as f64 + 0.5));
        let brow = Mask::from_fn(w, h, |c, r| inside(&search.outline, middle(c, r)));
        // All of it has to be seen.
        let whole = search.outline.iter().all(|p| {
            let (u, v) = light[0].grid(*p);
            light[0].at(u, v).is_some()
        });
        if !whole || brow.count() < 100 {
            return Err(NoPigment::OutOfPhoto);
        }
        let eye = Mask::from_fn(w, h, |c, r| search.is_eye(middle(c, r)));
        let calm = light.each_ref().map(|plane| {
            let even = plane.blurred((GRAIN_MM * per_mm).max(0.4));
            without_strokes(&even, STROKE_MM * per_mm)
        });
        let core = brow.shrunk(CORE_MM * per_mm).and(|i| !eye.on[i]);
        let core = if core.count() < 60 {
            brow.shrunk(0.5 * CORE_MM * per_mm)
        } else {
            core
        };
        let skin = brow.grown(SKIN_OFF_MM * per_mm).not().and(|i| !eye.on[i]);
        let weight: Vec<f32> = skin.on.iter().map(|on| f32::from(u8::from(*on))).collect();
        let differing = Differing::from_skin(&calm, &weight, per_mm).ok_or(NoPigment::NoSkin)?;
        let sigma = EVEN_MM * per_mm;
        let even: [Plane; FEATURES] = differing.0.each_ref().map(|p| p.blurred(sigma));
        let tell = Tell::of(&even, &core, &skin).ok_or(NoPigment::NoSkin)?;
        let strength = tell.over(&even);
        let (darkness, darkness_sd) = darkness(&even, &core, &skin);
        // Skin that is no darker than its surroundings holds no powder.
        if tell.apart < UNTOLD || darkness <= LEAST_DARKNESS {
            return Err(NoPigment::NotTold);
        }
        let dense = dense(&light, &calm, per_mm);
        Ok(Self {
            strength,
            dense,
            apart: tell.apart,
            darkness,
            darkness_sd,
        })
    }

    /// Strength at a place of the photo; `None` outside of what was looked at.
    pub fn at(&self, p: Point<Photo>) -> Option<f64> {
        let (u, v) = self.strength.grid(p);
        self.strength.at(u, v)
    }

    /// Whether hairs stand there too close to tell powder by.
    pub fn is_dense(&self, p: Point<Photo>) -> bool {
        let (u, v) = self.dense.grid(p);
        self.dense.at(u, v).is_some_and(|d| d > 0.5)
    }
}

/// Linear red, green and blue round the brow.
fn light(pixels: &Pixels<'_>, search: &PigmentSearch) -> Option<[Plane; 3]> {
    let k = (FINEST / search.px_per_mm).min(1.0);
    let margin = AROUND_MM * search.px_per_mm;
    let span = |of: fn(&Point<Photo>) -> f64| {
        let low = search.outline.iter().map(of).fold(f64::INFINITY, f64::min);
        let high = search
            .outline
            .iter()
            .map(of)
            .fold(f64::NEG_INFINITY, f64::max);
        (0.5 * (low + high), 0.5 * (high - low) + margin)
    };
    let (x, y) = (span(|p| p.x), span(|p| p.y));
    let mut planes = Vec::with_capacity(3);
    for weights in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]] {
        let plane = Plane::weighed(
            pixels,
            Point::new(x.0, y.0),
            (x.1, y.1),
            Tone::Linear,
            weights,
        )?;
        planes.push(if k < 1.0 { plane.resampled(k) } else { plane });
    }
    planes.try_into().ok()
}

/// How much darker the middle of the brow is than its skin, by the mean of red
/// and green (blue is the noisiest), and how sure that is.
fn darkness(even: &[Plane; FEATURES], core: &Mask, skin: &Mask) -> (f64, f64) {
    let at = |i: usize| -0.5 * f64::from(even[0].values[i] + even[1].values[i]);
    let of = |mask: &Mask| -> Vec<f64> {
        let on = mask.on.iter().enumerate().filter(|(_, on)| **on);
        on.map(|(i, _)| at(i)).collect()
    };
    let middle = crate::hair::median(&mut of(core));
    let mut off: Vec<f64> = of(skin).into_iter().map(f64::abs).collect();
    // The median deviation is 0.6745 standard ones.
    (middle, crate::hair::median(&mut off) / 0.6745)
}

/// The picture without hairs, dark or light.
fn without_strokes(plane: &Plane, reach: f64) -> Plane {
    let dark = strokes(plane, reach);
    let turned = plane.with(plane.values.iter().map(|v| -v).collect());
    let bright = strokes(&turned, reach);
    let both = dark.values.iter().zip(&bright.values);
    let values = plane.values.iter().zip(both);
    plane.with(values.map(|(v, (d, b))| v + d - b).collect())
}

/// Where hairs that were taken away stand close: there most of what is seen is
/// hair.
fn dense(light: &[Plane; 3], calm: &[Plane; 3], per_mm: f64) -> Plane {
    let taken = light[0].values.iter().zip(&light[1].values);
    let left = calm[0].values.iter().zip(&calm[1].values);
    let values = taken.zip(left).map(|((r, g), (cr, cg))| {
        let share = 1.0 - (r + g) / (cr + cg).max(1e-4);
        f32::from(u8::from(share.abs() > HAIR))
    });
    let strokes = light[0].with(values.collect()).blurred(DENSE_MM * per_mm);
    let values = strokes
        .values
        .iter()
        .map(|v| f32::from(u8::from(*v > DENSE)));
    strokes.with(values.collect())
}
