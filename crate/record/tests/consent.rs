//! Her yes to one exact shape: what it takes, what undoes it, and what never
//! does.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

mod typical;

use ophryon_agreement::{Answer, Asked, Nonce, Said, Seal, Signature, Touch, When, text_for};
use ophryon_brow::{Handle, Limits, Offset, Shrink};
use ophryon_face::{Landmark, SidedLandmark};
use ophryon_frames::{Point, Side};
use ophryon_record::{
    AgreedState, Changed, ConsentEdit, ConsentError, Edit, EditError, History, PlanChoice, Record,
    SealBroken, Signed, VariantEdit, WhyNot, WrapChoice, apply,
};
use typical::{PHOTO, px, typical};

fn at(time: &str) -> When {
    time.parse().expect("a time")
}

fn noon() -> When {
    at("2025-03-14T12:00:00+01:00")
}

fn signature() -> Signature {
    let stroke = (0..20).map(|n| Touch(1000 + 300 * n, 3000 + (n % 5) * 200, 30 * u32::from(n)));
    Signature::Drawn {
        strokes: vec![stroke.collect()],
    }
}

/// Everything answered as most do.
fn answered(language: &str) -> Asked {
    let mut asked = text_for(language).expect("there is one").asked();
    for statement in &mut asked.statements {
        statement.said = Said::Yes;
    }
    for caution in &mut asked.cautions {
        caution.answer = Answer::NotMe;
    }
    asked
}

fn consent(edit: ConsentEdit) -> Edit {
    Edit::Consent(edit)
}

fn made(record: &Record, edit: &Edit) -> Record {
    apply(record, edit).unwrap_or_else(|why| panic!("{edit:?}: {why}"))
}

/// A shape, and a client who has been asked.
fn ready() -> Record {
    let record = made(&typical(), &Edit::Propose);
    made(
        &record,
        &consent(ConsentEdit::Ask(Box::new(answered("en")))),
    )
}

fn agreed() -> Record {
    let record = ready();
    let yes = record.agree(signature(), noon()).expect("all is said");
    made(&record, &consent(yes))
}

fn why(record: &Record) -> WhyNot {
    match record.agreed() {
        AgreedState::NotAgreed { why } => why,
        AgreedState::Agreed { .. } => panic!("it is agreed to"),
    }
}

fn higher() -> Edit {
    let offset = Offset {
        height_mm: 0.1,
        ..Offset::default()
    };
    Edit::SetOffset {
        side: Side::Left,
        offset,
    }
}

#[test]
fn a_signed_shape_is_agreed_to_and_stays_so_when_the_file_is_read_again() {
    let record = agreed();
    let AgreedState::Agreed { seal, sealed } = record.agreed() else {
        panic!("not agreed: {}", record.agreed().sentence());
    };
    assert_eq!(
        (sealed.number, sealed.version, sealed.previous),
        (1, 1, None)
    );
    assert_eq!(sealed.shape.pair, record.pair.clone().expect("a shape"));
    assert_eq!(
        record.agreed().sentence(),
        format!("Agreed on 14 March 2025, 12:00, seal {}.", seal.short())
    );
    let file = record.to_json().expect("it is sound");
    let again = Record::from_json(&file).expect("it reads");
    assert_eq!(again, record);
    assert!(again.agreed().is_agreed());
    // The one spelling of RFC 8785, whatever a reader of JSON makes of it.
    let sealed = &record.consent.agreements[0].sealed;
    assert_eq!(&ophryon_agreement::respelled(sealed).expect("JSON"), sealed);
    assert_eq!(Seal::of(sealed), seal);
}

#[test]
fn sheet_list_and_report_say_the_same() {
    let options = ophryon_stencil::SheetOptions::default();
    let said = |record: &Record| {
        let papers = record.papers(&options).expect("it fits");
        let words = |sheet: &ophryon_stencil::Sheet| sheet.words().collect::<Vec<_>>().join("\n");
        [
            words(&papers.stencil),
            words(&papers.distances),
            papers.stencil_svg(),
            papers.report.head.agreement.clone(),
        ]
    };
    let record = agreed();
    let seal = record.agreed().seal().expect("agreed").short();
    for words in said(&record) {
        assert!(
            words.contains(&seal) && !words.contains("NOT AGREED"),
            "{words}"
        );
        assert!(words.contains("14 March 2025, 12:00"), "{words}");
    }
    for words in said(&made(&record, &higher())) {
        assert!(
            words.contains("NOT AGREED") && !words.contains(&seal),
            "{words}"
        );
    }
}

#[test]
fn whatever_is_changed_makes_a_new_version_that_is_not_agreed_to() {
    let record = agreed();
    let limits = Limits {
        straight_mm: 0.3,
        ..Limits::default()
    };
    let plan = PlanChoice {
        share: 0.4,
        ..PlanChoice::default()
    };
    let shrink = Shrink {
        share: 0.12,
        ..Shrink::default()
    };
    let photo = ConsentEdit::Say {
        statement: "photo".to_owned(),
        said: Said::No,
    };
    let caution = ConsentEdit::AnswerCaution {
        caution: "allergy".to_owned(),
        answer: Answer::DoctorFirst,
    };
    for (edit, what) in [
        (higher(), Changed::Shape),
        (Edit::SetLimits(limits), Changed::Limits),
        (Edit::SetWrap(WrapChoice::Flat), Changed::Wrap),
        (Edit::SetPlan(plan), Changed::Plan),
        (Edit::SetShrink(shrink), Changed::Shrink),
        (consent(photo), Changed::Asked),
        (consent(caution), Changed::Asked),
        (
            consent(ConsentEdit::Ask(Box::new(answered("es")))),
            Changed::Asked,
        ),
    ] {
        let next = made(&record, &edit);
        assert_eq!(next.version, 2, "{edit:?}");
        let expected = WhyNot::Changed {
            version: 1,
            at: noon(),
            what: vec![what],
        };
        assert_eq!(why(&next), expected);
        // A further change is still the same new version.
        let after = made(
            &next,
            &Edit::SetLimits(Limits {
                aim_degrees: 1.9,
                ..limits
            }),
        );
        assert_eq!(after.version, 2);
        // Her yes stays to be seen, and a new one can follow.
        assert_eq!(next.consent.agreements, record.consent.agreements);
        let yes = next.agree(signature(), noon()).expect("all is said");
        let again = made(&next, &consent(yes));
        assert!(again.agreed().is_agreed(), "{}", again.agreed().sentence());
        assert_eq!(again.consent.agreements.len(), 2);
    }
}

#[test]
fn what_has_nothing_to_do_with_it_leaves_it_agreed() {
    let record = agreed();
    let mut client = record.client.clone();
    client.name = Some("Invented Person".to_owned());
    let tapped = Edit::SetLandmark {
        photo: PHOTO.to_owned(),
        landmark: Landmark::Sided(Side::Left, SidedLandmark::EarMiddle),
        at: px(74.5, -11.0),
    };
    let kept = VariantEdit::Keep {
        name: "Hers".to_owned(),
        note: String::new(),
    };
    for edit in [
        Edit::SetClient(client),
        tapped,
        Edit::Variant(kept),
        higher_tape(),
    ] {
        let next = made(&record, &edit);
        assert!(
            next.agreed().is_agreed(),
            "{edit:?}: {}",
            next.agreed().sentence()
        );
        assert_eq!(next.version, 1);
    }
}

fn higher_tape() -> Edit {
    Edit::SetEarTape {
        side: Side::Left,
        length_mm: Some(144.0),
    }
}

/// Changed and changed back by hand is another version: only undo goes back.
#[test]
fn a_change_that_is_changed_back_is_a_new_version() {
    let record = agreed();
    let there = made(&record, &higher());
    let back = Edit::SetOffset {
        side: Side::Left,
        offset: Offset::default(),
    };
    let back = made(&there, &back);
    assert_eq!(back.pair, record.pair);
    let WhyNot::Changed { what, .. } = why(&back) else {
        panic!("{:?}", why(&back));
    };
    assert_eq!(what, []);
    assert!(
        back.agreed()
            .sentence()
            .contains("changed and changed back")
    );
}

#[test]
fn undo_takes_back_drawing_and_never_her_word() {
    let mut history = History::new(typical());
    history.apply(&Edit::Propose).expect("it can be proposed");
    history.apply(&higher()).expect("it is fine");
    let shape = history.now().pair.clone();
    for edit in [
        ConsentEdit::Ask(Box::new(answered("en"))),
        ConsentEdit::Say {
            statement: "photo".to_owned(),
            said: Said::No,
        },
    ] {
        assert!(history.apply(&consent(edit)).expect("it is fine"));
    }
    let yes = history
        .now()
        .agree(signature(), noon())
        .expect("all is said");
    assert!(history.apply(&consent(yes)).expect("it is fine"));
    let agreed = history.now().clone();
    assert!(agreed.agreed().is_agreed());
    // None of it is a step: undo would take back the last of the drawing.
    assert_eq!(
        history.undo_words(),
        Some("set the offset of the client's left brow")
    );
    assert!(history.undo_leaves_what_is_agreed());
    assert!(history.undo());
    let now = history.now();
    assert_ne!(now.pair, shape);
    assert_eq!(now.consent, agreed.consent, "her word is kept");
    assert_eq!(now.version, 2, "that number is the other shape's");
    assert!(!now.agreed().is_agreed());
    assert!(
        !history.undo_leaves_what_is_agreed(),
        "nothing left to lose"
    );
    // Redo brings back what she agreed to, and it is agreed.
    assert!(history.redo());
    assert_eq!(*history.now(), agreed);
    // What concerns another thing than the shape leaves it agreed both ways.
    history.apply(&higher_tape()).expect("it is fine");
    assert!(!history.undo_leaves_what_is_agreed());
    assert!(history.undo() && history.now().agreed().is_agreed());
    assert!(history.redo() && history.now().agreed().is_agreed());
    // Withdrawn is withdrawn, back and forth.
    let seal = *history.now().agreed().seal().expect("agreed");
    let withdraw = ConsentEdit::Withdraw { seal, at: noon() };
    history.apply(&consent(withdraw)).expect("it is there");
    while history.undo() {
        assert!(!history.now().agreed().is_agreed());
        assert!(history.now().consent.agreements[0].withdrawn.is_some());
    }
    while history.redo() {
        assert!(!history.now().agreed().is_agreed());
    }
    assert_eq!(history.now().pair, shape);
}

#[test]
fn an_agreement_of_another_shape_is_never_taken_for_this_one_by_going_back() {
    let mut history = History::new(typical());
    history.apply(&Edit::Propose).expect("it can be proposed");
    history
        .apply(&consent(ConsentEdit::Ask(Box::new(answered("en")))))
        .expect("it is fine");
    let agree = |history: &mut History| {
        let yes = history
            .now()
            .agree(signature(), noon())
            .expect("all is said");
        history.apply(&consent(yes)).expect("it is fine");
        history.now().version
    };
    let first = history.now().pair.clone();
    assert_eq!(agree(&mut history), 1);
    history.apply(&higher()).expect("it is fine");
    assert_eq!(agree(&mut history), 2);
    // Back at the first shape: she has said something newer since.
    assert!(history.undo());
    assert_eq!(
        (history.now().pair == first, history.now().version),
        (true, 1)
    );
    assert!(!history.now().agreed().is_agreed());
    // Agreed to once more, it is a third agreement to version 1.
    assert_eq!(agree(&mut history), 1);
    assert!(history.now().agreed().is_agreed());
    assert!(history.redo());
    assert_eq!(history.now().version, 2);
    assert!(!history.now().agreed().is_agreed());
    assert_eq!(history.now().consent.agreements.len(), 3);
}

#[test]
fn clocks_that_were_set_back_change_nothing() {
    let record = made(&agreed(), &higher());
    let earlier = at("1999-01-01T00:00:00Z");
    let yes = record.agree(signature(), earlier).expect("all is said");
    let record = made(&record, &consent(yes));
    assert!(record.agreed().is_agreed());
    let AgreedState::Agreed { sealed, .. } = record.agreed() else {
        panic!("agreed");
    };
    assert_eq!((sealed.number, sealed.version), (2, 2));
}

#[test]
fn a_withdrawn_agreement_stays_to_be_seen() {
    let record = agreed();
    let seal = record.consent.agreements[0].seal;
    let later = at("2025-03-15T09:30:00+01:00");
    let withdraw = |seal, at| consent(ConsentEdit::Withdraw { seal, at });
    let next = made(&record, &withdraw(seal, later.clone()));
    assert_eq!(
        why(&next),
        WhyNot::Withdrawn {
            version: 1,
            at: later.clone()
        }
    );
    assert_eq!(
        next.agreed().sentence(),
        "NOT AGREED: she withdrew her agreement to version 1 on 15 March 2025, 09:30."
    );
    assert_eq!(next.consent.agreements.len(), 1);
    let twice = apply(&next, &withdraw(seal, noon())).expect_err("it is withdrawn");
    assert_eq!(
        twice.to_string(),
        "this agreement was withdrawn already, on 15 March 2025, 09:30"
    );
    let other = apply(&next, &withdraw(Seal::of("other"), noon())).expect_err("there is none");
    assert!(other.to_string().contains("no agreement with this seal"));
    // She may say yes again, to the same version.
    let yes = next.agree(signature(), later).expect("all is said");
    let again = made(&next, &consent(yes));
    assert!(again.agreed().is_agreed());
    assert_eq!((again.version, again.consent.agreements.len()), (1, 2));
}

#[test]
fn what_is_missing_is_told_and_cautions_never_stand_in_the_way() {
    let refused = |record: &Record, signature| {
        let why = record
            .agree(signature, noon())
            .expect_err("something is missing");
        why.to_string()
    };
    let nobody = typical();
    assert!(refused(&nobody, signature()).contains("there is no shape to agree to yet"));
    let drawn = made(&nobody, &Edit::Propose);
    assert!(refused(&drawn, signature()).contains("was not asked anything yet"));
    let record = ready();
    let with = |change: &dyn Fn(&mut Asked)| {
        let mut asked = answered("en");
        change(&mut asked);
        made(&record, &consent(ConsentEdit::Ask(Box::new(asked))))
    };
    for (id, said, part) in [
        (
            "shape",
            Said::Open,
            "not yet agreed to: “I have seen the shape",
        ),
        (
            "fades",
            Said::No,
            "not yet agreed to: “I know that brows heal paler",
        ),
        (
            "photo",
            Said::Open,
            "still open, yes or no: “The photos of my face",
        ),
    ] {
        let record = with(&|asked| asked.say(id, said).expect("it is asked"));
        assert!(refused(&record, signature()).contains(part));
    }
    let empty = Signature::Drawn { strokes: vec![] };
    assert!(refused(&record, empty).contains("nothing is signed yet"));

    let flagged = with(&|asked| {
        asked.say("photo", Said::No).expect("it is asked");
        asked
            .answer("keloids", Answer::DoctorFirst)
            .expect("it is asked");
        asked
            .answer("injections", Answer::Unanswered)
            .expect("it is asked");
    });
    let yes = flagged
        .agree(signature(), noon())
        .expect("nothing is missing");
    let flagged = made(&flagged, &consent(yes));
    let state = flagged.agreed();
    let ids: Vec<_> = state.for_a_doctor().iter().map(|c| c.id.as_str()).collect();
    assert_eq!(ids, ["keloids", "injections"]);
    let report = flagged.report().expect("it can be drawn");
    assert_eq!(report.head.for_a_doctor.len(), 2);
    // A yes is sent to a doctor; what is left open is only told.
    assert!(report.head.for_a_doctor[0].contains("Speak to a doctor first"));
    assert!(!report.head.for_a_doctor[1].contains("doctor"));
}

#[test]
fn flagged_cautions_are_marked_as_read_for_one_agreement_and_never_undone() {
    let flagged = |record: &Record| {
        let mut asked = answered("en");
        let answer = asked.answer("keloids", Answer::NotSure);
        answer.expect("it is asked");
        let record = made(record, &consent(ConsentEdit::Ask(Box::new(asked))));
        let yes = record.agree(signature(), noon()).expect("a yes");
        made(&record, &consent(yes))
    };
    assert!(!agreed().has_cautions_to_read(), "nothing was flagged");
    let first = flagged(&ready());
    assert!(first.has_cautions_to_read());
    let read = |record: &Record| {
        let seal = *record.agreed().seal().expect("agreed");
        consent(ConsentEdit::ReadCautions { seal })
    };
    let mut history = History::new(first);
    history.apply(&read(history.now())).expect("marked");
    assert!(!history.now().has_cautions_to_read());
    assert!(!history.undo(), "her word is no step");
    let text = history.now().to_json().expect("a file");
    let back = Record::from_json(&text).expect("the same file");
    assert!(!back.has_cautions_to_read() && back.agreed().is_agreed());
    // What she flags with the next agreement is to be read anew.
    let asked = history.now().consent.asked.clone().expect("asked").anew();
    let anew = made(&back, &consent(ConsentEdit::Ask(Box::new(asked))));
    let again = flagged(&anew);
    assert!(again.has_cautions_to_read());
    assert!(!made(&again, &read(&again)).has_cautions_to_read());
    let foreign = read(&flagged(&ready()));
    assert!(apply(&agreed(), &foreign).is_err(), "no such agreement");
}

#[test]
fn an_edit_that_brings_a_foreign_agreement_is_refused() {
    let record = agreed();
    let ConsentEdit::Agree(signed) = ready().agree(signature(), noon()).expect("fine") else {
        panic!("an agreement");
    };
    let refused = |signed: Signed| {
        let edit = consent(ConsentEdit::Agree(Box::new(signed)));
        match apply(&made(&record, &higher()), &edit) {
            Err(EditError::Consent(why)) => why,
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(refused((*signed).clone()), ConsentError::Twice);
    let mut other = (*signed).clone();
    other.agreement.sealed = other.agreement.sealed.replace("2025", "2024");
    other.agreement.seal = Seal::of(&other.agreement.sealed);
    assert_eq!(refused(other.clone()), ConsentError::NotThisShape);
    other.agreement.version = 2;
    other.agreement.seal = Seal::of("something else");
    assert_eq!(refused(other), ConsentError::NotThisShape);
}

/// A damaged agreement never counts, and the file can still be opened.
#[test]
fn what_was_changed_in_the_file_is_found() {
    let mut record = agreed();
    record = made(&record, &higher());
    let yes = record.agree(signature(), noon()).expect("all is said");
    record = made(&record, &consent(yes));
    assert!(record.agreed().is_agreed());
    let broken = |change: &dyn Fn(&mut Record)| {
        let mut other = record.clone();
        change(&mut other);
        let file = other.to_json().expect("it can still be kept");
        let read = Record::from_json(&file).expect("and opened");
        match why(&read) {
            WhyNot::Broken { number, why } => (number, why),
            other => panic!("{other:?}"),
        }
    };
    let text = |record: &mut Record, n: usize| {
        let one = &mut record.consent.agreements[n];
        one.sealed = one.sealed.replace("12:00:00", "12:00:01");
    };
    assert_eq!(broken(&|r| text(r, 0)), (1, SealBroken::Changed));
    assert_eq!(broken(&|r| text(r, 1)), (2, SealBroken::Changed));
    // A new seal over the changed text breaks the row.
    let resealed = |r: &mut Record| {
        text(r, 0);
        let one = &mut r.consent.agreements[0];
        one.seal = Seal::of(&one.sealed);
    };
    assert_eq!(broken(&resealed), (2, SealBroken::OutOfOrder));
    let taken_out = |r: &mut Record| drop(r.consent.agreements.remove(0));
    assert_eq!(broken(&taken_out), (1, SealBroken::OutOfOrder));
    assert_eq!(
        broken(&|r| r.consent.agreements.swap(0, 1)).1,
        SealBroken::OutOfOrder
    );
    let version = |r: &mut Record| r.consent.agreements[1].version = 1;
    assert!(matches!(
        broken(&version),
        (2, SealBroken::Unreadable { .. })
    ));
    let no_agreement = |r: &mut Record| {
        let one = &mut r.consent.agreements[0];
        one.sealed = "{}".to_owned();
        one.seal = Seal::of("{}");
    };
    assert!(matches!(
        broken(&no_agreement),
        (1, SealBroken::Unreadable { .. })
    ));
}

#[test]
fn only_so_much_is_kept() {
    let mut record = ready();
    for n in 0..25_u8 {
        let (sent, _) = record
            .invite(Nonce::from_bytes([n; 16]), noon())
            .expect("there is a shape");
        record = made(&record, &consent(sent));
    }
    assert_eq!(record.consent.invitations.len(), 20);
    assert_eq!(
        record.consent.invitations[0].nonce,
        Nonce::from_bytes([5; 16])
    );
    let again = record.invite(Nonce::from_bytes([24; 16]), noon());
    assert!(
        again
            .expect_err("it was used")
            .to_string()
            .contains("used before")
    );
}

#[test]
fn moving_any_point_of_an_agreed_shape_is_seen() {
    let record = agreed();
    let pair = record.pair.clone().expect("a shape");
    for side in Side::BOTH {
        for handle in Handle::ALL {
            let p = pair.points_on(side).at(handle);
            let to = Point::new(p.x + 0.01, p.y + 0.01);
            let moved = made(&record, &Edit::MoveHandle { side, handle, to });
            assert!(!moved.agreed().is_agreed(), "{handle:?}");
        }
    }
}
