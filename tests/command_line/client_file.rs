//! Good, damaged and wrong files of clients, through every command that reads
//! them.

use std::fs;
use std::path::Path;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use ophryon_record::Record;
use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Value, json};

use crate::desk::{Desk, assert_refusal};

#[test]
fn embedded_photos_are_as_good_as_files() {
    let desk = Desk::new();
    let first = desk.run(&["measure", "client.json", "--json"]).out;
    desk.change(|client| {
        for (i, name) in ["relaxed.jpg", "eyes-open.jpg"].iter().enumerate() {
            let bytes = fs::read(desk.path(name)).expect("it is there");
            client["photos"][i]["image"] = json!({
                "kind": "embedded", "media-type": "image/jpeg", "base64": STANDARD.encode(bytes),
            });
        }
    });
    fs::remove_file(desk.path("relaxed.jpg")).expect("no longer needed");
    let ran = desk.run(&["measure", "client.json", "--json"]);
    assert_eq!((ran.code, ran.out), (0, first), "{}", ran.err);
}

#[test]
fn files_that_are_no_clients_files_are_refused() {
    let desk = Desk::new();
    let ran = desk.run(&["check", "nobody.json"]);
    assert_refusal(
        &ran,
        &["nobody.json: there is no such file; check the path"],
    );
    let ran = desk.run(&["check", "."]);
    assert_refusal(&ran, &[".: this is a folder; name the client's file in it"]);
    let ran = desk.run(&["measure", "relaxed.jpg"]);
    assert_refusal(
        &ran,
        &["relaxed.jpg: this is not JSON but something else than text"],
    );

    let write = |text: &str| fs::write(desk.path("client.json"), text).expect("it can be written");
    write("");
    desk.refused(&["client.json: this is not JSON", "cut off or damaged"]);
    write("dear diary");
    desk.refused(&["client.json: this is not JSON from line 1, column 1"]);
    write("{\"type\": \"FeatureCollection\", \"features\": []}");
    desk.refused(&["client.json: this is JSON but no client's file"]);
    write("{\"client\": {\"code\": \"K\"}}");
    desk.refused(&["client.json: schema: it is missing"]);
    write("{\"schema\": 7, \"client\": {\"code\": \"K\"}, \"aura\": 3}");
    desk.refused(&[
        "client.json: schema: this was made by a newer Ophryon (schema 7); this one reads up to 3",
    ]);
    write("{\"schema\": 0, \"client\": {\"code\": \"K\"}}");
    desk.refused(&["client.json: schema: 0 was never a schema"]);
    write("{\"schema\": 3, \"client\": {\"code\": \"K\"}, \"aura\": 3}");
    desk.refused(&["client.json: aura: unknown field"]);
    write("{\"schema\": 1, \"client\": {\"code\": \"K\"}}");
    desk.refused(&["client.json: photos: there is no photo yet; bring one"]);
}

#[test]
fn faults_inside_a_clients_file_are_named_by_file_field_and_way_out() {
    type Change = fn(&mut Value);
    let cases: [(Change, &[&str]); 12] = [
        (
            |c| {
                let eye = &mut c["photos"][0]["landmarks"]["right"];
                eye.as_object_mut()
                    .expect("landmarks")
                    .remove("inner-corner");
            },
            &[
                "photos[0].landmarks.right.inner-corner",
                "inner corner of the client's right eye is missing; tap it",
            ],
        ),
        (
            |c| c["photos"][0]["references"] = json!([]),
            &["photos[0].references", "has no scale yet; tap"],
        ),
        (
            |c| c["photos"][0]["landmarks"]["right"]["pupil"] = json!([null, 3]),
            &["photos[0].landmarks.right.pupil", "null"],
        ),
        (
            |c| c["photos"][0]["landmarks"]["right"]["pupil"] = json!([1e300, 3]),
            &[
                "photos[0].landmarks.right.pupil",
                "outside the photo",
                "tap it again inside",
            ],
        ),
        (
            |c| {
                let marks = &mut c["photos"][0]["landmarks"];
                let (right, left) = (marks["right"].take(), marks["left"].take());
                marks["right"] = left;
                marks["left"] = right;
            },
            &[
                "photos[0].landmarks",
                "right and left exchanged",
                "swap them",
            ],
        ),
        (
            |c| {
                let marks = &mut c["photos"][0]["landmarks"]["left"];
                marks["brow-peak"] = marks["brow-tail"].clone();
            },
            &["photos[0].landmarks.left", "same spot", "again"],
        ),
        (
            |c| {
                c["pair"] = json!({"master": "right", "points": {
                    "front-top": [17, 22], "front-bottom": [17, 15], "peak": [12, 27],
                    "lower-arch": [42, 21], "tail": [60, 14],
                }});
            },
            &[
                "pair.points",
                "client's right brow: the peak lies 5.0 mm nearer the midline than the front top",
                "move it out by",
            ],
        ),
        (
            |c| {
                c["pair"] = json!({"master": "right", "points": {
                    "front-top": [17, 22], "front-bottom": [17, 15], "peak": [4e4, 27],
                    "lower-arch": [42, 21], "tail": [60, 14],
                }});
            },
            &["pair.points.peak", "outside any face"],
        ),
        (
            |c| {
                c["photos"][0]["references"] =
                    json!([{"kind": "ruler", "ends": [[100, 100], [660, 100]], "length-mm": 1.0}])
            },
            &[
                "photos[0].references",
                "so the scale can't be right",
                "Tap the scale again",
            ],
        ),
        (
            |c| c["photos"][0]["width-px"] = json!(0),
            &["photos[0].width-px", "0 px is no photo's size"],
        ),
        (
            |c| c["wrap"] = json!({"kind": "tape", "side": "right", "length-mm": 21}),
            &["wrap", "shorter than the", "measure over the skin again"],
        ),
        (
            |c| c["limits"]["peak-radius-mm"] = json!(0),
            &["limits", "peak-radius-mm must be a number above 0"],
        ),
    ];
    for (change, parts) in cases {
        let desk = Desk::new();
        desk.change(change);
        let mut all = vec!["ophryon: client.json: "];
        all.extend(parts);
        desk.refused(&all);
    }
}

#[test]
fn photos_that_are_missing_wrong_or_no_images_are_refused() {
    let desk = Desk::new();
    fs::rename(desk.path("relaxed.jpg"), desk.path("moved.jpg")).expect("it can be moved");
    desk.refused(&[
        "client.json: photos[0].image.name: “relaxed.jpg”: there is no such file",
        "beside the client's file",
    ]);
    fs::write(desk.path("relaxed.jpg"), "a drawing of a sheep").expect("it can be written");
    desk.refused(&[
        "photos[0].image.name: “relaxed.jpg” is no JPEG or PNG image; bring the photo again",
    ]);
    fs::write(desk.path("relaxed.jpg"), "GIF89a\u{1}\u{0}\u{1}\u{0}").expect("it can be written");
    desk.refused(&["photos[0].image.name", "is no JPEG or PNG image"]);
    let small = image::RgbImage::from_pixel(640, 480, image::Rgb([90, 80, 70]));
    small
        .save(desk.path("relaxed.jpg"))
        .expect("it can be written");
    desk.refused(&[
        "photos[0].width-px",
        "is 640 x 480 px and the file says 1800 x 2250",
    ]);
    fs::remove_file(desk.path("relaxed.jpg")).expect("it was there");
    fs::create_dir(desk.path("relaxed.jpg")).expect("it can be made");
    desk.refused(&["photos[0].image.name: “relaxed.jpg” is a folder"]);

    let desk = Desk::new();
    desk.change(|c| c["photos"][0]["image"]["name"] = json!("../relaxed.jpg"));
    desk.refused(&["photos[0].image.name", "it must be a plain file name"]);
    let desk = Desk::new();
    let embedded =
        |text: &str| json!({"kind": "embedded", "media-type": "image/jpeg", "base64": text});
    desk.change(|c| c["photos"][0]["image"] = embedded("not base64"));
    desk.refused(&["photos[0].image.base64: this is not base64"]);
    desk.change(|c| c["photos"][0]["image"] = embedded(&STANDARD.encode("a sheep")));
    desk.refused(&["photos[0].image.base64: the photo “relaxed” is no JPEG or PNG image"]);
}

#[test]
fn a_photo_turned_by_exif_has_its_turned_size() {
    // A JPEG of 640 x 480 with the EXIF tag Orientation (0x0112) set to 6,
    // "turn a quarter clockwise": CIPA DC-008 (Exif 2.32), section 4.6.4.
    let desk = Desk::new();
    let mut jpeg = std::io::Cursor::new(Vec::new());
    image::RgbImage::from_pixel(640, 480, image::Rgb([90, 80, 70]))
        .write_to(&mut jpeg, image::ImageFormat::Jpeg)
        .expect("it can be drawn");
    let tiff = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0";
    let mut turned = jpeg.get_ref()[..2].to_vec();
    turned.extend([0xff, 0xe1, 0, (tiff.len() + 2) as u8]);
    turned.extend(tiff);
    turned.extend(&jpeg.get_ref()[2..]);
    fs::write(desk.path("eyes-open.jpg"), turned).expect("it can be written");
    desk.change(|c| {
        c["photos"][1] = json!({"id": "turned", "state": "eyes-open", "width-px": 640, "height-px": 480,
            "image": {"kind": "file", "name": "eyes-open.jpg"}});
    });
    desk.refused(&[
        "photos[1].width-px",
        "is 480 x 640 px and the file says 640 x 480",
    ]);
    desk.change(|c| {
        c["photos"][1]["width-px"] = json!(480);
        c["photos"][1]["height-px"] = json!(640);
    });
    assert_eq!(desk.run(&["check", "client.json"]).code, 0);
}

#[test]
fn damaged_copies_end_in_a_sentence_through_the_program_too() {
    let desk = Desk::new();
    let good = fs::read(desk.path("client.json")).expect("it is there");
    for step in 1..12 {
        let end = good.len() * step / 12;
        fs::write(desk.path("client.json"), &good[..end]).expect("it can be written");
        let ran = desk.run(&["check", "client.json"]);
        assert_refusal(
            &ran,
            &["client.json: this is not JSON", "cut off or damaged"],
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    /// An invented client's file with bytes flipped, lost or doubled never
    /// makes the reader panic; what it still reads can be written again.
    #[test]
    fn a_damaged_client_never_panics(
        hits in prop::collection::vec((any::<Index>(), 0_u8..4, 1_u8..=255), 1..5),
        cut in prop::option::weighted(0.2, any::<Index>()),
    ) {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo-data/demo-set/client.json");
        let mut bytes = fs::read(path).expect("it is there");
        for (at, kind, value) in hits {
            let at = at.index(bytes.len());
            match kind {
                0 => bytes[at] ^= 1 << (value % 7),
                1 => { bytes.remove(at); }
                2 => bytes.insert(at, value & 0x7f),
                _ => bytes[at] = value,
            }
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        let Ok(text) = String::from_utf8(bytes) else { return Ok(()) };
        match Record::from_json(&text) {
            Ok(record) => {
                prop_assert!(record.to_json().is_ok());
                let _ = record.report().map(|r| r.to_json());
            }
            Err(why) => {
                let said = why.to_string();
                prop_assert!(!said.is_empty() && !said.contains('\n'), "{said:?}");
            }
        }
    }
}
