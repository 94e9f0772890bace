//! How blurred the sharpest edges are, whatever their contrast.
//!
//! A step blurred by σ, looked at through Gaussians of s and 2 s, is as steep
//! as 1/√(σ² + s²) and 1/√(σ² + 4 s²): the ratio gives σ. After Zhuo and Sim,
//! Defocus map estimation from a single image, Pattern Recognition 44 (2011)
//! 1852-1858 (from memory), summed over the strongest edges, less what grain
//! adds.

use crate::plane::Plane;

/// Share of all edge places that count: the strongest.
const STRONGEST: f64 = 0.05;
/// So many edge places are wanted, and fewer than these say nothing.
const ENOUGH: usize = 25;
const FEWEST: usize = 12;
/// First look, grid steps; each next one is twice as coarse.
const FIRST: f64 = 1.0;
/// Looks at most: 1, 2, 4, 8.
const LOOKS: usize = 4;
/// A look is too fine for a blur of more than so many times its own.
const MOST_IN_ONE_LOOK: f64 = 2.5;
/// How far edges must stand out of the grain, times 1 + (blur / look)²: the
/// ratio hardly differs from 1 there.
const CLEAR: f64 = 5.0;
/// Blur that a central difference adds, steps².
const DIFFERENCE: f64 = 1.0 / 3.0;

/// Blur of the strongest edges.
#[derive(Debug, Clone, Copy)]
pub struct Blur {
    /// Standard deviation of a Gaussian one, grid steps.
    pub sigma: f64,
}

/// Blur where `inside` holds (by column and row); `grain` is the noise's
/// standard deviation, in the plane's unit. `None` where nothing stands out of
/// the grain.
pub fn blur(plane: &Plane, inside: impl Fn(usize, usize) -> bool, grain: f64) -> Option<Blur> {
    let mut look = FIRST;
    let soften = |s: f64| plane.blurred((s * s - DIFFERENCE).sqrt());
    let mut fine = Edges::of(&soften(look));
    for last in (0..LOOKS).rev() {
        let coarse = Edges::of(&soften(2.0 * look));
        let found = ratio(&fine, &coarse, &inside, grain, look);
        if let Some((sigma, clear)) = found {
            let t = sigma / look;
            let settled = t <= MOST_IN_ONE_LOOK && clear >= CLEAR * (1.0 + t * t);
            if settled || (last == 0 && clear >= CLEAR) {
                return Some(Blur { sigma });
            }
        }
        fine = coarse;
        look *= 2.0;
    }
    None
}

/// Slopes of a softened plane.
struct Edges {
    width: usize,
    height: usize,
    slope: Vec<[f32; 2]>,
}

impl Edges {
    fn of(plane: &Plane) -> Self {
        let (w, h) = (plane.width, plane.height);
        let get = |c: usize, r: usize| plane.values[r * w + c];
        let mut slope = Vec::with_capacity(w * h);
        for r in 0..h {
            for c in 0..w {
                let (c0, c1) = (c.saturating_sub(1), (c + 1).min(w - 1));
                let (r0, r1) = (r.saturating_sub(1), (r + 1).min(h - 1));
                slope.push([
                    0.5 * (get(c1, r) - get(c0, r)),
                    0.5 * (get(c, r1) - get(c, r0)),
                ]);
            }
        }
        Self {
            width: w,
            height: h,
            slope,
        }
    }

    fn steepness(&self, c: usize, r: usize) -> f64 {
        let [x, y] = self.slope[r * self.width + c];
        f64::from(x * x + y * y).sqrt()
    }

    /// Bilinear, inside.
    fn steepness_at(&self, u: f64, v: f64) -> f64 {
        let u = u.clamp(0.0, (self.width - 1) as f64);
        let v = v.clamp(0.0, (self.height - 1) as f64);
        let (c, r) = (u as usize, v as usize);
        let (fu, fv) = (u - c as f64, v - r as f64);
        let (c1, r1) = ((c + 1).min(self.width - 1), (r + 1).min(self.height - 1));
        let top = self.steepness(c, r) * (1.0 - fu) + self.steepness(c1, r) * fu;
        let low = self.steepness(c, r1) * (1.0 - fu) + self.steepness(c1, r1) * fu;
        top * (1.0 - fv) + low * fv
    }
}

/// Blur by the ratio of two looks, and how far the edges stand out of the
/// grain.
fn ratio(
    fine: &Edges,
    coarse: &Edges,
    inside: &impl Fn(usize, usize) -> bool,
    grain: f64,
    look: f64,
) -> Option<(f64, f64)> {
    // Steepness in the coarse look, and in the fine one the same way.
    let mut ridge: Vec<(f64, f64)> = Vec::new();
    let edge = (3.0 * look) as usize + 1;
    for r in edge..coarse.height.saturating_sub(edge) {
        for c in edge..coarse.width.saturating_sub(edge) {
            if !inside(c, r) {
                continue;
            }
            let steep = coarse.steepness(c, r);
            if steep <= 0.0 {
                continue;
            }
            let [x, y] = coarse.slope[r * coarse.width + c].map(f64::from);
            let (nx, ny) = (x / steep, y / steep);
            let beside = |k: f64| coarse.steepness_at(c as f64 + k * nx, r as f64 + k * ny);
            if steep >= beside(look) && steep >= beside(-look) {
                let [fx, fy] = fine.slope[r * fine.width + c].map(f64::from);
                ridge.push((steep, fx * nx + fy * ny));
            }
        }
    }
    // On small photos a larger share, so that there are enough.
    let share = (ridge.len() as f64 * STRONGEST) as usize;
    let count = share.max(ENOUGH.min(ridge.len() / 4));
    if count < FEWEST {
        return None;
    }
    let at = ridge.len() - count;
    ridge.select_nth_unstable_by(at, |a, b| a.0.total_cmp(&b.0));
    let best = &ridge[at..];
    // Variance of a slope by white grain through a Gaussian's derivative.
    let by_grain = |s: f64| grain * grain / (8.0 * std::f64::consts::PI * s * s * s * s);
    let n = count as f64;
    let sum = |of: fn(&(f64, f64)) -> f64| best.iter().map(|e| of(e) * of(e)).sum::<f64>();
    let (s1, s2) = (look, 2.0 * look);
    let coarse = (sum(|e| e.0) - n * by_grain(s2)).max(1e-18);
    let fine = sum(|e| e.1) - n * by_grain(s1);
    let clear = (coarse / n / by_grain(s2).max(1e-18)).sqrt();
    let ratio = (fine / coarse).max(1.0001);
    let sigma2 = (s2 * s2 - ratio * s1 * s1) / (ratio - 1.0);
    Some((sigma2.max(0.0).sqrt(), clear))
}

/// Standard deviation of the grain, in the plane's unit: Immerkær, Fast noise
/// variance estimation, CVIU 64 (1996) 300-302, by the median, so that edges
/// and hair hardly count.
pub fn grain(plane: &Plane, inside: impl Fn(usize, usize) -> bool) -> f64 {
    let (w, h) = (plane.width, plane.height);
    let mut all: Vec<f32> = Vec::new();
    for r in 1..h.saturating_sub(1) {
        for c in 1..w.saturating_sub(1) {
            if !inside(c, r) {
                continue;
            }
            let row = |r: usize| {
                let line = &plane.values[r * w + c - 1..r * w + c + 2];
                line[0] - 2.0 * line[1] + line[2]
            };
            all.push((row(r - 1) - 2.0 * row(r) + row(r + 1)).abs());
        }
    }
    if all.is_empty() {
        return 0.0;
    }
    let at = all.len() / 2;
    let (_, median, _) = all.select_nth_unstable_by(at, f32::total_cmp);
    // Of a normal distribution, 0.6745 deviations; the mask sums to 6 of them.
    f64::from(*median) / 0.6745 / 6.0
}
