//! How far the camera was, from the lens and the scale.
//!
//! A pinhole camera sees a length L at distance d as f L / d px, so with f in
//! px and the scale k in mm per px the distance is d = f k.

use std::fmt;

/// A face nearer than this to the camera is drawn out of shape: the middle of
/// it swells against its sides. Modelled, the nose base is 30 % too broad for
/// the face at 12 in against 5 ft (Ward B et al., JAMA Facial Plast Surg
/// 2018); measured, the nose is 6.4 % longer at 12 in (Pressler MP et al.,
/// PRS 2022).
pub const NEAREST_MM: f64 = 1000.0;

/// Nearest and farthest that a face is photographed from with a telephone or
/// a camera held in the hand, mm, where nothing is known. Ours.
const USUAL_MM: [f64; 2] = [400.0, 1500.0];

/// What is known of the lens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lens {
    /// Focal length in px of the photo as it is kept, uncropped.
    pub focal_px: f64,
    /// Its standard uncertainty as a share.
    pub relative_sd: f64,
}

/// A focal length that is too short or too long for a photo of a face, in
/// widths of the photo, says nothing: 0.3 is wider than the widest lenses of
/// telephones, 40 longer than any portrait lens.
const FOCAL_IN_WIDTHS: std::ops::RangeInclusive<f64> = 0.3..=40.0;

impl Lens {
    /// From an equivalent focal length as EXIF has it, already in px. It is
    /// rounded to whole millimetres, taken over the diagonal by some makers
    /// and over the width by others (4 % on 4:3), and the picture is cropped a
    /// little to straighten it: 3 %. Ours.
    pub const fn from_equivalent(focal_px: f64) -> Self {
        Self {
            focal_px,
            relative_sd: 0.03,
        }
    }

    /// From a calibration of the camera.
    pub const fn calibrated(focal_px: f64) -> Self {
        Self {
            focal_px,
            relative_sd: 0.005,
        }
    }

    /// Whether a photo of that width can have been taken with it.
    pub fn fits(&self, width_px: u32) -> bool {
        width_px > 0 && FOCAL_IN_WIDTHS.contains(&(self.focal_px / f64::from(width_px)))
    }

    pub(crate) fn sound(self) -> Option<Self> {
        let positive = |v: f64| v.is_finite() && v > 0.0;
        (positive(self.focal_px) && positive(self.relative_sd) && self.relative_sd < 0.5)
            .then_some(self)
    }
}

/// From the camera to the brows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CameraDistance {
    /// By the lens and the scale.
    Known {
        /// Best estimate, mm.
        mm: f64,
        /// Standard uncertainty, mm.
        sd: f64,
    },
    /// The photo doesn't say.
    Unknown,
}

/// One over the distance, per mm: what perspective goes by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Nearness {
    pub per_mm: f64,
    pub sd: f64,
}

impl CameraDistance {
    /// From the lens and the scale in the plane of the brows, whose relative
    /// standard uncertainties add up in squares.
    pub(crate) fn of(lens: Option<Lens>, mm_per_px: f64, relative_sd: f64) -> Self {
        match lens.and_then(Lens::sound) {
            Some(lens) => {
                let mm = lens.focal_px * mm_per_px;
                Self::Known {
                    mm,
                    sd: mm * libm::hypot(lens.relative_sd, relative_sd),
                }
            }
            None => Self::Unknown,
        }
    }

    /// Nothing being known, every nearness between the usual ones is as
    /// likely.
    pub(crate) fn nearness(self) -> Nearness {
        match self {
            Self::Known { mm, sd } => Nearness {
                per_mm: 1.0 / mm,
                sd: sd / (mm * mm),
            },
            Self::Unknown => {
                let (near, far) = (1.0 / USUAL_MM[0], 1.0 / USUAL_MM[1]);
                Nearness {
                    per_mm: 0.5 * (near + far),
                    sd: (near - far) / 12.0_f64.sqrt(),
                }
            }
        }
    }

    /// Known, and nearer than [`NEAREST_MM`].
    pub fn too_near(self) -> bool {
        matches!(self, Self::Known { mm, .. } if mm < NEAREST_MM)
    }
}

impl fmt::Display for CameraDistance {
    /// `0.62 ± 0.04 m`, or `not known`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Known { mm, sd } => write!(f, "{:.2} ± {:.2} m", mm / 1e3, 2.0 * sd / 1e3),
            Self::Unknown => f.write_str("not known"),
        }
    }
}
