//! What the artist chooses for this device.

use sycamore::reactive::Signal;

use crate::device::settings::{Hand, Light};
use crate::markup::{El, button, div, el, p};
use crate::studio::Studio;

/// Hand and light, and where everything stays.
pub fn foot(studio: Studio) -> El {
    let (hand, light) = (studio.settings.hand, studio.settings.light);
    el("footer")
        .class("home-foot")
        .put(p("Everything stays on this device unless you save a file. No medical advice: local codes and licensed practice rule."))
        // Somebody else's device: the page to look at a shape and sign it.
        .put(el("a").at("href", "?come").id("sent-to-me").words("A shape was sent to me"))
        .put(
            div("settings")
                .put(setting(
                    "Working hand",
                    hand,
                    [(Hand::Left, "Left", "hand-left"), (Hand::Right, "Right", "hand-right")],
                ))
                .put(setting(
                    "Light",
                    light,
                    [
                        (Light::AsDevice, "As the device", "light-device"),
                        (Light::Day, "Day", "light-day"),
                        (Light::Dim, "Dim room", "light-dark"),
                    ],
                )),
        )
}

fn setting<T: Copy + PartialEq + 'static, const N: usize>(
    name: &'static str,
    signal: Signal<T>,
    choices: [(T, &'static str, &'static str); N],
) -> El {
    let choice = |(to, words, id): (T, &'static str, &'static str)| {
        button("button", id)
            .pressed(move || signal.get() == to)
            .words(words)
            .click(move || signal.set(to))
    };
    div("setting")
        .at("role", "group")
        .label(name)
        .put(el("span").words(name))
        .put(div("sides").all(choices.map(choice)))
}
