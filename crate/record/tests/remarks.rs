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
    VariantEdit, Whereabouts, apply, feedback_edit,
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

/// One shape kept as "Shape 1", and another drawn beside it.
fn two_shapes() -> History {
    let mut history = drawn();
    let keep = VariantEdit::Keep {
        name: "Shape 1".to_owned(),
        note: String::new(),
    };
    history.apply(&Edit::Variant(keep)).expect("kept");
    move_tail(&mut history, -1.0);
    history
}

fn move_tail(history: &mut History, by_mm: f64) {
    let drawn = history.now().drawn().expect("a shape");
    let tail = drawn.handle(Side::Right, Handle::Tail).expect("a tail");
    let edit = Edit::MoveHandle {
        side: Side::Right,
        handle: Handle::Tail,
        to: tail.lateral + ophryon_frames::Vector::new(by_mm, 0.5),
    };
    assert!(history.apply(&edit).expect("it moves"));
}

fn go_on_with(history: &mut History, index: usize) {
    let take = Edit::Variant(VariantEdit::Take { index });
    assert!(history.apply(&take).expect("it is there"));
}

#[test]
fn what_she_said_of_an_unkept_shape_is_not_taken_for_the_one_she_chose() {
    let mut history = two_shapes();
    let second = history.now().pair.clone();
    say(&mut history, THICK);
    let said = history.now().consent.remarks[0].clone();
    assert_eq!(said.seen_as().as_deref(), Some("Shape 2"));
    assert_eq!(history.now().whereabouts(&said), Whereabouts::Present);
    assert!(history.now().is_said_of(&said, None) && !history.now().is_said_of(&said, Some(0)));

    // She chooses the first: the second is kept, and what she said stays with it.
    go_on_with(&mut history, 0);
    let record = history.now();
    assert_eq!(record.whereabouts(&said), Whereabouts::Kept(1));
    assert_eq!(Some(&record.variants[1].pair), second.as_ref());
    assert!(record.is_said_of(&said, Some(1)) && !record.is_said_of(&said, None));
    // Named anew and moved, it is still found; removed, it is no more.
    let described = VariantEdit::Describe {
        index: 1,
        name: "Wider".to_owned(),
        note: String::new(),
    };
    for edit in [described, VariantEdit::Move { index: 1, to: 0 }] {
        history.apply(&Edit::Variant(edit)).expect("it is there");
    }
    assert_eq!(history.now().whereabouts(&said), Whereabouts::Kept(0));
    let remove = Edit::Variant(VariantEdit::Remove { index: 0 });
    history.apply(&remove).expect("removed");
    assert_eq!(history.now().whereabouts(&said), Whereabouts::Gone);
    // An undo of all that brings it back as the present one.
    for _ in 0..4 {
        assert!(history.undo());
    }
    assert_eq!(history.now().whereabouts(&said), Whereabouts::Present);
}

#[test]
fn a_shape_that_is_drawn_on_or_answered_is_still_the_one_she_meant() {
    let mut history = two_shapes();
    say(&mut history, THICK);
    say(&mut history, Opinion::Phrase(Phrase::TooLong));
    move_tail(&mut history, -0.5);
    take(&mut history, Phrase::TooThick, 0);
    let of = |history: &History| {
        let record = history.now();
        record.whereabouts(&record.consent.remarks[1])
    };
    assert_eq!(of(&history), Whereabouts::Present);
    // Another proposal in its place is another shape, whatever was drawn then.
    history.apply(&Edit::Propose).expect("a proposal");
    assert_eq!(of(&history), Whereabouts::Gone);
    history.undo();
    assert_eq!(of(&history), Whereabouts::Present);
    // A third one after the undo is not taken for the one that was undone.
    go_on_with(&mut history, 0);
    say(&mut history, THICK);
    history.undo();
    history.apply(&Edit::Propose).expect("a proposal");
    move_tail(&mut history, -2.0);
    let record = history.now();
    let last = record.consent.remarks.last().expect("said");
    assert_eq!(record.whereabouts(last), Whereabouts::Kept(0));
}

#[test]
fn the_opposite_replaces_what_she_said_of_that_shape_and_nothing_else() {
    let mut history = two_shapes();
    let thin = Opinion::Phrase(Phrase::TooThin);
    let long = Opinion::Phrase(Phrase::TooLong);
    let says = |history: &mut History, said, variant| {
        let remark = history.now().remark(said, variant, Vec::new(), noon());
        let edits = history.now().saying(remark);
        assert!(history.apply_all(&edits, "say").expect("it is kept"));
    };
    says(&mut history, THICK, Some(0));
    says(&mut history, THICK, None);
    says(&mut history, long, None);
    assert_eq!(history.now().has_said(THICK, None), Some(1));
    says(&mut history, thin, None);
    let back = Some(Reply::TakenBack);
    assert_eq!(replies(history.now()), [None, back, None, None]);
    let record = history.now();
    assert_eq!(record.has_said(THICK, None), None);
    assert_eq!(record.has_said(thin, None), Some(3));
    assert_eq!(record.has_said(THICK, Some(0)), Some(0));
    // The same once more, with a circle, takes the place of the first.
    says(&mut history, thin, None);
    assert_eq!(replies(history.now()), [None, back, None, back, None]);
}
