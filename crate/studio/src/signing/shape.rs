//! The shape once more: its picture, and its numbers in plain words.

use ophryon_brow::ShrinkBy;
use ophryon_frames::Sided;
use ophryon_record::AgreedDrawing;
use sycamore::web::View;

use super::Desk;
use crate::handed::words::Words;
use crate::markup::{button, div, el, glance, p};

/// The page.
pub fn shape(desk: &Desk) -> View {
    let words = desk.words;
    let say = |say: fn(Words) -> String| glance(|| say(words));
    let numbers = glance(|| desk.asking.drawing().map(|d| in_words(&d, words)));
    let numbers = numbers.unwrap_or_default().into_iter();
    let on = desk.clone();
    crate::parts![
        desk.heading(say(|w| w.say("sign-shape"))),
        div("signing-picture").put(desk.asking.picture()),
        el("ul")
            .class("shape-numbers large")
            .id("shape-numbers")
            .all(numbers.map(|line| el("li").words(line))),
        p(say(|w| w.say(crate::look::IMPRESSION_KEY))),
        div("signing-answers").put(
            button("button main", "shape-on")
                .words(say(|w| w.say("sign-shape-on")))
                .click(move || on.next()),
        ),
    ]
}

/// Length, thickness and what stays, once where both sides read alike.
pub fn in_words(drawing: &AgreedDrawing, words: Words) -> Vec<String> {
    let both = |read: fn(&ophryon_record::StageNumbers) -> f64| {
        Sided::from_fn(|side| words.tenths(read(drawing.drawn.get(side))))
    };
    let length = both(|n| n.length_mm);
    let body = both(|n| n.thickness_body_mm);
    let peak = both(|n| n.thickness_peak_mm);
    let values = |of: &Sided<String>| [("right", of.right.clone()), ("left", of.left.clone())];
    fn filled<'a>(values: &'a [(&'static str, String); 2]) -> [(&'static str, &'a str); 2] {
        [(values[0].0, &values[0].1), (values[1].0, &values[1].1)]
    }
    let (length_v, body_v, peak_v) = (values(&length), values(&body), values(&peak));
    let alike = |of: &Sided<String>| of.right == of.left;
    let percent = format!("{:.0}", 100.0 * drawing.shrink.share);
    let line = |is_alike: bool,
                one: fn(Words, &[(&str, &str)]) -> String,
                two: fn(Words, &[(&str, &str)]) -> String,
                values: &[(&'static str, String); 2]| {
        let values = filled(values);
        if is_alike {
            one(words, &values)
        } else {
            two(words, &values)
        }
    };
    vec![
        line(
            alike(&length),
            |w, v| w.say_with("shape-length", v),
            |w, v| w.say_with("shape-length-each", v),
            &length_v,
        ),
        line(
            alike(&body),
            |w, v| w.say_with("shape-body", v),
            |w, v| w.say_with("shape-body-each", v),
            &body_v,
        ),
        line(
            alike(&peak),
            |w, v| w.say_with("shape-peak", v),
            |w, v| w.say_with("shape-peak-each", v),
            &peak_v,
        ),
        match drawing.shrink.by {
            ShrinkBy::Area => words.say_with("shape-healed", &[("percent", &percent)]),
            ShrinkBy::Thickness => words.say_with("shape-healed-thinner", &[("percent", &percent)]),
        },
    ]
}
