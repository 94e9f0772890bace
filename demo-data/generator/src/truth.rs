//! What is known exactly about a drawn photograph, as it is stored beside it.
//! The format is described in demo-data/README.md.

use crate::camera::Camera;
use crate::clients::{Client, Shot};
use crate::head::{Brow, Side, Spot};
use crate::landmark::{Landmarks, landmarks_of, on_skin};
use crate::scale_object::{CARD_LONG, CARD_SHORT, ScaleKind};
use crate::skin_path::{centre_line, ear_from_midline, level_from_midline, shortest};
use crate::surface::Face;
use crate::vec3::Vec3;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Version of the format.
pub const SCHEMA: u32 = 1;

/// A point in 3-D and in the picture.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Known {
    /// x, y, z, mm.
    pub mm: [f64; 3],
    /// x, y, px.
    pub px: [f64; 2],
}

/// A length seen from the front and over the skin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Lengths {
    /// Seen from the front, without perspective, mm.
    pub frontal_mm: f64,
    /// Over the skin, mm.
    pub over_skin_mm: f64,
}

/// Where a brow landmark lies, as a ruler would say.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Place {
    /// From the midline, seen from the front, mm.
    pub midline_frontal_mm: f64,
    /// From the midline, level over the skin, mm.
    pub midline_over_skin_mm: f64,
    /// Above the pupil line, mm.
    pub height_mm: f64,
}

/// What is known about one brow.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct BrowTruth {
    /// Closed outline of the hair: lower corner of the front edge, up, upper
    /// border to the tail, lower border back.
    pub outline: Vec<Known>,
    /// Area of the outline seen from the front, mm².
    pub area_frontal_mm2: f64,
    /// Along the centre line from start to tail.
    pub centre_line: Lengths,
    /// Straight from the middle of the front edge to the tail: chord from the
    /// front, shortest way over the skin.
    pub start_to_tail: Lengths,
    /// Each brow landmark by id.
    pub places: BTreeMap<String, Place>,
}

/// Both sides of something.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pair<T> {
    /// The client's right.
    pub right: T,
    /// The client's left.
    pub left: T,
}

impl<T> Pair<T> {
    /// Both sides, made by the same rule.
    pub fn of(f: impl Fn(Side) -> T) -> Self {
        Self {
            right: f(Side::Right),
            left: f(Side::Left),
        }
    }

    /// One side.
    pub fn side(&self, side: Side) -> &T {
        match side {
            Side::Right => &self.right,
            Side::Left => &self.left,
        }
    }
}

/// What is known about the object of known size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct ScaleTruth {
    /// "card", "sticker" or "ruler".
    pub kind: String,
    /// Known sizes by name, mm.
    pub sizes_mm: BTreeMap<String, f64>,
    /// Millimetres per pixel in its plane.
    pub mm_per_px: f64,
    /// Named points; `mm` in the scene frame.
    pub points: BTreeMap<String, Known>,
}

/// What is known about one photograph.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct PhotoTruth {
    /// File beside the truth.
    pub file: String,
    /// "relaxed" or "eyes-open".
    pub state: String,
    /// The camera.
    pub camera: Camera,
    /// All landmarks by group and id.
    pub landmarks: Landmarks<Known>,
    /// Diameter of the irises, mm.
    pub iris_diameter_mm: f64,
    /// Level over the skin from the midline to the middle of the ear, mm.
    pub ear_over_skin_mm: Pair<f64>,
    /// The object of known size.
    pub scale_object: ScaleTruth,
    /// The brows.
    pub brows: Pair<BrowTruth>,
    /// The client's left minus right height of brow landmarks, mm.
    pub left_minus_right_height_mm: BTreeMap<String, f64>,
}

/// What is known about an invented client.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct ClientTruth {
    /// Format version.
    pub schema: u32,
    /// Always: no such person exists.
    pub invented: bool,
    /// Invented code.
    pub code: String,
    /// Invented first name.
    pub first_name: String,
    /// "even", "set" or "movement".
    pub difference: String,
    /// Relaxed, then eyes open.
    pub photos: Vec<PhotoTruth>,
}

/// Tenth of a micrometre: far below anything measured, and short to read.
fn mm(v: f64) -> f64 {
    let r = (v * 1e4).round() / 1e4;
    if r == 0.0 { 0.0 } else { r }
}

fn px(v: f64) -> f64 {
    (v * 1e3).round() / 1e3
}

fn known(p: Vec3, at: (f64, f64)) -> Known {
    Known {
        mm: [mm(p.x), mm(p.y), mm(p.z)],
        px: [px(at.0), px(at.1)],
    }
}

fn brow_spots(brow: &Brow) -> [(&'static str, Spot); 5] {
    [
        ("brow-start-top", brow.start_top),
        ("brow-start-bottom", brow.start_bottom),
        ("brow-peak", brow.peak),
        ("brow-lower-arch", brow.lower_arch),
        ("brow-tail", brow.tail),
    ]
}

fn brow_truth(shot: &Shot, face: &Face, side: Side) -> BrowTruth {
    let head = &shot.head;
    let brow = head.brow_now(side);
    let (frontal, over) = centre_line(head, face, side);
    let at = |s: Spot| (side.sign() * s.lateral, s.height);
    let start = brow.centre(0.0);
    BrowTruth {
        outline: brow
            .outline()
            .into_iter()
            .map(|s| {
                let p = on_skin(face, side, s);
                known(p, shot.camera.project(p))
            })
            .collect(),
        area_frontal_mm2: mm(brow.area()),
        centre_line: Lengths {
            frontal_mm: mm(frontal),
            over_skin_mm: mm(over),
        },
        start_to_tail: Lengths {
            frontal_mm: mm(libm::hypot(
                brow.tail.lateral - start.lateral,
                brow.tail.height - start.height,
            )),
            over_skin_mm: mm(shortest(face, at(start), at(brow.tail))),
        },
        places: brow_spots(&brow)
            .into_iter()
            .map(|(id, s)| {
                let (x, y) = at(s);
                let place = Place {
                    midline_frontal_mm: mm(s.lateral),
                    midline_over_skin_mm: mm(level_from_midline(face, x, y)),
                    height_mm: mm(s.height),
                };
                (id.to_owned(), place)
            })
            .collect(),
    }
}

fn scale_truth(shot: &Shot) -> ScaleTruth {
    let (kind, sizes) = match shot.scale.kind {
        ScaleKind::Card => ("card", vec![("long", CARD_LONG), ("short", CARD_SHORT)]),
        ScaleKind::Sticker { diameter } => ("sticker", vec![("diameter", diameter)]),
        ScaleKind::Ruler { length } => ("ruler", vec![("length", length)]),
    };
    let k = shot.camera.scale_at(shot.scale.centre.z);
    ScaleTruth {
        kind: kind.to_owned(),
        sizes_mm: sizes.into_iter().map(|(n, v)| (n.to_owned(), v)).collect(),
        mm_per_px: (1e9 / k).round() / 1e9,
        points: shot
            .scale
            .points()
            .into_iter()
            .map(|(name, p)| (name, known(p, shot.camera.project_scene(p))))
            .collect(),
    }
}

/// What is known about one photograph.
pub fn photo_truth(shot: &Shot) -> PhotoTruth {
    let face = Face::of(&shot.head);
    let (r, l) = (
        shot.head.brow_now(Side::Right),
        shot.head.brow_now(Side::Left),
    );
    PhotoTruth {
        file: format!("{}.jpg", shot.state),
        state: shot.state.to_owned(),
        camera: shot.camera,
        landmarks: landmarks_of(&shot.head, &face).map(|p| known(p, shot.camera.project(p))),
        iris_diameter_mm: shot.head.face.iris_diameter,
        ear_over_skin_mm: Pair::of(|s| mm(ear_from_midline(&shot.head, &face, s))),
        scale_object: scale_truth(shot),
        brows: Pair::of(|s| brow_truth(shot, &face, s)),
        left_minus_right_height_mm: brow_spots(&r)
            .into_iter()
            .zip(brow_spots(&l))
            .map(|((id, r), (_, l))| (id.to_owned(), mm(l.height - r.height)))
            .collect(),
    }
}

/// What is known about a client.
pub fn client_truth(client: &Client) -> ClientTruth {
    ClientTruth {
        schema: SCHEMA,
        invented: true,
        code: client.code.to_owned(),
        first_name: client.first_name.to_owned(),
        difference: client.difference.to_owned(),
        photos: client.shots.iter().map(photo_truth).collect(),
    }
}
