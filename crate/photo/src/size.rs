//! Picture sizes, and the size at which a photo is kept.

use std::fmt;

use ophryon_frames::{Photo, Point};

/// Largest photo that is kept, px: 24 megapixels, the tablets' own limit.
pub const MOST_PIXELS: f64 = 24e6;
/// Shortest side on which eye corners can still be told from each other, px.
pub const LEAST_SIDE: u32 = 400;
/// A side this long is no photo of a face, px.
pub const TOO_LONG_SIDE: u32 = 20_000;

/// Width and height in px.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// px across.
    pub width: u32,
    /// px down.
    pub height: u32,
}

impl Size {
    /// Both in px.
    pub const fn new(width: u32, height: u32) -> Self {
        Self { width, height }
    }

    /// Width and height exchanged.
    pub const fn turned(self) -> Self {
        Self::new(self.height, self.width)
    }

    /// All pixels.
    pub fn pixels(self) -> f64 {
        f64::from(self.width) * f64::from(self.height)
    }

    /// From corner to corner, px.
    pub fn diagonal(self) -> f64 {
        libm::hypot(f64::from(self.width), f64::from(self.height))
    }

    /// What is kept of a photo of this size.
    pub fn kept(self) -> Kept {
        let pixels = self.pixels();
        let size = if pixels <= MOST_PIXELS {
            self
        } else {
            let k = (MOST_PIXELS / pixels).sqrt();
            let side = |px: u32| ((f64::from(px) * k) as u32).max(1);
            Self::new(side(self.width), side(self.height))
        };
        Kept { size, from: self }
    }
}

impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} x {} px", self.width, self.height)
    }
}

/// The size a photo is kept at: its own, or so much smaller that it has no
/// more than [`MOST_PIXELS`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kept {
    /// Upright size of the kept photo.
    pub size: Size,
    /// Upright size of the file's.
    pub from: Size,
}

impl Kept {
    /// It has to be scaled down.
    pub fn is_smaller(self) -> bool {
        self.size != self.from
    }

    /// Where a place of the file's picture lies in the kept one. Each axis has
    /// its own ratio, because both sides are whole px.
    pub fn place(self, full: Point<Photo>) -> Point<Photo> {
        let ratio = |kept: u32, from: u32| f64::from(kept) / f64::from(from.max(1));
        Point::new(
            full.x * ratio(self.size.width, self.from.width),
            full.y * ratio(self.size.height, self.from.height),
        )
    }

    /// Millimetres per px of the kept photo, from that of the file's.
    pub fn mm_per_px(self, full: f64) -> f64 {
        full * f64::from(self.from.width) / f64::from(self.size.width.max(1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_photos_above_24_megapixels_are_scaled_and_keep_their_shape() {
        let small = Size::new(4000, 6000);
        assert_eq!(small.kept().size, small);
        let kept = Size::new(9000, 12000).kept();
        assert!(kept.is_smaller() && kept.size.pixels() <= MOST_PIXELS);
        let aspect = f64::from(kept.size.width) / f64::from(kept.size.height);
        assert!((aspect - 0.75).abs() < 1e-3);
    }

    #[test]
    fn a_length_keeps_its_millimetres_when_the_photo_is_scaled() {
        let kept = Size::new(8064, 6048).kept();
        let (a, b) = (Point::new(1000.0, 2000.0), Point::new(4000.0, 2000.0));
        let full_mm = a.distance(b) * 0.05;
        let kept_mm = kept.place(a).distance(kept.place(b)) * kept.mm_per_px(0.05);
        assert!((full_mm - kept_mm).abs() < 1e-9, "{full_mm} {kept_mm}");
    }
}
