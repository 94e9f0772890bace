//! To another device and back: the honest ways.

use ophryon_agreement::{LONGEST_LINK, text_for};
use ophryon_brow::Offset;
use ophryon_frames::Side;
use ophryon_record::{AgreedState, AnswerError, ConsentEdit, Edit, Invitation, apply};

use crate::demo::{NAMES, agreed, answered, asked, at, made, nonce, signature, travelled};
use crate::lot::Lot;

#[test]
fn an_answer_from_another_device_is_the_same_agreement() {
    let lot = &mut Lot::new(4);
    for n in 0..3 {
        let there = travelled(n, lot);
        let yes = there.record.take_answer(&there.answer).unwrap();
        let record = made(&there.record, yes);
        let AgreedState::Agreed { sealed, .. } = record.agreed() else {
            panic!("{}", record.agreed().sentence());
        };
        assert_eq!(Some(&sealed.shape.pair), record.pair.as_ref());
        assert!(sealed.nonce.is_some());
        assert!(record.consent.invitations.is_empty(), "it was answered");
        // The other device sees the same brow.
        let seen = Invitation::read(&there.invitation).unwrap().shape;
        let here = record.pair.as_ref().unwrap().draw(&record.limits).unwrap();
        assert!(seen.pair.draw(&seen.limits).unwrap() == here);
    }
}

/// What it weighs, for the guide: both ways fit a link and a QR code.
#[test]
fn invitations_and_answers_fit_a_link() {
    let lot = &mut Lot::new(5);
    for (n, name) in NAMES.iter().enumerate() {
        let there = travelled(n, lot);
        let (asks, says) = (there.invitation.len(), there.answer.len());
        println!("{name}: {asks} characters there, {says} back");
        assert!(asks < LONGEST_LINK / 2, "{asks}");
        assert!(says < LONGEST_LINK, "{says}");
        // No name, no photo.
        let client = Invitation::read(&there.invitation).unwrap().client;
        assert_eq!(client, there.record.client.code);
    }
    // An artist's own words travel along.
    let mut own = text_for("en").unwrap();
    own.version += 1;
    own.ranges[0].to = 60;
    let record = made(&asked(0), ConsentEdit::Ask(Box::new(own.asked())));
    let (_, packet) = record.invite(nonce(lot), at(lot)).unwrap();
    println!("with the artist's own words: {} characters", packet.len());
    assert!(packet.len() < LONGEST_LINK, "{}", packet.len());
    let there = Invitation::read(&packet).unwrap();
    assert_eq!(Some(&there.asked().unwrap()), record.consent.asked.as_ref());
}

#[test]
fn what_is_no_longer_so_is_refused() {
    let lot = &mut Lot::new(6);
    let there = travelled(0, lot);
    let (record, answer) = (&there.record, &there.answer);
    let refused = |record: &ophryon_record::Record, answer: &str| {
        record.take_answer(answer).expect_err("it must be refused")
    };

    // Taken once, then never again, even after it was withdrawn.
    let taken = made(record, record.take_answer(answer).unwrap());
    assert_eq!(refused(&taken, answer), AnswerError::Replayed);
    let seal = taken.consent.agreements[0].seal;
    let withdrawn = made(&taken, ConsentEdit::Withdraw { seal, at: at(lot) });
    assert_eq!(refused(&withdrawn, answer), AnswerError::Replayed);

    // The shape has moved on, with and without a number of its own.
    let offset = Offset {
        height_mm: 0.2,
        ..Offset::default()
    };
    let side = Side::Left;
    let moved = apply(record, &Edit::SetOffset { side, offset }).unwrap();
    assert_eq!(refused(&moved, answer), AnswerError::NotTheSame);
    let moved = apply(&taken, &Edit::SetOffset { side, offset }).unwrap();
    let (sent, second) = moved.invite(nonce(lot), at(lot)).unwrap();
    let invited = made(&moved, sent);
    let signed = Invitation::read(&second).unwrap();
    let said = answered(&signed.asked().unwrap(), lot);
    let second = signed.answer(&said, signature(lot), at(lot)).unwrap();
    let yes = invited.agree(signature(lot), at(lot)).unwrap();
    let signed_here = made(&invited, yes);
    assert_eq!(refused(&signed_here, &second), AnswerError::NotTheSame);
    let further = Offset {
        height_mm: 0.3,
        ..offset
    };
    let further = apply(
        &signed_here,
        &Edit::SetOffset {
            side,
            offset: further,
        },
    )
    .unwrap();
    let said = refused(&further, &second);
    assert_eq!(said, AnswerError::OtherVersion { then: 2, now: 3 });

    // Another text is asked now.
    let other = text_for("es").unwrap().asked();
    let other = made(record, ConsentEdit::Ask(Box::new(other)));
    assert_eq!(refused(&other, answer), AnswerError::NotTheSame);

    // Another client's, and one that nobody sent.
    for n in 1..3 {
        let stranger = travelled(n, lot);
        assert_eq!(refused(&stranger.record, answer), AnswerError::Foreign);
        assert_eq!(refused(record, &stranger.answer), AnswerError::Foreign);
    }
    assert_eq!(refused(&agreed(0, lot), answer), AnswerError::Foreign);

    // The wrong way round.
    let said = refused(record, &there.invitation).to_string();
    assert!(
        said.contains("an invitation to sign, and a signed answer is wanted"),
        "{said}"
    );
    let said = Invitation::read(answer)
        .expect_err("it is none")
        .to_string();
    assert!(
        said.contains("a signed answer, and an invitation to sign is wanted"),
        "{said}"
    );

    // All this changed nothing: it is still taken.
    assert!(record.take_answer(answer).is_ok());
}

#[test]
fn code_and_name_of_the_shape_may_change_on_the_way() {
    let lot = &mut Lot::new(7);
    let there = travelled(1, lot);
    let mut client = there.record.client.clone();
    client.code = "K8".to_owned();
    let renamed = apply(&there.record, &Edit::SetClient(client)).unwrap();
    let record = made(&renamed, renamed.take_answer(&there.answer).unwrap());
    let AgreedState::Agreed { sealed, .. } = record.agreed() else {
        panic!("{}", record.agreed().sentence());
    };
    assert_eq!(sealed.client, there.record.client.code, "as she signed it");
}
