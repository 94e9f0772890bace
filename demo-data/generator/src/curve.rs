//! Smooth curves through tabled values, and the soft steps the surface is built of.

/// A smooth curve through tabled values (piecewise cubic Hermite with the
/// slope limiting of Fritsch and Carlson, SIAM J Numer Anal 17, 1980): it has
/// no wiggles that the table has not.
#[derive(Debug, Clone)]
pub struct Curve {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

impl Curve {
    /// `points` in rising x, at least two.
    pub fn through(points: &[(f64, f64)]) -> Self {
        let n = points.len();
        let x: Vec<f64> = points.iter().map(|p| p.0).collect();
        let y: Vec<f64> = points.iter().map(|p| p.1).collect();
        let chord: Vec<f64> = (0..n - 1)
            .map(|i| (y[i + 1] - y[i]) / (x[i + 1] - x[i]))
            .collect();
        let mut slope = vec![0.0; n];
        slope[0] = chord[0];
        slope[n - 1] = chord[n - 2];
        for i in 1..n - 1 {
            let (a, b) = (chord[i - 1], chord[i]);
            if a * b > 0.0 {
                // Weighted harmonic mean, which keeps each piece monotone.
                let (ha, hb) = (x[i] - x[i - 1], x[i + 1] - x[i]);
                let (wa, wb) = (2.0 * hb + ha, hb + 2.0 * ha);
                slope[i] = (wa + wb) / (wa / a + wb / b);
            }
        }
        Self { x, y, slope }
    }

    /// Value at `at`; beyond the ends the curve goes on level.
    pub fn at(&self, at: f64) -> f64 {
        let n = self.x.len();
        if at <= self.x[0] {
            return self.y[0];
        }
        if at >= self.x[n - 1] {
            return self.y[n - 1];
        }
        let i = self.x.partition_point(|&v| v <= at) - 1;
        hermite(
            at,
            (self.x[i], self.y[i], self.slope[i]),
            (self.x[i + 1], self.y[i + 1], self.slope[i + 1]),
        )
    }
}

/// Cubic between two points `(x, y, slope)`.
pub fn hermite(at: f64, from: (f64, f64, f64), to: (f64, f64, f64)) -> f64 {
    let h = to.0 - from.0;
    let t = (at - from.0) / h;
    let (t2, t3) = (t * t, t * t * t);
    from.1 * (2.0 * t3 - 3.0 * t2 + 1.0)
        + from.2 * h * (t3 - 2.0 * t2 + t)
        + to.1 * (3.0 * t2 - 2.0 * t3)
        + to.2 * h * (t3 - t2)
}

/// 0 below `from`, 1 above `to`, smooth between (also for `from > to`).
pub fn step(from: f64, to: f64, at: f64) -> f64 {
    let t = ((at - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// Straight mixture.
pub fn mix(a: f64, b: f64, t: f64) -> f64 {
    a + (b - a) * t
}

/// A hill of height 1 that ends smoothly where `q` (squared relative distance) is 1.
pub fn hill(q: f64) -> f64 {
    if q >= 1.0 {
        0.0
    } else {
        let r = 1.0 - q;
        r * r * r
    }
}

/// Elliptical hill around `(cx, cy)` that reaches zero at `rx`, `ry`.
pub fn hill_at(x: f64, y: f64, cx: f64, cy: f64, rx: f64, ry: f64) -> f64 {
    let (dx, dy) = ((x - cx) / rx, (y - cy) / ry);
    hill(dx * dx + dy * dy)
}

/// The larger of two heights with the seam rounded over about `k` mm.
pub fn soft_max(a: f64, b: f64, k: f64) -> f64 {
    let h = (k - (a - b).abs()).max(0.0) / k;
    a.max(b) + h * h * k * 0.25
}

/// Front of an ellipsoid of unit depth: `sqrt(1 - q)`, going on steeply
/// beyond the rim so that soft seams have something to meet.
pub fn dome(q: f64) -> f64 {
    const RIM: f64 = 0.94;
    if q < RIM {
        (1.0 - q).sqrt()
    } else {
        let edge = (1.0f64 - RIM).sqrt();
        edge - (q - RIM) / (2.0 * edge)
    }
}
