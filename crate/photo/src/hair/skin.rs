//! The skin's colour as a smooth field over the brow's surroundings, carried
//! on under the hair, and how much each place differs from it.

use crate::plane::Plane;

/// Darkest light told apart from none, of 1: two steps of 8 bits in sRGB.
const DARKEST: f32 = 6e-4;
/// Terms of the field: all of x and y up to the third power. Light on a brow
/// ridge needs no more over 70 x 30 mm, once what is left is followed nearby.
const TERMS: usize = 10;
/// How far a place's own surroundings count in what the terms leave, mm.
const NEARBY_MM: f64 = 3.5;
/// Beyond so many standard deviations a place counts as no skin: a mole, a
/// fold, hair of the head (Tukey's biweight, which has 95 % efficiency so).
const TUKEY: f64 = 4.685;
/// Rounds of weighing anew; the weights have settled then.
const ROUNDS: usize = 6;
/// Cells used for the terms; more tell nothing new about so smooth a field.
const ENOUGH: usize = 6000;

/// Each colour's share that differs from the skin's own: 0 on skin, and in
/// proportion to how much of a cell hair covers, because light adds up.
pub struct Differing(pub [Plane; 3]);

impl Differing {
    /// From linear light; `weight` says how surely a cell is skin, 0 to 1.
    /// `None` where too little skin is seen.
    pub fn from_skin(light: &[Plane; 3], weight: &[f32], cells_per_mm: f64) -> Option<Self> {
        let logs = light.each_ref().map(|plane| {
            let logs = plane.values.iter().map(|v| libm::logf(v.max(DARKEST)));
            plane.with(logs.collect())
        });
        let (w, h) = (light[0].width, light[0].height);
        let scale = 2.0 / (w.max(h) as f64);
        let terms = |cell: usize| -> [f64; TERMS] {
            let x = ((cell % w) as f64 - 0.5 * w as f64) * scale;
            let y = ((cell / w) as f64 - 0.5 * h as f64) * scale;
            [
                1.0,
                x,
                y,
                x * x,
                x * y,
                y * y,
                x * x * x,
                x * x * y,
                x * y * y,
                y * y * y,
            ]
        };
        let skin: Vec<usize> = (0..w * h).filter(|i| weight[*i] > 0.0).collect();
        let chosen: Vec<usize> = skin
            .iter()
            .copied()
            .step_by(skin.len() / ENOUGH + 1)
            .collect();
        if chosen.len() < 20 * TERMS {
            return None;
        }
        let mut trust: Vec<f64> = chosen.iter().map(|i| f64::from(weight[*i])).collect();
        let mut fields = [[0.0; TERMS]; 3];
        for _ in 0..ROUNDS {
            fields = fitted(&chosen, &trust, &logs, terms)?;
            let off = |i: usize| {
                let t = terms(i);
                let each = |c: usize| f64::from(logs[c].values[i]) - dot(&fields[c], &t);
                [0, 1, 2].map(each)
            };
            let all: Vec<[f64; 3]> = chosen.iter().map(|i| off(*i)).collect();
            let spread = [0, 1, 2].map(|c| {
                let mut one: Vec<f64> = all.iter().map(|o| o[c].abs()).collect();
                // The median deviation is 0.6745 standard ones.
                (median(&mut one) / 0.6745).max(0.01)
            });
            for ((t, off), i) in trust.iter_mut().zip(&all).zip(&chosen) {
                let worst = (0..3).map(|c| off[c].abs() / spread[c]).fold(0.0, f64::max) / TUKEY;
                let kept = (1.0 - worst * worst).max(0.0);
                *t = f64::from(weight[*i]) * kept * kept;
            }
        }
        // What the terms leave nearby, of cells that count as skin.
        let left: Vec<[f32; 3]> = (0..w * h)
            .map(|i| {
                let t = terms(i);
                [0, 1, 2].map(|c| logs[c].values[i] - dot(&fields[c], &t) as f32)
            })
            .collect();
        let mut spread = [0.0_f32; 3];
        for (c, s) in spread.iter_mut().enumerate() {
            let mut one: Vec<f64> = chosen
                .iter()
                .map(|i| f64::from(left[*i][c].abs()))
                .collect();
            *s = (median(&mut one) / 0.6745).max(0.01) as f32;
        }
        let counts: Vec<f32> = (0..w * h)
            .map(|i| {
                let worst = (0..3)
                    .map(|c| left[i][c].abs() / spread[c])
                    .fold(0.0, f32::max);
                let worst = worst / TUKEY as f32;
                let kept = (1.0 - worst * worst).max(0.0);
                weight[i] * kept * kept
            })
            .collect();
        let sigma = NEARBY_MM * cells_per_mm;
        let sure = broad(&light[0].with(counts.clone()), sigma);
        let mut made = Vec::with_capacity(3);
        for (c, plane) in light.iter().enumerate() {
            let weighed = (0..w * h).map(|i| counts[i] * left[i][c]).collect();
            let near = broad(&plane.with(weighed), sigma);
            let values = (0..w * h).map(|i| {
                let field = dot(&fields[c], &terms(i)) as f32;
                // Where hardly any skin is near, the terms alone count.
                let skin = field + near[i] / (sure[i] + 0.02);
                plane.values[i].max(DARKEST) / libm::expf(skin) - 1.0
            });
            made.push(plane.with(values.collect()));
        }
        let made: [Plane; 3] = made.try_into().ok()?;
        Some(Self(made))
    }
}

/// A broad blur, on a coarser grid where that tells the same.
pub fn broad(plane: &Plane, sigma: f64) -> Vec<f32> {
    let step = ((sigma / 3.0) as usize).max(1);
    if step == 1 {
        return plane.blurred(sigma).values;
    }
    let (w, h) = (plane.width, plane.height);
    let (cw, ch) = (w.div_ceil(step), h.div_ceil(step));
    let mut coarse = vec![0.0; cw * ch];
    for r in 0..ch {
        for c in 0..cw {
            let (mut sum, mut n) = (0.0, 0.0_f32);
            for y in r * step..((r + 1) * step).min(h) {
                for v in &plane.values[y * w + c * step..y * w + ((c + 1) * step).min(w)] {
                    sum += v;
                    n += 1.0;
                }
            }
            coarse[r * cw + c] = sum / n.max(1.0);
        }
    }
    let coarse = Plane::grid_of(cw, ch, coarse).blurred(sigma / step as f64);
    let k = 1.0 / step as f64;
    let mut fine = Vec::with_capacity(w * h);
    for r in 0..h {
        for c in 0..w {
            let at = coarse.at((c as f64 + 0.5) * k, (r as f64 + 0.5) * k);
            fine.push(at.unwrap_or(0.0) as f32);
        }
    }
    fine
}

fn dot(a: &[f64; TERMS], b: &[f64; TERMS]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The middle one; reorders.
pub fn median(values: &mut [f64]) -> f64 {
    let half = values.len() / 2;
    if values.is_empty() {
        return 0.0;
    }
    *values.select_nth_unstable_by(half, f64::total_cmp).1
}

/// Weighted least squares of the three colours at once.
fn fitted(
    cells: &[usize],
    trust: &[f64],
    logs: &[Plane; 3],
    terms: impl Fn(usize) -> [f64; TERMS],
) -> Option<[[f64; TERMS]; 3]> {
    let mut rows = [[0.0; TERMS + 3]; TERMS];
    for (i, t) in cells.iter().zip(trust) {
        let x = terms(*i);
        let y = [0, 1, 2].map(|c| f64::from(logs[c].values[*i]));
        for (a, row) in rows.iter_mut().enumerate() {
            let tx = t * x[a];
            for (b, cell) in row.iter_mut().enumerate() {
                *cell += tx * if b < TERMS { x[b] } else { y[b - TERMS] };
            }
        }
    }
    let most = (0..TERMS).map(|a| rows[a][a]).fold(0.0, f64::max);
    for (a, row) in rows.iter_mut().enumerate() {
        // So that a patch of skin on one side alone bends the field nowhere else.
        row[a] += 1e-6 * most;
    }
    for a in 0..TERMS {
        if rows[a][a] <= 0.0 || !rows[a][a].is_finite() {
            return None;
        }
        let (above, below) = rows.split_at_mut(a + 1);
        let leading = &above[a];
        for row in below {
            let k = row[a] / leading[a];
            for (cell, lead) in row.iter_mut().zip(leading).skip(a) {
                *cell -= k * lead;
            }
        }
    }
    let mut found = [[0.0; TERMS]; 3];
    for (colour, field) in found.iter_mut().enumerate() {
        for a in (0..TERMS).rev() {
            let known: f64 = (a + 1..TERMS).map(|b| rows[a][b] * field[b]).sum();
            field[a] = (rows[a][TERMS + colour] - known) / rows[a][a];
        }
    }
    Some(found)
}
