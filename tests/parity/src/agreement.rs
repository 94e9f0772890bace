//! Asked, invited, answered, signed: the same text, seal and packets wherever
//! it is done.

use ophryon_agreement::{Answer, Asked, Kind, Nonce, Said, Signature, Touch, When, text_for};
use ophryon_record::{ConsentEdit, Edit, Invitation, Record, apply};

use crate::figures::Figures;
use crate::lot::Lot;

/// Everything that is sealed or sent of one client.
pub fn agree(record: &Record, number: u64, figures: &mut Figures) {
    match sealed(record, &mut Lot::new(number ^ 0x5ea1)) {
        Ok(all) => {
            for (label, text) in all {
                figures.words(label, &text);
            }
        }
        Err(why) => figures.words("not agreed", &why),
    }
}

fn sealed(record: &Record, lot: &mut Lot) -> Result<Vec<(&'static str, String)>, String> {
    let said = |why: &dyn ToString| why.to_string();
    let made =
        |record: &Record, edit| apply(record, &Edit::Consent(edit)).map_err(|why| said(&why));
    let text = text_for(lot.of(["en", "es"])).ok_or("no text")?;
    let record = made(record, ConsentEdit::Ask(Box::new(text.asked())))?;
    let mut bytes = [0; 16];
    bytes[..8].copy_from_slice(&lot.bits().to_le_bytes());
    let nonce = Nonce::from_bytes(bytes);
    let (sent, invitation) = record.invite(nonce, at()?).map_err(|why| said(&why))?;
    let record = made(&record, sent)?;
    let there = Invitation::read(&invitation).map_err(|why| said(&why))?;
    let asked = there.asked().map_err(|why| said(&why))?;
    let answer = there.answer(&answered(asked, lot), signature(lot), at()?);
    let answer = answer.map_err(|why| said(&why))?;
    let yes = record.take_answer(&answer).map_err(|why| said(&why))?;
    let record = made(&record, yes)?;
    let last = record.consent.agreements.last().ok_or("nothing is kept")?;
    Ok(vec![
        ("invitation", invitation),
        ("answer", answer),
        ("sealed", last.sealed.clone()),
        ("seal", last.seal.to_string()),
        ("agreed", record.agreed().sentence()),
    ])
}

fn at() -> Result<When, String> {
    let at = "2025-03-14T15:09:26+01:00".parse();
    at.map_err(|why: ophryon_agreement::NoTime| why.to_string())
}

fn answered(mut asked: Asked, lot: &mut Lot) -> Asked {
    for statement in &mut asked.statements {
        statement.said = match statement.kind {
            Kind::Needed => Said::Yes,
            Kind::Choice => lot.of([Said::Yes, Said::No]),
        };
    }
    for caution in &mut asked.cautions {
        caution.answer = lot.of([Answer::NotMe, Answer::DoctorFirst, Answer::Unanswered]);
    }
    asked
}

fn signature(lot: &mut Lot) -> Signature {
    let touch = |n: u32| {
        let y = 3000.0 + lot.between(-900.0, 900.0);
        Touch(1000 + 60 * n as u16, y as u16, 16 * n)
    };
    Signature::of_touches(&[(0..100).map(touch).collect()])
}
