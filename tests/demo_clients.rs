//! The invented clients as client's files, and their millimetres against the
//! truth that the generator wrote beside them.
//!
//! `OPHRYON_WRITE=1 cargo test -p ophryon-tests --test demo_clients` writes
//! demo-data/*/client.json anew after the pictures were redrawn.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

use std::fs;
use std::path::PathBuf;

use ophryon_face::{Held, Landmark, Landmarks, Reference, SidedLandmark};
use ophryon_frames::{Photo as Px, Point, Side, Sided};
use ophryon_record::{Image, Photo, PhotoState, Record, TapeLine, WrapChoice};
use serde_json::Value;

const CLIENTS: [&str; 3] = ["demo-even", "demo-set", "demo-movement"];

/// Promised of distances taken from the relaxed photo, mm.
const WITHIN_MM: f64 = 0.3;

fn folder(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../demo-data")
        .join(name)
}

fn truth(name: &str) -> Value {
    let path = folder(name).join("truth.json");
    let text = fs::read_to_string(&path).expect("the truth is beside the photos");
    serde_json::from_str(&text).expect("the truth is JSON")
}

fn number(value: &Value, pointer: &str) -> f64 {
    let found = value.pointer(pointer).and_then(Value::as_f64);
    found.unwrap_or_else(|| panic!("no number at {pointer}"))
}

fn text<'v>(value: &'v Value, pointer: &str) -> &'v str {
    let found = value.pointer(pointer).and_then(Value::as_str);
    found.unwrap_or_else(|| panic!("no text at {pointer}"))
}

fn px(known: &Value) -> Point<Px> {
    Point::new(number(known, "/px/0"), number(known, "/px/1"))
}

/// All landmarks of a photo's truth with what is known of each.
fn known(photo: &Value) -> Vec<(Landmark, &Value)> {
    let groups = photo["landmarks"].as_object().expect("groups of landmarks");
    groups
        .iter()
        .flat_map(|(group, all)| {
            let all = all.as_object().expect("landmarks by id");
            all.iter().map(move |(id, known)| {
                let landmark = Landmark::from_id(&format!("{group}/{id}"));
                (landmark.expect("a landmark of ours"), known)
            })
        })
        .collect()
}

/// The scale as an artist would tap it.
fn reference(object: &Value) -> Reference {
    let at = |name: &str| px(&object["points"][name]);
    match text(object, "/kind") {
        "card" => {
            let across = [at("edge-left"), at("edge-right")];
            let upright = [at("edge-top"), at("edge-bottom")];
            let length = |[a, b]: [Point<Px>; 2]| a.distance(b);
            let (long, short) = if length(across) > length(upright) {
                (across, upright)
            } else {
                (upright, across)
            };
            Reference::Card {
                long,
                short: Some(short),
                held: Held::default(),
            }
        }
        "sticker" => Reference::Sticker {
            rim: [at("edge-left"), at("edge-right")],
            diameter_mm: number(object, "/sizes-mm/diameter"),
            held: Held::default(),
        },
        "ruler" => Reference::Ruler {
            ends: [at("mark-0"), at("mark-150")],
            length_mm: number(object, "/sizes-mm/length"),
            held: Held::default(),
        },
        other => panic!("{other} is no scale object"),
    }
}

/// As a tape is read.
fn to_half_mm(mm: f64) -> f64 {
    (mm * 2.0).round() / 2.0
}

/// The client as the artist would have it after tapping without an error.
/// The even one was measured with tapes, the set one along the brow only, the
/// third not at all, so that all three ways are there to try.
fn client(name: &str) -> Record {
    let truth = truth(name);
    let mut record = Record::new(text(&truth, "/code"));
    record.client.name = Some(text(&truth, "/first-name").to_owned());
    record.client.note = "Invented client, for trying things out.".to_owned();
    for photo in truth["photos"].as_array().expect("photos") {
        let state = match text(photo, "/state") {
            "relaxed" => PhotoState::Relaxed,
            _ => PhotoState::EyesOpen,
        };
        let size = |i: usize| number(photo, &format!("/camera/size-px/{i}")) as u32;
        let name = text(photo, "/file").to_owned();
        let mut landmarks = Landmarks::default();
        for (landmark, known) in known(photo) {
            landmarks.set(landmark, px(known));
        }
        record.photos.push(Photo {
            landmarks,
            references: vec![reference(&photo["scale-object"])],
            ..Photo::new(
                text(photo, "/state"),
                state,
                Image::File { name },
                size(0),
                size(1),
            )
        });
    }
    let relaxed = &truth["photos"][0];
    if name != "demo-movement" {
        let along = number(relaxed, "/brows/right/start-to-tail/over-skin-mm");
        record.wrap = WrapChoice::tape(Side::Right, TapeLine::StartToTail, to_half_mm(along));
    }
    if name == "demo-even" {
        record.ear_tape_mm = Sided::from_fn(|side| {
            let pointer = format!("/ear-over-skin-mm/{}", side.name());
            Some(to_half_mm(number(relaxed, &pointer)))
        });
    }
    record
}

#[test]
fn every_demo_client_has_its_file_and_the_file_is_current() {
    for name in CLIENTS {
        let path = folder(name).join("client.json");
        let expected = client(name).to_json().expect("the truth is sound");
        if std::env::var_os("OPHRYON_WRITE").is_some() {
            fs::write(&path, &expected).expect("demo-data can be written");
        }
        let found = fs::read_to_string(&path).unwrap_or_default();
        assert!(
            found == expected,
            "{} is not what its truth says; write it anew with OPHRYON_WRITE=1",
            path.display()
        );
        let record = Record::from_json(&found).expect("it reads");
        record.drawn().expect("and can be drawn");
    }
}

#[test]
fn distances_from_the_photo_are_within_three_tenths_of_the_truth() {
    for name in CLIENTS {
        let truth = truth(name);
        let record = client(name);
        let face = record.levelled().expect("it is tapped").survey.face;
        for (landmark, known) in known(&truth["photos"][0]) {
            // Eyes, brows and nose wings lie near the plane of the scale; the
            // ears far behind it and the nose's base before it, as the demo
            // data's own page says.
            let Landmark::Sided(_, part) = landmark else {
                continue;
            };
            if part == SidedLandmark::EarMiddle {
                continue;
            }
            let at = face.points[&landmark];
            let (x, y) = (number(known, "/mm/0"), number(known, "/mm/1"));
            let (dx, dy) = (at.x - x, at.y - y);
            assert!(
                dx.abs() < WITHIN_MM && dy.abs() < WITHIN_MM,
                "{name}, {landmark}: {dx:.2}, {dy:.2} mm off"
            );
        }
    }
}

#[test]
fn the_natural_difference_is_the_one_that_was_drawn() {
    for name in CLIENTS {
        let truth = truth(name);
        let measured = client(name).measured().expect("it is tapped");
        let found = measured.natural_differences.expect("the brows are tapped");
        for (place, id) in [(found.peak, "brow-peak"), (found.tail, "brow-tail")] {
            let pointer = format!("/photos/0/left-minus-right-height-mm/{id}");
            let drawn = -number(&truth, &pointer);
            let off = place.height_mm - drawn;
            assert!(off.abs() < WITHIN_MM, "{name}, {id}: {off:.2} mm off");
        }
        // Only the difference that is there is called one.
        let told = measured
            .natural_table()
            .iter()
            .all(|d| d.height_distinguishable);
        assert_eq!(told, name == "demo-set", "{name}");
    }
}

/// The tail on the skin, through a wrap from one tape length, against the
/// drawn head's own surface.
#[test]
fn one_tape_length_brings_the_tail_where_it_is_on_the_skin() {
    for name in ["demo-even", "demo-set"] {
        let truth = truth(name);
        let measured = client(name).measured().expect("it is tapped");
        for side in Side::BOTH {
            let natural = measured.natural.get(side).expect("the brow is tapped");
            let worn = measured
                .wrap
                .get(side)
                .to_skin(natural.tail)
                .expect("in reach")
                .x;
            let pointer = format!(
                "/photos/0/brows/{}/places/brow-tail/midline-over-skin-mm",
                side.name()
            );
            let off = worn - number(&truth, &pointer);
            assert!(off.abs() < 0.5, "{name}, {}: {off:.2} mm off", side.name());
        }
    }
}
