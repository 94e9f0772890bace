//! The log of visits: what was used and done is kept, a slip is told.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_frames::{Side, Sided};
use ophryon_record::{
    Day, Edit, EditError, HealedCheck, History, Kept, MOST_PASSES, MOST_VISITS, MeasuredShare,
    NextVisit, Record, SkinAnswer, SkinType, Supply, Visit, VisitChange, VisitEdit, VisitError,
    VisitKind, VisitWarning, Zone, apply,
};
use typical::{PHOTO, typical};

fn day(text: &str) -> Day {
    text.parse().unwrap_or_else(|why| panic!("{text}: {why}"))
}

fn visit() -> Visit {
    Visit::new(day("2025-03-14"), VisitKind::FirstSession)
}

fn add(visit: Visit) -> Edit {
    Edit::Visit(VisitEdit::Add(Box::new(visit)))
}

fn change(visit: usize, what: VisitChange) -> Edit {
    Edit::Visit(VisitEdit::Change { visit, what })
}

fn done(record: &Record, edit: &Edit) -> Record {
    apply(record, edit).unwrap_or_else(|why| panic!("{}: {why}", edit.words()))
}

fn visited() -> Record {
    done(&typical(), &add(visit()))
}

fn share(share: f64) -> MeasuredShare {
    MeasuredShare { share, sd: 0.03 }
}

fn check() -> HealedCheck {
    let kept = Kept {
        area: share(0.88),
        thickness: share(0.9),
        lightening: Some(share(0.35)),
        darkness: None,
    };
    HealedCheck {
        photo: Some(PHOTO.to_owned()),
        kept: Sided {
            right: Some(kept),
            left: None,
        },
        pigment: "Ash brown".to_owned(),
        skin_type: Some(SkinType::III),
    }
}

fn pigment(batch: &str, expires: Option<&str>) -> Supply {
    Supply {
        batch: batch.to_owned(),
        expires: expires.map(day),
        ..Supply::named("Ash brown")
    }
}

/// One of every change, with what undo says of it.
fn every_change() -> Vec<(VisitChange, &'static str)> {
    let (side, zone) = (Side::Left, Zone::Tail);
    vec![
        (
            VisitChange::Day(day("2025-03-15")),
            "set the visit's day to 15 March 2025",
        ),
        (
            VisitChange::Kind(VisitKind::HealedCheck),
            "call the visit a healed check",
        ),
        (
            VisitChange::Tools(vec![Supply::named("Hand tool")]),
            "change the visit's tools",
        ),
        (
            VisitChange::Pigments(vec![pigment("A1", Some("2026-01-31"))]),
            "change the visit's pigments",
        ),
        (
            VisitChange::NeedleBatch("N-77".to_owned()),
            "enter the needles' batch",
        ),
        (
            VisitChange::Passes {
                side,
                zone,
                passes: 3,
            },
            "count passes on the tail of the client's left brow",
        ),
        (
            VisitChange::Seconds {
                side,
                zone,
                seconds: 540,
            },
            "set the time worked on the tail of the client's left brow",
        ),
        (
            VisitChange::Skin {
                side,
                zone,
                skin: vec![SkinAnswer::PinpointBleeding],
            },
            "note the skin's answer on the tail of the client's left brow",
        ),
        (
            VisitChange::Photos(vec![PHOTO.to_owned()]),
            "choose the visit's photos",
        ),
        (
            VisitChange::Notes("Calm skin.\nNo swelling.".to_owned()),
            "write the visit's notes",
        ),
        (
            VisitChange::Next(visit().proposed_next()),
            "set when the client comes next",
        ),
        (
            VisitChange::Healed(Some(Box::new(check()))),
            "keep what healed",
        ),
    ]
}

#[test]
fn every_change_is_kept_in_the_file_and_undone_alone() {
    let mut history = History::new(visited());
    let mut before = vec![history.now().clone()];
    for (what, words) in every_change() {
        assert_eq!(history.apply(&change(0, what)), Ok(true), "{words}");
        assert_eq!(history.undo_words(), Some(words));
        let text = history.now().to_json().expect("it can be written");
        assert_eq!(
            Record::from_json(&text).as_ref(),
            Ok(history.now()),
            "{words}"
        );
        before.push(history.now().clone());
    }
    for record in before.iter().rev() {
        assert_eq!(history.now(), record);
        history.undo();
    }
}

#[test]
fn a_note_counts_letter_by_letter_and_is_one_step() {
    let mut history = History::new(visited());
    let before = history.now().clone();
    let write = |history: &mut History, note: &str| {
        let edit = change(0, VisitChange::Notes(note.to_owned()));
        assert_eq!(history.write_on(&edit), Ok(true), "{note}");
        assert_eq!(history.now().visits[0].notes, note, "it is kept so far");
    };
    for note in ["D", "Da", "Day"] {
        write(&mut history, note);
    }
    history.written();
    // The field is entered anew.
    for note in ["Day 2", "Day 2."] {
        write(&mut history, note);
    }
    assert!(history.undo());
    assert_eq!(history.now().visits[0].notes, "Day");
    write(&mut history, "Day 3");
    assert!(history.undo());
    assert!(history.undo());
    assert_eq!(history.now(), &before);
    assert!(!history.undo(), "each time in the field is one step");
    assert!(history.redo());
    assert_eq!(history.now().visits[0].notes, "Day");
    // Another field in between, and what is written away again is no step.
    let batch = change(0, VisitChange::NeedleBatch("N".to_owned()));
    assert_eq!(history.write_on(&batch), Ok(true));
    write(&mut history, "Day 4");
    write(&mut history, "Day");
    assert_eq!(history.undo_words(), Some("enter the needles' batch"));
}

#[test]
fn a_file_without_visits_stays_as_short_as_it_was() {
    let text = typical().to_json().expect("it can be written");
    assert!(!text.contains("visits"));
    let text = visited().to_json().expect("it can be written");
    let log = text.split("\"visits\"").nth(1).expect("it is there");
    for field in ["tools", "healed", "next", "notes", "outline", "needle"] {
        assert!(!log.contains(field), "{field} was never entered");
    }
}

#[test]
fn counting_passes_leaves_the_other_zones_and_the_other_brow_alone() {
    let (side, zone) = (Side::Right, Zone::Body);
    let mut record = visited();
    for passes in 1..=4 {
        record = done(
            &record,
            &change(0, VisitChange::Passes { side, zone, passes }),
        );
    }
    record = done(
        &record,
        &change(
            0,
            VisitChange::Seconds {
                side,
                zone,
                seconds: 60,
            },
        ),
    );
    let other = VisitChange::Seconds {
        side: Side::Left,
        zone: Zone::Front,
        seconds: 45,
    };
    record = done(&record, &change(0, other));
    let one = &record.visits[0];
    for (at, zones) in one.work.iter() {
        for (part, work) in zones.iter() {
            let here = (at, part) == (side, zone);
            assert_eq!(work.passes, if here { 4 } else { 0 }, "{at:?} {part:?}");
        }
    }
    assert_eq!(one.seconds(), 105);
}

#[test]
fn a_pigment_without_batch_or_past_its_day_is_told_and_kept() {
    let mut one = visit();
    one.pigments = vec![pigment("", Some("2025-03-13"))];
    one.tools = vec![Supply {
        expires: Some(day("2025-03-14")),
        ..Supply::named("Blade")
    }];
    let warnings = one.warnings(day("2025-03-14"));
    let ids: Vec<_> = warnings.iter().map(VisitWarning::id).collect();
    assert_eq!(ids, ["expires-today", "expired", "no-batch"]);
    let said: Vec<_> = warnings.iter().map(ToString::to_string).collect();
    assert!(
        said[0].contains("“Blade”") && said[0].contains("last day"),
        "{said:?}"
    );
    assert!(said[1].contains("until 13 March 2025"), "{said:?}");
    // Regulation (EU) 2020/2081: entry 75 of Annex XVII to REACH.
    assert!(said[2].contains("entry 75"), "{said:?}");
    assert_eq!(done(&typical(), &add(one.clone())).visits, [one]);
}

#[test]
fn a_label_is_good_up_to_the_day_before_its_last_and_past_the_day_after() {
    let mut one = visit();
    one.pigments = vec![pigment("A1", Some("2025-12-31"))];
    let on = |text: &str| -> Vec<_> {
        let warnings = one.warnings(day(text));
        warnings.iter().map(VisitWarning::id).collect()
    };
    assert!(on("2025-12-30").is_empty());
    assert_eq!(on("2025-12-31"), ["expires-today"]);
    assert_eq!(on("2026-01-01"), ["expired"]);
    one.pigments = vec![pigment("A1", None)];
    assert_eq!(one.warnings(day("2025-03-14"))[0].id(), "no-expiry");
}

#[test]
fn needles_without_a_batch_are_told_once_skin_was_worked() {
    let mut one = visit();
    assert!(one.warnings(one.day).is_empty());
    one.work.left.outline.passes = 1;
    assert_eq!(one.warnings(one.day), [VisitWarning::NoNeedleBatch]);
    one.needle_batch = "N-77".to_owned();
    assert!(one.warnings(one.day).is_empty());
}

#[test]
fn bleeding_and_swelling_say_stop_with_what_usually_causes_them() {
    let mut one = visit();
    assert!(one.skin_answers().is_empty());
    one.work.right.tail.skin = vec![SkinAnswer::Swelling, SkinAnswer::PinpointBleeding];
    one.work.left.front.skin = vec![SkinAnswer::Swelling];
    assert_eq!(one.skin_answers(), SkinAnswer::ALL, "each once");
    for answer in one.skin_answers() {
        assert!(answer.caution().starts_with("Stop on this zone"));
        assert!(answer.caution().contains("too much force"));
        assert!(answer.caution().contains("hinner skin"));
    }
    assert!(
        SkinAnswer::PinpointBleeding
            .caution()
            .contains("too little stretch")
    );
    assert!(ophryon_record::STRETCHING.contains("never on the eye"));
    let advice = ophryon_record::NO_ADVICE;
    assert!(advice.contains("no medical advice") && advice.contains("local codes"));
}

#[test]
fn the_next_visit_is_proposed_as_a_range_four_to_eight_weeks_on() {
    // 28 and 56 days after 1 February 2024, a leap year, by the calendar.
    let next = Visit::new(day("2024-02-01"), VisitKind::SecondSession).proposed_next();
    let (from, to) = (day("2024-02-29"), day("2024-03-28"));
    assert_eq!(next, Some(NextVisit { from, to }));
    let words = next.expect("it is there").words();
    assert!(
        words.contains("between 29 February 2024 and 28 March 2024"),
        "{words}"
    );
    let one_day = NextVisit { from, to: from };
    assert_eq!(one_day.words(), "next visit on 29 February 2024");
    let last = Visit::new(day("9999-12-31"), VisitKind::Other);
    assert_eq!(last.proposed_next(), None);
}

#[test]
fn the_log_goes_by_day_and_a_days_visits_as_they_were_entered() {
    let mut record = typical();
    for (text, kind) in [
        ("2025-05-02", VisitKind::HealedCheck),
        ("2025-03-14", VisitKind::FirstSession),
        ("2025-05-02", VisitKind::SecondSession),
    ] {
        record = done(&record, &add(Visit::new(day(text), kind)));
    }
    let log: Vec<_> = record.visit_log().iter().map(|(n, _)| *n).collect();
    assert_eq!(log, [1, 0, 2]);
}

#[test]
fn a_photo_that_goes_leaves_the_visits_and_comes_back_with_undo() {
    let mut one = visit();
    one.photos = vec![PHOTO.to_owned()];
    one.healed = Some(Box::new(check()));
    let mut history = History::new(done(&typical(), &add(one.clone())));
    let photo = PHOTO.to_owned();
    history
        .apply(&Edit::RemovePhoto { photo })
        .expect("it goes");
    let left = &history.now().visits[0];
    assert!(left.photos.is_empty());
    let healed = left.healed.as_ref().expect("numbers stay");
    assert_eq!((&healed.photo, healed.kept), (&None, check().kept));
    assert!(history.undo());
    assert_eq!(history.now().visits, [one]);
}

#[test]
fn erasing_the_photos_keeps_the_log() {
    let mut one = visit();
    one.photos = vec![PHOTO.to_owned()];
    let record = done(&typical(), &add(one)).without_photos();
    assert!(record.problems().is_empty());
    assert_eq!(record.visits[0].photos, [PHOTO]);
}

#[test]
fn what_is_not_there_is_told_and_nothing_changes() {
    let record = visited();
    let nobodys = [
        change(1, VisitChange::Notes("x".to_owned())),
        Edit::Visit(VisitEdit::Remove { visit: 1 }),
    ];
    for edit in nobodys {
        let refused = apply(&record, &edit);
        assert_eq!(refused, Err(VisitError::NoSuchVisit { visit: 1 }.into()));
    }
    let removed = done(&record, &Edit::Visit(VisitEdit::Remove { visit: 0 }));
    assert!(removed.visits.is_empty());
    let full = Record {
        visits: vec![visit(); MOST_VISITS],
        ..typical()
    };
    assert!(full.problems().is_empty());
    assert_eq!(apply(&full, &add(visit())), Err(VisitError::TooMany.into()));
}

/// What is told of a change that can't be kept: the first problem's field.
fn refused(what: VisitChange) -> String {
    match apply(&visited(), &change(0, what)) {
        Err(EditError::Problems(problems)) => problems[0].to_string(),
        other => panic!("it was not refused: {other:?}"),
    }
}

fn healed(make: impl FnOnce(&mut HealedCheck)) -> VisitChange {
    let mut check = check();
    make(&mut check);
    VisitChange::Healed(Some(Box::new(check)))
}

#[test]
fn a_slip_is_refused_with_its_field_and_the_way_out() {
    let (side, zone) = (Side::Right, Zone::Outline);
    let long = "x".repeat(101);
    let first = (day("2025-03-14"), day("2025-04-01"));
    for (what, field, words) in [
        (
            VisitChange::Tools(vec![Supply::default()]),
            "visits[0].tools[0].name",
            "empty",
        ),
        (
            VisitChange::Tools(vec![Supply::named("T"); 31]),
            "visits[0].tools",
            "31",
        ),
        (
            VisitChange::Pigments(vec![pigment(&long, None)]),
            "visits[0].pigments[0].batch",
            "100",
        ),
        (
            VisitChange::Pigments(vec![pigment("A\n1", None)]),
            "visits[0].pigments[0].batch",
            "line break",
        ),
        (
            VisitChange::NeedleBatch(long.clone()),
            "visits[0].needle-batch",
            "100",
        ),
        (
            VisitChange::Passes {
                side,
                zone,
                passes: MOST_PASSES + 1,
            },
            "visits[0].work.right.outline.passes",
            "101",
        ),
        (
            VisitChange::Seconds {
                side,
                zone,
                seconds: 28_801,
            },
            "visits[0].work.right.outline.seconds",
            "8 hours",
        ),
        (
            VisitChange::Skin {
                side,
                zone,
                skin: vec![SkinAnswer::Swelling; 2],
            },
            "visits[0].work.right.outline.skin",
            "twice",
        ),
        (
            VisitChange::Photos(vec!["lost".to_owned()]),
            "visits[0].photos[0]",
            "“lost”",
        ),
        (
            VisitChange::Photos(vec![PHOTO.to_owned(); 2]),
            "visits[0].photos[1]",
            "twice",
        ),
        (
            VisitChange::Notes("x".repeat(20_001)),
            "visits[0].notes",
            "20000",
        ),
        (
            VisitChange::Next(Some(NextVisit {
                from: first.0,
                to: first.1,
            })),
            "visits[0].next.from",
            "after this visit",
        ),
        (
            VisitChange::Next(Some(NextVisit {
                from: first.1,
                to: day("2025-03-31"),
            })),
            "visits[0].next",
            "ends before",
        ),
        (
            VisitChange::Next(Some(NextVisit {
                from: first.1,
                to: day("2028-03-14"),
            })),
            "visits[0].next.to",
            "three years",
        ),
        (
            healed(|c| c.photo = Some("lost".to_owned())),
            "visits[0].healed.photo",
            "“lost”",
        ),
        (
            healed(|c| c.pigment.clone_from(&long)),
            "visits[0].healed.pigment",
            "100",
        ),
        (
            healed(|c| c.kept.right.as_mut().expect("there").area.share = 88.0),
            "visits[0].healed.kept.right.area",
            "1.5",
        ),
        (
            healed(|c| c.kept.right.as_mut().expect("there").thickness.share = f64::NAN),
            "visits[0].healed.kept.right.thickness",
            "no share",
        ),
        (
            healed(|c| c.kept.right.as_mut().expect("there").lightening = Some(share(1.1))),
            "visits[0].healed.kept.right.lightening",
            "between 0 and 1",
        ),
        (
            healed(|c| c.kept.right.as_mut().expect("there").area.sd = 0.0),
            "visits[0].healed.kept.right.area",
            "uncertainty",
        ),
    ] {
        let said = refused(what);
        assert!(said.starts_with(&format!("{field}: ")), "{field}: {said}");
        assert!(said.contains(words), "{words}: {said}");
    }
}

#[test]
fn a_file_with_a_day_that_is_none_is_refused_by_its_field() {
    let text = visited().to_json().expect("it can be written");
    let text = text.replace("2025-03-14", "2025-02-30");
    let why = Record::from_json(&text)
        .expect_err("no such day")
        .to_string();
    assert!(
        why.contains("visits[0].day") && why.contains("2025-03-14"),
        "{why}"
    );
}
