//! What the panel asks and offers while the hair is looked at.

use ophryon_brow::HairFit;
use ophryon_frames::Side;
use sycamore::web::View;

use super::{Adds, SIZES, bring, find, is_there, kept, limits, px_per_mm, remove};
use crate::face::question;
use crate::markup::{El, button, div, el, p, shows, svg};
use crate::number::tenths;
use crate::parts;
use crate::parts::icon::{Drawing, icon};
use crate::stage::stroke::Fingers;
use crate::studio::Studio;

/// Question, numbers, brush.
pub fn panel(studio: Studio) -> View {
    let hairing = studio.view.hairing;
    shows(
        move || (hairing.is_busy.get(), is_there(studio)),
        move |(is_busy, is_there)| match (is_busy, is_there) {
            (true, _) => looking(),
            (false, false) => not_yet(studio),
            (false, true) => bring::or_asked(studio, there),
        },
    )
}

fn looking() -> View {
    parts![
        question("Hair", "Looking for the hair.", ""),
        div("busy")
            .at("role", "status")
            .words("Telling hair from skin on both brows."),
    ]
}

fn not_yet(studio: Studio) -> View {
    div("side-by-side")
        .put(
            div("question")
                .put(question(
                    "Hair",
                    "Where does the hair grow?",
                    "It is found in the photo. You correct it with a brush.",
                ))
                .put(
                    button("button main wide", "find-hair")
                        .words("Find the hair")
                        .click(move || find::find(studio)),
                )
                .put(remarks(studio)),
        )
        .put(
            div("question")
                .put(p("Or brush it onto the photo yourself.").class("quiet"))
                .put(brush(studio))
                .put(by_hand(studio)),
        )
        .into()
}

fn there(studio: Studio) -> View {
    div("side-by-side")
        .put(
            div("question")
                .put(question(
                    "Hair",
                    "Does the border follow the hair?",
                    "Where it doesn't, add or remove with the brush.",
                ))
                .put(remarks(studio))
                .put(brush(studio))
                .put(toggles(studio)),
        )
        .put(
            div("question")
                .put(numbers(studio))
                .put(bring::ways(studio))
                .put(limits::held_to_hair(studio))
                .put(
                    div("buttons")
                        .put(
                            button("button", "find-hair-again")
                                .words("Find it again")
                                .click(move || find::find(studio)),
                        )
                        .put(
                            button("button", "remove-hair")
                                .put(icon(Drawing::Erase))
                                .put(el("span").words("Remove the hair"))
                                .click(move || remove(studio)),
                        ),
                )
                .put(by_hand(studio)),
        )
        .into()
}

fn remarks(studio: Studio) -> View {
    let remarks = studio.view.hairing.remarks;
    shows(
        move || remarks.get_clone(),
        |remarks| {
            if remarks.is_empty() {
                return View::new();
            }
            div("word")
                .at("role", "status")
                .id("hair-remarks")
                .all(remarks.into_iter().map(p))
                .into()
        },
    )
}

fn mm2(area: f64) -> String {
    format!("{area:.0} mm²")
}

type Fits = [Option<HairFit>; 2];

fn fits(studio: Studio) -> Fits {
    Side::BOTH.map(|side| {
        let own = !kept(studio, side).is_empty();
        let fit = studio.of_shape(|d| *d.hair_fit.get(side)).flatten();
        fit.filter(|_| own)
    })
}

fn numbers(studio: Studio) -> View {
    shows(
        move || fits(studio),
        |fits| {
            let row = |id: &'static str, name: &'static str, read: fn(&HairFit) -> String| {
                let cell = |fit: &Option<HairFit>| {
                    let text = fit.as_ref().map_or_else(|| "not found".to_owned(), read);
                    el("td").words(text)
                };
                el("tr")
                    .id(id)
                    .put(el("th").at("scope", "row").words(name))
                    .all(fits.iter().map(cell))
            };
            let head = el("tr").put(el("td")).all(
                ["Client’s right", "Client’s left"].map(|s| el("th").at("scope", "col").words(s)),
            );
            let all = [
                row(
                    "hair-all",
                    "All hair",
                    |f| mm2(f.inside_mm2 + f.outside_mm2),
                ),
                row("hair-inside", "Inside", |f| {
                    let share = f.share_inside().unwrap_or_default();
                    format!("{}, {:.0} %", mm2(f.inside_mm2), 100.0 * share)
                }),
                row("hair-outside", "To clean", |f| mm2(f.outside_mm2)),
                row("hair-bare", "To fill", |f| mm2(f.bare_mm2)),
                row("hair-step", "Largest step", |f| {
                    format!("{} mm", tenths(f.largest_step_mm))
                }),
            ];
            div("scroll-across")
                .put(
                    el("table")
                        .class("numbers")
                        .id("hair-numbers")
                        .label("What the outline has of the hair")
                        .put(el("thead").put(head))
                        .put(el("tbody").all(all)),
                )
                .into()
        },
    )
}

/// What is shown on the face.
fn toggles(studio: Studio) -> El {
    let hairing = studio.view.hairing;
    let toggle = |shown: sycamore::reactive::Signal<bool>,
                  id: &'static str,
                  name: &'static str,
                  swatch: &'static str| {
        button("button", id)
            .pressed(move || shown.get())
            .put(el("span").class(swatch).decoration())
            .put(el("span").words(name))
            .click(move || shown.set(!shown.get_untracked()))
    };
    div("buttons")
        .at("role", "group")
        .label("Shown on the face")
        .put(toggle(
            hairing.shows_outside,
            "show-outside",
            "To clean",
            "swatch clean",
        ))
        .put(toggle(
            hairing.shows_bare,
            "show-bare",
            "To fill",
            "swatch fill",
        ))
}

fn brush(studio: Studio) -> El {
    let hairing = studio.view.hairing;
    let adds = |adds: Adds, id: &'static str, name: &'static str| {
        button("button", id)
            .pressed(move || hairing.brush.get() == adds)
            .words(name)
            .click(move || hairing.brush.set(adds))
    };
    let size = |(mm, name): (f64, &'static str)| {
        let radius = move || {
            let k = px_per_mm(studio).unwrap_or_default();
            let true_size = 0.5 * mm * k * studio.view.sight.get().scale;
            format!("{:.1}", true_size.clamp(1.0, 13.0))
        };
        button("button", format!("brush-{}", name.to_ascii_lowercase()))
            .pressed(move || hairing.size_mm.get() == mm)
            .put(
                svg("svg")
                    .at("class", "brush-size")
                    .at("viewBox", "-14 -14 28 28")
                    .decoration()
                    .put(svg("circle").at("r", radius)),
            )
            .label(format!("{name}, {mm} mm"))
            .put(el("span").decoration().words(format!("{mm} mm")))
            .click(move || hairing.size_mm.set(mm))
    };
    div("question")
        .put(
            div("sides")
                .at("role", "group")
                .label("The brush")
                .put(adds(Adds::Hair, "brush-add", "Add hair"))
                .put(adds(Adds::Skin, "brush-remove", "Take hair off")),
        )
        .put(
            div("brush-sizes")
                .at("role", "group")
                .label("How broad it is")
                .all(SIZES.map(size)),
        )
}

/// What moves the photo and what brushes.
fn by_hand(studio: Studio) -> View {
    let hairing = studio.view.hairing;
    shows(
        move || hairing.fingers.get(),
        move |fingers| {
            match fingers {
                Fingers::Draw => p("Two fingers move and enlarge the photo. By keyboard: arrows move the brush, Enter brushes.")
                    .class("quiet")
                    .into(),
                Fingers::Move => parts![
                    p("The pen brushes. Fingers move the photo.").class("quiet"),
                    button("button", "fingers-brush")
                        .words("Brush with a finger too")
                        .click(move || hairing.fingers.set(Fingers::Draw)),
                ],
            }
        },
    )
}
