//! How far off a tap may be.
//!
//! A tap is off by the hand and the eye, in millimetres on the face whatever
//! the photo's size, and by the pixel it must fall on. How much the hand and
//! the eye take is measured where the artist taps landmarks again; until then
//! a default stands in for it.
//!
//! Both are mixed as variances: the default counts as much as
//! [`DEFAULT_COUNTS_AS`] measured repeats. That is the posterior mean of a
//! normal variance with a scaled inverse chi-squared prior, whose ν degrees
//! of freedom make the mean ν/(ν - 2) times the usual estimate (JCGM 101:2008,
//! 6.4.9.2, the same factor for a plain mean). With it the interval for k = 2
//! keeps holding about 95 % when there are only a few repeats, as t-factors by
//! effective degrees of freedom would (JCGM 100:2008, G.4), and everything is
//! shown with the one k = 2.

use std::collections::BTreeMap;

use ophryon_frames::{Photo, Point};

use crate::{Landmark, Landmarks};

/// Standard uncertainty of one tap in each direction, mm on the face, where it
/// was not measured. Ours: careful taps of one person scatter by some 0.2 to
/// 0.5 mm (no source), a soft place more than a sharp one.
pub const TAP_SD_MM: f64 = 0.3;

/// A hard edge (of a card, a coin, a mark on a ruler) under the magnifier
/// leaves the eye less to decide than a soft place on a face: tapped so much
/// more surely. Ours.
pub const EDGE_SHARE: f64 = 0.5;

/// What the grid of pixels adds in each direction, px: a place rounded to
/// whole pixels is evenly off by up to half of one, 1/√12.
pub const PIXEL_SD_PX: f64 = 0.289;

/// How many measured repeats the default counts as: as if its standard
/// deviation were known to about a quarter (1/√(2 · 8), two more degrees of
/// freedom than this). Ours.
pub const DEFAULT_COUNTS_AS: f64 = 6.0;

/// Two taps of one landmark farther apart than this are not two tries at one
/// place, mm: seven times what two usual taps differ by in each direction,
/// and still beyond a hand twice as shaky. Ours.
pub const SLIP_MM: f64 = 3.0;

static NO_REPEATS: BTreeMap<Landmark, Vec<Point<Photo>>> = BTreeMap::new();

/// Where the landmarks are, and what is known of how they got there.
#[derive(Debug, Clone, PartialEq)]
pub struct Taps<'a> {
    /// Where each lies; one that was tapped again, at the mean of its taps.
    pub landmarks: &'a Landmarks,
    /// All taps of those that were tapped again, two or more each.
    pub repeated: &'a BTreeMap<Landmark, Vec<Point<Photo>>>,
    /// Those that an assistance placed, with its standard uncertainty in each
    /// direction, px.
    pub placed_sd_px: BTreeMap<Landmark, f64>,
}

impl<'a> From<&'a Landmarks> for Taps<'a> {
    /// Each tapped once, by hand.
    fn from(landmarks: &'a Landmarks) -> Self {
        Self {
            landmarks,
            repeated: &NO_REPEATS,
            placed_sd_px: BTreeMap::new(),
        }
    }
}

/// How far off the taps in one photo may be.
#[derive(Debug, Clone, PartialEq)]
pub struct TapSpread {
    sd_px: f64,
    mm_per_px: f64,
    repeats: usize,
    means_of: BTreeMap<Landmark, usize>,
    slips: Vec<(Landmark, f64)>,
    placed_sd_px: BTreeMap<Landmark, f64>,
}

impl TapSpread {
    /// What taps at this scale are off by when none was repeated.
    pub fn by_default(mm_per_px: f64) -> Self {
        Self {
            sd_px: libm::hypot(TAP_SD_MM / mm_per_px, PIXEL_SD_PX),
            mm_per_px,
            repeats: 0,
            means_of: BTreeMap::new(),
            slips: Vec::new(),
            placed_sd_px: BTreeMap::new(),
        }
    }

    /// From the repeated taps and the default together. A landmark that was
    /// tapped n times gives n - 1 repeats in each of two directions, about its
    /// own mean; taps that are no numbers are left out.
    pub fn of(taps: &Taps<'_>, mm_per_px: f64) -> Self {
        let mut spread = Self::by_default(mm_per_px);
        let (mut squares, mut repeats) = (0.0, 0);
        for (landmark, all) in taps.repeated {
            let sound: Vec<_> = all.iter().filter(|p| p.is_finite()).collect();
            if sound.len() < 2 || taps.placed_sd_px.contains_key(landmark) {
                continue;
            }
            let n = sound.len() as f64;
            let mean = Point::<Photo>::new(
                sound.iter().map(|p| p.x / n).sum(),
                sound.iter().map(|p| p.y / n).sum(),
            );
            squares += sound
                .iter()
                .map(|p| (**p - mean).dot(**p - mean))
                .sum::<f64>();
            repeats += 2 * (sound.len() - 1);
            let apart_px = sound
                .iter()
                .flat_map(|p| sound.iter().map(|q| p.distance(**q)))
                .fold(0.0, f64::max);
            if apart_px * mm_per_px > SLIP_MM {
                spread.slips.push((*landmark, apart_px * mm_per_px));
            }
            spread.means_of.insert(*landmark, sound.len());
        }
        let default = spread.sd_px * spread.sd_px;
        let counts = DEFAULT_COUNTS_AS + repeats as f64;
        spread.sd_px = ((DEFAULT_COUNTS_AS * default + squares) / counts).sqrt();
        spread.repeats = repeats;
        for (landmark, sd) in &taps.placed_sd_px {
            if sd.is_finite() && *sd > 0.0 {
                spread.placed_sd_px.insert(*landmark, *sd);
            }
        }
        spread
    }

    /// Standard uncertainty of one tap on a soft place in each direction, px.
    pub const fn sd_px(&self) -> f64 {
        self.sd_px
    }

    /// Standard uncertainty of one tap on a hard edge, across it, px.
    pub fn of_edge(&self) -> f64 {
        let hand = self.sd_px * self.sd_px - PIXEL_SD_PX * PIXEL_SD_PX;
        libm::hypot(EDGE_SHARE * hand.max(0.0).sqrt(), PIXEL_SD_PX)
    }

    /// The same of a soft place in mm on the face.
    pub fn sd_mm(&self) -> f64 {
        self.sd_px * self.mm_per_px
    }

    /// Repeats it was measured from, counted in both directions; 0 where it is
    /// the default.
    pub const fn repeats(&self) -> usize {
        self.repeats
    }

    /// Standard uncertainty of a landmark's place in each direction, px: that
    /// of the assistance that placed it, or of the mean of its taps.
    pub fn of_landmark(&self, landmark: Landmark) -> f64 {
        if let Some(sd) = self.placed_sd_px.get(&landmark) {
            return *sd;
        }
        let taps = self.means_of.get(&landmark).copied().unwrap_or(1);
        self.sd_px / (taps as f64).sqrt()
    }

    /// Landmarks whose taps lie so far apart that one must be a slip, one
    /// sentence each. They still count.
    pub fn slips(&self) -> impl Iterator<Item = String> + '_ {
        self.slips.iter().map(|(landmark, mm)| {
            format!(
                "The taps on the {landmark} lie {mm:.1} mm apart, so one of them is a slip, and it makes every number less certain. Place it anew."
            )
        })
    }

    /// Where the figure comes from, in one sentence.
    pub fn sentence(&self) -> String {
        let mm = self.sd_mm();
        match self.means_of.len() {
            0 => format!(
                "A tap is taken to be off by {mm:.1} mm (standard deviation) until a landmark is tapped again."
            ),
            1 => format!(
                "A tap is off by {mm:.1} mm (standard deviation), from one landmark tapped again and the usual {TAP_SD_MM} mm."
            ),
            n => format!(
                "A tap is off by {mm:.1} mm (standard deviation), from {n} landmarks tapped again and the usual {TAP_SD_MM} mm."
            ),
        }
    }
}
