//! `ophryon adjust`.

use std::fs;

use ophryon_brow::Phrase;
use ophryon_record::Record;
use serde_json::{Value, json};

use crate::desk::{Desk, Ran, assert_refusal};

fn record(desk: &Desk, name: &str) -> Record {
    let text = fs::read_to_string(desk.path(name)).expect("it is there");
    Record::from_json(&text).expect("a client's file")
}

fn say(desk: &Desk, file: &str, words: &str, options: &[&str]) -> Ran {
    desk.run(&[&["adjust", file, "--say", words][..], options].concat())
}

fn in_json(desk: &Desk, file: &str, words: &str, options: &[&str]) -> Value {
    let ran = say(desk, file, words, &[&["--json"], options].concat());
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    serde_json::from_str(&ran.out).expect("JSON")
}

/// The change of one measure, mm.
fn by(found: &Value, parameter: &str) -> f64 {
    let changes = found["changes"].as_array().expect("a list");
    let change = changes.iter().find(|c| c["parameter"] == parameter);
    change.map_or(0.0, |c| c["by-mm"].as_f64().expect("a number"))
}

#[test]
fn what_changes_is_printed_with_the_reason_and_nothing_is_written() {
    let desk = Desk::new();
    let (names, text) = (
        desk.names("."),
        fs::read(desk.path("client.json")).expect("there"),
    );
    let ran = say(&desk, "client.json", "Too thick!", &[]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    for words in [
        "answer to “too thick”",
        "thickness of the body (mm)",
        "right now",
        "left now",
        "healed, thickness of the body (mm)",
        "the underside comes up",
        "from the shape first shown",
        "without a source",
        "Nothing is changed yet",
    ] {
        assert!(ran.out.contains(words), "no {words}: {}", ran.out);
    }
    assert_eq!(desk.names("."), names);
    assert_eq!(fs::read(desk.path("client.json")).expect("there"), text);
}

/// What is said is what the new file holds, on both sides, measured anew.
#[test]
fn the_new_file_holds_what_was_said() {
    let desk = Desk::new();
    let found = in_json(&desk, "client.json", "too arched", &["--out", "new.json"]);
    assert_eq!(found["written-to"], json!("new.json"));
    assert!((by(&found, "rise") + 0.5).abs() < 1e-9, "{found}");
    let measures = |name: &str| record(&desk, name).drawn().expect("drawn").measures;
    let (was, is) = (measures("client.json"), measures("new.json"));
    for (was, is) in [(was.right, is.right), (was.left, is.left)] {
        assert!((is.peak_height_mm - was.peak_height_mm + 0.5).abs() < 1e-9);
        assert!((is.front_top_height_mm - was.front_top_height_mm).abs() < 1e-9);
    }
    let kept = record(&desk, "new.json");
    let answers = kept.answers.expect("it is kept what was said");
    assert_eq!(answers.said, [Phrase::TooArched]);
    assert_eq!(
        answers.first_shown,
        record(&desk, "client.json").proposal().expect("one")
    );
    // A file that is there is written over only when that was asked for.
    let again = say(&desk, "new.json", "too flat", &["--out", "new.json"]);
    assert_refusal(&again, &["new.json", "--replace"]);
    let again = say(
        &desk,
        "new.json",
        "too flat",
        &["--out", "new.json", "--replace"],
    );
    assert_eq!(again.code, 0, "{}", again.err);
    let back = measures("new.json").right.peak_height_mm;
    assert!((back - was.right.peak_height_mm).abs() < 1e-9);
}

/// Said again and again: it ends in words, exit 1, and no file is written.
#[test]
fn said_again_and_again_nothing_is_left_to_give() {
    let desk = Desk::new();
    let out = ["--out", "client.json", "--replace"];
    for _ in 0..3 {
        let ran = say(&desk, "client.json", "too thin", &out);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
        assert!(ran.out.contains("Written to client.json."), "{}", ran.out);
    }
    let before = desk.client();
    let ran = say(&desk, "client.json", "too thin", &out);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""), "{}", ran.out);
    for words in [
        "nothing is left to give to “too thin”",
        "1.5 mm from the shape first shown",
        "No file was written",
    ] {
        assert!(ran.out.contains(words), "no {words}: {}", ran.out);
    }
    assert_eq!(desk.client(), before);
    let ran = say(&desk, "client.json", "too thin", &["--json"]);
    let found: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(ran.code, 1);
    assert_eq!(found["phrase"], json!("too-thin"));
    assert!(
        found["nothing-left"]
            .as_str()
            .expect("words")
            .contains("1.5 mm")
    );
}

/// Hair traced 3 mm thicker than the brow on the client's right.
#[test]
fn hair_that_is_thicker_already_is_named() {
    let desk = Desk::new();
    let drawn = record(&desk, "client.json").drawn().expect("drawn");
    let middle: Vec<_> = drawn.photo_cubics(ophryon_frames::Side::Right).concat();
    let (x, y) = middle
        .iter()
        .fold((0.0, 0.0), |(x, y), p| (x + p.x, y + p.y));
    let (x, y) = (x / middle.len() as f64, y / middle.len() as f64);
    let border: Vec<_> = middle
        .iter()
        .map(|p| [x + 1.1 * (p.x - x), y + 2.0 * (p.y - y)])
        .collect();
    desk.change(|client| client["photos"][0]["hair"] = json!({ "right": border, "left": [] }));
    let ran = say(&desk, "client.json", "too thick", &[]);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""), "{}", ran.out);
    for words in [
        "client's right the natural hair is",
        "mm² of hair outside",
        "stubble",
    ] {
        assert!(ran.out.contains(words), "no {words}: {}", ran.out);
    }
    assert_eq!(say(&desk, "client.json", "too thin", &[]).code, 0);
}

#[test]
fn other_words_are_refused_with_those_that_there_are() {
    let desk = Desk::new();
    for words in ["", "nice", "too thick too thin"] {
        let ran = say(&desk, "client.json", words, &[]);
        assert_refusal(&ran, &["--say", "too thick", "looks stern"]);
    }
    let ran = say(&desk, "client.json", "too thick", &["--out", "."]);
    assert_refusal(&ran, &["this is a folder"]);
    let ran = say(&desk, "nobody.json", "too thick", &[]);
    assert_refusal(&ran, &["there is no such file"]);
}
