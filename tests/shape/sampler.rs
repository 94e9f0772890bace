//! An outline read at two thousand places, from its control points alone: own
//! code, nothing shared with the solver or with what judges its outlines.

use ophryon_brow::{BrowPoints, Outline, Part};
use ophryon_frames::{Lateral, Point};

/// Places on every outline.
pub const PLACES: usize = 2000;

/// One place: where, which way, how bent, and on which part.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    pub x: f64,
    pub y: f64,
    /// Direction, not of any length.
    pub dx: f64,
    pub dy: f64,
    /// Signed curvature, 1/mm; negative turns clockwise, as the outline does.
    pub bend: f64,
    pub part: Part,
}

fn at(controls: &[Point<Lateral>; 4], t: f64, part: Part) -> Place {
    // A cubic and its two derivatives from its power form.
    let power = |p: [f64; 4]| {
        let c = [
            p[0],
            3.0 * (p[1] - p[0]),
            3.0 * (p[2] - 2.0 * p[1] + p[0]),
            p[3] - 3.0 * p[2] + 3.0 * p[1] - p[0],
        ];
        (
            c[0] + t * (c[1] + t * (c[2] + t * c[3])),
            c[1] + t * (2.0 * c[2] + 3.0 * t * c[3]),
            2.0 * c[2] + 6.0 * t * c[3],
        )
    };
    let (x, dx, ddx) = power(controls.map(|p| p.x));
    let (y, dy, ddy) = power(controls.map(|p| p.y));
    let speed = (dx * dx + dy * dy).sqrt();
    let bend = (dx * ddy - dy * ddx) / (speed * speed * speed);
    Place {
        x,
        y,
        dx,
        dy,
        bend,
        part,
    }
}

/// About [`PLACES`] of them, as many on each cubic as its chord is long, and
/// both of its ends.
pub fn places(outline: &Outline<Lateral>) -> Vec<Place> {
    let chords: Vec<f64> = outline
        .segments()
        .iter()
        .map(|s| s.controls[0].distance(s.controls[3]))
        .collect();
    let all: f64 = chords.iter().sum();
    let mut found = Vec::with_capacity(PLACES + 2 * chords.len());
    for (segment, chord) in outline.segments().iter().zip(chords) {
        let steps = (PLACES as f64 * chord / all).ceil().max(2.0) as u32;
        found.extend((0..=steps).map(|i| {
            let t = f64::from(i) / f64::from(steps);
            at(&segment.controls, t, segment.part)
        }));
    }
    found
}

/// Everything that a limit is held against.
#[derive(Debug)]
pub struct Readings {
    /// Largest distance of the top line from the straight line between its ends, mm.
    pub top_line_off: f64,
    /// Length of the top line over the way from front top to peak.
    pub top_line_share: f64,
    /// Smallest radius of the upper and of the lower edge, mm.
    pub radius: [f64; 2],
    /// Changes of bend of the upper and of the lower edge.
    pub inflections: [u32; 2],
    /// Largest growth of the tail's thickness on its way to the tip, mm.
    pub growth: f64,
    /// Smallest gap between the edges along the body, mm.
    pub gap: f64,
    /// Largest jump of curvature where two cubics meet, the tip and a square
    /// front's corners left out, 1/mm.
    pub jump: f64,
    /// Largest turn there, radians.
    pub kink: f64,
    /// How far the outline lies above the peak, mm.
    pub above_peak: f64,
    /// Crossings of the outline with itself.
    pub crossings: u32,
    /// Where the outline passes the five points and the start, mm.
    pub points_off: [f64; 6],
    /// Gaps between consecutive cubics, mm.
    pub open: f64,
}

/// Bend below this, 1/mm, is straight: a radius of a kilometre.
const STRAIGHT: f64 = 1e-6;

pub fn read(outline: &Outline<Lateral>, points: &BrowPoints, soft: bool) -> Readings {
    let all = places(outline);
    let of = |wanted: &dyn Fn(Part) -> bool| -> Vec<Place> {
        all.iter().filter(|p| wanted(p.part)).copied().collect()
    };
    let upper = of(&|p| matches!(p, Part::TopLine | Part::PeakRound | Part::UpperTail));
    let mut lower = of(&|p| matches!(p, Part::LowerTail | Part::LowerArch | Part::LowerLine));
    lower.reverse();
    let top = of(&|p| p == Part::TopLine);
    let (jump, kink, open) = joints(outline, points, soft);
    let start = points.front_top.midpoint(points.front_bottom);
    let mapped = [
        points.front_top,
        points.front_bottom,
        points.peak,
        points.lower_arch,
        points.tail,
        start,
    ];
    Readings {
        top_line_off: off_chord(&top),
        top_line_share: chord(&top) / points.front_top.distance(points.peak),
        radius: [&upper, &lower].map(|e| 1.0 / e.iter().map(|p| p.bend.abs()).fold(0.0, f64::max)),
        inflections: [&upper, &lower].map(|e| inflections(e)),
        growth: growth(&upper, &lower, points),
        gap: gap(&upper, &lower, points),
        jump,
        kink,
        above_peak: all.iter().map(|p| p.y).fold(f64::MIN, f64::max) - points.peak.y,
        crossings: crossings(&all),
        points_off: mapped.map(|p| nearest(outline, p)),
        open,
    }
}

fn chord(line: &[Place]) -> f64 {
    match (line.first(), line.last()) {
        (Some(a), Some(b)) => length(b.x - a.x, b.y - a.y),
        _ => 0.0,
    }
}

fn length(x: f64, y: f64) -> f64 {
    (x * x + y * y).sqrt()
}

fn off_chord(line: &[Place]) -> f64 {
    let (Some(a), Some(b)) = (line.first(), line.last()) else {
        return f64::INFINITY;
    };
    let run = length(b.x - a.x, b.y - a.y);
    line.iter()
        .map(|p| ((p.x - a.x) * (b.y - a.y) - (p.y - a.y) * (b.x - a.x)).abs() / run)
        .fold(0.0, f64::max)
}

fn inflections(edge: &[Place]) -> u32 {
    let mut before = 0.0;
    let mut count = 0;
    for p in edge.iter().filter(|p| p.bend.abs() > STRAIGHT) {
        count += u32::from(before * p.bend < 0.0);
        before = p.bend;
    }
    count
}

/// Both edges over the tail's axis, linear between their places.
fn growth(upper: &[Place], lower: &[Place], points: &BrowPoints) -> f64 {
    let (ax, ay) = (
        points.tail.x - points.lower_arch.x,
        points.tail.y - points.lower_arch.y,
    );
    let run = length(ax, ay);
    let over = |edge: &[Place]| -> Vec<(f64, f64)> {
        let seen = edge.iter().map(|p| {
            let (x, y) = (p.x - points.lower_arch.x, p.y - points.lower_arch.y);
            ((x * ax + y * ay) / run, (y * ax - x * ay) / run)
        });
        seen.collect()
    };
    let (upper, lower) = (over(upper), over(lower));
    let peak = ((points.peak.x - points.lower_arch.x) * ax
        + (points.peak.y - points.lower_arch.y) * ay)
        / run;
    let (begin, steps) = (peak.max(0.0), 400);
    let (mut thinnest, mut grown) = (f64::INFINITY, 0.0_f64);
    for i in 0..=steps {
        let s = begin + (run - begin) * f64::from(i) / f64::from(steps);
        let thick = height(&upper, s) - height(&lower, s);
        grown = grown.max(thick - thinnest);
        thinnest = thinnest.min(thick);
    }
    grown
}

/// The last crossing with an upright at s, from the tip inward: both edges are
/// graphs there.
fn height(edge: &[(f64, f64)], s: f64) -> f64 {
    let pair = edge
        .windows(2)
        .rev()
        .find(|w| w[0].0 <= s && s <= w[1].0 && w[1].0 > w[0].0);
    match pair {
        Some([a, b]) => a.1 + (b.1 - a.1) * (s - a.0) / (b.0 - a.0),
        _ => edge.last().map_or(0.0, |e| e.1),
    }
}

/// Straight up between the edges, from where both have begun to the lower arch.
fn gap(upper: &[Place], lower: &[Place], points: &BrowPoints) -> f64 {
    let begin = upper[0].x.max(lower[0].x);
    let of = |edge: &[Place]| -> Vec<(f64, f64)> { edge.iter().map(|p| (p.x, p.y)).collect() };
    let (upper, lower) = (of(upper), of(lower));
    let steps = 300;
    (0..=steps)
        .map(|i| begin + (points.lower_arch.x - begin) * f64::from(i) / f64::from(steps))
        .map(|x| first_height(&upper, x) - first_height(&lower, x))
        .fold(f64::INFINITY, f64::min)
}

fn first_height(edge: &[(f64, f64)], x: f64) -> f64 {
    let pair = edge
        .windows(2)
        .find(|w| w[0].0 <= x && x <= w[1].0 && w[1].0 > w[0].0);
    match pair {
        Some([a, b]) => a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0),
        _ => f64::NAN,
    }
}

/// Largest jump of curvature, kink and gap over the joints.
fn joints(outline: &Outline<Lateral>, points: &BrowPoints, soft: bool) -> (f64, f64, f64) {
    let segments = outline.segments();
    let corner = |p: Point<Lateral>| {
        let sharp = [points.tail, points.front_top, points.front_bottom];
        let sharp = if soft { &sharp[..1] } else { &sharp[..] };
        sharp.iter().any(|c| c.distance(p) < 1e-9)
    };
    let (mut jump, mut kink, mut open) = (0.0_f64, 0.0_f64, 0.0_f64);
    for (a, b) in segments.iter().zip(segments.iter().cycle().skip(1)) {
        open = open.max(a.controls[3].distance(b.controls[0]));
        if corner(a.controls[3]) {
            continue;
        }
        let (a, b) = (at(&a.controls, 1.0, a.part), at(&b.controls, 0.0, b.part));
        jump = jump.max((a.bend - b.bend).abs());
        let sine = (a.dx * b.dy - a.dy * b.dx) / (length(a.dx, a.dy) * length(b.dx, b.dy));
        kink = kink.max(sine.abs());
    }
    (jump, kink, open)
}

/// Distance of a place from the nearest joint, or from a straight front edge.
fn nearest(outline: &Outline<Lateral>, p: Point<Lateral>) -> f64 {
    let from = |a: Point<Lateral>, b: Point<Lateral>| {
        let (rx, ry) = (b.x - a.x, b.y - a.y);
        let square = rx * rx + ry * ry;
        let t = (((p.x - a.x) * rx + (p.y - a.y) * ry) / square).clamp(0.0, 1.0);
        length(p.x - a.x - t * rx, p.y - a.y - t * ry)
    };
    outline
        .segments()
        .iter()
        .map(|s| match s.part {
            // Its middle cubic is straight from end to end.
            Part::FrontEdge => from(s.controls[0], s.controls[3]),
            _ => p.distance(s.controls[0]),
        })
        .fold(f64::INFINITY, f64::min)
}

/// By a sweep from left to right over the polygon of all places.
fn crossings(all: &[Place]) -> u32 {
    // Where two cubics meet there are two places, a last bit apart.
    let apart = |a: &Place, b: &Place| length(a.x - b.x, a.y - b.y) > 1e-9;
    let mut all = all.to_vec();
    all.dedup_by(|a, b| !apart(a, b));
    if all.len() > 1 && !apart(&all[0], &all[all.len() - 1]) {
        all.pop();
    }
    let n = all.len();
    let mut edges: Vec<(f64, f64, usize)> = (0..n)
        .map(|i| {
            let (a, b) = (all[i].x, all[(i + 1) % n].x);
            (a.min(b), a.max(b), i)
        })
        .collect();
    edges.sort_by(|a, b| a.0.total_cmp(&b.0));
    let side =
        |a: &Place, b: &Place, c: &Place| (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    let mut count = 0;
    for (k, (_, right, i)) in edges.iter().enumerate() {
        let (a, b) = (&all[*i], &all[(*i + 1) % n]);
        for (left, _, j) in &edges[k + 1..] {
            if left > right {
                break;
            }
            let (c, d) = (&all[*j], &all[(*j + 1) % n]);
            let ends = |p: &Place, q: &Place| p.x == q.x && p.y == q.y;
            if ends(b, c) || ends(a, d) || ends(a, c) || ends(b, d) {
                continue;
            }
            let crosses =
                side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0;
            count += u32::from(crosses);
        }
    }
    count
}
