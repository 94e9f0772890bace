//! What the screen computes after one pointer move; shared by the native
//! benchmark and the one in the browser.

use std::hint::black_box;

use ophryon_brow::{
    BrowPoints, EyeSide, HairRegion, Handle, Limits, MappingLines, Offset, Pair, Rules, Setting,
    SideMeasures, differences, pair_constraints,
};
use ophryon_frames::{Point, Side, Sided};

fn eye() -> EyeSide {
    EyeSide {
        inner_corner: Point::new(16.0, -1.0),
        outer_corner: Point::new(44.5, 0.0),
        nose_wing: Point::new(17.0, -38.0),
        pupil: Point::new(31.5, 0.0),
        iris_outer_rim: Some(Point::new(37.4, 0.0)),
        lower_lid: None,
    }
}

fn points() -> BrowPoints {
    BrowPoints {
        front_top: Point::new(15.0, 24.0),
        front_bottom: Point::new(15.0, 16.0),
        peak: Point::new(41.0, 29.5),
        lower_arch: Point::new(42.5, 22.0),
        tail: Point::new(57.0, 15.5),
    }
}

pub fn hair() -> Option<HairRegion> {
    let border = [
        (14.0, 16.0),
        (14.5, 23.0),
        (40.0, 28.5),
        (57.5, 15.0),
        (41.0, 22.5),
    ];
    HairRegion::new(border.map(|(x, y)| Point::new(x, y)).to_vec())
}

/// What the screen shows after one pointer move; `unlinked` sides are drawn
/// one by one.
pub fn step(pair: &Pair, hair: Option<&HairRegion>) -> usize {
    let (rules, limits) = (Rules::default(), Limits::default());
    let lines = Side::BOTH.map(|_| MappingLines::construct(&eye(), &rules));
    let Ok(brows) = pair.draw(&limits) else {
        return lines.len();
    };
    let settings = Sided::from_fn(|side| Setting {
        ear: Point::new(143.0, -11.0),
        offset: *pair.offset.get(side),
        hair,
    });
    let readings = pair_constraints(&brows, &settings, &limits);
    let measures = Sided::from_fn(|side| {
        let (brow, offset) = (brows.get(side), pair.offset.get(side));
        black_box(brow.placed(side, offset));
        SideMeasures::of(brow, offset)
    });
    black_box(lines.len() + readings.right.len() + differences(&measures).len())
}

/// A pair whose sides differ by a measured offset, still linked.
pub fn linked() -> Pair {
    let offset = Offset {
        height_mm: 0.5,
        ..Offset::default()
    };
    Pair {
        offset: Sided {
            right: offset,
            left: Offset::default(),
        },
        ..Pair::even(points())
    }
}

/// The pair with the tail dragged to the `count`th of ten places.
pub fn dragged(pair: &Pair, count: u32) -> Pair {
    let along = 0.1 * f64::from(count % 10);
    let place = Point::new(57.0 + 0.5 * along, 15.5 - 0.2 * along);
    pair.clone()
        .with_handle_on(Side::Right, Handle::Tail, place)
}

/// The same with sides that have been let go of each other.
pub fn unlinked(pair: &Pair, count: u32) -> Pair {
    let place = Point::new(40.0, 29.0);
    dragged(pair, count)
        .unlinked()
        .with_handle_on(Side::Left, Handle::Peak, place)
}
