//! Invented clients: a plausible face photographed, tapped and scaled, with
//! every choice of an artist drawn by lot.

use ophryon_brow::{AimFrame, PeakRule, Rules, StartRule, TailRule};
use ophryon_face::{Coin, Held, Landmark, MiddleLandmark, Reference, SidedLandmark};
use ophryon_frames::{Photo as Px, Point, Side};
use ophryon_record::{Image, Photo, PhotoState, Record, TapeLine, WrapChoice};

use crate::lot::Lot;

const WIDTH_PX: u32 = 3000;
const HEIGHT_PX: u32 = 4000;

/// How the face lies in the photo.
struct Shot {
    px_per_mm: f64,
    sin: f64,
    cos: f64,
    middle: (f64, f64),
}

impl Shot {
    fn by(lot: &mut Lot) -> Self {
        let (sin, cos) = libm::sincos(lot.between(-9.0, 9.0).to_radians());
        Self {
            px_per_mm: lot.between(4.0, 10.0),
            sin,
            cos,
            middle: (lot.between(1400.0, 1600.0), lot.between(1700.0, 1900.0)),
        }
    }

    /// Where a place seen from the front (mm, y up) lies in the photo.
    fn px(&self, x: f64, y: f64) -> Point<Px> {
        let (right, up) = (x * self.cos - y * self.sin, x * self.sin + y * self.cos);
        Point::new(
            self.middle.0 + self.px_per_mm * right,
            self.middle.1 - self.px_per_mm * up,
        )
    }
}

/// A client by number. About one in twenty lacks a landmark.
pub fn client(number: u64) -> Record {
    let lot = &mut Lot::new(number);
    let shot = Shot::by(lot);
    let mut photo = Photo::new(
        "relaxed",
        PhotoState::Relaxed,
        Image::File {
            name: "relaxed.jpg".to_owned(),
        },
        WIDTH_PX,
        HEIGHT_PX,
    );
    let half = lot.between(26.0, 36.0);
    let inner = half * lot.between(0.47, 0.55);
    let fissure = lot.between(26.0, 31.0);
    let (wing, wing_height) = (lot.between(14.0, 20.0), lot.between(-44.0, -33.0));
    let (height, thick) = (lot.between(19.0, 25.0), lot.between(5.0, 10.0));
    let (rise, tail) = (lot.between(1.5, 7.0), lot.between(19.0, 25.0));
    let places = [
        (SidedLandmark::Pupil, half, 0.0),
        (SidedLandmark::IrisOuterRim, half + 5.8, 0.0),
        (SidedLandmark::InnerCorner, inner, -1.0),
        (SidedLandmark::OuterCorner, inner + fissure, 0.5),
        (SidedLandmark::NoseWing, wing, wing_height),
        (SidedLandmark::LowerLid, inner + fissure - 6.0, -4.5),
        (SidedLandmark::EarMiddle, 75.0, -11.0),
        (SidedLandmark::BrowStartTop, inner, height),
        (SidedLandmark::BrowStartBottom, inner, height - thick),
        (SidedLandmark::BrowPeak, half + 8.0, height + rise),
        (
            SidedLandmark::BrowLowerArch,
            half + 9.5,
            height + rise - 0.9 * thick,
        ),
        (SidedLandmark::BrowTail, half + tail, height - 4.0),
    ];
    for side in Side::BOTH {
        for (landmark, x, y) in places {
            let (x, y) = (x + lot.between(-0.8, 0.8), y + lot.between(-0.8, 0.8));
            let optional = [SidedLandmark::EarMiddle, SidedLandmark::BrowLowerArch];
            if optional.contains(&landmark) && lot.one_in(4) {
                continue;
            }
            let at = shot.px(side.sign() * x, y);
            photo.landmarks.set(Landmark::Sided(side, landmark), at);
        }
    }
    let singles = [
        (MiddleLandmark::Bridge, 3.0),
        (MiddleLandmark::NoseBase, -47.0),
        (MiddleLandmark::Chin, -105.0),
    ];
    for (landmark, y) in singles {
        let at = shot.px(lot.between(-1.5, 1.5), y + lot.between(-3.0, 3.0));
        if !lot.one_in(3) {
            photo.landmarks.set(Landmark::Middle(landmark), at);
        }
    }
    if lot.one_in(20) {
        let tail = Landmark::Sided(lot.of(Side::BOTH), SidedLandmark::BrowTail);
        photo.landmarks.remove(tail);
    }
    photo.references.push(reference(lot, &shot, half));
    if lot.one_in(3) {
        photo.hair.right = border(lot, &shot, (inner, half + tail), (height, thick));
    }

    let mut record = Record::new(format!("P{number}"));
    record.photos.push(photo);
    let in_use = in_use(lot, &record.photos[0]);
    record.photos.push(in_use);
    record.rules = Rules {
        start: lot.of([StartRule::InnerCorner, StartRule::NoseWing]),
        start_offset_mm: lot.between(-2.0, 2.0),
        peak: lot.of([
            PeakRule::WingThroughPupil,
            PeakRule::WingThroughIrisRim,
            PeakRule::AbovePupil,
            PeakRule::AboveIrisRim,
        ]),
        tail: lot.of([TailRule::WingThroughOuterCorner, TailRule::LowerLid]),
        aim: lot.of([AimFrame::Skin, AimFrame::Skin, AimFrame::Front]),
    };
    record.wrap = wrap(lot, half + tail - inner);
    record.limits.peak_radius_mm = lot.between(3.0, 7.0);
    record.limits.inflections = lot.of([0, 0, 1]);
    if lot.one_in(3) {
        record.ear_tape_mm.left = Some(lot.between(130.0, 155.0));
    }
    record
}

/// The same face with the brows in use, and the hand that taps it no steadier.
fn in_use(lot: &mut Lot, relaxed: &Photo) -> Photo {
    let mut photo = relaxed.clone();
    photo.id = "eyes-open".to_owned();
    photo.state = PhotoState::EyesOpen;
    photo.references.clear();
    let (right, left) = (lot.between(0.0, 25.0), lot.between(0.0, 25.0));
    for (landmark, p) in relaxed.landmarks.iter() {
        let up = match landmark {
            Landmark::Sided(Side::Right, l) if l.is_brow() => right,
            Landmark::Sided(Side::Left, l) if l.is_brow() => left,
            _ => 0.0,
        };
        let (beside, above) = (lot.between(-2.0, 2.0), lot.between(-2.0, 2.0));
        photo.set_by_hand(landmark, Point::new(p.x + 9.0 + beside, p.y - up + above));
    }
    if lot.one_in(3) {
        let peak = Landmark::Sided(lot.of(Side::BOTH), SidedLandmark::BrowPeak);
        if let Some(p) = photo.landmarks.get(peak) {
            photo.tap_again(peak, Point::new(p.x + 1.5, p.y - 2.5));
        }
    }
    photo
}

fn wrap(lot: &mut Lot, seen_mm: f64) -> WrapChoice {
    let side = lot.of(Side::BOTH);
    let length_mm = seen_mm + lot.between(4.0, 7.0);
    let radius_mm = lot.between(65.0, 90.0);
    lot.of([
        WrapChoice::Estimate,
        WrapChoice::tape(side, TapeLine::StartToTail, length_mm),
        WrapChoice::tape(side, TapeLine::MidlineToTail, length_mm + 15.0),
        WrapChoice::Cylinder { radius_mm },
        WrapChoice::Flat,
    ])
}

fn reference(lot: &mut Lot, shot: &Shot, half_mm: f64) -> Reference {
    let long = [shot.px(-42.8, -130.0), shot.px(42.8, -130.0)];
    let short = [shot.px(0.0, -156.99), shot.px(0.0, -103.01)];
    let pupils = Side::BOTH.map(|side| Landmark::Sided(side, SidedLandmark::Pupil));
    lot.of([
        Reference::Card {
            long,
            short: None,
            held: Held::BrowPlane,
        },
        Reference::Card {
            long,
            short: Some(short),
            held: Held::Chin,
        },
        Reference::Ruler {
            ends: [shot.px(-60.0, -140.0), shot.px(60.0, -140.0)],
            length_mm: 120.0,
            held: Held::Nearer { mm: 12.0 },
        },
        Reference::Sticker {
            rim: [shot.px(-6.5, 50.0), shot.px(6.5, 50.0)],
            diameter_mm: 13.0,
            held: Held::Forehead,
        },
        Reference::Coin {
            rim: [shot.px(-11.625, 50.0), shot.px(11.625, 50.0)],
            coin: Coin::Euro1,
            held: Held::Forehead,
        },
        Reference::Caliper {
            between: pupils,
            distance_mm: 2.0 * half_mm,
        },
        Reference::Iris {
            side: Side::Right,
            rim: [shot.px(-half_mm - 5.8, 0.0), shot.px(-half_mm + 5.8, 0.0)],
        },
    ])
}

/// A ragged border round the hair of the client's right brow.
fn border(
    lot: &mut Lot,
    shot: &Shot,
    (from, to): (f64, f64),
    (height, thick): (f64, f64),
) -> Vec<Point<Px>> {
    let steps = 14;
    let along = |i: u32| from + (to - from) * f64::from(i) / f64::from(steps);
    let mut edge = |i: u32, y: f64| {
        let ragged = lot.between(-0.7, 0.7);
        shot.px(-along(i), y + ragged)
    };
    let mut all: Vec<_> = (0..=steps).map(|i| edge(i, height + 2.0)).collect();
    all.extend((0..=steps).rev().map(|i| edge(i, height - 0.8 * thick)));
    all
}
