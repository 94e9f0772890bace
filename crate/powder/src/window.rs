//! The pixels that are looked through, and where on the face each lies.

use ophryon_frames::{Front, Point, Vector};

/// More pixels than any screen or photo of ours has.
const MOST_PIXELS: u64 = 64_000_000;

/// A rectangle of pixels over the face, in any turn and scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    width: u32,
    height: u32,
    corner: Point<Front>,
    right: Vector<Front>,
    down: Vector<Front>,
}

impl Window {
    /// So many columns and rows, where the upper left corner of the first pixel
    /// lies, and how far it is (mm) from one pixel to the next, to the right
    /// and down. `None` where that makes no picture.
    pub fn new(
        (width, height): (u32, u32),
        corner: Point<Front>,
        right: Vector<Front>,
        down: Vector<Front>,
    ) -> Option<Self> {
        let area = right.cross(down).abs();
        let count = u64::from(width) * u64::from(height);
        let is_some = corner.is_finite() && area.is_finite() && area > 1e-9;
        (is_some && (1..=MOST_PIXELS).contains(&count)).then_some(Self {
            width,
            height,
            corner,
            right,
            down,
        })
    }

    /// Columns.
    pub const fn width(&self) -> u32 {
        self.width
    }

    /// Rows.
    pub const fn height(&self) -> u32 {
        self.height
    }

    /// Side of a pixel, mm; of one that is no square, that of a square as large.
    pub fn px_mm(&self) -> f64 {
        self.right.cross(self.down).abs().sqrt()
    }

    /// Where the middle of a pixel lies.
    pub fn place(&self, column: u32, row: u32) -> Point<Front> {
        self.corner + self.right * (f64::from(column) + 0.5) + self.down * (f64::from(row) + 0.5)
    }

    /// Column and row of a place, with fractions: a pixel's middle is at a half.
    pub fn pixel(&self, p: Point<Front>) -> (f64, f64) {
        let off = p - self.corner;
        let area = self.right.cross(self.down);
        (off.cross(self.down) / area, self.right.cross(off) / area)
    }

    /// First and last but one column and row of the pixels that a box with a
    /// margin (mm) can touch.
    pub(crate) fn touched(
        &self,
        (low, high): (Point<Front>, Point<Front>),
        margin_mm: f64,
    ) -> [std::ops::Range<u32>; 2] {
        let corners = [
            self.pixel(Point::new(low.x - margin_mm, low.y - margin_mm)),
            self.pixel(Point::new(low.x - margin_mm, high.y + margin_mm)),
            self.pixel(Point::new(high.x + margin_mm, low.y - margin_mm)),
            self.pixel(Point::new(high.x + margin_mm, high.y + margin_mm)),
        ];
        let range = |values: [f64; 4], most: u32| {
            let low = values.into_iter().fold(f64::INFINITY, f64::min).floor();
            let high = values.into_iter().fold(f64::NEG_INFINITY, f64::max).ceil();
            // A cast keeps within the type's bounds.
            (low as u32).min(most)..(high as u32).min(most)
        };
        [
            range(corners.map(|c| c.0), self.width),
            range(corners.map(|c| c.1), self.height),
        ]
    }
}
