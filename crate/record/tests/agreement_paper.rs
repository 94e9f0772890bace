//! An agreement on paper holds what was sealed, whatever was sealed.

#![allow(clippy::unwrap_used, reason = "a failing test says so by panicking")]

use std::fs;
use std::path::Path;

use ophryon_agreement::{Answer, Kind, Said, Signature, StatementText, Touch, text_for};
use ophryon_frames::Side;
use ophryon_record::{AgreementPaperError, ConsentEdit, Edit, FacePictures, Record, apply};
use ophryon_stencil::{Jpeg, Mark, Paper, Sheet};

/// An invented client who agreed; the demo's files with their seals.
fn agreed(name: &str) -> Record {
    let file = format!("../../tests/fixtures/seals/{name}.json");
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(file);
    Record::from_json(&fs::read_to_string(file).unwrap()).unwrap()
}

/// A grey picture: the head of a frame is all that is looked at.
fn picture() -> Jpeg {
    let head = [
        0xff, 0xd8, 0xff, 0xc0, 0, 11, 8, 0, 30, 0, 64, 1, 1, 0x11, 0,
    ];
    Jpeg::read(head.to_vec()).unwrap()
}

fn face() -> FacePictures {
    FacePictures {
        before: picture(),
        drawn: picture(),
        healed: picture(),
    }
}

fn words(pages: &[Sheet]) -> String {
    let all: Vec<&str> = pages.iter().flat_map(Sheet::words).collect();
    all.join(" ")
}

/// Nothing stands nearer to the paper's edge than a printer reaches.
fn within_margins(pages: &[Sheet]) {
    for page in pages {
        let (right, low) = (page.width_mm() - 12.9, page.height_mm() - 12.9);
        for item in page.groups().iter().flat_map(|g| &g.items) {
            let places = match &item.mark {
                Mark::Words { at, .. } => vec![*at],
                Mark::Frame { corners, .. } | Mark::Picture { corners, .. } => corners.to_vec(),
                Mark::Polyline { places, .. } => places.clone(),
                Mark::Lines { lines, .. } => lines.iter().flatten().copied().collect(),
                Mark::Outline { cubics, .. } => cubics.iter().flatten().copied().collect(),
                Mark::Bars { bars } => bars.iter().flatten().copied().collect(),
            };
            for p in places {
                assert!((12.9..=right).contains(&p.x), "{p:?} in {:?}", item.mark);
                assert!((12.9..=low).contains(&p.y), "{p:?} in {:?}", item.mark);
            }
        }
    }
}

#[test]
fn the_usual_takes_two_pages_at_most_and_says_everything() {
    for name in ["demo-even", "demo-set", "demo-movement"] {
        let record = agreed(name);
        let sealed = record.consent.agreements[0].read().unwrap();
        for paper in Paper::ALL {
            let pages = record.agreement_papers(0, paper, Some(&face())).unwrap();
            assert!(pages.len() <= 2, "{name} takes {} pages", pages.len());
            within_margins(&pages);
            let said = words(&pages);
            let asked = &sealed.asked;
            let statements = asked.statements.iter().map(|s| &s.words);
            for sentence in statements.chain(asked.cautions.iter().map(|c| &c.words)) {
                assert!(
                    said.contains(sentence.as_str()),
                    "no “{sentence}” in {said}"
                );
            }
            let digits = said.replace(' ', "");
            assert!(digits.contains(&record.consent.agreements[0].seal.to_string()));
            assert!(pages.iter().all(|p| p.language() == asked.language));
            // Her face only where she lets photos be kept.
            let pictures: usize = pages.iter().map(|p| p.pictures().count()).sum();
            assert_eq!(
                pictures,
                if sealed.keeps_photos() { 3 } else { 0 },
                "{name}"
            );
        }
    }
}

#[test]
fn numbers_on_paper_are_those_of_the_drawn_shape() {
    let record = agreed("demo-even");
    let drawn = record.drawn().unwrap();
    let said = words(&record.agreement_papers(0, Paper::A4, None).unwrap());
    let healed = drawn.healed();
    for (side, healed) in healed.iter() {
        let (now, then) = (drawn.stage_numbers(side), &healed.as_ref().unwrap().healed);
        for mm in [
            now.length_mm,
            now.thickness_body_mm,
            then.length_mm,
            then.thickness_tail_mm,
        ] {
            assert!(said.contains(&format!(" {mm:.1}")), "no {mm:.1} in {said}");
        }
    }
}

#[test]
fn a_long_text_goes_on_as_many_pages_as_it_takes() {
    let mut text = text_for("en").unwrap();
    for n in 0..35 {
        text.statements.push(StatementText {
            id: format!("own-{n}"),
            kind: Kind::Needed,
            words: format!("Sentence {n}: {}", "a word and another ".repeat(50))
                .trim()
                .to_owned(),
        });
    }
    text.version = 2;
    text.check().unwrap();
    let mut record = agreed("demo-even");
    let made = |record: &Record, edit| apply(record, &Edit::Consent(edit)).unwrap();
    record = made(&record, ConsentEdit::Ask(Box::new(text.asked())));
    for statement in &text.statements {
        let (statement, said) = (statement.id.clone(), Said::Yes);
        record = made(&record, ConsentEdit::Say { statement, said });
    }
    let caution = "allergy".to_owned();
    let answer = Answer::NotSure;
    record = made(&record, ConsentEdit::AnswerCaution { caution, answer });
    let name = "W".repeat(100);
    let at = "2026-03-14T15:09:26+01:00".parse().unwrap();
    let yes = record.agree(Signature::Typed { name }, at).unwrap();
    record = made(&record, yes);
    let pages = record.agreement_papers(1, Paper::Letter, None).unwrap();
    assert!(pages.len() > 3);
    within_margins(&pages);
    let said = words(&pages);
    for statement in &text.asked().statements {
        assert!(said.contains(&statement.words), "{}", statement.words);
    }
    assert!(said.contains("NOT SURE") && said.contains("written by the artist"));
    assert!(said.contains(&format!("Page {0} of {0}.", pages.len())));
    // The first agreement is to the same shape; her last word counts.
    let first = words(&record.agreement_papers(0, Paper::A4, None).unwrap());
    assert!(first.contains("CHANGED SINCE"), "{first}");
}

#[test]
fn any_signature_stays_in_its_field() {
    let corners = [
        (0, 0),
        (10_000, 0),
        (10_000, 10_000),
        (0, 10_000),
        (5_000, 9_999),
    ];
    for n in 1..=corners.len() {
        let touches = corners.iter().cycle().take(n + 1).enumerate();
        let stroke = touches
            .map(|(i, (x, y))| Touch(*x, *y, 10 * i as u32))
            .collect();
        let mut record = agreed("demo-even");
        record.version += 1;
        let signature = Signature::Drawn {
            strokes: vec![stroke],
        };
        let at = "2026-03-14T15:09:26+01:00".parse().unwrap();
        let yes = record.agree(signature, at).unwrap();
        let record = apply(&record, &Edit::Consent(yes)).unwrap();
        within_margins(&record.agreement_papers(1, Paper::A4, None).unwrap());
    }
}

#[test]
fn what_is_not_there_or_can_not_be_relied_on_is_not_put_on_paper() {
    let mut record = agreed("demo-even");
    let none = record.agreement_papers(1, Paper::A4, None);
    assert_eq!(none, Err(AgreementPaperError::NoSuch));
    let one = &mut record.consent.agreements[0];
    one.sealed = one.sealed.replace("keloids", "keloid");
    let why = record.agreement_papers(0, Paper::A4, None).unwrap_err();
    assert!(matches!(why, AgreementPaperError::Broken(_)), "{why}");
}

/// The client of a file asked in a language, every sentence agreed to, each
/// caution answered in another way.
fn asked_in(language: &str, name: &str) -> Record {
    let answers = [
        Answer::NotMe,
        Answer::DoctorFirst,
        Answer::NotSure,
        Answer::Unanswered,
    ];
    let asked = text_for(language).unwrap().asked();
    let made = |record: &Record, edit| apply(record, &Edit::Consent(edit)).unwrap();
    let mut record = made(&agreed(name), ConsentEdit::Ask(Box::new(asked.clone())));
    for statement in asked.statements {
        let (statement, said) = (statement.id, Said::Yes);
        record = made(&record, ConsentEdit::Say { statement, said });
    }
    for (caution, answer) in asked.cautions.into_iter().zip(answers.iter().cycle()) {
        let (caution, answer) = (caution.id, *answer);
        record = made(&record, ConsentEdit::AnswerCaution { caution, answer });
    }
    let name = "Ana Ejemplo (inventada)".to_owned();
    let at = "2026-03-14T15:09:26+01:00".parse().unwrap();
    let yes = record.agree(Signature::Typed { name }, at).unwrap();
    made(&record, yes)
}

/// Pages of the last agreement.
fn last(record: &Record, paper: Paper) -> Vec<Sheet> {
    let index = record.consent.agreements.len() - 1;
    let pages = record.agreement_papers(index, paper, Some(&face()));
    pages.unwrap()
}

#[test]
fn a_paper_in_spanish_takes_two_pages_and_writes_millimetres_with_a_comma() {
    for name in ["demo-even", "demo-set", "demo-movement"] {
        let record = asked_in("es", name);
        let mm = record.drawn().unwrap().stage_numbers(Side::Right).length_mm;
        let comma = format!("{mm:.1}").replace('.', ",");
        for paper in Paper::ALL {
            let pages = last(&record, paper);
            assert!(pages.len() <= 2, "{name} takes {} pages", pages.len());
            within_margins(&pages);
            let said = words(&pages);
            assert!(said.contains(&comma), "no {comma} in {said}");
            assert!(!said.contains(&format!("{mm:.1}")), "{said}");
            assert!(!said.contains('…'), "something is cut: {said}");
        }
    }
}

#[test]
fn she_signs_below_what_she_says_yes_to_and_the_fine_print_is_last() {
    for language in ["en", "es"] {
        let record = asked_in(language, "demo-even");
        let asked = record.consent.agreements.last().unwrap().read().unwrap();
        let pages = last(&record, Paper::A4);
        let end: String = pages.last().unwrap().words().collect::<Vec<_>>().join(" ");
        let place = |of: &str| end.find(of).unwrap_or_else(|| panic!("no “{of}” in {end}"));
        let mut before = 0;
        for statement in &asked.asked.statements {
            let here = place(&statement.words);
            assert!(before <= here, "{}", statement.words);
            before = here;
        }
        let (name, fine) = (place("Ana Ejemplo"), place("SHA-256"));
        assert!(before < name && name < fine, "{end}");
    }
}

#[test]
fn sentences_and_heads_can_be_read_without_glasses() {
    // Letters are in mm; the fine print and the foot are the smallest.
    let points = |mm: f64| mm * 72.0 / 25.4;
    for page in last(&asked_in("es", "demo-even"), Paper::Letter) {
        for item in page.groups().iter().flat_map(|g| &g.items) {
            if let Mark::Words { size_mm, words, .. } = &item.mark {
                assert!(points(*size_mm) >= 8.0, "{words}");
            }
        }
    }
}
