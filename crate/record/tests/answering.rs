//! What the client says, answered, taken back and kept.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_brow::{InTheWay, Offset, Phrase};
use ophryon_frames::{Point, Side};
use ophryon_record::{Edit, FeedbackError, History, Record, apply, built_in_styles, feedback_edit};
use typical::typical;

fn answered(history: &mut History, phrase: Phrase) -> Result<(), FeedbackError> {
    let proposal = history.now().feedback(phrase)?;
    history
        .apply(&feedback_edit(&proposal))
        .expect("a proposal can be taken");
    Ok(())
}

#[test]
fn an_answer_is_one_step_and_undo_says_which() {
    let mut history = History::new(typical());
    let before = history.now().clone();
    answered(&mut history, Phrase::TooThick).expect("room");
    assert_eq!(history.undo_words(), Some("answer “too thick”"));
    let answers = history.now().answers.clone().expect("kept");
    assert_eq!(answers.said, [Phrase::TooThick]);
    assert_eq!(answers.first_shown, before.proposal().expect("one"));
    let text = history.now().to_json().expect("sound");
    assert_eq!(&Record::from_json(&text).expect("read"), history.now());
    assert!(text.contains("\"said\": [\"too-thick\"]"), "{text}");
    history.undo();
    assert_eq!(history.now(), &before);
}

#[test]
fn a_look_at_a_proposal_changes_nothing() {
    let history = History::new(typical());
    for phrase in Phrase::ALL {
        let _ = history.now().feedback(phrase);
    }
    assert_eq!(history.now(), &typical());
}

/// The bound counts from the shape first shown, over the file too.
#[test]
fn the_bound_lasts_and_ends_with_a_new_shape() {
    let mut history = History::new(typical());
    for _ in 0..3 {
        answered(&mut history, Phrase::TooThin).expect("three times");
    }
    let text = history.now().to_json().expect("sound");
    let read = Record::from_json(&text).expect("read");
    let Err(FeedbackError::NothingLeft(nothing)) = read.feedback(Phrase::TooThin) else {
        panic!("a fourth time");
    };
    assert!(matches!(nothing.in_the_way, InTheWay::Bound { .. }));
    let style = read.styled(&built_in_styles()[1]).expect("drawn");
    let anew = apply(&read, &style.edit()).expect("applied");
    assert_eq!(anew.answers, None);
    assert!(anew.feedback(Phrase::TooThin).is_ok());
    let anew = apply(&read, &Edit::Propose).expect("applied");
    assert_eq!(anew.answers, None);
}

/// The plan's height and turn stay to the last bit; on sides drawn apart, what
/// differs stays too.
#[test]
fn the_pairs_balance_stays() {
    let mut record = apply(&typical(), &Edit::Propose).expect("proposed");
    for (side, height_mm) in [(Side::Right, -0.6), (Side::Left, 0.7)] {
        let offset = Offset {
            height_mm,
            turn_degrees: 0.5,
            lateral_mm: 0.1,
        };
        record = apply(&record, &Edit::SetOffset { side, offset }).expect("set");
    }
    record = apply(&record, &Edit::Unlink).expect("unlinked");
    let pair = record.pair.clone().expect("a shape");
    let other = pair.master.other();
    let points = pair.points.mapped(|p| Point::new(p.x + 0.3, p.y - 0.2));
    record = apply(
        &record,
        &Edit::SetPoints {
            side: other,
            points,
        },
    )
    .expect("set");
    let mut history = History::new(record);
    for phrase in Phrase::ALL {
        let _ = answered(&mut history, phrase);
    }
    let now = history.now().pair.clone().expect("a shape");
    assert_eq!(now.offset, pair.offset);
    let own = now.unlinked.expect("still apart");
    for handle in ophryon_brow::Handle::ALL {
        let by = own.at(handle) - now.points.at(handle);
        assert!((by.x - 0.3).abs() < 1e-9 && (by.y + 0.2).abs() < 1e-9);
    }
}

#[test]
fn a_file_with_absurd_answers_is_refused_with_the_field() {
    let mut history = History::new(typical());
    answered(&mut history, Phrase::TooLong).expect("room");
    let sound = history.now().clone();
    let mut none = sound.clone();
    if let Some(answers) = &mut none.answers {
        answers.said.clear();
    }
    let mut nowhere = sound.clone();
    if let Some(answers) = &mut nowhere.answers {
        answers.first_shown.points.tail = Point::new(0.0, 0.0);
    }
    let mut style = sound;
    style.style = Some(" ".to_owned());
    for (record, field) in [
        (none, "answers.said"),
        (nowhere, "answers.first-shown"),
        (style, "style"),
    ] {
        let why = record.to_json().expect_err(field).to_string();
        assert!(why.contains(field), "{why}");
    }
}
