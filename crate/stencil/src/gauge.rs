//! Gauges: bars of exactly known length, to check a print with a ruler.

use ophryon_frames::{Page, Point};

use crate::sheet::{Align, Group, Letters, Mark};

/// Length of both gauges, mm.
pub const GAUGE_MM: f64 = 100.0;

/// Breadth of a gauge, mm.
pub(crate) const BREADTH_MM: f64 = 3.0;

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

/// A bar of ten fields of 10 mm, filled and empty in turn, from its upper left
/// corner. Filled areas have no line width: every edge between two fields is a
/// mark to hold a ruler to, and the ends are exactly 100 mm apart.
pub(crate) fn bar(corner: Point<Page>, lie: Lie) -> Mark {
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
    let fields = [0.0, 2.0, 4.0, 6.0, 8.0]
        .map(|field| rectangle(field * STEP_MM, (field + 1.0) * STEP_MM, 0.0, BREADTH_MM));
    let edges = [
        rectangle(0.0, GAUGE_MM, 0.0, EDGE_MM),
        rectangle(0.0, GAUGE_MM, BREADTH_MM - EDGE_MM, BREADTH_MM),
        rectangle(GAUGE_MM - EDGE_MM, GAUGE_MM, 0.0, BREADTH_MM),
    ];
    Mark::Bars {
        bars: fields.into_iter().chain(edges).collect(),
    }
}

/// Numbers beside a gauge: above one that lies across, right of one that
/// stands.
pub(crate) fn number(corner: Point<Page>, lie: Lie, caption: &mut Group) {
    for (tenth, words) in [(0.0, "0"), (5.0, "50"), (10.0, "100 mm")] {
        let along = tenth * STEP_MM;
        let set = Letters::plain(2.6);
        match lie {
            Lie::Across => {
                let place = Point::new(corner.x + along, corner.y - 1.4);
                caption.write(place, set.aligned(Align::Middle), words);
            }
            Lie::Down => {
                // The ends' numbers stay between the ends.
                let drop = 1.0 + (5.0 - tenth) * 0.18;
                let place = Point::new(corner.x + BREADTH_MM + 1.4, corner.y + along + drop);
                caption.write(place, set, words);
            }
        }
    }
}
