//! What the camera meets at each sample: depth and part, two samples per px
//! both ways.

use super::Scene;
use crate::curve::{soft_max, step};
use crate::hair::HairStyle;
use crate::head::Side;
use crate::vec3::{Vec3, v3};

/// Samples per px, each way.
pub const SAMPLES: usize = 2;
/// Farther back than anything of the head.
const BACK: f64 = -150.0;

/// What a sample shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum Part {
    Nothing,
    Face,
    Hair,
    Band,
    Ear,
    Body,
}

/// Depths and parts of all samples.
pub struct Depth {
    pub width: usize,
    pub height: usize,
    /// Depth in the head frame, mm.
    pub z: Vec<f32>,
    pub part: Vec<Part>,
    /// Pinhole in the head frame.
    eye: Vec3,
    /// Ray of sample (0, 0) and its growth per column and row, head frame.
    ray: [Vec3; 3],
}

/// Where hair begins, in the measure of [`hairline`].
pub const HAIR_FROM: f64 = 0.99;

/// Relative distance from the middle of the face at which hair begins (about 1).
pub fn hairline(x: f64, y: f64) -> f64 {
    let (u, v) = (x / 72.5, (y - 8.0) / 65.0);
    // In front of the ear it ends in a point.
    (u * u + v * v).sqrt() - 0.16 * step(14.0, -16.0, y)
}

/// The surface of everything, from the front.
pub fn surface(scene: &Scene, x: f64, y: f64) -> Option<(f64, Part)> {
    let face = &scene.face;
    let mut best: Option<(f64, Part)> = None;
    let mut offer = |z: Option<f64>, part: Part| {
        if let Some(z) = z
            && best.is_none_or(|(b, _)| z > b)
        {
            best = Some((z, part));
        }
    };
    let skin = face.depth(x, y);
    offer(skin, Part::Face);
    if y > -30.0 {
        let e = hairline(x, y);
        let under = match (skin, face.hair_depth(x, y)) {
            (Some(a), Some(b)) => {
                // The seam is rounded only where hair has grown in.
                Some(soft_max(a, b, 0.05 + 8.0 * step(HAIR_FROM, 1.14, e)))
            }
            (a, b) => a.or(b),
        };
        if e > HAIR_FROM {
            let full = 0.02 + 4.5 * step(HAIR_FROM, 1.35, e);
            offer(under.map(|z| z + full), Part::Hair);
        }
        if scene.head.hair.style == HairStyle::Band && y > -6.0 {
            let on = step(0.955, 0.985, e) * step(1.30, 1.27, e) * step(-4.0, 6.0, y);
            if on > 0.0 {
                // A padded roll of cloth, fullest in its middle.
                let roll = 2.0 + 3.6 * (1.0 - ((e - 1.12) / 0.17).powi(2)).max(0.0);
                offer(under.map(|z| z + roll * on), Part::Band);
            }
        }
    }
    if x.abs() > 58.0 {
        let side = if x < 0.0 { Side::Right } else { Side::Left };
        offer(face.ear(side).depth(x.abs(), y), Part::Ear);
    }
    if y < -55.0 {
        offer(face.body_depth(x, y), Part::Body);
    }
    best
}

impl Depth {
    /// Head-frame point of a sample at a depth.
    pub fn point(&self, column: f64, row: f64, z: f64) -> Vec3 {
        let d = self.ray[0] + self.ray[1] * column + self.ray[2] * row;
        let t = (z - self.eye.z) / d.z;
        v3(self.eye.x + t * d.x, self.eye.y + t * d.y, z)
    }

    /// Head-frame point of a sample; `None` where there is nothing.
    pub fn at(&self, column: usize, row: usize) -> Option<Vec3> {
        let i = row * self.width + column;
        (self.part[i] != Part::Nothing)
            .then(|| self.point(column as f64, row as f64, f64::from(self.z[i])))
    }

    /// From the point toward the pinhole.
    pub fn toward_eye(&self, p: Vec3) -> Vec3 {
        (self.eye - p).unit()
    }

    /// Surface normal from neighbouring samples `reach` apart; neighbours
    /// across an edge don't count.
    pub fn normal(&self, column: usize, row: usize, reach: usize, jump: f64) -> Vec3 {
        let Some(p) = self.at(column, row) else {
            return v3(0.0, 0.0, 1.0);
        };
        let along = |before: Option<Vec3>, after: Option<Vec3>| {
            let near = |q: Option<Vec3>| q.filter(|q| (q.z - p.z).abs() < jump);
            match (near(before), near(after)) {
                (Some(a), Some(b)) => Some(b - a),
                (Some(a), None) => Some(p - a),
                (None, Some(b)) => Some(b - p),
                (None, None) => None,
            }
        };
        let across = along(
            column.checked_sub(reach).and_then(|c| self.at(c, row)),
            (column + reach < self.width)
                .then(|| self.at(column + reach, row))
                .flatten(),
        );
        let up = along(
            (row + reach < self.height)
                .then(|| self.at(column, row + reach))
                .flatten(),
            row.checked_sub(reach).and_then(|r| self.at(column, r)),
        );
        match (across, up) {
            (Some(a), Some(u)) => a.cross(u).unit(),
            _ => v3(0.0, 0.0, 1.0),
        }
    }
}

/// Traces all samples.
pub fn trace(scene: &Scene) -> Depth {
    let camera = &scene.camera;
    let (width, height) = (
        camera.size.0 as usize * SAMPLES,
        camera.size.1 as usize * SAMPLES,
    );
    let turn = camera.turn();
    let px = |i: f64| (i + 0.5) / SAMPLES as f64;
    let ray = |c: f64, r: f64| turn.to_head(camera.ray((px(c), px(r))));
    let first = ray(0.0, 0.0);
    let mut depth = Depth {
        width,
        height,
        z: vec![BACK as f32; width * height],
        part: vec![Part::Nothing; width * height],
        eye: turn.to_head(camera.pinhole()),
        ray: [first, ray(1.0, 0.0) - first, ray(0.0, 1.0) - first],
    };
    let mut z = std::mem::take(&mut depth.z);
    let mut part = std::mem::take(&mut depth.part);
    let band = height.div_ceil(threads());
    std::thread::scope(|scope| {
        for (k, (zs, parts)) in z
            .chunks_mut(width * band)
            .zip(part.chunks_mut(width * band))
            .enumerate()
        {
            let depth = &depth;
            scope.spawn(move || {
                for (r, (zs, parts)) in zs
                    .chunks_mut(width)
                    .zip(parts.chunks_mut(width))
                    .enumerate()
                {
                    let row = (k * band + r) as f64;
                    let mut guess = None;
                    for (c, (z, part)) in zs.iter_mut().zip(parts).enumerate() {
                        let hit = meet(scene, |z| depth.point(c as f64, row, z), guess);
                        guess = hit.map(|h| h.0);
                        if let Some((at, what)) = hit {
                            (*z, *part) = (at as f32, what);
                        }
                    }
                }
            });
        }
    });
    (depth.z, depth.part) = (z, part);
    depth
}

/// Workers: the picture does not depend on how many.
pub fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, |n| n.get().min(8))
}

/// First meeting of a ray with the surface, coming from the camera.
fn meet(scene: &Scene, point: impl Fn(f64) -> Vec3, guess: Option<f64>) -> Option<(f64, Part)> {
    const FRONT: f64 = 48.0;
    const STRIDE: f64 = 7.0;
    let middle = point(-50.0);
    if middle.y > 150.0 || (middle.x.abs() > 125.0 && middle.y > -120.0) {
        return None;
    }
    let mut z = guess.map_or(FRONT, |g| (g + 3.0).min(FRONT));
    let p = point(z);
    if surface(scene, p.x, p.y).is_some_and(|(h, _)| h > z) {
        z = FRONT;
    }
    let mut before = z + 1.0;
    for _ in 0..80 {
        let p = point(z);
        let Some((h, part)) = surface(scene, p.x, p.y) else {
            before = z;
            z -= STRIDE;
            if z < BACK {
                return None;
            }
            continue;
        };
        let gap = z - h;
        if gap.abs() < 2e-3 {
            return Some((z, part));
        }
        if gap < 0.0 {
            return Some(narrow(scene, &point, before, z, part));
        }
        before = z;
        z -= gap.min(STRIDE);
        if z < BACK {
            return None;
        }
    }
    None
}

/// The crossing between a depth in front of the surface and one behind it.
fn narrow(
    scene: &Scene,
    point: &impl Fn(f64) -> Vec3,
    mut front: f64,
    mut behind: f64,
    mut part: Part,
) -> (f64, Part) {
    for _ in 0..14 {
        if front - behind < 2e-3 {
            break;
        }
        let z = 0.5 * (front + behind);
        let p = point(z);
        match surface(scene, p.x, p.y) {
            Some((h, what)) if h >= z => (behind, part) = (z, what),
            _ => front = z,
        }
    }
    (behind, part)
}
