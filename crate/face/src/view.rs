//! How a face is seen: turned, tipped, and through a pinhole.

use ophryon_frames::{Front, Photo, Point};

use crate::typical::{BROW_PLANE_MM, depth_mm};
use crate::{FaceError, FaceFrame, FrontFace, Landmark, Landmarks, Scale};

/// How the camera sees the head, against the line from the camera to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct View {
    /// Toward the client's left, radians.
    pub yaw: f64,
    /// Chin up, radians.
    pub pitch: f64,
    /// One over the distance to the brows, per mm; 0 is from far away.
    pub nearness: f64,
}

impl View {
    /// From far away, from the front.
    pub(crate) const FRONT: Self = Self {
        yaw: 0.0,
        pitch: 0.0,
        nearness: 0.0,
    };

    /// The view with its sines and cosines taken, for many places.
    pub(crate) fn ready(&self) -> Ready {
        Ready {
            yaw: libm::sincos(self.yaw),
            pitch: libm::sincos(self.pitch),
            nearness: self.nearness,
        }
    }

    /// What a photo of a face taken so would say: its landmarks where they
    /// would come to lie once levelled, mm. `face` is the face from the front;
    /// its depths are those of a typical one, some landmarks and their
    /// partners nearer by so many mm: people differ alike on both sides.
    pub(crate) fn levelled(
        &self,
        face: &FrontFace,
        nearer: &[(Landmark, f64)],
    ) -> Result<FrontFace, FaceError> {
        let mut taps = Landmarks::default();
        let ready = self.ready();
        for (landmark, p) in &face.points {
            let mut z = depth_mm(*landmark, p.x);
            let own = |l: Landmark| l == *landmark || l.partner() == *landmark;
            z += nearer
                .iter()
                .filter(|(l, _)| own(*l))
                .map(|(_, by)| by)
                .sum::<f64>();
            let [x, y] = ready.of([p.x, p.y, z]);
            taps.set(*landmark, Point::<Photo>::new(x, -y));
        }
        let frame = FaceFrame::fit(&taps, one_to_one())?;
        FrontFace::new(&taps, &frame)
    }
}

/// A [`View`] made ready.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ready {
    yaw: (f64, f64),
    pitch: (f64, f64),
    nearness: f64,
}

impl Ready {
    /// Where a place (mm from the middle of the pupils, z toward the camera)
    /// is seen, scaled so that the plane of the brows keeps its size: yaw
    /// first, then pitch, then the pinhole. Lengths as seen, y up.
    pub(crate) fn of(&self, [x, y, z]: [f64; 3]) -> [f64; 2] {
        let ((sin_yaw, cos_yaw), (sin_pitch, cos_pitch)) = (self.yaw, self.pitch);
        let (turned, deep) = (x * cos_yaw + z * sin_yaw, z * cos_yaw - x * sin_yaw);
        let (tipped, deep) = (
            y * cos_pitch + deep * sin_pitch,
            deep * cos_pitch - y * sin_pitch,
        );
        let larger = 1.0 / (1.0 - self.nearness * (deep - BROW_PLANE_MM));
        [turned * larger, tipped * larger]
    }
}

/// Millimetres as they are.
fn one_to_one() -> Scale {
    Scale::certain(1.0)
}

/// What changes from one levelled face to another, landmark by landmark.
pub(crate) fn shift(
    from: &FrontFace,
    to: &FrontFace,
) -> Vec<(Landmark, ophryon_frames::Vector<Front>)> {
    from.points
        .iter()
        .filter_map(|(l, p)| Some((*l, *to.points.get(l)? - *p)))
        .collect()
}
