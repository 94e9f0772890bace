//! Two photos of one face laid over each other on what the brows' muscles
//! don't move: the corners of the eyes and the nose.
//!
//! The least-squares similarity of two point sets (Umeyama S. IEEE TPAMI
//! 1991;13:376-80) has a closed form in the plane: with both sets centred and
//! as complex numbers z and w, the size and turn are those of sum(conj(z) w),
//! over sum |z|². A reflection can't come out of it. Every landmark counts
//! the same.

use ophryon_frames::{Front, Photo, Point, Side, Vector};

use crate::{FaceError, FrontFace, Landmark, Landmarks, MiddleLandmark, SidedLandmark};

/// Larger and the two photos don't show the same view of the face, mm. Ours:
/// taps of the usual care leave 0.5; a head turned 5 degrees further about 1.
pub const LARGEST_RMS_MM: f64 = 1.0;

/// A landmark further than this from where all others put it was tapped in
/// another place, mm. Ours: four times what taps of the usual care leave.
pub const MISTAP_MM: f64 = 2.0;

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
}

/// From one photo's px (y down) to the front view's mm (y up).
#[derive(Debug, Clone, Copy, PartialEq)]
struct Similarity {
    from: Point<Photo>,
    to: Point<Front>,
    /// Unit complex number.
    turn: Vector<Front>,
    mm_per_px: f64,
}

/// One landmark in both photos.
type Pair = (Landmark, Point<Photo>, Point<Front>);

impl Alignment {
    /// Lays a photo's taps over a levelled face.
    ///
    /// # Errors
    /// [`FaceError`]: an eye corner or a wing of the nose missing in either of
    /// them, a tap that is not a number, or taps that make no face.
    pub fn fit(taps: &Landmarks, onto: &FrontFace) -> Result<Self, FaceError> {
        let mut pairs: Vec<Pair> = Vec::with_capacity(STEADY.len());
        for landmark in STEADY {
            let tap = FaceError::finite(landmark, taps.get(landmark))?;
            let place = onto.points.get(&landmark).copied();
            match (tap, place) {
                (Some(tap), Some(place)) => pairs.push((landmark, tap, place)),
                // The middle ones make it surer and can be left out.
                _ if matches!(landmark, Landmark::Middle(_)) => {}
                _ => return Err(FaceError::Missing { landmark }),
            }
        }
        let similarity = Similarity::of(&pairs).ok_or(FaceError::NoMidline)?;
        let rms_mm = similarity.rms(&pairs);
        let (worst, worst_mm, rms_without_worst_mm) =
            worst_of(&pairs).ok_or(FaceError::NoMidline)?;
        Ok(Self {
            similarity,
            rms_mm,
            worst,
            worst_mm,
            landmarks: pairs.len(),
            rms_without_worst_mm,
        })
    }

    /// Where a place in the photo lies on the levelled face.
    pub fn to_front(&self, p: Point<Photo>) -> Point<Front> {
        self.similarity.to_front(p)
    }

    /// Where a place on the levelled face lies in the photo; undoes
    /// [`Alignment::to_front`].
    pub fn to_photo(&self, p: Point<Front>) -> Point<Photo> {
        let Similarity {
            from,
            to,
            turn,
            mm_per_px,
        } = self.similarity;
        let v = (p - to) * (1.0 / mm_per_px);
        // Turned back, and y down again.
        from + Vector::new(turn.x * v.x + turn.y * v.y, -(turn.x * v.y - turn.y * v.x))
    }

    /// The photo's own scale, from the alignment.
    pub const fn mm_per_px(&self) -> f64 {
        self.similarity.mm_per_px
    }

    /// How far the face is turned in the photo against the levelled one,
    /// degrees; positive when the client's left eye is the higher one.
    pub fn roll_degrees(&self) -> f64 {
        -self.similarity.turn.degrees()
    }

    /// What to look at before trusting it; `None` where all is well.
    pub fn caution(&self) -> Option<String> {
        if self.worst_mm > MISTAP_MM && self.rms_without_worst_mm < 0.5 * self.rms_mm {
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

impl Similarity {
    /// Least squares; `None` where the points have no extent.
    fn of(pairs: &[Pair]) -> Option<Self> {
        let n = pairs.len() as f64;
        let mean = |of: &dyn Fn(&Pair) -> f64| pairs.iter().map(of).sum::<f64>() / n;
        let from = Point::new(mean(&|p| p.1.x), mean(&|p| p.1.y));
        let to = Point::new(mean(&|p| p.2.x), mean(&|p| p.2.y));
        let (mut re, mut im, mut size) = (0.0, 0.0, 0.0);
        for (_, p, q) in pairs {
            let (z, w) = (upward(*p - from), *q - to);
            re += z.dot(w);
            im += z.cross(w);
            size += z.dot(z);
        }
        let sum = Vector::new(re, im);
        let mm_per_px = sum.length() / size;
        Some(Self {
            from,
            to,
            turn: sum.unit()?,
            mm_per_px,
        })
        .filter(|s| s.mm_per_px.is_finite() && s.mm_per_px > 0.0)
    }

    fn to_front(self, p: Point<Photo>) -> Point<Front> {
        let v = upward(p - self.from) * self.mm_per_px;
        let turn = self.turn;
        self.to + Vector::new(turn.x * v.x - turn.y * v.y, turn.x * v.y + turn.y * v.x)
    }

    fn rms(self, pairs: &[Pair]) -> f64 {
        let sum: f64 = pairs
            .iter()
            .map(|(_, p, q)| {
                let gap = *q - self.to_front(*p);
                gap.dot(gap)
            })
            .sum();
        (sum / pairs.len() as f64).sqrt()
    }
}

/// The same displacement with y up.
fn upward(v: Vector<Photo>) -> Vector<Front> {
    Vector::new(v.x, -v.y)
}

/// The landmark without which the others fit best, how far it lies from where
/// they put it, and what they leave. A wrong tap draws the fit to itself, so
/// the largest residual need not be the wrong one.
fn worst_of(pairs: &[Pair]) -> Option<(Landmark, f64, f64)> {
    let without = |i: usize| {
        let mut others = pairs.to_vec();
        let (landmark, p, q) = others.remove(i);
        let fit = Similarity::of(&others)?;
        Some((landmark, q.distance(fit.to_front(p)), fit.rms(&others)))
    };
    (0..pairs.len())
        .filter_map(without)
        .min_by(|a, b| a.2.total_cmp(&b.2))
}
