//! The close look at one candidate: where along each ray the light rises, and
//! the ellipse through those places that most of them agree on.

use ophryon_frames::{Photo, Point};

use super::fit::{Ellipse, Rise, fit};
use super::search::Candidate;
use crate::plane::Plane;

/// Rays from the middle.
pub const RAYS: usize = 120;
/// Radius of the rim in grid steps, at most: finer adds noise, not places.
const MOST_STEPS: f64 = 40.0;
/// And at least.
const LEAST_STEPS: f64 = 16.0;
/// Places along a ray, per grid step.
const PER_STEP: f64 = 2.0;
/// How far from the rim so far its place is sought, in radii, round by round.
const WINDOWS: [f64; 5] = [0.26, 0.18, 0.12, 0.09, 0.09];
/// Rounds in which only the two sides count, which lids leave free.
const SIDES_ONLY: usize = 2;

/// How far a place may lie off the rim so far, in radii, to be one of it: the
/// lids' edges lie farther in.
const SLACK: f64 = 0.02;

/// Longest gap in the rim, rays: 15 degrees, a mirrored light of 1.5 mm.
const MOST_GAP: usize = 5;

/// The rim as fitted.
#[derive(Debug, Clone, Copy)]
pub struct Rim {
    pub centre: Point<Photo>,
    /// Half its width, px.
    pub radius_px: f64,
    /// Height against width.
    pub aspect: f64,
    /// Standard uncertainties, px: of the middle across and down, of the radius.
    pub sd_px: [f64; 3],
    /// Share of all rays that agree.
    pub seen: f64,
    /// Share of the rays of the left and right quarter that agree.
    pub sides: [f64; 2],
    /// Brightness just inside and just outside the rim, left and right, by the
    /// median of the rays that agree (linear light).
    pub inside: [f64; 2],
    pub outside: [f64; 2],
    /// Brightness in the middle, where the pupil is (30 of 100 are darker).
    pub core: f64,
}

/// `whole` in linear light.
pub fn look(whole: &Plane, candidate: &Candidate) -> Option<Rim> {
    let r = candidate.radius_px;
    let scale = if r > MOST_STEPS {
        MOST_STEPS / r
    } else if r < LEAST_STEPS {
        LEAST_STEPS / r
    } else {
        1.0
    };
    let mut plane = whole.around(candidate.centre, 1.7 * r + 3.0, scale)?;
    let rays: Vec<(f64, f64)> = (0..RAYS)
        .map(|k| {
            let (s, c) = libm::sincos((k as f64 + 0.5) * std::f64::consts::TAU / RAYS as f64);
            (c, s)
        })
        .collect();
    let (u, v) = plane.grid(candidate.centre);
    let mut e = Ellipse {
        u,
        v,
        a: r * scale,
        aspect: 1.0,
    };
    dim_lights(&mut plane, &e, &rays);
    let mut weights = vec![0.0; RAYS];
    let mut covariance = [0.0; 3];
    for (round, window) in WINDOWS.iter().enumerate() {
        let found = rises(&plane, &e, &rays, *window);
        let sides_only = round < SIDES_ONLY;
        let start = if sides_only {
            let side = |(c, s): &(f64, f64)| f64::from(u8::from(c.abs() > s.abs()));
            rays.iter().map(side).collect()
        } else {
            believed(&e, &rays, &found)
        };
        let fit = fit(&e, &rays, &found, &start, sides_only)?;
        (e, weights, covariance) = (fit.ellipse, fit.weights, fit.sd);
        let near = libm::hypot(e.u - u, e.v - v) < 0.5 * r * scale;
        if !(near && e.a > 0.5 * r * scale && e.a < 1.6 * r * scale) {
            return None;
        }
    }
    let agree: Vec<bool> = weights.iter().map(|w| *w > 0.4).collect();
    let share = |on: &dyn Fn(f64, f64) -> bool| {
        let (mut of, mut all) = (0.0, 0.0);
        for ((c, s), yes) in rays.iter().zip(&agree) {
            if on(*c, *s) {
                all += 1.0;
                of += f64::from(u8::from(*yes));
            }
        }
        of / f64::max(all, 1.0)
    };
    let level = |sign: f64, from: f64, to: f64| {
        let on = rays.iter().zip(&agree);
        let mut all: Vec<f64> = on
            .filter(|((c, s), yes)| **yes && c * sign > s.abs())
            .map(|(ray, _)| brightness(&plane, &e, *ray, from, to))
            .collect();
        median(&mut all).unwrap_or(0.0)
    };
    Some(Rim {
        centre: plane.photo((e.u, e.v)),
        radius_px: e.a / scale,
        aspect: e.aspect,
        sd_px: covariance.map(|sd| sd / scale),
        seen: share(&|_, _| true),
        sides: [
            share(&|c, s| c < 0.0 && -c > s.abs()),
            share(&|c, s| c > 0.0 && c > s.abs()),
        ],
        inside: [-1.0, 1.0].map(|side| level(side, 0.82, 0.94)),
        outside: [-1.0, 1.0].map(|side| level(side, 1.06, 1.18)),
        core: core(&plane, &e),
    })
}

/// Nothing may be brighter than the white of the eye: a light mirrored on the
/// rim would have the steepest edge of all.
fn dim_lights(plane: &mut Plane, e: &Ellipse, rays: &[(f64, f64)]) {
    let mut white = Vec::new();
    for (c, s) in rays.iter().filter(|(c, s)| c.abs() > s.abs()) {
        for i in 0..6 {
            let d = e.a * (1.03 + 0.04 * f64::from(i));
            white.extend(plane.at(e.u + d * c, e.v + d * s));
        }
    }
    white.sort_by(f64::total_cmp);
    if let Some(most) = white.get(white.len() * 17 / 20) {
        for v in &mut plane.values {
            *v = v.min(*most as f32);
        }
    }
}

/// How far each ray is believed to show the rim, 0 to 1: those that lie near it
/// and hang together with the sides'.
fn believed(e: &Ellipse, rays: &[(f64, f64)], found: &[Option<Rise>]) -> Vec<f64> {
    let n = rays.len();
    let near: Vec<bool> = rays
        .iter()
        .zip(found)
        .map(|(ray, f)| {
            // What an iris's height may differ, and a little more.
            let slack = e.a * (SLACK + 0.03 * ray.1 * ray.1);
            f.is_some_and(|f| (f.at - e.along(*ray)).abs() < slack)
        })
        .collect();
    let mut worth = vec![0.0; n];
    for middle in [0, n / 2] {
        for way in [1, n - 1] {
            // From the side's middle up or down, as far as the rim goes on; a
            // light mirrored on it leaves a gap.
            let (mut k, mut gap) = (middle, 0);
            for _ in 0..=n / 4 {
                if near[k] {
                    gap = 0;
                    let s = rays[k].1;
                    // Towards top and bottom it is sooner a lid.
                    worth[k] = 1.0 - 0.8 * s * s * s * s;
                } else {
                    gap += 1;
                    if gap > MOST_GAP && k.abs_diff(middle).min(n - k.abs_diff(middle)) > n / 12 {
                        break;
                    }
                }
                k = (k + way) % n;
            }
        }
    }
    worth
}

/// Mean brightness on a ray between two distances, in radii.
fn brightness(plane: &Plane, e: &Ellipse, ray: (f64, f64), from: f64, to: f64) -> f64 {
    let r = e.along(ray);
    let mut sum = 0.0;
    for i in 0..4 {
        let d = r * (from + (to - from) * f64::from(i) / 3.0);
        sum += plane.at(e.u + d * ray.0, e.v + d * ray.1).unwrap_or(0.0);
    }
    sum / 4.0
}

/// Brightness near the middle below which 30 % of it lie: mirrored lights
/// cover less than the rest.
fn core(plane: &Plane, e: &Ellipse) -> f64 {
    let mut all = Vec::new();
    for i in -4_i32..=4 {
        for j in -4_i32..=4 {
            if i * i + j * j <= 18 {
                let step = 0.06 * e.a;
                let (u, v) = (e.u + f64::from(i) * step, e.v + f64::from(j) * step);
                all.extend(plane.at(u, v));
            }
        }
    }
    all.sort_by(f64::total_cmp);
    all.get(all.len() * 3 / 10).copied().unwrap_or(1.0)
}

/// The middle one; `None` of nothing.
fn median(all: &mut [f64]) -> Option<f64> {
    all.sort_by(f64::total_cmp);
    all.get(all.len() / 2).copied()
}

/// The steepest rise on each ray within the window.
fn rises(plane: &Plane, e: &Ellipse, rays: &[(f64, f64)], window: f64) -> Vec<Option<Rise>> {
    let half = ((window * e.a * PER_STEP).ceil() as usize).max(4);
    // Two more at both ends, for the slope's own reach.
    let (reach, count) = (half + 3, 2 * (half + 3) + 1);
    let mut lines = vec![0.0_f64; rays.len() * count];
    for (ray, line) in rays.iter().zip(lines.chunks_exact_mut(count)) {
        let r = e.along(*ray);
        for (i, value) in line.iter_mut().enumerate() {
            let d = r + (i as f64 - reach as f64) / PER_STEP;
            // Past the edge of the picture nothing rises.
            *value = plane
                .at(e.u + d * ray.0, e.v + d * ray.1)
                .unwrap_or(f64::NAN);
        }
    }
    // The slope by a smoothed difference over three steps of the grid.
    let kernel = [1.0, 2.0, 3.0, 0.0, -3.0, -2.0, -1.0];
    let norm = 2.0 * (3.0 + 4.0 + 3.0) / PER_STEP;
    let inner = 2 * half + 1;
    let mut steep = vec![f64::NAN; rays.len() * inner];
    for (line, out) in lines.chunks_exact(count).zip(steep.chunks_exact_mut(inner)) {
        for (i, value) in out.iter_mut().enumerate() {
            let mut sum = 0.0;
            for (k, w) in kernel.iter().enumerate() {
                sum -= w * line[i + k];
            }
            *value = sum / norm;
        }
    }
    // Neighbouring rays see the same rim.
    let side = [1.0, 2.0, 3.0, 2.0, 1.0];
    let n = rays.len();
    let mut rises = Vec::with_capacity(n);
    let mut mean = vec![0.0; inner];
    for k in 0..n {
        for (i, m) in mean.iter_mut().enumerate() {
            let (mut sum, mut weight) = (0.0, 0.0);
            for (d, w) in side.iter().enumerate() {
                let at = steep[((k + n + d - 2) % n) * inner + i];
                if at.is_finite() {
                    sum += w * at;
                    weight += w;
                }
            }
            *m = if weight > 0.0 { sum / weight } else { f64::NAN };
        }
        rises.push(steepest(&mean, half, e.along(rays[k])));
    }
    rises
}

fn steepest(mean: &[f64], half: usize, r: f64) -> Option<Rise> {
    let mut best: Option<(usize, f64)> = None;
    for i in 1..mean.len() - 1 {
        let (a, b, c) = (mean[i - 1], mean[i], mean[i + 1]);
        if !(b > 0.0 && b >= a && b >= c && a.is_finite() && c.is_finite()) {
            continue;
        }
        // A little farther off needs to be a little steeper.
        let off = (i as f64 - half as f64) / (half as f64);
        let worth = b * (1.0 - 0.4 * off * off);
        if best.is_none_or(|(_, w)| worth > w) {
            best = Some((i, worth));
        }
    }
    let (i, _) = best?;
    let (a, b, c) = (mean[i - 1], mean[i], mean[i + 1]);
    let bend = a - 2.0 * b + c;
    let shift = if bend < 0.0 {
        0.5 * (a - c) / bend
    } else {
        0.0
    };
    Some(Rise {
        at: r + (i as f64 + shift - half as f64) / PER_STEP,
        slope: b,
    })
}
