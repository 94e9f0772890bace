//! The typical face of docs/method.md as a client's file: pupils 63 mm apart,
//! 0.1 mm per px, midline at x = 800 px, pupil line at y = 900 px.

use ophryon_face::{Held, Landmark, MiddleLandmark, Reference, SidedLandmark};
use ophryon_frames::{Photo as Px, Point, Side};
use ophryon_record::{Image, Photo, PhotoState, Record};

/// Where a place seen from the front (mm) is in the typical photo (px).
pub fn px(x_mm: f64, y_mm: f64) -> Point<Px> {
    Point::new(800.0 + 10.0 * x_mm, 900.0 - 10.0 * y_mm)
}

/// Landmarks of one side, mm from the midline and above the pupil line.
pub const SIDE: [(SidedLandmark, f64, f64); 12] = [
    (SidedLandmark::Pupil, 31.5, 0.0),
    (SidedLandmark::IrisOuterRim, 37.4, 0.0),
    (SidedLandmark::InnerCorner, 17.0, -1.0),
    (SidedLandmark::OuterCorner, 44.5, 0.0),
    (SidedLandmark::NoseWing, 17.0, -38.0),
    (SidedLandmark::LowerLid, 37.0, -6.0),
    (SidedLandmark::EarMiddle, 74.0, -11.0),
    (SidedLandmark::BrowStartTop, 14.0, 22.0),
    (SidedLandmark::BrowStartBottom, 14.0, 14.5),
    (SidedLandmark::BrowPeak, 40.5, 26.5),
    (SidedLandmark::BrowLowerArch, 42.0, 21.0),
    (SidedLandmark::BrowTail, 54.0, 16.0),
];

pub const PHOTO: &str = "relaxed";

/// A client whose photo is tapped and scaled; no shape yet.
pub fn typical() -> Record {
    let mut photo = Photo::new(
        PHOTO,
        PhotoState::Relaxed,
        Image::File {
            name: "relaxed.png".to_owned(),
        },
        1600,
        2000,
    );
    for side in Side::BOTH {
        for (landmark, x, y) in SIDE {
            let at = px(side.sign() * x, y);
            photo.landmarks.set(Landmark::Sided(side, landmark), at);
        }
    }
    for (landmark, y) in [
        (MiddleLandmark::Bridge, -6.0),
        (MiddleLandmark::NoseBase, -47.0),
        (MiddleLandmark::Chin, -100.0),
    ] {
        let at = px(0.0, y);
        photo.landmarks.set(Landmark::Middle(landmark), at);
    }
    photo.references.push(Reference::Card {
        long: [Point::new(300.0, 1950.0), Point::new(1156.0, 1950.0)],
        short: None,
        held: Held::default(),
    });
    let mut record = Record::new("T1");
    record.photos.push(photo);
    record
}
