//! The scale object, drawn with smooth edges exactly where its truth says.

use super::stroke::{Canvas, Hair};
use super::{Rgb, Scene, glyph};
use crate::curve::step;
use crate::scale_object::{
    CARD_CORNER, CARD_LONG, CARD_SHORT, RULER_EDGE, RULER_HALF, RULER_SPARE, ScaleKind, ScaleObject,
};
use crate::vec3::v3;

/// Signed distance to a rounded box, negative inside.
fn rounded_box(x: f64, y: f64, half_w: f64, half_h: f64, r: f64) -> f64 {
    let (u, v) = (x.abs() - half_w + r, y.abs() - half_h + r);
    libm::hypot(u.max(0.0), v.max(0.0)) + u.max(v).min(0.0) - r
}

const WHITE: Rgb = [0.80, 0.79, 0.76];
const INK: Rgb = [0.025, 0.028, 0.035];

/// Draws a scale object with the stick that holds it.
pub fn draw(scene: &Scene, object: &ScaleObject, canvas: &mut Canvas) {
    let k = scene.camera.scale_at(object.centre.z);
    let pinhole = scene.camera.pinhole();
    // One px in mm: edges are soft over one px.
    let soft = 1.0 / k;
    let (half_w, half_h) = match object.kind {
        ScaleKind::Card => (CARD_SHORT / 2.0, CARD_LONG / 2.0),
        ScaleKind::Sticker { diameter } => (diameter * 0.95, diameter * 1.15),
        ScaleKind::Ruler { length } => (RULER_HALF, length / 2.0 + RULER_SPARE),
    };
    for row in 0..canvas.height {
        for column in 0..canvas.width {
            let d = scene.camera.ray((column as f64 + 0.5, row as f64 + 0.5));
            let t = pinhole.z - object.centre.z;
            let p = v3(pinhole.x + d.x * t, pinhole.y + d.y * t, object.centre.z);
            let (x, y) = object.place(p);
            if x.abs() > half_w + 14.0 || y > half_h + 14.0 {
                continue;
            }
            // A plain wooden stick holds it from below.
            if y < -half_h + 6.0 {
                let cover = step(3.0 + soft / 2.0, 3.0 - soft / 2.0, x.abs());
                let round = (1.0 - (x / 3.4) * (x / 3.4)).max(0.0).sqrt();
                canvas.mix(
                    column,
                    row,
                    [0.30, 0.19, 0.10].map(|c| c * (0.45 + 0.6 * round)),
                    cover,
                );
            }
            if y < -half_h - 14.0 {
                continue;
            }
            let (edge, colour) = match object.kind {
                ScaleKind::Card => card(x, y),
                ScaleKind::Sticker { diameter } => sticker(x, y, diameter, soft),
                ScaleKind::Ruler { length } => ruler(x, y, length, soft),
            };
            let cover = (0.5 - edge / soft).clamp(0.0, 1.0);
            if cover > 0.0 {
                // A hint of the lamp's fall-off keeps it from looking pasted in.
                let fall = 1.0 + 0.0012 * (y - 0.5 * x);
                canvas.mix(column, row, colour.map(|c| c * fall), cover);
            }
        }
    }
    marks(scene, object, canvas, k);
}

/// A plain card of our own: deep blue-green with a pale field.
fn card(x: f64, y: f64) -> (f64, Rgb) {
    let edge = rounded_box(x, y, CARD_SHORT / 2.0, CARD_LONG / 2.0, CARD_CORNER);
    let field = rounded_box(x, y + 18.0, CARD_SHORT / 2.0 - 7.0, 14.0, 2.0);
    let disc = libm::hypot(x, y - 20.0) - 11.0;
    let base = [0.62, 0.60, 0.54];
    let mut colour = base;
    if field < 0.0 {
        colour = [0.50, 0.48, 0.43];
    }
    if disc < 0.0 {
        colour = [0.16, 0.24, 0.25];
    }
    (edge, colour)
}

/// A dark dot on a white tag.
fn sticker(x: f64, y: f64, diameter: f64, soft: f64) -> (f64, Rgb) {
    let tag = rounded_box(x, y, diameter * 0.95, diameter * 1.15, 3.0);
    let dot = libm::hypot(x, y) - diameter / 2.0;
    let cover = (0.5 - dot / soft).clamp(0.0, 1.0);
    let ink = [0.03, 0.10, 0.16];
    let mut colour = WHITE;
    for i in 0..3 {
        colour[i] += (ink[i] - colour[i]) * cover;
    }
    (tag, colour)
}

/// A white ruler with millimetre marks from its edge toward the face.
fn ruler(x: f64, y: f64, length: f64, soft: f64) -> (f64, Rgb) {
    let edge = rounded_box(x, y, RULER_HALF, length / 2.0 + RULER_SPARE, 1.5);
    let mm = y + length / 2.0;
    let near = mm.round();
    let mut colour = WHITE;
    if (-0.1..=length + 0.1).contains(&near) {
        let n = near as i64;
        let long = if n % 10 == 0 {
            6.5
        } else if n % 5 == 0 {
            4.8
        } else {
            3.2
        };
        let half = if n % 10 == 0 { 0.13 } else { 0.09 };
        let line = ((half + soft / 2.0 - (mm - near).abs()) / soft).clamp(0.0, 1.0);
        let out = ((long - (x - RULER_EDGE)) / soft).clamp(0.0, 1.0);
        for i in 0..3 {
            colour[i] += (INK[i] - colour[i]) * line * out;
        }
    }
    (edge, colour)
}

/// Numbers on the ruler, in centimetres.
fn marks(scene: &Scene, object: &ScaleObject, canvas: &mut Canvas, k: f64) {
    let ScaleKind::Ruler { length } = object.kind else {
        return;
    };
    let size = 3.2;
    for cm in 0..=(length / 10.0 + 1e-9) as u32 {
        let digits: Vec<u32> = if cm >= 10 {
            vec![cm / 10, cm % 10]
        } else {
            vec![cm]
        };
        for (i, d) in digits.iter().enumerate() {
            let left = RULER_EDGE + 8.2 + i as f64 * size * 0.85;
            let low = f64::from(cm) * 10.0 - length / 2.0 - size / 2.0;
            for stroke in glyph::digit(*d) {
                let path: Vec<(f64, f64)> = stroke
                    .iter()
                    .map(|(u, v)| {
                        scene
                            .camera
                            .project_scene(object.at(left + u * size, low + v * size))
                    })
                    .collect();
                canvas.hair(&Hair {
                    path: &path,
                    root: 0.2 * k,
                    tip: 0.2 * k,
                    cover: 1.0,
                    colour: INK,
                    shine: 0.0,
                });
            }
        }
    }
}
