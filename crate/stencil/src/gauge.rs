//! Gauges: bars of exactly known length, to check a print with a ruler.

use ophryon_frames::{Page, Point};

use crate::sheet::{Align, Group, Letters, Mark};

/// Length of both gauges wherever the paper has room for it, mm.
pub const GAUGE_MM: f64 = 100.0;

/// Shortest gauge that tells anything: half a division of a ruler (0.25 mm) is
/// nearly a hundredth of it, mm.
pub(crate) const SHORTEST_MM: f64 = 30.0;

/// Breadth of a gauge, mm.
pub(crate) const BREADTH_MM: f64 = 3.0;

/// What a lying gauge needs with its numbers above it, mm.
pub(crate) const LYING_MM: f64 = BREADTH_MM + 3.8;

/// What a standing gauge needs with its numbers beside it, mm.
pub(crate) const STANDING_MM: f64 = BREADTH_MM + 11.5;

/// One mark to the next, mm.
const STEP_MM: f64 = 10.0;

/// Thickness of the edges of an empty field, mm. They lie inside the bar, so
/// that the bar's ends are the ends of its ink.
const EDGE_MM: f64 = 0.2;

/// Which way a gauge lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Lie {
    /// From its corner to the right.
    Across,
    /// From its corner down.
    Down,
}

/// What the gauges of a sheet must read, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GaugeLengths {
    /// The one that lies across the page.
    pub across_mm: f64,
    /// The one that runs down it.
    pub down_mm: f64,
}

impl Default for GaugeLengths {
    fn default() -> Self {
        Self::FULL
    }
}

impl GaugeLengths {
    /// Both as long as they are where there is room.
    pub(crate) const FULL: Self = Self {
        across_mm: GAUGE_MM,
        down_mm: GAUGE_MM,
    };

    /// "each must read 100 mm" or "the lying one must read 100 mm, the standing
    /// one 40 mm".
    pub fn in_words(&self) -> String {
        if self.across_mm == self.down_mm {
            format!("each must read {:.0} mm", self.across_mm)
        } else {
            format!(
                "the one across must read {:.0} mm, the one down {:.0} mm",
                self.across_mm, self.down_mm
            )
        }
    }
}

/// The longest gauge of whole tens that fits, if it is long enough to tell
/// anything.
pub(crate) fn longest(room_mm: f64) -> Option<f64> {
    let tens = (room_mm.min(GAUGE_MM) / STEP_MM).floor() * STEP_MM;
    (tens >= SHORTEST_MM).then_some(tens)
}

/// A bar of fields of 10 mm, filled and empty in turn, from its upper left
/// corner. Filled areas have no line width: every edge between two fields is a
/// mark to hold a ruler to, and the ends are exactly its length apart.
pub(crate) fn bar(corner: Point<Page>, lie: Lie, length_mm: f64) -> Mark {
    let rectangle = |from: f64, to: f64, near: f64, far: f64| match lie {
        Lie::Across => [
            Point::new(corner.x + from, corner.y + near),
            Point::new(corner.x + to, corner.y + far),
        ],
        Lie::Down => [
            Point::new(corner.x + near, corner.y + from),
            Point::new(corner.x + far, corner.y + to),
        ],
    };
    let fields = (length_mm / STEP_MM).round() as u32;
    let filled = (0..fields).step_by(2).map(|field| {
        let from = f64::from(field) * STEP_MM;
        rectangle(from, from + STEP_MM, 0.0, BREADTH_MM)
    });
    let edges = [
        rectangle(0.0, length_mm, 0.0, EDGE_MM),
        rectangle(0.0, length_mm, BREADTH_MM - EDGE_MM, BREADTH_MM),
        rectangle(length_mm - EDGE_MM, length_mm, 0.0, BREADTH_MM),
    ];
    Mark::Bars {
        bars: filled.chain(edges).collect(),
    }
}

/// Numbers beside a gauge: above one that lies across, right of one that
/// stands. They stay between its ends.
pub(crate) fn number(corner: Point<Page>, lie: Lie, length_mm: f64, caption: &mut Group) {
    let set = Letters::plain(2.4);
    for (place_mm, align, drop) in [
        (0.0, Align::Start, 1.9),
        (length_mm / 2.0, Align::Middle, 1.0),
        (length_mm, Align::End, 0.0),
    ] {
        if place_mm % STEP_MM != 0.0 {
            continue; // the middle of an odd number of fields is no mark
        }
        let words = if align == Align::End {
            format!("{place_mm:.0} mm")
        } else {
            format!("{place_mm:.0}")
        };
        match lie {
            Lie::Across => {
                let place = Point::new(corner.x + place_mm, corner.y - 1.4);
                caption.write(place, set.aligned(align), words);
            }
            Lie::Down => {
                let place = Point::new(corner.x + BREADTH_MM + 1.4, corner.y + place_mm + drop);
                caption.write(place, set, words);
            }
        }
    }
}
