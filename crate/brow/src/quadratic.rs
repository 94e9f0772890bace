//! A small strictly convex quadratic programme: minimise a sum of weighted
//! squares of linear forms under linear equalities and inequalities.
//!
//! The dual active-set method of Goldfarb and Idnani (A numerically stable
//! dual method for solving strictly convex quadratic programs, Mathematical
//! Programming 27, 1983, 1-33; from memory, checked in tests by its
//! optimality conditions). It starts from the unconstrained optimum, adds one
//! violated condition at a time, and proves infeasibility by naming the
//! condition that can't be met, which is what a clear conflict needs. The
//! factors of the active conditions are kept up to date by plane rotations, so
//! that a round costs N² and a brow's two edges fit into a frame many times.
//! Only + - * / and square roots: the same bits everywhere.

/// A linear form: a constant and one coefficient per unknown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Linear<const N: usize> {
    pub constant: f64,
    pub of: [f64; N],
}

impl<const N: usize> Linear<N> {
    pub const fn constant(constant: f64) -> Self {
        Self {
            constant,
            of: [0.0; N],
        }
    }

    /// `times` the unknown with this number.
    pub fn unknown(number: usize, times: f64) -> Self {
        let mut form = Self::constant(0.0);
        form.of[number] = times;
        form
    }

    pub fn plus(&self, other: &Self, times: f64) -> Self {
        let mut sum = *self;
        sum.constant += times * other.constant;
        for (a, b) in sum.of.iter_mut().zip(&other.of) {
            *a += times * b;
        }
        sum
    }

    pub fn at(&self, x: &[f64; N]) -> f64 {
        self.constant + dot(&self.of, x)
    }
}

/// One linear condition `normal · x >= bound` (or `==`).
#[derive(Debug, Clone)]
struct Condition<T, const N: usize> {
    normal: [f64; N],
    bound: f64,
    /// What the condition stands for; handed back when it can't be met.
    means: T,
}

impl<T, const N: usize> Condition<T, N> {
    fn short_by(&self, x: &[f64; N]) -> f64 {
        self.bound - dot(&self.normal, x)
    }
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
/// problems here have about a hundred.
const MAX_ROUNDS: usize = 400;

/// A condition counts as kept when it is missed by no more than this, in the
/// unit of its row (slopes and curvatures of order 0.1; heights in mm).
const KEPT: f64 = 1e-12;

/// An answer is believed when every condition is met to this.
const TRUSTED: f64 = 1e-10;

/// A condition depends on the active ones when less than this of its square
/// is left beside them: what rounding leaves of nothing, with room to spare.
const DEPENDENT: f64 = 1e-13;

/// The least weight on every unknown's own square: strictly convex whatever
/// is asked, and far below anything it could move.
const LEAST: f64 = 1e-9;

/// What is minimised, and under which conditions.
pub(crate) struct Programme<T, const N: usize> {
    gram: [[f64; N]; N],
    lean: [f64; N],
    equal: Vec<Condition<T, N>>,
    at_least: Vec<Condition<T, N>>,
}

impl<T: Clone, const N: usize> Programme<T, N> {
    pub fn new() -> Self {
        let mut gram = [[0.0; N]; N];
        for (i, row) in gram.iter_mut().enumerate() {
            row[i] = 2.0 * LEAST;
        }
        Self {
            gram,
            lean: [0.0; N],
            equal: Vec::with_capacity(N),
            at_least: Vec::with_capacity(128),
        }
    }

    /// Adds the weighted square of a form to what is minimised.
    pub fn add_square(&mut self, form: &Linear<N>, weight: f64) {
        for (i, a) in form.of.iter().enumerate().filter(|(_, a)| **a != 0.0) {
            let wa = 2.0 * weight * a;
            for (g, b) in self.gram[i].iter_mut().zip(&form.of) {
                *g += wa * b;
            }
            self.lean[i] += wa * form.constant;
        }
    }

    /// Demands that a form is not below a bound.
    pub fn at_least(&mut self, form: &Linear<N>, bound: f64, means: T) {
        self.at_least.push(Condition {
            normal: form.of,
            bound: bound - form.constant,
            means,
        });
    }

    /// Demands that a form is not above a bound.
    pub fn at_most(&mut self, form: &Linear<N>, bound: f64, means: T) {
        self.at_least.push(Condition {
            normal: form.of.map(|a| -a),
            bound: form.constant - bound,
            means,
        });
    }

    /// Demands that a form has a value.
    pub fn equal(&mut self, form: &Linear<N>, value: f64, means: T) {
        self.equal.push(Condition {
            normal: form.of,
            bound: value - form.constant,
            means,
        });
    }

    /// The unknowns at the least sum.
    pub fn minimise(&self) -> Result<[f64; N], NoSolution<T>> {
        let mut active = Active::new(&self.gram, &self.lean).ok_or(NoSolution::Undecided)?;
        for (which, condition) in self.equal.iter().enumerate() {
            self.meet(&mut active, condition, which, true)?;
        }
        for _ in 0..MAX_ROUNDS {
            match self.worst(&active) {
                Some(which) => self.meet(&mut active, &self.at_least[which], which, false)?,
                None => return self.believed(active),
            }
        }
        Err(NoSolution::Undecided)
    }

    /// Steps toward a violated condition until it is met, letting go of
    /// active ones whose pressure turns negative on the way.
    fn meet(
        &self,
        active: &mut Active<N>,
        condition: &Condition<T, N>,
        which: usize,
        equal: bool,
    ) -> Result<(), NoSolution<T>> {
        let infeasible = || NoSolution::Infeasible(condition.means.clone());
        let mut own = 0.0;
        for _ in 0..MAX_ROUNDS {
            let way = active.toward(&condition.normal);
            let short = condition.short_by(&active.x);
            if equal && !way.movable {
                // Says what others say already, or contradicts them.
                return if short.abs() < TRUSTED {
                    Ok(())
                } else {
                    Err(infeasible())
                };
            }
            let full = if way.movable {
                short / way.gain
            } else {
                f64::INFINITY
            };
            let weakest = if equal { None } else { active.weakest(&way) };
            let partial = weakest.map_or(f64::INFINITY, |(_, t)| t);
            let t = full.min(partial);
            if !t.is_finite() {
                return Err(infeasible());
            }
            active.step(&way, t);
            own += t;
            match weakest {
                Some((held, limit)) if limit < full => active.let_go(held),
                _ => {
                    active.hold(way, Held { which, equal }, own);
                    return Ok(());
                }
            }
        }
        Err(NoSolution::Undecided)
    }

    /// The condition missed by most.
    fn worst(&self, active: &Active<N>) -> Option<usize> {
        let mut worst = (KEPT, None);
        for (i, condition) in self.at_least.iter().enumerate() {
            let short = condition.short_by(&active.x);
            if short > worst.0 && !active.holds(i) {
                worst = (short, Some(i));
            }
        }
        worst.1
    }

    /// The answer put onto its active conditions once more, so that the
    /// rounding of many long steps does not add up, and a last look at every
    /// condition: a solver's own word is not enough.
    fn believed(&self, mut active: Active<N>) -> Result<[f64; N], NoSolution<T>> {
        for _ in 0..2 {
            let mut short = [0.0; N];
            for (short, held) in short.iter_mut().zip(&active.held) {
                let condition = if held.equal {
                    &self.equal[held.which]
                } else {
                    &self.at_least[held.which]
                };
                *short = condition.short_by(&active.x);
            }
            active.correct(&short);
        }
        let x = active.x;
        let kept = self.equal.iter().all(|c| c.short_by(&x).abs() < TRUSTED)
            && self.at_least.iter().all(|c| c.short_by(&x) < TRUSTED)
            && x.iter().all(|v| v.is_finite());
        if kept {
            Ok(x)
        } else {
            Err(NoSolution::Undecided)
        }
    }
}

/// A condition that is held, by its number.
#[derive(Clone, Copy)]
struct Held {
    which: usize,
    equal: bool,
}

/// The conditions that are held exactly, and the answer under them.
///
/// With G = LLᵀ and N the held normals, `columns` is J = L⁻ᵀQ where
/// NᵀJ = [Rᵀ 0].
struct Active<const N: usize> {
    x: [f64; N],
    /// J, column by column.
    columns: [[f64; N]; N],
    /// R, column by column; only the upper triangle counts.
    triangle: [[f64; N]; N],
    held: Vec<Held>,
    pressure: Vec<f64>,
}

/// The step that raises one condition while the held ones stay as they are.
struct Toward<const N: usize> {
    /// Jᵀ times the condition's normal.
    seen: [f64; N],
    step: [f64; N],
    /// What a whole step raises the condition by.
    gain: f64,
    movable: bool,
    /// How much each held condition gives way per unit of pressure.
    give: [f64; N],
}

impl<const N: usize> Active<N> {
    /// The optimum without conditions; `None` where G is not positive.
    fn new(gram: &[[f64; N]; N], lean: &[f64; N]) -> Option<Self> {
        // Cholesky's factor, row by row.
        let mut lower = [[0.0; N]; N];
        for i in 0..N {
            for j in 0..=i {
                let known: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
                let rest = gram[i][j] - known;
                lower[i][j] = if i == j {
                    rest.sqrt()
                } else {
                    rest / lower[j][j]
                };
            }
            let pivot = lower[i][i];
            if !(pivot.is_finite() && pivot > 0.0) {
                return None;
            }
        }
        // Column k of L⁻ᵀ solves Lᵀ c = e_k: nothing below k.
        let mut columns = [[0.0; N]; N];
        for (k, column) in columns.iter_mut().enumerate() {
            for i in (0..=k).rev() {
                let known: f64 = (i + 1..=k).map(|j| lower[j][i] * column[j]).sum();
                let one = if i == k { 1.0 } else { 0.0 };
                column[i] = (one - known) / lower[i][i];
            }
        }
        let mut x = [0.0; N];
        for column in &columns {
            let along = dot(column, lean);
            add(&mut x, column, -along);
        }
        Some(Self {
            x,
            columns,
            triangle: [[0.0; N]; N],
            held: Vec::with_capacity(N),
            pressure: Vec::with_capacity(N),
        })
    }

    fn holds(&self, which: usize) -> bool {
        self.held.iter().any(|h| h.which == which && !h.equal)
    }

    fn toward(&self, normal: &[f64; N]) -> Toward<N> {
        let q = self.held.len();
        let mut seen = [0.0; N];
        for (seen, column) in seen.iter_mut().zip(&self.columns) {
            *seen = dot(column, normal);
        }
        let mut step = [0.0; N];
        for (along, column) in seen.iter().zip(&self.columns).skip(q) {
            add(&mut step, column, *along);
        }
        let mut give = [0.0; N];
        for i in (0..q).rev() {
            let known: f64 = (i + 1..q).map(|k| self.triangle[k][i] * give[k]).sum();
            give[i] = (seen[i] - known) / self.triangle[i][i];
        }
        let left: f64 = seen[q..].iter().map(|a| a * a).sum();
        let all: f64 = left + seen[..q].iter().map(|a| a * a).sum::<f64>();
        Toward {
            seen,
            step,
            gain: left,
            movable: left > DEPENDENT * all,
            give,
        }
    }

    /// The held inequality that is let go of first on the way, and where.
    fn weakest(&self, way: &Toward<N>) -> Option<(usize, f64)> {
        let mut weakest: Option<(usize, f64)> = None;
        for (i, held) in self.held.iter().enumerate() {
            if held.equal || way.give[i] <= 1e-14 {
                continue;
            }
            let t = self.pressure[i] / way.give[i];
            if weakest.is_none_or(|(_, least)| t < least) {
                weakest = Some((i, t));
            }
        }
        weakest
    }

    fn step(&mut self, way: &Toward<N>, t: f64) {
        if way.movable {
            add(&mut self.x, &way.step, t);
        }
        for (p, give) in self.pressure.iter_mut().zip(&way.give) {
            *p -= t * give;
        }
    }

    /// Holds one condition more: rotates what is free of J until the
    /// condition sees one column only.
    fn hold(&mut self, way: Toward<N>, held: Held, pressure: f64) {
        let q = self.held.len();
        let mut seen = way.seen;
        for k in (q + 1..N).rev() {
            let (cos, sin, length) = rotation(seen[k - 1], seen[k]);
            seen[k - 1] = length;
            seen[k] = 0.0;
            rotate(&mut self.columns, k - 1, cos, sin);
        }
        self.triangle[q] = seen;
        self.held.push(held);
        self.pressure.push(pressure);
    }

    /// Lets go of one held condition and makes R a triangle again.
    fn let_go(&mut self, which: usize) {
        self.held.remove(which);
        self.pressure.remove(which);
        let q = self.held.len();
        for k in which..q {
            self.triangle[k] = self.triangle[k + 1];
        }
        for k in which..q {
            let (cos, sin, length) = rotation(self.triangle[k][k], self.triangle[k][k + 1]);
            self.triangle[k][k] = length;
            self.triangle[k][k + 1] = 0.0;
            for column in &mut self.triangle[k + 1..q] {
                let (a, b) = (column[k], column[k + 1]);
                column[k] = cos * a + sin * b;
                column[k + 1] = cos * b - sin * a;
            }
            rotate(&mut self.columns, k, cos, sin);
        }
    }

    /// The least step (in G's measure) that makes up what each held condition
    /// is short by.
    fn correct(&mut self, short: &[f64; N]) {
        let q = self.held.len();
        let mut along = [0.0; N];
        for i in 0..q {
            let known: f64 = (0..i).map(|k| self.triangle[i][k] * along[k]).sum();
            along[i] = (short[i] - known) / self.triangle[i][i];
        }
        for (along, column) in along.iter().zip(&self.columns).take(q) {
            add(&mut self.x, column, *along);
        }
    }
}

/// Cosine and sine that turn (a, b) into (length, 0).
fn rotation(a: f64, b: f64) -> (f64, f64, f64) {
    let length = (a * a + b * b).sqrt();
    if length > 0.0 {
        (a / length, b / length, length)
    } else {
        (1.0, 0.0, 0.0)
    }
}

/// Turns the columns k and k + 1.
fn rotate<const N: usize>(columns: &mut [[f64; N]; N], k: usize, cos: f64, sin: f64) {
    if let [first, second, ..] = &mut columns[k..] {
        for (a, b) in first.iter_mut().zip(second) {
            (*a, *b) = (cos * *a + sin * *b, cos * *b - sin * *a);
        }
    }
}

fn dot<const N: usize>(a: &[f64; N], b: &[f64; N]) -> f64 {
    // Four sums side by side: the same order of additions everywhere, and no
    // long chain of them.
    let mut sums = [0.0; 4];
    for i in 0..N {
        sums[i % 4] += a[i] * b[i];
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3])
}

fn add<const N: usize>(to: &mut [f64; N], other: &[f64; N], times: f64) {
    for (a, b) in to.iter_mut().zip(other) {
        *a += times * b;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn form<const N: usize>(of: [f64; N]) -> Linear<N> {
        Linear { constant: 0.0, of }
    }

    /// min ½(x² + y²) with x + y = 2 and x >= 1.5: worked by hand, (1.5, 0.5).
    #[test]
    fn a_bound_pushes_along_the_equality() {
        let mut programme = Programme::new();
        programme.add_square(&form([1.0, 0.0]), 0.5);
        programme.add_square(&form([0.0, 1.0]), 0.5);
        programme.equal(&form([1.0, 1.0]), 2.0, 0);
        programme.at_least(&form([1.0, 0.0]), 1.5, 1);
        let x = programme.minimise().unwrap();
        assert!((x[0] - 1.5).abs() < 1e-12 && (x[1] - 0.5).abs() < 1e-12);
    }

    /// (x - 3)² with x <= 1 + 1: at its bound, by hand.
    #[test]
    fn constants_of_forms_count() {
        let mut programme = Programme::new();
        let x = Linear::unknown(0, 1.0);
        programme.add_square(&x.plus(&Linear::constant(-3.0), 1.0), 1.0);
        programme.at_most(&x.plus(&Linear::constant(-1.0), 1.0), 1.0, ());
        let [x] = programme.minimise().unwrap();
        assert!((x - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_contradiction_is_named() {
        let mut programme = Programme::new();
        programme.add_square(&form([1.0]), 0.5);
        programme.at_least(&form([1.0]), 2.0, 7);
        programme.at_most(&form([1.0]), 1.0, 8);
        assert!(matches!(
            programme.minimise(),
            Err(NoSolution::Infeasible(7 | 8))
        ));
    }

    #[test]
    fn an_equality_said_twice_is_one_and_a_contradicting_one_is_named() {
        let mut programme = Programme::new();
        programme.add_square(&form([1.0, 0.0]), 1.0);
        programme.add_square(&form([0.0, 1.0]), 1.0);
        programme.equal(&form([1.0, 1.0]), 2.0, 1);
        programme.equal(&form([2.0, 2.0]), 4.0, 2);
        assert!(programme.minimise().is_ok());
        programme.equal(&form([1.0, 1.0]), 3.0, 3);
        assert_eq!(programme.minimise(), Err(NoSolution::Infeasible(3)));
    }

    proptest! {
        /// Optimality: no feasible point near the answer is better, tried
        /// along many directions (independent of how it was found).
        #[test]
        fn nothing_near_the_answer_is_better(
            lean in prop::collection::vec(-1.0..1.0f64, 16),
            off in prop::array::uniform4(-2.0..2.0f64),
            rows in prop::collection::vec((prop::array::uniform4(-1.0..1.0f64), -1.0..0.5f64), 1..9),
            level in -1.0..1.0f64,
            tries in prop::collection::vec(prop::array::uniform4(-1.0..1.0f64), 60),
        ) {
            // Squares of four forms and of each unknown: positive definite.
            let squares: Vec<Linear<4>> = (0..4)
                .map(|i| Linear { constant: off[i], of: [0, 1, 2, 3].map(|k| lean[4 * i + k]) })
                .chain((0..4).map(|i| Linear::unknown(i, 0.7)))
                .collect();
            let mut programme = Programme::new();
            for square in &squares {
                programme.add_square(square, 1.0);
            }
            let ones = form([1.0; 4]);
            programme.equal(&ones, level, 99);
            for (i, (normal, bound)) in rows.iter().enumerate() {
                programme.at_least(&form(*normal), *bound, i);
            }
            let Ok(x) = programme.minimise() else { return Ok(()) };
            let cost = |x: &[f64; 4]| -> f64 { squares.iter().map(|s| s.at(x) * s.at(x)).sum() };
            prop_assert!((ones.at(&x) - level).abs() < 1e-9);
            for (normal, bound) in &rows {
                prop_assert!(dot(normal, &x) >= bound - 1e-9);
            }
            for step in &tries {
                let mean = step.iter().sum::<f64>() / 4.0;
                let near = [0, 1, 2, 3].map(|i| x[i] + 0.01 * (step[i] - mean));
                let feasible = rows.iter().all(|(n, b)| dot(n, &near) >= *b);
                // What keeps it strictly convex may cost its own trifle.
                prop_assert!(!feasible || cost(&near) >= cost(&x) - 1e-7 * cost(&x).max(1e-6));
            }
        }

        /// What is refused can't be met: no point of a fine net meets it all.
        #[test]
        fn what_is_refused_has_no_answer(
            rows in prop::collection::vec((prop::array::uniform2(-1.0..1.0f64), 0.0..1.0f64), 3..8),
        ) {
            let mut programme = Programme::new();
            programme.add_square(&form([1.0, 0.0]), 1.0);
            programme.add_square(&form([0.0, 1.0]), 1.0);
            for (i, (normal, bound)) in rows.iter().enumerate() {
                programme.at_least(&form(*normal), *bound, i);
            }
            match programme.minimise() {
                Ok(x) => prop_assert!(rows.iter().all(|(n, b)| dot(n, &x) >= b - 1e-9)),
                Err(NoSolution::Undecided) => {}
                Err(NoSolution::Infeasible(_)) => {
                    for i in -40..=40 {
                        for j in -40..=40 {
                            let at = [f64::from(i) * 0.5, f64::from(j) * 0.5];
                            prop_assert!(rows.iter().any(|(n, b)| dot(n, &at) < b + 1e-9));
                        }
                    }
                }
            }
        }
    }
}
