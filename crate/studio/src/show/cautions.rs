//! The cautions, gone through together before the tablet is handed over.

use ophryon_agreement::{Answer, Asked};
use ophryon_record::{ConsentEdit, Edit};
use sycamore::web::View;

use super::text;
use crate::markup::{El, button, div, el, p, selector};
use crate::shape;
use crate::studio::Studio;

/// The section.
pub fn section(studio: Studio) -> El {
    let asked = selector(Box::new(move || {
        let record = studio.record()?;
        let asked = record.consent.asked.clone();
        let asked = asked.or_else(|| text::chosen_text(studio).map(|t| t.asked()))?;
        Some((asked, record.agreed().is_agreed()))
    }));
    let in_short = move || {
        asked.with(|asked| {
            let Some((asked, _)) = asked else {
                return String::new();
            };
            let open = asked
                .for_a_doctor()
                .filter(|c| c.answer == Answer::Unanswered);
            let open = open.count();
            let flagged = asked.for_a_doctor().count() - open;
            match (open, flagged) {
                (0, 0) => "nothing flagged".to_owned(),
                (0, n) => format!("{n} flagged"),
                (n, 0) => format!("{n} to answer"),
                (open, flagged) => format!("{flagged} flagged, {open} to answer"),
            }
        })
    };
    // Put up anew with another text, not with every answer: the keyboard stays
    // where it is.
    let text = selector(Box::new(move || {
        asked.with(|asked| {
            let (asked, is_agreed) = asked.as_ref()?;
            Some((asked.clone().unanswered(), *is_agreed))
        })
    }));
    let given = move |number: usize| {
        asked.with(|asked| {
            let (asked, _) = asked.as_ref()?;
            Some(asked.cautions.get(number)?.answer)
        })
    };
    let inside = div("inside").shows(
        move || text.get_clone(),
        move |asked| match asked {
            None => View::new(),
            Some((asked, is_agreed)) => all(studio, &asked, is_agreed, given),
        },
    );
    shape::section("cautions-before", "Cautions", in_short, inside)
}

fn all(
    studio: Studio,
    asked: &Asked,
    is_agreed: bool,
    given: impl Fn(usize) -> Option<Answer> + Copy + 'static,
) -> View {
    let head = if is_agreed {
        div("word calm")
            .put(p(
                "These are sealed with her agreement. If something has changed, she is asked anew.",
            ))
            .put(
                div("buttons").put(
                    button("button", "ask-anew")
                        .words("Ask her anew")
                        .click(move || ask_anew(studio)),
                ),
            )
    } else {
        div("").put(p(asked.advice.clone()).class("quiet"))
    };
    let rows = asked.cautions.iter().enumerate().map(|(number, caution)| {
        let answers = [
            (Answer::NotMe, "no", "No"),
            (Answer::DoctorFirst, "yes", "Yes"),
            (Answer::NotSure, "not-sure", "Not sure"),
        ];
        let id = caution.id.clone();
        let one = |(answer, name, words): (Answer, &'static str, &'static str)| {
            let id = id.clone();
            button("button", format!("before-{id}-{name}"))
                .pressed(move || given(number) == Some(answer))
                .flag("disabled", is_agreed)
                .words(words)
                .click(move || give(studio, &id, answer))
        };
        let class = move || match given(number) {
            Some(Answer::DoctorFirst | Answer::NotSure) => "caution-row flagged",
            _ => "caution-row",
        };
        let is_flagged =
            move || matches!(given(number), Some(Answer::DoctorFirst | Answer::NotSure));
        let row = el("li").class(class).put(p(caution.words.clone())).put(
            div("sides")
                .at("role", "group")
                .label(caution.words.clone())
                .all(answers.map(one)),
        );
        if caution.advice.is_empty() {
            return row;
        }
        row.put(p(caution.advice.clone()).flag("hidden", move || !is_flagged()))
    });
    crate::parts![
        head,
        el("ul").class("caution-list").all(rows.collect::<Vec<_>>())
    ]
}

fn give(studio: Studio, caution: &str, answer: Answer) {
    text::ask_if_not_yet(studio);
    let caution = caution.to_owned();
    let edit = ConsentEdit::AnswerCaution { caution, answer };
    studio.apply(&Edit::Consent(edit));
}

/// Another round: what she answered to the cautions is kept, to be changed.
fn ask_anew(studio: Studio) {
    let asked = studio.settled().and_then(|r| r.consent.asked);
    if let Some(asked) = asked {
        let ask = ConsentEdit::Ask(Box::new(asked.anew()));
        studio.apply(&Edit::Consent(ask));
    }
}
