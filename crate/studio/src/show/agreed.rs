//! Whether she agreed to the shape as it stands.

use ophryon_agreement::{Answer, Asked, Caution, Seal, TextBy, text_for};
use ophryon_record::{AgreedState, ConsentEdit, Edit};
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
    for_a_doctor: Vec<Flagged>,
    /// The agreement they are part of, and whether they were read since.
    read: Option<(Seal, bool)>,
}

/// A caution that she flagged or left open.
#[derive(Debug, Clone, PartialEq)]
struct Flagged {
    /// For the artist.
    words: String,
    /// As she signed them, with their language, where those are others.
    signed: Option<(String, String)>,
    answer: Answer,
}

impl Flagged {
    fn of(asked: &Asked, caution: &Caution) -> Self {
        let english = in_english(asked, caution);
        let as_signed = (asked.language.clone(), caution.words.clone());
        Self {
            signed: english.is_some().then_some(as_signed),
            words: english.unwrap_or_else(|| caution.words.clone()),
            answer: caution.answer,
        }
    }
}

/// The same caution in the artist's language, where it was asked in another.
/// Only our own texts say the same under one name; an artist's own says what
/// it says.
fn in_english(asked: &Asked, caution: &Caution) -> Option<String> {
    let is_english = asked.language.split('-').next() == Some("en");
    if is_english || asked.text.by != TextBy::Ophryon {
        return None;
    }
    let english = text_for("en")?.asked();
    let same = english.cautions.into_iter().find(|c| c.id == caution.id)?;
    Some(same.words)
}

fn stand(studio: Studio) -> Option<Stand> {
    let record = studio.record()?;
    let state = record.agreed();
    // What she flagged is told as soon as she has, agreed or not.
    let for_a_doctor = match &state {
        AgreedState::Agreed { sealed, .. } => {
            let asked = &sealed.asked;
            let flagged = asked.for_a_doctor();
            flagged.map(|c| Flagged::of(asked, c)).collect()
        }
        AgreedState::NotAgreed { .. } => {
            let asked = record.consent.asked.iter();
            let flagged = asked.flat_map(|a| a.cautions.iter().map(move |c| (a, c)));
            flagged
                .filter(|(_, c)| matches!(c.answer, Answer::DoctorFirst | Answer::NotSure))
                .map(|(asked, c)| Flagged::of(asked, c))
                .collect()
        }
    };
    let read = state.seal().map(|seal| {
        let is_read = record.consent.cautions_read.as_ref() == Some(seal);
        (*seal, is_read)
    });
    Some(Stand {
        is_agreed: state.is_agreed(),
        has_agreed: !record.consent.agreements.is_empty(),
        sentence: state.sentence(),
        for_a_doctor,
        read,
    })
}

/// The card of the place Show.
pub fn card(studio: Studio) -> View {
    let stand = selector(Box::new(move || stand(studio)));
    shows(
        move || stand.get_clone(),
        move |stand| stand.map_or_else(View::new, |stand| told(studio, &stand).into()),
    )
}

fn told(studio: Studio, stand: &Stand) -> El {
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
            let line = el("li").put(el("span").words(format!("{} She said: {said}.", c.words)));
            match &c.signed {
                Some((language, words)) => line.put(
                    el("small")
                        .class("as-signed")
                        .at("lang", language.clone())
                        .words(words.clone()),
                ),
                None => line,
            }
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
            )
            .put(read(studio, stand.read));
    }
    card.put(
        studio
            .later
            .safe
            .show_when_here(move |views| (views.wish_of_today)(studio)),
    )
}

/// That the artist has read what she flagged, before the place is done.
fn read(studio: Studio, read: Option<(Seal, bool)>) -> View {
    match read {
        None => View::new(),
        Some((_, true)) => p("You have read these.")
            .class("quiet")
            .id("cautions-are-read")
            .into(),
        Some((seal, false)) => div("buttons")
            .put(
                button("button", "cautions-read")
                    .words("I have read these")
                    .click(move || {
                        studio.apply(&Edit::Consent(ConsentEdit::ReadCautions { seal }));
                    }),
            )
            .into(),
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    fn flagged_in(language: &str, by: TextBy) -> Flagged {
        let mut asked = text_for(language).unwrap().asked();
        asked.text.by = by;
        asked.answer("pregnancy", Answer::DoctorFirst).unwrap();
        let caution = asked.cautions.iter().find(|c| c.id == "pregnancy");
        Flagged::of(&asked, caution.unwrap())
    }

    #[test]
    fn a_caution_is_told_in_the_artists_language_with_the_signed_words_below() {
        let english = flagged_in("en", TextBy::Ophryon);
        assert_eq!(english.signed, None);
        let spanish = flagged_in("es", TextBy::Ophryon);
        assert_eq!(spanish.words, english.words);
        let (language, signed) = spanish.signed.unwrap();
        assert!(language == "es" && signed != english.words);
        // What an artist wrote under that name may say another thing.
        let own = flagged_in("es", TextBy::Artist);
        assert_eq!((own.words, own.signed), (signed, None));
    }
}
