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
    let mut made = 0;
    for _ in 0..count * 6 {
        if made >= count {
            break;
        }
        let l0 = chance.between(from, rest.tail.lateral);
        let share = chance.unit();
        let (low, top) = (rest.lower(l0), rest.upper(l0));
        let h0 = mix(low, top, share);
        // As many hairs where the brow is narrow as its breadth holds.
        let keep = (top - low) / 8.5;
        let dice = chance.unit();
        let (long, lean, bend, wide, tint) = (
            chance.around(6.2, 1.1),
            chance.around(0.0, 0.13),
            chance.around(-0.05, 0.05),
            chance.around(0.062, 0.012),
            chance.around(1.0, 0.18),
        );
        if dice > keep || !rest.contains(l0, h0) {
            continue;
        }
        made += 1;
        // The same place in the brow as it is now.
        let h0 = mix(brow.lower(l0), brow.upper(l0), share);
        let t = brow.along(l0);
        let long = long * mix(1.0, 0.72, step(0.55, 1.0, t)) * mix(0.8, 1.0, step(0.0, 0.2, t));
        let mut angle = growth(&brow, l0, h0) + lean;
        let (mut l, mut h) = (l0, h0);
        let steps = 14;
        let mut path = vec![place(l, h, 0.1)];
        for i in 1..=steps {
            let (s, c) = libm::sincos(angle);
            let (nl, nh) = (
                l + c * long / f64::from(steps),
                h + s * long / f64::from(steps),
            );
            // No hair leaves the outline that the truth gives.
            if !brow.contains(nl, nh) {
                break;
            }
            (l, h) = (nl, nh);
            let toward = growth(&brow, l, h) + lean;
            angle += (toward - angle) * 0.25 + bend * 0.4;
            path.push(place(l, h, 0.1 + 0.5 * f64::from(i) / f64::from(steps)));
        }
        if path.len() < 3 {
            continue;
        }
        // Finer and fewer at the very start and at the tail's end.
        let strength = mix(0.72, 1.0, step(0.0, 0.16, t)) * mix(1.0, 0.8, step(0.85, 1.0, t));
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
    let place = |l: f64, y: f64, forward: f64| {
        let p = scene.face.point(side.sign() * l, y);
        scene.camera.project(p + v3(0.0, 0.0, forward))
    };
    let width = eye.outer.lateral - eye.inner.lateral;
    for upper in [false, true] {
        let count = if upper { 96 } else { 44 };
        for i in 0..count {
            let even = (f64::from(i) + chance.between(0.1, 0.9)) / f64::from(count);
            let t = if upper {
                mix(0.10, 1.0, even)
            } else {
                mix(0.30, 0.98, even)
            };
            let l = eye.inner.lateral + t * width;
            let fan = (t - 0.42) * 1.15 + chance.around(0.0, 0.10);
            let (y, long, up) = if upper {
                let long = mix(2.2, 4.3, step(0.05, 0.75, t)) * chance.around(1.0, 0.14);
                (eye.upper_margin(l) + 0.15, long, 1.0)
            } else {
                (
                    eye.lower_margin(l) - eye.rim_breadth(l),
                    1.7 * chance.around(1.0, 0.2),
                    -1.0,
                )
            };
            let (s, c) = libm::sincos(fan);
            let root = scene.face.point(side.sign() * l, y);
            let base = scene.camera.project(root);
            let _ = place;
            let path: Vec<(f64, f64)> = (0..=7)
                .map(|k| {
                    let q = f64::from(k) / 7.0;
                    // Out and a little down first, then curling up.
                    let rise = if upper {
                        long * (q * q * 1.05 - 0.22 * q)
                    } else {
                        long * q * 0.9
                    };
                    let side_way = long * s * q * (0.55 + 0.3 * q);
                    let p = root
                        + v3(
                            side.sign() * side_way,
                            up * rise * c.max(0.3),
                            long * 0.8 * q,
                        );
                    scene.camera.project(p)
                })
                .collect();
            debug_assert!(base.0.is_finite());
            canvas.hair(&Hair {
                path: &path,
                root: if upper { 0.075 } else { 0.042 } * px,
                tip: 0.018 * px,
                cover: if upper { 0.9 } else { 0.5 },
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
    let count = if style == HairStyle::Band { 2600 } else { 7000 };
    for i in 0..count {
        let x = chance.between(-80.0, 80.0);
        let y = chance.between(2.0, 126.0);
        let (long, lean, tint, wide) = (
            chance.between(7.0, 26.0),
            chance.around(0.0, 0.07),
            chance.between(0.6, 1.7),
            chance.between(0.035, 0.075),
        );
        let e = hairline(x, y);
        let edge = e < 1.03;
        let hidden = style == HairStyle::Band && e < 1.29;
        if e < 0.965 || hidden || (edge && i % 2 == 0) {
            continue;
        }
        let depth = |x: f64, y: f64| {
            let (a, b) = (scene.face.plain(x, y), scene.face.hair_depth(x, y));
            match (a, b) {
                (Some(a), Some(b)) => Some(a.max(b)),
                (a, b) => b.or(a),
            }
        };
        let long = if edge { long * 0.5 } else { long };
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
