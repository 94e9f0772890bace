//! Turns depth, light and materials into colours: diffuse light that wanders
//! under skin, sheen on top.

use super::light::{Light, fill, key};
use super::paint::{Material, material};
use super::stroke::Canvas;
use super::trace::{Depth, Part, SAMPLES, threads};
use super::{Rgb, Scene, backdrop};
use crate::chance::noise;
use crate::vec3::{Vec3, v3};

/// How far light wanders under skin, by red, green, blue, mm (after the shape
/// of published skin profiles: d'Eon and Luebke, GPU Gems 3 ch. 14, 2007).
const WANDER: [f64; 3] = [1.25, 0.55, 0.32];

#[derive(Clone, Copy, Default)]
struct Px {
    /// Everything that is not wandering light.
    direct: [f32; 3],
    /// Albedo of what scatters, weighted by its share.
    albedo: [f32; 3],
    /// Light on it, weighted by its share.
    light: f32,
    /// Share of the px that scatters.
    share: f32,
    /// Light on whatever is there.
    any: f32,
}

/// Colours before hairs and props.
pub fn develop(scene: &Scene, depth: &Depth, light: &Light) -> Canvas {
    let (width, height) = (depth.width / SAMPLES, depth.height / SAMPLES);
    let mut pxs = vec![Px::default(); width * height];
    let band = height.div_ceil(threads()).max(1);
    std::thread::scope(|scope| {
        for (k, rows) in pxs.chunks_mut(width * band).enumerate() {
            scope.spawn(move || {
                for (i, px) in rows.iter_mut().enumerate() {
                    *px = expose(scene, depth, light, i % width, k * band + i / width);
                }
            });
        }
    });
    let share: Vec<f32> = pxs.iter().map(|p| p.share).collect();
    let lit: Vec<f32> = pxs.iter().map(|p| p.light).collect();
    let mut canvas = Canvas {
        width,
        height,
        colour: pxs.iter().map(|p| p.direct).collect(),
        light: pxs.iter().map(|p| p.any).collect(),
    };
    for (channel, wander) in WANDER.iter().enumerate() {
        let sigma = wander * scene.px_per_mm * scene.head.skin.softness;
        let soft = blurred(&lit, width, height, sigma);
        let base = blurred(&share, width, height, sigma);
        for (i, p) in pxs.iter().enumerate() {
            if p.share > 0.0 {
                let wandered = soft[i] / base[i].max(1e-3);
                let straight = p.light / p.share;
                let e = 0.30 * straight + 0.70 * wandered;
                canvas.colour[i][channel] += p.albedo[channel] * e;
            }
        }
    }
    canvas
}

fn expose(scene: &Scene, depth: &Depth, light: &Light, column: usize, row: usize) -> Px {
    let mut px = Px::default();
    let one = 1.0 / (SAMPLES * SAMPLES) as f64;
    for sr in 0..SAMPLES {
        for sc in 0..SAMPLES {
            let (c, r) = (column * SAMPLES + sc, row * SAMPLES + sr);
            let part = depth.part[r * depth.width + c];
            let Some(p) = depth.at(c, r) else {
                let wall = backdrop::wall(scene, column as f64 + 0.5, row as f64 + 0.5);
                add(&mut px.direct, wall, one);
                px.any += one as f32;
                continue;
            };
            let mut m = material(scene, part, p);
            let n = depth.normal(c, r, 2, 2.5);
            let lit = light.on(c, r, p.z, n);
            let sheen = sheen(scene, depth, &m, part, p, n, lit.open);
            // Light bounced from skin to skin is warm.
            let bounce = 0.20 * (1.0 - lit.open);
            let e = lit.irradiance + bounce;
            // Hair mirrors partly in its own colour.
            let tint = if m.fibre.is_some() {
                m.albedo.map(|a| 0.22 + 5.0 * a)
            } else {
                [1.0; 3]
            };
            add(&mut px.direct, tint.map(|t| t * sheen), one);
            let scatter = m.scatter.min(1.0);
            if scatter > 0.0 {
                // Light that has met the skin more than once is warmer.
                let again = 0.45 * (1.0 - lit.open) * scatter;
                let fair = m.albedo[0].max(0.02);
                m.albedo = m.albedo.map(|a| a * libm::pow((a / fair).max(0.02), again));
            }
            add(
                &mut px.direct,
                m.albedo.map(|a| a * e),
                one * (1.0 - scatter),
            );
            add(&mut px.albedo, m.albedo, one * scatter);
            px.light += (e * one * scatter) as f32;
            px.share += (one * scatter) as f32;
            px.any += (e * one) as f32;
        }
    }
    px
}

fn add(sum: &mut [f32; 3], colour: Rgb, k: f64) {
    for (s, c) in sum.iter_mut().zip(colour) {
        *s += (c * k) as f32;
    }
}

/// Mirrored light on the surface.
fn sheen(
    scene: &Scene,
    depth: &Depth,
    m: &Material,
    part: Part,
    p: Vec3,
    n: Vec3,
    open: f64,
) -> f64 {
    let mut total = m.glint;
    if m.gloss <= 0.0 {
        return total;
    }
    let turn = scene.camera.turn();
    let eye = depth.toward_eye(p);
    let seed = scene.head.seed;
    let mut n = n;
    if m.bump > 0.0 {
        let (u, v) = (p.x / 0.42, p.y / 0.42);
        let fine = v3(noise(u, v, seed + 81), noise(u + 31.0, v, seed + 82), 0.0);
        let coarse = v3(
            noise(u / 3.1, v / 3.1, seed + 83),
            noise(u / 3.1 + 9.0, v / 3.1, seed + 84),
            0.0,
        );
        n = (n + (fine + coarse * 0.45) * m.bump).unit();
    }
    for (to, strength) in [(key(), 1.0), (fill(), 0.34)] {
        let l = turn.to_head(to);
        let h = (l + eye).unit();
        let facing = n.dot(l).max(0.0);
        let lobe = if let (Some((fx, fy)), Part::Hair) = (m.fibre, part) {
            // Fibres shine where they lie across the half vector (Kajiya and Kay, 1989).
            let slope = if n.z > 0.05 {
                -(n.x * fx + n.y * fy) / n.z
            } else {
                0.0
            };
            let t = v3(fx, fy, slope).unit();
            let across = t.dot(h);
            libm::pow((1.0 - across * across).max(0.0), m.tight * 1.6) * 0.55
        } else {
            let d = n.dot(h).max(0.0);
            let fresnel = 0.35 + 0.65 * libm::pow(1.0 - eye.dot(h).max(0.0), 4.0);
            // A broad sheen and a tighter one on top of it.
            (libm::pow(d, m.tight) + 0.7 * libm::pow(d, m.tight * 4.0)) * fresnel
        };
        total += m.gloss * strength * lobe * facing.sqrt() * 0.22 * open;
    }
    total
}

/// Gaussian blur as three box blurs (Wells, IEEE PAMI 8, 1986).
fn blurred(field: &[f32], width: usize, height: usize, sigma: f64) -> Vec<f32> {
    let radius = ((((4.0 * sigma * sigma + 1.0).sqrt() - 1.0) / 2.0) + 0.5) as usize;
    let mut a = field.to_vec();
    if radius == 0 {
        return a;
    }
    let mut b = vec![0.0f32; a.len()];
    for _ in 0..3 {
        for r in 0..height {
            box_blur(&a[r * width..], &mut b[r * width..], width, 1, radius);
        }
        for c in 0..width {
            box_blur(&b[c..], &mut a[c..], height, width, radius);
        }
    }
    a
}

fn box_blur(from: &[f32], to: &mut [f32], n: usize, stride: usize, radius: usize) {
    let get = |i: usize| f64::from(from[i.min(n - 1) * stride]);
    let mut sum = get(0) * radius as f64;
    for i in 0..=radius {
        sum += get(i);
    }
    let norm = 1.0 / (2 * radius + 1) as f64;
    for i in 0..n {
        to[i * stride] = (sum * norm) as f32;
        sum += get(i + radius + 1) - get(i.saturating_sub(radius));
    }
}
