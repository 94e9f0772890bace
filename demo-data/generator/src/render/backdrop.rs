//! The studio wall behind the client.

use super::{Rgb, Scene};
use crate::curve::step;

/// Straight mixture of two colours.
pub fn mix_rgb(a: Rgb, b: Rgb, t: f64) -> Rgb {
    [
        a[0] + (b[0] - a[0]) * t,
        a[1] + (b[1] - a[1]) * t,
        a[2] + (b[2] - a[2]) * t,
    ]
}

/// Colour of the wall at a px: plain, a little lighter behind the head.
pub fn wall(scene: &Scene, column: f64, row: f64) -> Rgb {
    let k = 1.0 / scene.px_per_mm;
    let x = (column - scene.camera.principal.0) * k;
    let y = (scene.camera.principal.1 - row) * k;
    let away = ((x * x) / (190.0 * 190.0) + (y - 5.0) * (y - 5.0) / (240.0 * 240.0)).sqrt();
    let glow = step(1.25, 0.0, away);
    mix_rgb([0.200, 0.195, 0.190], [0.400, 0.395, 0.385], glow)
}
