//! Her face, large, and how she looks at it.

use std::rc::Rc;

use sycamore::web::View;
use wasm_bindgen::JsCast;
use web_sys::{Event, HtmlInputElement, KeyboardEvent};

use super::{Client, circles};
use crate::look::{self, BEFORE, Facing, HEALED, IMPRESSION_KEY, LookWords, Near};
use crate::markup::{El, button, div, el};

/// The stages of the slider, by their words in the messages.
const STAGES: [&str; 4] = ["before", "drawn", "fresh", "healed"];

/// Let go so near to a stage, the slider goes there.
const NEAR_A_STAGE: f64 = 0.25;

/// Her face, with what lies over it.
pub fn face(client: Client) -> El {
    let Client {
        studio,
        words,
        page,
        ..
    } = client;
    let look = studio.view.look;
    let seen = move || {
        let stage = words.say(&stage_key(look.stage.get(), "-says"));
        format!("{}. {stage}", words.say("face"))
    };
    let said = LookWords {
        seen: Rc::new(seen),
        coming: Rc::new(move || words.say("opening")),
    };
    div("handed-face")
        .put(look::look_in_words(studio, said))
        .put(circles::layer(client))
        .at("data-page", move || page.get().id())
}

/// Below her face, never on it: which way round, and how near.
pub fn ways_to_look(client: Client) -> El {
    let words = client.words;
    div("handed-ways")
        .put(
            div("handed-facing")
                .at("role", "group")
                .label(move || words.say("facing"))
                .all([
                    facing(client, Facing::Mirror, "facing-mirror"),
                    facing(client, Facing::Others, "facing-others"),
                ]),
        )
        .put(
            div("handed-near")
                .at("role", "group")
                .label(move || words.say("near"))
                .all([
                    near(client, Near::Face, "near-face"),
                    near(client, Near::Brows, "near-brows"),
                ]),
        )
}

fn facing(client: Client, to: Facing, key: &'static str) -> El {
    let (words, facing) = (client.words, client.studio.view.look.facing);
    button("button", key)
        .pressed(move || facing.get() == to)
        .says(move || words.say(key))
        .click(move || facing.set(to))
}

fn near(client: Client, to: Near, key: &'static str) -> El {
    let (words, near) = (client.words, client.studio.view.look.near);
    button("button", key)
        .pressed(move || near.get() == to)
        .says(move || words.say(key))
        .click(move || near.set(to))
}

/// "stage-healed", with what follows.
fn stage_key(stage: f64, ending: &str) -> String {
    // The slider stays between its ends.
    let nearest = stage.round().clamp(BEFORE, HEALED) as usize;
    format!("stage-{}{ending}", STAGES[nearest])
}

/// Looking: the slider, and the shapes to see.
pub fn ask(client: Client) -> View {
    let words = client.words;
    crate::parts![
        client.heading(move || words.say("look-heading")),
        slider(client),
        shapes(client),
        el("p")
            .class("handed-impression")
            .id("impression")
            .says(move || words.say(IMPRESSION_KEY)),
    ]
}

/// From before to healed, with a stop for each stage.
pub fn slider(client: Client) -> El {
    let words = client.words;
    let stage = client.studio.view.look.stage;
    let slid = move |event: &Event, is_let_go: bool| {
        let input = event
            .target()
            .and_then(|t| t.dyn_into::<HtmlInputElement>().ok());
        let Some(at) = input.map(|i| i.value_as_number()).filter(|v| v.is_finite()) else {
            return;
        };
        let nearest = at.round();
        let is_near = (at - nearest).abs() <= NEAR_A_STAGE;
        stage.set(if is_let_go && is_near { nearest } else { at });
    };
    let by_key = move |event: &KeyboardEvent| {
        let now = stage.get_untracked();
        // From stage to stage: what lies between is for the finger.
        let to = match event.key().as_str() {
            "ArrowRight" | "ArrowUp" | "PageUp" => (now + 0.51).round(),
            "ArrowLeft" | "ArrowDown" | "PageDown" => (now - 0.51).round(),
            "Home" => BEFORE,
            "End" => HEALED,
            _ => return,
        };
        event.prevent_default();
        stage.set(to.clamp(BEFORE, HEALED));
    };
    let input = el("input")
        .at("type", "range")
        .at("min", "0")
        .at("max", "3")
        .at("step", "0.01")
        .id("slider")
        .label(move || words.say("look-slide"))
        .at("aria-valuetext", move || {
            words.say(&stage_key(stage.get(), ""))
        })
        .value(move || format!("{:.2}", stage.get()))
        .on::<Event>("input", move |e| slid(e, false))
        .on::<Event>("change", move |e| slid(e, true))
        .on::<KeyboardEvent>("keydown", by_key);
    let stop = |n: usize| {
        let at = n as f64;
        let key = format!("stage-{}", STAGES[n]);
        button("button", key.clone())
            .pressed(move || (stage.get() - at).abs() < 0.05)
            .says(move || words.say(&key))
            .click(move || stage.set(at))
    };
    div("handed-slide")
        .put(input)
        .put(
            div("handed-stops")
                .at("role", "group")
                .label(move || words.say("look-slide"))
                .all((0..STAGES.len()).map(stop)),
        )
        .put(
            el("p")
                .id("stage-says")
                .at("aria-live", "polite")
                .says(move || words.say(&stage_key(stage.get(), "-says"))),
        )
}

/// The shapes to see, where there are several.
pub fn shapes(client: Client) -> View {
    let words = client.words;
    let variant = client.studio.view.look.variant;
    crate::markup::shows(
        move || (client.shapes(), words.language()),
        move |(shapes, _)| {
            if shapes.len() < 2 {
                return View::new();
            }
            let one = |(place, shape): (usize, Option<usize>)| {
                button("button", format!("shape-{}", place + 1))
                    .pressed(move || variant.get() == shape)
                    .words(crate::markup::glance(|| client.shape_name(place)))
                    .click(move || variant.set(shape))
            };
            div("handed-shapes")
                .at("role", "group")
                .label(words.say("shapes"))
                .all(shapes.into_iter().enumerate().map(one))
                .into()
        },
    )
}
