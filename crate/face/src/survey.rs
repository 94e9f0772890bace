//! One photo measured from end to end: scale, level, pose, distance, and the
//! budget of every number.

use ophryon_frames::{Side, Sided};

use crate::influence::Chain;
use crate::input::{Axis, Input};
use crate::lens::Nearness;
use crate::log_scale::Sight;
use crate::view::View;
use crate::{
    BrowPlace, Budget, CameraDistance, CombinedScale, Distance, FaceError, FaceFrame, FrontFace,
    Influences, IrisCheck, Landmark, Landmarks, Lens, Pose, PoseReport, PupilCheck, PupilVerdict,
    Quantity, Reference, Scale, ScaleError, SidedLandmark, TapSpread, Taps, check_iris,
    check_pupil_distance,
};

/// Everything one photo says of the face, with how sure it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// Scale from all references together, and what each says.
    pub scale: CombinedScale,
    /// How far off a tap may be.
    pub spread: TapSpread,
    /// Photo to front and back; roll; tilt of the midline.
    pub frame: FaceFrame,
    /// Every landmark in mm, as seen from the front.
    pub face: FrontFace,
    /// From the camera to the brows.
    pub distance: CameraDistance,
    /// Which way the head is turned, and what that and the distance cost.
    pub pose: PoseReport,
    /// Pupil to pupil.
    pub pupils: Distance,
    /// Whether that is a person's distance.
    pub pupil_check: PupilCheck,
    /// Whether the irises are a person's; `None` where the rim was not
    /// tapped, or where they gave the scale.
    pub irises: Sided<Option<IrisCheck>>,
    landmarks: Landmarks,
}

/// Why a photo can't be measured.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SurveyError {
    /// No reference gives a scale.
    #[error("{0}")]
    Scale(#[from] ScaleError),
    /// The landmarks make no face.
    #[error("{0}")]
    Face(#[from] FaceError),
}

impl Survey {
    /// Measures one photo.
    ///
    /// # Errors
    /// [`SurveyError`], with the next thing to do.
    pub fn of(
        taps: &Taps<'_>,
        references: &[Reference],
        lens: Option<Lens>,
    ) -> Result<Self, SurveyError> {
        let landmarks = taps.landmarks;
        let lens = lens.and_then(Lens::sound);
        let spread = TapSpread::of(taps, rough(references, landmarks)?);
        let sight = Sight {
            landmarks,
            spread: &spread,
            lens,
        };
        let scale = CombinedScale::of(references, &sight)?;
        let mm_per_px = scale.scale.mm_per_px();
        let frame = FaceFrame::fit(landmarks, scale.scale)?;
        let face = FrontFace::new(landmarks, &frame)?;
        let distance = CameraDistance::of(lens, mm_per_px, scale.scale.relative_sd());
        let nearness = distance.nearness();
        let pose = Pose::of(&face, &spread, mm_per_px, nearness);
        let pose = PoseReport::of(&face, pose, distance);
        let pupils = pupils(landmarks, &face, &scale, &spread, &pose.pose, nearness)?;
        let irises = Sided::from_fn(|side| iris(&face, &scale, &spread, side));
        Ok(Self {
            scale,
            spread,
            frame,
            face,
            distance,
            pose,
            pupil_check: check_pupil_distance(pupils.mm),
            pupils,
            irises,
            landmarks: landmarks.clone(),
        })
    }

    /// What moves the landmarks, for the budget of any number. Takes about a
    /// hundred times as long as [`Survey::of`], so once per photo.
    ///
    /// # Errors
    /// [`FaceError`] where a landmark is so near to making no face that one
    /// standard uncertainty does it.
    pub fn influences(&self) -> Result<Influences, FaceError> {
        Influences::of(&Chain {
            landmarks: &self.landmarks,
            spread: &self.spread,
            combined: &self.scale,
            frame: &self.frame,
            face: &self.face,
            pose: &self.pose.pose,
            nearness: self.distance.nearness(),
        })
    }

    /// The differences of the natural brows, right less left: at each place
    /// the height and the distance from the midline. Places with a missing
    /// landmark are left out.
    ///
    /// # Errors
    /// As [`Survey::influences`].
    pub fn brow_differences(&self) -> Result<Vec<(BrowPlace, Budget, Budget)>, FaceError> {
        let influences = self.influences()?;
        let of = |q| influences.of_quantity(q);
        Ok(BrowPlace::ALL
            .into_iter()
            .filter_map(|place| {
                Some((
                    place,
                    of(Quantity::HeightDifference(place))?,
                    of(Quantity::FromMidlineDifference(place))?,
                ))
            })
            .collect())
    }

    /// What to bear in mind, one sentence each: scale, distance, pose, and
    /// eyes that are nobody's.
    pub fn cautions(&self) -> Vec<String> {
        let mut all = Vec::new();
        if self.pupil_check.verdict != PupilVerdict::Usual {
            all.push(self.pupil_check.sentence.clone());
        }
        for (_, check) in self.irises.iter() {
            if let Some(check) = check
                && check.verdict != PupilVerdict::Usual
            {
                all.push(check.sentence.clone());
            }
        }
        all.extend(self.scale.sentences.iter().cloned());
        all.extend(self.spread.slips());
        all.extend(self.pose.cautions());
        all
    }

    /// The eyes come out at a size that nobody's have: the scale is wrong,
    /// and the sentence says the way out.
    pub fn stops(&self) -> Option<&str> {
        if self.pupil_check.verdict == PupilVerdict::Impossible {
            return Some(&self.pupil_check.sentence);
        }
        let impossible = |c: &&IrisCheck| c.verdict == PupilVerdict::Impossible;
        let irises = [&self.irises.right, &self.irises.left];
        let found = irises.into_iter().flatten().find(impossible);
        found.map(|c| c.sentence.as_str())
    }
}

/// A first guess at the scale, to know how many px a tap is off by: the
/// middle one of all references that give one.
fn rough(references: &[Reference], landmarks: &Landmarks) -> Result<f64, ScaleError> {
    let mut found = Vec::new();
    let mut problem = None;
    for reference in references {
        match reference.rough_mm_per_px(landmarks) {
            Ok(mm_per_px) if mm_per_px.is_finite() && mm_per_px > 0.0 => found.push(mm_per_px),
            Ok(_) => {}
            Err(why) => problem = problem.or(Some(why)),
        }
    }
    found.sort_by(f64::total_cmp);
    match found.get(found.len() / 2) {
        Some(mm_per_px) => Ok(*mm_per_px),
        None => Err(problem.unwrap_or(ScaleError::NoReference)),
    }
}

/// Pupil to pupil, with taps, scale, pose and distance; a caliper across the
/// pupils shares its taps with it.
fn pupils(
    landmarks: &Landmarks,
    face: &FrontFace,
    scale: &CombinedScale,
    spread: &TapSpread,
    pose: &Pose,
    nearness: Nearness,
) -> Result<Distance, FaceError> {
    let [right, left] = Side::BOTH.map(|side| Landmark::Sided(side, SidedLandmark::Pupil));
    let need = |l| FaceError::need(l, landmarks.get(l));
    let along = need(left)? - need(right)?;
    let mm = along.length() * scale.scale.mm_per_px();
    let unit = along.unit().ok_or(FaceError::PupilsTogether)?;
    let mut moves = scale.moves.clone();
    for (landmark, sign) in [(left, 1.0), (right, -1.0)] {
        let share = sign * spread.of_landmark(landmark) / along.length();
        moves.add(Input::Tap(landmark, Axis::X), share * unit.x);
        moves.add(Input::Tap(landmark, Axis::Y), share * unit.y);
    }
    // Nothing where the scale is so wrong that no view of the face can be told:
    // the plausibility of the pupils says so.
    let seen = |view: View| -> f64 {
        let Ok(seen) = view.levelled(face, &[]) else {
            return 0.0;
        };
        let [r, l] = [right, left].map(|l| seen.points.get(&l).copied());
        r.zip(l).map_or(mm, |(r, l)| r.distance(l)) - mm
    };
    let near = View {
        nearness: nearness.per_mm,
        ..View::FRONT
    };
    let near = seen(near);
    let posed = seen(pose.view(nearness.per_mm)) - near;
    let square: f64 = mm * mm * moves.variance() + near * near + posed * posed;
    Ok(Distance {
        mm,
        sd: square.sqrt(),
    })
}

/// White to white of one eye: twice from the pupil to the outer rim.
fn iris(
    face: &FrontFace,
    scale: &CombinedScale,
    spread: &TapSpread,
    side: Side,
) -> Option<IrisCheck> {
    let by_iris = |r: &Reference| matches!(r, Reference::Iris { .. });
    if scale.readings.iter().all(|r| by_iris(&r.reference)) {
        return None;
    }
    let rim = face.get(side, SidedLandmark::IrisOuterRim)?;
    let half = rim.distance(face.get(side, SidedLandmark::Pupil)?);
    let tap = |l| spread.of_landmark(Landmark::Sided(side, l)) * scale.scale.mm_per_px();
    let taps = libm::hypot(tap(SidedLandmark::IrisOuterRim), tap(SidedLandmark::Pupil));
    Some(check_iris(Distance {
        mm: 2.0 * half,
        sd: 2.0 * libm::hypot(taps, half * scale.scale.relative_sd()),
    }))
}

impl From<&Survey> for Scale {
    fn from(survey: &Survey) -> Self {
        survey.scale.scale
    }
}
