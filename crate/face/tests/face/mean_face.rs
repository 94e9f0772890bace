//! A face to try things on.
//!
//! Corners of the eyes, nose, bridge, chin and brows are vertices of the
//! canonical face of the MediaPipe project (Apache-2.0), seen from the front:
//! mm, x toward the client's left, y up. That mesh has no pupils, irises or
//! ears: those are set at plausible places.

use ophryon_face::{Held, Landmark, Landmarks, MiddleLandmark, Reference, SidedLandmark};
use ophryon_frames::{Photo, Point, Side};

/// Half the distance between the pupils, mm: midway between the eye corners.
pub const HALF_PUPILS_MM: f64 = 31.5;
/// Height of the pupils in the mesh's own frame, mm.
pub const PUPIL_LEVEL_MM: f64 = 26.0;

const LEFT: [(SidedLandmark, f64, f64); 12] = [
    (SidedLandmark::Pupil, HALF_PUPILS_MM, PUPIL_LEVEL_MM),
    (SidedLandmark::IrisOuterRim, 37.4, 26.0),
    (SidedLandmark::InnerCorner, 18.56432, 25.85245), // vertex 362
    (SidedLandmark::OuterCorner, 44.45859, 26.63991), // 263
    (SidedLandmark::NoseWing, 17.85794, -9.78284),    // 358
    (SidedLandmark::LowerLid, 37.0, 22.0),
    (SidedLandmark::EarMiddle, 76.0, 15.0),
    (SidedLandmark::BrowStartTop, 13.95634, 50.11963), // 336
    (SidedLandmark::BrowStartBottom, 12.20941, 41.42165), // 285
    (SidedLandmark::BrowPeak, 39.86562, 51.09487),     // 334
    (SidedLandmark::BrowLowerArch, 41.0, 45.0),
    (SidedLandmark::BrowTail, 52.53307, 38.81582), // 276
];

const MIDDLE: [(MiddleLandmark, f64); 3] = [
    (MiddleLandmark::Bridge, 32.71027),    // 168
    (MiddleLandmark::NoseBase, -20.89024), // 2
    (MiddleLandmark::Chin, -94.03378),     // 152
];

/// Landmarks in mm, x toward the client's left, y up, in asking order.
pub type Face = Vec<(Landmark, [f64; 2])>;

/// The mean face: exactly even.
pub fn mean_face() -> Face {
    Landmark::in_order()
        .into_iter()
        .map(|landmark| {
            let at = match landmark {
                Landmark::Sided(side, l) => {
                    let (_, x, y) = LEFT.into_iter().find(|e| e.0 == l).unwrap();
                    [side.sign() * x, y]
                }
                Landmark::Middle(l) => [0.0, MIDDLE.into_iter().find(|e| e.0 == l).unwrap().1],
            };
            (landmark, at)
        })
        .collect()
}

/// The face with one landmark moved, mm.
pub fn moved(mut face: Face, landmark: Landmark, x: f64, y: f64) -> Face {
    for (l, at) in &mut face {
        if *l == landmark {
            *at = [at[0] + x, at[1] + y];
        }
    }
    face
}

/// How a face is photographed from the front.
#[derive(Debug, Clone, Copy)]
pub struct Shot {
    pub px_per_mm: f64,
    /// Counter-clockwise as the photo is seen.
    pub roll_degrees: f64,
    /// Where the mesh's own origin comes to lie, px.
    pub at: [f64; 2],
}

impl Shot {
    pub const LEVEL: Self = Self {
        px_per_mm: 10.0,
        roll_degrees: 0.0,
        at: [1500.0, 1800.0],
    };

    /// Where a place of the face lies in the photo.
    pub fn of(&self, [x, y]: [f64; 2]) -> Point<Photo> {
        let (sin, cos) = libm::sincos(self.roll_degrees.to_radians());
        let (across, up) = (x * cos - y * sin, x * sin + y * cos);
        Point::new(
            self.at[0] + self.px_per_mm * across,
            self.at[1] - self.px_per_mm * up,
        )
    }

    pub fn taps(&self, face: &Face) -> Landmarks {
        let mut taps = Landmarks::default();
        for (landmark, at) in face {
            taps.set(*landmark, self.of(*at));
        }
        taps
    }

    /// A card held upright below the chin.
    pub fn card(&self) -> Reference {
        Reference::Card {
            long: [self.of([-42.80, -130.0]), self.of([42.80, -130.0])],
            short: Some([self.of([0.0, -156.99]), self.of([0.0, -103.01])]),
            held: Held::default(),
        }
    }
}

pub fn sided(side: Side, landmark: SidedLandmark) -> Landmark {
    Landmark::Sided(side, landmark)
}
