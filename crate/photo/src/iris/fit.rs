//! The ellipse through the places where the light rises.

/// Height of an iris against its width. The visible iris is a little less high
/// than wide (textbooks: 11.7 x 10.6 to 11.2 mm; from memory), and a gaze to
/// the side narrows it, so the fit may make it an ellipse, but leans to these.
const ASPECT: f64 = 0.98;
const ASPECT_SD: f64 = 0.02;

/// Neighbouring rays were averaged, so so many of them are one witness.
const FEWER: f64 = 4.0;

/// Rounds of the fit; it settles in four to six.
const ROUNDS: usize = 12;

/// Residual below which a ray always agrees, in radii: 0.06 mm.
const FLOOR: f64 = 0.01;

/// The ellipse so far, in grid steps.
#[derive(Debug, Clone, Copy)]
pub struct Ellipse {
    pub u: f64,
    pub v: f64,
    /// Half its width.
    pub a: f64,
    /// Height against width.
    pub aspect: f64,
}

impl Ellipse {
    /// Distance from the middle along a ray.
    pub fn along(&self, (c, s): (f64, f64)) -> f64 {
        let t = s / self.aspect;
        self.a / (c * c + t * t).sqrt()
    }
}

/// Where the light rises on one ray.
#[derive(Debug, Clone, Copy)]
pub struct Rise {
    /// Distance from the middle, grid steps.
    pub at: f64,
    /// Slope there, per step.
    pub slope: f64,
}

/// The ellipse with what it rests on.
pub struct Fit {
    pub ellipse: Ellipse,
    /// How far each ray agrees, 0 to 1.
    pub weights: Vec<f64>,
    /// Standard uncertainties of u, v and a.
    pub sd: [f64; 3],
}

/// Least squares with Tukey's biweight (Beaton and Tukey, Technometrics 16,
/// 1974, 147-185), by Gauss and Newton. `prior` is how far each ray counts
/// beforehand; with `round` the aspect stays what irises have.
pub fn fit(
    start: &Ellipse,
    rays: &[(f64, f64)],
    found: &[Option<Rise>],
    prior: &[f64],
    round: bool,
) -> Option<Fit> {
    let mut slopes: Vec<f64> = found
        .iter()
        .zip(rays)
        .filter(|(_, (c, s))| c.abs() > s.abs())
        .filter_map(|(f, _)| f.map(|f| f.slope))
        .collect();
    if slopes.len() < 10 {
        return None;
    }
    slopes.sort_by(f64::total_cmp);
    let strong = slopes[slopes.len() * 3 / 5];
    // Places in the grid, and how much each is worth by its slope.
    let places: Vec<Option<(f64, f64, f64)>> = found
        .iter()
        .zip(rays)
        .zip(prior)
        .map(|((f, (c, s)), prior)| {
            let f = (*f)?;
            let clear = (f.slope / strong).clamp(0.0, 1.0);
            let worth = if clear < 0.4 {
                0.0
            } else {
                prior * clear * clear
            };
            (worth > 0.0).then_some((start.u + f.at * c, start.v + f.at * s, worth))
        })
        .collect();
    let mut e = *start;
    let mut weights = vec![0.0; rays.len()];
    let mut sd = [0.0; 3];
    for step in 0..ROUNDS {
        let residual = |p: &(f64, f64, f64)| {
            let (x, y) = (p.0 - e.u, (p.1 - e.v) / e.aspect);
            (x * x + y * y).sqrt() - e.a
        };
        let mut off: Vec<f64> = places.iter().flatten().map(|p| residual(p).abs()).collect();
        if off.len() < 10 {
            return None;
        }
        off.sort_by(f64::total_cmp);
        // Median of all that agree best: lids spoil at most half.
        let spread = (1.4826 * off[off.len() / 2]).clamp(FLOOR * e.a, 0.02 * e.a);
        let cut = 4.685 * spread;
        let mut normal = [[0.0_f64; 4]; 4];
        let mut right = [0.0_f64; 4];
        let (mut sum, mut count) = (0.0, 0.0);
        for (p, weight) in places.iter().zip(weights.iter_mut()) {
            *weight = 0.0;
            let Some(p) = p else { continue };
            let d = residual(p);
            let (x, y) = (p.0 - e.u, p.1 - e.v);
            // A lid's edge lies inside the rim, never outside.
            let lid = if d < 0.0 && y.abs() > 0.7 * e.a {
                2.0
            } else {
                1.0
            };
            let t = 1.0 - (lid * d / cut) * (lid * d / cut);
            if t <= 0.0 {
                continue;
            }
            *weight = t * t;
            let w = p.2 * t * t;
            let long = d + e.a;
            let q = e.aspect;
            let row = [
                -x / long,
                -y / (q * q * long),
                -1.0,
                -y * y / (q * q * q * long),
            ];
            for i in 0..4 {
                for j in 0..4 {
                    normal[i][j] += w * row[i] * row[j];
                }
                right[i] -= w * row[i] * d;
            }
            sum += w * d * d;
            count += w;
        }
        let free = count - 4.0;
        if free < 6.0 {
            return None;
        }
        let variance = (sum / free).max(FLOOR * FLOOR * e.a * e.a * 0.1);
        // What is known of irises beforehand counts as one more measurement.
        let tight = if round { 1e-4 } else { ASPECT_SD };
        normal[3][3] += FEWER * variance / (tight * tight);
        right[3] += FEWER * variance * (ASPECT - e.aspect) / (tight * tight);
        let inverse = inverse(normal)?;
        let moved: [f64; 4] =
            std::array::from_fn(|i| (0..4).map(|j| inverse[i][j] * right[j]).sum());
        e.u += moved[0];
        e.v += moved[1];
        e.a += moved[2];
        e.aspect = (e.aspect + moved[3]).clamp(0.8, 1.1);
        // Places without order can throw it anywhere.
        if !(e.a > 0.4 * start.a && e.a < 2.0 * start.a) {
            return None;
        }
        sd = std::array::from_fn(|i| (FEWER * variance * inverse[i][i].max(0.0)).sqrt());
        if step > 2 && moved.iter().all(|m| m.abs() < 1e-4) {
            break;
        }
    }
    Some(Fit {
        ellipse: e,
        weights,
        sd,
    })
}

/// By Gauss and Jordan with pivots; `None` for a singular one.
fn inverse(mut m: [[f64; 4]; 4]) -> Option<[[f64; 4]; 4]> {
    let mut inv: [[f64; 4]; 4] =
        std::array::from_fn(|i| std::array::from_fn(|j| f64::from(u8::from(i == j))));
    for i in 0..4 {
        let p = (i..4).max_by(|a, b| m[*a][i].abs().total_cmp(&m[*b][i].abs()))?;
        m.swap(i, p);
        inv.swap(i, p);
        let d = m[i][i];
        if d.is_nan() || d.abs() <= 1e-12 {
            return None;
        }
        for j in 0..4 {
            m[i][j] /= d;
            inv[i][j] /= d;
        }
        for r in 0..4 {
            if r == i {
                continue;
            }
            let k = m[r][i];
            for j in 0..4 {
                m[r][j] -= k * m[i][j];
                inv[r][j] -= k * inv[i][j];
            }
        }
    }
    Some(inv)
}
