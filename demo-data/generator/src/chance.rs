//! Repeatable chance: a seeded generator and lattice noise, the same on every machine.

/// SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number
/// generators, OOPSLA 2014). Small, seedable, good enough for pictures and
/// simulated taps.
#[derive(Debug, Clone)]
pub struct Chance {
    state: u64,
}

fn mix(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

impl Chance {
    /// The same seed gives the same sequence.
    pub fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        mix(self.state)
    }

    /// Evenly spread in `[0, 1)`.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Evenly spread in `[low, high)`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Standard normal (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * libm::log(1.0 - self.unit())).sqrt();
        radius * libm::cos(std::f64::consts::TAU * self.unit())
    }

    /// Normal with this mean and standard deviation, redrawn into mean ± 2.5 SD
    /// so that every draw is a plausible face.
    pub fn around(&mut self, mean: f64, sd: f64) -> f64 {
        loop {
            let n = self.normal();
            if n.abs() <= 2.5 {
                return mean + sd * n;
            }
        }
    }
}

fn lattice(ix: i64, iy: i64, seed: u64) -> f64 {
    let key = (ix as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15)
        ^ (iy as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F)
        ^ seed.wrapping_mul(0x1656_67B1_9E37_79F9);
    (mix(key) >> 40) as f64 / (1u64 << 24) as f64 * 2.0 - 1.0
}

/// Smooth value noise in `[-1, 1]`, one lattice cell per unit.
pub fn noise(x: f64, y: f64, seed: u64) -> f64 {
    let (fx, fy) = (x.floor(), y.floor());
    let (ix, iy) = (fx as i64, fy as i64);
    let ease = |t: f64| t * t * (3.0 - 2.0 * t);
    let (u, v) = (ease(x - fx), ease(y - fy));
    let a = lattice(ix, iy, seed);
    let b = lattice(ix + 1, iy, seed);
    let c = lattice(ix, iy + 1, seed);
    let d = lattice(ix + 1, iy + 1, seed);
    let low = a + (b - a) * u;
    let high = c + (d - c) * u;
    low + (high - low) * v
}

/// Several octaves of [`noise`], about `[-1, 1]`.
pub fn fractal(x: f64, y: f64, octaves: u32, seed: u64) -> f64 {
    let (mut sum, mut weight, mut scale, mut total) = (0.0, 1.0, 1.0, 0.0);
    for k in 0..octaves {
        sum += weight * noise(x * scale, y * scale, seed.wrapping_add(u64::from(k) * 7919));
        total += weight;
        weight *= 0.5;
        scale *= 2.03;
    }
    sum / total
}
