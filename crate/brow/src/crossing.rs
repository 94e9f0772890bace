//! Where a straight line crosses a cubic.
//!
//! With additions, multiplications, divisions and square roots only, so that
//! the thickness read in the browser and on the command line is the same to
//! the last bit. General solvers take roots and cosines from the system, and
//! lose half their digits on cubics that are nearly straight, as ours are.

/// Rounds before a bracket is as narrow as numbers allow; halving alone needs
/// about sixty.
const MAX_ROUNDS: u32 = 80;

/// A cubic's one coordinate by its Bernstein coefficients, over 0..=1.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bernstein(pub [f64; 4]);

impl Bernstein {
    /// By de Casteljau's construction.
    pub(crate) fn at(&self, t: f64) -> f64 {
        let [a, b, c, d] = self.0;
        let mix = |p: f64, q: f64| p + (q - p) * t;
        let (ab, bc, cd) = (mix(a, b), mix(b, c), mix(c, d));
        mix(mix(ab, bc), mix(bc, cd))
    }

    /// A third of the derivative.
    fn slope(&self, t: f64) -> f64 {
        let [a, b, c, d] = self.0;
        let mix = |p: f64, q: f64| p + (q - p) * t;
        mix(mix(b - a, c - b), mix(c - b, d - c))
    }

    /// Where it changes its sign; 0 counts as above, so that a line through
    /// the joint of two cubics meets them once.
    pub(crate) fn sign_changes(&self) -> Vec<f64> {
        let mut knots = vec![0.0];
        knots.extend(self.turns());
        knots.push(1.0);
        knots
            .windows(2)
            .filter(|w| (self.at(w[0]) < 0.0) != (self.at(w[1]) < 0.0))
            .map(|w| self.root(w[0], w[1]))
            .collect()
    }

    /// Where it stops rising or falling, in order, within 0..1.
    fn turns(&self) -> Vec<f64> {
        let [a, b, c, d] = self.0;
        let (square, linear, constant) =
            ((d - c) - 2.0 * (c - b) + (b - a), c - b - (b - a), b - a);
        let under_root = linear * linear - square * constant;
        if under_root.is_nan() || under_root <= 0.0 {
            return Vec::new();
        }
        // The larger root first: no digits cancel.
        let far = -(linear + under_root.sqrt().copysign(linear));
        let mut turns = vec![far / square, constant / far];
        turns.retain(|t| *t > 0.0 && *t < 1.0);
        turns.sort_by(f64::total_cmp);
        turns
    }

    /// The place between two others of different signs where it is 0: Newton's
    /// steps, halved where they leave the bracket.
    fn root(&self, mut low: f64, mut high: f64) -> f64 {
        let rising = self.at(low) < 0.0;
        let mut t = 0.5 * (low + high);
        for _ in 0..MAX_ROUNDS {
            let value = self.at(t);
            if (value < 0.0) == rising {
                low = t;
            } else {
                high = t;
            }
            let step = t - value / (3.0 * self.slope(t));
            let next = if step > low && step < high {
                step
            } else {
                0.5 * (low + high)
            };
            if next == t {
                break;
            }
            t = next;
        }
        t
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// (t - 1/4)(t - 1/2)(t - 3/4) by hand: t³ - 1.5 t² + 0.6875 t - 0.09375.
    #[test]
    fn three_known_roots_are_found() {
        let (c0, c1, c2, c3) = (-0.09375, 0.6875, -1.5, 1.0);
        let cubic = Bernstein([
            c0,
            c0 + c1 / 3.0,
            c0 + 2.0 * c1 / 3.0 + c2 / 3.0,
            c0 + c1 + c2 + c3,
        ]);
        let found = cubic.sign_changes();
        assert_eq!(found.len(), 3);
        for (t, known) in found.iter().zip([0.25, 0.5, 0.75]) {
            assert!((t - known).abs() < 1e-14, "{t}");
        }
    }

    #[test]
    fn a_straight_run_is_crossed_where_it_is_zero() {
        let found = Bernstein([-1.0, 0.0, 1.0, 2.0]).sign_changes();
        assert!(found.len() == 1 && (found[0] - 1.0 / 3.0).abs() < 1e-15);
        assert_eq!(Bernstein([0.0; 4]).sign_changes(), Vec::<f64>::new());
        assert_eq!(Bernstein([f64::NAN; 4]).sign_changes(), Vec::<f64>::new());
    }

    proptest! {
        #[test]
        fn every_sign_change_is_a_zero(of in prop::array::uniform4(-9.0..9.0f64)) {
            let cubic = Bernstein(of);
            let found = cubic.sign_changes();
            for t in &found {
                prop_assert!((0.0..=1.0).contains(t) && cubic.at(*t).abs() < 1e-12);
            }
            // As many as a fine comb feels.
            let comb = (0..4000).map(|i| cubic.at(f64::from(i) / 4000.0) < 0.0);
            let last = cubic.at(1.0) < 0.0;
            let signs: Vec<bool> = comb.chain([last]).collect();
            let felt = signs.windows(2).filter(|w| w[0] != w[1]).count();
            prop_assert!(found.len() >= felt && (found.len() - felt).is_multiple_of(2));
        }
    }
}
