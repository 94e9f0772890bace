//! Millimetres per pixel from one thing of known size, with all that moves
//! them.
//!
//! First-order propagation after JCGM 100:2008 (GUM), on the logarithm of the
//! scale, where shares add up: the size, the two taps, a tilt out of the
//! picture's plane, and a depth that is not that of the brows.

use ophryon_frames::{Photo, Point};

use crate::coin::COIN_SD_MM;
use crate::held::MOST_NEARER_MM;
use crate::input::{Axis, Input, Moves};
use crate::lens::Nearness;
use crate::typical::{BROW_PLANE_MM, solid};
use crate::{
    CameraDistance, LONGEST_REFERENCE_MM, Landmark, Landmarks, Lens, Reference, ScaleError,
    TapSpread,
};

/// Long side of an ID-1 card (bank card, driving licence), mm: ISO/IEC 7810.
pub const CARD_LONG_MM: f64 = 85.60;
/// Short side of an ID-1 card, mm: ISO/IEC 7810.
pub const CARD_SHORT_MM: f64 = 53.98;
/// Standard uncertainty of a card's long side, mm: half the allowed
/// 85.47..85.72 over root three (ISO/IEC 7810; the limits from memory).
const CARD_LONG_SD_MM: f64 = 0.072;
/// The same of its short side: 53.92..54.03.
const CARD_SHORT_SD_MM: f64 = 0.032;
/// Largest share by which a card's aspect may differ from 85.60 : 53.98
/// before the card counts as tilted.
pub const CARD_ASPECT_TOLERANCE: f64 = 0.01;

/// Relative standard uncertainty left by tilt when nothing in the photo can
/// show it: up to about 15° (cos 15° = 0.966), evenly spread, 3.4 % / √12.
const UNSEEN_TILT_SD: f64 = 0.01;
/// The same when both sides of a card agree within the aspect tolerance:
/// 1 % / √12.
const CHECKED_TILT_SD: f64 = 0.003;

/// Standard uncertainty of a ruler length, mm: the ends are read to half a
/// millimetre, so 0.5 / √12 rounded up for the tick's own width. Ours.
const RULER_SD_MM: f64 = 0.2;
/// Standard uncertainty of a sticker's stated diameter, mm. Ours.
const STICKER_SD_MM: f64 = 0.1;
/// Standard uncertainty of a caliper distance over soft skin, mm. Ours.
pub const CALIPER_SD_MM: f64 = 0.5;

/// Horizontal diameter of the visible iris (white to white), mm: Rüfer F,
/// Schröder A, Erb C. White-to-white corneal diameter. Cornea 2005;24:259-61,
/// n = 390. Other studies' means run from 11.65 to 11.97.
pub const IRIS_MM: f64 = 11.71;
/// Standard deviation between people of [`IRIS_MM`], mm; same source.
pub const IRIS_SD_MM: f64 = 0.42;

/// How much farther from the camera the iris lies than the brows, and the
/// spread of that between people, mm (see `typical`).
const IRIS_BEHIND_MM: (f64, f64) = (BROW_PLANE_MM, 3.0);

/// A reference shorter than this in the photo says nothing: the taps alone
/// leave 7 % there.
const SHORTEST_REFERENCE_PX: f64 = 10.0;

/// What a reference needs to know to give a scale.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sight<'a> {
    pub landmarks: &'a Landmarks,
    pub spread: &'a TapSpread,
    pub lens: Option<Lens>,
}

/// The scale by one reference in the plane of the brows, with what moves it.
#[derive(Debug, Clone)]
pub(crate) struct LogScale {
    /// Natural logarithm of mm per px.
    pub ln: f64,
    /// By how much each input moves it, in its own standard uncertainty.
    pub moves: Moves,
    /// By how much the depth was corrected, as a share; 0 where the camera's
    /// distance isn't known.
    pub corrected: f64,
    /// What the depth makes the scale wrong by where it is not corrected, as
    /// a share: positive when lengths read too short.
    pub uncorrected: f64,
}

impl LogScale {
    pub(crate) fn variance(&self) -> f64 {
        self.moves.variance()
    }
}

impl Reference {
    /// Its size over its taps, and nothing else.
    pub(crate) fn rough_mm_per_px(&self, landmarks: &Landmarks) -> Result<f64, ScaleError> {
        let what = self.name();
        let over = |ends, mm| Length::new(what, ends, mm).map(|l| l.mm / l.px);
        match *self {
            Self::Card { long, .. } => over(long, CARD_LONG_MM),
            Self::Ruler {
                ends, length_mm, ..
            } => over(ends, length_mm),
            Self::Sticker {
                rim, diameter_mm, ..
            } => over(rim, diameter_mm),
            Self::Coin { rim, coin, .. } => over(rim, coin.diameter_mm()),
            Self::Iris { rim, .. } => over(rim, IRIS_MM),
            Self::Caliper {
                between,
                distance_mm,
            } => over(ends_of(between, landmarks)?, distance_mm),
        }
    }

    /// The scale in the plane of the brows with everything that moves it.
    /// `at` is its place in the list of references.
    pub(crate) fn log_scale(&self, at: usize, sight: &Sight<'_>) -> Result<LogScale, ScaleError> {
        let what = self.name();
        let edge = sight.spread.of_edge();
        let one = |ends, mm, sd_mm: f64, size, tilt: f64| -> Result<(f64, Moves), ScaleError> {
            let length = Length::new(what, ends, mm)?;
            let mut moves = Moves::default();
            moves.add(size, sd_mm / mm);
            let tap = match size {
                // Where the coloured ring ends is as soft as the face.
                Input::IrisSize => sight.spread.sd_px(),
                _ => edge,
            };
            moves.add(Input::ReferenceTaps(at), length.taps(tap));
            moves.add(Input::Tilt(at), tilt);
            Ok((length.ln(), moves))
        };
        let size = Input::Size(at);
        let (ln, moves) = match *self {
            Self::Card {
                long, short: None, ..
            } => one(long, CARD_LONG_MM, CARD_LONG_SD_MM, size, UNSEEN_TILT_SD)?,
            Self::Card {
                long,
                short: Some(short),
                ..
            } => card_of_both_sides(at, long, short, edge)?,
            Self::Ruler {
                ends, length_mm, ..
            } => one(ends, length_mm, RULER_SD_MM, size, UNSEEN_TILT_SD)?,
            // The widest chord of a circle lies across the tilt and keeps its
            // length.
            Self::Sticker {
                rim, diameter_mm, ..
            } => one(rim, diameter_mm, STICKER_SD_MM, size, 0.0)?,
            Self::Coin { rim, coin, .. } => one(rim, coin.diameter_mm(), COIN_SD_MM, size, 0.0)?,
            Self::Iris { rim, .. } => one(rim, IRIS_MM, IRIS_SD_MM, Input::IrisSize, 0.0)?,
            Self::Caliper {
                between,
                distance_mm,
            } => caliper(at, between, distance_mm, sight)?,
        };
        if !ln.is_finite() {
            return Err(ScaleError::TapNotFinite { what });
        }
        self.carried_to_brows(at, ln, moves, sight)
    }

    /// Carries a scale from the depth of the reference to that of the brows.
    fn carried_to_brows(
        &self,
        at: usize,
        ln: f64,
        mut moves: Moves,
        sight: &Sight<'_>,
    ) -> Result<LogScale, ScaleError> {
        let (input, (nearer, sd)) = match *self {
            Self::Iris { .. } => (Input::IrisDepth, (-IRIS_BEHIND_MM.0, IRIS_BEHIND_MM.1)),
            Self::Caliper {
                between: [a, b], ..
            } => {
                let mean = 0.5 * (solid(a).z + solid(b).z) - BROW_PLANE_MM;
                (Input::Held(at), (mean, IRIS_BEHIND_MM.1))
            }
            _ => (Input::Held(at), self.held().unwrap_or_default().nearer_mm()),
        };
        if nearer.is_nan() || nearer.abs() > MOST_NEARER_MM {
            return Err(ScaleError::HeldAway {
                what: self.name(),
                mm: nearer,
            });
        }
        // Of the reference's own plane: k = (d - Δ)/f there and d/f at the
        // brows, so the latter is k (1 + Δ/(f k)), whatever d is.
        let distance = CameraDistance::of(sight.lens, libm::exp(ln), 0.0);
        let Nearness { per_mm, sd: u } = distance.nearness();
        let (mut corrected, mut uncorrected) = (0.0, 0.0);
        if let CameraDistance::Known { .. } = distance {
            corrected = nearer * per_mm;
            if corrected <= -0.9 {
                return Err(ScaleError::HeldAway {
                    what: self.name(),
                    mm: nearer,
                });
            }
            moves.add(input, sd * per_mm);
            moves.add(Input::Nearness, nearer * u);
        } else {
            // Not corrected, so the whole of it counts: the mean square of a
            // product of two independent numbers.
            uncorrected = nearer * per_mm;
            let square = |mean: f64, sd: f64| mean * mean + sd * sd;
            moves.add(input, (square(nearer, sd) * square(per_mm, u)).sqrt());
        }
        Ok(LogScale {
            ln: ln + libm::log(1.0 + corrected),
            moves,
            corrected,
            uncorrected,
        })
    }
}

/// A known length and its two taps.
#[derive(Clone, Copy)]
struct Length {
    mm: f64,
    px: f64,
}

impl Length {
    fn new(what: &'static str, [a, b]: [Point<Photo>; 2], mm: f64) -> Result<Self, ScaleError> {
        if !(mm > 0.0 && mm <= LONGEST_REFERENCE_MM) {
            return Err(ScaleError::Length { what, mm });
        }
        let px = a.distance(b);
        if !px.is_finite() {
            return Err(ScaleError::TapNotFinite { what });
        }
        if px < SHORTEST_REFERENCE_PX {
            return Err(ScaleError::ZeroLength { what, px });
        }
        Ok(Self { mm, px })
    }

    fn ln(self) -> f64 {
        libm::log(self.mm / self.px)
    }

    /// What its two taps move it by, each with its own error along the length.
    fn taps(self, sd_px: f64) -> f64 {
        std::f64::consts::SQRT_2 * sd_px / self.px
    }
}

/// Both sides of a card, weighted by their uncertainties, once they agree.
fn card_of_both_sides(
    at: usize,
    long: [Point<Photo>; 2],
    short: [Point<Photo>; 2],
    sd_px: f64,
) -> Result<(f64, Moves), ScaleError> {
    let long = Length::new("card", long, CARD_LONG_MM)?;
    let short = Length::new("card", short, CARD_SHORT_MM)?;
    // Above 1 when the short side looks too short.
    let off = (short.mm / short.px) / (long.mm / long.px);
    let turned = CARD_LONG_MM / CARD_SHORT_MM;
    if (off * turned * turned - 1.0).abs() < 0.1 {
        return Err(ScaleError::CardExchanged);
    }
    if (off - 1.0).abs() > CARD_ASPECT_TOLERANCE {
        return Err(ScaleError::CardTilted {
            off_percent: 100.0 * (off - 1.0),
        });
    }
    let (size_l, size_s) = (CARD_LONG_SD_MM / long.mm, CARD_SHORT_SD_MM / short.mm);
    let (taps_l, taps_s) = (long.taps(sd_px), short.taps(sd_px));
    let weight = |size: f64, taps: f64| 1.0 / (size * size + taps * taps);
    let (wl, ws) = (weight(size_l, taps_l), weight(size_s, taps_s));
    let (l, s) = (wl / (wl + ws), ws / (wl + ws));
    let mut moves = Moves::default();
    moves.add(Input::Size(at), libm::hypot(l * size_l, s * size_s));
    moves.add(
        Input::ReferenceTaps(at),
        libm::hypot(l * taps_l, s * taps_s),
    );
    moves.add(Input::Tilt(at), CHECKED_TILT_SD);
    Ok((l * long.ln() + s * short.ln(), moves))
}

fn ends_of([a, b]: [Landmark; 2], landmarks: &Landmarks) -> Result<[Point<Photo>; 2], ScaleError> {
    if a == b {
        return Err(ScaleError::SameLandmark { landmark: a });
    }
    let at = |landmark| {
        landmarks
            .get(landmark)
            .ok_or(ScaleError::Missing { landmark })
    };
    Ok([at(a)?, at(b)?])
}

/// A caliper spans the landmarks in the round; the photo shows what is left of
/// that from the front.
fn caliper(
    at: usize,
    between: [Landmark; 2],
    distance_mm: f64,
    sight: &Sight<'_>,
) -> Result<(f64, Moves), ScaleError> {
    let ends = ends_of(between, sight.landmarks)?;
    let spanned = Length::new("caliper distance", ends, distance_mm)?;
    let [a, b] = between.map(solid);
    let deep = a.z - b.z;
    let across = distance_mm * distance_mm - deep * deep;
    // Beyond 45 degrees the depth says more than the tap.
    if across < 0.5 * distance_mm * distance_mm {
        return Err(ScaleError::OneBehindTheOther {
            first: between[0],
            second: between[1],
        });
    }
    let mut moves = Moves::default();
    moves.add(Input::Size(at), CALIPER_SD_MM * distance_mm / across);
    // Two of a pair differ in depth by far less than people do.
    let apart_sd = if between[0] == between[1].partner() {
        std::f64::consts::SQRT_2
    } else {
        libm::hypot(a.z_sd, b.z_sd)
    };
    // First and second order: on level landmarks only the second is left.
    let first = deep * apart_sd / across;
    let second = apart_sd * apart_sd / (across * std::f64::consts::SQRT_2);
    moves.add(Input::Tilt(at), libm::hypot(first, second));
    let along = ends[1] - ends[0];
    for (landmark, sign) in [(between[0], 1.0), (between[1], -1.0)] {
        // Farther apart in the photo: fewer mm per px.
        let sd = sight.spread.of_landmark(landmark) * sign / (spanned.px * spanned.px);
        moves.add(Input::Tap(landmark, Axis::X), sd * along.x);
        moves.add(Input::Tap(landmark, Axis::Y), sd * along.y);
    }
    Ok((0.5 * libm::log(across) - libm::log(spanned.px), moves))
}
