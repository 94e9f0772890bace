//! The keys for the artist's code: large, for gloves; a keyboard types the
//! same. What is typed shows as dots.

use std::rc::Rc;

use sycamore::reactive::{Signal, create_signal};
use wasm_bindgen::JsCast;
use web_sys::KeyboardEvent;

use super::code::DIGITS;
use crate::device::page;
use crate::markup::{El, button, div, el};
use crate::parts::icon::{Drawing, icon};

/// Words on and about the keys; they may follow a language.
#[derive(Clone)]
pub struct PadWords {
    /// What is typed.
    pub label: Rc<dyn Fn() -> String>,
    /// "3 digits typed".
    pub typed: Rc<dyn Fn(usize) -> String>,
    /// "Digit 7".
    pub digit: Rc<dyn Fn(&str) -> String>,
    /// "Erase the last digit".
    pub erase: Rc<dyn Fn() -> String>,
    /// What the large button says.
    pub take: Rc<dyn Fn() -> String>,
}

impl PadWords {
    /// For the artist.
    pub fn artists(label: &'static str, take: &'static str) -> Self {
        Self {
            label: Rc::new(move || label.to_owned()),
            typed: Rc::new(|count| format!("{count} digits typed")),
            digit: Rc::new(|digit| format!("Digit {digit}")),
            erase: Rc::new(|| "Erase the last digit".to_owned()),
            take: Rc::new(move || take.to_owned()),
        }
    }
}

const ERASE: &str = "erase";

/// The class of what shows how much is typed.
const DOTS: &str = "pad-dots";

/// As telephones have them.
const KEYS: [&str; 11] = ["1", "2", "3", "4", "5", "6", "7", "8", "9", ERASE, "0"];

/// Dots, keys and the button that takes what was typed; ids begin with `id`.
/// Nothing can be typed while `is_held`.
pub fn pad(
    id: &'static str,
    words: PadWords,
    is_held: impl Fn() -> bool + Clone + 'static,
    on_take: impl Fn(String) + Clone + 'static,
) -> El {
    let typed = create_signal(String::new());
    let take = {
        let is_held = is_held.clone();
        move || {
            if !is_held() && typed.with_untracked(|t| t.len() >= *DIGITS.start()) {
                // May put the whole part of the page up anew: the last thing done.
                on_take(typed.take());
            }
        }
    };
    let press = {
        let is_held = is_held.clone();
        move |key: &str| {
            if !is_held() {
                pressed(typed, key);
            }
        }
    };
    let by_key = {
        let (press, take) = (press.clone(), take.clone());
        move |event: &KeyboardEvent| {
            let key = event.key();
            match key.as_str() {
                "Backspace" => press(ERASE),
                // On a button, Enter presses that button.
                "Enter" if is_display(event) => take(),
                key if key.len() == 1 && key.as_bytes()[0].is_ascii_digit() => press(key),
                _ => return,
            }
            event.prevent_default();
        }
    };
    let display = {
        let (label, count) = (Rc::clone(&words.label), Rc::clone(&words.typed));
        div(DOTS)
            .id(format!("{id}-dots"))
            .at("tabindex", "0")
            .at("role", "group")
            .label(move || format!("{}: {}", label(), count(typed.with(String::len))))
            .shows(
                move || typed.with(String::len),
                |count| {
                    let dots = (0..*DIGITS.end()).map(|n| {
                        el("span")
                            .class(if n < count { "dot on" } else { "dot" })
                            .into()
                    });
                    sycamore::web::View::from(dots.collect::<Vec<_>>())
                },
            )
            .raw(page::focus)
    };
    let keys = KEYS.map(|key| {
        let (press, is_held) = (press.clone(), is_held.clone());
        let face = if key == ERASE {
            let erase = Rc::clone(&words.erase);
            button("button", format!("{id}-erase"))
                .label(move || erase())
                .put(icon(Drawing::Erase))
        } else {
            let digit = Rc::clone(&words.digit);
            button("button", format!("{id}-{key}"))
                .label(move || digit(key))
                .words(key)
        };
        face.flag("disabled", is_held).click(move || press(key))
    });
    let too_short = move || typed.with(|t| t.len() < *DIGITS.start());
    let said = Rc::clone(&words.take);
    div("code-pad")
        .on::<KeyboardEvent>("keydown", by_key)
        .put(display)
        .put(div("pad-keys").all(keys))
        .put(
            button("button main wide", format!("{id}-take"))
                .flag("disabled", move || too_short() || is_held())
                .says(move || said())
                .click(take),
        )
}

fn is_display(event: &KeyboardEvent) -> bool {
    let target = event.target();
    let target = target.and_then(|t| t.dyn_into::<web_sys::Element>().ok());
    target.is_some_and(|t| t.class_name() == DOTS)
}

fn pressed(typed: Signal<String>, key: &str) {
    let after = after(&typed.get_clone_untracked(), key);
    typed.set(after);
}

/// What is typed after a key.
fn after(before: &str, key: &str) -> String {
    let mut text = before.to_owned();
    if key == ERASE {
        text.pop();
    } else if text.len() < *DIGITS.end() {
        text.push_str(key);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_write_a_code_and_take_it_back() {
        let typed = |keys: &[&str]| keys.iter().fold(String::new(), |t, k| after(&t, k));
        assert_eq!(typed(&["2", "5", "8", "0"]), "2580");
        assert_eq!(typed(&["2", ERASE, ERASE, "1"]), "1");
        assert_eq!(typed(&["7"; 20]).len(), 8);
    }
}
