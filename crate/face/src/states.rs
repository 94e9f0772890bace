//! The brows' heights in two photos of one face: at rest, and in use.
//!
//! Both are given on the relaxed photo's levelled face. A brow's height at a
//! place is that of its natural upper edge: the upper end of the front edge,
//! the peak, and the end of the tail.
//!
//! Uncertainties are of first order (JCGM 100:2008, 5.1.3, note 2): everything
//! that may be off in either photo is moved by its own standard uncertainty,
//! both ways, and all heights are taken again, so that what level, alignment
//! and scale have in common is carried to the differences as it is.

use ophryon_frames::{Side, Sided, Vector};
use serde::{Deserialize, Serialize};

use crate::align::{Pair, STEADY, Similarity};
use crate::influence::{Believed, Shifts, added};
use crate::input::Input;
use crate::{
    Alignment, CameraDistance, Distance, FaceError, FrontFace, Landmark, Lens, Pose, SidedLandmark,
    Survey, TapSpread, Taps,
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
    /// Which way the head is turned in the photo in use.
    pub pose_in_use: Pose,
    /// How far the camera was in the photo in use.
    pub distance_in_use: CameraDistance,
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

/// The brows' heights in both photos, each with its uncertainty. The photo in
/// use takes its scale from the alignment; `lens` is the one it was taken
/// with.
///
/// # Errors
/// [`StateError`]: a landmark is missing or not a number, or the taps make no
/// face.
pub fn brow_states(
    rest: &Survey,
    in_use: &Taps<'_>,
    lens: Option<Lens>,
) -> Result<BrowStates, StateError> {
    let err = |state| move |why| StateError { state, why };
    // What is missing at rest must be said of the relaxed photo.
    for landmark in STEADY.into_iter().chain(brow_landmarks()) {
        if !matches!(landmark, Landmark::Middle(_)) && !rest.face.points.contains_key(&landmark) {
            return Err(err(FaceState::AtRest)(FaceError::Missing { landmark }));
        }
    }
    let alignment = Alignment::fit(in_use.landmarks, &rest.face).map_err(err(FaceState::InUse))?;
    let mut face = FrontFace::default();
    for (landmark, tap) in in_use.landmarks.iter() {
        FaceError::finite(landmark, Some(tap)).map_err(err(FaceState::InUse))?;
        face.points.insert(landmark, alignment.to_front(tap));
    }
    for landmark in brow_landmarks() {
        if !face.points.contains_key(&landmark) {
            return Err(err(FaceState::InUse)(FaceError::Missing { landmark }));
        }
    }
    let spread = TapSpread::of(in_use, alignment.mm_per_px());
    let distance = CameraDistance::of(lens, alignment.mm_per_px(), rest.scale.scale.relative_sd());
    let nearness = distance.nearness();
    // Level and view are asked of a whole face: what was left out in use is
    // where it is at rest.
    for (landmark, p) in &rest.face.points {
        face.points.entry(*landmark).or_insert(*p);
    }
    let pose = Pose::of(&face, &spread, alignment.mm_per_px(), nearness);
    let believed = Believed {
        face: &face,
        pose: &pose,
        nearness,
    };

    let both = Both {
        at_rest: marks(&rest.face),
        in_use: marks(&face),
    };
    let laid = both
        .laid()
        .ok_or(err(FaceState::InUse)(FaceError::NoMidline))?;
    let influences = rest.influences().map_err(err(FaceState::AtRest))?;
    let mut moves = Vec::with_capacity(256);
    let mut add = |state, is_steady_tap, shifts: &Shifts| {
        moves.extend(both.moved(state, is_steady_tap, shifts));
    };
    for (input, shifts) in influences.inputs() {
        let is_steady_tap = matches!(input, Input::Tap(l, _) if STEADY.contains(l));
        add(FaceState::AtRest, is_steady_tap, shifts);
    }
    add(FaceState::AtRest, false, &influences.cost());
    for landmark in each_mark() {
        let sd = spread.of_landmark(landmark) * alignment.mm_per_px();
        for by in [Vector::new(sd, 0.0), Vector::new(0.0, sd)] {
            let shifts = Shifts::from([(landmark, by)]);
            add(FaceState::InUse, STEADY.contains(&landmark), &shifts);
        }
    }
    let seen = || -> Result<_, FaceError> {
        let (near, posed) = believed.costs()?;
        Ok((believed.view()?, believed.depth()?, added(&near, &posed)))
    };
    let (view, depth, cost) = seen().map_err(err(FaceState::InUse))?;
    for (_, shifts) in view.iter().chain(&depth) {
        add(FaceState::InUse, false, shifts);
    }
    add(FaceState::InUse, false, &cost);

    let told = Told {
        heights: laid.heights,
        columns: with_misfit(&laid, moves),
    };
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
        places: BrowPlace::ALL.map(|place| told.place(place)),
        pose_in_use: pose,
        distance_in_use: distance,
        alignment,
    })
}

/// Right, then left: start, peak, tail.
fn brow_landmarks() -> impl Iterator<Item = Landmark> {
    Side::BOTH
        .into_iter()
        .flat_map(|side| BrowPlace::ALL.map(|place| Landmark::Sided(side, place.landmark())))
}

/// How many landmarks heights depend on.
const MARKS: usize = STEADY.len() + 6;

/// Where they lie: the steady ones, then the brows'.
type Marks = [Option<[f64; 2]>; MARKS];

fn each_mark() -> impl Iterator<Item = Landmark> {
    STEADY.into_iter().chain(brow_landmarks())
}

fn marks(face: &FrontFace) -> Marks {
    let mut all = [None; MARKS];
    for (mark, landmark) in all.iter_mut().zip(each_mark()) {
        *mark = face.points.get(&landmark).map(|p| [p.x, p.y]);
    }
    all
}

/// Both photos in mm on the relaxed photo's level.
#[derive(Clone, Copy)]
struct Both {
    at_rest: Marks,
    in_use: Marks,
}

/// One photo laid over the other.
struct Laid {
    heights: Heights,
    /// What is left between the steady landmarks, mm; 0 for a missing one.
    left: [[f64; 2]; STEADY.len()],
}

/// What one input does.
struct Move {
    heights: Heights,
    /// To what is left between the steady landmarks: sum of squares, mm².
    left: f64,
    /// It is a tap that the photos are laid over each other by.
    is_steady_tap: bool,
}

impl Both {
    /// The heights at rest as they are, those in use after laying one over the
    /// other. `None` where a brow is missing or nothing can be laid over.
    fn laid(&self) -> Option<Laid> {
        let mut pairs: [Pair; STEADY.len()] = [([0.0; 2], [0.0; 2]); STEADY.len()];
        let mut n = 0;
        let steady = || self.in_use.iter().zip(&self.at_rest).take(STEADY.len());
        for pair in steady() {
            if let (Some(z), Some(w)) = pair {
                pairs[n] = (*z, *w);
                n += 1;
            }
        }
        let similarity = Similarity::of(&pairs[..n])?;
        let mut left = [[0.0; 2]; STEADY.len()];
        for (left, pair) in left.iter_mut().zip(steady()) {
            if let (Some(z), Some(w)) = pair {
                let at = similarity.there(*z);
                *left = [w[0] - at[0], w[1] - at[1]];
            }
        }
        let mut heights = [0.0; 12];
        for i in 0..6 {
            heights[i] = self.at_rest[STEADY.len() + i]?[1];
            heights[6 + i] = similarity.there(self.in_use[STEADY.len() + i]?)[1];
        }
        Some(Laid { heights, left })
    }

    /// What an input that moves landmarks of one photo does; `None` where it
    /// does nothing.
    fn moved(&self, state: FaceState, is_steady_tap: bool, shifts: &Shifts) -> Option<Move> {
        if !each_mark().any(|l| shifts.contains_key(&l)) {
            return None;
        }
        let tried = |sign: f64| {
            let mut tried = *self;
            let marks = match state {
                FaceState::AtRest => &mut tried.at_rest,
                FaceState::InUse => &mut tried.in_use,
            };
            for (mark, landmark) in marks.iter_mut().zip(each_mark()) {
                if let (Some([x, y]), Some(by)) = (mark, shifts.get(&landmark)) {
                    *x += sign * by.x;
                    *y += sign * by.y;
                }
            }
            tried.laid()
        };
        let (up, down) = (tried(1.0)?, tried(-1.0)?);
        let half = |a: f64, b: f64| 0.5 * (a - b);
        let left = up.left.iter().zip(&down.left).map(|(a, b)| {
            let (x, y) = (half(a[0], b[0]), half(a[1], b[1]));
            x * x + y * y
        });
        Some(Move {
            heights: std::array::from_fn(|i| half(up.heights[i], down.heights[i])),
            left: left.sum(),
            is_steady_tap,
        })
    }
}

/// The columns of what moves the heights. Where eyes and nose fit worse than
/// everything explains that is known of both photos, the taps on them count
/// by as much more (Birge RT. Phys Rev 1932;40:207-27; from memory).
fn with_misfit(laid: &Laid, moves: Vec<Move>) -> Vec<Heights> {
    let expected: f64 = moves.iter().map(|m| m.left).sum();
    let found: f64 = laid.left.iter().map(|l| l[0] * l[0] + l[1] * l[1]).sum();
    let ratio = (found / expected).sqrt();
    let worse = if ratio.is_finite() {
        ratio.max(1.0)
    } else {
        1.0
    };
    let column = |m: Move| {
        let by = if m.is_steady_tap { worse } else { 1.0 };
        m.heights.map(|h| h * by)
    };
    moves.into_iter().map(column).collect()
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
