//! The focal length in px, and with a scale the camera's distance.
//!
//! A pinhole of focal length f px sees 1 mm at distance d as f / d px; so
//! d = f · (mm per px).

use crate::Size;

/// Diagonal of the 36 x 24 mm frame that equivalent focal lengths are for, mm.
/// By the diagonal: CIPA DCG-001, the makers' guideline (from memory; EXIF
/// itself leaves it open).
const FRAME_DIAGONAL_MM: f64 = 43.266_615_305_567_87;

/// Standard uncertainty of an equivalent focal length as a share of it, beside
/// its rounding to whole mm: makers who go by the width instead differ by 4 %
/// on 4 : 3 sensors, and lenses lengthen a little close up. Ours.
const EQUIVALENT_SD: f64 = 0.03;
/// The same of a nominal focal length, which makers round, and which changes
/// when a lens is focused close. Ours.
const NOMINAL_SD: f64 = 0.03;
/// Standard deviation of rounding to whole numbers.
const ROUNDING_SD: f64 = 0.288_675;

/// Difference of aspect beyond which a picture has been cropped.
const ASPECT_TOLERANCE: f64 = 0.01;

/// A focal length as a file states it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FocalLength {
    /// For the same view on a frame of 36 x 24 mm.
    Equivalent {
        /// Whole mm.
        mm: f64,
    },
    /// The lens's own, and how close the pixels lie on the sensor.
    OnSensor {
        /// The lens's, mm.
        mm: f64,
        /// Pixels of the picture as written, per mm of the sensor.
        px_per_mm: f64,
    },
}

/// The focal length of a picture of one size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Optics {
    /// In px of that picture.
    pub focal_px: f64,
    /// Standard uncertainty (k = 1) as a share of it.
    pub relative_sd: f64,
}

impl Optics {
    /// For a picture of size `now`, which the camera wrote as `written`. `None`
    /// when it was cropped since: what is left of the frame isn't known then.
    pub(crate) fn of(focal: FocalLength, written: Option<Size>, now: Size) -> Option<Self> {
        let written = written.unwrap_or(now);
        let aspect = |s: Size| f64::from(s.width.max(s.height)) / f64::from(s.width.min(s.height));
        let cropped = (aspect(written) / aspect(now) - 1.0).abs() > ASPECT_TOLERANCE;
        if cropped || now.diagonal() <= 0.0 {
            return None;
        }
        let (focal_px, relative_sd) = match focal {
            FocalLength::Equivalent { mm } => (
                now.diagonal() * mm / FRAME_DIAGONAL_MM,
                libm::hypot(EQUIVALENT_SD, ROUNDING_SD / mm),
            ),
            FocalLength::OnSensor { mm, px_per_mm } => (
                mm * px_per_mm * now.diagonal() / written.diagonal(),
                NOMINAL_SD,
            ),
        };
        Some(Self {
            focal_px,
            relative_sd,
        })
    }

    /// The same picture scaled to so much of its width.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self {
            focal_px: self.focal_px * factor,
            ..self
        }
    }

    /// From the camera to the plane where 1 px is so many mm, mm.
    pub fn distance_mm(self, mm_per_px: f64) -> f64 {
        self.focal_px * mm_per_px
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A published calibration to compare with is missing here; the sensor's
    /// own data of a common phone camera (3.99 mm, 1.22 µm pixels, 4032 x 3024,
    /// stated as 28 mm) are from memory: 3270 px.
    #[test]
    fn equivalent_and_real_focal_length_agree_on_a_phone() {
        let now = Some(Size::new(4032, 3024));
        let of = |f| Optics::of(f, now, Size::new(3024, 4032)).unwrap();
        let stated = of(FocalLength::Equivalent { mm: 28.0 });
        let real = of(FocalLength::OnSensor {
            mm: 3.99,
            px_per_mm: 1000.0 / 1.22,
        });
        let off = stated.focal_px / real.focal_px - 1.0;
        assert!(off.abs() < 2.0 * stated.relative_sd, "{off}");
        // By the textbook: 60 cm away, 28 mm on 4 : 3 shows 0.92 m of the diagonal.
        let diagonal_mm = 5040.0 / stated.focal_px * 600.0;
        assert!((diagonal_mm - 927.1).abs() < 0.1, "{diagonal_mm}");
    }

    #[test]
    fn scaling_the_picture_keeps_the_distance() {
        let full = Size::new(6048, 8064);
        let kept = full.kept();
        let focal = FocalLength::Equivalent { mm: 26.0 };
        let of = |size| Optics::of(focal, Some(full.turned()), size).unwrap();
        let far = of(full).distance_mm(0.08);
        let same = of(kept.size).distance_mm(kept.mm_per_px(0.08));
        assert!((far - same).abs() < 0.5, "{far} {same}");
    }

    #[test]
    fn a_cropped_picture_has_no_known_focal_length() {
        let focal = FocalLength::Equivalent { mm: 26.0 };
        let written = Some(Size::new(4032, 3024));
        assert_eq!(Optics::of(focal, written, Size::new(2000, 2000)), None);
        assert!(Optics::of(focal, written, Size::new(1512, 2016)).is_some());
    }
}
