//! From values on a grid to closed lines round what lies above a level, and
//! lines with no more points than they need.

use std::collections::BTreeMap;

use ophryon_frames::{Photo, Point};

use crate::plane::Plane;

/// Closed lines where a plane's values pass through a level, in px of the
/// photo: counter-clockwise on the screen round what is above, clockwise
/// round holes; beyond the grid everything is below.
///
/// Source: marching squares (Lorensen and Cline 1987 in the plane), saddles
/// decided by the mean of their corners.
pub fn rings(plane: &Plane, level: f32) -> Vec<Vec<Point<Photo>>> {
    let (w, h) = (plane.width as i64, plane.height as i64);
    let value = |c: i64, r: i64| {
        if c < 0 || r < 0 || c >= w || r >= h {
            -1.0
        } else {
            plane.values[(r * w + c) as usize] - level
        }
    };
    // Each crossing lies on an edge of the grid, named by its first corner
    // and whether it runs down.
    type Edge = (i64, i64, bool);
    let mut next: BTreeMap<Edge, Edge> = BTreeMap::new();
    for r in -1..h {
        for c in -1..w {
            let corners = [
                value(c, r),
                value(c + 1, r),
                value(c + 1, r + 1),
                value(c, r + 1),
            ];
            let above = corners.map(|v| v >= 0.0);
            if above == [true; 4] || above == [false; 4] {
                continue;
            }
            let edges: [Edge; 4] = [
                (c, r, false),
                (c + 1, r, true),
                (c, r + 1, false),
                (c, r, true),
            ];
            let saddle = above[0] == above[2] && above[1] == above[3];
            let joined = corners.iter().sum::<f32>() >= 0.0;
            // Round each corner or run of corners above: in where, walking
            // round the cell, values rise, out where they fall.
            for i in 0..4 {
                let rises = !above[i] && above[(i + 1) % 4];
                if !rises {
                    continue;
                }
                let mut j = (i + 1) % 4;
                while above[(j + 1) % 4] {
                    j = (j + 1) % 4;
                }
                let mut out = j;
                if saddle && joined {
                    // Across the saddle: to the fall before this rise.
                    out = (i + 3) % 4;
                }
                next.insert(edges[i], edges[out]);
            }
        }
    }
    let place = |(c, r, down): Edge| {
        let (c1, r1) = if down { (c, r + 1) } else { (c + 1, r) };
        let (a, b) = (f64::from(value(c, r)), f64::from(value(c1, r1)));
        let t = if a == b {
            0.5
        } else {
            (a / (a - b)).clamp(0.0, 1.0)
        };
        let (u, v) = (c as f64 + 0.5, r as f64 + 0.5);
        plane.photo(if down { (u, v + t) } else { (u + t, v) })
    };
    let mut rings = Vec::new();
    while let Some((first, mut at)) = next.pop_first() {
        let mut ring = vec![place(first)];
        while at != first {
            ring.push(place(at));
            match next.remove(&at) {
                Some(n) => at = n,
                None => break,
            }
        }
        rings.push(ring);
    }
    rings
}
