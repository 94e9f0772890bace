//! Kept shapes on the face, beside each other or in turn on the same spot,
//! each with its numbers drawn and healed.

use std::time::Duration;

use ophryon_frames::Side;
use ophryon_record::{Image, MOST_VARIANTS, Record, VariantNumbers};
use sycamore::reactive::{ReadSignal, create_effect, on_cleanup};
use sycamore::web::View;

use super::{kept, numbers};
use crate::device::page;
use crate::face::question;
use crate::markup::{El, button, div, el, glance, p, selector, shows, svg};
use crate::parts;
use crate::studio::Studio;
use crate::view::Lay;
use crate::words;

/// Each shape is shown for so long while they take turns.
const TURN: Duration = Duration::from_millis(1200);

/// How much of the region where brows may lie is shown, as a share of its width.
const SHOWN: f64 = 0.86;

/// How tall a picture is, as a share of its width: the brows and the eyes.
const TALL: f64 = 0.42;

type All = Result<Vec<VariantNumbers>, String>;

fn all(studio: Studio) -> ReadSignal<All> {
    selector(Box::new(move || match studio.record() {
        Some(record) => record.compare().map_err(|why| words::study(&why)),
        None => Ok(Vec::new()),
    }))
}

/// The photo the shapes lie on.
#[derive(Debug, Clone, PartialEq)]
struct Under {
    url: String,
    width: f64,
    height: f64,
    /// Left, top, width and height of what is shown, px.
    shown: [f64; 4],
}

fn under(studio: Studio) -> Option<Under> {
    let record = studio.record()?;
    let photo = record.design_photo()?;
    let Image::File { name } = &photo.image else {
        return None;
    };
    let url = studio.keeper.urls.with(|urls| urls.get(name).cloned())?;
    let (width, height) = (f64::from(photo.width_px), f64::from(photo.height_px));
    let whole = [0.0, 0.0, width, height];
    let shown = around_brows(&record).unwrap_or(whole);
    Some(Under {
        url,
        width,
        height,
        shown,
    })
}

/// A band of the photo with both brows and the eyes.
pub fn around_brows(record: &Record) -> Option<[f64; 4]> {
    let photo = record.design_photo()?;
    let scale = photo.first_reference()?.scale(&photo.landmarks).ok()?;
    let region = photo.landmarks.brow_region(Some(scale.mm_per_px()))?;
    let wide = 2.0 * region.radius_px * SHOWN;
    let tall = TALL * wide;
    // The eyes belong to it, and room for a peak that is raised.
    let top = region.centre.y - 0.52 * tall;
    Some([region.centre.x - 0.5 * wide, top, wide, tall])
}

/// The stage.
pub fn table(studio: Studio) -> View {
    let all = all(studio);
    take_turns(studio, all);
    let beside = studio.view.beside;
    let what = move || {
        let lay = beside.compared.get().unwrap_or(Lay::SideBySide);
        (lay, all.get_clone(), under(studio))
    };
    el("section")
        .class("stage shapes")
        .label("Kept shapes")
        .id("shapes")
        .shows(what, move |(lay, all, under)| match (all, lay) {
            (Err(why), _) => div("word").put(p(why)).into(),
            (Ok(all), Lay::SideBySide) => {
                let cards = all
                    .iter()
                    .map(|one| card(studio, one, under.as_ref()).into());
                div("shape-cards")
                    .put(View::from(cards.collect::<Vec<_>>()))
                    .into()
            }
            (Ok(all), Lay::InTurn) => in_turn(studio, all, under),
        })
        .into()
}

/// While they take turns the next comes by itself, unless the system asks for
/// stillness.
fn take_turns(studio: Studio, all: ReadSignal<All>) {
    let beside = studio.view.beside;
    let alive = std::rc::Rc::new(std::cell::Cell::new(true));
    {
        let alive = alive.clone();
        on_cleanup(move || alive.set(false));
    }
    let turns = selector(Box::new(move || {
        beside.compared.get() == Some(Lay::InTurn) && !page::wants_stillness()
    }));
    create_effect(move || {
        if turns.get() {
            tick(studio, all, alive.clone());
        }
    });
}

fn tick(studio: Studio, all: ReadSignal<All>, alive: std::rc::Rc<std::cell::Cell<bool>>) {
    page::later(TURN, move || {
        let beside = studio.view.beside;
        if !alive.get() || beside.compared.get_untracked() != Some(Lay::InTurn) {
            return;
        }
        next(studio, all);
        tick(studio, all, alive);
    });
}

fn next(studio: Studio, all: ReadSignal<All>) {
    let count = all.with_untracked(|all| all.as_ref().map_or(0, Vec::len));
    let turn = studio.view.beside.turn;
    turn.set((turn.get_untracked() + 1) % count.max(1));
}

fn in_turn(studio: Studio, all: Vec<VariantNumbers>, under: Option<Under>) -> View {
    let turn = studio.view.beside.turn;
    let count = all.len().max(1);
    let shown = move || turn.get() % count;
    div("shape-in-turn")
        .shows(shown, move |turn| match all.get(turn) {
            Some(one) => card(studio, one, under.as_ref()).into(),
            None => View::new(),
        })
        .click(move || turn.set((turn.get_untracked() + 1) % count))
        .into()
}

/// One shape: its picture, its name, its numbers.
fn card(studio: Studio, one: &VariantNumbers, under: Option<&Under>) -> El {
    let id = one.index.map_or("now".to_owned(), |i| i.to_string());
    let index = one.index;
    let is_present = one.present;
    let is_full = glance(|| studio.record()).is_some_and(|r| r.variants.len() >= MOST_VARIANTS);
    let name = div("shape-name")
        .put(el("strong").words(one.name.clone()))
        .put(match (is_present, index) {
            (true, None) if is_full => el("span").class("quiet").words("four are kept"),
            (true, None) => button("button", "keep-now")
                .words("Keep it")
                .on::<web_sys::Event>("click", move |e| {
                    e.stop_propagation();
                    kept::keep(studio);
                }),
            (true, Some(_)) => el("span").class("quiet").words("drawn now"),
            (false, index) => button("button", format!("take-{id}"))
                .words("Go on with it")
                .on::<web_sys::Event>("click", move |e| {
                    e.stop_propagation();
                    if let Some(index) = index {
                        kept::go_on_with(studio, index);
                    }
                }),
        });
    let note = [one.style.clone().unwrap_or_default(), one.note.clone()];
    let note: Vec<String> = note.into_iter().filter(|t| !t.is_empty()).collect();
    let card = div(if is_present {
        "shape-card present"
    } else {
        "shape-card"
    })
    .id(format!("shape-{id}"))
    .put(under.map_or_else(View::new, |under| picture(under, one).into()))
    .put(name);
    let card = if note.is_empty() {
        card
    } else {
        card.put(p(note.join(". ")).class("quiet"))
    };
    match (&one.sides, &one.problem) {
        (Some(_), _) => card.put(figures(one)).put(off(one)),
        (None, why) => card.put(p(why.as_deref().map(words::sentence).unwrap_or_default())),
    }
}

/// The brows of the photo with the outlines over them: drawn, and thinner the
/// healed ones.
fn picture(under: &Under, one: &VariantNumbers) -> El {
    let [left, top, width, height] = under.shown;
    let mut drawing = svg("svg")
        .at("class", "shape-picture drawing")
        .at(
            "viewBox",
            format!("{left:.1} {top:.1} {width:.1} {height:.1}"),
        )
        .at("preserveAspectRatio", "xMidYMid slice")
        .at("role", "img")
        .label(format!("{} on the client's face", one.name))
        .put(
            svg("image")
                .at("href", under.url.clone())
                .at("width", format!("{:.0}", under.width))
                .at("height", format!("{:.0}", under.height)),
        );
    let Some(sides) = &one.sides else {
        return drawing;
    };
    for (_, side) in sides.iter() {
        for (class, path) in [("brow", &side.path), ("healed", &side.healed_path)] {
            let stroke = |class: &'static str| {
                svg("path")
                    .at("class", class)
                    .at("vector-effect", "non-scaling-stroke")
                    .at("d", path.clone())
            };
            drawing = drawing.put(
                svg("g")
                    .at("class", class)
                    .put(stroke("halo"))
                    .put(stroke("core")),
            );
        }
    }
    drawing
}

/// Its numbers, drawn and healed.
fn figures(one: &VariantNumbers) -> View {
    let Some(sides) = &one.sides else {
        return View::new();
    };
    let drawn = |side| Some(&sides.get(side).drawn);
    let healed = |side: Side| sides.get(side).healed.as_ref();
    let shapes = [
        (drawn(Side::Right), drawn(Side::Left)),
        (healed(Side::Right), healed(Side::Left)),
    ];
    let head = |words: &'static str| el("th").at("scope", "col").words(words);
    let rows = numbers::rows(&shapes).into_iter().map(|row| {
        el("tr")
            .at("data-row", row.id)
            .put(el("th").at("scope", "row").words(row.name))
            .all(row.cells.into_iter().map(|c| el("td").words(c)))
            .into()
    });
    el("table")
        .class("numbers")
        .put(el("thead").put(el("tr").put(el("td")).all(["Drawn", "Healed"].map(head))))
        .put(el("tbody").put(View::from(rows.collect::<Vec<_>>())))
        .into()
}

/// What fails, and what healing leaves.
fn off(one: &VariantNumbers) -> View {
    let Some(sides) = &one.sides else {
        return View::new();
    };
    let mut said: Vec<String> = Vec::new();
    for (_, side) in sides.iter() {
        for why in side.failing.iter().chain(&side.not_healed) {
            let why = words::sentence(why);
            if !said.contains(&why) {
                said.push(why);
            }
        }
    }
    let lines = said.into_iter().map(|s| p(s).class("off-line").into());
    View::from(lines.collect::<Vec<_>>())
}

/// The panel while shapes are compared.
pub fn panel(studio: Studio) -> View {
    let all = all(studio);
    let compared = studio.view.beside.compared;
    let how = |id: &'static str, words: &'static str, lay: Lay| {
        button("button", id)
            .pressed(move || compared.get() == Some(lay))
            .words(words)
            .click(move || compared.set(Some(lay)))
    };
    let in_turn = move || compared.get() == Some(Lay::InTurn);
    parts![
        question(
            "Shape",
            "Which one is it to be?",
            "The numbers are millimetres on the skin, drawn and healed.",
        ),
        div("sides")
            .at("role", "group")
            .label("How they are laid out")
            .put(how("side-by-side", "Side by side", Lay::SideBySide))
            .put(how("in-turn", "In turn", Lay::InTurn)),
        shows(in_turn, move |in_turn| if in_turn {
            button("button wide", "next-shape")
                .words("Next shape")
                .click(move || next(studio, all))
                .into()
        } else {
            View::new()
        }),
        kept::list(studio),
        button("button main wide", "compared")
            .words("Back to the shape")
            .click(move || compared.set(None)),
    ]
}
