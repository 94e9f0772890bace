//! What the screen computes after one pointer move; shared by the native
//! benchmark and the one in the browser.

use std::hint::black_box;

use ophryon_brow::{
    Brow, BrowPoints, EyeSide, Form, Guide, GuideSource, HairRegion, Handle, Limits, MappingLines,
    Offset, Pair, Rules, Setting, Shrink, SideMeasures, TailWish, differences, healed,
    pair_constraints,
};
use ophryon_frames::{Lateral, Point, Side, Sided};

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

/// Upper and lower border of the hair from front to tail, about a point each
/// millimetre and a half, ragged as hair is.
fn borders() -> [Vec<Point<Lateral>>; 2] {
    let through = [
        [(14.5, 23.0), (40.0, 28.5), (57.5, 15.0)],
        [(14.0, 16.0), (41.0, 22.5), (57.5, 15.0)],
    ];
    through.map(|[a, b, c]| {
        (0..=30)
            .map(|i| {
                let t = f64::from(i) / 30.0;
                let arch = 4.0 * t * (1.0 - t);
                let ragged = [0.2, -0.1, 0.0, -0.25, 0.1][i as usize % 5];
                let chord = a.1 + (c.1 - a.1) * t;
                let rise = b.1 - 0.5 * (a.1 + c.1);
                Point::new(a.0 + (c.0 - a.0) * t, chord + arch * rise + ragged)
            })
            .collect()
    })
}

pub fn hair() -> Option<HairRegion> {
    let [upper, lower] = borders();
    HairRegion::new(upper.into_iter().chain(lower.into_iter().rev()).collect())
}

/// Hair about a brow's own outline, a little higher and ragged, 150 points.
#[allow(dead_code, reason = "the browser's benchmark has no use for it")]
pub fn traced(points: &BrowPoints) -> Option<HairRegion> {
    let brow = ophryon_brow::draw(points, &Default::default(), &Limits::default()).ok()?;
    let outline = brow.outline().flattened(0.001);
    let ragged = |i: usize| {
        let p = outline[i * outline.len() / 150];
        Point::new(p.x, p.y + 0.8 + 0.3 * f64::from((i % 3) as u8))
    };
    HairRegion::new((0..150).map(ragged).collect())
}

/// What the screen shows after one pointer move; `unlinked` sides are drawn
/// one by one.
pub fn step(pair: &Pair, hair: Option<&HairRegion>) -> usize {
    let limits = Limits::default();
    pair.draw(&limits)
        .map_or(0, |brows| shown(pair, &brows, hair, &limits))
}

/// The same with what stays once healed, which is found once where the sides
/// are linked.
pub fn whole_step(pair: &Pair, hair: Option<&HairRegion>) -> usize {
    let limits = Limits::default();
    let Ok(brows) = pair.draw(&limits) else {
        return 0;
    };
    let heals = |brow: &Brow| usize::from(healed(brow, &Shrink::default()).is_ok());
    let right = heals(&brows.right);
    let left = if pair.is_linked() {
        right
    } else {
        heals(&brows.left)
    };
    black_box(right + left + shown(pair, &brows, hair, &limits))
}

fn shown(pair: &Pair, brows: &Sided<Brow>, hair: Option<&HairRegion>, limits: &Limits) -> usize {
    let lines = Side::BOTH.map(|_| MappingLines::construct(&eye(), &Rules::default()));
    let settings = Sided::from_fn(|side| Setting {
        ear: Point::new(143.0, -11.0),
        offset: *pair.offset.get(side),
        hair,
    });
    let readings = pair_constraints(brows, &settings, limits);
    let measures = Sided::from_fn(|side| {
        let (brow, offset) = (brows.get(side), pair.offset.get(side));
        black_box(brow.placed(side, offset));
        SideMeasures::of(brow, offset)
    });
    black_box(lines.len() + readings.right.len() + differences(&measures).len())
}

/// A pair with every kind of wish, that stays close to the border of the hair.
pub fn wishing() -> Pair {
    let [upper, lower] = borders();
    let form = Form {
        body_mm: Some(7.4),
        tail: vec![TailWish {
            share: 0.5,
            thickness_mm: 3.8,
        }],
        guide: Guide::from_lines(&points(), &upper, &lower, GuideSource::Hair),
        ..Form::default()
    };
    linked().with_form(Side::Right, form)
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
