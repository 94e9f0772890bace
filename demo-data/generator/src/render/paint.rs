//! Colours of skin, lips, cloth: what a surface gives back at a place.

use super::Rgb;
use super::Scene;
use super::backdrop::mix_rgb;
use super::eye_paint;
use super::hair_paint;
use super::trace::Part;
use crate::chance::{Chance, fractal, noise};
use crate::curve::{hill, hill_at, step};
use crate::head::Side;
use crate::vec3::Vec3;

/// What a surface is made of at a place.
#[derive(Debug, Clone, Copy)]
pub struct Material {
    pub albedo: Rgb,
    /// Strength of the sheen.
    pub gloss: f64,
    /// Tightness of the sheen (Blinn exponent).
    pub tight: f64,
    /// Pores: how much the sheen breaks up.
    pub bump: f64,
    /// Share of the light that wanders under the surface.
    pub scatter: f64,
    /// Direction of fibres, if it is hair (head frame, in the picture plane).
    pub fibre: Option<(f64, f64)>,
    /// Light added as it is: reflections on the wet eye.
    pub glint: f64,
}

impl Material {
    pub fn dull(albedo: Rgb) -> Self {
        Self {
            albedo,
            gloss: 0.0,
            tight: 20.0,
            bump: 0.0,
            scatter: 0.0,
            fibre: None,
            glint: 0.0,
        }
    }
}

pub fn times(c: Rgb, k: Rgb) -> Rgb {
    [c[0] * k[0], c[1] * k[1], c[2] * k[2]]
}

/// The material of a part at a head-frame point.
pub fn material(scene: &Scene, part: Part, p: Vec3) -> Material {
    match part {
        Part::Face => {
            let side = if p.x < 0.0 { Side::Right } else { Side::Left };
            eye_paint::eye(scene, side, p.x.abs(), p.y).unwrap_or_else(|| skin(scene, p.x, p.y))
        }
        Part::Ear => ear(scene, p),
        Part::Hair => {
            let (hair, grown) = hair_paint::hair(scene, p);
            if grown >= 1.0 {
                return hair;
            }
            // Along the hairline the skin shows between the roots.
            let under = skin(scene, p.x, p.y);
            Material {
                albedo: mix_rgb(under.albedo, hair.albedo, grown),
                scatter: under.scatter * (1.0 - grown),
                gloss: hair.gloss,
                fibre: hair.fibre.filter(|_| grown > 0.5),
                ..under
            }
        }
        Part::Band => cloth(scene, p, scene.head.hair.cloth, 0.55),
        Part::Body => body(scene, p),
        Part::Nothing => Material::dull([0.0; 3]),
    }
}

/// Skin of the face with its warm and dark places, and the lips.
fn skin(scene: &Scene, x: f64, y: f64) -> Material {
    let s = &scene.head.skin;
    let seed = scene.head.seed;
    let face = &scene.face;
    let r = face.reference_y(y);
    let l = x.abs();
    let mut c = s.albedo;
    // Warm: cheeks, tip and wings of the nose, chin. Paler: forehead.
    let mut warm = 0.85 * hill_at(l, r, 40.0, -28.0, 30.0, 24.0)
        + 0.9 * hill_at(x, r, 0.0, -35.0, 24.0, 14.0)
        + 0.35 * hill_at(x, r, 0.0, -104.0, 24.0, 18.0)
        + 0.25 * hill_at(l, r, 20.0, 0.0, 10.0, 12.0);
    warm += 0.25 * fractal(x / 13.0, y / 13.0, 3, seed);
    let w = s.flush * warm;
    c = times(c, [1.0 + 0.02 * w, 1.0 - 0.20 * w, 1.0 - 0.22 * w]);
    // Thin skin round the eyes is a little darker and cooler.
    let side = if x < 0.0 { Side::Right } else { Side::Left };
    let eye = face.eye(side);
    let lid = hill_at(l, y, eye.pupil.lateral, eye.pupil.height + 3.5, 21.0, 12.0);
    let under = hill_at(
        l,
        y,
        eye.pupil.lateral - 3.0,
        eye.pupil.height - 12.0,
        19.0,
        9.0,
    );
    c = times(
        c,
        [
            1.0 - 0.10 * lid - 0.06 * under,
            1.0 - 0.16 * lid - 0.10 * under,
            1.0 - 0.13 * lid - 0.06 * under,
        ],
    );
    // The fold over the lid holds a little shade.
    let t = eye.along(l);
    let fold = y - eye.crease_line(l);
    let on = step(-0.06, 0.12, t) * step(1.16, 0.9, t);
    let k = 0.30 * on * hill(fold * fold / 1.4);
    c = times(c, [1.0 - k, 1.0 - 1.15 * k, 1.0 - 1.15 * k]);
    // Line of the lashes, and the shade of their roots.
    let d = eye.opening(l, y);
    if d < 0.0 && (0.0..=1.0).contains(&t) {
        let above = y - eye.upper_margin(l);
        let root = step(0.03, 0.24, t) * step(1.08, 0.92, t);
        if above > -0.5 {
            let k = root * (0.88 * step(1.05, 0.25, above) + 0.18 * step(3.0, 0.6, above));
            c = mix_rgb(c, scene.head.hair.lash.map(|h| h + 0.012), k.min(0.92));
        }
        let below = eye.lower_margin(l) - eye.rim_breadth(l) - y;
        if below > -0.3 && above < -1.0 {
            let k = 0.26 * root * step(1.3, 0.0, below) * step(0.2, 0.6, t);
            c = times(c, [1.0 - k, 1.0 - 1.1 * k, 1.0 - 1.1 * k]);
        }
    }
    // Mottle, freckles.
    let m = 0.035 * fractal(x / 3.1, y / 3.1, 3, seed + 1)
        + 0.05 * noise(x / 0.42, y / 0.42, seed + 2) * (1.0 - lid);
    c = times(c, [1.0 + m, 1.0 + 1.2 * m, 1.0 + 1.1 * m]);
    if s.freckles > 0.0 {
        let f = freckle(x, y, seed)
            * s.freckles
            * (hill_at(l, r, 27.0, -22.0, 36.0, 26.0)
                + 0.8 * hill_at(x, r, 0.0, -18.0, 18.0, 22.0))
            .min(1.0);
        c = times(c, [1.0 - 0.30 * f, 1.0 - 0.48 * f, 1.0 - 0.56 * f]);
    }
    // Nostrils, and the fold behind the wing of the nose.
    let nostril = face.nose.nostril(x, r);
    let dark = step(0.12, 0.6, nostril);
    c = mix_rgb(
        c,
        [s.albedo[0] * 0.10, s.albedo[1] * 0.05, s.albedo[2] * 0.045],
        0.9 * dark,
    );
    let groove = face.nose.groove(x, r);
    c = times(
        c,
        [
            1.0 - 0.20 * groove,
            1.0 - 0.30 * groove,
            1.0 - 0.30 * groove,
        ],
    );
    // Lips.
    let (lip, line) = face.mouth.lip(x, r);
    let mut gloss = s.gloss;
    let mut tight = 22.0;
    if lip > 0.0 || line > 0.0 {
        let crease = 0.05
            * noise(
                x / 0.7 + 0.3 * noise(y / 3.0, 0.0, seed + 5),
                y / 6.0,
                seed + 6,
            );
        let tint = s.lips.map(|v| v * (1.0 + crease));
        c = mix_rgb(c, tint, 0.86 * lip);
        c = mix_rgb(c, tint.map(|v| v * 0.28), 0.85 * line);
        gloss += 0.35 * lip * (1.0 - line);
        tight += 26.0 * lip;
    }
    // Powder lies in the skin, under the hairs.
    if let Some(worked) = scene.head.worked.side(side) {
        let cover = worked.cover(l, y);
        if cover > 0.0 {
            c = mix_rgb(c, worked.colour, cover);
        }
    }
    // The brow's skin is a little shaded by its own hairs.
    let brow = scene.head.brow_now(side);
    if brow.contains(l, y) {
        let edge = (brow.upper(l) - y)
            .min(y - brow.lower(l))
            .min(l - brow.front(y));
        // Sparser brows are shaded less.
        let k = 0.16 * (brow.density / 1.8).min(1.0) * step(0.0, 1.6, edge);
        c = mix_rgb(c, scene.head.hair.brow, k);
    }
    // Shine of forehead, nose and cheekbones.
    gloss *= 1.0
        + 0.55 * hill_at(x, r, 0.0, 48.0, 44.0, 26.0)
        + 0.7 * hill_at(x, r, 0.0, -18.0, 15.0, 34.0)
        + 0.3 * hill_at(l, r, 40.0, -16.0, 24.0, 16.0)
        - 0.35 * lid.min(1.0);
    Material {
        albedo: c,
        gloss,
        tight,
        bump: 0.065 * (1.0 - lip) * (1.0 - dark),
        scatter: (1.0 - dark) * s.softness,
        fibre: None,
        glint: 0.0,
    }
}

/// Soft dots of several sizes, 0 to 1.
fn freckle(x: f64, y: f64, seed: u64) -> f64 {
    let mut most = 0.0f64;
    for (k, size) in [2.3, 3.1, 4.3].into_iter().enumerate() {
        // Each grid is turned, and its dots lie anywhere in their cells.
        let (s, c) = libm::sincos(0.6 + 1.1 * k as f64);
        let (u, v) = ((c * x - s * y) / size, (s * x + c * y) / size);
        let key = (u.floor() as i64 as u64).wrapping_mul(0x9E37_79B9)
            ^ (v.floor() as i64 as u64).wrapping_mul(0x85EB_CA6B_27D4)
            ^ (seed + 31 + k as u64);
        let mut dice = Chance::new(key);
        let (ox, oy) = (dice.between(0.24, 0.76), dice.between(0.24, 0.76));
        let (on, radius, deep) = (
            dice.unit() < 0.42,
            dice.between(0.10, 0.24),
            dice.between(0.4, 1.0),
        );
        if on {
            let (dx, dy) = (u - u.floor() - ox, v - v.floor() - oy);
            most = most.max(deep * hill((dx * dx + dy * dy) / (radius * radius)));
        }
    }
    most
}

fn ear(scene: &Scene, p: Vec3) -> Material {
    let s = &scene.head.skin;
    let side = if p.x < 0.0 { Side::Right } else { Side::Left };
    let hollow = scene.face.ear(side).hollow(p.x.abs(), p.y);
    let m = 0.03 * fractal(p.x / 3.0, p.y / 3.0, 3, scene.head.seed + 3);
    let f = 0.45 + s.flush;
    let c = times(
        s.albedo,
        [
            (1.0 + m) * (1.0 - 0.45 * hollow),
            (1.0 + m) * (1.0 - 0.16 * f) * (1.0 - 0.62 * hollow),
            (1.0 + m) * (1.0 - 0.16 * f) * (1.0 - 0.62 * hollow),
        ],
    );
    Material {
        albedo: c,
        gloss: s.gloss * 0.6,
        scatter: s.softness,
        bump: 0.05,
        ..Material::dull(c)
    }
}

fn cloth(scene: &Scene, p: Vec3, colour: Rgb, soft: f64) -> Material {
    let seed = scene.head.seed;
    // A fine weave, a few soft folds.
    let weave = 0.07 * noise(p.x / 0.45, p.y / 0.9, seed + 41)
        + 0.05 * noise(p.x / 1.1, p.y / 0.5, seed + 42);
    let folds = 0.07 * fractal(p.x / 26.0, p.y / 60.0, 3, seed + 43);
    let k = 1.0 + weave * soft + folds;
    Material::dull(colour.map(|c| c * k))
}

/// Height of the neckline of the clothes.
pub fn neckline(x: f64) -> f64 {
    -190.0 + 0.0135 * x * x
}

fn body(scene: &Scene, p: Vec3) -> Material {
    let s = &scene.head.skin;
    let below = neckline(p.x) - p.y;
    if below > 0.0 {
        let mut m = cloth(scene, p, scene.head.hair.cloth, 1.0);
        // A hemmed edge.
        let hem =
            0.22 * hill((below - 4.0) * (below - 4.0) / 0.5) + 0.25 * hill(below * below / 0.6);
        m.albedo = m.albedo.map(|c| c * (1.0 - hem));
        return m;
    }
    let m = 0.03 * fractal(p.x / 5.0, p.y / 5.0, 3, scene.head.seed + 4);
    let shade = 1.0 - 0.25 * step(-9.0, 0.0, below);
    Material {
        gloss: s.gloss * 0.25,
        scatter: s.softness,
        bump: 0.05,
        ..Material::dull(s.albedo.map(|c| c * (0.88 + m) * shade))
    }
}
