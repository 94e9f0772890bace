//! The eye between the lids: white, iris with a clear rim, pupil, flesh in
//! the inner corner, and what mirrors in the wet surface.

use super::Scene;
use super::backdrop::mix_rgb;
use super::paint::{Material, times};
use crate::chance::{fractal, noise};
use crate::conditions::Glint;
use crate::curve::{hill, hill_at, mix, step};
use crate::eye::EyePart;
use crate::head::Side;

/// Material of ball and lid rim at a side-neutral place; `None` on skin.
pub fn eye(scene: &Scene, side: Side, l: f64, y: f64) -> Option<Material> {
    let eye = scene.face.eye(side);
    if (l - eye.pupil.lateral).abs() > 22.0 || (y - eye.pupil.height).abs() > 14.0 {
        return None;
    }
    let skin = &scene.head.skin;
    match eye.part(l, y) {
        EyePart::Skin => None,
        EyePart::Rim => {
            // Moist, paler and pinker than the skin.
            let c = times(skin.albedo, [1.02, 0.80, 0.80]);
            let pale = mix_rgb(c, [0.50, 0.30, 0.26], 0.35);
            Some(Material {
                gloss: 0.9,
                tight: 60.0,
                scatter: 0.8,
                ..Material::dull(pale)
            })
        }
        EyePart::Ball => Some(ball(scene, side, l, y)),
    }
}

fn ball(scene: &Scene, side: Side, l: f64, y: f64) -> Material {
    let eye = scene.face.eye(side);
    let head = scene.head;
    let seed = head.seed + 101 + u64::from(side == Side::Left);
    let (dx, dy) = (l - eye.pupil.lateral, y - eye.pupil.height);
    let radius = libm::hypot(dx, dy);
    let angle = libm::atan2(dy, dx);
    // White: never pure, warmer toward the corners.
    let t = eye.along(l);
    let corner = step(0.30, 0.02, t) * 0.8 + step(0.84, 1.0, t) * 0.6;
    let fair = 0.55 + 0.45 * (head.skin.albedo[0] / 0.72).min(1.0);
    let white = [0.66 * fair + 0.05, 0.62 * fair + 0.03, 0.59 * fair + 0.01];
    let mut c = mix_rgb(white, [0.55, 0.30, 0.26], 0.55 * corner);
    let vein = step(
        0.62,
        0.95,
        1.0 - fractal(l / 2.2, y / 0.8, 3, seed + 3).abs(),
    ) * corner;
    c = times(c, [1.0 - 0.04 * vein, 1.0 - 0.14 * vein, 1.0 - 0.12 * vein]);
    // Flesh in the inner corner.
    let flesh = hill_at(
        l,
        y,
        eye.inner.lateral + 1.5,
        eye.inner.height + 0.1,
        4.4,
        3.0,
    );
    c = mix_rgb(
        c,
        times(head.skin.lips, [1.25, 1.35, 1.3]),
        0.85 * step(0.15, 0.6, flesh),
    );
    // Iris.
    let soft = scene.conditions.rim_soft;
    let inside = step(eye.iris + soft, eye.iris - soft, radius);
    if inside > 0.0 {
        c = mix_rgb(c, iris(scene, seed, radius, angle), inside);
    }
    // Shade of lid and lashes on the ball.
    let under = eye.upper_margin(l) - y;
    let shade = mix(0.30, 0.64, step(0.06, 0.22, t)) * step(3.6, 0.0, under)
        + 0.12 * step(1.2, 0.0, y - eye.lower_margin(l));
    c = c.map(|v| v * (1.0 - shade));
    // A wet line where the ball meets the lower lid, the mirrored light in the cornea.
    let second = scene
        .conditions
        .glint
        .map_or(0.0, |g| round_light(&g, dx * side.sign(), dy, eye.iris));
    let glint = window(dx * side.sign(), dy, eye.iris).max(second)
        + 0.14 * hill((y - eye.lower_margin(l) - 0.25).powi(2) / 0.06) * step(0.05, 0.2, t);
    Material {
        gloss: 0.25,
        tight: 90.0,
        glint: glint * (1.0 - 0.5 * shade),
        ..Material::dull(c)
    }
}

/// Colour of the iris at a distance and angle from its middle.
fn iris(scene: &Scene, seed: u64, radius: f64, angle: f64) -> [f64; 3] {
    let head = scene.head;
    let eye = &scene.face.eyes[0];
    let base = head.hair.iris;
    let rho = radius / eye.iris;
    let u = angle / std::f64::consts::TAU;
    // Fibres: noise wrapped round the circle.
    let (s, c) = libm::sincos(angle);
    let fibre = fractal(c * 9.0 + 20.0, s * 9.0 + rho * 1.1, 3, seed)
        + 0.6 * fractal(c * 23.0, s * 23.0 + rho * 0.7, 2, seed + 1);
    let light = 1.0 + 0.42 * fibre + 0.22 * (0.62 - (rho - 0.6).abs());
    let mut colour = base.map(|v| (v * light).max(0.0));
    // A warm frill round the pupil.
    let frill = step(0.72, 0.38, rho + 0.05 * noise(u * 40.0, 0.0, seed + 2));
    colour = mix_rgb(
        colour,
        [base[0] * 1.25 + 0.02, base[1] * 0.95 + 0.005, base[2] * 0.6],
        0.5 * frill,
    );
    // Light gathers opposite the lamp, the dark ring keeps the rim readable.
    colour = colour.map(|v| v * (1.0 + 0.5 * (-s * 0.8 + c * 0.2).max(0.0) * step(0.35, 0.8, rho)));
    let ring = step(0.78, 0.97, rho);
    colour = colour.map(|v| v * (1.0 - scene.conditions.rim_ring * ring));
    let pupil = step(eye.pupil_radius + 0.14, eye.pupil_radius - 0.14, radius);
    mix_rgb(colour, [0.004, 0.004, 0.005], pupil)
}

/// A round light mirrored in the eye, 0 to 1.
fn round_light(g: &Glint, x: f64, y: f64, iris: f64) -> f64 {
    let away = libm::hypot(x - g.at.0 * iris, y - g.at.1 * iris);
    0.95 * step(g.radius + 0.12, g.radius - 0.12, away)
}

/// The large light mirrored in the cornea, 0 to 1. `x` runs right in the picture.
fn window(x: f64, y: f64, iris: f64) -> f64 {
    let (cx, cy) = (-0.24 * iris, 0.26 * iris);
    let (u, v) = (
        (x - cx + 0.12 * (y - cy)).abs(),
        (y - cy + 0.10 * (x - cx)).abs(),
    );
    let (w, h) = (0.115 * iris, 0.145 * iris);
    let main = step(w + 0.16, w - 0.10, u) * step(h + 0.16, h - 0.10, v);
    let low = hill_at(x, y, 0.30 * iris, -0.42 * iris, 0.42 * iris, 0.16 * iris);
    0.95 * main + 0.05 * low
}
