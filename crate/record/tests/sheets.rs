//! What is chosen for paper, from the record on: name, label, printer, and what
//! the wrap may cost.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

#[allow(dead_code, reason = "other tests use more of the typical face")]
mod typical;

use ophryon_frames::{Side, Wrap};
use ophryon_record::{PaperError, Papers, Record, TapeLine, WrapChoice};
use ophryon_stencil::{Correction, Paper, SheetOptions, Sides};
use typical::typical;

fn papers(record: &Record, options: &SheetOptions) -> Papers {
    record.papers(options).expect("it fits")
}

fn said(papers: &Papers) -> String {
    papers.stencil.words().collect::<Vec<_>>().join(" ")
}

fn on(paper: Paper) -> SheetOptions {
    SheetOptions {
        paper,
        ..SheetOptions::default()
    }
}

#[test]
fn the_name_is_on_stencil_and_list_where_it_was_asked_for() {
    let mut record = typical();
    record.client.name = Some("Philippa Quillfeather".to_owned());
    let mut options = SheetOptions::default();
    assert!(!said(&papers(&record, &options)).contains("Quillfeather"));
    options.with_name = true;
    let with = papers(&record, &options);
    assert!(said(&with).contains("Quillfeather"));
    assert!(with.distances.words().any(|w| w.contains("Quillfeather")));
}

/// What the estimate may cost is the difference that one standard deviation of
/// heads makes to the length from start to tail, twice (k = 2).
#[test]
fn what_the_wrap_may_cost_is_on_the_sheet_in_millimetres() {
    let mut record = typical();
    record.wrap = WrapChoice::Estimate;
    let (typical_head, longer) = Wrap::typical_and_longer();
    let drawn = record.drawn().expect("drawn");
    let length = |wrap: &Wrap| {
        let ends = drawn.handles.right.iter();
        let mut along = ends.filter_map(|place| match place.handle.name() {
            "start" | "tail" => wrap.to_skin(place.front).ok(),
            _ => None,
        });
        let (start, tail) = (along.next(), along.next());
        (tail.expect("a tail").x - start.expect("a start").x).abs()
    };
    let cost = 2.0 * (length(&longer) - length(&typical_head)).abs();
    assert!((1.0..8.0).contains(&cost), "{cost}");
    let told = said(&papers(&record, &SheetOptions::default()));
    assert!(told.contains("WRAP ESTIMATED"), "{told}");
    assert!(
        told.contains(&format!("may be {cost:.1} mm off")),
        "{cost}: {told}"
    );

    // A tape says what it read, and leaves much less.
    record.wrap = WrapChoice::tape(Side::Right, TapeLine::StartToTail, 46.0);
    let told = said(&papers(&record, &SheetOptions::default()));
    assert!(told.contains("46.0 mm") && told.contains("Lengths along the brow: ± "));
    assert!(!told.contains("ESTIMATED"), "{told}");
}

#[test]
fn a_list_is_not_for_the_label_printer() {
    let record = typical();
    let office = papers(&record, &on(Paper::Letter));
    assert!(!office.is_list_apart() && office.pages().len() == 2);
    let label = papers(&record, &on(Paper::Label4x6In));
    assert!(label.is_list_apart() && label.pages().len() == 1);
    assert_eq!(label.distances.paper(), Paper::Letter);
    assert_eq!(papers(&record, &on(Paper::A6)).distances.paper(), Paper::A4);

    // Nor is it corrected for that printer.
    let correction = Correction::from_gauges(98.5, 99.0).expect("a printer's");
    let corrected = label.corrected(correction, "labels").expect("room");
    assert!(said(&corrected).contains("CORRECTED for “labels”"));
    assert_eq!(corrected.distances, label.distances);
    let corrected = office.corrected(correction, "office").expect("room");
    assert!(corrected.distances.words().any(|w| w.contains("CORRECTED")));
}

#[test]
fn as_many_copies_as_fit_and_no_more() {
    let record = typical();
    let drawn = record.drawn().expect("drawn");
    let mut options = on(Paper::A4);
    options.sides = Sides::Left;
    let most = record.most_copies(&drawn, &options).expect("an outline");
    assert!(most >= 4, "{most}");
    options.copies = most;
    assert_eq!(
        papers(&record, &options).stencil.placings().len(),
        most as usize
    );
    options.copies += 1;
    let refused = record.papers(&options).expect_err("no room");
    assert!(matches!(refused, PaperError::Sheet(_)));
    let words = refused.to_string();
    assert!(
        words.contains(&format!("ask for {most} or fewer")),
        "{words}"
    );
}
