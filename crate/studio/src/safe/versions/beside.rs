//! Two states beside each other: pictures, what differs in words and in
//! millimetres; and going back to one.

use ophryon_frames::Side;
use sycamore::reactive::create_signal;
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use web_sys::Event;

use super::states::{self, State, Which};
use super::{Back, of_state};
use crate::device::store::Cause;
use crate::markup::{El, button, div, el, p, shows, svg, value_of};
use crate::shaping::numbers;
use crate::{parts, pictures_of, words};

/// The right half of the screen.
pub(super) fn beside(back: Back) -> View {
    let [left, right] = back.states;
    let (for_left, for_right) = (back.clone(), back.clone());
    let (for_select, for_words) = (back.clone(), back.clone());
    let is_chosen = {
        let chosen = back.chosen;
        move || chosen.get()
    };
    el("section")
        .class("earlier-beside")
        .label("Two versions beside each other")
        .put(
            div("pair")
                .put(of_state(left, move |state| figure(&for_left, &state, None)))
                .put(of_state(right, move |state| {
                    figure(&for_right, &state, Some(&for_select))
                })),
        )
        .shows(is_chosen, move |chosen| match chosen {
            Which::Now => View::new(),
            Which::Version(_) => go_back(back.clone()),
        })
        .shows(
            move || (left.get_clone(), right.get_clone()),
            move |both| match both {
                (Some(Ok(left)), Some(Ok(right))) => differs(&for_words, &left, &right),
                _ => View::new(),
            },
        )
        .into()
}

/// The brows in a state, under its time; the second one can be chosen.
fn figure(back: &Back, state: &State, choosing: Option<&Back>) -> View {
    let head = match choosing {
        None => el("figcaption").put(el("strong").words(back.name(state.which))),
        Some(back) => el("figcaption").put(chooser(back, state.which)),
    };
    el("figure").put(picture(state)).put(head).into()
}

fn picture(state: &State) -> View {
    let Some((url, [wide, high], [left, top, width, height])) = &state.photo else {
        return div("no-look").put(p("No photo").class("quiet")).into();
    };
    let mut drawing = svg("svg")
        .at("class", "shape-picture drawing")
        .at(
            "viewBox",
            format!("{left:.1} {top:.1} {width:.1} {height:.1}"),
        )
        .at("preserveAspectRatio", "xMidYMid slice")
        .at("role", "img")
        .label("The shape on the client's face")
        .put(
            svg("image")
                .at("href", url.clone())
                .at("width", format!("{wide:.0}"))
                .at("height", format!("{high:.0}")),
        );
    for path in &state.paths {
        let stroke = |class: &'static str| {
            svg("path")
                .at("class", class)
                .at("vector-effect", "non-scaling-stroke")
                .at("d", path.clone())
        };
        let both = svg("g")
            .at("class", "brow")
            .put(stroke("halo"))
            .put(stroke("core"));
        drawing = drawing.put(both);
    }
    drawing.into()
}

/// Which one stands beside.
fn chooser(back: &Back, now: Which) -> El {
    let beside = back.beside;
    let option = |value: String, words: String, is: bool| {
        el("option")
            .at("value", value)
            .flag("selected", is)
            .words(words)
    };
    let mut list = el("select")
        .label("Which version stands beside")
        .id("version-beside")
        .put(option("0".to_owned(), "Now".to_owned(), now == Which::Now));
    let lines = back.lines.get_clone_untracked();
    if let Some(Ok(lines)) = lines {
        for line in lines {
            let number = line.version.number;
            list = list.put(option(
                number.to_string(),
                line.name,
                now == Which::Version(number),
            ));
        }
    }
    div("field").put(list.on::<Event>("change", move |e| {
        beside.set(match value_of(e).parse() {
            Ok(0) | Err(_) => Which::Now,
            Ok(number) => Which::Version(number),
        });
    }))
}

/// Which of two came first.
fn in_order<'a>(a: &'a State, b: &'a State) -> (&'a State, &'a State) {
    match (a.which, b.which) {
        (Which::Version(a_number), Which::Version(b_number)) if a_number > b_number => (b, a),
        (Which::Now, Which::Version(_)) => (b, a),
        _ => (a, b),
    }
}

fn differs(back: &Back, left: &State, right: &State) -> View {
    if left.which == right.which {
        return p("This is the same version twice. Choose another one beside it.")
            .class("quiet")
            .into();
    }
    let (earlier, later) = in_order(left, right);
    let changes = later.record.changes_since(&earlier.record);
    let (from, to) = (back.name(earlier.which), back.name(later.which));
    let title = el("h2").words(format!("From {from} to {}", within(&to)));
    let words: View = if changes.is_empty() {
        p("Nothing differs between them.")
            .class("quiet")
            .id("differs")
            .into()
    } else {
        let lines = changes.iter().map(|c| el("li").words(words::sentence(c)));
        el("ul")
            .class("differs")
            .id("differs")
            .all(lines.collect::<Vec<_>>())
            .into()
    };
    parts![title, words, table(earlier, later, &from, &to)]
}

/// A name within a sentence.
fn within(name: &str) -> &str {
    if name == "Now" { "now" } else { name }
}

/// The numbers of both, where both have a shape and they differ.
fn table(earlier: &State, later: &State, from: &str, to: &str) -> View {
    if earlier.numbers == later.numbers || (earlier.numbers.is_none() && later.numbers.is_none()) {
        return View::new();
    }
    let side = |state: &'_ State, side: Side| state.numbers.as_ref().map(|n| *n.get(side));
    let held = [earlier, later].map(|s| (side(s, Side::Right), side(s, Side::Left)));
    let shapes: Vec<_> = held.iter().map(|(r, l)| (r.as_ref(), l.as_ref())).collect();
    let rows = numbers::rows(&shapes).into_iter().map(|row| {
        let differs = row.cells.first() != row.cells.get(1);
        el("tr")
            .at("class", if differs { "differs" } else { "" })
            .at("data-row", row.id)
            .put(el("th").at("scope", "row").words(row.name))
            .all(row.cells.into_iter().map(|c| el("td").words(c)))
    });
    let head = |words: &str| el("th").at("scope", "col").words(words.to_owned());
    parts![
        el("table")
            .class("numbers")
            .put(el("thead").put(el("tr").put(head("As drawn, mm")).put(head(from)).put(head(to))))
            .put(el("tbody").all(rows.collect::<Vec<_>>())),
        p("On the skin; client's right / left where they differ. What is drawn has no ±: how sure it is on her skin stands on the list of distances.").class("quiet"),
    ]
}

/// One undoable step back to the chosen one.
fn go_back(back: Back) -> View {
    let studio = back.studio;
    let trouble = create_signal(None::<String>);
    let busy = create_signal(false);
    let begin = move || {
        let Which::Version(_) = back.chosen.get_untracked() else {
            return;
        };
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        let back = back.clone();
        spawn_local(async move {
            let outcome = bring_back(&back).await;
            if busy.is_alive() {
                busy.set(false);
                if let Err(why) = outcome {
                    trouble.set(Some(why));
                }
            }
        });
    };
    div("go-back")
        .put(
            button("button main", "go-back")
                .flag("disabled", move || {
                    busy.get() || studio.keeper.seat.get() != crate::keeper::Seat::Here
                })
                .words("Go back to this version")
                .click(begin),
        )
        .put(
            p("Photos, measurements and shapes become those of then. What she agreed to and the log of visits stay. Undo takes it back.")
                .class("quiet"),
        )
        .put(shows(
            move || trouble.get_clone(),
            |trouble| match trouble {
                Some(why) => div("word").at("role", "alert").put(p(why)).into(),
                None => View::new(),
            },
        ))
        .into()
}

async fn bring_back(back: &Back) -> Result<(), String> {
    let studio = back.studio;
    studio.keeper.may_change()?;
    let which = back.chosen.get_untracked();
    let name = back.name(which);
    let record = states::record(studio, which).await?;
    let mut held = Vec::new();
    for needed in pictures_of(&record) {
        if studio.keeper.picture(needed).is_none()
            && let Some(blob) = states::picture(studio, needed).await?
        {
            held.push((needed.to_owned(), blob));
        }
    }
    studio.keep_now().await;
    // What is there now can be gone back to as well, also when undo is gone.
    let files = studio.later.files.get().await?;
    (files.milestone)(studio, Cause::BeforeGoingBack);
    for (name, blob) in held {
        studio.keeper.hold(&name, blob, true);
    }
    let changed = studio.work.update(|work| {
        let history = work.as_mut().map(|work| &mut work.history);
        history.is_some_and(|h| h.bring_back(&record, "go back to an earlier version"))
    });
    studio.keeper.looks_back.set(false);
    studio.said.set(Some(if changed {
        format!("The client is as in the version of {name}. Undo takes that back.")
    } else {
        format!("The client is as in the version of {name} already; nothing was changed.")
    }));
    Ok(())
}
