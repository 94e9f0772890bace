//! Lengths over the skin, measured on the drawn surface itself by dense
//! polylines. No wrap, no cylinder, nothing of the product.

use crate::head::{Head, Side};
use crate::surface::Face;
use crate::vec3::{Vec3, v3};

/// Segments of a dense polyline; the brow's 50 mm then have an error below 1e-4 mm.
const DENSE: usize = 1500;
/// Nodes of a shortest path.
const NODES: usize = 65;

/// Length over the skin above a frontal path given as (x, y) for t from 0 to 1.
pub fn length_over(face: &Face, path: impl Fn(f64) -> (f64, f64)) -> f64 {
    let mut sum = 0.0;
    let mut last: Option<Vec3> = None;
    for i in 0..=DENSE {
        let (x, y) = path(i as f64 / DENSE as f64);
        let p = face.point(x, y);
        if let Some(q) = last {
            sum += p.distance(q);
        }
        last = Some(p);
    }
    sum
}

/// Horizontal section from the midline to (x, y): what a tape laid level over
/// the skin reads. Never negative.
pub fn level_from_midline(face: &Face, x: f64, y: f64) -> f64 {
    length_over(face, |t| (x * t, y))
}

/// Level distance over the skin from the midline to the middle of the ear:
/// round the temple at the height of the brow's tail to the side of the head,
/// then straight back.
pub fn ear_from_midline(head: &Head, face: &Face, side: Side) -> f64 {
    let y = head.side(side).brow.tail.height;
    let half = face.half_breadth(y).unwrap_or(0.0);
    // Even steps of the angle, so that the steep end is as dense as the front.
    let round = length_over(face, |t| {
        (
            side.sign() * half * libm::sin(t * std::f64::consts::FRAC_PI_2) * (1.0 - 1e-12),
            y,
        )
    });
    let edge = face.point(side.sign() * half, y).z;
    round + (edge - head.face.ear.2).max(0.0)
}

/// Centre line of the hair from start to tail: length seen from the front and
/// over the skin.
pub fn centre_line(head: &Head, face: &Face, side: Side) -> (f64, f64) {
    let brow = head.brow_now(side);
    let path = |t: f64| {
        let s = brow.centre(t);
        (side.sign() * s.lateral, s.height)
    };
    let flat = (0..DENSE)
        .map(|i| {
            let (a, b) = (
                path(i as f64 / DENSE as f64),
                path((i + 1) as f64 / DENSE as f64),
            );
            v3(a.0, a.1, 0.0).distance(v3(b.0, b.1, 0.0))
        })
        .sum();
    (flat, length_over(face, path))
}

/// Shortest way over the skin between two places seen from the front: what a
/// tape pulled taut reads. Found by moving the nodes of a polyline sideways
/// until it gets no shorter, coarse to fine.
pub fn shortest(face: &Face, from: (f64, f64), to: (f64, f64)) -> f64 {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let chord = libm::hypot(dx, dy);
    if chord == 0.0 {
        return 0.0;
    }
    let (nx, ny) = (-dy / chord, dx / chord);
    let mut off = vec![0.0; NODES];
    let node = |i: usize, o: f64| {
        let t = i as f64 / (NODES - 1) as f64;
        face.point(from.0 + t * dx + o * nx, from.1 + t * dy + o * ny)
    };
    let mut stride = (NODES - 1) / 2;
    while stride >= 1 {
        for _ in 0..40 {
            let mut i = stride;
            while i < NODES - 1 {
                let (a, b) = (
                    node(i - stride, off[i - stride]),
                    node(i + stride, off[i + stride]),
                );
                let len = |o: f64| {
                    let p = node(i, o);
                    p.distance(a) + p.distance(b)
                };
                // Newton on three samples; the length is convex sideways.
                const H: f64 = 0.05;
                let (l0, lm, lp) = (len(off[i]), len(off[i] - H), len(off[i] + H));
                let bend = lp - 2.0 * l0 + lm;
                if bend > 1e-12 {
                    off[i] -= (0.5 * H * (lp - lm) / bend).clamp(-1.0, 1.0);
                }
                i += stride;
            }
        }
        if stride > 1 {
            let half = stride / 2;
            let mut i = half;
            while i < NODES - 1 {
                off[i] = 0.5 * (off[i - half] + off[i + half]);
                i += stride;
            }
        }
        stride /= 2;
    }
    let offset = |t: f64| {
        let u = t * (NODES - 1) as f64;
        let i = (u as usize).min(NODES - 2);
        off[i] + (off[i + 1] - off[i]) * (u - i as f64)
    };
    length_over(face, |t| {
        let o = offset(t);
        (from.0 + t * dx + o * nx, from.1 + t * dy + o * ny)
    })
}
