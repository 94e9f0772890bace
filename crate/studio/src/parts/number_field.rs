//! A number to type, to step, and to read.

use leptos::ev::KeyboardEvent;
use leptos::prelude::*;

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

/// A field with a minus and a plus button. Takes comma and point; arrow keys
/// step by `step`, with Shift by ten of them.
#[component]
pub fn NumberField(
    /// What it is.
    #[prop(into)]
    label: Signal<String>,
    /// The number as it stands.
    #[prop(into)]
    value: Signal<Option<f64>>,
    /// Told when another number was typed or stepped to.
    on_value: Callback<f64>,
    /// Id for tests.
    #[prop(into)]
    testid: String,
    /// One step.
    #[prop(default = 0.1)]
    step: f64,
    /// What is typed in grey while there is no number.
    #[prop(optional)]
    placeholder: &'static str,
    /// Without the two buttons.
    #[prop(optional)]
    plain: bool,
) -> impl IntoView {
    // What is being typed, until it is a number and was taken.
    let typed = RwSignal::new(None::<String>);
    let wrong = RwSignal::new(None::<String>);
    let shown = move || {
        typed
            .get()
            .unwrap_or_else(|| value.get().map(number::tenths).unwrap_or_default())
    };
    let take = move || {
        let Some(text) = typed.get_untracked() else {
            return;
        };
        match number::parse(&text) {
            Some(read) => {
                typed.set(None);
                wrong.set(None);
                on_value.run(read);
            }
            None if text.trim().is_empty() => {
                typed.set(None);
                wrong.set(None);
            }
            None => wrong.set(Some(complaint(&text))),
        }
    };
    let by = move |steps: f64| {
        take();
        if wrong.get_untracked().is_none() {
            let from = value.get_untracked().unwrap_or(0.0);
            // On the grid of steps, so that 1.97 goes to 2.0 and not to 2.07.
            let to = ((from / step).round() + steps) * step;
            on_value.run(to);
        }
    };
    let key = move |event: KeyboardEvent| {
        let tens = if event.shift_key() { 10.0 } else { 1.0 };
        match event.key().as_str() {
            "Enter" => take(),
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
    };
    let input = view! {
        <input
            type="text"
            inputmode="decimal"
            autocomplete="off"
            enterkeyhint="done"
            placeholder=placeholder
            data-testid=testid.clone()
            aria-label=move || label.get()
            aria-invalid=move || wrong.get().map(|_| "true")
            prop:value=shown
            on:input=move |e| typed.set(Some(event_target_value(&e)))
            on:change=move |_| take()
            on:keydown=key
        />
    };
    let row = if plain {
        input.into_any()
    } else {
        view! {
            <div class="stepper">
                <button
                    type="button"
                    class="button"
                    data-testid=format!("{testid}-less")
                    aria-label=move || format!("{}, less", label.get())
                    on:click=move |_| by(-1.0)
                >
                    "\u{2212}"
                </button>
                {input}
                <button
                    type="button"
                    class="button"
                    data-testid=format!("{testid}-more")
                    aria-label=move || format!("{}, more", label.get())
                    on:click=move |_| by(1.0)
                >
                    "+"
                </button>
            </div>
        }
        .into_any()
    };
    view! {
        <div class="field">
            <span aria-hidden="true">{move || label.get()}</span>
            {row}
            {move || {
                wrong
                    .get()
                    .map(|why| view! { <p class="complaint" role="alert">{why}</p> })
            }}
        </div>
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
