//! Hair of the head: strands that run from the hairline, with a soft sheen.

use super::Scene;
use super::paint::Material;
use super::trace::{HAIR_FROM, hairline};
use crate::chance::fractal;
use crate::curve::{hill, step};
use crate::hair::HairStyle;
use crate::vec3::Vec3;

/// Which way hair lies at a place (unit vector in the picture plane), and
/// which strand it is: a number that stays the same along a strand.
pub fn flow(style: HairStyle, x: f64, y: f64) -> ((f64, f64), f64) {
    let (dx, dy) = match style {
        // Away from a point below the eyes: back over the head.
        HairStyle::Back | HairStyle::Band => (x, y + 26.0),
        // Away from the parting: sideways and down.
        HairStyle::Parted => {
            let s = if x < 0.0 { -1.0 } else { 1.0 };
            (s * 34.0, -0.62 * x.abs() + 6.0)
        }
    };
    let long = libm::hypot(dx, dy).max(1e-9);
    let strand = match style {
        HairStyle::Back | HairStyle::Band => libm::atan2(x, y + 26.0) * 62.0,
        HairStyle::Parted => {
            let l = x.abs();
            (y + (0.62 * l * l / 2.0 - 6.0 * l) / 34.0) * 0.95 + if x < 0.0 { 500.0 } else { 0.0 }
        }
    };
    ((dx / long, dy / long), strand)
}

/// Material of the hair at a head-frame point, and how much of it has grown
/// there (less than 1 along the hairline).
pub fn hair(scene: &Scene, p: Vec3) -> (Material, f64) {
    let h = &scene.head.hair;
    let seed = scene.head.seed + 61;
    let (fibre, strand) = flow(h.style, p.x, p.y);
    let along = fibre.0 * p.x + fibre.1 * p.y;
    let locks = fractal(strand * 0.22, along / 60.0, 2, seed);
    let fine = fractal(strand * 2.6, along / 38.0, 3, seed + 1);
    let mut k = 1.0 + 0.34 * locks + 0.50 * fine;
    // Between strands it is darker; at the root the skin shines through.
    k *= 1.0 - 0.30 * step(0.15, 0.7, -fine);
    let mut albedo = h.colour.map(|c| (c * k).max(0.002));
    // Roots stand unevenly along the hairline.
    let e = hairline(p.x, p.y);
    let root = fractal(strand * 5.5, along / 9.0, 2, seed + 2);
    let wave = 0.016 * fractal(p.x / 11.0, p.y / 11.0, 2, seed + 3);
    let roots = step(
        HAIR_FROM,
        HAIR_FROM + 0.085,
        e + 0.036 * root + 0.02 * fine + wave,
    );
    if h.style == HairStyle::Parted {
        let line = hill(p.x * p.x / 1.3);
        let skin = scene.head.skin.albedo;
        for i in 0..3 {
            albedo[i] += (skin[i] * 0.7 - albedo[i]) * 0.75 * line;
        }
    }
    let material = Material {
        gloss: 1.5
            * step(HAIR_FROM + 0.05, HAIR_FROM + 0.22, e)
            * (0.10 + 0.35 * (0.5 + 0.5 * fine).clamp(0.0, 1.0)),
        tight: 15.0,
        fibre: Some(fibre),
        ..Material::dull(albedo)
    };
    (material, roots)
}
