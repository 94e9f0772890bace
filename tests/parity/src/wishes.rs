//! The same brows with wishes by lot: soft fronts, thicknesses, lines to stay
//! close to.

use ophryon_brow::{BrowPoints, Form, Front, Guide, GuideSource, TailWish, draw};
use ophryon_frames::{Lateral, Point, Side};
use ophryon_record::Record;

use crate::figures::Figures;
use crate::lot::Lot;

/// What the first side's brow becomes with each wish of a client.
pub fn wish(record: &Record, number: u64, figures: &mut Figures) {
    let Some(pair) = &record.pair else { return };
    let points = *pair.points(Side::Right);
    let lot = &mut Lot::new(number.wrapping_mul(3).wrapping_add(1));
    for _ in 0..2 {
        let form = form(lot, &points);
        match draw(&points, &form, &record.limits) {
            Err(why) => figures.words("wish refused", &why.to_string()),
            Ok(brow) => {
                let controls = brow.outline().segments().iter().flat_map(|s| s.controls);
                figures.numbers("wished", controls.flat_map(|p| [p.x, p.y]));
                let reached = brow.reached().sentences().join(" ");
                figures.words("reached", &reached);
                let last = Guide::of(&brow).map_or_else(Vec::new, |g| g.lower_tail);
                figures.numbers("last shape", last.into_iter().flat_map(<[f64; 2]>::from));
            }
        }
    }
}

fn form(lot: &mut Lot, points: &BrowPoints) -> Form {
    let mut edge = |front: Point<Lateral>, turn: Point<Lateral>| -> Vec<Point<Lateral>> {
        let up = lot.between(-0.8, 0.8);
        [(front, turn), (turn, points.tail)]
            .into_iter()
            .flat_map(|(a, b)| (0..20).map(move |i| a.lerp(b, f64::from(i) / 20.0)))
            .map(|p| Point::new(p.x, p.y + up + lot.between(-0.3, 0.3)))
            .collect()
    };
    let upper = edge(points.front_top, points.peak);
    let lower = edge(points.front_bottom, points.lower_arch);
    let source = lot.of([GuideSource::Sketch, GuideSource::Hair]);
    Form {
        front: if lot.one_in(2) {
            Front::Soft {
                radius_mm: lot.between(0.5, 3.0),
            }
        } else {
            Front::Square
        },
        body_mm: lot.one_in(2).then(|| lot.between(4.0, 9.0)),
        tail: vec![TailWish {
            share: lot.between(0.2, 0.8),
            thickness_mm: lot.between(1.0, 5.0),
        }],
        guide: Guide::from_lines(points, &upper, &lower, source),
        ..Form::default()
    }
}
