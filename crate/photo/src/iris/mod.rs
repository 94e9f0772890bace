//! The iris assist: a rough tap near the pupil finds the iris's rim.
//!
//! 1. Every circle of possible size near the tap is scored by the rise of
//!    brightness across its sides (`search`).
//! 2. The best are looked at closely: where along each ray the light rises,
//!    and the ellipse that the rays agree on (`rim`).
//! 3. What speaks for each is weighed; too little, or two alike, and the tap
//!    is left (`weigh`).

mod expected;
mod fit;
mod rim;
mod search;
mod weigh;

pub use expected::RoughScale;

use ophryon_frames::{Photo, Point, Vector};

use crate::Pixels;
use crate::plane::{Plane, Tone};

/// How far from the pupil a tap may be, mm.
pub const CATCH_MM: f64 = 4.0;

/// Radius below which a rim can't be found to a tenth of it, px.
const SMALLEST_RADIUS_PX: f64 = 3.0;

/// The rim of an iris, as an ellipse in the photo, wider than high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Iris {
    /// Its middle.
    pub centre: Point<Photo>,
    /// Half its width, px.
    pub radius_px: f64,
    /// Its height against its width. Lids cover top and bottom, so this is
    /// partly what is known of irises.
    pub aspect: f64,
    /// Standard uncertainty (k = 1) of the middle across and down, px.
    pub centre_sd_px: Vector<Photo>,
    /// Standard uncertainty of half the width, px.
    pub radius_sd_px: f64,
    /// Share of the rim that was seen, 0 to 1; lids and lights cover the rest.
    pub seen: f64,
}

impl Iris {
    /// The two points of the rim on a line through its middle, for an iris
    /// scale ([`ophryon_face::Reference::Iris`]): along `level`, which runs
    /// from one pupil to the other. The first lies against `level`.
    pub fn rim(&self, level: Vector<Photo>) -> [Point<Photo>; 2] {
        let way = level.unit().unwrap_or(Vector::new(1.0, 0.0));
        let (x, y) = (
            way.x / self.radius_px,
            way.y / (self.radius_px * self.aspect),
        );
        let along = way * (1.0 / libm::hypot(x, y));
        [self.centre + -along, self.centre + along]
    }

    /// Standard uncertainty of the middle in any direction, px: the larger of
    /// the two.
    pub fn sd_px(&self) -> f64 {
        self.centre_sd_px.x.max(self.centre_sd_px.y)
    }
}

/// Why a tap was left where it is. Displayed as a whole sentence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum WeakEvidence {
    /// No circle near the tap stands out.
    #[error(
        "No clear iris was found near the tap, so the tap was left as it is. Zoom in and tap the middle of the pupil."
    )]
    NoRim,
    /// Too much of the rim is hidden.
    #[error(
        "Too little of the iris's rim is in sight, so the tap was left as it is. Zoom in and tap the middle of the pupil, or take the photo again with the eyes a little wider open."
    )]
    Hidden,
    /// Two circles stand out alike.
    #[error(
        "The iris can't be told from what is around it, so the tap was left as it is. Zoom in and tap the middle of the pupil."
    )]
    Ambiguous,
    /// Too few px for a rim.
    #[error(
        "The iris is too small in this photo to find its rim, so the tap was left as it is. Zoom in and tap the middle of the pupil; a photo taken from nearer shows more."
    )]
    TooSmall,
    /// The tap lies outside, or too near the edge.
    #[error(
        "The eye is cut off at the edge of the photo, so the tap was left as it is. Take a photo with the whole face in it."
    )]
    Outside,
}

/// Finds the iris whose pupil was tapped, within [`CATCH_MM`]. `pixels` must
/// hold [`RoughScale::crop`] around the tap; more does no harm.
///
/// # Errors
/// [`WeakEvidence`]: the tap should be left as it is then.
pub fn find_iris(
    pixels: &Pixels<'_>,
    tap: Point<Photo>,
    rough: RoughScale,
) -> Result<Iris, WeakEvidence> {
    let radii = rough.radius_px();
    if *radii.end() < SMALLEST_RADIUS_PX {
        return Err(WeakEvidence::TooSmall);
    }
    let coded = Plane::near(pixels, tap, rough.reach_px(), Tone::Coded);
    let light = Plane::near(pixels, tap, rough.reach_px(), Tone::Linear);
    let (coded, light) = coded.zip(light).ok_or(WeakEvidence::Outside)?;
    let radii = radii.start().max(SMALLEST_RADIUS_PX)..=*radii.end();
    let rims = search::search(&coded, tap, radii)
        .iter()
        .filter_map(|candidate| rim::look(&light, candidate))
        .collect();
    weigh::choose(rims, tap, rough)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Layout, Size};

    /// Side of the picture, px.
    const SIDE: u32 = 260;

    /// A plain eye: skin, white between two level lids, iris, pupil; the rim
    /// passes over 2 px.
    struct Eye {
        middle: (f64, f64),
        radius: f64,
        /// Upper lid above and lower lid below the middle, in radii.
        lids: (f64, f64),
    }

    impl Eye {
        fn bytes(&self) -> Vec<u8> {
            let mut bytes = Vec::new();
            for row in 0..SIDE {
                for column in 0..SIDE {
                    let x = f64::from(column) + 0.5 - self.middle.0;
                    let y = f64::from(row) + 0.5 - self.middle.1;
                    let away = libm::hypot(x, y);
                    let (up, down) = (self.lids.0 * self.radius, self.lids.1 * self.radius);
                    let open = y > -up && y < down && x.abs() < 2.2 * self.radius;
                    let inside = ((self.radius - away) / 2.0 + 0.5).clamp(0.0, 1.0);
                    bytes.push(if !open {
                        150
                    } else if away < 0.3 * self.radius {
                        12
                    } else {
                        // Light mixes, not codes.
                        let light = 0.62 - 0.54 * inside;
                        (255.0 * libm::pow(light, 1.0 / 2.2)) as u8
                    });
                }
            }
            bytes
        }

        fn find(&self, tap: (f64, f64)) -> Result<Iris, WeakEvidence> {
            let bytes = self.bytes();
            let pixels = Pixels::of_photo(Size::new(SIDE, SIDE), Layout::Luma, &bytes);
            // 63 mm are as many px as an iris of 11.7 mm asks for.
            let px = 63.0 * self.radius / 5.85;
            let rough = RoughScale::by_pupils(Point::new(0.0, 0.0), Point::new(px, 0.0));
            find_iris(&pixels.unwrap(), Point::new(tap.0, tap.1), rough)
        }
    }

    #[test]
    fn a_plain_iris_is_found_to_a_fortieth_of_its_radius() {
        for radius in [8.0, 17.3, 33.0, 60.4] {
            let eye = Eye {
                middle: (131.3, 127.8),
                radius,
                lids: (0.6, 0.97),
            };
            for (dx, dy) in [(0.0, 0.0), (0.6, 0.2), (-0.3, -0.5)] {
                let tap = (131.3 + dx * radius, 127.8 + dy * radius);
                let iris = eye.find(tap).unwrap();
                let off = iris.centre.distance(Point::new(131.3, 127.8)) / radius;
                assert!(off < 0.025, "{radius} px: {off:.4}");
                let wide = (iris.radius_px / radius - 1.0).abs();
                assert!(wide < 0.025, "{radius} px: {wide:.4}");
                let [a, b] = iris.rim(Vector::new(5.0, 0.0));
                assert!(a.x < b.x && (a.distance(b) / 2.0 - iris.radius_px).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn a_tap_too_far_off_and_a_closed_eye_are_left() {
        let eye = Eye {
            middle: (131.3, 127.8),
            radius: 33.0,
            lids: (0.6, 0.97),
        };
        // 6 mm beside the pupil.
        assert!(eye.find((131.3 + 34.0, 127.8)).is_err());
        let closed = Eye {
            lids: (-0.2, 0.4),
            ..eye
        };
        assert!(closed.find((131.3, 127.8)).is_err());
    }
}
