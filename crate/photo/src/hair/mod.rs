//! Brow hair in a photo: where it grows, how densely, and how surely that is
//! known; and a brush to correct it.
//!
//! 1. The skin's colour is a smooth field fitted round the brow and carried on
//!    under it ([`skin`]); each cell differs from it in proportion to how much
//!    hair covers it, whatever the light.
//! 2. What tells hair from skin in this photo is learned from inside and
//!    outside the tapped brow ([`tell`]): darker or lighter, redder or greyer.
//! 3. Hair grows where the cover, evened out over the gap between two hairs,
//!    is at least half of what it is well inside the brow nearby. Gaps are
//!    closed, lone hairs left out, and with the hair so found the skin is
//!    fitted anew.
//!
//! All lengths are millimetres on the face.

mod border;
mod brush;
mod mask;
mod search;
mod skin;
mod tell;

use ophryon_frames::{Photo, Point, signed_area, simplified};

pub use brush::{BRUSH_MM, Brush, BrushError, brushed};
pub use search::{HairSearch, SearchError};

use crate::Pixels;
use crate::plane::{Plane, Tone};
pub(crate) use border::rings;
pub(crate) use mask::Mask;
use search::GROWTH_MM;
use skin::broad;
pub(crate) use skin::{Differing, median};
pub(crate) use tell::{FEATURES, Tell};

/// Cells to a millimetre at most: about a hair's breadth, 0.07 to 0.13 mm.
const FINEST: f64 = 5.0;
/// Hair's cover is evened out over a Gaussian of so many mm: hairs of a brow
/// stand 0.5 to 1 mm apart.
const EVEN_MM: f64 = 0.3;
/// And its usual level over so many.
const LEVEL_MM: f64 = 2.5;
/// Share of the usual cover nearby at which hair begins: half-way.
const HALF: f32 = 0.35;
/// Gaps between hairs up to twice this are closed, mm.
const GAP_MM: f64 = 0.7;
/// What is thinner than twice this is a lone hair, mm.
const LONE_MM: f64 = 0.35;
/// Farther than this from the tapped brow, mm, what is thinner than twice the
/// other is no hair of it.
const NEAR_MM: f64 = 1.5;
const TONGUE_MM: f64 = 1.2;
/// Pieces smaller than this are left out, mm².
const LEAST_MM2: f64 = 2.0;
/// Bare patches smaller than this count as grown, mm².
const HOLE_MM2: f64 = 4.0;
/// The border keeps this near to what was found, mm.
const BORDER_MM: f64 = 0.05;
/// Skin and hair closer to the border than this are not learned from, mm.
const SKIN_OFF_MM: f64 = 1.0;
const HAIR_OFF_MM: f64 = 0.5;
/// How far from the tapped brow skin is surely skin at first, mm: hands tap a
/// millimetre or two beside.
const FIRST_OFF_MM: f64 = 2.5;
/// Rounds of finding hair and fitting the skin anew.
const ROUNDS: usize = 2;
/// Hair that lies nearer to skin than so many of its standard deviations
/// can't be told from it.
const UNTOLD: f64 = 1.2;
const FAINT: f64 = 2.5;

/// Brow hair found in a photo.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundHair {
    /// Round the region where hair grows, one closed line a piece, the largest
    /// first; a line that winds the other way than the first is a bare patch.
    pub border: Vec<Vec<Point<Photo>>>,
    /// How densely it grows.
    pub cover: HairCover,
    /// How far hair lies from skin, in standard deviations of the skin.
    pub apart: f64,
    /// What the artist should know, if anything.
    pub remark: Option<HairRemark>,
}

/// How much of each cell of a grid over the photo hair covers.
#[derive(Debug, Clone, PartialEq)]
pub struct HairCover {
    /// Cells across.
    pub width: usize,
    /// Cells down.
    pub height: usize,
    /// By rows: 0 bare skin or outside of the border, 255 hair as it mostly
    /// is inside the brow.
    pub cells: Vec<u8>,
    /// The upper left corner of the first cell in the photo.
    pub corner: Point<Photo>,
    /// Side of a cell, px of the photo.
    pub cell_px: f64,
}

/// How surely hair is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum HairRemark {
    /// Hair is hardly darker or lighter than the skin.
    Faint,
    /// Hair is found on the edge of the photo.
    CutOff,
    /// The photo has few px to a hair.
    Coarse,
}

impl HairRemark {
    /// What to do about it.
    pub const fn sentence(self) -> &'static str {
        match self {
            Self::Faint => {
                "The hair is nearly as light or dark as the skin: check the border with the brush."
            }
            Self::CutOff => {
                "The brow reaches the edge of the photo: check the border with the brush, or take a photo with the whole brow."
            }
            Self::Coarse => {
                "The photo is too coarse to tell single hairs: check the border with the brush."
            }
        }
    }
}

/// Why no hair was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NoHair {
    /// The pixels hold nothing of the brow.
    #[error("the photo shows nothing of this brow; check where it was tapped")]
    OutOfPhoto,
    /// Hardly any skin round it.
    #[error("too little skin is seen round this brow to know its colour; trace the hair by hand")]
    NoSkin,
    /// Hair and skin look alike, or there is no hair.
    #[error(
        "no hair can be told from the skin here; trace it with the brush, or leave it out where there is none"
    )]
    NotTold,
}

/// Coarser than this single hairs can't be told, px per mm.
const COARSE: f64 = 3.0;

/// Finds the hair of one brow. `pixels` must hold [`HairSearch::crop`]; more
/// does no harm.
///
/// # Errors
/// [`NoHair`].
pub fn find_hair(pixels: &Pixels<'_>, search: &HairSearch) -> Result<FoundHair, NoHair> {
    let field = Field::of(pixels, search).ok_or(NoHair::OutOfPhoto)?;
    let mut hair = field.core.clone();
    let mut skin = field.skin_beside(&field.brow, FIRST_OFF_MM);
    let mut found = None;
    for _ in 0..ROUNDS {
        let weight: Vec<f32> = skin.on.iter().map(|on| f32::from(u8::from(*on))).collect();
        let differing =
            Differing::from_skin(&field.light, &weight, field.per_mm).ok_or(NoHair::NoSkin)?;
        let told = field
            .told(&differing, &hair, &skin)
            .ok_or(NoHair::NotTold)?;
        if told.region.is_empty() {
            return Err(NoHair::NotTold);
        }
        let inside = told.region.shrunk(HAIR_OFF_MM * field.per_mm);
        hair = if inside.count() > 200 {
            inside
        } else {
            told.region.clone()
        };
        skin = field.skin_beside(&told.region, SKIN_OFF_MM);
        found = Some(told);
    }
    let told = found.ok_or(NoHair::NotTold)?;
    if told.apart < UNTOLD {
        return Err(NoHair::NotTold);
    }
    field.finished(&told, search)
}

/// What is looked at.
struct Field {
    light: [Plane; 3],
    per_mm: f64,
    /// The tapped brow, and its middle.
    brow: Mask,
    core: Mask,
    /// Where hair can be.
    reach: Mask,
    eye: Mask,
}

/// One round's result.
struct Told {
    /// Raw cover: 0 skin, about 1 inside the brow.
    cover: Plane,
    region: Mask,
    apart: f64,
}

impl Field {
    fn of(pixels: &Pixels<'_>, search: &HairSearch) -> Option<Self> {
        let k = (FINEST / search.px_per_mm).min(1.0);
        let span = |of: fn(&Point<Photo>) -> f64| {
            let low = search.brow.iter().map(of).fold(f64::INFINITY, f64::min);
            let high = search.brow.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
            (0.5 * (low + high), 0.5 * (high - low) + search.margin_px())
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
        let light: [Plane; 3] = planes.try_into().ok()?;
        let (w, h) = (light[0].width, light[0].height);
        let middle = |c: usize, r: usize| light[0].photo((c as f64 + 0.5, r as f64 + 0.5));
        let brow = Mask::from_fn(w, h, |c, r| inside(&search.brow, middle(c, r)));
        let per_mm = search.px_per_mm * light[0].scale;
        if brow.count() < 100 {
            return None;
        }
        let eye = Mask::from_fn(w, h, |c, r| search.is_eye(middle(c, r)));
        let away = brow.squared_distances();
        let most = (GROWTH_MM * per_mm) as f32;
        let reach = brow.and(|_| true);
        let reach = Mask {
            on: away
                .iter()
                .zip(&eye.on)
                .map(|(d, eye)| *d <= most * most && !eye)
                .collect(),
            ..reach
        };
        // The inner half of the brow by distance from its edge.
        let depth = brow.not().squared_distances();
        let deepest = (0..w * h)
            .filter(|i| brow.on[*i])
            .map(|i| depth[i])
            .fold(0.0, f32::max);
        let core = brow.and(|i| depth[i] >= 0.2 * deepest && !eye.on[i]);
        Some(Self {
            light,
            per_mm,
            brow,
            core,
            reach,
            eye,
        })
    }

    /// What is farther from hair than so many mm and no eye.
    fn skin_beside(&self, hair: &Mask, mm: f64) -> Mask {
        hair.grown(mm * self.per_mm).not().and(|i| !self.eye.on[i])
    }

    fn told(&self, differing: &Differing, hair: &Mask, skin: &Mask) -> Option<Told> {
        let sigma = EVEN_MM * self.per_mm;
        let raw = &differing.0;
        let even: [Plane; FEATURES] = raw.each_ref().map(|p| p.blurred(sigma));
        let tell = Tell::of(&even, hair, skin)?;
        let (cover, even) = (tell.over(raw), tell.over(&even));
        // Usual cover nearby, of what is hair so far.
        let sigma = LEVEL_MM * self.per_mm;
        let counts = hair.on.iter().map(|on| f32::from(u8::from(*on)));
        let counts = cover.with(counts.collect());
        let weighed = hair
            .on
            .iter()
            .zip(&even.values)
            .map(|(on, v)| if *on { *v } else { 0.0 });
        let level = broad(&cover.with(weighed.collect()), sigma);
        let sure = broad(&counts, sigma);
        // What skin alone reaches once in a thousand places.
        let least = (3.1 / tell.apart) as f32;
        let (w, h) = (cover.width, cover.height);
        let region = Mask::from_fn(w, h, |c, r| {
            let i = r * w + c;
            // Far from all hair, the level of all hair: 1.
            let usual = (level[i] + 0.02) / (sure[i] + 0.02);
            self.reach.on[i] && even.values[i] > (HALF * usual).max(least.min(0.8))
        });
        let region = region
            .closed(GAP_MM * self.per_mm)
            .and(|i| self.reach.on[i])
            .opened(LONE_MM * self.per_mm);
        // Far from the brow only what is broad: a gleam of the skin is not.
        let broad = region.opened(TONGUE_MM * self.per_mm);
        let near = self.brow.grown(NEAR_MM * self.per_mm);
        let region = region.and(|i| near.on[i] || broad.on[i]);
        let cell_mm2 = 1.0 / (self.per_mm * self.per_mm);
        let least = (LEAST_MM2 / cell_mm2) as usize;
        let region = region
            .filled((HOLE_MM2 / cell_mm2) as usize)
            .keeping(|piece| piece.len() >= least && piece.iter().any(|i| self.brow.on[*i]));
        Some(Told {
            cover,
            region,
            apart: tell.apart,
        })
    }

    fn finished(&self, told: &Told, search: &HairSearch) -> Result<FoundHair, NoHair> {
        let grown = told.region.on.iter().map(|on| f32::from(u8::from(*on)));
        // Cells have corners; a border has none.
        let soft = told
            .cover
            .with(grown.collect())
            .blurred((0.15 * self.per_mm).max(0.6));
        let tolerance = BORDER_MM * search.px_per_mm;
        let mut border: Vec<_> = border::rings(&soft, 0.5)
            .iter()
            .map(|ring| simplified(ring, tolerance))
            .filter(|ring| !ring.is_empty())
            .collect();
        border.sort_by(|a, b| signed_area(b).abs().total_cmp(&signed_area(a).abs()));
        if border.is_empty() {
            return Err(NoHair::NotTold);
        }
        let (w, h) = (soft.width, soft.height);
        let at_edge = |i: usize| {
            let (c, r) = (i % w, i / w);
            c == 0 || r == 0 || c + 1 == w || r + 1 == h
        };
        let cut_off = (0..w * h).any(|i| told.region.on[i] && at_edge(i));
        let remark = if told.apart < FAINT {
            Some(HairRemark::Faint)
        } else if cut_off {
            Some(HairRemark::CutOff)
        } else if search.px_per_mm < COARSE {
            Some(HairRemark::Coarse)
        } else {
            None
        };
        let cells = told
            .cover
            .values
            .iter()
            .zip(&soft.values)
            .map(|(cover, soft)| {
                let part = cover.clamp(0.0, 1.0) * (2.0 * soft).clamp(0.0, 1.0);
                (part * 255.0 + 0.5) as u8
            });
        Ok(FoundHair {
            border,
            cover: HairCover {
                width: w,
                height: h,
                cells: cells.collect(),
                corner: soft.photo((0.0, 0.0)),
                cell_px: 1.0 / soft.scale,
            },
            apart: told.apart,
            remark,
        })
    }
}

/// Whether a closed line winds round a place an odd number of times.
pub(crate) fn inside(ring: &[Point<Photo>], p: Point<Photo>) -> bool {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).fold(false, |odd, (a, b)| {
        let crossed =
            (a.y <= p.y) != (b.y <= p.y) && p.x < a.x + (b.x - a.x) * ((p.y - a.y) / (b.y - a.y));
        odd != crossed
    })
}
