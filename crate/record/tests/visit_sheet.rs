//! A visit on paper: what stands on it, and what never does.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_frames::Side;
use ophryon_record::{
    Client, Day, Edit, NO_ADVICE, NextVisit, Record, STRETCHING, SkinAnswer, Supply, Visit,
    VisitKind, VisitSheetOptions, Zone, apply,
};
use ophryon_stencil::{Paper, Sheet, print_pages};
use typical::{PHOTO, typical};

fn day(text: &str) -> Day {
    text.parse().unwrap_or_else(|why| panic!("{text}: {why}"))
}

/// A client with two visits; the second holds something of everything.
fn visited() -> Record {
    let proposed = apply(&typical(), &Edit::Propose);
    let mut record = proposed.unwrap_or_else(|why| panic!("{why}"));
    record.client = Client {
        code: "K. M.".to_owned(),
        name: Some("Invented Person".to_owned()),
        note: "only for the artist".to_owned(),
    };
    let first = Visit::new(day("2026-01-10"), VisitKind::FirstSession);
    let mut second = Visit::new(day("2026-03-14"), VisitKind::SecondSession);
    second.pigments = vec![Supply {
        name: "Ash brown".to_owned(),
        maker: "Invented Pigments".to_owned(),
        batch: "AB-2291".to_owned(),
        expires: Some(day("2026-03-01")),
    }];
    second.tools = vec![Supply::named("Hand tool")];
    second.needle_batch = "N-77".to_owned();
    let tail = &mut second.work.right.tail;
    (tail.passes, tail.seconds) = (3, 545);
    tail.skin = vec![SkinAnswer::PinpointBleeding];
    second.work.left.body.passes = 2;
    second.photos = vec![PHOTO.to_owned()];
    second.notes = "Calm.\nThen a little red.".to_owned();
    second.next = Some(NextVisit {
        from: day("2026-04-11"),
        to: day("2026-05-09"),
    });
    record.visits = vec![first, second];
    record
}

fn sheets(record: &Record, visit: usize, options: VisitSheetOptions) -> Vec<Sheet> {
    let made = record.visit_sheet(visit, &options);
    made.unwrap_or_else(|| panic!("there is a visit {visit}"))
}

/// All words of all pages, lines joined.
fn words(sheets: &[Sheet]) -> String {
    let all: Vec<_> = sheets.iter().flat_map(Sheet::words).collect();
    all.join(" ")
}

#[test]
fn everything_that_was_entered_stands_on_it() {
    let record = visited();
    let made = VisitSheetOptions {
        made: Some(day("2026-03-15")),
        ..VisitSheetOptions::default()
    };
    let sheets = sheets(&record, 1, made);
    let text = words(&sheets);
    for part in [
        "Visit sheet",
        "Client K. M., second session of 14 March 2026, printed on 15 March 2026",
        "number 2 of 2",
        "NOT AGREED",
        "The client was not asked about cautions",
        "Ash brown",
        "Invented Pigments",
        "AB-2291",
        "1 March 2026",
        "Hand tool",
        "N-77",
        "take one that has not expired",
        "pinpoint bleeding usually comes from too little stretch or too much force",
        STRETCHING,
        "no medical advice",
        "Calm.",
        "Then a little red.",
        "next visit between 11 April 2026 and 9 May 2026",
        "Local rules decide",
        "artist: name, signature, day",
        "client: signature, day",
    ] {
        assert!(text.contains(part), "no “{part}” in {text}");
    }
    assert!(NO_ADVICE.contains("no medical advice"));
    // 545 s are 9 minutes and 5 seconds.
    let one: Vec<_> = sheets.iter().flat_map(Sheet::words).collect();
    let tail = one.iter().position(|w| *w == "tail").expect("a row");
    assert_eq!(one[tail + 1..tail + 4], ["3", "9:05", "pinpoint bleeding"]);
}

#[test]
fn the_name_stands_there_only_where_it_was_chosen_and_the_artists_note_never() {
    let record = visited();
    let plain = words(&sheets(&record, 1, VisitSheetOptions::default()));
    assert!(!plain.contains("Invented Person") && !plain.contains("only for the artist"));
    let with_name = VisitSheetOptions {
        with_name: true,
        ..VisitSheetOptions::default()
    };
    let named = words(&sheets(&record, 1, with_name));
    assert!(named.contains("Invented Person") && !named.contains("only for the artist"));
}

#[test]
fn an_empty_visit_says_so_and_there_is_no_sheet_of_none() {
    let record = visited();
    let text = words(&sheets(&record, 0, VisitSheetOptions::default()));
    for part in [
        "Nothing was entered.",
        "Nothing was counted.",
        "Common is: next visit between 7 February 2026 and 7 March 2026",
    ] {
        assert!(text.contains(part), "no “{part}” in {text}");
    }
    assert!(!text.contains("Stop on this zone"));
    assert_eq!(record.visit_sheet(2, &VisitSheetOptions::default()), None);
}

#[test]
fn a_long_log_of_one_visit_goes_on_over_several_pages_that_print_at_true_size() {
    let mut record = visited();
    let long = "Thin skin toward the tail; cooled, then went on. ".repeat(300);
    record.visits[1].notes = long;
    for (paper, size) in [
        (Paper::A4, "size: 210mm 297mm; margin: 0;"),
        (Paper::Letter, "size: 215.9mm 279.4mm; margin: 0;"),
    ] {
        let options = VisitSheetOptions {
            paper,
            ..VisitSheetOptions::default()
        };
        let sheets = sheets(&record, 1, options);
        assert!(sheets.len() > 2, "{}", sheets.len());
        let text = words(&sheets);
        // Lines are joined by a space, so a sentence that is broken counts too,
        // but for those parted by a page's head and foot.
        let said = text
            .matches("Thin skin toward the tail; cooled, then went on.")
            .count();
        assert!(said <= 300 && said + sheets.len() > 300, "{said}");
        let pages: Vec<_> = sheets.iter().collect();
        let html = print_pages(&pages);
        assert!(html.contains(size), "{size}");
        assert_eq!(html.matches("<svg").count(), sheets.len());
    }
}

#[test]
fn her_brows_are_parted_into_zones_from_the_midline_outward() {
    let record = typical();
    let drawn = record.drawn().expect("a shape");
    let zones = drawn.zones_drawn().expect("both brows");
    let [left, top, width, height] = zones.view_box;
    // Both brows lie within, about as wide together as a face's brows are.
    assert!((90.0..160.0).contains(&width) && (10.0..60.0).contains(&height));
    assert!(left < -40.0 && left + width > 40.0 && top < 0.0);
    for side in Side::BOTH {
        let reach = |zone| zones.reach(side, zone);
        let outward = |[from, to]: [f64; 2]| match side {
            Side::Right => (-to, -from),
            Side::Left => (from, to),
        };
        let (front, body, tail) = (
            outward(reach(Zone::Front)),
            outward(reach(Zone::Body)),
            outward(reach(Zone::Tail)),
        );
        assert!(front.0 <= 1e-9 && front.1 > 0.0, "{front:?}");
        assert!(front.1 == body.0 && body.1 == tail.0 && tail.1 > tail.0);
        assert_eq!(outward(reach(Zone::Outline)).1, tail.1);
        assert!(zones.brows.get(side).path.ends_with('Z'));
    }
}
