//! Several rings as one closed line, as a record keeps them, and back.
//!
//! Where hair grows in pieces or leaves a patch bare, the rings are joined by
//! a line that goes there and back on the same places: it bounds nothing, and
//! its ends, which come twice, tell where the rings are to be parted.

use ophryon_frames::{Photo as Px, Point};

type Ring = Vec<Point<Px>>;

/// All rings as one line, the first ring first.
pub fn joined(rings: &[Ring]) -> Ring {
    let mut left: Vec<&Ring> = rings.iter().filter(|r| r.len() >= 3).collect();
    if left.is_empty() {
        return Vec::new();
    }
    let mut all = left.remove(0).clone();
    while !left.is_empty() {
        let mut best = (f64::INFINITY, 0, 0, 0);
        for (which, ring) in left.iter().enumerate() {
            for (from, a) in all.iter().enumerate() {
                for (to, b) in ring.iter().enumerate() {
                    let far = a.distance(*b);
                    if far < best.0 {
                        best = (far, which, from, to);
                    }
                }
            }
        }
        let (_, which, from, to) = best;
        let ring = left.remove(which);
        let round = ring[to..].iter().chain(&ring[..=to]).copied();
        let bridge: Ring = round.chain([all[from]]).collect();
        all.splice(from + 1..from + 1, bridge);
    }
    all
}

/// The rings of a line made by [`joined`], or of any other.
pub fn parted(line: &[Point<Px>]) -> Vec<Ring> {
    let mut rings = Vec::new();
    let mut walked: Ring = Vec::new();
    for p in line {
        match walked.iter().rposition(|q| q == p) {
            Some(before) => {
                let ring = walked.split_off(before + 1);
                // There and back on one line is no ring.
                if ring.len() >= 2 {
                    rings.push(std::iter::once(*p).chain(ring).collect());
                }
            }
            None => walked.push(*p),
        }
    }
    if walked.len() >= 3 {
        rings.insert(0, walked);
    }
    rings
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, half: f64) -> Ring {
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|(a, b)| Point::new(x + a * half, y + b * half))
            .to_vec()
    }

    fn area(ring: &Ring) -> f64 {
        let next = ring.iter().cycle().skip(1);
        0.5 * ring
            .iter()
            .zip(next)
            .map(|(a, b)| a.x * b.y - a.y * b.x)
            .sum::<f64>()
    }

    fn sorted(rings: &[Ring]) -> Vec<i64> {
        let mut areas: Vec<i64> = rings.iter().map(|r| area(r).round() as i64).collect();
        areas.sort_unstable();
        areas
    }

    #[test]
    fn pieces_and_bare_patches_come_back_as_they_were() {
        let mut hole = square(5.0, 0.0, 2.0);
        hole.reverse();
        let rings = vec![
            square(0.0, 0.0, 10.0),
            square(40.0, 0.0, 5.0),
            hole,
            square(55.0, 3.0, 1.0),
        ];
        let line = joined(&rings);
        // The line as a whole bounds what the rings do.
        let all: f64 = rings.iter().map(area).sum();
        assert!((area(&line) - all).abs() < 1e-9);
        let again = parted(&line);
        assert_eq!(sorted(&again), sorted(&rings));
        assert_eq!(sorted(&parted(&joined(&again))), sorted(&rings));
    }

    #[test]
    fn one_ring_stays_one_and_nothing_stays_nothing() {
        let ring = square(0.0, 0.0, 3.0);
        assert_eq!(joined(std::slice::from_ref(&ring)), ring);
        assert_eq!(parted(&ring), [ring]);
        assert_eq!(joined(&[]), []);
        assert!(parted(&[]).is_empty());
    }
}
