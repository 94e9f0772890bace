//! Hairs drawn one by one: brows, lashes, the soft edge of the hairline.

use super::Scene;
use super::hair_paint::flow;
use super::stroke::{Canvas, Hair};
use super::trace::hairline;
use crate::brow_hair::brow_hairs;
use crate::chance::Chance;
use crate::curve::{mix, step};
use crate::hair::HairStyle;
use crate::head::{Side, Spot};
use crate::vec3::v3;

/// Draws all single hairs.
pub fn draw(scene: &Scene, canvas: &mut Canvas) {
    hairline_hairs(scene, canvas);
    for side in Side::BOTH {
        brow(scene, side, canvas);
        lashes(scene, side, canvas);
    }
}

fn brow(scene: &Scene, side: Side, canvas: &mut Canvas) {
    let px = scene.px_per_mm;
    for hair in brow_hairs(scene.head, side) {
        let place = |(s, lift): &(Spot, f64)| {
            let p = scene.face.point(side.sign() * s.lateral, s.height);
            scene.camera.project(p + v3(0.0, 0.0, *lift))
        };
        let path: Vec<(f64, f64)> = hair.path.iter().map(place).collect();
        canvas.hair(&Hair {
            path: &path,
            root: hair.half_width * px,
            tip: hair.half_width * 0.35 * px,
            cover: 0.86 * hair.strength,
            colour: scene.head.hair.brow.map(|c| c * hair.tint),
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
