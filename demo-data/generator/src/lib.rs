//! Draws the invented demo clients, and says exactly where everything in the
//! pictures is.
//!
//! An invented head ([`Head`]) is a surface of known depth seen through a
//! pinhole camera ([`Camera`]). [`landmarks`] gives the project's landmarks as
//! points of that very surface, [`project`] where the camera sees them, and
//! [`render`] the photograph. [`Head::random`] makes plausible faces by the
//! thousand without drawing any. Nothing here uses code of the product, so
//! that the product can be measured against it.

mod brow;
mod brow_hair;
mod camera;
mod chance;
mod clients;
mod conditions;
mod curve;
mod ear;
mod exif;
mod eye;
mod hair;
mod head;
mod landmark;
mod mouth;
mod nose;
mod random;
mod render;
mod scale_object;
mod skin;
mod skin_path;
mod surface;
mod truth;
mod vec3;
mod worked;

pub use brow_hair::{BrowHair, HairGround, brow_hairs};
pub use camera::{Camera, Turn, project};
pub use chance::Chance;
pub use clients::{Client, Shot, clients};
pub use conditions::{Conditions, Glint};
pub use exif::Exif;
pub use eye::{Eye, EyePart};
pub use hair::{HAIR_COLOURS, Hair, HairStyle, IRIS_COLOURS, Look, looks};
pub use head::{
    Brow, Expression, Head, Lift, Proportions, Side, SideExpression, SideFeatures, Spot, spot,
};
pub use landmark::{Landmarks, Middle, Sided, landmarks, landmarks_of, on_skin};
pub use render::{Picture, render, render_under};
pub use scale_object::{CARD_CORNER, CARD_LONG, CARD_SHORT, ScaleKind, ScaleObject};
pub use skin::{Skin, TONES};
pub use skin_path::{centre_line, ear_from_midline, length_over, level_from_midline, shortest};
pub use surface::Face;
pub use truth::{
    BrowTruth, ClientTruth, Known, Lengths, Pair, PhotoTruth, Place, SCHEMA, ScaleTruth,
    client_truth, photo_truth,
};
pub use vec3::{Vec3, v3};
pub use worked::{Faded, Worked, WorkedTruth};
