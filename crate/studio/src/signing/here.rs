//! What is asked on the artist's device: the client in work.

use std::rc::Rc;

use ophryon_agreement::{Answer, Asked, Said, Seal, Signature, When};
use ophryon_record::{AgreedDrawing, AgreedShape, AgreedState, ConsentEdit, Edit, Record};
use sycamore::web::View;

use super::{Asking, texts};
use crate::device::clock;
use crate::handed::words::Words;
use crate::look::{self, Facing, LookWords};
use crate::markup::{button, div, el, glance};
use crate::studio::Studio;
use crate::words::sentence;

/// The client in work.
pub struct Here(Studio, Words);

impl Here {
    /// Asks her, where nothing is asked yet; what she said to another shape is
    /// asked anew.
    pub fn begin(studio: Studio, words: Words) -> Self {
        let here = Self(studio, words);
        let Some(record) = studio.settled() else {
            return here;
        };
        let is_agreed = record.agreed().is_agreed();
        // What she signs is the present shape, whatever she looked at before.
        studio.view.look.variant.set(None);
        if record.pair.is_none() {
            studio.apply(&Edit::Propose);
        }
        let language = glance(|| words.language());
        match &record.consent.asked {
            None => here.ask(texts::asked_in(&language)),
            Some(asked) if !is_agreed && is_of_last_yes(&record, asked) => {
                here.ask(Some(asked.clone().anew()));
            }
            Some(_) => {}
        }
        here
    }

    fn ask(&self, asked: Option<Asked>) {
        if let Some(asked) = asked {
            self.0
                .apply(&Edit::Consent(ConsentEdit::Ask(Box::new(asked))));
        }
    }
}

/// Nothing was said since she last agreed.
fn is_of_last_yes(record: &Record, asked: &Asked) -> bool {
    let last = record.consent.agreements.last();
    last.and_then(|a| a.read().ok())
        .is_some_and(|sealed| sealed.asked == *asked)
}

impl Asking for Here {
    fn asked(&self) -> Option<Asked> {
        self.0.record()?.consent.asked.clone()
    }

    fn say(&self, statement: &str, said: Said) {
        let statement = statement.to_owned();
        let edit = ConsentEdit::Say { statement, said };
        self.0.apply(&Edit::Consent(edit));
    }

    fn answer(&self, caution: &str, answer: Answer) {
        let caution = caution.to_owned();
        let edit = ConsentEdit::AnswerCaution { caution, answer };
        self.0.apply(&Edit::Consent(edit));
    }

    fn speak(&self, language: &str) {
        let Some(record) = self.0.settled() else {
            return;
        };
        // What is agreed to stays word for word.
        let Some(asked) = record
            .consent
            .asked
            .as_ref()
            .filter(|_| !record.agreed().is_agreed())
        else {
            return;
        };
        if asked.language != language
            && let Some(other) = texts::asked_in(language)
            && other.language != asked.language
        {
            self.ask(Some(other.answered_as(asked)));
        }
    }

    fn drawing(&self) -> Option<AgreedDrawing> {
        AgreedShape::of(&*self.0.record()?)?.drawing().ok()
    }

    fn picture(&self) -> View {
        let (studio, words) = (self.0, self.1);
        // The line first: it is the shape that is agreed.
        studio.view.look.stage.set(look::DRAWN);
        studio.view.look.near.set(look::Near::Brows);
        let (stage, facing) = (studio.view.look.stage, studio.view.look.facing);
        let stop = move |at: f64, key: fn(Words) -> String, id: &'static str| {
            button("button", id)
                .pressed(move || (stage.get() - at).abs() < 0.5)
                .says(move || key(words))
                .click(move || stage.set(at))
        };
        let said = LookWords {
            seen: Rc::new(move || words.say("face")),
            coming: Rc::new(move || words.say("opening")),
        };
        crate::parts![
            div("signing-face").put(look::look_in_words(studio, said)),
            el("p")
                .class("quiet")
                .id("shape-facing")
                .says(move || match facing.get() {
                    Facing::Mirror => words.say("facing-mirror-says"),
                    Facing::Others => words.say("facing-others-says"),
                }),
            div("signing-stops")
                .at("role", "group")
                .put(stop(look::BEFORE, |w| w.say("stage-before"), "once-before"))
                .put(stop(look::DRAWN, |w| w.say("stage-drawn"), "once-drawn"))
                .put(stop(look::HEALED, |w| w.say("stage-healed"), "once-healed")),
        ]
    }

    fn sign(&self, signature: Signature) -> Result<(), String> {
        let record = self.0.settled().ok_or("No client is open.")?;
        let at = clock::moment().ok_or("This device tells no time.")?;
        let edit = record
            .agree(signature, at)
            .map_err(|why| sentence(&why.to_string()))?;
        if self.0.apply(&Edit::Consent(edit)) {
            Ok(())
        } else {
            Err(self.0.said.get_clone_untracked().unwrap_or_default())
        }
    }

    fn signed(&self) -> Option<(When, Option<Seal>)> {
        match self.0.record()?.agreed() {
            AgreedState::Agreed { seal, sealed } => Some((sealed.at, Some(seal))),
            AgreedState::NotAgreed { .. } => None,
        }
    }

    fn name(&self) -> String {
        let key = self.0.key_now().unwrap_or_default();
        let round = self.0.settled().map_or(0, |r| r.consent.agreements.len());
        format!("{key} {round}")
    }
}
