//! What she is looking at: the pair to scale on a plain face, her photo where
//! it was sent along, and how long each brow is.

use sycamore::reactive::create_signal;
use sycamore::web::View;
use web_sys::Event;

use super::face::{Stage, face};
use super::{Guest, Page, heading};
use crate::markup::{El, button, div, el, glance, p, shows, value_of};

/// The page.
pub fn page(guest: Guest) -> View {
    let Some(invitation) = guest.invitation.get_clone_untracked() else {
        return View::new();
    };
    let Ok(drawing) = invitation.shape.drawing() else {
        return View::new();
    };
    let words = guest.words;
    let say = move |key: &str| glance(|| words.say(key));
    let stage = create_signal(Stage::Drawn);
    let stages = [
        (Stage::Drawn, "drawn", "guest-drawn"),
        (Stage::Healed, "healed", "guest-healed"),
    ];
    let stages = stages.map(|(of, id, key)| {
        button("button", format!("guest-{id}"))
            .pressed(move || stage.get() == of)
            .words(say(key))
            .click(move || stage.set(of))
    });
    let lengths = [drawing.drawn.right.length_mm, drawing.drawn.left.length_mm];
    let [right, left] = lengths.map(|mm| glance(|| words.tenths(mm)));
    let percent = format!("{:.0}", 100.0 * drawing.shrink.share);
    let numbers = glance(|| words.say_with("guest-lengths", &[("right", &right), ("left", &left)]));
    let healed = glance(|| words.say_with("guest-heals", &[("percent", &percent)]));
    let whose = glance(|| words.say_with("guest-for", &[("code", &invitation.client)]));
    let shape = invitation.shape.clone();
    crate::parts![
        heading(say("guest-look")),
        p(whose).class("quiet").id("guest-for"),
        shows(
            move || guest.picture.get_clone(),
            move |url| photo(guest, url)
        ),
        div("guest-shape").shows(
            move || stage.get(),
            move |stage| {
                let label = glance(|| words.say("guest-picture"));
                face(&shape, &drawing, stage, label).into()
            },
        ),
        div("sides")
            .at("role", "group")
            .label(say("guest-stages"))
            .all(stages),
        p(say("guest-look-what")).class("large"),
        p(numbers).id("guest-lengths"),
        p(healed),
        p(say("guest-look-colour")).class("quiet"),
        div("guest-answers").put(
            button("button main", "guest-go-sign")
                .words(say("guest-go-sign"))
                .click(move || guest.page.set(Page::Sign)),
        ),
        p(say("guest-not-right")).class("quiet"),
    ]
}

/// Her photo: the upper half of the picture without the pair, the lower half
/// with it; one fades into the other.
fn photo(guest: Guest, url: Option<String>) -> View {
    let Some(url) = url else { return View::new() };
    let words = guest.words;
    let shown = create_signal(100.0_f64);
    let with = url.clone();
    let image =
        move |class: &'static str, url: String| el("img").class(class).at("src", url).at("alt", "");
    let fading: El = div("guest-photo-with")
        .at("style", move || format!("opacity: {}", shown.get() / 100.0))
        .put(image("lower", with));
    div("guest-photo")
        .id("guest-photo")
        .put(
            div("guest-photo-frame")
                .at("role", "img")
                .label(glance(|| words.say("guest-photo")))
                .put(image("upper", url))
                .put(fading),
        )
        .put(
            el("label")
                .class("guest-slider")
                .put(el("span").words(glance(|| words.say("guest-before"))))
                .put(
                    el("input")
                        .at("type", "range")
                        .at("min", "0")
                        .at("max", "100")
                        .id("guest-slider")
                        .label(glance(|| words.say("guest-slider")))
                        .value(move || format!("{:.0}", shown.get()))
                        .on::<Event>("input", move |e| {
                            if let Ok(now) = value_of(e).parse::<u8>() {
                                shown.set(f64::from(now.min(100)));
                            }
                        }),
                )
                .put(el("span").words(glance(|| words.say("guest-drawn")))),
        )
        .put(p(glance(|| words.say("guest-photo-what"))).class("quiet"))
        .into()
}
