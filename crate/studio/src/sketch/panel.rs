//! What the panel asks and offers while the brow is sketched.

use std::rc::Rc;

use ophryon_record::{Broken, SketchedShape};
use sycamore::web::View;

use super::{Found, Way, make_shape, take};
use crate::face::question;
use crate::markup::{El, button, div, el, p, shows};
use crate::parts;
use crate::parts::icon::{Drawing, icon};
use crate::parts::line::{Stands, line};
use crate::stage::stroke::Fingers;
use crate::studio::Studio;
use crate::view::Hand;
use crate::words;

/// What stands in the panel.
#[derive(Debug, Clone, PartialEq)]
enum Panel {
    Nothing,
    Strokes,
    Found(Rc<Found>),
}

/// Question, answers and ways of drawing.
pub fn panel(studio: Studio) -> View {
    let sketch = studio.view.sketch;
    let stands = move || match sketch.found.get_clone() {
        Some(found) => Panel::Found(found),
        None if sketch.has_last() => Panel::Strokes,
        None => Panel::Nothing,
    };
    div("side-by-side")
        .put(div("question").shows(stands, move |stands| match stands {
            Panel::Nothing => nothing_yet(studio),
            Panel::Strokes => strokes(studio),
            Panel::Found(found) => found_shape(studio, &found),
        }))
        .shows(
            move || sketch.found.with(Option::is_some),
            move |is_found| match is_found {
                true => View::new(),
                false => ways(studio).into(),
            },
        )
        .into()
}

fn nothing_yet(studio: Studio) -> View {
    let sketch = studio.view.sketch;
    parts![
        question(
            "Sketch",
            "Draw the brow on the photo.",
            "Upper and lower edge, in any order, over again as often as you like. What you leave out stays as it is.",
        ),
        shows(
            move || sketch.put_away.with(|s| !s.is_empty()),
            move |is_there| if is_there {
                button("button wide", "bring-strokes-back")
                    .put(icon(Drawing::Undo))
                    .put(el("span").words("Bring the strokes back"))
                    .click(move || sketch.bring_back())
                    .into()
            } else {
                View::new()
            }
        ),
    ]
}

fn strokes(studio: Studio) -> View {
    let sketch = studio.view.sketch;
    let what = move || {
        let done = sketch.strokes.with(Vec::len);
        let strokes = match done + usize::from(sketch.under_way.with(|s| !s.is_empty())) {
            1 => "One stroke".to_owned(),
            n => format!("{n} strokes"),
        };
        let sides = sides(studio);
        format!("{strokes} {sides}.")
    };
    parts![
        div("question")
            .at("aria-live", "polite")
            .put(p("Sketch").class("step"))
            .put(el("h2").id("question").says(what)),
        button("button main wide", "make-shape")
            .words("Make it the shape")
            .click(move || make_shape(studio)),
        take_back(studio),
    ]
}

/// Whose brow the strokes lie on.
fn sides(studio: Studio) -> String {
    let sketch = studio.view.sketch;
    let mut all = sketch.strokes.get_clone();
    all.push(sketch.under_way.get_clone());
    all.retain(|s| !s.is_empty());
    let of = |drawn: &ophryon_record::Drawn| {
        if all.iter().any(|s| drawn.is_over_both(s)) {
            return "over both brows".to_owned();
        }
        let mut sides: Vec<_> = all.iter().map(|s| drawn.side_of_stroke(s)).collect();
        sides.dedup();
        match sides[..] {
            [side] => format!("on {}", words::side_of(side)),
            _ => "on both sides".to_owned(),
        }
    };
    studio.of_shape(of).unwrap_or_default()
}

/// The last one back, or all of them away.
fn take_back(studio: Studio) -> El {
    let sketch = studio.view.sketch;
    div("buttons")
        .put(
            button("button", "stroke-back")
                .put(icon(Drawing::Undo))
                .put(el("span").says(move || format!("Take back the {}", sketch.last_words())))
                .click(move || sketch.take_back()),
        )
        .put(
            button("button", "strokes-away")
                .put(icon(Drawing::Erase))
                .put(el("span").words("Clear all"))
                .click(move || sketch.put_all_away()),
        )
}

fn found_shape(studio: Studio, found: &Found) -> View {
    let sketch = studio.view.sketch;
    let several = found.over.shapes.len() > 1;
    let said = found
        .over
        .shapes
        .iter()
        .flat_map(|shape| sentences(shape, several));
    let linked = found.over.is_for_both && !several;
    let together = linked.then(|| {
        p("You drew on both sides. The brows are linked, so one shape follows both.").class("quiet")
    });
    let parted = found.over.has_one_over_both.then(|| {
        p("A stroke runs over both brows; what it drew between their fronts is left out.")
            .class("quiet")
    });
    let is_whole = found.broken.is_empty();
    let broken = (!is_whole).then(|| breaks(&found.broken));
    let take_it = if is_whole {
        "Take it"
    } else {
        "Take it all the same"
    };
    parts![
        question(
            "Sketch",
            "Is this the shape you meant?",
            "The new outline lies over your strokes; the dotted one is the shape as it is now.",
        ),
        div("word calm").id("sketch-found").all(said),
        div("").all(together).all(parted),
        div("").all(broken),
        button("button main wide", "sketch-take")
            .words(take_it)
            .click(move || take(studio)),
        div("buttons")
            .put(
                button("button", "sketch-on")
                    .words("Draw on")
                    .click(move || sketch.found.set(None))
            )
            .put(
                button("button", "sketch-again")
                    .words("Draw again")
                    .click(move || sketch.put_all_away())
            )
            .put(
                button("button", "sketch-leave")
                    .words("Leave it as it was")
                    .click(move || {
                        sketch.put_all_away();
                        studio.view.take_up(Hand::Points);
                    })
            ),
    ]
}

/// What taking it would break, before it is taken.
fn breaks(broken: &[Broken]) -> El {
    let lines = broken
        .iter()
        .map(|one| line(Stands::Off, "off", words::sentence(&one.words())));
    div("")
        .put(p("It breaks what holds now:"))
        .put(el("ul").class("says").id("sketch-breaks").all(lines))
}

fn sentences(shape: &SketchedShape, with_side: bool) -> Vec<El> {
    let first = shape.sketched.sentence();
    let first = if with_side {
        format!("{}: {first}", words::side_title(shape.side))
    } else {
        first
    };
    let rest = shape.sketched.remarks();
    let rest = rest.into_iter().map(|r| p(r).class("quiet"));
    std::iter::once(p(first)).chain(rest).collect()
}

/// By drawing or by tapping, and what fingers do beside a pen.
fn ways(studio: Studio) -> El {
    let sketch = studio.view.sketch;
    let way = move |way: Way, id: &'static str, name: &'static str| {
        button("button", id)
            .pressed(move || sketch.way.get() == way)
            .words(name)
            .click(move || {
                sketch.end_stroke();
                studio.view.aim.set(None);
                sketch.way.set(way);
            })
    };
    div("question")
        .put(
            div("sides")
                .at("role", "group")
                .label("How lines are made")
                .put(way(Way::Drawn, "by-drawing", "Draw"))
                .put(way(Way::Tapped, "by-tapping", "Tap points")),
        )
        .shows(
            move || (sketch.way.get(), sketch.fingers.get()),
            move |(way, fingers)| match (way, fingers) {
                (Way::Tapped, _) => by_tapping(studio),
                (Way::Drawn, Fingers::Draw) => {
                    quiet("With finger, pen or mouse. Two fingers move and enlarge the photo.")
                        .into()
                }
                (Way::Drawn, Fingers::Move) => parts![
                    quiet("The pen draws. Fingers move the photo, so your hand may rest on it."),
                    button("button", "fingers-draw")
                        .words("Draw with a finger too")
                        .click(move || sketch.fingers.set(Fingers::Draw)),
                ],
            },
        )
        .put(quiet(
            "Without a pointer: tap points by the arrow keys and Enter, or move the brow’s own points.",
        ))
        .put(
            button("button", "to-points")
                .words("Go to the points")
                .click(move || studio.view.take_up(Hand::Points)),
        )
}

fn by_tapping(studio: Studio) -> View {
    let sketch = studio.view.sketch;
    parts![
        quiet(
            "Tap along an edge, one place after another; hold and move for the magnifier. Arrow keys and Enter do the same.",
        ),
        button("button", "end-line")
            .words("End this line")
            .flag("disabled", move || sketch.under_way.with(Vec::is_empty))
            .click(move || sketch.end_stroke()),
    ]
}

fn quiet(words: &'static str) -> El {
    p(words).class("quiet")
}
