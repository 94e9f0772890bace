//! The whole: the first screen, or stage and panel.

use leptos::ev::KeyboardEvent;
use leptos::prelude::*;

use crate::device::settings::Hand;
use crate::home::Home;
use crate::paper::Table;
use crate::parts::panel::Panel;
use crate::places::Place;
use crate::stage::Stage;
use crate::studio::Studio;

/// The app.
#[component]
pub fn App() -> impl IntoView {
    let studio = Studio::new();
    studio.keep_from_now_on();
    let keys = window_event_listener(leptos::ev::keydown, move |event| history_keys(studio, &event));
    on_cleanup(move || keys.remove());
    let is_open = Memo::new(move |_| studio.work.with(Option::is_some));
    move || {
        if is_open.get() {
            view! { <Desk studio=studio /> }.into_any()
        } else {
            view! { <Home studio=studio /> }.into_any()
        }
    }
}

/// Undo and redo by the keys that every program has for them, except while a
/// text is being typed.
fn history_keys(studio: Studio, event: &KeyboardEvent) {
    use wasm_bindgen::JsCast;
    let typing = event.target().is_some_and(|t| {
        t.dyn_ref::<web_sys::HtmlElement>()
            .is_some_and(|e| matches!(e.tag_name().as_str(), "INPUT" | "TEXTAREA" | "SELECT"))
    });
    if typing || !(event.ctrl_key() || event.meta_key()) || event.alt_key() {
        return;
    }
    match (event.key().to_lowercase().as_str(), event.shift_key()) {
        ("z", false) => studio.undo(),
        ("z", true) | ("y", false) => studio.redo(),
        _ => return,
    }
    event.prevent_default();
}

/// Stage and panel.
#[component]
fn Desk(studio: Studio) -> impl IntoView {
    let class = move || match studio.settings.hand.get() {
        Hand::Right => "studio",
        Hand::Left => "studio left-hand",
    };
    let on_paper = Memo::new(move |_| studio.view.place.get() == Place::Paper);
    view! {
        <main class=class>
            {move || {
                if on_paper.get() {
                    view! { <Table studio=studio /> }.into_any()
                } else {
                    view! { <Stage studio=studio /> }.into_any()
                }
            }}
            <Panel studio=studio />
        </main>
    }
}
