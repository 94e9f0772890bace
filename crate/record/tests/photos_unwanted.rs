//! A client who doesn't want her photos kept.

#![allow(clippy::expect_used, reason = "a failing test says so by panicking")]

mod typical;

use ophryon_agreement::{Answer, Said, Signature, text_for};
use ophryon_record::{ConsentEdit, Edit, Record, apply};
use typical::typical;

/// She signs on that day and says so much about her photos.
fn signed(record: &Record, photos: Said, day: &str) -> Record {
    let mut asked = text_for("en").expect("English").asked();
    for statement in &mut asked.statements {
        statement.said = Said::Yes;
    }
    for caution in &mut asked.cautions {
        caution.answer = Answer::NotMe;
    }
    asked.say("photo", photos).expect("it is asked");
    let ask = Edit::Consent(ConsentEdit::Ask(Box::new(asked)));
    let record = apply(record, &ask).expect("asked");
    let strokes = vec![
        (0..20)
            .map(|n| ophryon_agreement::Touch(1000 + 300 * n, 3000, 30 * u32::from(n)))
            .collect(),
    ];
    let at = format!("{day}T12:00:00+01:00").parse().expect("a time");
    let yes = record
        .agree(Signature::Drawn { strokes }, at)
        .expect("all is said");
    apply(&record, &Edit::Consent(yes)).expect("signed")
}

#[test]
fn her_last_word_on_photos_counts_until_there_are_none() {
    let record = apply(&typical(), &Edit::Propose).expect("a shape");
    assert_eq!(record.photos_unwanted_since(), None);
    let no = signed(&record, Said::No, "2025-03-14");
    let since = no.photos_unwanted_since().expect("she said no");
    assert_eq!(since.day_in_words(), "14 March 2025");
    assert_eq!(no.without_photos().photos_unwanted_since(), None);
    let yes = signed(&no, Said::Yes, "2025-05-02");
    assert_eq!(yes.photos_unwanted_since(), None);
    assert_eq!(
        signed(&record, Said::Yes, "2025-03-14").photos_unwanted_since(),
        None
    );
}
