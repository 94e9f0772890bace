//! `ophryon photo`.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::desk::{Desk, assert_refusal};

fn fixture(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/photo");
    folder.join(name).display().to_string()
}

#[test]
fn a_photo_is_told_of_in_words() {
    let desk = Desk::new();
    let ran = desk.run(&["photo", "relaxed.jpg"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    for words in ["JPEG", "1800 x 2250 px", "at its own size", "focal length"] {
        assert!(ran.out.contains(words), "no {words}: {}", ran.out);
    }
}

#[test]
fn with_the_pupils_the_brows_are_judged_and_the_camera_is_placed() {
    let desk = Desk::new();
    let client = desk.client();
    let marks = &client["photos"][0]["landmarks"];
    let at = |side: &str| {
        let place = &marks[side]["pupil"];
        format!("{},{}", place[0], place[1])
    };
    let pupils = format!("{},{}", at("right"), at("left"));
    let run = |more: &[&str]| -> Value {
        let arguments: Vec<&str> = ["photo", "relaxed.jpg", "--json", "--pupils", &pupils]
            .iter()
            .chain(more)
            .copied()
            .collect();
        let ran = desk.run(&arguments);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
        serde_json::from_str(&ran.out).expect("JSON")
    };
    // The generator's camera: 5.6 px per mm from 3.2 m.
    let found = run(&["--mm-per-px", "0.17857"]);
    let number = |value: &Value| value.as_f64().expect("a number");
    let far = number(&found[0]["camera-distance-mm"]);
    assert!((far - 3200.0).abs() < 0.03 * 3200.0, "{far} mm");
    assert!((number(&found[0]["brows"]["px-per-mm"]) - 5.6).abs() < 0.01);
    assert_eq!(found[0]["brows"]["remarks"], Value::Array(Vec::new()));
    // Its irises are 11.7 mm wide, and their middles where the taps are.
    for (side, tap) in [("right", at("right")), ("left", at("left"))] {
        let iris = &found[0]["brows"]["irises"][side];
        let mm = 2.0 * number(&iris["radius-px"]) / 5.6;
        assert!((mm - 11.7).abs() < 0.1, "{side}: {mm} mm");
        let tap: Vec<f64> = tap.split(',').map(|n| n.parse().expect("px")).collect();
        for (i, px) in tap.iter().enumerate() {
            let off = number(&iris["middle-px"][i]) - px;
            assert!(off.abs() < 0.15 * 5.6, "{side}: {off} px");
        }
        assert_eq!(number(&found[0]["brows"]["light"][side]["burnt"]), 0.0);
    }
    // A scale from pupils 63 mm apart is no further off than people differ.
    let guessed = number(&run(&[])[0]["brows"]["px-per-mm"]);
    assert!((guessed / 5.6 - 1.0).abs() < 0.2, "{guessed} px per mm");
}

#[test]
fn a_photo_on_its_side_is_told_upright_and_one_that_only_browsers_show_is_not_judged() {
    let desk = Desk::new();
    for name in ["turned.jpg", "turned.png", "lossy.webp"] {
        let ran = desk.run(&["photo", &fixture(name)]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
        assert!(ran.out.contains("upright (after"), "{name}: {}", ran.out);
        assert!(!ran.out.contains("not judged"), "{name}: {}", ran.out);
        // Neither the camera's name nor the place that stand in the file.
        for private in ["Invented", "invented", "GPS"] {
            assert!(!ran.out.contains(private), "{name}: {}", ran.out);
        }
    }
    let ran = desk.run(&["photo", &fixture("upright.heic")]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert!(ran.out.contains("HEIC") && ran.out.contains("judged in the app only"));
}

#[test]
fn what_is_no_photo_is_said_and_the_others_are_told_of() {
    let desk = Desk::new();
    let whole = fs::read(desk.path("relaxed.jpg")).expect("it is there");
    fs::write(desk.path("cut.jpg"), &whole[..whole.len() / 2]).expect("it can be written");
    fs::write(desk.path("empty.jpg"), []).expect("it can be written");
    for (name, words) in [
        ("cut.jpg", "cut short"),
        ("empty.jpg", "is empty"),
        ("client.json", "is no photo"),
        ("missing.jpg", "no such file"),
        (".", "folder"),
    ] {
        assert_refusal(&desk.run(&["photo", name]), &[name, words]);
    }
    let ran = desk.run(&["photo", "cut.jpg", "relaxed.jpg", "client.json"]);
    assert_eq!(ran.code, 2);
    assert!(ran.out.contains("1800 x 2250 px"), "{}", ran.out);
    assert_eq!(ran.err.lines().count(), 2, "{}", ran.err);
    let two = [
        "photo",
        "relaxed.jpg",
        "eyes-open.jpg",
        "--pupils",
        "1,2,3,4",
    ];
    assert_refusal(&desk.run(&two), &["--pupils", "one file at a time"]);
    let far = ["photo", "relaxed.jpg", "--mm-per-px", "0"];
    assert_refusal(&desk.run(&far), &["--mm-per-px", "no scale"]);
    let together = ["photo", "relaxed.jpg", "--pupils", "9,9,9,9"];
    assert_refusal(&desk.run(&together), &["pupils are not a face's"]);
}
