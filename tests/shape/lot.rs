//! Forms and lines by lot, sensible and absurd.

use ophryon_brow::{BrowPoints, Form, Front, Guide, GuideSource, TailWish, draw};
use ophryon_frames::{Lateral, Point};
use proptest::prelude::*;

/// What is wished in one of the ways that there are.
#[derive(Debug, Clone)]
pub struct Wishes {
    soft_mm: Option<f64>,
    body_mm: Option<f64>,
    tail: Vec<(f64, f64)>,
    line: Line,
    last_shape: bool,
    inflections: u32,
}

#[derive(Debug, Clone)]
enum Line {
    None,
    /// As a hand draws it near the brow: so far off, wavy and jittery by so much.
    Hand {
        off: (f64, f64),
        wave: (f64, f64),
        jitter: f64,
        hair: bool,
    },
    /// Points anywhere on and off the face.
    Scrawl(Vec<(f64, f64)>),
}

fn line() -> impl Strategy<Value = Line> {
    let hand = (
        (-2.0..2.0f64, -2.0..2.0f64),
        (0.0..2.0f64, 0.1..2.0f64),
        0.0..0.5f64,
        any::<bool>(),
    );
    let scrawl = prop::collection::vec((-50.0..150.0f64, -50.0..100.0f64), 0..30);
    prop_oneof![
        1 => Just(Line::None),
        3 => hand.prop_map(|(off, wave, jitter, hair)| Line::Hand { off, wave, jitter, hair }),
        1 => scrawl.prop_map(Line::Scrawl),
    ]
}

pub fn wishes() -> impl Strategy<Value = Wishes> {
    (
        prop::option::of(0.3..6.0f64),
        prop::option::of(1.0..14.0f64),
        prop::collection::vec((0.0..=1.0f64, 0.3..10.0f64), 0..4),
        line(),
        any::<bool>(),
        prop_oneof![3 => Just(0u32), 1 => 1u32..4],
    )
        .prop_map(
            |(soft_mm, body_mm, tail, line, last_shape, inflections)| Wishes {
                soft_mm,
                body_mm,
                tail,
                line,
                last_shape,
                inflections,
            },
        )
}

impl Wishes {
    pub fn inflections(&self) -> u32 {
        self.inflections
    }

    /// The wishes of a brow through these points.
    pub fn form(&self, points: &BrowPoints) -> Form {
        let plain = draw(points, &Form::default(), &Default::default()).ok();
        Form {
            front: self
                .soft_mm
                .map_or(Front::Square, |radius_mm| Front::Soft { radius_mm }),
            body_mm: self.body_mm,
            tail: self
                .tail
                .iter()
                .map(|(share, thickness_mm)| TailWish {
                    share: *share,
                    thickness_mm: *thickness_mm,
                })
                .collect(),
            guide: self.guide(points),
            last_shape: plain
                .filter(|_| self.last_shape)
                .as_ref()
                .and_then(Guide::of),
            ..Form::default()
        }
    }

    fn guide(&self, points: &BrowPoints) -> Option<Guide> {
        match &self.line {
            Line::None => None,
            Line::Hand {
                off,
                wave,
                jitter,
                hair,
            } => {
                let along = |a, b, c, off| hand(&[a, b, c], off, *wave, *jitter);
                let p = points;
                let upper = along(p.front_top, p.peak, p.tail, off.0);
                let lower = along(p.front_bottom, p.lower_arch, p.tail, off.1);
                let source = if *hair {
                    GuideSource::Hair
                } else {
                    GuideSource::Sketch
                };
                Guide::from_lines(points, &upper, &lower, source)
            }
            Line::Scrawl(places) => {
                let all: Vec<_> = places.iter().map(|(x, y)| Point::new(*x, *y)).collect();
                let (upper, lower) = all.split_at(all.len() / 2);
                Guide::from_lines(points, upper, lower, GuideSource::Sketch)
            }
        }
    }
}

/// A polyline past three points, off them, wavy and jittery.
fn hand(
    through: &[Point<Lateral>; 3],
    off: f64,
    (height, per_mm): (f64, f64),
    jitter: f64,
) -> Vec<Point<Lateral>> {
    let mut line = Vec::new();
    for pair in through.windows(2) {
        for i in 0..60 {
            let p = pair[0].lerp(pair[1], f64::from(i) / 60.0);
            // Neighbours jump apart by a fixed pattern, as a shaking hand's do.
            let shake = jitter * [0.9, -0.4, 0.1, -1.0, 0.6][i as usize % 5];
            let up = off + height * libm::sin(per_mm * p.x) + shake;
            line.push(Point::new(p.x, p.y + up));
        }
    }
    line
}
