//! What the artist should know of a photo, and the way out.
//!
//! The limits are ours: a tap is good to about 0.3 mm, so a photo may cost
//! that much and should not cost more.

use ophryon_frames::Side;

use super::Quality;

/// Fewer px per mm than this: a px is a quarter of a millimetre then.
const LEAST_PX_PER_MM: f64 = 4.0;
/// With fewer the photo can hardly be used.
const HARDLY_PX_PER_MM: f64 = 2.0;
/// Blur that lies in the px themselves, px.
const AS_SHARP_AS_PX: f64 = 1.2;
/// Edges wider than this are soft, mm.
const SOFT_MM: f64 = 0.8;
/// Edges wider than this hide where hair ends, mm.
const BLURRED_MM: f64 = 1.5;
/// The white of the eye darker than this: two and a half stops less than a
/// well lit one (about 0.5); hair and shade run together.
const DARK: f64 = 0.09;
/// And with less than this there is little left to tap on.
const VERY_DARK: f64 = 0.035;
/// Share of burnt px at a brow that is worth a word.
const BURNT: f64 = 0.02;
/// Share that hides fair hair.
const VERY_BURNT: f64 = 0.15;
/// One side so many times as bright as the other: one stop.
const UNEVEN: f64 = 2.0;
/// Two stops.
const VERY_UNEVEN: f64 = 4.0;
/// Grain of the brightness that hides single hairs, steps of 255; that of each
/// colour by itself is half as much again.
const GRAINY: f64 = 8.0;

/// What is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Matter {
    /// A brow lies outside the photo.
    CutOff,
    /// px per mm.
    Resolution,
    /// Width of the sharpest edges.
    Sharpness,
    /// Too little light.
    Dark,
    /// Burnt out.
    Bright,
    /// One side lit more than the other.
    Uneven,
    /// Grain.
    Grain,
}

/// How much it matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Can be worked with; worth knowing.
    Mind,
    /// Taking the photo again saves time.
    TakeAgain,
}

/// One thing about the photo that the artist should know.
#[derive(Debug, Clone, PartialEq)]
pub struct Remark {
    /// What it is about.
    pub matter: Matter,
    /// How much it matters.
    pub weight: Weight,
    /// What is wrong, and the way out.
    pub sentence: String,
}

/// The weight of something above its first limit, heavier above the second.
fn above(value: f64, limit: f64, heavy: f64) -> Option<Weight> {
    if value > heavy {
        Some(Weight::TakeAgain)
    } else if value > limit {
        Some(Weight::Mind)
    } else {
        None
    }
}

/// All remarks on a photo, the weightiest first.
pub fn remarks(quality: &Quality) -> Vec<Remark> {
    let mut all: Vec<Remark> = [
        cut_off(quality),
        resolution(quality),
        sharpness(quality),
        dark(quality),
        bright(quality),
        uneven(quality),
        grain(quality),
    ]
    .into_iter()
    .flatten()
    .collect();
    all.sort_by_key(|r| std::cmp::Reverse(r.weight));
    all
}

fn cut_off(q: &Quality) -> Option<Remark> {
    let missing = |side: Side| q.sides.get(side).is_none();
    let which = match (missing(Side::Right), missing(Side::Left)) {
        (true, true) => "Both brows are".to_owned(),
        (true, false) => format!("The client’s {} brow is", Side::Right.name()),
        (false, true) => format!("The client’s {} brow is", Side::Left.name()),
        (false, false) => return None,
    };
    Some(Remark {
        matter: Matter::CutOff,
        weight: Weight::TakeAgain,
        sentence: format!("{which} not in the photo: take one with the whole face in it."),
    })
}

fn resolution(q: &Quality) -> Option<Remark> {
    let weight = above(
        1.0 / q.px_per_mm,
        1.0 / LEAST_PX_PER_MM,
        1.0 / HARDLY_PX_PER_MM,
    )?;
    Some(Remark {
        matter: Matter::Resolution,
        weight,
        sentence: format!(
            "Only {:.1} px to a millimetre at the brows, where {LEAST_PX_PER_MM} are needed to tap well: fill the picture with the face, by zooming rather than from nearer, or choose the camera's full size, and take it again.",
            q.px_per_mm
        ),
    })
}

fn sharpness(q: &Quality) -> Option<Remark> {
    let edge = q.edge_mm();
    // Where px are scarce it is they that make edges wide.
    let scarce = q.px_per_mm < HARDLY_PX_PER_MM;
    if scarce || q.blur_px().is_some_and(|px| px < AS_SHARP_AS_PX) {
        return None;
    }
    let (weight, what) = match edge {
        Some(mm) => (
            above(mm, SOFT_MM, BLURRED_MM)?,
            format!("edges are {mm:.1} mm wide there"),
        ),
        None if q.sides.iter().all(|(_, s)| s.is_none()) => return None,
        None => (Weight::TakeAgain, "no edge stands out there".to_owned()),
    };
    let how = match weight {
        Weight::Mind => "A little soft",
        Weight::TakeAgain => "Blurred",
    };
    Some(Remark {
        matter: Matter::Sharpness,
        weight,
        sentence: format!(
            "{how} at the brows ({what}): let the camera focus on the eyes, hold it still or prop it up, and take it again."
        ),
    })
}

fn dark(q: &Quality) -> Option<Remark> {
    let white = q
        .sides
        .iter()
        .filter_map(|(_, s)| Some(s.as_ref()?.exposure.white))
        .fold(f64::NAN, f64::max);
    if white.is_nan() {
        return None;
    }
    let weight = above(1.0 / white.max(1e-6), 1.0 / DARK, 1.0 / VERY_DARK)?;
    Some(Remark {
        matter: Matter::Dark,
        weight,
        sentence:
            "Too dark at the brows: turn the face to the window, or bring more light from the front, and take it again."
                .to_owned(),
    })
}

fn bright(q: &Quality) -> Option<Remark> {
    let worst = q
        .sides
        .iter()
        .filter_map(|(side, s)| Some((s.as_ref()?.exposure.burnt, side)))
        .max_by(|a, b| a.0.total_cmp(&b.0))?;
    let weight = above(worst.0, BURNT, VERY_BURNT)?;
    Some(Remark {
        matter: Matter::Bright,
        weight,
        sentence: format!(
            "The light burns out {:.0} % of the skin at the client’s {} brow, and fair hair with it: move the lamp away or draw a curtain, and take it again.",
            100.0 * worst.0,
            worst.1.name()
        ),
    })
}

fn uneven(q: &Quality) -> Option<Remark> {
    let (ratio, brighter) = q.uneven()?;
    let weight = above(ratio, UNEVEN, VERY_UNEVEN)?;
    Some(Remark {
        matter: Matter::Uneven,
        weight,
        sentence: format!(
            "The client’s {} brow gets {ratio:.1} times as much light as the other, whose hair is harder to see: turn the face straight to the light, and take it again.",
            brighter.name()
        ),
    })
}

fn grain(q: &Quality) -> Option<Remark> {
    let most = q
        .sides
        .iter()
        .filter_map(|(_, s)| Some(s.as_ref()?.grain))
        .fold(0.0, f64::max);
    (most > GRAINY).then(|| Remark {
        matter: Matter::Grain,
        weight: Weight::Mind,
        sentence:
            "Grainy at the brows, so single hairs are hard to tell: more light makes it smoother."
                .to_owned(),
    })
}
