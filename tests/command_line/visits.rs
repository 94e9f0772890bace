//! `ophryon visits`: the log and its warnings, on the invented client's file.

use serde_json::{Value, json};

use crate::desk::{Desk, assert_refusal};

/// Two visits of the invented client, the later one entered first.
fn desk() -> Desk {
    let desk = Desk::new();
    desk.change(|client| {
        let photo = client["photos"][0]["id"].clone();
        let share = |share: f64| json!({ "share": share, "sd": 0.03 });
        let kept = json!({ "area": share(0.88), "thickness": share(0.9), "lightening": share(0.35) });
        client["visits"] = json!([
            {
                "day": "2025-05-02",
                "kind": "healed-check",
                "photos": [photo.clone()],
                "healed": {
                    "photo": photo,
                    "kept": { "right": kept, "left": null },
                    "pigment": "Ash brown",
                    "skin-type": "III",
                },
            },
            {
                "day": "2025-03-14",
                "kind": "first-session",
                "tools": [{ "name": "Hand tool", "batch": "H-1", "expires": "2025-03-14" }],
                "pigments": [{ "name": "Ash brown", "maker": "Invented Pigments", "expires": "2025-03-01" }],
                "needle-batch": "N-77",
                "work": {
                    "right": { "tail": { "passes": 3, "seconds": 545, "skin": ["pinpoint-bleeding"] } },
                    "left": { "body": { "passes": 1 } },
                },
                "notes": "Calm.\nThen \u{1b}[31mred.",
                "next": { "from": "2025-04-11", "to": "2025-05-09" },
            },
        ]);
    });
    desk
}

fn in_json(desk: &Desk) -> Value {
    let ran = desk.run(&["visits", "client.json", "--json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    serde_json::from_str(&ran.out).expect("it is JSON")
}

#[test]
fn the_log_goes_by_day_with_all_that_was_entered() {
    let ran = desk().run(&["visits", "client.json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let places = [
        "2 visits",
        "Visit 2, 14 March 2025, first session",
        "Tool: Hand tool, batch H-1, to be used until 14 March 2025",
        "Pigment: Ash brown, by Invented Pigments, to be used until 1 March 2025",
        "Needles: batch N-77",
        "Client's right, tail: 3 passes, 9:05 min, pinpoint bleeding",
        "Client's left, body: 1 pass\n",
        "Note: Calm.",
        "Settled: next visit between 11 April 2025 and 9 May 2025",
        "Visit 1, 2 May 2025, healed check",
        "Healed, client's right: kept of the area 88 ± 6\u{a0}%, of the thickness 90 ± ",
        "lighter by 35 ± 6\u{a0}%",
        "skin type III (sometimes burns, tans slowly)",
        "Not settled; common is: next visit between 30 May 2025 and 27 June 2025",
    ]
    .map(|words| {
        let found = ran.out.find(words);
        found.unwrap_or_else(|| panic!("no “{words}” in {}", ran.out))
    });
    assert!(places.is_sorted(), "{}", ran.out);
    assert!(
        !ran.out.contains('\u{1b}'),
        "a note can't steer the terminal"
    );
}

#[test]
fn warnings_are_those_of_the_visits_own_day_and_cautions_no_advice() {
    let desk = desk();
    let ran = desk.run(&["visits", "client.json"]);
    for words in [
        "Mind: this is the last day of “Hand tool”",
        "Mind: “Ash brown” was to be used until 1 March 2025",
        "Mind: no batch number is entered for the pigment “Ash brown”",
        "entry 75",
        "Mind: Stop on this zone: pinpoint bleeding",
        "never on the eye",
        "no medical advice",
    ] {
        assert_eq!(
            ran.out.matches(words).count(),
            1,
            "“{words}” in {}",
            ran.out
        );
    }
    let log = in_json(&desk);
    let ids: Vec<_> = log["visits"][0]["warnings"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|w| w["warning"].as_str().expect("an id"))
        .collect();
    assert_eq!(ids, ["expires-today", "expired", "no-batch"]);
    assert_eq!(log["visits"][1]["warnings"], json!([]));
}

#[test]
fn in_json_a_visit_stands_as_it_does_in_the_file() {
    let desk = desk();
    let log = in_json(&desk);
    let file = desk.client();
    for (at, number) in [(0, 2), (1, 1)] {
        let one = &log["visits"][at];
        assert_eq!(one["number"], json!(number));
        for field in ["day", "kind", "pigments", "next", "notes", "photos"] {
            let kept = &file["visits"][number - 1][field];
            assert_eq!(&one["visit"][field], kept, "{field}");
        }
    }
    assert_eq!(log["visits"][0]["seconds"], json!(545));
    let proposed = json!({ "from": "2025-04-11", "to": "2025-05-09" });
    assert_eq!(log["visits"][0]["proposed-next"], proposed);
}

#[test]
fn without_a_visit_it_says_so() {
    let ran = Desk::new().run(&["visits", "client.json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(
        ran.out.ends_with(": no visit was entered yet\n"),
        "{}",
        ran.out
    );
    assert_eq!(in_json(&Desk::new())["visits"], json!([]));
}

#[test]
fn a_visit_that_cannot_be_is_refused_by_its_field() {
    let desk = desk();
    desk.change(|client| client["visits"][1]["photos"] = json!(["lost"]));
    let ran = desk.run(&["visits", "client.json"]);
    assert_refusal(&ran, &["visits[1].photos[0]", "there is no photo “lost”"]);
}

#[test]
fn a_visit_is_put_on_paper_as_pdf_and_as_a_page_to_print() {
    let desk = desk();
    let ran = desk.run(&["visits", "client.json", "--sheet", "v.html"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    // The latest is the one of May, number 1 in the file.
    assert!(
        ran.out.contains("v.html, visit 1, 1 page of A4"),
        "{}",
        ran.out
    );
    let html = std::fs::read_to_string(desk.path("v.html")).expect("it was written");
    assert!(html.contains("healed check of 2 May 2025"), "{html}");

    let ran = desk.run(&[
        "visits",
        "client.json",
        "--sheet",
        "v.pdf",
        "--visit",
        "2",
        "--paper",
        "letter",
        "--made",
        "2025-03-15",
    ]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(ran.out.contains("visit 2"), "{}", ran.out);
    let pdf = std::fs::read(desk.path("v.pdf")).expect("it was written");
    assert!(pdf.starts_with(b"%PDF-"));
    // 215.9 x 279.4 mm are 612 x 792 points (72 to an inch of 25.4 mm).
    let text = String::from_utf8_lossy(&pdf);
    assert!(text.contains("/MediaBox [0 0 612 792]"), "another size");

    // Neither a file that is there nor a visit that isn't is passed over.
    let again = desk.run(&["visits", "client.json", "--sheet", "v.pdf"]);
    assert_refusal(&again, &["there is a file of that name", "--replace"]);
    let other = desk.run(&["visits", "client.json", "--sheet", "w.pdf", "--visit", "3"]);
    assert_refusal(&other, &["there is no visit 3"]);
    let other = desk.run(&["visits", "client.json", "--sheet", "w.doc"]);
    assert_refusal(&other, &["w.doc", ".pdf or a .html"]);
    let none = Desk::new().run(&["visits", "client.json", "--sheet", "w.pdf"]);
    assert_refusal(&none, &["no visit was entered yet"]);
    assert!(!desk.path("w.pdf").exists());
}
