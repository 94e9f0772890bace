//! Where a circle with a dark inside and a bright outside may be: every middle
//! near the tap with every radius, by the light's rise across the rim.
//!
//! The circular edge integral is Daugman's (High confidence visual recognition
//! of persons by a test of statistical independence, IEEE PAMI 15, 1993,
//! 1148-1161), here over arcs, because lids cover its top and bottom.

use ophryon_frames::{Photo, Point};

use super::expected::MOST_OFF_RADIUS;
use crate::plane::Plane;

/// Angles round the rim.
const ANGLES: usize = 48;
/// Radii in grid steps that one resolution is searched with: an octave.
const LEAST: f64 = 12.0;
const MOST: f64 = 24.0;
/// Candidates that are looked at closely.
const BEST: usize = 8;

/// A circle that may be the rim.
#[derive(Debug, Clone, Copy)]
pub struct Candidate {
    pub centre: Point<Photo>,
    pub radius_px: f64,
    /// Rise of brightness across its arcs, against the strong edges nearby.
    pub score: f64,
}

/// Candidates near the tap, the best first.
pub fn search(
    whole: &Plane,
    tap: Point<Photo>,
    radii: std::ops::RangeInclusive<f64>,
) -> Vec<Candidate> {
    let mut all = Vec::new();
    let mut low = *radii.start();
    while low < *radii.end() {
        let high = (low * MOST / LEAST).min(*radii.end());
        let scale = MOST / high;
        let reach = MOST_OFF_RADIUS * high + 1.25 * high;
        if let Some(plane) = whole.around(tap, reach, scale) {
            octave(&plane, tap, low * scale, high * scale, &mut all);
        }
        low = high.max(low * 1.01);
    }
    distinct(all)
}

/// The best of circles that are much the same.
fn distinct(mut all: Vec<Candidate>) -> Vec<Candidate> {
    all.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut kept: Vec<Candidate> = Vec::new();
    for c in all {
        let new = kept.iter().all(|k| {
            let near = 0.15 * k.radius_px.min(c.radius_px);
            k.centre.distance(c.centre) > near || (k.radius_px - c.radius_px).abs() > near
        });
        if new {
            kept.push(c);
            if kept.len() == BEST {
                break;
            }
        }
    }
    kept
}

/// Rise of brightness per step in u and v.
struct Slopes {
    width: i64,
    height: i64,
    each: Vec<[f32; 2]>,
    /// That of strong edges.
    strong: f32,
}

impl Slopes {
    fn of(plane: &Plane) -> Self {
        let soft = plane.softened();
        let (w, h) = (soft.width, soft.height);
        let get = |c: usize, r: usize| soft.values[r * w + c];
        let mut each = Vec::with_capacity(w * h);
        for r in 0..h {
            for c in 0..w {
                let (c0, c1) = (c.saturating_sub(1), (c + 1).min(w - 1));
                let (r0, r1) = (r.saturating_sub(1), (r + 1).min(h - 1));
                each.push([
                    0.5 * (get(c1, r) - get(c0, r)),
                    0.5 * (get(c, r1) - get(c, r0)),
                ]);
            }
        }
        let mut steep: Vec<f32> = each.iter().map(|[x, y]| x * x + y * y).collect();
        let at = steep.len() * 9 / 10;
        let (_, strong, _) = steep.select_nth_unstable_by(at, f32::total_cmp);
        let strong = strong.sqrt().max(1e-4);
        Self {
            width: w as i64,
            height: h as i64,
            each,
            strong,
        }
    }
}

fn octave(plane: &Plane, tap: Point<Photo>, low: f64, high: f64, all: &mut Vec<Candidate>) {
    let slopes = Slopes::of(plane);
    let ways: [[f32; 2]; ANGLES] = std::array::from_fn(|k| {
        let (s, c) = libm::sincos(k as f64 * std::f64::consts::TAU / ANGLES as f64);
        [c as f32, s as f32]
    });
    let (tap_u, tap_v) = plane.grid(tap);
    let mut found: Vec<Candidate> = Vec::new();
    let steps = ((high - low).ceil() as usize).max(1);
    for i in 0..=steps {
        let r = low + (high - low) * i as f64 / steps as f64;
        let rim: [(f32, f32); ANGLES] = ways.map(|[c, s]| (c * r as f32, s * r as f32));
        let off = MOST_OFF_RADIUS * r;
        let reach = off as i64 + 1;
        for dv in -reach..=reach {
            for du in -reach..=reach {
                if (du * du + dv * dv) as f64 > off * off {
                    continue;
                }
                let (u, v) = (tap_u + du as f64, tap_v + dv as f64);
                let score = arcs(&slopes, &ways, &rim, (u as f32, v as f32));
                if score > 0.0 {
                    found.push(Candidate {
                        centre: plane.photo((u, v)),
                        radius_px: r / plane.scale,
                        score: f64::from(score),
                    });
                }
            }
        }
    }
    // Only the best can matter; the list stays short.
    found.sort_by(|a, b| b.score.total_cmp(&a.score));
    found.truncate(400);
    all.append(&mut found);
}

/// Rise across the arcs of one circle: the two sides must both show it; top and
/// bottom, which lids may cover, can only add.
fn arcs(slopes: &Slopes, ways: &[[f32; 2]], rim: &[(f32, f32)], (u, v): (f32, f32)) -> f32 {
    let mut sum = [0.0_f32; 4];
    for (k, ([nx, ny], (ru, rv))) in ways.iter().zip(rim).enumerate() {
        let (c, r) = ((u + ru).floor() as i64, (v + rv).floor() as i64);
        if c < 0 || r < 0 || c >= slopes.width || r >= slopes.height {
            continue;
        }
        let [x, y] = slopes.each[(r * slopes.width + c) as usize];
        // No single place counts for more than a strong edge: highlights.
        let rise = ((x * nx + y * ny) / slopes.strong).clamp(-0.3, 1.0);
        // Eighths of the turn: right, below, left, above (y runs down).
        let arc = ((k + ANGLES / 8) * 4 / ANGLES) % 4;
        sum[arc] += rise;
    }
    let [right, below, left, above] = sum.map(|s| s * 4.0 / ANGLES as f32);
    0.6 * right.min(left) + 0.2 * (right + left) + 0.15 * below.max(0.0) + 0.1 * above.max(0.0)
}
