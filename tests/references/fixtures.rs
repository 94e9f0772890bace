//! Figures kept beside the tests; each file says where they come from.

use ophryon_face::{Held, Landmark, Landmarks, Reference};
use ophryon_frames::{Front, Photo, Point};

/// The number columns of a file, without its notes and its heading.
fn rows(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').collect())
}

fn number(cell: &str) -> f64 {
    cell.parse().unwrap()
}

/// A place of the brow band: seen from the front, and flattened.
#[derive(Debug, Clone, Copy)]
pub struct StripPoint {
    pub row: usize,
    /// x, y, z in mm; z toward the camera.
    pub solid: [f64; 3],
    /// u, v in mm: the flattened skin, up to a rigid motion.
    pub flat: [f64; 2],
}

impl StripPoint {
    pub fn seen(&self) -> Point<Front> {
        Point::new(self.solid[0], self.solid[1])
    }
}

/// Rows from the lower edge (0) to the upper (8), each from start to tail.
pub fn strip() -> Vec<StripPoint> {
    rows(include_str!("../fixtures/mean-face-brow-strip.csv"))
        .map(|cells| StripPoint {
            row: cells[0].parse().unwrap(),
            solid: [number(cells[2]), number(cells[3]), number(cells[4])],
            flat: [number(cells[5]), number(cells[6])],
        })
        .collect()
}

/// Landmarks of the mean face seen from the front, mm; no pupils.
pub fn landmarks() -> Vec<(Landmark, [f64; 2])> {
    rows(include_str!("../fixtures/mean-face-landmarks.csv"))
        .map(|cells| {
            let landmark = Landmark::from_id(cells[0]).unwrap();
            (landmark, [number(cells[2]), number(cells[3])])
        })
        .collect()
}

/// How a face is photographed from the front: 10 px per mm unless said.
#[derive(Debug, Clone, Copy)]
pub struct Shot {
    pub px_per_mm: f64,
    /// Counter-clockwise as the photo is seen.
    pub roll_degrees: f64,
}

impl Shot {
    pub const LEVEL: Self = Self {
        px_per_mm: 10.0,
        roll_degrees: 0.0,
    };

    /// Where a place (mm, y up) lies in the photo.
    pub fn of(&self, [x, y]: [f64; 2]) -> Point<Photo> {
        let (sin, cos) = libm::sincos(self.roll_degrees.to_radians());
        let (across, up) = (x * cos - y * sin, x * sin + y * cos);
        Point::new(
            1500.0 + self.px_per_mm * across,
            2000.0 - self.px_per_mm * up,
        )
    }

    pub fn taps<'a>(&self, face: impl IntoIterator<Item = &'a (Landmark, [f64; 2])>) -> Landmarks {
        let mut taps = Landmarks::default();
        for (landmark, at) in face {
            taps.set(*landmark, self.of(*at));
        }
        taps
    }

    /// A card held upright below the chin. ISO/IEC 7810, ID-1: 85.60 x 53.98 mm.
    pub fn card(&self) -> Reference {
        Reference::Card {
            long: [self.of([-42.80, -150.0]), self.of([42.80, -150.0])],
            short: Some([self.of([0.0, -176.99]), self.of([0.0, -123.01])]),
            held: Held::default(),
        }
    }
}
