//! Numbers drawn by lot, the same ones everywhere and always.

/// SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number
/// generators, OOPSLA 2014; constants from memory). Whole-number arithmetic
/// only, so no machine can differ.
pub struct Lot {
    state: u64,
}

impl Lot {
    /// The same seed draws the same numbers.
    pub const fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    /// Any 64 bits.
    pub const fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From `least` to just under `most`, evenly. 53 bits fit a double exactly.
    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        let share = (self.bits() >> 11) as f64 / (1_u64 << 53) as f64;
        least + share * (most - least)
    }

    /// One in `n`.
    pub const fn one_in(&mut self, n: u64) -> bool {
        self.bits().is_multiple_of(n)
    }

    /// One of them.
    pub fn of<T: Copy, const N: usize>(&mut self, all: [T; N]) -> T {
        all[(self.bits() % N as u64) as usize]
    }
}
