//! How the stencil is put on paper.

use ophryon_stencil::{Facing, Paper, SheetOptions, Sides};
use sycamore::web::View;

use crate::markup::{El, button, div, el, shows, value_of};
use crate::studio::Studio;

/// "A4, both brows, print side up".
pub fn in_short(options: &SheetOptions) -> String {
    let mut all = vec![
        options.paper.name().to_owned(),
        options.sides.name().to_owned(),
    ];
    if options.copies > 1 {
        all.push(format!("{} copies", options.copies));
    }
    if options.facing == Facing::FaceDown {
        all.push("print side on the skin".to_owned());
    }
    all.join(", ")
}

/// A change to the options.
pub fn change(studio: Studio, change: impl FnOnce(&mut SheetOptions)) {
    studio.view.page.set(0);
    studio.view.nearer.set(1.0);
    studio.settings.sheet.update(change);
}

/// All of them.
pub fn options(studio: Studio) -> El {
    div("inside")
        .put(which_paper(studio))
        .put(which_sides(studio))
        .put(which_way(studio))
        .put(copies(studio))
        .put(with_name(studio))
}

/// Two to choose from by a tap; the small ones in a list.
pub fn which_paper(studio: Studio) -> El {
    let sheet = studio.settings.sheet;
    let small = move || Some(sheet.get().paper).filter(|p| p.is_small());
    let choice = |p: Paper| {
        button("button", format!("paper-{}", p.id()))
            .pressed(move || sheet.get().paper == p)
            .words(p.name())
            .click(move || change(studio, |o| o.paper = p))
    };
    let labels = Paper::ALL.into_iter().filter(|p| p.is_small());
    let list = el("select")
        .id("paper-small")
        .label("Smaller paper and labels")
        .put(
            el("option")
                .at("value", "")
                .flag("selected", move || small().is_none())
                .words("Smaller paper, labels"),
        )
        .all(labels.map(|p| {
            el("option")
                .at("value", p.id())
                .flag("selected", move || small() == Some(p))
                .words(format!("{}: {}", p.name(), p.about()))
        }))
        .on::<web_sys::Event>("change", move |e| {
            let paper = Paper::from_id(&value_of(e)).unwrap_or_default();
            change(studio, |o| o.paper = paper);
        });
    div("of-paper")
        .at("role", "group")
        .label("Paper")
        .put(div("sides").all(Paper::LARGE.map(choice)))
        .put(div("field").put(list))
}

fn which_sides(studio: Studio) -> El {
    let sheet = studio.settings.sheet;
    let choice = |sides: Sides, words: &'static str, id: &'static str| {
        button("button", id)
            .pressed(move || sheet.get().sides == sides)
            .words(words)
            .click(move || change(studio, |o| o.sides = sides))
    };
    div("sides three")
        .at("role", "group")
        .label("Which brows")
        .put(choice(Sides::Right, "Client's right", "sides-right"))
        .put(choice(Sides::Both, "Both", "sides-both"))
        .put(choice(Sides::Left, "Client's left", "sides-left"))
}

fn which_way(studio: Studio) -> El {
    let sheet = studio.settings.sheet;
    let choice = |to: Facing, name: &'static str, about: &'static str, id: &'static str| {
        button("choice", id)
            .class(move || {
                if sheet.get().facing == to {
                    "choice chosen"
                } else {
                    "choice"
                }
            })
            .pressed(move || sheet.get().facing == to)
            .put(el("strong").words(name))
            .put(el("small").words(about))
            .click(move || change(studio, |o| o.facing = to))
    };
    div("choices")
        .at("role", "group")
        .label("How the sheet lies on the skin")
        .put(choice(
            Facing::FaceUp,
            "Print side up",
            "To cut out and draw round.",
            "face-up",
        ))
        .put(choice(
            Facing::FaceDown,
            "Print side on the skin",
            "For transfer: the drawing is mirrored, the words stay readable.",
            "face-down",
        ))
}

/// One less, one more; what doesn't fit is refused where it is made.
fn copies(studio: Studio) -> El {
    let sheet = studio.settings.sheet;
    let now = move || sheet.get().copies;
    let by = move |more: bool| {
        change(studio, |o| {
            o.copies = if more {
                o.copies.saturating_add(1)
            } else {
                o.copies.saturating_sub(1).max(1)
            };
        });
    };
    div("field")
        .at("role", "group")
        .label("Copies on a page")
        .put(el("span").decoration().words("Copies on a page"))
        .put(
            div("stepper")
                .put(
                    button("button", "copies-less")
                        .label("One copy less")
                        .flag("disabled", move || now() <= 1)
                        .words("\u{2212}")
                        .click(move || by(false)),
                )
                .put(
                    el("output")
                        .id("copies")
                        .at("aria-live", "polite")
                        .says(move || now().to_string()),
                )
                .put(
                    button("button", "copies-more")
                        .label("One copy more")
                        .flag("disabled", move || now() >= most(studio))
                        .words("+")
                        .click(move || by(true)),
                ),
        )
}

/// The name, where one is kept, is printed only when it is asked for here.
fn with_name(studio: Studio) -> View {
    let sheet = studio.settings.sheet;
    let has_name = move || {
        let record = studio.record();
        record.is_some_and(|r| r.client.name.is_some())
    };
    shows(has_name, move |has_name| {
        if !has_name {
            return View::new();
        }
        button("choice", "with-name")
            .class(move || {
                if sheet.get().with_name {
                    "choice chosen"
                } else {
                    "choice"
                }
            })
            .pressed(move || sheet.get().with_name)
            .put(el("strong").words("Print the client's name"))
            .put(el("small").words("Otherwise only the code is on the sheet."))
            .click(move || change(studio, |o| o.with_name = !o.with_name))
            .into()
    })
}

/// As many as fit, and no fewer than there are: those can always be lessened.
fn most(studio: Studio) -> u32 {
    let options = studio.settings.sheet.get();
    let most = studio.record().and_then(|record| {
        let most = studio.of_shape(|drawn| record.most_copies(drawn, &options))?;
        most.ok()
    });
    most.unwrap_or(1)
}
