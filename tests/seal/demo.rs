//! The invented clients of demo-data, each with a shape, asked and signing.

use std::fs;
use std::path::Path;

use ophryon_agreement::{Answer, Asked, Kind, Nonce, Said, Signature, Touch, When, text_for};
use ophryon_record::{ConsentEdit, Edit, Invitation, Record, apply};

use crate::lot::Lot;

pub const NAMES: [&str; 3] = ["demo-even", "demo-movement", "demo-set"];

/// The language each of them reads.
pub const LANGUAGES: [&str; 3] = ["en", "es", "en"];

/// With the proposal as the shape, and a text to read.
pub fn asked(n: usize) -> Record {
    let file = format!("../demo-data/{}/client.json", NAMES[n]);
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(file);
    let record = Record::from_json(&fs::read_to_string(file).unwrap()).unwrap();
    let record = apply(&record, &Edit::Propose).unwrap();
    let asked = text_for(LANGUAGES[n]).unwrap().asked();
    made(&record, ConsentEdit::Ask(Box::new(asked)))
}

pub fn made(record: &Record, edit: ConsentEdit) -> Record {
    apply(record, &Edit::Consent(edit)).unwrap()
}

/// What she says: yes to all that is needed, the rest by lot.
pub fn answered(asked: &Asked, lot: &mut Lot) -> Asked {
    let mut asked = asked.clone();
    for statement in &mut asked.statements {
        statement.said = match statement.kind {
            Kind::Needed => Said::Yes,
            Kind::Choice => lot.of([Said::Yes, Said::No]),
        };
    }
    for caution in &mut asked.cautions {
        let usual = [
            Answer::NotMe,
            Answer::NotMe,
            Answer::DoctorFirst,
            Answer::Unanswered,
        ];
        caution.answer = lot.of(usual);
    }
    asked
}

/// Two seconds of a finger: a wave that runs to the right, as a screen
/// reports it 120 times a second.
pub fn signature(lot: &mut Lot) -> Signature {
    let (high, fast) = (lot.between(500.0, 1400.0), lot.between(0.1, 0.25));
    let touch = |n: u32| {
        let along = f64::from(n);
        let wave = libm::sin(fast * along) * high + libm::sin(0.37 * along) * 0.3 * high;
        let (x, y) = (800.0 + 33.0 * along, 2500.0 + wave);
        Touch(x as u16, y as u16, 8 * n)
    };
    let strokes = [
        (0..150).map(touch).collect(),
        (160..240).map(touch).collect(),
    ];
    Signature::of_touches(&strokes)
}

pub fn at(lot: &mut Lot) -> When {
    let two = |n: u64, least: u64| format!("{:02}", least + n);
    let (month, day) = (two(lot.bits() % 12, 1), two(lot.bits() % 28, 1));
    let (hour, minute) = (two(lot.bits() % 24, 0), two(lot.bits() % 60, 0));
    let text = format!("2025-{month}-{day}T{hour}:{minute}:07+01:00");
    text.parse().unwrap()
}

pub fn nonce(lot: &mut Lot) -> Nonce {
    let mut bytes = [0; 16];
    for eight in bytes.chunks_exact_mut(8) {
        eight.copy_from_slice(&lot.bits().to_le_bytes());
    }
    Nonce::from_bytes(bytes)
}

/// Asked, answered, signed on the artist's own tablet.
pub fn agreed(n: usize, lot: &mut Lot) -> Record {
    let record = asked(n);
    let said = answered(record.consent.asked.as_ref().unwrap(), lot);
    let record = made(&record, ConsentEdit::Ask(Box::new(said)));
    let yes = record.agree(signature(lot), at(lot)).unwrap();
    made(&record, yes)
}

/// A client who was asked on another device, with what travelled there and
/// back.
pub struct Travelled {
    pub record: Record,
    pub invitation: String,
    pub answer: String,
}

pub fn travelled(n: usize, lot: &mut Lot) -> Travelled {
    let record = asked(n);
    let (sent, invitation) = record.invite(nonce(lot), at(lot)).unwrap();
    let there = Invitation::read(&invitation).unwrap();
    let said = answered(&there.asked().unwrap(), lot);
    let answer = there.answer(&said, signature(lot), at(lot)).unwrap();
    Travelled {
        record: made(&record, sent),
        invitation,
        answer,
    }
}
