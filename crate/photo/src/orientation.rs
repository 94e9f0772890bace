//! How a stored picture must be turned to stand upright.

use crate::Size;

/// One of the eight ways in which EXIF lets a picture lie: shown upright when
/// it is first mirrored, if it is, and then turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Orientation {
    mirrored: bool,
    quarters: u8,
}

impl Orientation {
    /// Stored as it is seen.
    pub const UPRIGHT: Self = Self {
        mirrored: false,
        quarters: 0,
    };

    /// By the EXIF number 1 to 8 (tag 0x0112); `None` for others.
    pub const fn from_exif(number: u16) -> Option<Self> {
        let (mirrored, quarters) = match number {
            1 => (false, 0),
            2 => (true, 0),
            3 => (false, 2),
            4 => (true, 2),
            5 => (true, 3),
            6 => (false, 1),
            7 => (true, 1),
            8 => (false, 3),
            _ => return None,
        };
        Some(Self { mirrored, quarters })
    }

    /// Its EXIF number, 1 to 8.
    pub const fn exif(self) -> u16 {
        match (self.mirrored, self.quarters) {
            (false, 0) => 1,
            (true, 0) => 2,
            (false, 2) => 3,
            (true, 2) => 4,
            (true, 3) => 5,
            (false, 1) => 6,
            (true, _) => 7,
            (false, _) => 8,
        }
    }

    /// Left and right are exchanged before it is turned.
    pub const fn is_mirrored(self) -> bool {
        self.mirrored
    }

    /// Quarter turns clockwise, 0 to 3, after mirroring.
    pub const fn quarter_turns(self) -> u8 {
        self.quarters
    }

    /// Width and height change places.
    pub const fn swaps_sides(self) -> bool {
        self.quarters % 2 == 1
    }

    /// The upright size of a picture stored in this size.
    pub const fn upright(self, stored: Size) -> Size {
        if self.swaps_sides() {
            stored.turned()
        } else {
            stored
        }
    }

    /// Where a stored pixel stands upright: column and row.
    pub fn upright_pixel(self, stored: Size, (column, row): (u32, u32)) -> (u32, u32) {
        let last = |n: u32, i: u32| n.saturating_sub(1).saturating_sub(i);
        let (w, h) = (stored.width, stored.height);
        let c = if self.mirrored {
            last(w, column)
        } else {
            column
        };
        match self.quarters {
            0 => (c, row),
            1 => (last(h, row), c),
            2 => (last(w, c), last(h, row)),
            _ => (row, last(w, c)),
        }
    }

    /// This one, and then that.
    pub const fn then(self, next: Self) -> Self {
        // Mirroring turns a quarter clockwise into one anticlockwise.
        let quarters = if next.mirrored {
            4 - self.quarters
        } else {
            self.quarters
        };
        Self {
            mirrored: self.mirrored != next.mirrored,
            quarters: (quarters + next.quarters) % 4,
        }
    }

    /// Turned clockwise only.
    pub const fn turned(quarters: u8) -> Self {
        Self {
            mirrored: false,
            quarters: quarters % 4,
        }
    }

    /// Left and right exchanged only.
    pub const fn mirror() -> Self {
        Self {
            mirrored: true,
            quarters: 0,
        }
    }

    /// In words, for a person.
    pub const fn words(self) -> &'static str {
        match self.exif() {
            1 => "upright",
            2 => "mirrored",
            3 => "upside down",
            4 => "mirrored and upside down",
            5 => "mirrored, turned a quarter anticlockwise to stand upright",
            6 => "turned a quarter clockwise to stand upright",
            7 => "mirrored, turned a quarter clockwise to stand upright",
            _ => "turned a quarter anticlockwise to stand upright",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    type Px = (u32, u32);

    /// EXIF 2.32 (CIPA DC-008), tag 0x0112: which upright corner the first
    /// stored row and column are. Number, upright place of the stored top left
    /// pixel, and of the one to its right, in a stored picture of 3 x 2.
    const BY_THE_STANDARD: [(u16, Px, Px); 8] = [
        (1, (0, 0), (1, 0)),
        (2, (2, 0), (1, 0)),
        (3, (2, 1), (1, 1)),
        (4, (0, 1), (1, 1)),
        (5, (0, 0), (0, 1)),
        (6, (1, 0), (1, 1)),
        (7, (1, 2), (1, 1)),
        (8, (0, 2), (0, 1)),
    ];

    #[test]
    fn all_eight_stand_as_the_standard_says() {
        let stored = Size::new(3, 2);
        for (number, first, second) in BY_THE_STANDARD {
            let o = Orientation::from_exif(number).unwrap();
            assert_eq!(o.exif(), number);
            assert_eq!(o.upright_pixel(stored, (0, 0)), first, "{number}");
            assert_eq!(o.upright_pixel(stored, (1, 0)), second, "{number}");
            let size = if number > 4 { stored.turned() } else { stored };
            assert_eq!(o.upright(stored), size);
        }
        assert_eq!(Orientation::from_exif(0), None);
        assert_eq!(Orientation::from_exif(9), None);
    }

    #[test]
    fn one_after_the_other_is_both() {
        let stored = Size::new(5, 3);
        for a in 1..=8 {
            for b in 1..=8 {
                let (a, b) = (
                    Orientation::from_exif(a).unwrap(),
                    Orientation::from_exif(b).unwrap(),
                );
                let p = (1, 2);
                let stepwise = b.upright_pixel(a.upright(stored), a.upright_pixel(stored, p));
                assert_eq!(a.then(b).upright_pixel(stored, p), stepwise);
            }
        }
    }
}
