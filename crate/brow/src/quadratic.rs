//! A small strictly convex quadratic programme: minimise ½ xᵀGx under linear
//! equalities and inequalities.
//!
//! The dual active-set method of Goldfarb and Idnani (A numerically stable
//! dual method for solving strictly convex quadratic programs, Mathematical
//! Programming 27, 1983, 1-33; from memory, checked in tests by its
//! optimality conditions). It starts from the unconstrained optimum, adds one
//! violated constraint at a time, and proves infeasibility by naming the
//! constraint that can't be met, which is what a clear conflict needs. The
//! problems here have about a dozen unknowns, so each step solves its linear
//! system afresh: simple, and exact to rounding.

/// One linear condition `normal · x >= bound` (or `==`).
#[derive(Debug, Clone)]
pub(crate) struct Condition<T> {
    pub normal: Vec<f64>,
    pub bound: f64,
    /// What the condition stands for; handed back when it can't be met.
    pub means: T,
}

/// Why there is no solution.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum NoSolution<T> {
    /// This condition contradicts the others.
    Infeasible(T),
    /// The numbers were too extreme to decide.
    Undecided,
}

/// Rounds before giving up. Each round adds or drops a condition; the
/// problems here have at most forty.
const MAX_ROUNDS: usize = 200;

/// A condition counts as kept when it is missed by no more than this, in the
/// unit of its row (slopes and curvatures of order 0.1; heights in mm).
const KEPT: f64 = 1e-12;

/// An answer is believed when every condition is met to this.
const TRUSTED: f64 = 1e-10;

/// A condition gains less than this per unit of its own square when it depends
/// on the active ones: what rounding leaves of nothing, with room to spare.
const DEPENDENT: f64 = 1e-10;

/// Minimises ½ xᵀGx with `gram` = G, row by row, symmetric positive definite.
pub(crate) fn minimise<T: Clone>(
    gram: &[Vec<f64>],
    equal: &[Condition<T>],
    at_least: &[Condition<T>],
) -> Result<Vec<f64>, NoSolution<T>> {
    let mut active: Vec<usize> = Vec::new();
    let mut pressure: Vec<f64> = Vec::new();
    let mut x = optimum(gram, equal.iter())?;
    for _ in 0..MAX_ROUNDS {
        let Some((worst, mut miss)) = most_violated(&x, at_least, &active) else {
            return polished(gram, equal, at_least, &active);
        };
        let normal = &at_least[worst].normal;
        let mut own_pressure = 0.0;
        // Step toward the violated condition, letting go of active ones whose
        // pressure turns negative on the way.
        loop {
            let (step, give) = direction(gram, equal, at_least, &active, normal)?;
            let gain = dot(&step, normal);
            let movable = gain > DEPENDENT * dot(normal, normal);
            let full = if movable { -miss / gain } else { f64::INFINITY };
            let weakest = give
                .iter()
                .zip(&pressure)
                .enumerate()
                .filter(|(_, (g, _))| **g > 1e-14)
                .map(|(i, (g, p))| (i, p / g))
                .min_by(|a, b| a.1.total_cmp(&b.1));
            let partial = weakest.map_or(f64::INFINITY, |(_, t)| t);
            let t = full.min(partial);
            if !t.is_finite() {
                return Err(NoSolution::Infeasible(at_least[worst].means.clone()));
            }
            for (p, g) in pressure.iter_mut().zip(&give) {
                *p -= t * g;
            }
            own_pressure += t;
            if movable {
                x.iter_mut().zip(&step).for_each(|(x, s)| *x += t * s);
                miss += t * gain;
            }
            match weakest {
                Some((i, limit)) if limit < full => {
                    active.remove(i);
                    pressure.remove(i);
                }
                _ => break,
            }
        }
        active.push(worst);
        pressure.push(own_pressure);
    }
    Err(NoSolution::Undecided)
}

/// The optimum with these conditions met exactly and no others.
fn optimum<'a, T: 'a>(
    gram: &[Vec<f64>],
    exact: impl Iterator<Item = &'a Condition<T>> + Clone,
) -> Result<Vec<f64>, NoSolution<T>> {
    let n = gram.len();
    let mut right = vec![0.0; n];
    right.extend(exact.clone().map(|c| c.bound));
    let normals: Vec<&[f64]> = exact.map(|c| c.normal.as_slice()).collect();
    let mut x = solve(saddle(gram, &normals), right).ok_or(NoSolution::Undecided)?;
    x.truncate(n);
    Ok(x)
}

/// The answer afresh from the active conditions, so that the rounding of many
/// long steps does not add up, and a last look at every condition: a solver's
/// own word is not enough.
fn polished<T: Clone>(
    gram: &[Vec<f64>],
    equal: &[Condition<T>],
    at_least: &[Condition<T>],
    active: &[usize],
) -> Result<Vec<f64>, NoSolution<T>> {
    let x = optimum(
        gram,
        equal.iter().chain(active.iter().map(|&i| &at_least[i])),
    )?;
    let off = |c: &Condition<T>| dot(&c.normal, &x) - c.bound;
    let kept =
        equal.iter().all(|c| off(c).abs() < TRUSTED) && at_least.iter().all(|c| off(c) > -TRUSTED);
    if kept {
        Ok(x)
    } else {
        Err(NoSolution::Undecided)
    }
}

/// The step that raises `normal · x` while the active conditions stay as they
/// are, and how much each active inequality gives way per unit of pressure.
fn direction<T>(
    gram: &[Vec<f64>],
    equal: &[Condition<T>],
    at_least: &[Condition<T>],
    active: &[usize],
    normal: &[f64],
) -> Result<(Vec<f64>, Vec<f64>), NoSolution<T>> {
    let n = gram.len();
    let kept = equal.iter().chain(active.iter().map(|&i| &at_least[i]));
    let normals: Vec<&[f64]> = kept.map(|c| c.normal.as_slice()).collect();
    let mut right = normal.to_vec();
    right.resize(n + normals.len(), 0.0);
    let mut all = solve(saddle(gram, &normals), right).ok_or(NoSolution::Undecided)?;
    let give = all.split_off(n + equal.len());
    all.truncate(n);
    Ok((all, give))
}

fn most_violated<T>(
    x: &[f64],
    at_least: &[Condition<T>],
    active: &[usize],
) -> Option<(usize, f64)> {
    at_least
        .iter()
        .enumerate()
        .filter(|(i, _)| !active.contains(i))
        .map(|(i, c)| (i, dot(&c.normal, x) - c.bound))
        .filter(|(_, miss)| *miss < -KEPT)
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

/// The saddle-point matrix [G N; Nᵀ 0].
fn saddle(gram: &[Vec<f64>], normals: &[&[f64]]) -> Vec<Vec<f64>> {
    let (n, m) = (gram.len(), normals.len());
    let mut rows = Vec::with_capacity(n + m);
    for (i, row) in gram.iter().enumerate() {
        let mut full = row.clone();
        full.extend(normals.iter().map(|c| c[i]));
        rows.push(full);
    }
    for normal in normals {
        let mut full = normal.to_vec();
        full.resize(n + m, 0.0);
        rows.push(full);
    }
    rows
}

/// Gaussian elimination with row pivoting; `None` for a singular system.
fn solve(mut rows: Vec<Vec<f64>>, mut right: Vec<f64>) -> Option<Vec<f64>> {
    let n = right.len();
    for column in 0..n {
        let pivot =
            (column..n).max_by(|&a, &b| rows[a][column].abs().total_cmp(&rows[b][column].abs()))?;
        let lead = rows[pivot][column];
        if lead.is_nan() || lead.abs() < 1e-300 {
            return None;
        }
        rows.swap(column, pivot);
        right.swap(column, pivot);
        let (done, below) = rows.split_at_mut(column + 1);
        let leading = &done[column];
        for (offset, row) in below.iter_mut().enumerate() {
            let factor = row[column] / lead;
            if factor == 0.0 {
                continue;
            }
            for k in column..n {
                row[k] -= factor * leading[k];
            }
            right[column + 1 + offset] -= factor * right[column];
        }
    }
    for i in (0..n).rev() {
        let known: f64 = (i + 1..n).map(|k| rows[i][k] * right[k]).sum();
        right[i] = (right[i] - known) / rows[i][i];
    }
    right.iter().all(|v| v.is_finite()).then_some(right)
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn condition(normal: &[f64], bound: f64, means: usize) -> Condition<usize> {
        Condition {
            normal: normal.to_vec(),
            bound,
            means,
        }
    }

    /// min ½(x² + y²) with x + y = 2 and x >= 1.5: worked by hand, (1.5, 0.5).
    #[test]
    fn a_bound_pushes_along_the_equality() {
        let gram = vec![vec![1.0, 0.0], vec![0.0, 1.0]];
        let x = minimise(
            &gram,
            &[condition(&[1.0, 1.0], 2.0, 0)],
            &[condition(&[1.0, 0.0], 1.5, 1)],
        )
        .unwrap();
        assert!((x[0] - 1.5).abs() < 1e-12 && (x[1] - 0.5).abs() < 1e-12);
    }

    #[test]
    fn a_contradiction_is_named() {
        let gram = vec![vec![1.0]];
        let said = minimise(
            &gram,
            &[],
            &[condition(&[1.0], 2.0, 7), condition(&[-1.0], -1.0, 8)],
        );
        assert!(matches!(said, Err(NoSolution::Infeasible(7 | 8))));
    }

    proptest! {
        /// Optimality: no feasible point near the answer is better, tried
        /// along many directions (independent of how it was found).
        #[test]
        fn nothing_near_the_answer_is_better(
            lean in prop::collection::vec(-1.0..1.0f64, 16),
            rows in prop::collection::vec((prop::collection::vec(-1.0..1.0f64, 4), -1.0..0.5f64), 1..9),
            level in -1.0..1.0f64,
            tries in prop::collection::vec(prop::collection::vec(-1.0..1.0f64, 4), 60),
        ) {
            // LLᵀ + I/2 is positive definite whatever L is.
            let l = |i: usize, k: usize| lean[4 * i + k];
            let gram: Vec<Vec<f64>> = (0..4)
                .map(|i| (0..4).map(|j| {
                    (0..4).map(|k| l(i, k) * l(j, k)).sum::<f64>() + if i == j { 0.5 } else { 0.0 }
                }).collect())
                .collect();
            let equal = [condition(&[1.0, 1.0, 1.0, 1.0], level, 99)];
            let at_least: Vec<_> =
                rows.iter().enumerate().map(|(i, (n, b))| condition(n, *b, i)).collect();
            let Ok(x) = minimise(&gram, &equal, &at_least) else { return Ok(()) };
            let cost = |x: &[f64]| -> f64 {
                gram.iter().zip(x).map(|(row, xi)| 0.5 * xi * dot(row, x)).sum()
            };
            prop_assert!((dot(&equal[0].normal, &x) - level).abs() < 1e-9);
            for c in &at_least {
                prop_assert!(dot(&c.normal, &x) >= c.bound - 1e-9);
            }
            for step in &tries {
                let mean = step.iter().sum::<f64>() / 4.0;
                let near: Vec<f64> = x.iter().zip(step).map(|(x, s)| x + 0.01 * (s - mean)).collect();
                let feasible = at_least.iter().all(|c| dot(&c.normal, &near) >= c.bound);
                prop_assert!(!feasible || cost(&near) >= cost(&x) - 1e-12);
            }
        }
    }
}
