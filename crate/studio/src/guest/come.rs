//! How a design comes to this device: by the code that the artist reads out,
//! by a file, by a link that is pasted.

use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::spawn_local;
use web_sys::{Event, File, HtmlTextAreaElement};

use super::{Guest, called, heading};
use crate::device::files;
use crate::markup::{El, button, div, el, glance, p, value_of};

/// What the artist's picture to scan holds in front of the code.
const CODE: &str = "code-";

/// The page.
pub fn page(guest: Guest) -> View {
    let words = guest.words;
    let say = move |key: &str| glance(|| words.say(key));
    let scanned = called::fragment();
    let code = create_signal(scanned.strip_prefix(CODE).unwrap_or_default().to_owned());
    crate::parts![
        heading(say("guest-come")),
        p(say("guest-come-how")).class("large"),
        code_field(guest, code),
        guest.said(),
        el("details")
            .class("more")
            .id("guest-other-ways")
            .put(el("summary").words(say("guest-come-otherwise")))
            .put(
                div("inside")
                    .put(chooser(guest, say("guest-come-file")))
                    .put(pasted(guest)),
            ),
    ]
}

fn code_field(guest: Guest, code: Signal<String>) -> El {
    let words = guest.words;
    let go = move || {
        if !guest.busy.get_untracked() {
            spawn_local(guest.come_with(code.get_clone_untracked()));
        }
    };
    div("guest-code")
        .put(
            el("label")
                .class("field")
                .put(el("span").words(glance(|| words.say("guest-code"))))
                .put(
                    el("input")
                        .class("plain-input")
                        .at("type", "text")
                        .at("inputmode", "numeric")
                        .at("autocomplete", "one-time-code")
                        .at("maxlength", "9")
                        .id("guest-code")
                        .value(move || code.get_clone())
                        .on::<Event>("input", move |e| code.set(value_of(e)))
                        .on::<web_sys::KeyboardEvent>("keydown", move |e| {
                            if e.key() == "Enter" {
                                go();
                            }
                        }),
                ),
        )
        .put(
            button("button main", "guest-code-go")
                .flag("disabled", move || guest.busy.get())
                .words(glance(|| words.say("guest-code-go")))
                .click(go),
        )
}

/// Chooses a file that holds a packet.
fn chooser(guest: Guest, label: String) -> El {
    el("label").class("button").words(label).put(
        el("input")
            .class("for-readers")
            .at("type", "file")
            .id("guest-file")
            .on::<Event>("change", move |event| {
                if let Some(file) = files::chosen(event) {
                    spawn_local(opened(guest, file));
                }
            }),
    )
}

async fn opened(guest: Guest, file: File) {
    match packet_of(&file).await {
        Some(text) => guest.read(&text, ""),
        None => guest.tell("guest-not-ours"),
    }
}

/// The text of a file that may be a packet; `None` for a larger one, which is
/// not read at all.
pub async fn packet_of(file: &File) -> Option<String> {
    if file.size() > ophryon_agreement::LONGEST_PACKET as f64 {
        return None;
    }
    files::read_text(file).await.ok()
}

fn pasted(guest: Guest) -> El {
    let words = guest.words;
    let text = create_signal(String::new());
    div("guest-paste")
        .put(
            el("label")
                .class("field")
                .put(el("span").words(glance(|| words.say("guest-paste"))))
                .put(text_area("guest-paste", text)),
        )
        .put(
            button("button", "guest-paste-go")
                .words(glance(|| words.say("guest-paste-go")))
                .click(move || guest.read(&text.get_clone_untracked(), "")),
        )
}

/// Room for a long line.
pub fn text_area(id: &'static str, text: Signal<String>) -> El {
    el("textarea")
        .class("plain-input packet")
        .at("rows", "3")
        .at("autocomplete", "off")
        .at("spellcheck", "false")
        .id(id)
        .value(move || text.get_clone())
        .on::<Event>("input", move |event| {
            let area = event
                .target()
                .and_then(|t| t.dyn_into::<HtmlTextAreaElement>().ok());
            if let Some(area) = area {
                text.set(area.value());
            }
        })
}
