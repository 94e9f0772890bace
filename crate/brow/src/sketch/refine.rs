//! The points moved until the outline lies closest to what was drawn.
//!
//! Levenberg and Marquardt's least squares of the distances across the
//! outline (Marquardt, J. SIAM 11(2), 1963, 431-441), each place counting as
//! long as the stroke it stands for and far ones only in proportion (Huber,
//! Annals of Mathematical Statistics 35(1), 1964, 73-101); both from memory.
//! What a point's move does to the outline is found by drawing it moved.

use kurbo::{CubicBez, ParamCurve, Vec2};
use ophryon_frames::{Lateral, Point};

use super::edges::Edges;
use super::find::{Found, POINTS, Told, behind, in_order};
use super::nearest::{Foot, Walk};
use crate::draw::drawn;
use crate::{Brow, BrowPoints, Handle, Limits, Part, Segment};

/// The last round moves no point farther than this, mm, or gains no more than
/// this share of what is left.
const SETTLED_MM: f64 = 0.002;
const SETTLED_GAIN: f64 = 5e-3;

/// What a point's move does to the outline is found anew after a round that
/// moved one farther than this, mm.
const FRESH_MM: f64 = 0.3;

/// Ever shorter steps that a round tries.
const TRIES: u32 = 4;

/// How far a point is moved to see what that does, mm.
const STEP_MM: f64 = 0.02;

/// Farther than this, mm, or three times what the strokes tremble, a place
/// counts only in proportion.
const FAR_MM: f64 = 0.3;

/// How much an end that was drawn keeps its place, mm of stroke: distances
/// alone would let an outline run on beyond its sketch.
const END_WEIGHT: f64 = 1.0;

/// How much a point beside what was drawn keeps its place, mm of stroke.
const BESIDE_WEIGHT: f64 = 1.0;

/// What holds any point a little, mm of stroke: without it a level edge would
/// leave its highest point free to wander.
const HELD_WEIGHT: f64 = 1e-3;

/// Farthest that a point moves in one round, mm.
const LONGEST_MOVE_MM: f64 = 3.0;

/// What was drawn may belong to these parts.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Edge {
    Upper,
    Lower,
    Front,
}

impl Edge {
    fn has(self, part: Part) -> bool {
        match self {
            // A soft front rounds the corners off, so they belong to both.
            Self::Upper => part.is_upper() || part == Part::FrontEdge,
            Self::Lower => part.is_lower() || part == Part::FrontEdge,
            Self::Front => part == Part::FrontEdge,
        }
    }
}

/// What was drawn at one place, and where the outline is nearest to it.
struct Near {
    weight: f64,
    foot: Foot,
}

/// What is fitted to.
pub(super) struct Target<'a> {
    places: Vec<(kurbo::Point, f64, Edge)>,
    found: &'a Found,
    limits: &'a Limits,
    far: f64,
}

/// Which unknowns there are: a point's coordinate each.
type Unknown = (Handle, fn(&mut Point<Lateral>) -> &mut f64);

impl<'a> Target<'a> {
    pub fn new(edges: &Edges, found: &'a Found, limits: &'a Limits) -> Self {
        let all = [
            (&edges.upper, Edge::Upper),
            (&edges.lower, Edge::Lower),
            (&edges.front, Edge::Front),
        ];
        let places = all.into_iter().flat_map(|(places, edge)| {
            places
                .iter()
                .map(move |p| (p.at.to_kurbo(), p.weight.max(0.02), edge))
        });
        Self {
            places: places.collect(),
            found,
            limits,
            far: FAR_MM.max(3.0 * found.spread_mm()),
        }
    }

    /// The brow whose outline is closest, from one that can be drawn.
    pub fn closest(&self, first: Brow, rounds: u32) -> Brow {
        let form = first.form().clone();
        let unknowns = self.unknowns();
        let mut now = first;
        let mut near = self.nearest(&now);
        let mut cost = self.cost(&near, now.points());
        let mut damping = 1e-3;
        let mut effects = self.effects(&now, &near, &unknowns);
        let mut fresh = true;
        for _ in 0..rounds {
            let (gram, right) = self.normal_equations(&now, &near, &effects, &unknowns);
            let mut moved = None;
            for _ in 0..TRIES {
                let Some(step) = solved(&gram, &right, damping) else {
                    damping *= 10.0;
                    continue;
                };
                let longest = step.iter().fold(0.0_f64, |a, s| a.max(s.abs()));
                let shorter = (LONGEST_MOVE_MM / longest.max(1e-12)).min(1.0);
                let step: Vec<f64> = step.iter().map(|s| s * shorter).collect();
                let points = self.stepped(now.points(), &unknowns, &step);
                let tried = drawn(&points, &form, self.limits).map(|brow| {
                    let its = self.nearest(&brow);
                    let its_cost = self.cost(&its, &points);
                    (brow, its, its_cost, longest * shorter)
                });
                match tried {
                    Some(better) if better.2 < cost => {
                        damping = (damping * 0.1).max(1e-7);
                        moved = Some(better);
                        break;
                    }
                    _ => damping *= 10.0,
                }
            }
            let Some((brow, its, its_cost, longest)) = moved else {
                if fresh {
                    break;
                }
                // What points did elsewhere misled; look here.
                (effects, fresh) = (self.effects(&now, &near, &unknowns), true);
                continue;
            };
            let gain = cost - its_cost;
            (now, near, cost) = (brow, its, its_cost);
            if longest < SETTLED_MM || gain < SETTLED_GAIN * cost {
                break;
            }
            fresh = longest > FRESH_MM;
            if fresh {
                effects = self.effects(&now, &near, &unknowns);
            }
        }
        now
    }

    /// Sum of the squared distances, mm³ (a stroke's length times mm²).
    pub fn cost_of(&self, brow: &Brow) -> f64 {
        self.nearest(brow)
            .iter()
            .map(|n| n.weight * n.foot.off * n.foot.off)
            .sum()
    }

    /// Root mean square of the distances of the sketched lines, mm.
    pub fn lines_off(&self, brow: &Brow) -> f64 {
        let walk = Walk::of(brow);
        let (mut squares, mut count) = (0.0, 0.0);
        let lines = [
            (&self.found.upper, Edge::Upper),
            (&self.found.lower, Edge::Lower),
        ];
        for (line, edge) in lines {
            let Some(line) = line else { continue };
            let steps = (line.to - line.from).clamp(1.0, 200.0) as u32;
            for i in 0..=steps {
                let x = line.from + (line.to - line.from) * f64::from(i) / f64::from(steps);
                let at = kurbo::Point::new(x, line.height(x));
                if let Some(foot) = walk.nearest(at, |part| edge.has(part)) {
                    squares += foot.off * foot.off;
                    count += 1.0;
                }
            }
        }
        (squares / f64::max(count, 1.0)).sqrt()
    }

    fn unknowns(&self) -> Vec<Unknown> {
        fn x(p: &mut Point<Lateral>) -> &mut f64 {
            &mut p.x
        }
        fn y(p: &mut Point<Lateral>) -> &mut f64 {
            &mut p.y
        }
        POINTS
            .into_iter()
            .filter(|h| self.found.told(*h) != Told::Not)
            .flat_map(|h| [(h, x as fn(&mut _) -> &mut _), (h, y)])
            .collect()
    }

    fn stepped(&self, from: &BrowPoints, unknowns: &[Unknown], step: &[f64]) -> BrowPoints {
        let mut points = *from;
        for ((handle, coordinate), by) in unknowns.iter().zip(step) {
            let mut p = points.at(*handle);
            *coordinate(&mut p) += by;
            points = points.with(*handle, p);
        }
        points.lower_arch.x = behind(points.lower_arch.x, &points, self.limits);
        in_order(points)
    }

    /// How much a point is held where it was found.
    fn hold(&self, handle: Handle) -> f64 {
        match (self.found.told(handle), handle) {
            (Told::Drawn, Handle::Tail | Handle::FrontTop | Handle::FrontBottom) => END_WEIGHT,
            (Told::Drawn, _) => HELD_WEIGHT,
            _ => BESIDE_WEIGHT,
        }
    }

    fn nearest(&self, brow: &Brow) -> Vec<Near> {
        let walk = Walk::of(brow);
        self.places
            .iter()
            .filter_map(|(at, weight, edge)| {
                Some(Near {
                    weight: *weight,
                    foot: walk.nearest(*at, |part| edge.has(part))?,
                })
            })
            .collect()
    }

    /// Huber's: a square near by, in proportion far off.
    fn cost(&self, near: &[Near], points: &BrowPoints) -> f64 {
        let far = self.far;
        let loss = |off: f64| match off.abs() {
            d if d <= far => d * d,
            d => far * (2.0 * d - far),
        };
        let strokes: f64 = near.iter().map(|n| n.weight * loss(n.foot.off)).sum();
        let held: f64 = POINTS
            .into_iter()
            .map(|h| {
                let off = points.at(h) - self.found.points.at(h);
                self.hold(h) * off.dot(off)
            })
            .sum();
        strokes + held
    }

    fn normal_equations(
        &self,
        now: &Brow,
        near: &[Near],
        effects: &[Vec<Vec2>],
        unknowns: &[Unknown],
    ) -> (Vec<Vec<f64>>, Vec<f64>) {
        let n = unknowns.len();
        let weigh = |off: f64| (self.far / off.abs().max(1e-12)).min(1.0);
        let mut gram = vec![vec![0.0; n]; n];
        let mut right = vec![0.0; n];
        for (k, place) in near.iter().enumerate() {
            let weight = place.weight * weigh(place.foot.off);
            // By how much the outline comes toward the place.
            let toward: Vec<f64> = effects
                .iter()
                .map(|all| all[k].dot(place.foot.across))
                .collect();
            for (i, row) in gram.iter_mut().enumerate() {
                let wi = weight * toward[i];
                right[i] += wi * place.foot.off;
                for (sum, other) in row[..=i].iter_mut().zip(&toward) {
                    *sum += wi * other;
                }
            }
        }
        for (i, (handle, coordinate)) in unknowns.iter().enumerate() {
            let (mut is, mut was) = (now.points().at(*handle), self.found.points.at(*handle));
            let weight = self.hold(*handle);
            gram[i][i] += weight;
            right[i] += weight * (*coordinate(&mut was) - *coordinate(&mut is));
        }
        (gram, right)
    }

    /// How the outline moves beside each place per mm that an unknown grows.
    fn effects(&self, now: &Brow, near: &[Near], unknowns: &[Unknown]) -> Vec<Vec<Vec2>> {
        let here = curves(now);
        let each = |unknown| self.effect(now, &here, near, unknown);
        unknowns.iter().map(each).collect()
    }

    fn effect(
        &self,
        now: &Brow,
        here: &[CubicBez],
        near: &[Near],
        (handle, coordinate): &Unknown,
    ) -> Vec<Vec2> {
        for step in [STEP_MM, -STEP_MM] {
            let mut p = now.points().at(*handle);
            *coordinate(&mut p) += step;
            let points = now.points().with(*handle, p);
            let Some(brow) = drawn(&points, now.form(), self.limits) else {
                continue;
            };
            let there = curves(&brow);
            if there.len() != here.len() {
                continue;
            }
            let by = |Foot { segment, t, .. }: &Foot| {
                (there[*segment].eval(*t) - here[*segment].eval(*t)) / step
            };
            return near.iter().map(|n| by(&n.foot)).collect();
        }
        vec![Vec2::ZERO; near.len()]
    }
}

fn curves(brow: &Brow) -> Vec<CubicBez> {
    let segments = brow.outline().segments();
    segments.iter().map(Segment::curve).collect()
}

/// Cholesky's solution of (G + damping · diag G) x = right, from the lower half
/// of G.
fn solved(gram: &[Vec<f64>], right: &[f64], damping: f64) -> Option<Vec<f64>> {
    let n = right.len();
    let mut l = gram.to_vec();
    for (i, row) in l.iter_mut().enumerate() {
        row[i] += damping * row[i] + 1e-9;
    }
    for i in 0..n {
        for j in 0..=i {
            let sum: f64 = (0..j).map(|k| l[i][k] * l[j][k]).sum();
            let left = l[i][j] - sum;
            if i == j {
                if left.is_nan() || left <= 0.0 {
                    return None;
                }
                l[i][i] = left.sqrt();
            } else {
                l[i][j] = left / l[j][j];
            }
        }
    }
    let mut x = right.to_vec();
    for i in 0..n {
        let known: f64 = (0..i).map(|k| l[i][k] * x[k]).sum();
        x[i] = (x[i] - known) / l[i][i];
    }
    for i in (0..n).rev() {
        let known: f64 = (i + 1..n).map(|k| l[k][i] * x[k]).sum();
        x[i] = (x[i] - known) / l[i][i];
    }
    x.iter().all(|v| v.is_finite()).then_some(x)
}
