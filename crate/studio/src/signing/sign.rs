//! Her signature: by finger, or her name where drawing is no way for her.

use ophryon_agreement::{Signature, SignatureError};
use sycamore::reactive::{Signal, create_effect, create_signal};
use sycamore::web::View;

use super::Desk;
use super::field::{Strokes, field};
use super::steps::first_lacking;
use crate::handed::words::Words;
use crate::markup::{El, button, div, el, glance, p, selector, shows, value_of};

/// What keeps her from signing, as it is said to her.
#[derive(Debug, Clone, PartialEq)]
enum Hindrance {
    Signature(SignatureError),
    Other(String),
}

/// The page.
pub fn sign(desk: &Desk) -> View {
    let asking = desk.asking.clone();
    let lacking = selector(Box::new(move || {
        asking.asked().and_then(|a| first_lacking(&a))
    }));
    let inner = desk.clone();
    shows(
        move || lacking.get(),
        move |lacking| match lacking {
            Some(page) => not_yet(&inner, page),
            None => ready(&inner),
        },
    )
}

/// Something lacks its yes.
fn not_yet(desk: &Desk, page: usize) -> View {
    let words = desk.words;
    let asked = glance(|| desk.asking.asked());
    let open = asked.into_iter().flat_map(|a| {
        let all = a.statements.into_iter();
        all.filter(|s| {
            use ophryon_agreement::{Kind, Said};
            s.said == Said::Open || (s.kind == Kind::Needed && s.said == Said::No)
        })
    });
    let back = desk.clone();
    crate::parts![
        desk.heading(glance(|| words.say("sign-not-yet"))),
        p(glance(|| words.say("sign-not-yet-why"))).class("large"),
        el("ul").class("told-list").id("still-open").all(
            open.map(|s| el("li").put(el("span").words(s.words)))
                .collect::<Vec<_>>()
        ),
        div("signing-answers").put(
            button("button main", "sign-to-open")
                .words(glance(|| words.say("sign-to-open")))
                .click(move || back.go(page)),
        ),
    ]
}

fn ready(desk: &Desk) -> View {
    let words = desk.words;
    let strokes = Strokes::new();
    let types = create_signal(false);
    let name = create_signal(String::new());
    let hindrance = create_signal(None::<Hindrance>);
    // What was said of the last try is past with the next stroke or letter.
    create_effect(move || {
        strokes.all.track();
        name.track();
        hindrance.set(None);
    });
    let agree = {
        let desk = desk.clone();
        move || {
            let signature = if types.get_untracked() {
                Signature::Typed {
                    name: name.get_clone_untracked().trim().to_owned(),
                }
            } else {
                Signature::of_touches(&strokes.all.get_clone_untracked())
            };
            let outcome = match signature.check() {
                Err(why) => Err(Hindrance::Signature(why)),
                Ok(()) => desk.asking.sign(signature).map_err(Hindrance::Other),
            };
            if let Err(why) = outcome {
                hindrance.set(Some(why));
            }
        }
    };
    crate::parts![
        desk.heading(glance(|| words.say("sign-heading"))),
        p(glance(|| words.say("sign-what"))).class("large"),
        shows(
            move || types.get(),
            move |is_typed| {
                hindrance.set(None);
                if is_typed {
                    typed(words, name).into()
                } else {
                    drawn(words, strokes).into()
                }
            },
        ),
        div("signing-hindrance").at("aria-live", "polite").shows(
            move || hindrance.get_clone(),
            move |why| match why {
                None => View::new(),
                Some(why) => div("word")
                    .id("sign-hindrance")
                    .put(p(glance(|| said(words, &why))))
                    .into(),
            },
        ),
        div("signing-answers").put(
            button("button main", "sign-agree")
                .words(glance(|| words.say("sign-and-agree")))
                .click(agree),
        ),
        button("button bare", "sign-other-way")
            .says(move || {
                if types.get() {
                    words.say("sign-by-finger")
                } else {
                    words.say("sign-by-name")
                }
            })
            .click(move || types.set(!types.get_untracked())),
    ]
}

fn said(words: Words, why: &Hindrance) -> String {
    match why {
        Hindrance::Signature(SignatureError::Empty) => words.say("sign-empty"),
        Hindrance::Signature(SignatureError::NoName) => words.say("sign-no-name"),
        Hindrance::Signature(SignatureError::TooMuch) => words.say("sign-too-much"),
        Hindrance::Signature(_) => words.say("sign-not-drawn"),
        Hindrance::Other(why) => format!("{} ({why})", words.say("sign-failed")),
    }
}

fn drawn(words: Words, strokes: Strokes) -> El {
    div("signature-frame")
        .put(field(strokes, glance(|| words.say("sign-field"))))
        .put(
            button("button", "signature-clear")
                .flag("disabled", move || strokes.all.with(Vec::is_empty))
                .words(glance(|| words.say("sign-clear")))
                .click(move || strokes.clear()),
        )
}

fn typed(words: Words, name: Signal<String>) -> El {
    el("label")
        .class("field signature-name")
        .put(el("span").words(glance(|| words.say("sign-name"))))
        .put(
            el("input")
                .class("plain-input")
                .at("type", "text")
                .at("autocomplete", "off")
                .at("maxlength", "100")
                .id("signature-name")
                .value(move || name.get_clone())
                .on::<web_sys::Event>("input", move |e| name.set(value_of(e))),
        )
        .put(p(glance(|| words.say("sign-name-means"))))
        .put(
            el("p")
                .class("large")
                .id("sign-as")
                .at("aria-live", "polite")
                .says(move || as_she_signs(words, &name.get_clone())),
        )
}

/// Her name once more, as it will stand under the agreement.
fn as_she_signs(words: Words, name: &str) -> String {
    let name = name.trim().to_owned();
    match (Signature::Typed { name: name.clone() }).check() {
        Ok(()) => words.say_with("sign-as", &[("name", &name)]),
        Err(_) => String::new(),
    }
}
