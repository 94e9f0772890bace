//! Large keys for a number, for gloves; a keyboard types into the same field.

use sycamore::reactive::create_signal;
use sycamore::web::View;
use wasm_bindgen::JsCast;
use web_sys::{Event, HtmlElement, KeyboardEvent};

use super::icon::{Drawing, icon};
use super::number_field::complaint;
use crate::device::page;
use crate::markup::{El, button, div, el, p, value_of};
use crate::number;

/// A question, large keys and the rest: one below the other, and on an upright
/// tablet the keys beside the rest, so that all is in sight.
pub fn keyed(ask: View, keys: View, rest: View) -> View {
    div("keyed")
        .put(div("keyed-ask").put(ask))
        .put(div("keyed-keys").put(keys))
        .put(div("keyed-rest").put(rest))
        .into()
}

/// Most that is typed: "149.25" and a slip.
const LONGEST: usize = 7;

/// What a keypad is for.
pub struct Keypad {
    /// What is typed.
    pub label: &'static str,
    /// Id for tests, of the field.
    pub id: &'static str,
    /// What the large button says.
    pub take: &'static str,
    /// What stands there at first; the first key replaces it.
    pub before: Option<f64>,
}

impl Keypad {
    /// Field, keys and the button that takes the number; a number goes to
    /// `on_take`, anything else is complained about here.
    pub fn view(self, on_take: impl Fn(f64) + Clone + 'static) -> View {
        let Self {
            label,
            id,
            take: take_words,
            before,
        } = self;
        let typed = create_signal(before.map(number::tenths).unwrap_or_default());
        // What stands there was not typed yet.
        let fresh = create_signal(true);
        let wrong = create_signal(None::<String>);
        let take = move || {
            let text = typed.get_clone_untracked();
            match number::parse(&text) {
                Some(mm) => {
                    wrong.set(None);
                    // May put the whole part of the page up anew: the last thing done.
                    on_take(mm);
                }
                None => wrong.set(Some(complaint(&text))),
            }
        };
        let press = move |key: &'static str| {
            wrong.set(None);
            let before = if fresh.replace(false) {
                String::new()
            } else {
                typed.get_clone_untracked()
            };
            typed.set(after(before, key));
        };
        let input = el("input")
            .at("type", "text")
            // The tablet's own keys would cover these.
            .at("inputmode", "none")
            .at("autocomplete", "off")
            .at("enterkeyhint", "done")
            .id(id)
            .label(label)
            .at("aria-invalid", move || {
                wrong.with(Option::is_some).then_some("true")
            })
            .value(move || typed.get_clone())
            .on::<Event>("input", move |e| {
                fresh.set(false);
                wrong.set(None);
                typed.set(value_of(e));
            })
            .on::<KeyboardEvent>("keydown", {
                let take = take.clone();
                move |e| {
                    if e.key() == "Enter" {
                        e.prevent_default();
                        take();
                    }
                }
            })
            .raw(|field| {
                // Once it stands: a keyboard goes on where the hand is.
                page::next_frame(move || {
                    if let Ok(field) = field.dyn_into::<web_sys::HtmlInputElement>() {
                        let _ = HtmlElement::focus(&field);
                        field.select();
                    }
                });
            });
        let keys = KEYS.map(|key| {
            let face: El = match key {
                ERASE => button("button", format!("{id}-erase"))
                    .label("Erase the last sign")
                    .put(icon(Drawing::Erase)),
                "0" => button("button wide-key", format!("{id}-key-0")).words("0"),
                key => button("button", format!("{id}-key-{key}")).words(key),
            };
            face.at("tabindex", "-1").click(move || press(key))
        });
        div("keypad")
            .put(
                div("field")
                    .put(
                        div("reading")
                            .put(input)
                            .put(el("span").decoration().words("mm")),
                    )
                    .shows(
                        move || wrong.get_clone(),
                        |wrong| match wrong {
                            Some(why) => p(why)
                                .class("complaint")
                                .at("role", "alert")
                                .id("keypad-complaint")
                                .into(),
                            None => View::new(),
                        },
                    ),
            )
            .put(
                div("keys").at("role", "group").label("Keys").all(keys).put(
                    button("button main take", format!("{id}-take"))
                        .words(take_words)
                        .click(take),
                ),
            )
            .into()
    }
}

const ERASE: &str = "erase";

/// As telephones have them; in the fourth column one takes the last sign away
/// and one takes the number.
const KEYS: [&str; 12] = ["1", "2", "3", ERASE, "4", "5", "6", "7", "8", "9", ".", "0"];

/// What stands in the field after a key.
fn after(mut text: String, key: &str) -> String {
    match key {
        ERASE => {
            text.pop();
        }
        "." if text.contains(['.', ',']) => {}
        key if text.chars().count() < LONGEST => text.push_str(key),
        _ => {}
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(keys: &[&str]) -> String {
        keys.iter()
            .fold(String::new(), |text, key| after(text, key))
    }

    #[test]
    fn keys_write_a_number_and_take_it_back() {
        assert_eq!(typed(&["5", "2", ".", "5"]), "52.5");
        assert_eq!(typed(&["5", "2", ".", ".", "5"]), "52.5");
        assert_eq!(typed(&["5", ERASE, "4", "9"]), "49");
        assert_eq!(typed(&[ERASE]), "");
        assert_eq!(typed(&["1"; 20]).len(), LONGEST);
    }
}
