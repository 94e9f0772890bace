//! Hairs drawn one by one: brows, lashes, the soft edge of the hairline.

use super::Scene;
use super::hair_paint::flow;
use super::stroke::{Canvas, Hair};
use super::trace::hairline;
use crate::chance::Chance;
use crate::curve::{mix, step};
use crate::hair::HairStyle;
use crate::head::{Brow, Side};
use crate::vec3::v3;

/// Draws all single hairs.
pub fn draw(scene: &Scene, canvas: &mut Canvas) {
    hairline_hairs(scene, canvas);
    for side in Side::BOTH {
        brow(scene, side, canvas);
        lashes(scene, side, canvas);
    }
}

/// Which way a brow hair grows, radians from lateral toward up (side-neutral):
/// nearly upright at the start, then along the brow; upper hairs lean down,
/// lower hairs up, so that they meet.
fn growth(brow: &Brow, l: f64, h: f64) -> f64 {
    let t = brow.along(l).clamp(0.0, 1.0);
    let (top, low) = (brow.upper(l), brow.lower(l));
    let v = ((h - low) / (top - low).max(0.2)).clamp(0.0, 1.0);
    let ahead = brow.centre((t + 0.06).min(1.0));
    let here = brow.centre((t - 0.02).max(0.0));
    let axis = libm::atan2(ahead.height - here.height, ahead.lateral - here.lateral);
    let upright = 1.38 - 0.25 * v;
    let body = axis + mix(0.62, -0.42, step(0.15, 0.95, v)) * mix(1.0, 0.55, t);
    mix(upright, body, step(0.02, 0.30, t))
}

fn brow(scene: &Scene, side: Side, canvas: &mut Canvas) {
    let head = scene.head;
    let brow = head.brow_now(side);
    // At rest and in use the same hairs: they are placed on the brow at rest.
    let rest = head.side(side).brow;
    let mut chance = Chance::new(head.seed.wrapping_mul(977) + 5 + u64::from(side == Side::Left));
    let count = (rest.area() * rest.density) as usize;
    let px = scene.px_per_mm;
    let place = |l: f64, h: f64, lift: f64| {
        let p = scene.face.point(side.sign() * l, h);
        scene.camera.project(p + v3(0.0, 0.0, lift))
    };
    let from = rest.start_bottom.lateral.min(rest.start_top.lateral);
    // First the body of the brow, then hairs along its borders, so that hair
    // reaches everywhere the outline says.
    let bodies = count;
    let edges = count * 2 / 5;
    let mut made = 0;
    for _ in 0..(count + edges) * 6 {
        if made >= bodies + edges {
            break;
        }
        let along_border = made >= bodies;
        let l0 = chance.between(from, rest.tail.lateral);
        let (share, which) = (chance.unit(), chance.unit());
        let (low, top) = (rest.lower(l0), rest.upper(l0));
        let share = match (along_border, which < 0.6) {
            (false, _) => share,
            (true, true) => share * 0.5 / (top - low).max(0.6),
            (true, false) => 1.0 - (0.3 + share * 1.2) / (top - low).max(1.6),
        };
        let h0 = mix(low, top, share);
        // As many hairs where the brow is narrow as its breadth holds.
        let keep = if along_border { 1.0 } else { (top - low) / 8.5 };
        let dice = chance.unit();
        let (long, lean, bend, wide, tint) = (
            chance.around(6.2, 1.1),
            chance.around(0.0, 0.13),
            chance.around(-0.05, 0.05),
            chance.around(0.066, 0.014),
            chance.around(1.0, 0.2),
        );
        if dice > keep || !rest.contains(l0, h0) {
            continue;
        }
        made += 1;
        // The same place in the brow as it is now.
        let h0 = mix(brow.lower(l0), brow.upper(l0), share);
        let t = brow.along(l0);
        let long = long
            * mix(1.0, 0.72, step(0.55, 1.0, t))
            * mix(0.8, 1.0, step(0.0, 0.2, t))
            * if along_border { 0.72 } else { 1.0 };
        let mut angle = growth(&brow, l0, h0) + lean;
        let (mut l, mut h) = (l0, h0);
        let steps = 14;
        let mut path = vec![place(l, h, 0.1)];
        for i in 1..=steps {
            let stride = long / f64::from(steps);
            let ahead = |angle: f64| {
                let (s, c) = libm::sincos(angle);
                (l + c * stride, h + s * stride)
            };
            let mut next = ahead(angle);
            // No hair leaves the outline that the truth gives: it bends along the border.
            if !brow.contains(next.0, next.1) {
                angle -= 0.35;
                next = ahead(angle);
            }
            if !brow.contains(next.0, next.1) {
                break;
            }
            (l, h) = next;
            let toward = growth(&brow, l, h) + lean;
            angle += (toward - angle) * 0.25 + bend * 0.4;
            path.push(place(l, h, 0.1 + 0.5 * f64::from(i) / f64::from(steps)));
        }
        if path.len() < 3 {
            continue;
        }
        // Finer and fewer at the very start and at the tail's end.
        let strength = mix(0.52, 1.0, step(0.0, 0.22, t))
            * mix(1.0, 0.8, step(0.85, 1.0, t))
            * if along_border { 0.8 } else { 1.0 };
        canvas.hair(&Hair {
            path: &path,
            root: wide * px,
            tip: wide * 0.35 * px,
            cover: 0.86 * strength,
            colour: head.hair.brow.map(|c| c * tint),
            shine: 0.9,
        });
    }
}

fn lashes(scene: &Scene, side: Side, canvas: &mut Canvas) {
    let head = scene.head;
    let eye = scene.face.eye(side);
    let px = scene.px_per_mm;
    let mut chance = Chance::new(head.seed.wrapping_mul(613) + 77 + u64::from(side == Side::Left));
    let width = eye.outer.lateral - eye.inner.lateral;
    for upper in [false, true] {
        let count = if upper { 150 } else { 52 };
        for i in 0..count {
            let even = (f64::from(i) + chance.between(0.0, 1.0)) / f64::from(count);
            let t = if upper {
                mix(0.15, 1.0, even)
            } else {
                mix(0.30, 0.99, even)
            };
            let l = eye.inner.lateral + t * width;
            // They fan out: toward the nose at the inner end, toward the temple at the outer.
            let fan = (t - 0.40) * 1.5 + chance.around(0.0, 0.16);
            let (y, long) = if upper {
                let long = mix(2.6, 5.4, step(0.05, 0.8, t)) * chance.around(1.0, 0.16);
                (eye.upper_margin(l) + chance.between(-0.15, 0.35), long)
            } else {
                (
                    eye.lower_margin(l) - eye.rim_breadth(l),
                    1.9 * chance.around(1.0, 0.22),
                )
            };
            let (s, c) = libm::sincos(fan);
            let root = scene.face.point(side.sign() * l, y);
            let path: Vec<(f64, f64)> = (0..=9)
                .map(|k| {
                    let q = f64::from(k) / 9.0;
                    // Forward and a little down first, then curling up.
                    let rise = if upper {
                        c.max(0.35) * long * (0.92 * q * q - 0.24 * q)
                    } else {
                        -c.max(0.35) * long * (0.5 * q + 0.4 * q * q)
                    };
                    let out = side.sign() * long * s * (0.45 * q + 0.45 * q * q);
                    scene.camera.project(root + v3(out, rise, long * 0.8 * q))
                })
                .collect();
            canvas.hair(&Hair {
                path: &path,
                root: if upper { 0.085 } else { 0.045 } * px,
                tip: 0.02 * px,
                cover: if upper { 0.92 } else { 0.55 },
                colour: head.hair.lash,
                shine: 0.6,
            });
        }
    }
}

/// Short hairs that soften the hairline, and longer ones over the head.
fn hairline_hairs(scene: &Scene, canvas: &mut Canvas) {
    let head = scene.head;
    let px = scene.px_per_mm;
    let style = head.hair.style;
    let mut chance = Chance::new(head.seed.wrapping_mul(431) + 3);
    let count = if style == HairStyle::Band {
        5200
    } else {
        11000
    };
    for _ in 0..count {
        let x = chance.between(-80.0, 80.0);
        let y = chance.between(2.0, 126.0);
        let (long, lean, tint, wide) = (
            chance.between(7.0, 26.0),
            chance.around(0.0, 0.07),
            chance.between(0.6, 1.7),
            chance.between(0.035, 0.075),
        );
        let e = hairline(x, y);
        let edge = e < 1.05;
        let hidden = style == HairStyle::Band && e < 1.29;
        if e < 0.97 || hidden {
            continue;
        }
        let depth = |x: f64, y: f64| {
            let (a, b) = (scene.face.plain(x, y), scene.face.hair_depth(x, y));
            match (a, b) {
                (Some(a), Some(b)) => Some(a.max(b)),
                (a, b) => b.or(a),
            }
        };
        let long = if edge { long * 0.45 } else { long };
        let (mut px_x, mut px_y) = (x, y);
        let mut path = Vec::new();
        for _ in 0..10 {
            let Some(z) = depth(px_x, px_y) else { break };
            path.push(scene.camera.project(v3(px_x, px_y, z + 0.3)));
            let ((fx, fy), _) = flow(style, px_x, px_y);
            let (s, c) = libm::sincos(lean);
            px_x += (fx * c - fy * s) * long / 10.0;
            px_y += (fx * s + fy * c) * long / 10.0;
        }
        canvas.hair(&Hair {
            path: &path,
            root: wide * px * if edge { 0.7 } else { 1.0 },
            tip: wide * 0.6 * px,
            cover: if edge { 0.55 } else { 0.45 },
            colour: head.hair.colour.map(|c| c * tint),
            shine: 0.95,
        });
    }
}
