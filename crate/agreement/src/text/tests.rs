use super::*;
use crate::Answer;

fn english() -> Text {
    text_for("en").unwrap()
}

#[test]
fn every_file_is_read_and_no_language_is_there_twice() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/texts");
    let files = std::fs::read_dir(folder).unwrap().count();
    let all = texts();
    assert_eq!(all.len(), files);
    for file in std::fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        let json = std::fs::read_to_string(&path).unwrap();
        let text = Text::from_json(&json).unwrap_or_else(|why| panic!("{path:?}: {why}"));
        assert_eq!(text.to_json(), json, "written as the app writes it");
        assert_eq!(path.file_stem().unwrap().to_str().unwrap(), text.language);
    }
    let named: Vec<_> = all.iter().map(|t| t.name.as_str()).collect();
    assert!(named.contains(&"English") && named.contains(&"Español"));
}

/// A client who reads Spanish is asked the same as one who reads English.
#[test]
fn all_languages_ask_the_same() {
    let english = english();
    for text in texts() {
        let ids = |t: &Text| {
            let statements = t.statements.iter().map(|s| (s.id.clone(), Some(s.kind)));
            let cautions = t.cautions.iter().map(|c| (c.id.clone(), None));
            statements.chain(cautions).collect::<Vec<_>>()
        };
        let ranges = |t: &Text| {
            let all = t.ranges.iter().map(|r| (r.id.clone(), r.from, r.to));
            all.collect::<Vec<_>>()
        };
        assert_eq!(ids(&text), ids(&english), "{}", text.language);
        assert_eq!(ranges(&text), ranges(&english), "{}", text.language);
    }
}

/// What is said and what never is (docs/care.md).
#[test]
fn our_texts_promise_nothing_and_send_to_a_doctor() {
    for (language, doctor, first, not, never) in [
        (
            "en",
            "Speak to a doctor first",
            "Local rules and licensed practice",
            "no medical advice",
            ["safe", "guarantee", "will last", "passed", "always"],
        ),
        (
            "es",
            "Hable antes con un médico",
            "Las normas locales y la práctica autorizada",
            "no es un consejo médico",
            ["segura de", "garanti", "durará", "superad", "siempre dura"],
        ),
    ] {
        let text = text_for(language).unwrap();
        let asked = text.asked();
        assert!(asked.cautions.len() >= 7);
        for caution in &asked.cautions {
            // A plain question; whom to ask is said to a yes and to a doubt.
            assert!(caution.words.ends_with('?'), "{}", caution.words);
            assert!(!caution.words.contains(&doctor[1..]), "{}", caution.words);
            assert!(caution.advice.contains(doctor), "{}", caution.advice);
        }
        assert!(asked.advice.contains(first) && asked.advice.contains(not));
        let statements = asked.statements.iter().map(|s| s.words.as_str());
        let all: Vec<_> = statements
            .chain(asked.cautions.iter().map(|c| c.words.as_str()))
            .chain(asked.cautions.iter().map(|c| c.advice.as_str()))
            .collect();
        for words in &all {
            for word in never {
                assert!(!words.contains(word), "{word} in {words}");
            }
            assert!(!words.contains(['!', '{']), "{words}");
        }
        // Each range is read as two ends.
        for range in &text.ranges {
            let between = range.between.as_ref().unwrap_or(&text.between);
            let both = between.replace("{from}", &range.from.to_string());
            let both = both.replace("{to}", &range.to.to_string());
            assert!(all.iter().any(|w| w.contains(&both)), "{both} nowhere");
        }
    }
}

#[test]
fn a_language_is_found_with_its_region_or_without_else_english() {
    for (asked, found) in [
        ("es", "es"),
        ("es-MX", "es"),
        ("ES", "es"),
        ("en-GB", "en"),
        ("tlh", "en"),
        ("", "en"),
    ] {
        assert_eq!(text_for(asked).unwrap().language, found, "{asked}");
    }
}

#[test]
fn an_artists_own_text_has_its_own_mark() {
    let ours = english();
    assert_eq!(ours.asked().text.by, TextBy::Ophryon);
    let mut own = ours.clone();
    own.version += 1;
    own.ranges[2].to = 10;
    let own = Text::from_json(&own.to_json()).unwrap();
    let asked = own.asked();
    assert_eq!(asked.text.by, TextBy::Artist);
    assert_eq!(asked.text.version, ours.version + 1);
    assert_ne!(asked.text.hash, ours.asked().text.hash);
    let touch_up = &asked.statements[2].words;
    assert!(touch_up.contains("after 4 to 10 weeks"), "{touch_up}");
    // One letter is another text.
    let mut letter = ours.clone();
    letter.advice.push('.');
    assert_ne!(letter.hash(), ours.hash());
}

#[test]
fn a_text_that_can_not_be_used_says_what_to_mend() {
    let change = |change: &dyn Fn(&mut Text)| {
        let mut text = english();
        change(&mut text);
        Text::from_json(&text.to_json()).unwrap_err().to_string()
    };
    for (said, part) in [
        (
            change(&|t| t.ranges[0].to = 30),
            "lighter-percent: nobody knows this to the day",
        ),
        (change(&|t| t.ranges.truncate(2)), "none of the ranges"),
        (
            change(&|t| drop(t.statements.remove(4))),
            "photo: this statement is missing",
        ),
        (
            change(&|t| t.statements[4].kind = Kind::Needed),
            "photo: whether photos are kept is hers",
        ),
        (
            change(&|t| t.statements[1].kind = Kind::Choice),
            "fades: there is no agreement without",
        ),
        (
            change(&|t| t.cautions[0].id = "shape".to_owned()),
            "two sentences have one name",
        ),
        (
            change(&|t| t.cautions[0].words = " ".to_owned()),
            "1 to 1000 characters",
        ),
        (
            change(&|t| t.cautions[0].words = "x".repeat(1001)),
            "1 to 1000 characters",
        ),
        (
            change(&|t| t.language = "e n".to_owned()),
            "letters, digits and hyphens",
        ),
        (
            change(&|t| t.between = "{from}".to_owned()),
            "between: it must hold {from} and {to}",
        ),
        (
            change(&|t| t.ranges[0].between = Some("{to}".to_owned())),
            "between: it must hold {from} and {to}",
        ),
        (
            change(&|t| t.cautions[0].advice = "Wait {weeks}.".to_owned()),
            "none of the ranges",
        ),
        (change(&|t| t.version = 0), "version: versions count from 1"),
        (change(&|t| t.schema = 2), "newer Ophryon (schema 2)"),
    ] {
        assert!(said.contains(part), "{said}");
    }
    for (json, part) in [
        ("", "no text of statements"),
        ("[]", "no text of statements"),
        ("{\"schema\": 1}", "no text of statements"),
        (&" ".repeat(LARGEST_TEXT + 1), "larger than 256 kB"),
    ] {
        let said = Text::from_json(json).unwrap_err().to_string();
        assert!(said.contains(part), "{said}");
    }
}

#[test]
fn whom_to_ask_is_said_to_a_yes_and_to_a_doubt_only() {
    let mut caution = english().asked().cautions.remove(0);
    for (answer, is_said) in [
        (Answer::Unanswered, false),
        (Answer::NotMe, false),
        (Answer::DoctorFirst, true),
        (Answer::NotSure, true),
    ] {
        caution.answer = answer;
        assert_eq!(caution.advised().is_some(), is_said, "{answer:?}");
        let words = caution.words_and_advice();
        assert!(words.starts_with(&caution.words));
        assert_eq!(words.contains("doctor"), is_said, "{words}");
    }
}

/// A text that an artist saved before cautions were questions with advice.
#[test]
fn a_text_of_the_first_form_is_still_read() {
    let mut own = english();
    for caution in &mut own.cautions {
        caution.advice.clear();
    }
    own.cautions[0].words = "I am pregnant: speak to a doctor first.".to_owned();
    let json = own.to_json();
    assert!(!json.contains("\"between\": null") && !json.contains("\"advice\": \"\""));
    let read = Text::from_json(&json).unwrap();
    assert_eq!(read, own);
    let mut asked = read.asked();
    asked.answer("pregnancy", Answer::DoctorFirst).unwrap();
    assert_eq!(asked.problem(), None);
    assert_eq!(asked.cautions[0].words_and_advice(), own.cautions[0].words);
}

/// Nobody agrees to what she did not see or do: a shape sent without a photo
/// was seen on no face of hers, and cautions may be left open.
#[test]
fn statements_are_true_of_every_way_to_see_and_to_answer() {
    let asked = english().asked();
    let words = |id: &str| {
        let found = asked.statements.iter().find(|s| s.id == id);
        found.unwrap().words.clone()
    };
    assert!(!words("shape").contains("on me"), "{}", words("shape"));
    assert!(words("cautions").contains("left open"));
    let spanish = text_for("es").unwrap().asked();
    assert!(
        spanish.statements[1]
            .words
            .contains("entre un 30 y un 50 %")
    );
    for statement in &spanish.statements {
        assert!(!statement.words.contains(" curar"), "one word for healing");
    }
}
