//! Her language, and the text she is asked with: ours, or the artist's own.

use ophryon_agreement::{Asked, Said, Text, text_for};
use ophryon_record::{ConsentEdit, Edit};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use super::writing;
use crate::device::files;
use crate::markup::{El, button, div, glance, p, selector};
use crate::parts::icon::Drawing;
use crate::shape;
use crate::signing::texts;
use crate::stage::bring::FileButton;
use crate::studio::Studio;
use crate::words::sentence;

/// Used where she is not asked in any language yet.
const FIRST_LANGUAGE: &str = "en";

/// What is asked of her in which language.
pub fn chosen_text(studio: Studio) -> Option<Text> {
    texts::text_in(&language(studio))
}

/// Her language; followed.
fn language(studio: Studio) -> String {
    let record = studio.record();
    let asked = record.as_ref().and_then(|r| r.consent.asked.as_ref());
    asked.map_or_else(|| FIRST_LANGUAGE.to_owned(), |a| a.language.clone())
}

fn ask(studio: Studio, asked: Asked) {
    studio.apply(&Edit::Consent(ConsentEdit::Ask(Box::new(asked))));
}

/// What she would be asked becomes what she is asked.
pub fn ask_if_not_yet(studio: Studio) {
    let is_asked = studio.settled().is_some_and(|r| r.consent.asked.is_some());
    if !is_asked && let Some(text) = glance(|| chosen_text(studio)) {
        ask(studio, text.asked());
    }
}

/// Asks with the text of a language, keeping what she answered so far.
fn ask_in(studio: Studio, language: &str) {
    let Some(text) = texts::text_in(language) else {
        return;
    };
    let before = studio.settled().and_then(|r| r.consent.asked);
    let asked = text.asked();
    ask(
        studio,
        match before {
            Some(before) => asked.answered_as(&before),
            None => asked,
        },
    );
}

#[derive(Clone, PartialEq)]
struct Shown {
    language: String,
    asked: Option<Asked>,
    is_agreed: bool,
}

/// The section.
pub fn section(studio: Studio) -> El {
    let again = create_signal(0_u32);
    let written = create_signal(None::<Text>);
    let shown = selector(Box::new(move || {
        let record = studio.record();
        Shown {
            language: language(studio),
            asked: record.as_ref().and_then(|r| r.consent.asked.clone()),
            is_agreed: record.is_some_and(|r| r.agreed().is_agreed()),
        }
    }));
    let in_short = move || {
        again.track();
        let language = language(studio);
        let names = texts::languages();
        let name = names.into_iter().find(|(code, _)| *code == language);
        let own = if texts::uses_own(&language) {
            ", your own text"
        } else {
            ""
        };
        format!("{}{own}", name.map(|(_, name)| name).unwrap_or_default())
    };
    let inside = div("inside").shows(
        move || {
            (
                shown.get_clone(),
                again.get(),
                written.with(Option::is_some),
            )
        },
        move |(shown, _, is_writing)| {
            if is_writing {
                writing::writing(written, move |text| take(studio, again, text))
            } else {
                choosing(studio, again, written, &shown)
            }
        },
    );
    shape::section("her-text", "Her language and text", in_short, inside)
}

/// Keeps an own text and asks with it.
fn take(studio: Studio, again: Signal<u32>, text: &Text) -> Result<(), String> {
    text.check().map_err(|why| sentence(&why.to_string()))?;
    texts::keep(text)?;
    again.set(again.get_untracked() + 1);
    let is_agreed = studio.settled().is_some_and(|r| r.agreed().is_agreed());
    if !is_agreed {
        ask_in(studio, &text.language);
    }
    Ok(())
}

fn choosing(
    studio: Studio,
    again: Signal<u32>,
    written: Signal<Option<Text>>,
    shown: &Shown,
) -> View {
    let Shown {
        language,
        asked,
        is_agreed,
    } = shown.clone();
    let one = |(code, name): (String, String)| {
        let is_now = code == language;
        button("button", format!("language-{code}"))
            .pressed(move || is_now)
            .flag("disabled", is_agreed)
            .words(name)
            .click(move || ask_in(studio, &code))
    };
    let languages = div("sides")
        .at("role", "group")
        .label("Her language")
        .all(texts::languages().into_iter().map(one));
    let uses_own = texts::uses_own(&language);
    let own = texts::own(&language);
    let version = texts::text_in(&language).map_or(0, |t| t.version);
    let now = if uses_own {
        format!("Your own text, version {version}.")
    } else {
        format!("The text that comes with Ophryon, version {version}.")
    };
    let swap = {
        let language = language.clone();
        move || {
            texts::use_ours(&language, uses_own);
            again.set(again.get_untracked() + 1);
            ask_in(studio, &language);
        }
    };
    let copy = {
        let language = language.clone();
        move || {
            let text = texts::own(&language).or_else(|| text_for(&language));
            if let Some(mut text) = text {
                text.version += 1;
                written.set(Some(text));
            }
        }
    };
    let save = {
        let language = language.clone();
        move || {
            if let Some(text) = texts::text_in(&language) {
                let name = format!("text-{language}.json");
                studio.tell(files::save_text(&name, "application/json", &text.to_json()));
            }
        }
    };
    let open = FileButton {
        words: "Open a text",
        of: Drawing::File,
        accept: ".json,application/json",
        id: "open-text".to_owned(),
        camera: false,
        main: false,
    };
    let asked_words = match (is_agreed, asked) {
        (true, _) => "What she agreed to stays word for word. Another text is for the next time she is asked.".to_owned(),
        (false, None) => "She reads this once you hand the tablet over.".to_owned(),
        (false, Some(asked)) => {
            let answered = asked.statements.iter().filter(|s| s.said != Said::Open);
            format!(
                "{} of {} statements answered.",
                answered.count(),
                asked.statements.len()
            )
        }
    };
    crate::parts![
        languages,
        p(now).id("text-now"),
        p(asked_words).class("quiet"),
        div("buttons")
            .put(button("button", "edit-text").words("Edit a copy").click(copy))
            .put(button("button", "save-text").words("Save as a file").click(save))
            .put(open.view(move |file| {
                spawn_local(async move {
                    let read = files::read_text(&file).await.and_then(|json| {
                        let text = Text::from_json(&json);
                        let text = text.map_err(|why| sentence(&why.to_string()))?;
                        take(studio, again, &text)
                    });
                    studio.tell(read);
                });
            })),
        if own.is_some() && !is_agreed {
            let words = if uses_own {
                "Use the text of Ophryon"
            } else {
                "Use your own text"
            };
            button("button", "swap-text").words(words).click(swap).into()
        } else {
            View::new()
        },
        p("Keep to what can be promised: that a patch test went well makes nothing safe, and how long colour stays and when a second visit comes are ranges.")
            .class("quiet"),
    ]
}
