//! `ophryon seal`, and that `ophryon sheet` says the same.

use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::{Value, json};

use crate::desk::{Desk, Ran, assert_refusal};

/// The invented client's file after she agreed; its seal, as `sha256sum`
/// prints it over what was sealed.
const AGREED: &str = "../fixtures/seals/demo-even.json";
const SEAL: &str = "3cc5ec48cc2972126e6a512aff1704589e3320bf0826b3d81854e4f289dc6d31";

fn desk() -> Desk {
    let desk = Desk::new();
    let agreed = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("command_line")
        .join(AGREED);
    fs::copy(agreed, desk.path("client.json")).expect("the fixture is there");
    desk
}

#[test]
fn a_sheet_says_the_day_it_was_made_where_it_is_told() {
    let desk = desk();
    let made = |more: &[&str]| {
        let ran = desk.run(&[&["sheet", "client.json", "--out", "out"][..], more].concat());
        (ran.code, ran.err)
    };
    let svg = || fs::read_to_string(desk.path("out/stencil.svg")).expect("it is there");
    assert_eq!(made(&[]), (0, String::new()));
    assert!(svg().contains("no date given"));
    assert_eq!(made(&["--made", "2025-12-24"]), (0, String::new()));
    assert!(svg().contains("24 December 2025") && !svg().contains("no date given"));
    let (code, said) = made(&["--made", "24.12.2025"]);
    assert!(
        code == 2 && said.contains("it must read like 2025-03-14"),
        "{said}"
    );
}

/// What the sheet, its PDF and its report say of the agreement.
fn sheet(desk: &Desk) -> (String, String, Value) {
    let ran = desk.run(&[
        "sheet",
        "client.json",
        "--out",
        "out",
        "--format",
        "svg,pdf",
    ]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    let read = |name: &str| fs::read_to_string(desk.path("out").join(name)).expect("it is there");
    let report = serde_json::from_str(&read("report.json")).expect("it is JSON");
    (ran.out, read("stencil.svg"), report)
}

fn in_json(desk: &Desk) -> (i32, Value) {
    let ran = desk.run(&["seal", "client.json", "--json"]);
    assert_eq!(ran.err, "");
    (
        ran.code,
        serde_json::from_str(&ran.out).expect("it is JSON"),
    )
}

/// State in every place: the seal's first digits, or NOT AGREED.
fn all_agree(desk: &Desk) -> (Ran, Value) {
    let ran = desk.run(&["seal", "client.json"]);
    assert_eq!(ran.err, "", "{}", ran.out);
    let (code, state) = in_json(desk);
    assert_eq!(code, ran.code);
    let (told, svg, report) = sheet(desk);
    let agreed = ran.code == 0;
    assert_eq!(state["agreed"], json!(agreed));
    assert_eq!(report["agreed"], json!(agreed));
    assert_eq!(report["seal"], state["seal"]);
    assert_eq!(report["agreement"], state["agreement"]);
    let sentence = state["agreement"].as_str().expect("a sentence");
    for caution in state["for-a-doctor"].as_array().expect("a list") {
        let caution = caution.as_str().expect("a sentence");
        assert!(told.contains(caution) && !svg.contains(caution), "{told}");
    }
    for text in [&ran.out, &told] {
        assert!(text.contains(sentence), "no “{sentence}” in {text}");
    }
    for text in [&ran.out, &told, &svg] {
        assert_eq!(text.contains("NOT AGREED"), !agreed, "{text}");
        assert_eq!(
            text.contains(&SEAL[..8]),
            agreed || text == &ran.out,
            "{text}"
        );
    }
    (ran, state)
}

#[test]
fn an_agreed_shape_is_agreed_everywhere() {
    let desk = desk();
    let (ran, state) = all_agree(&desk);
    assert_eq!(ran.code, 0);
    assert!(ran.out.contains(&format!("Seal: {SEAL}\n")), "{}", ran.out);
    assert!(
        ran.out.contains("Agreement 1, to version 1: "),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("the seal fits"), "{}", ran.out);
    // What she flagged or left open is told with it.
    assert!(
        ran.out
            .contains("Mind, flagged or not answered: My scars grow thick")
    );
    assert_eq!(state["seal"], json!(SEAL));
    assert_eq!(state["agreements"][0]["language"], json!("en"));
    assert_eq!(state["for-a-doctor"].as_array().map(Vec::len), Some(4));
}

#[test]
fn a_client_who_never_agreed_has_not() {
    let desk = Desk::new();
    let ran = desk.run(&["seal", "client.json"]);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    assert!(
        ran.out
            .contains("NOT AGREED: the client has not said yes to this shape.")
    );
    assert!(!ran.out.contains("Seal:"));
    let (code, state) = in_json(&desk);
    assert_eq!((code, &state["seal"]), (1, &Value::Null));
}

#[test]
fn a_change_a_withdrawal_and_a_damage_are_told_apart() {
    for (change, part) in [
        (
            (|client| client["pair"]["points"]["tail"][1] = json!(14.0)) as fn(&mut Value),
            "the shape changed since she agreed to version 1",
        ),
        (
            |client| client["plan"]["share"] = json!(0.4),
            "the plan changed since",
        ),
        (
            |client| client["version"] = json!(2),
            "the shape was changed and changed back since",
        ),
        (
            |client| client["consent"]["asked"]["statements"][4]["said"] = json!("no"),
            "what she was asked or answered changed since",
        ),
        (
            |client| {
                client["consent"]["agreements"][0]["withdrawn"] = json!("2025-12-01T09:00:00Z");
            },
            "she withdrew her agreement to version 1 on 1 December 2025, 09:00",
        ),
        (
            |client| {
                let sealed = &mut client["consent"]["agreements"][0]["sealed"];
                let text = sealed
                    .as_str()
                    .expect("a text")
                    .replace("keloids", "keloid");
                *sealed = json!(text);
            },
            "agreement 1 can't be relied on: its text was changed after it was sealed",
        ),
    ] {
        let desk = desk();
        desk.change(change);
        let (ran, _) = all_agree(&desk);
        assert_eq!(ran.code, 1);
        assert!(ran.out.contains(part), "no “{part}” in {}", ran.out);
    }
}

#[test]
fn what_is_no_seal_or_no_file_is_refused() {
    let desk = desk();
    desk.change(|client| client["consent"]["agreements"][0]["seal"] = json!("3cc5"));
    assert_refusal(
        &desk.run(&["seal", "client.json"]),
        &[
            "consent.agreements[0].seal",
            "64 digits of 0 to 9 and a to f",
        ],
    );
    desk.change(|client| {
        client["consent"]["agreements"][0]["seal"] = json!(SEAL);
        client["consent"]["agreements"][0]["withdrawn"] = json!("yesterday");
    });
    assert_refusal(
        &desk.run(&["seal", "client.json"]),
        &[
            "consent.agreements[0].withdrawn",
            "2025-03-14T15:09:26+01:00",
        ],
    );
    assert_refusal(
        &desk.run(&["seal", "none.json"]),
        &["there is no such file"],
    );
}

/// Words of the PDF, as a reader of another make finds them.
fn on_paper(desk: &Desk, more: &[&str]) -> (i32, String, String) {
    let all = [
        &["seal", "client.json", "--paper", "a.pdf", "--replace"],
        more,
    ]
    .concat();
    let ran = desk.run(&all);
    assert_eq!(ran.err, "", "{}", ran.out);
    let words = Command::new("pdftotext")
        .arg(desk.path("a.pdf"))
        .arg("-")
        .output()
        .expect("pdftotext, of poppler-utils");
    let words = String::from_utf8(words.stdout).expect("text");
    (ran.code, ran.out, words)
}

/// How many JPEG pictures are in it.
fn pictures(desk: &Desk) -> usize {
    let listed = Command::new("pdfimages")
        .arg("-list")
        .arg(desk.path("a.pdf"))
        .output()
        .expect("pdfimages, of poppler-utils");
    let listed = String::from_utf8(listed.stdout).expect("text");
    listed
        .lines()
        .filter(|line| line.contains(" jpeg "))
        .count()
}

#[test]
fn an_agreement_goes_on_paper_with_all_that_was_sealed() {
    let desk = desk();
    let (code, told, words) = on_paper(&desk, &[]);
    assert_eq!(code, 0);
    assert!(told.contains("Written: agreement 1 as a.pdf."), "{told}");
    let sealed = desk.client()["consent"]["agreements"][0]["sealed"].clone();
    let sealed: Value = serde_json::from_str(sealed.as_str().expect("a text")).expect("JSON");
    let one_line = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let asked = &sealed["asked"];
    for part in ["statements", "cautions"] {
        for sentence in asked[part].as_array().expect("a list") {
            let sentence = sentence["words"].as_str().expect("words");
            assert!(one_line.contains(sentence), "no “{sentence}” in {words}");
        }
    }
    // The whole seal, in groups of eight digits.
    assert!(one_line.replace(' ', "").contains(SEAL), "{words}");
    for part in [
        "demo-even",
        "27 February 2025, 05:09",
        "NO ANSWER",
        "Page 2 of 2",
    ] {
        assert!(words.contains(part), "no “{part}” in {words}");
    }
    assert!(!words.contains("WITHDRAWN") && !words.contains("NOT AGREED"));
    // Before, drawn, healed; she lets photos be kept.
    assert_eq!(pictures(&desk), 3);
    on_paper(&desk, &["--without-face"]);
    assert_eq!(pictures(&desk), 0);
    let checked = Command::new("qpdf")
        .args(["--check", "a.pdf"])
        .current_dir(desk.path("."))
        .output()
        .expect("qpdf");
    assert!(checked.status.success(), "{checked:?}");
}

#[test]
fn a_paper_says_that_it_was_withdrawn_or_that_the_shape_moved_on() {
    let desk = desk();
    desk.change(|client| client["pair"]["points"]["tail"][1] = json!(14.0));
    let (code, _, words) = on_paper(&desk, &[]);
    assert_eq!(code, 1);
    assert!(
        words.contains("CHANGED SINCE: the present shape is NOT AGREED"),
        "{words}"
    );
    desk.change(|client| {
        client["consent"]["agreements"][0]["withdrawn"] = json!("2025-12-01T09:00:00Z");
    });
    let (_, _, words) = on_paper(&desk, &[]);
    assert!(
        words.contains("WITHDRAWN 1 December 2025, 09:00"),
        "{words}"
    );
    // Where she lets no photo be kept, no option brings her face on paper: the
    // Spanish one said no.
    let agreed = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("command_line")
        .join("../fixtures/seals/demo-movement.json");
    fs::copy(agreed, desk.path("client.json")).expect("the fixture is there");
    let (_, told, words) = on_paper(&desk, &[]);
    assert!(
        told.contains("because she does not let photos be kept"),
        "{told}"
    );
    assert!(words.contains("Acuerdo sobre una forma exacta"), "{words}");
    assert_eq!(pictures(&desk), 0);
}

#[test]
fn no_paper_is_made_of_what_is_not_there_or_is_damaged() {
    let desk = desk();
    let paper =
        |more: &[&str]| desk.run(&[&["seal", "client.json", "--paper", "b.pdf"], more].concat());
    assert_refusal(
        &paper(&["--agreement", "2"]),
        &["no agreement 2", "from 1 to 1"],
    );
    fs::write(desk.path("b.pdf"), "mine").expect("written");
    let ran = paper(&[]);
    assert_eq!(ran.code, 2);
    assert_eq!(fs::read(desk.path("b.pdf")).expect("there"), b"mine");
    fs::remove_file(desk.path("b.pdf")).expect("removed");
    desk.change(|client| {
        let sealed = &mut client["consent"]["agreements"][0]["sealed"];
        *sealed = json!(
            sealed
                .as_str()
                .expect("a text")
                .replace("keloids", "keloid")
        );
    });
    assert_refusal(
        &paper(&[]),
        &["can't be relied on", "changed after it was sealed"],
    );
    assert!(!desk.path("b.pdf").exists());
    let never = Desk::new();
    assert_refusal(
        &never.run(&["seal", "client.json", "--paper", "b.pdf"]),
        &["has not agreed to anything"],
    );
}
