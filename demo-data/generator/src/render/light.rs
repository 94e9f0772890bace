//! Soft studio light: a large light in front and above, a fill, and a bright
//! room, with the shade that the face throws on itself.

use super::Scene;
use super::trace::{Depth, SAMPLES, threads};
use crate::vec3::{Vec3, v3};

/// Directions from which light is gathered.
const DIRECTIONS: usize = 112;
/// How far shade reaches, mm.
const REACH: f64 = 130.0;

/// Where the large light hangs, seen from the face.
pub fn key() -> Vec3 {
    v3(-0.42, 0.62, 0.95).unit()
}

/// Where the fill stands.
pub fn fill() -> Vec3 {
    v3(0.72, 0.10, 0.85).unit()
}

fn radiance(d: Vec3) -> f64 {
    let lobe = |axis: Vec3, tight: f64| libm::exp(tight * (d.dot(axis) - 1.0));
    0.30 + 0.12 * d.y + 1.55 * lobe(key(), 5.5) + 0.42 * lobe(fill(), 3.0)
}

/// Light that falls on the scene, on a coarse grid.
pub struct Light {
    width: usize,
    height: usize,
    /// Samples per cell, each way.
    cell: usize,
    /// Irradiance, its direction (sum of light times direction), share of
    /// open sky, and the depth and normal they hold for.
    cells: Vec<Cell>,
}

#[derive(Clone, Copy, Default)]
struct Cell {
    irradiance: f64,
    flow: Vec3,
    open: f64,
    z: f64,
    normal: Vec3,
    there: bool,
}

/// Light at one place.
#[derive(Clone, Copy, Default)]
pub struct Lit {
    pub irradiance: f64,
    /// Share of the light that nothing is in the way of, 0 to 1.
    pub open: f64,
}

impl Light {
    /// Gathers the light on every cell.
    pub fn falling_on(scene: &Scene, depth: &Depth) -> Self {
        // About 0.7 mm a cell.
        let cell = ((0.7 * scene.px_per_mm * SAMPLES as f64).round() as usize).max(1);
        let (width, height) = (depth.width / cell, depth.height / cell);
        let turn = scene.camera.turn();
        let mut directions = Vec::new();
        let mut total = 0.0;
        for i in 0..DIRECTIONS {
            // Even spread over the half sphere toward the camera (golden angle).
            let z = 1.0 - (i as f64 + 0.5) / DIRECTIONS as f64 * 0.98;
            let r = (1.0 - z * z).sqrt();
            let (s, c) = libm::sincos(i as f64 * 2.399_963_229_728_653);
            let d = v3(r * c, r * s, z);
            let l = radiance(d);
            total += l * z;
            directions.push((turn.to_head(d), d, l));
        }
        for d in &mut directions {
            d.2 /= total;
        }
        let mut cells = vec![Cell::default(); width * height];
        for row in 0..height {
            for column in 0..width {
                let (c, r) = (column * cell + cell / 2, row * cell + cell / 2);
                let Some(p) = depth.at(c, r) else { continue };
                cells[row * width + column] = Cell {
                    z: p.z,
                    normal: depth.normal(c, r, cell.max(2), 6.0),
                    there: true,
                    ..Cell::default()
                };
            }
        }
        let mm_per_cell = cell as f64 / (SAMPLES as f64 * scene.px_per_mm);
        let z: Vec<f32> = cells
            .iter()
            .map(|c| if c.there { c.z as f32 } else { -1e4 })
            .collect();
        let band = height.div_ceil(threads()).max(1);
        std::thread::scope(|scope| {
            for (k, rows) in cells.chunks_mut(width * band).enumerate() {
                let (z, directions) = (&z, &directions);
                scope.spawn(move || {
                    for (i, cell) in rows.iter_mut().enumerate() {
                        if cell.there {
                            let at = (i % width, k * band + i / width);
                            gather(cell, at, (width, height), z, directions, mm_per_cell);
                        }
                    }
                });
            }
        });
        Self {
            width,
            height,
            cell,
            cells,
        }
    }

    /// Light on a sample with this depth and normal.
    pub fn on(&self, column: usize, row: usize, z: f64, normal: Vec3) -> Lit {
        let place = |i: usize| (i as f64 - (self.cell / 2) as f64) / self.cell as f64;
        let (u, v) = (place(column).max(0.0), place(row).max(0.0));
        let (cu, cv) = (u as usize, v as usize);
        let (fu, fv) = (u - cu as f64, v - cv as f64);
        let (mut sum, mut open, mut weight) = (0.0, 0.0, 1e-9);
        for (dc, dr) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
            let (c, r) = (
                (cu + dc).min(self.width - 1),
                (cv + dr).min(self.height - 1),
            );
            let cell = &self.cells[r * self.width + c];
            if !cell.there {
                continue;
            }
            let wu = if dc == 1 { fu } else { 1.0 - fu };
            let wv = if dr == 1 { fv } else { 1.0 - fv };
            // Cells at another depth belong to something else.
            let far = (cell.z - z) / 3.0;
            let w = (wu * wv + 1e-3) / (1.0 + far * far * far * far);
            let turned = cell.irradiance + cell.flow.dot(normal - cell.normal);
            sum += w * turned.max(0.12 * cell.irradiance);
            open += w * cell.open;
            weight += w;
        }
        Lit {
            irradiance: sum / weight,
            open: open / weight,
        }
    }
}

fn gather(
    cell: &mut Cell,
    at: (usize, usize),
    size: (usize, usize),
    z: &[f32],
    directions: &[(Vec3, Vec3, f64)],
    mm_per_cell: f64,
) {
    let (mut irradiance, mut flow, mut open, mut all) = (0.0, Vec3::default(), 0.0, 0.0);
    for (d, seen, light) in directions {
        let facing = cell.normal.dot(*d);
        if facing <= 0.0 {
            continue;
        }
        all += light * facing;
        let flat = (seen.x * seen.x + seen.y * seen.y).sqrt();
        let mut shade = 0.0f64;
        if flat > 1e-6 {
            let (ux, uy, climb) = (seen.x / flat, -seen.y / flat, d.z / flat);
            let mut run = 1.2;
            while run * mm_per_cell < REACH {
                let c = at.0 as f64 + 0.5 + ux * run;
                let r = at.1 as f64 + 0.5 + uy * run;
                if c < 0.0 || r < 0.0 || c >= size.0 as f64 || r >= size.1 as f64 {
                    break;
                }
                let way = run * mm_per_cell;
                let ray = cell.z + climb * way;
                if ray > 60.0 {
                    break;
                }
                let over = f64::from(z[r as usize * size.0 + c as usize]) - ray - 0.25;
                // The large light has no sharp shadow: near misses count in part.
                shade = shade.max((over / (0.4 + 0.06 * way)).clamp(0.0, 1.0));
                if shade >= 1.0 {
                    break;
                }
                run *= 1.16;
            }
        }
        let got = light * (1.0 - shade);
        irradiance += got * facing;
        flow = flow + *d * got;
        open += got * facing;
    }
    cell.irradiance = irradiance;
    cell.flow = flow;
    cell.open = if all > 0.0 { open / all } else { 0.0 };
}
