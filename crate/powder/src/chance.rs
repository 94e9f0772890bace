//! Numbers that look like chance and are the same every time.

use ophryon_frames::{Front, Point};

/// Outlines that differ by less than this, in mm, get the same dots.
const SAME_MM: f64 = 1e-3;

/// SplitMix64: Steele, Lea and Flood, "Fast splittable pseudorandom number
/// generators", OOPSLA 2014; the constants are from memory.
#[derive(Debug, Clone)]
pub(crate) struct Chance(u64);

impl Chance {
    /// Seeded by a shape, and by nothing else.
    pub(crate) fn of_shape(rings: &[Vec<Point<Front>>]) -> Self {
        let mut chance = Self(rings.len() as u64);
        for p in rings.iter().flatten() {
            for value in [p.x, p.y] {
                // As the other side's mirror image it has the same dots.
                let steps = (value.abs() / SAME_MM).round() as u64;
                chance.0 = chance.next() ^ steps;
            }
        }
        chance
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 to under 1.
    pub(crate) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
}
