//! docs/file-format.md against the code: its example is read and written back
//! byte for byte, and every field that is written stands on the page.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

use ophryon_agreement::{Answer, Nonce, Said, Signature, Touch, When, text_for};
use ophryon_brow::Handle;
use ophryon_record::{ConsentEdit, Edit, Record, VariantEdit, apply};
use serde_json::Value;

const PAGE: &str = include_str!("../../../docs/file-format.md");

fn examples() -> Vec<&'static str> {
    let blocks = PAGE.split("```json\n").skip(1);
    blocks
        .map(|b| b.split("```").next().expect("a block ends"))
        .collect()
}

#[test]
fn the_complete_example_is_written_back_as_it_stands() {
    let text = examples()[0];
    let record = Record::from_json(text).expect("the example reads");
    assert_eq!(record.to_json().expect("it is sound"), text);
    let drawn = record.drawn().expect("the example's shape can be drawn");
    assert!(
        drawn.failing().next().is_none(),
        "it keeps every constraint"
    );
}

#[test]
fn the_shortest_example_is_a_client() {
    let record = Record::from_json(examples()[1]).expect("the example reads");
    assert_eq!(record, Record::new("K7"));
}

#[test]
fn every_field_of_file_and_report_stands_on_the_page() {
    let mut record = Record::from_json(examples()[0]).expect("the example reads");
    record.pair = record.pair.map(ophryon_brow::Pair::unlinked);
    record.shrink.share = 0.12;
    record.style = Some("Soft".to_owned());
    let keep = VariantEdit::Keep {
        name: "Soft".to_owned(),
        note: "She likes the tail.".to_owned(),
    };
    record = apply(&record, &Edit::Variant(keep)).expect("there is room");
    record = with_her_word(record);
    // A drooping tail, so that a mend is reported.
    if let Some(pair) = &mut record.pair {
        pair.points.tail.y -= 3.0;
    }
    record.photos[0].image = ophryon_record::Image::embed("image/png", b"a picture");
    let report = record.report().expect("it can be drawn");
    assert!(report.failing().any(|(_, r)| r.mend.is_some()));
    let mut names = Vec::new();
    let mut in_use = record.photos[0].clone();
    in_use.id = "eyes-open".to_owned();
    in_use.state = ophryon_record::PhotoState::EyesOpen;
    record.photos.push(in_use);
    let balance = record.balance().expect("both are tapped");
    let measure = report.measure(Ok(&balance));
    let texts = [
        record.to_json().expect("it is sound"),
        report.to_json(),
        measure.to_json(),
        record.consent.agreements[0].sealed.clone(),
    ];
    for text in texts {
        collect(
            &serde_json::from_str(&text).expect("it is JSON"),
            &mut names,
        );
    }
    names.sort();
    names.dedup();
    assert!(names.len() > 100, "{names:?}");
    // The examples don't count: a field is explained in a table.
    let prose: String = PAGE.split("```").step_by(2).collect();
    let fields: Vec<_> = prose.split('`').skip(1).step_by(2).collect();
    let named = |name: &str| {
        fields.iter().any(|f| {
            f.split(|c: char| !c.is_alphanumeric() && c != '-')
                .any(|w| w == name)
        })
    };
    let unnamed: Vec<_> = names.iter().filter(|name| !named(name)).collect();
    assert!(unnamed.is_empty(), "not on the page: {unnamed:?}");
    assert!(
        Handle::ALL
            .iter()
            .all(|h| named(&h.name().replace(' ', "-")))
    );
}

/// Asked, agreed, withdrawn, and asked again elsewhere.
fn with_her_word(mut record: Record) -> Record {
    let at: When = "2025-03-14T15:09:26+01:00".parse().expect("a time");
    let mut asked = text_for("en").expect("it is there").asked();
    for id in ["shape", "fades", "touch-up", "cautions", "photo"] {
        asked.say(id, Said::Yes).expect("it is asked");
    }
    asked
        .answer("keloids", Answer::DoctorFirst)
        .expect("it is asked");
    let make = |record: &Record, edit| apply(record, &Edit::Consent(edit)).expect("it is fine");
    record = make(&record, ConsentEdit::Ask(Box::new(asked)));
    let signature = Signature::Drawn {
        strokes: vec![vec![Touch(0, 0, 0), Touch(5000, 900, 700)]],
    };
    let yes = record.agree(signature, at.clone()).expect("all is said");
    record = make(&record, yes);
    let seal = record.consent.agreements[0].seal;
    record = make(
        &record,
        ConsentEdit::Withdraw {
            seal,
            at: at.clone(),
        },
    );
    let nonce = Nonce::from_bytes([7; 16]);
    let (sent, _) = record.invite(nonce, at).expect("there is a shape");
    make(&record, sent)
}

/// Every field's name; landmarks by id are told in their own table.
fn collect(value: &Value, names: &mut Vec<String>) {
    match value {
        Value::Array(list) => list.iter().for_each(|v| collect(v, names)),
        Value::Object(fields) => {
            for (name, value) in fields {
                if !name.contains('/') {
                    names.push(name.clone());
                }
                collect(value, names);
            }
        }
        _ => {}
    }
}
