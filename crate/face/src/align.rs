//! Two photos of one face laid over each other on what the brows' muscles
//! don't move: the corners of the eyes and the nose.
//!
//! The least-squares similarity of two point sets (Umeyama S. IEEE TPAMI
//! 1991;13:376-80) has a closed form in the plane: with both sets centred and
//! as complex numbers z and w, the size and turn are those of sum(conj(z) w),
//! over sum |z|². A reflection can't come out of it. Every landmark counts
//! the same.

use ophryon_frames::{Front, Photo, Point, Side};

use crate::{FaceError, FrontFace, Landmark, Landmarks, MiddleLandmark, SidedLandmark};

/// Larger and the two photos don't show the same view of the face, mm. Ours:
/// taps of the usual care leave 0.5; a head turned 5 degrees further about 1.
pub const LARGEST_RMS_MM: f64 = 1.0;

/// A landmark further than this from where all others put it was tapped in
/// another place, mm. Ours: five times what taps of the usual care leave in
/// each direction.
pub const MISTAP_MM: f64 = 2.5;

/// What the brows' muscles don't move, in the order of asking. Pupils follow
/// the gaze, the chin the jaw, and the ears lie too far behind the eyes.
pub const STEADY: [Landmark; 8] = {
    use Landmark::{Middle, Sided};
    use Side::{Left, Right};
    use SidedLandmark::{InnerCorner, NoseWing, OuterCorner};
    [
        Sided(Right, OuterCorner),
        Sided(Right, InnerCorner),
        Sided(Left, InnerCorner),
        Sided(Left, OuterCorner),
        Sided(Left, NoseWing),
        Sided(Right, NoseWing),
        Middle(MiddleLandmark::Bridge),
        Middle(MiddleLandmark::NoseBase),
    ]
};

/// How one photo lies on the levelled face of another.
#[derive(Debug, Clone, PartialEq)]
pub struct Alignment {
    similarity: Similarity,
    /// Root mean square distance of the landmarks after alignment, mm.
    pub rms_mm: f64,
    /// The landmark that fits the others worst.
    pub worst: Landmark,
    /// How far it lies from where the others put it, mm.
    pub worst_mm: f64,
    /// How many landmarks took part.
    pub landmarks: usize,
    /// What the landmarks leave without the worst one, mm.
    rms_without_worst_mm: f64,
    /// Root of the sum of their squared distances from their middle, mm.
    extent_mm: f64,
}

impl Alignment {
    /// Lays a photo's taps over a levelled face.
    ///
    /// # Errors
    /// [`FaceError`]: an eye corner or a wing of the nose missing in either of
    /// them, a tap that is not a number, or taps that make no face.
    pub fn fit(taps: &Landmarks, onto: &FrontFace) -> Result<Self, FaceError> {
        let mut marks = Vec::with_capacity(STEADY.len());
        let mut pairs: Vec<Pair> = Vec::with_capacity(STEADY.len());
        for landmark in STEADY {
            let tap = FaceError::finite(landmark, taps.get(landmark))?;
            let place = onto.points.get(&landmark).copied();
            match (tap, place) {
                (Some(tap), Some(place)) => {
                    marks.push(landmark);
                    pairs.push((upright(tap), [place.x, place.y]));
                }
                // The middle ones make it surer and can be left out.
                _ if matches!(landmark, Landmark::Middle(_)) => {}
                _ => return Err(FaceError::Missing { landmark }),
            }
        }
        let similarity = Similarity::of(&pairs).ok_or(FaceError::NoMidline)?;
        let (worst, worst_mm, rms_without_worst_mm) =
            worst_of(&pairs).ok_or(FaceError::NoMidline)?;
        Ok(Self {
            similarity,
            rms_mm: similarity.rms(&pairs),
            worst: marks[worst],
            worst_mm,
            landmarks: pairs.len(),
            rms_without_worst_mm,
            extent_mm: similarity.extent(&pairs),
        })
    }

    /// Where a place in the photo lies on the levelled face.
    pub fn to_front(&self, p: Point<Photo>) -> Point<Front> {
        let [x, y] = self.similarity.there(upright(p));
        Point::new(x, y)
    }

    /// Where a place on the levelled face lies in the photo; undoes
    /// [`Alignment::to_front`].
    pub fn to_photo(&self, p: Point<Front>) -> Point<Photo> {
        let [x, y] = self.similarity.back([p.x, p.y]);
        Point::new(x, -y)
    }

    /// The photo's own scale, from the alignment.
    pub const fn mm_per_px(&self) -> f64 {
        self.similarity.size
    }

    /// How sure that scale is, relative, where each landmark lies within
    /// `tap_sd_mm` of its place in either photo (standard uncertainty).
    pub fn scale_sd(&self, tap_sd_mm: f64) -> f64 {
        tap_sd_mm / self.extent_mm.max(1.0)
    }

    /// Standard uncertainty of where a place of the levelled face comes to lie
    /// in each direction, mm: shift and turn together.
    pub fn place_sd_mm(&self, at: Point<Front>, tap_sd_mm: f64) -> f64 {
        let [x, y] = self.similarity.to;
        let away = libm::hypot(at.x - x, at.y - y);
        let shift = 1.0 / (self.landmarks.max(1) as f64).sqrt();
        tap_sd_mm * libm::hypot(shift, away / self.extent_mm.max(1.0))
    }

    /// The same with another scale; the middle of the landmarks and the turn
    /// stay.
    #[must_use]
    pub fn with_mm_per_px(mut self, mm_per_px: f64) -> Self {
        if mm_per_px.is_finite() && mm_per_px > 0.0 {
            self.similarity.size = mm_per_px;
        }
        self
    }

    /// How far the face is turned in the photo against the levelled one,
    /// degrees; positive when the client's left eye is the higher one.
    pub fn roll_degrees(&self) -> f64 {
        let [re, im] = self.similarity.turn;
        -libm::atan2(im, re).to_degrees()
    }

    /// What to look at before trusting it; `None` where all is well.
    pub fn caution(&self) -> Option<String> {
        if self.worst_mm > MISTAP_MM && self.worst_mm > STANDS_OUT * self.rms_without_worst_mm {
            return Some(format!(
                "The {} lies {:.1} mm from where the other landmarks put it. Look at it in both photos first.",
                self.worst, self.worst_mm
            ));
        }
        (self.rms_mm > LARGEST_RMS_MM).then(|| {
            format!(
                "The two photos do not fit: {:.1} mm are left between them, most at the {}. The head is probably turned or tipped in one of them. Take it again, straight toward the camera, or tap the eye corners and the nose again.",
                self.rms_mm, self.worst
            )
        })
    }
}

/// A wrong tap lies this many times as far off as the others do among
/// themselves; a turned head moves several at once. Ours.
const STANDS_OUT: f64 = 3.0;

/// A place in both, y up in both.
pub(crate) type Pair = ([f64; 2], [f64; 2]);

/// Size, turn and shift from one plane to another, y up in both.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Similarity {
    from: [f64; 2],
    to: [f64; 2],
    /// Unit complex number.
    turn: [f64; 2],
    size: f64,
}

impl Similarity {
    /// Least squares; `None` where the points have no extent.
    pub(crate) fn of(pairs: &[Pair]) -> Option<Self> {
        let n = pairs.len() as f64;
        let (mut from, mut to) = ([0.0; 2], [0.0; 2]);
        for (z, w) in pairs {
            for i in 0..2 {
                from[i] += z[i] / n;
                to[i] += w[i] / n;
            }
        }
        let (mut re, mut im, mut square) = (0.0, 0.0, 0.0);
        for (z, w) in pairs {
            let (z, w) = (
                [z[0] - from[0], z[1] - from[1]],
                [w[0] - to[0], w[1] - to[1]],
            );
            re += z[0] * w[0] + z[1] * w[1];
            im += z[0] * w[1] - z[1] * w[0];
            square += z[0] * z[0] + z[1] * z[1];
        }
        let length = libm::hypot(re, im);
        let size = length / square;
        (size.is_finite() && size > 0.0).then_some(Self {
            from,
            to,
            turn: [re / length, im / length],
            size,
        })
    }

    /// Where a place of the first plane lies in the second.
    pub(crate) fn there(&self, p: [f64; 2]) -> [f64; 2] {
        let v = [
            self.size * (p[0] - self.from[0]),
            self.size * (p[1] - self.from[1]),
        ];
        let [re, im] = self.turn;
        [
            self.to[0] + re * v[0] - im * v[1],
            self.to[1] + re * v[1] + im * v[0],
        ]
    }

    fn back(&self, p: [f64; 2]) -> [f64; 2] {
        let v = [
            (p[0] - self.to[0]) / self.size,
            (p[1] - self.to[1]) / self.size,
        ];
        let [re, im] = self.turn;
        [
            self.from[0] + re * v[0] + im * v[1],
            self.from[1] + re * v[1] - im * v[0],
        ]
    }

    fn off(&self, (z, w): &Pair) -> f64 {
        let at = self.there(*z);
        libm::hypot(at[0] - w[0], at[1] - w[1])
    }

    /// Of the second plane's points.
    fn extent(&self, pairs: &[Pair]) -> f64 {
        let square = |w: &[f64; 2]| {
            let (x, y) = (w[0] - self.to[0], w[1] - self.to[1]);
            x * x + y * y
        };
        pairs.iter().map(|(_, w)| square(w)).sum::<f64>().sqrt()
    }

    fn rms(&self, pairs: &[Pair]) -> f64 {
        let sum: f64 = pairs.iter().map(|p| self.off(p) * self.off(p)).sum();
        (sum / pairs.len() as f64).sqrt()
    }
}

/// A tap with y up.
fn upright(p: Point<Photo>) -> [f64; 2] {
    [p.x, -p.y]
}

/// The pair without which the others fit best, how far it lies from where
/// they put it, and what they leave. A wrong tap draws the fit to itself, so
/// the largest residual need not be the wrong one.
fn worst_of(pairs: &[Pair]) -> Option<(usize, f64, f64)> {
    let without = |i: usize| {
        let mut others = pairs.to_vec();
        let one = others.remove(i);
        let fit = Similarity::of(&others)?;
        Some((i, fit.off(&one), fit.rms(&others)))
    };
    (0..pairs.len())
        .filter_map(without)
        .min_by(|a, b| a.2.total_cmp(&b.2))
}
