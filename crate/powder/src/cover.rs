//! How much of each pixel the powder covers.

use ophryon_frames::{Front, Point};

use crate::dots::Dot;
use crate::ground::Ground;
use crate::manner::{Manner, eased};
use crate::window::Window;

/// A dot is drawn at least so wide, px of radius: a finer one covers as much
/// in all, but less of each.
const LEAST_RADIUS_PX: f64 = 0.75;

/// How much of each pixel is covered, 0 to 1, by rows.
#[derive(Debug, Clone, PartialEq)]
pub struct Cover {
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// One for each pixel.
    pub cells: Vec<f32>,
}

impl Cover {
    /// Haze and dots as they lie on the ground.
    pub(crate) fn of(
        ground: &Ground,
        bounds: (Point<Front>, Point<Front>),
        dots: &[Dot],
        manner: &Manner,
        window: &Window,
    ) -> Self {
        let (width, height) = (window.width(), window.height());
        // What stays clear: what lies above covers a share of it.
        let mut clear = vec![1.0_f32; width as usize * height as usize];
        let mut is_inside = vec![false; clear.len()];
        let density = |p| ground.at(p).map_or(0.0, |place| manner.density(place));
        let [columns, rows] = window.touched(bounds, 0.0);
        for row in rows {
            for column in columns.clone() {
                let there = density(window.place(column, row));
                let i = row as usize * width as usize + column as usize;
                clear[i] = (1.0 - manner.haze * there) as f32;
                is_inside[i] = there > 0.0;
            }
        }
        for dot in dots {
            // Where the bed ends sooner, a dot of the larger one fades.
            let depth_mm = ground.at(dot.at).map_or(0.0, |place| place.depth_mm);
            let edge = eased(depth_mm / (0.5 * manner.soft_mm));
            if edge > 0.0 {
                splat(&mut clear, window, dot, manner, edge);
            }
        }
        // A dot that is wider healed than fresh ends at the outline like the rest.
        for (clear, is_inside) in clear.iter_mut().zip(is_inside) {
            if !is_inside {
                *clear = 1.0;
            }
        }
        let strength = manner.strength as f32;
        Self {
            width,
            height,
            cells: clear.iter().map(|c| strength * (1.0 - c)).collect(),
        }
    }
}

/// Puts one dot down.
fn splat(clear: &mut [f32], window: &Window, dot: &Dot, manner: &Manner, share: f64) {
    let wanted = 0.5 * manner.dot_mm * dot.size / window.px_mm();
    let radius = wanted.max(LEAST_RADIUS_PX);
    let cover = share * manner.dot * (wanted / radius) * (wanted / radius);
    let (x, y) = window.pixel(dot.at);
    // Half a pixel beyond the rim fades over a pixel, which smooths it.
    let fade = (manner.dot_soft * radius).max(1.0);
    let reach = radius + 0.5 * fade;
    let range = |at: f64, most: u32| {
        let first = (at - reach).floor().max(0.0) as u32;
        let last = (at + reach).ceil().max(0.0) as u32;
        first.min(most)..last.min(most)
    };
    for row in range(y, window.height()) {
        for column in range(x, window.width()) {
            let (dx, dy) = (f64::from(column) + 0.5 - x, f64::from(row) + 0.5 - y);
            let inside = (reach - libm::sqrt(dx * dx + dy * dy)) / fade;
            let there = cover * eased(inside);
            let i = row as usize * window.width() as usize + column as usize;
            clear[i] *= (1.0 - there) as f32;
        }
    }
}
