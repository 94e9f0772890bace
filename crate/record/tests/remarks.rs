//! What the client said of a shape: it stays said, and an undo takes back only
//! that it was answered.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_agreement::When;
use ophryon_brow::{Handle, Phrase};
use ophryon_frames::{Photo as Px, Point, Side};
use ophryon_record::{
    ConsentEdit, Edit, EditError, History, MOST_REMARKS, Opinion, PRESENT, Record, Reply,
    VariantEdit, apply, feedback_edit,
};
use typical::{PHOTO, typical};

fn noon() -> When {
    "2026-03-14T12:00:00+01:00".parse().expect("a time")
}

fn drawn() -> History {
    let mut history = History::new(typical());
    history.apply(&Edit::Propose).expect("a shape");
    history
}

fn circle() -> Vec<Point<Px>> {
    let place = |n: i32| Point::new(400.0 + f64::from(n), 300.0 - f64::from(n));
    (0..12).map(place).collect()
}

fn say(history: &mut History, said: Opinion) {
    let remark = history.now().remark(said, None, vec![circle()], noon());
    let edit = Edit::Consent(ConsentEdit::Remark(Box::new(remark)));
    assert!(history.apply(&edit).expect("it is kept"));
}

fn reply(index: usize, reply: Option<Reply>) -> Edit {
    Edit::Consent(ConsentEdit::Reply { index, reply })
}

/// The artist takes what the engine proposes.
fn take(history: &mut History, phrase: Phrase, index: usize) {
    let proposal = history.now().feedback(phrase).expect("a proposal");
    let edits = [feedback_edit(&proposal), reply(index, Some(Reply::Taken))];
    assert!(history.apply_all(&edits, "answer").expect("it is taken"));
}

fn replies(record: &Record) -> Vec<Option<Reply>> {
    record.consent.remarks.iter().map(|r| r.reply).collect()
}

const THICK: Opinion = Opinion::Phrase(Phrase::TooThick);

#[test]
fn what_she_said_is_no_step_and_survives_undo() {
    let mut history = drawn();
    let words = history.undo_words().map(str::to_owned);
    say(&mut history, THICK);
    assert_eq!(history.undo_words().map(str::to_owned), words);
    assert!(history.undo());
    let remarks = &history.now().consent.remarks;
    assert_eq!(remarks.len(), 1, "the undo of a drawing took her word");
    assert_eq!(remarks[0].circles, [circle()]);
    assert_eq!(remarks[0].photo.as_deref(), Some(PHOTO));
    assert!(remarks[0].is_open());
}

#[test]
fn an_undo_of_the_change_lets_the_remark_wait_again_and_a_redo_answers_it() {
    let mut history = drawn();
    say(&mut history, THICK);
    say(&mut history, Opinion::Phrase(Phrase::TooLong));
    take(&mut history, Phrase::TooThick, 0);
    assert_eq!(replies(history.now()), [Some(Reply::Taken), None]);
    history.undo();
    assert_eq!(replies(history.now()), [None, None]);
    history.redo();
    assert_eq!(replies(history.now()), [Some(Reply::Taken), None]);

    // Something later that is undone leaves it taken.
    let tail = Edit::MoveHandle {
        side: Side::Right,
        handle: Handle::Tail,
        to: history
            .now()
            .drawn()
            .expect("a shape")
            .handle(Side::Right, Handle::Tail)
            .expect("a tail")
            .lateral
            + ophryon_frames::Vector::new(-1.0, 0.5),
    };
    assert!(history.apply(&tail).expect("it moves"));
    history.undo();
    assert_eq!(replies(history.now()), [Some(Reply::Taken), None]);
}

#[test]
fn what_was_left_or_taken_back_stays_so_whatever_is_undone() {
    let mut history = drawn();
    say(&mut history, THICK);
    say(&mut history, THICK);
    take(&mut history, Phrase::TooThick, 0);
    history.apply(&reply(0, Some(Reply::Left))).expect("left");
    history
        .apply(&reply(1, Some(Reply::TakenBack)))
        .expect("taken back");
    while history.undo() {
        assert_eq!(
            replies(history.now()),
            [Some(Reply::Left), Some(Reply::TakenBack)]
        );
    }
}

#[test]
fn it_is_known_which_shape_she_meant() {
    let mut history = drawn();
    let remark = history
        .now()
        .remark(Opinion::LikesIt, None, Vec::new(), noon());
    assert_eq!(remark.of_shape(), PRESENT);
    assert_eq!(remark.photo, None, "she drew nothing");
    let keep = VariantEdit::Keep {
        name: "Shape 1".to_owned(),
        note: String::new(),
    };
    history.apply(&Edit::Variant(keep)).expect("kept");
    // The present one is kept by now, so it has that name too.
    for variant in [None, Some(0)] {
        let remark = history
            .now()
            .remark(Opinion::ChoosesIt, variant, Vec::new(), noon());
        assert_eq!(remark.of_shape(), "Shape 1");
    }
}

#[test]
fn what_she_said_comes_back_from_a_file_as_it_was() {
    let mut history = drawn();
    for said in [THICK, Opinion::LikesIt, Opinion::ChoosesIt] {
        say(&mut history, said);
    }
    history.apply(&reply(0, Some(Reply::Left))).expect("left");
    let text = history.now().to_json().expect("a file");
    assert!(text.contains("\"too-thick\"") && text.contains("\"likes-it\""));
    let back = Record::from_json(&text).expect("the same file");
    assert_eq!(back.consent.remarks, history.now().consent.remarks);
    let wrong = text.replace("\"likes-it\"", "\"likes-the-weather\"");
    assert!(Record::from_json(&wrong).is_err(), "anything can be said");
}

#[test]
fn what_no_finger_draws_is_refused_and_nothing_changes() {
    let record = drawn().now().clone();
    let far = vec![Point::new(f64::NAN, 0.0)];
    let long = vec![Point::new(0.0, 0.0); 2000];
    for circles in [vec![far], vec![long], vec![circle(); 40]] {
        let remark = record.remark(THICK, None, circles, noon());
        let edit = Edit::Consent(ConsentEdit::Remark(Box::new(remark)));
        assert!(matches!(apply(&record, &edit), Err(EditError::Consent(_))));
    }
    assert!(apply(&record, &reply(0, Some(Reply::Taken))).is_err());
    let mut history = drawn();
    for _ in 0..MOST_REMARKS {
        say(&mut history, THICK);
    }
    let more = history.now().remark(THICK, None, Vec::new(), noon());
    let more = Edit::Consent(ConsentEdit::Remark(Box::new(more)));
    let why = history.apply(&more).expect_err("too many").to_string();
    assert!(why.contains("begin a new file"), "{why}");
}
