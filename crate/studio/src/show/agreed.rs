//! Whether she agreed to the shape as it stands.

use ophryon_agreement::{Answer, Caution};
use ophryon_record::AgreedState;
use sycamore::web::View;

use crate::markup::{El, button, div, el, p, selector, shows};
use crate::places::Place;
use crate::studio::Studio;

/// What is said of the agreement.
#[derive(Debug, Clone, PartialEq)]
struct Stand {
    is_agreed: bool,
    /// She agreed to something before.
    has_agreed: bool,
    sentence: String,
    for_a_doctor: Vec<Caution>,
}

fn stand(studio: Studio) -> Option<Stand> {
    let record = studio.record()?;
    let state = record.agreed();
    // What she flagged is told as soon as she has, agreed or not.
    let for_a_doctor = match &state {
        AgreedState::Agreed { sealed, .. } => sealed.asked.for_a_doctor().cloned().collect(),
        AgreedState::NotAgreed { .. } => {
            let asked = record.consent.asked.iter();
            let flagged = asked.flat_map(|a| &a.cautions);
            flagged
                .filter(|c| matches!(c.answer, Answer::DoctorFirst | Answer::NotSure))
                .cloned()
                .collect()
        }
    };
    Some(Stand {
        is_agreed: state.is_agreed(),
        has_agreed: !record.consent.agreements.is_empty(),
        sentence: state.sentence(),
        for_a_doctor,
    })
}

/// The card of the place Show.
pub fn card(studio: Studio) -> View {
    let stand = selector(Box::new(move || stand(studio)));
    shows(
        move || stand.get_clone(),
        |stand| stand.map_or_else(View::new, |stand| told(&stand).into()),
    )
}

fn told(stand: &Stand) -> El {
    let class = if stand.is_agreed { "word calm" } else { "word" };
    let mut card = div(class)
        .at("role", "status")
        .id("agreed")
        .at("data-agreed", if stand.is_agreed { "yes" } else { "no" })
        .put(p(stand.sentence.clone()).class("strong"));
    if !stand.for_a_doctor.is_empty() {
        let lines = stand.for_a_doctor.iter().map(|c| {
            let said = match c.answer {
                Answer::DoctorFirst => "yes",
                Answer::NotSure => "not sure",
                Answer::Unanswered => "no answer",
                Answer::NotMe => "no",
            };
            el("li").words(format!("{} She said: {said}.", c.words))
        });
        card = card
            .put(p("Before any work, a doctor first:"))
            .put(
                el("ul")
                    .class("for-a-doctor")
                    .id("for-a-doctor")
                    .all(lines.collect::<Vec<_>>()),
            )
            .put(
                p("This is no medical advice. Local codes and licensed practice come first.")
                    .class("quiet"),
            );
    }
    card
}

/// For the other places.
pub fn standing(studio: Studio) -> View {
    let stand = selector(Box::new(move || {
        stand(studio)
            .filter(|s| s.has_agreed)
            .map(|s| (s.is_agreed, s.sentence))
    }));
    shows(
        move || stand.get_clone(),
        move |stand| match stand {
            None => View::new(),
            Some((true, sentence)) => p(sentence).class("quiet").id("standing").into(),
            Some((false, sentence)) => div("word")
                .at("role", "status")
                .id("standing")
                .put(p(sentence))
                .put(
                    div("buttons").put(
                        button("button", "standing-show")
                            .words("Ask her again")
                            .click(move || {
                                studio.finish();
                                studio.view.go(Place::Show);
                            }),
                    ),
                )
                .into(),
        },
    )
}
