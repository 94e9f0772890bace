//! Shapes kept side by side: going to and fro loses nothing.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_brow::{Handle, Limits};
use ophryon_frames::{Point, Side};
use ophryon_record::{Edit, EditError, History, MOST_VARIANTS, Record, VariantEdit, apply};
use typical::typical;

fn keep(name: &str) -> Edit {
    Edit::Variant(VariantEdit::Keep {
        name: name.to_owned(),
        note: String::new(),
    })
}

fn take(index: usize) -> Edit {
    Edit::Variant(VariantEdit::Take { index })
}

/// The peak so much higher than it was.
fn higher(record: &Record, mm: f64) -> Edit {
    let drawn = record.drawn().expect("it can be drawn");
    let at = drawn.handle(Side::Right, Handle::Peak).expect("there");
    Edit::MoveHandle {
        side: Side::Right,
        handle: Handle::Peak,
        to: Point::new(at.lateral.x, at.lateral.y + mm),
    }
}

/// Every shape that the record holds, the present one first.
fn shapes(record: &Record) -> Vec<ophryon_brow::Pair> {
    let kept = record.variants.iter().map(|v| v.pair.clone());
    record.pair.clone().into_iter().chain(kept).collect()
}

fn done(record: &Record, edit: &Edit) -> Record {
    apply(record, edit).unwrap_or_else(|why| panic!("{}: {why}", edit.words()))
}

#[test]
fn the_proposal_is_kept_as_it_stands_and_becomes_the_records_own() {
    let record = typical();
    let kept = done(&record, &keep("First"));
    assert_eq!(kept.pair, Some(record.proposal().expect("a proposal")));
    assert_eq!(kept.kept_as(), Some(0));
}

#[test]
fn a_shape_that_was_worked_on_is_kept_before_another_is_taken() {
    let kept = done(&typical(), &keep("First"));
    let changed = done(&kept, &higher(&kept, 0.4));
    assert_eq!(changed.kept_as(), None);
    let mut history = History::new(changed.clone());
    assert_eq!(history.apply(&take(0)), Ok(true));
    let now = history.now();
    assert_eq!(now.pair, kept.pair);
    let names: Vec<_> = now.variants.iter().map(|v| v.name.as_str()).collect();
    assert_eq!(names, ["First", "Shape 1"]);
    assert_eq!(Some(&now.variants[1].pair), changed.pair.as_ref());
    // To and fro without more of them, and one step back.
    let there = done(now, &take(1));
    assert_eq!(there.pair, changed.pair);
    let back = done(&there, &take(0));
    // Only which drawing it is counts on, so that nothing said of one is taken
    // as said of another.
    assert!(back.drawing > now.drawing);
    let drawing = now.drawing;
    assert_eq!(Record { drawing, ..back }, *now);
    assert_eq!(history.undo_words(), Some("go on with a kept shape"));
    history.undo();
    assert_eq!(history.now(), &changed);
}

#[test]
fn with_four_kept_a_fifth_changes_places_and_none_is_lost() {
    let mut record = typical();
    for name in ["A", "B", "C", "D"] {
        record = done(&record, &keep(name));
        record = done(&record, &higher(&record, 0.2));
    }
    assert_eq!(record.variants.len(), MOST_VARIANTS);
    let full = apply(&record, &keep("E"));
    assert_eq!(full, Err(EditError::VariantsFull));
    let said = EditError::VariantsFull.to_string();
    assert!(said.starts_with("4 shapes are kept already; keep this one in place"));
    let taken = done(&record, &take(2));
    assert_eq!(taken.pair.as_ref(), Some(&record.variants[2].pair));
    let (before, after) = (shapes(&record), shapes(&taken));
    assert!(before.iter().all(|shape| after.contains(shape)));
    assert_eq!(after.len(), before.len());
}

#[test]
fn a_kept_shape_brings_the_limits_it_was_drawn_under() {
    let record = done(&typical(), &keep("Usual"));
    let rounder = Limits {
        rounding: 0.6,
        ..Limits::default()
    };
    let record = done(&record, &Edit::SetLimits(rounder));
    assert_eq!(record.kept_as(), None);
    let back = done(&record, &take(0));
    assert_eq!(back.limits, Limits::default());
    assert_eq!(back.variants[1].limits, rounder);
    let seen = back.with_variant(1).expect("it is there");
    assert_eq!(
        seen.drawn().expect("drawn").brows,
        record.drawn().expect("drawn").brows
    );
}

#[test]
fn names_are_there_and_unlike_each_other() {
    let record = done(&typical(), &keep("First"));
    for (name, said) in [
        ("First", "“First” is another kept shape's name too"),
        (" ", "it is empty"),
        ("two\nlines", "it holds a line break"),
    ] {
        let why = apply(&record, &keep(name)).expect_err("it is refused");
        assert!(why.to_string().contains(said), "{why}");
    }
    let named = Edit::Variant(VariantEdit::Describe {
        index: 0,
        name: "Soft".to_owned(),
        note: "She likes it.".to_owned(),
    });
    let named = done(&record, &named);
    let one = &named.variants[0];
    assert_eq!(
        (one.name.as_str(), one.note.as_str()),
        ("Soft", "She likes it.")
    );
}

#[test]
fn they_are_ordered_replaced_and_removed_by_their_number() {
    let mut record = done(&typical(), &keep("A"));
    record = done(&record, &higher(&record, 0.3));
    record = done(&record, &keep("B"));
    let moved = done(
        &record,
        &Edit::Variant(VariantEdit::Move { index: 1, to: 0 }),
    );
    let names: Vec<_> = moved.variants.iter().map(|v| v.name.as_str()).collect();
    assert_eq!(names, ["B", "A"]);
    let replaced = done(&moved, &Edit::Variant(VariantEdit::Replace { index: 1 }));
    assert_eq!(replaced.variants[1].name, "A");
    assert_eq!(Some(&replaced.variants[1].pair), record.pair.as_ref());
    let removed = done(&moved, &Edit::Variant(VariantEdit::Remove { index: 0 }));
    assert_eq!(removed.variants.len(), 1);
    assert_eq!(removed.pair, record.pair);
    for edit in [
        VariantEdit::Take { index: 2 },
        VariantEdit::Replace { index: 2 },
        VariantEdit::Move { index: 0, to: 2 },
        VariantEdit::Remove { index: 9 },
    ] {
        let why = apply(&record, &Edit::Variant(edit)).expect_err("none is there");
        assert!(
            why.to_string().ends_with("choose one that is there"),
            "{why}"
        );
    }
}

/// A file in which kept shapes or the shrink can't be used names the field.
#[test]
fn faults_of_kept_shapes_are_named_by_their_field() {
    let mut record = done(&typical(), &keep("A"));
    for name in ["B", "C", "D"] {
        record = done(&record, &keep(name));
    }
    let text = record.to_json().expect("it is sound");
    type Change = fn(&mut serde_json::Value);
    let cases: [(Change, &str); 7] = [
        (
            |f| {
                let one = f["variants"][0].clone();
                f["variants"].as_array_mut().expect("a list").push(one);
            },
            "variants: 5 kept shapes are more than the 4 that can be; remove some",
        ),
        (
            |f| f["variants"][2]["name"] = "A".into(),
            "variants[2].name: “A” is another kept shape's name too; give it its own",
        ),
        (
            |f| f["variants"][1]["name"] = "".into(),
            "variants[1].name: it is empty; enter something short",
        ),
        (
            |f| f["variants"][1]["pair"]["points"]["tail"] = serde_json::json!([900.0, 0.0]),
            "variants[1].pair.points.tail: ",
        ),
        (
            |f| f["variants"][3]["pair"]["offset"]["left"]["height-mm"] = 99.0.into(),
            "variants[3].pair.offset.left: an offset is at most 15",
        ),
        (
            |f| f["variants"][0]["limits"]["peak-radius-mm"] = 99.0.into(),
            "variants[0].limits.peak-radius-mm: 99 is no limit any more",
        ),
        (
            |f| f["shrink"] = serde_json::json!({ "share": 0.9, "by": "area" }),
            "shrink: 90 % is no healed shrink; it lies between 0 % and 50 %",
        ),
    ];
    for (change, said) in cases {
        let mut file = serde_json::from_str(&text).expect("JSON");
        change(&mut file);
        let why = Record::from_json(&file.to_string()).expect_err("it is refused");
        assert!(why.to_string().starts_with(said), "{why}");
    }
}

#[test]
fn a_shape_that_is_kept_by_itself_keeps_the_style_it_began_with() {
    let record = typical();
    let style = &ophryon_record::built_in_styles()[0];
    let one = |record: &Record, edit: &Edit| apply(record, edit).expect("sensible");
    let record = one(&record, &keep("Before"));
    let styled = record.styled(style).expect("it fits").edit();
    let record = one(&record, &styled);
    let record = one(&record, &Edit::Variant(VariantEdit::Take { index: 0 }));
    let begun: Vec<_> = record.variants.iter().map(|v| v.style.as_deref()).collect();
    assert_eq!(begun, [None, Some(&*style.name)]);
}
