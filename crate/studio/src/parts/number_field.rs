//! A number to type, to step, and to read.

use sycamore::reactive::create_signal;
use sycamore::web::View;
use web_sys::{Event, KeyboardEvent};

use crate::markup::{button, div, el, p, value_of};
use crate::number;

/// What is wrong with a typed text.
pub fn complaint(text: &str) -> String {
    let shown: String = text.trim().chars().take(20).collect();
    if shown.is_empty() {
        "Type a number, such as 3.5.".to_owned()
    } else {
        format!("“{shown}” is no number. Type one such as 3.5 or 3,5.")
    }
}

/// What a field is for.
pub struct NumberField {
    /// What it is.
    pub label: &'static str,
    /// Id for tests.
    pub id: String,
    /// One step.
    pub step: f64,
    /// What stands in grey while there is no number.
    pub placeholder: &'static str,
    /// With a minus and a plus button.
    pub buttons: bool,
}

impl NumberField {
    /// A field with buttons and steps of a tenth.
    pub fn new(label: &'static str, id: impl Into<String>) -> Self {
        Self {
            label,
            id: id.into(),
            step: 0.1,
            placeholder: "",
            buttons: true,
        }
    }

    /// The field. Takes comma and point; arrow keys step, with Shift by ten
    /// steps. `value` is what it shows, `on_value` is told of another number.
    pub fn view(
        self,
        value: impl Fn() -> Option<f64> + Clone + 'static,
        on_value: impl Fn(f64) + Clone + 'static,
    ) -> View {
        let Self {
            label,
            id,
            step,
            placeholder,
            buttons,
        } = self;
        // What is being typed, until it is a number and was taken.
        let typed = create_signal(None::<String>);
        let wrong = create_signal(None::<String>);
        let shown = {
            let value = value.clone();
            move || {
                let typed = typed.get_clone();
                typed.unwrap_or_else(|| value().map(number::tenths).unwrap_or_default())
            }
        };
        let take = {
            let on_value = on_value.clone();
            move || -> bool {
                let Some(text) = typed.get_clone_untracked() else {
                    return true;
                };
                let read = number::parse(&text);
                if read.is_none() && !text.trim().is_empty() {
                    wrong.set(Some(complaint(&text)));
                    return false;
                }
                typed.set(None);
                wrong.set(None);
                // May put the whole part of the page up anew: the last thing done.
                if let Some(read) = read {
                    on_value(read);
                }
                true
            }
        };
        let by = {
            let take = take.clone();
            move |steps: f64| {
                if take() {
                    let from = crate::markup::glance(&value).unwrap_or(0.0);
                    // On the grid of steps, so that 1.97 goes to 2.0 and not to 2.07.
                    on_value(((from / step).round() + steps) * step);
                }
            }
        };
        let key = {
            let (take, by) = (take.clone(), by.clone());
            move |event: &KeyboardEvent| {
                let tens = if event.shift_key() { 10.0 } else { 1.0 };
                match event.key().as_str() {
                    "Enter" => {
                        take();
                    }
                    "Escape" => {
                        typed.set(None);
                        wrong.set(None);
                    }
                    "ArrowUp" => {
                        event.prevent_default();
                        by(tens);
                    }
                    "ArrowDown" => {
                        event.prevent_default();
                        by(-tens);
                    }
                    _ => {}
                }
            }
        };
        let input = el("input")
            .at("type", "text")
            .at("inputmode", "decimal")
            .at("autocomplete", "off")
            .at("enterkeyhint", "done")
            .at("placeholder", placeholder)
            .id(id.clone())
            .label(label)
            .at("aria-invalid", move || {
                wrong.with(Option::is_some).then_some("true")
            })
            .value(shown)
            .on::<Event>("input", move |e| {
                typed.set(Some(value_of(e)));
                // Gone while she types: gone under her finger, it would move
                // the button that she is pressing.
                wrong.set(None);
            })
            .on::<Event>("change", move |_| {
                take();
            })
            .on("keydown", key);
        let row = if buttons {
            let button = |sign: &'static str, what: &str, steps: f64| {
                let by = by.clone();
                button("button", format!("{id}-{what}"))
                    .label(format!("{label}, {what}"))
                    .words(sign)
                    .click(move || by(steps))
            };
            div("stepper")
                .put(button("\u{2212}", "less", -1.0))
                .put(input)
                .put(button("+", "more", 1.0))
        } else {
            input
        };
        div("field")
            .put(el("span").decoration().words(label))
            .put(row)
            .shows(
                move || wrong.get_clone(),
                |wrong| match wrong {
                    Some(why) => p(why).class("complaint").at("role", "alert").into(),
                    None => View::new(),
                },
            )
            .into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_complaint_shows_what_was_typed_and_what_to_type() {
        assert_eq!(
            complaint("abc"),
            "“abc” is no number. Type one such as 3.5 or 3,5."
        );
        assert!(!complaint("  ").contains('“'));
    }
}
