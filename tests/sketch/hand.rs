//! Strokes as a hand draws them along an outline: trembling, in pieces, twice
//! over, in any order and direction.

use kurbo::{ParamCurve, ParamCurveArclen};
use ophryon_brow::{Brow, BrowPoints, Limits, Outline, Part};
use ophryon_frames::{Lateral, Point, Vector};
use proptest::prelude::*;

pub type Stroke = Vec<Point<Lateral>>;

/// Reproducible numbers: Knuth's linear congruential generator (MMIX).
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        let mut dice = Self(seed ^ 0x9e37_79b9_7f4a_7c15);
        dice.share();
        dice
    }

    /// Evenly between 0 and 1.
    pub fn share(&mut self) -> f64 {
        let next = self.0.wrapping_mul(6_364_136_223_846_793_005);
        self.0 = next.wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.share()
    }

    /// Nearly normal, with standard deviation 1: twelve shares less six.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }
}

/// How a sketch is drawn.
#[derive(Debug, Clone, Copy)]
pub struct Manner {
    /// Distance of the places, mm.
    pub step_mm: f64,
    /// Standard deviation of the trembling along and across, mm.
    pub tremble_mm: f64,
    /// Each edge so often.
    pub times: u32,
    /// Distance of strokes drawn twice over, mm.
    pub apart_mm: f64,
    /// In strokes of about this length; longer than the edge for whole ones.
    pub piece_mm: f64,
    /// With the front edge.
    pub closed: bool,
}

/// One edge of an outline in even steps, from front to tip.
pub fn edge(outline: &Outline<Lateral>, wanted: fn(Part) -> bool, step: f64) -> Stroke {
    let mut all = Vec::new();
    let mut left = 0.0;
    for s in outline.segments().iter().filter(|s| wanted(s.part)) {
        let curve = s.curve();
        let length = curve.arclen(1e-6);
        let mut along = left;
        while along < length {
            let t = curve.inv_arclen(along, 1e-6);
            all.push(Point::from_kurbo(curve.eval(t)));
            along += step;
        }
        left = along - length;
    }
    let last = outline.segments().iter().rfind(|s| wanted(s.part));
    all.extend(last.map(|s| s.controls[3]));
    let outward = all.first().zip(all.last()).is_some_and(|(a, b)| a.x < b.x);
    if !outward {
        all.reverse();
    }
    all
}

/// Strokes along both edges.
pub fn drawn_by_hand(brow: &Brow, manner: &Manner, dice: &mut Dice) -> Vec<Stroke> {
    let outline = brow.outline();
    let mut strokes: Vec<Stroke> = Vec::new();
    for time in 0..manner.times {
        let shift = f64::from(time) - 0.5 * f64::from(manner.times - 1);
        let beside = Vector::new(0.0, shift * manner.apart_mm);
        let upper = edge(outline, Part::is_upper, manner.step_mm);
        let lower = edge(outline, Part::is_lower, manner.step_mm);
        let front = edge(outline, |p| p == Part::FrontEdge, manner.step_mm);
        let mut all = vec![upper, lower];
        if manner.closed {
            all.push(front);
        }
        for whole in all {
            let pieces = (manner.step_mm * whole.len() as f64 / manner.piece_mm).ceil();
            let each = (whole.len() as f64 / pieces.max(1.0)).ceil() as usize;
            for i in 0..pieces.max(1.0) as usize {
                let (from, to) = (
                    (i * each).saturating_sub(4),
                    ((i + 1) * each).min(whole.len()),
                );
                if from + 1 < to {
                    strokes.push(whole[from..to].iter().map(|p| *p + beside).collect());
                }
            }
        }
    }
    for stroke in &mut strokes {
        for p in stroke.iter_mut() {
            let by = Vector::new(dice.normal(), dice.normal()) * manner.tremble_mm;
            *p = *p + by;
        }
        if dice.share() < 0.5 {
            stroke.reverse();
        }
    }
    for i in (1..strokes.len()).rev() {
        strokes.swap(i, (dice.share() * (i + 1) as f64) as usize);
    }
    strokes
}

/// Plausible brows, many of which can be drawn.
pub fn brows() -> impl Strategy<Value = BrowPoints> {
    let start = (10.0..20.0f64, 18.0..26.0f64, 4.0..10.0f64, -2.0..2.0f64);
    let peak = (18.0..32.0f64, 1.0..7.0f64, 0.6..3.8f64, 0.6..1.05f64);
    (start, peak, (9.0..24.0f64, -14.0..-2.0f64)).prop_map(
        |((x, top, thick, slant), (out, rise, behind, deep), (tail_out, tail_up))| {
            let peak = Point::new(x + out, top + rise);
            let lower_arch = Point::new(peak.x + behind, peak.y - deep * thick);
            BrowPoints {
                front_top: Point::new(x, top),
                front_bottom: Point::new(x - slant, top - thick),
                peak,
                lower_arch,
                // No tail falls much steeper than halfway.
                tail: Point::new(
                    lower_arch.x + tail_out,
                    lower_arch.y + tail_up.max(-1.1 * tail_out),
                ),
            }
        },
    )
}

/// A plain brow, as it stands before a sketch.
pub fn plain() -> BrowPoints {
    BrowPoints {
        front_top: Point::new(15.0, 24.0),
        front_bottom: Point::new(15.0, 16.0),
        peak: Point::new(41.0, 29.5),
        lower_arch: Point::new(42.5, 22.0),
        tail: Point::new(57.0, 15.5),
    }
}

pub fn plain_brow() -> Brow {
    ophryon_brow::draw(&plain(), &Default::default(), &Limits::default()).expect("a brow")
}

/// Mean and largest distance of an outline's places from another outline, mm.
pub fn apart(a: &Outline<Lateral>, b: &Outline<Lateral>) -> (f64, f64) {
    let line = b.flattened(0.002);
    let distance = |p: &Point<Lateral>| {
        let ends = line.iter().zip(line.iter().cycle().skip(1));
        ends.map(|(u, v)| {
            let run = *v - *u;
            let square = run.dot(run).max(1e-18);
            let share = ((*p - *u).dot(run) / square).clamp(0.0, 1.0);
            p.distance(u.lerp(*v, share))
        })
        .fold(f64::INFINITY, f64::min)
    };
    let places = a.sampled(12);
    let all: Vec<f64> = places.iter().map(distance).collect();
    let mean = all.iter().sum::<f64>() / all.len() as f64;
    (mean, all.iter().fold(0.0, |m, d| m.max(*d)))
}
