//! A borrowed view of decoded pixels: the whole photo, or a piece cut out of
//! it.

use ophryon_frames::{Photo, Point};

use crate::Size;

/// How many bytes a pixel has, and which.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// Brightness alone.
    Luma,
    /// Red, green, blue.
    Rgb,
    /// Red, green, blue, and how opaque, as a canvas gives them.
    Rgba,
}

impl Layout {
    const fn bytes(self) -> usize {
        match self {
            Self::Luma => 1,
            Self::Rgb => 3,
            Self::Rgba => 4,
        }
    }
}

/// A rectangle of whole pixels of the upright photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Crop {
    /// First column.
    pub left: u32,
    /// First row.
    pub top: u32,
    /// How much of it.
    pub size: Size,
}

impl Crop {
    /// The smallest one around places, with a margin in px, inside a photo of
    /// this size. `None` where nothing of it lies inside.
    pub fn around(places: &[Point<Photo>], margin: f64, photo: Size) -> Option<Self> {
        let span = |of: fn(&Point<Photo>) -> f64, side: u32| {
            let low = places.iter().map(of).fold(f64::INFINITY, f64::min) - margin;
            let high = places.iter().map(of).fold(f64::NEG_INFINITY, f64::max) + margin;
            let side = f64::from(side);
            let (low, high) = (low.floor().max(0.0), high.ceil().min(side));
            (high - low >= 1.0).then_some((low as u32, (high - low) as u32))
        };
        let (left, width) = span(|p| p.x, photo.width)?;
        let (top, height) = span(|p| p.y, photo.height)?;
        Some(Self {
            left,
            top,
            size: Size::new(width, height),
        })
    }
}

/// 8-bit sRGB pixels by rows from the top left, and where in the photo they
/// were cut out.
#[derive(Debug, Clone, Copy)]
pub struct Pixels<'a> {
    bytes: &'a [u8],
    layout: Layout,
    crop: Crop,
}

impl<'a> Pixels<'a> {
    /// Pixels of a piece of the photo. `None` when there are fewer bytes than
    /// its size asks for, or none at all.
    pub fn of_crop(crop: Crop, layout: Layout, bytes: &'a [u8]) -> Option<Self> {
        let Size { width, height } = crop.size;
        let need = (width as usize)
            .checked_mul(height as usize)?
            .checked_mul(layout.bytes())?;
        (need > 0 && bytes.len() >= need).then_some(Self {
            bytes,
            layout,
            crop,
        })
    }

    /// Pixels of the whole photo.
    pub fn of_photo(size: Size, layout: Layout, bytes: &'a [u8]) -> Option<Self> {
        let crop = Crop {
            left: 0,
            top: 0,
            size,
        };
        Self::of_crop(crop, layout, bytes)
    }

    /// Which piece of the photo this is.
    pub const fn crop(&self) -> Crop {
        self.crop
    }

    /// Red, green and blue of a column and row inside the piece.
    pub(crate) fn rgb(&self, column: u32, row: u32) -> [u8; 3] {
        let at =
            (row as usize * self.crop.size.width as usize + column as usize) * self.layout.bytes();
        match (self.layout, self.bytes.get(at..)) {
            (Layout::Luma, Some([y, ..])) => [*y; 3],
            (_, Some([r, g, b, ..])) => [*r, *g, *b],
            _ => [0; 3],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_few_bytes_are_no_picture() {
        let size = Size::new(3, 2);
        assert!(Pixels::of_photo(size, Layout::Rgba, &[0; 24]).is_some());
        assert!(Pixels::of_photo(size, Layout::Rgba, &[0; 23]).is_none());
        assert!(Pixels::of_photo(Size::new(0, 2), Layout::Luma, &[]).is_none());
        let huge = Size::new(u32::MAX, u32::MAX);
        assert!(Pixels::of_photo(huge, Layout::Rgba, &[0; 24]).is_none());
    }

    #[test]
    fn a_crop_stays_inside_the_photo() {
        let photo = Size::new(100, 80);
        let at = |x, y| Point::new(x, y);
        let c = Crop::around(&[at(95.0, 40.0)], 10.0, photo).unwrap();
        assert_eq!((c.left, c.top, c.size), (85, 30, Size::new(15, 20)));
        assert_eq!(Crop::around(&[at(300.0, 40.0)], 10.0, photo), None);
        assert_eq!(Crop::around(&[at(f64::NAN, 40.0)], 10.0, photo), None);
        assert_eq!(Crop::around(&[], 10.0, photo), None);
    }
}
