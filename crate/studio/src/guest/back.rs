//! How her answer goes back: to the studio's network, where it came from there;
//! as a link, a picture to scan, a file, a line of text.

use sycamore::reactive::create_signal;
use sycamore::web::View;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};

use super::come::text_area;
use super::wire::{self, Said};
use super::{Guest, asking, called, heading, qr, told};
use crate::device::files;
use crate::markup::{El, button, div, el, glance, p, shows};

/// How far sending is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sending {
    NotYet,
    Now,
    There,
}

/// The page.
pub fn page(guest: Guest) -> View {
    let Some(signed) = guest.signed.get_clone_untracked() else {
        return View::new();
    };
    let words = guest.words;
    let say = move |key: &str| glance(|| words.say(key));
    let ticket = guest.ticket.get_clone_untracked();
    let kept = asking::to_fragment(&signed.packet, &ticket, &glance(|| words.language()));
    called::put(&format!("{}{kept}", called::OWN[1]));
    guest.told.set(None);
    let seal = signed.seal.short();
    let is_studio = !ticket.is_empty();
    let others = other_ways(guest, signed.packet.clone());
    crate::parts![
        heading(say("guest-back")),
        p(glance(|| words.say_with("guest-seal", &[("seal", &seal)]))).id("guest-seal"),
        if is_studio {
            crate::parts![
                send(guest, ticket, signed.packet),
                guest.said(),
                el("details")
                    .class("more")
                    .id("guest-back-otherwise")
                    .put(el("summary").words(say("guest-back-otherwise")))
                    .put(div("inside").put(others)),
            ]
        } else {
            crate::parts![p(say("guest-back-how")).class("large"), others]
        },
        p(say("guest-what-travels")).class("quiet"),
        p(say("guest-not-kept")).class("quiet"),
    ]
}

fn send(guest: Guest, ticket: String, packet: String) -> El {
    let words = guest.words;
    let sending = create_signal(Sending::NotYet);
    let go = move || {
        if sending.get_untracked() != Sending::NotYet {
            return;
        }
        sending.set(Sending::Now);
        let (ticket, packet) = (ticket.clone(), packet.clone());
        spawn_local(async move {
            match wire::ask("answer", &ticket, Said::Text(&packet)).await {
                Ok(_) => {
                    guest.told.set(None);
                    sending.set(Sending::There);
                }
                Err(why) => {
                    let why = told(&why);
                    sending.set(if why.key == "guest-twice" {
                        Sending::There
                    } else {
                        Sending::NotYet
                    });
                    guest.told.set(Some(why));
                }
            }
        });
    };
    div("guest-answers").shows(
        move || sending.get(),
        move |now| match now {
            Sending::There => p(glance(|| words.say("guest-sent")))
                .class("word calm large")
                .id("guest-sent")
                .into(),
            _ => {
                let go = go.clone();
                button("button main", "guest-send")
                    .flag("disabled", now == Sending::Now)
                    .words(glance(|| words.say("guest-send")))
                    .click(go)
                    .into()
            }
        },
    )
}

/// The page that this design was opened in, to which a link leads back.
fn here() -> String {
    let here = web_sys::window().and_then(|w| {
        let at = w.location();
        Some(format!("{}{}", at.origin().ok()?, at.pathname().ok()?))
    });
    here.unwrap_or_default()
}

fn other_ways(guest: Guest, packet: String) -> View {
    let words = guest.words;
    let say = move |key: &str| glance(|| words.say(key));
    let line = if called::is_studios() {
        packet.clone()
    } else {
        format!("{}#{packet}", here())
    };
    let shown = create_signal(false);
    let scanned = line.clone();
    crate::parts![
        copied(words_of(guest), line, say("guest-line")),
        div("buttons")
            .put(
                button("button", "guest-scan")
                    .pressed(move || shown.get())
                    .words(say("guest-scan"))
                    .click(move || shown.set(!shown.get_untracked())),
            )
            .put(
                button("button", "guest-save")
                    .words(say("guest-save"))
                    .click(move || {
                        if files::save_text("signed-answer.txt", "text/plain", &packet).is_err() {
                            guest.tell("guest-not-saved");
                        }
                    })
            ),
        shows(
            move || shown.get(),
            move |shown| {
                let picture =
                    shown.then(|| qr::picture(&scanned, glance(|| words.say("guest-scan"))));
                match picture {
                    None => View::new(),
                    Some(Some(picture)) => crate::parts![
                        div("qr-frame").put(picture),
                        // Clients are kept by a page's address: opened from
                        // another one, her file is not there.
                        p(glance(
                            || words.say_with("guest-scan-where", &[("address", &here())])
                        ))
                        .class("quiet")
                        .id("guest-scan-where"),
                    ],
                    Some(None) => p(glance(|| words.say("guest-too-long")))
                        .class("word")
                        .into(),
                }
            },
        ),
    ]
}

/// What a way to copy says.
pub struct Copying {
    /// On the button.
    pub copy: String,
    /// Afterwards.
    pub copied: String,
    /// Where the browser doesn't.
    pub by_hand: String,
}

fn words_of(guest: Guest) -> Copying {
    let words = guest.words;
    let say = move |key: &str| glance(|| words.say(key));
    Copying {
        copy: say("guest-copy"),
        copied: say("guest-copied"),
        by_hand: say("guest-copy-by-hand"),
    }
}

/// A line to copy, by a button and by hand.
pub fn copied(words: Copying, line: String, label: String) -> El {
    let text = create_signal(line.clone());
    let outcome = create_signal(None::<bool>);
    let Copying {
        copy,
        copied,
        by_hand,
    } = words;
    div("copied")
        .put(
            el("label")
                .class("field")
                .put(el("span").words(label))
                .put(text_area("packet-line", text).flag("readonly", true)),
        )
        .put(button("button", "packet-copy").words(copy).click(move || {
            let line = line.clone();
            spawn_local(async move { outcome.set(Some(copy_text(&line).await)) });
        }))
        .put(div("quiet").at("role", "status").shows(
            move || outcome.get(),
            move |outcome| {
                match outcome {
                    None => View::new(),
                    Some(done) => p(if done {
                        copied.clone()
                    } else {
                        by_hand.clone()
                    })
                    .into(),
                }
            },
        ))
}

/// Browsers copy only where they trust the page; elsewhere it is done by hand.
async fn copy_text(text: &str) -> bool {
    let Some(window) = web_sys::window() else {
        return false;
    };
    let navigator = JsValue::from(window.navigator());
    let there = js_sys::Reflect::get(&navigator, &"clipboard".into()).unwrap_or_default();
    if there.is_undefined() {
        return false;
    }
    let clipboard: web_sys::Clipboard = there.unchecked_into();
    JsFuture::from(clipboard.write_text(text)).await.is_ok()
}
