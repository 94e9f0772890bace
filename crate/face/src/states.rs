//! The brows' heights in two photos of one face: at rest, and in use.
//!
//! Both are given on the relaxed photo's levelled face. A brow's height at a
//! place is that of its natural upper edge: the upper end of the front edge,
//! the peak, and the end of the tail.
//!
//! Uncertainties are of first order (JCGM 100:2008): every tap of both photos
//! is moved by its own standard uncertainty, both ways, and everything is
//! computed anew, so that what level, alignment and scale have in common is
//! carried to the differences as it is.

use ophryon_frames::{Front, Photo, Point, Side, Sided, Vector};
use serde::{Deserialize, Serialize};

use crate::align::STEADY;
use crate::{
    Alignment, Distance, FaceError, FaceFrame, FrontFace, Landmark, Landmarks, Scale, SidedLandmark,
};

/// Where on the brows right and left are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BrowPlace {
    /// The start, nearest the nose.
    Start,
    /// The highest point of the upper edge.
    Peak,
    /// The end of the tail.
    Tail,
}

impl BrowPlace {
    /// From the nose outward.
    pub const ALL: [Self; 3] = [Self::Start, Self::Peak, Self::Tail];

    /// "start", "peak" or "tail".
    pub const fn name(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Peak => "peak",
            Self::Tail => "tail",
        }
    }

    /// The landmark whose height is the brow's there.
    pub const fn landmark(self) -> SidedLandmark {
        match self {
            Self::Start => SidedLandmark::BrowStartTop,
            Self::Peak => SidedLandmark::BrowPeak,
            Self::Tail => SidedLandmark::BrowTail,
        }
    }

    /// How far a typical brow lies in front of the pupils there, mm (ours,
    /// from the open mean face); what a tipped head makes of it is in the
    /// uncertainty.
    const fn typical_depth_mm(self) -> f64 {
        match self {
            Self::Start => 12.0,
            Self::Peak => 1.0,
            Self::Tail => -13.0,
        }
    }
}

/// Which of the two photos.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FaceState {
    /// Relaxed.
    AtRest,
    /// Eyes wide open, or brows raised.
    InUse,
}

/// How the head may be turned toward the camera.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PoseSpread {
    /// Standard uncertainty of its turn, degrees.
    pub yaw_sd_degrees: f64,
    /// Standard uncertainty of its tip, degrees.
    pub pitch_sd_degrees: f64,
    /// From the camera to the face, mm.
    pub camera_mm: f64,
}

impl Default for PoseSpread {
    /// Where nothing is known. Ours: a head that was asked to look straight at
    /// the camera, a metre away.
    fn default() -> Self {
        Self {
            yaw_sd_degrees: 2.0,
            pitch_sd_degrees: 2.0,
            camera_mm: 1000.0,
        }
    }
}

/// One of the two photos.
#[derive(Clone, Copy)]
pub struct StatePhoto<'a> {
    /// What was tapped in it.
    pub taps: &'a Landmarks,
    /// Standard uncertainty of each landmark's place in each direction, px.
    pub sd_px: &'a dyn Fn(Landmark) -> f64,
    /// How the head may be turned.
    pub pose: PoseSpread,
}

/// Right less left, mm: positive where the client's right brow is the higher
/// one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StateDifference {
    /// At rest: what is set in the face.
    pub at_rest: Distance,
    /// In use.
    pub in_use: Distance,
    /// In use less at rest: what moves.
    pub change: Distance,
}

/// The brows at one place, mm above the pupil line of the relaxed photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlaceHeights {
    /// Where.
    pub place: BrowPlace,
    /// At rest.
    pub at_rest: Sided<Distance>,
    /// In use.
    pub in_use: Sided<Distance>,
    /// How far each brow goes up from rest to use.
    pub rise: Sided<Distance>,
    /// Right against left.
    pub difference: StateDifference,
}

/// Both brows in both states of the face.
#[derive(Debug, Clone, PartialEq)]
pub struct BrowStates {
    /// How the photo of the face in use lies on the relaxed one.
    pub alignment: Alignment,
    /// Start, peak and tail.
    pub places: [PlaceHeights; 3],
    /// Mean height of the three places.
    pub mean: MeanHeights,
    /// The whole brow: right less left of the means.
    pub whole: StateDifference,
}

/// A brow's mean height over start, peak and tail, mm above the pupil line of
/// the relaxed photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanHeights {
    /// At rest.
    pub at_rest: Sided<Distance>,
    /// In use.
    pub in_use: Sided<Distance>,
    /// How far each goes up from rest to use.
    pub rise: Sided<Distance>,
}

/// A photo that can't be compared, and why.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{why}")]
pub struct StateError {
    /// Which of the two.
    pub state: FaceState,
    /// Why.
    pub why: FaceError,
}

/// Heights at rest of the right, then of the left brow, start to tail; then in
/// use likewise.
type Heights = [f64; 12];

const fn at(state: FaceState, side: Side, place: BrowPlace) -> usize {
    let state = match state {
        FaceState::AtRest => 0,
        FaceState::InUse => 6,
    };
    let side = match side {
        Side::Right => 0,
        Side::Left => 3,
    };
    state + side + place as usize
}

/// The brows' heights in both photos, each with its uncertainty.
///
/// # Errors
/// [`StateError`]: a landmark is missing or not a number, or the taps make no
/// face.
pub fn brow_states(
    rest: &StatePhoto<'_>,
    in_use: &StatePhoto<'_>,
    scale: Scale,
) -> Result<BrowStates, StateError> {
    let (heights, alignment) = heights_of(rest.taps, in_use.taps, scale)?;
    let told = Told {
        columns: columns(rest, in_use, scale, &heights, &alignment)?,
        heights,
    };
    let places = BrowPlace::ALL.map(|place| told.place(place));
    let (at_rest, now) = (FaceState::AtRest, FaceState::InUse);
    let mean = |weigh: &[(FaceState, f64)]| told.thirds(&differences(&BrowPlace::ALL, weigh));
    let height = |weigh: &[(FaceState, f64)]| {
        Sided::from_fn(|side| {
            let mut all = Vec::with_capacity(6);
            for (state, sign) in weigh {
                all.extend(BrowPlace::ALL.map(|p| (at(*state, side, p), *sign)));
            }
            told.thirds(&all)
        })
    };
    Ok(BrowStates {
        mean: MeanHeights {
            at_rest: height(&[(at_rest, 1.0)]),
            in_use: height(&[(now, 1.0)]),
            rise: height(&[(now, 1.0), (at_rest, -1.0)]),
        },
        whole: StateDifference {
            at_rest: mean(&[(at_rest, 1.0)]),
            in_use: mean(&[(now, 1.0)]),
            change: mean(&[(now, 1.0), (at_rest, -1.0)]),
        },
        places,
        alignment,
    })
}

fn heights_of(
    rest: &Landmarks,
    in_use: &Landmarks,
    scale: Scale,
) -> Result<(Heights, Alignment), StateError> {
    let err = |state| move |why| StateError { state, why };
    let frame = FaceFrame::fit(rest, scale).map_err(err(FaceState::AtRest))?;
    let face = FrontFace::new(rest, &frame).map_err(err(FaceState::AtRest))?;
    // What is missing at rest must be said of the relaxed photo.
    for landmark in STEADY {
        if !matches!(landmark, Landmark::Middle(_)) && !face.points.contains_key(&landmark) {
            return Err(err(FaceState::AtRest)(FaceError::Missing { landmark }));
        }
    }
    let alignment = Alignment::fit(in_use, &face).map_err(err(FaceState::InUse))?;
    let mut heights = [0.0; 12];
    for side in Side::BOTH {
        for place in BrowPlace::ALL {
            let landmark = Landmark::Sided(side, place.landmark());
            let tapped = |taps: &Landmarks, state| {
                FaceError::need(landmark, taps.get(landmark)).map_err(err(state))
            };
            let front: Point<Front> = frame.to_front(tapped(rest, FaceState::AtRest)?);
            heights[at(FaceState::AtRest, side, place)] = front.y;
            let front = alignment.to_front(tapped(in_use, FaceState::InUse)?);
            heights[at(FaceState::InUse, side, place)] = front.y;
        }
    }
    Ok((heights, alignment))
}

/// By how much each independent input, moved by its standard uncertainty,
/// moves every height.
fn columns(
    rest: &StatePhoto<'_>,
    in_use: &StatePhoto<'_>,
    scale: Scale,
    heights: &Heights,
    alignment: &Alignment,
) -> Result<Vec<Heights>, StateError> {
    let mut all = Vec::with_capacity(64);
    let worse = misfit(rest, in_use, scale, alignment);
    for (state, photo) in [(FaceState::AtRest, rest), (FaceState::InUse, in_use)] {
        let mut moved = photo.taps.clone();
        for landmark in that_matter(state) {
            let Some(tap) = photo.taps.get(landmark) else {
                continue;
            };
            let steady = STEADY.contains(&landmark);
            let sd = (photo.sd_px)(landmark) * if steady { worse } else { 1.0 };
            let steps: [Vector<Photo>; 2] = [Vector::new(sd, 0.0), Vector::new(0.0, sd)];
            for step in steps {
                let mut try_at = |p| {
                    moved.set(landmark, p);
                    let found = match state {
                        FaceState::AtRest => heights_of(&moved, in_use.taps, scale),
                        FaceState::InUse => heights_of(rest.taps, &moved, scale),
                    };
                    found.map(|f| f.0)
                };
                let (up, down) = (try_at(tap + step)?, try_at(tap - step)?);
                let column = std::array::from_fn(|i| 0.5 * (up[i] - down[i]));
                all.push(column);
            }
            moved.set(landmark, tap);
        }
        all.extend(pose_columns(state, photo, scale, heights));
    }
    all.push(heights.map(|h| h * scale.relative_sd()));
    Ok(all)
}

/// The landmarks that heights depend on.
fn that_matter(state: FaceState) -> impl Iterator<Item = Landmark> {
    let both = |l| Side::BOTH.map(|side| Landmark::Sided(side, l));
    let level = both(SidedLandmark::Pupil)
        .into_iter()
        .filter(move |_| state == FaceState::AtRest);
    let brows = BrowPlace::ALL.map(BrowPlace::landmark);
    STEADY
        .into_iter()
        .chain(level)
        .chain(brows.into_iter().flat_map(both))
}

/// What a turned and a tipped head make of the heights in one photo.
///
/// A turn brings one side nearer to the camera, so that it looks larger: over
/// a distance d by x sin(yaw) / d. A tip moves what lies in front of the
/// pupils by its depth times sin(pitch), on both sides alike.
fn pose_columns(
    state: FaceState,
    photo: &StatePhoto<'_>,
    scale: Scale,
    heights: &Heights,
) -> [Heights; 2] {
    let (mut turned, mut tipped) = ([0.0; 12], [0.0; 12]);
    let pose = photo.pose;
    let yaw = libm::sin(pose.yaw_sd_degrees.to_radians());
    let pitch = libm::sin(pose.pitch_sd_degrees.to_radians());
    for place in BrowPlace::ALL {
        let tap = |side| photo.taps.get(Landmark::Sided(side, place.landmark()));
        let (Some(right), Some(left)) = (tap(Side::Right), tap(Side::Left)) else {
            continue;
        };
        let out_mm = 0.5 * right.distance(left) * scale.mm_per_px();
        for side in Side::BOTH {
            let i = at(state, side, place);
            turned[i] = heights[i] * side.sign() * out_mm * yaw / pose.camera_mm;
            tipped[i] = place.typical_depth_mm() * pitch;
        }
    }
    [turned, tipped]
}

/// By how much the steady landmarks fit worse than their taps explain, as a
/// factor of 1 or more on their uncertainties (Birge RT. Phys Rev
/// 1932;40:207-27; from memory): another turn of the head, another face.
fn misfit(
    rest: &StatePhoto<'_>,
    in_use: &StatePhoto<'_>,
    scale: Scale,
    alignment: &Alignment,
) -> f64 {
    let taken = |l: &Landmark| rest.taps.get(*l).is_some() && in_use.taps.get(*l).is_some();
    let n = alignment.landmarks as f64;
    let variance = STEADY
        .into_iter()
        .filter(taken)
        .map(|l| {
            let at_rest = (rest.sd_px)(l) * scale.mm_per_px();
            let now = (in_use.sd_px)(l) * alignment.mm_per_px();
            at_rest * at_rest + now * now
        })
        .sum::<f64>()
        / n;
    // Two coordinates each; the similarity took four of them.
    let expected = variance * (2.0 * n - 4.0) / n;
    let found = alignment.rms_mm * alignment.rms_mm;
    let ratio = (found / expected).sqrt();
    if ratio.is_finite() {
        ratio.max(1.0)
    } else {
        1.0
    }
}

/// Heights with what moves them.
struct Told {
    heights: Heights,
    columns: Vec<Heights>,
}

impl Told {
    /// A weighted sum of heights.
    fn combined(&self, weights: &[(usize, f64)]) -> Distance {
        let sum = |of: &Heights| weights.iter().map(|(i, w)| w * of[*i]).sum::<f64>();
        let variance: f64 = self.columns.iter().map(|c| sum(c) * sum(c)).sum();
        Distance {
            mm: sum(&self.heights),
            sd: variance.sqrt(),
        }
    }

    /// A third of a weighted sum: the mean over the three places.
    fn thirds(&self, weights: &[(usize, f64)]) -> Distance {
        let sum = self.combined(weights);
        Distance {
            mm: sum.mm / 3.0,
            sd: sum.sd / 3.0,
        }
    }

    fn place(&self, place: BrowPlace) -> PlaceHeights {
        let (rest, now) = (FaceState::AtRest, FaceState::InUse);
        let height = |state, side| self.combined(&[(at(state, side, place), 1.0)]);
        let difference = |weigh: &[(FaceState, f64)]| self.combined(&differences(&[place], weigh));
        PlaceHeights {
            place,
            at_rest: Sided::from_fn(|side| height(rest, side)),
            in_use: Sided::from_fn(|side| height(now, side)),
            rise: Sided::from_fn(|side| {
                self.combined(&[(at(now, side, place), 1.0), (at(rest, side, place), -1.0)])
            }),
            difference: StateDifference {
                at_rest: difference(&[(rest, 1.0)]),
                in_use: difference(&[(now, 1.0)]),
                change: difference(&[(now, 1.0), (rest, -1.0)]),
            },
        }
    }
}

/// Weights of right less left over some places and states.
fn differences(places: &[BrowPlace], states: &[(FaceState, f64)]) -> Vec<(usize, f64)> {
    let mut all = Vec::with_capacity(12);
    for (state, sign) in states {
        for place in places {
            all.push((at(*state, Side::Right, *place), *sign));
            all.push((at(*state, Side::Left, *place), -sign));
        }
    }
    all
}
