//! The panel beside the sheets: print them, and what is rarely needed folded
//! away.

use ophryon_record::PaperError;
use ophryon_stencil::{Paper, SheetOptions, Sides};
use sycamore::reactive::{ReadSignal, Signal, create_memo, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use super::made::{self, Made};
use super::shelf::shelf;
use super::{files_out, options, ruler};
use crate::face::question;
use crate::markup::{El, button, div, el, glance, p, selector, shows};
use crate::parts;
use crate::parts::icon::{Drawing, icon};
use crate::parts::line::{Stands, line};
use crate::places::Place;
use crate::shape::{not_yet, says, section, tape};
use crate::stage::bring::FileButton;
use crate::studio::Studio;
use crate::view::OnTable;
use crate::words;

/// The panel.
pub fn sheets(studio: Studio) -> View {
    // Told of every change of the shape; comparing would take longer than looking.
    let made = create_memo(move || made::made(studio));
    let state = move || made.with(|m| m.as_ref().map(|m| m.as_ref().err().cloned()));
    shows(state, move |state| match state {
        None => parts![not_yet(studio, Place::Paper), client_file(studio)],
        Some(Some(why)) => refused(studio, &why),
        Some(None) => ready(studio, made),
    })
}

fn ready(studio: Studio, made: ReadSignal<Made>) -> View {
    let pages = selector(Box::new(move || {
        made.with(|m| match m {
            Some(Ok(papers)) => papers.pages().len(),
            _ => 0,
        })
    }));
    let print = move || match pages.get() {
        1 => "Print this page".to_owned(),
        2 => "Print both pages".to_owned(),
        n => format!("Print {n} pages"),
    };
    let about = div("about-sheets")
        .put(question(
            "Paper",
            "This is what will be printed.",
            "At 100 %, never fitted to the page. Then lay a ruler on the bars of the print.",
        ))
        .put(
            button("button main wide", "print")
                .put(icon(Drawing::Printer))
                .put(el("span").says(print))
                .click(move || files_out::print(studio)),
        )
        .put(other_side(studio))
        .put(
            studio
                .later
                .show
                .show_when_here(move |views| (views.standing)(studio)),
        )
        .put(cautions(studio));
    div("side-by-side")
        .put(about)
        .put(
            div("rows")
                .put(section(
                    "sheet-options",
                    "Sheet",
                    move || options::in_short(&studio.settings.sheet.get()),
                    options::options(studio),
                ))
                .put(row(
                    studio,
                    OnTable::Printer,
                    "to-printer",
                    "Printer",
                    move || {
                        shelf()
                            .chosen(studio.settings.sheet.get().paper)
                            .map_or_else(
                                || "not corrected".to_owned(),
                                |name| format!("corrected for “{name}”"),
                            )
                    },
                ))
                .put(row(
                    studio,
                    OnTable::Ruler,
                    "to-ruler",
                    "Ruler on the skin",
                    move || ruler::in_short(studio),
                ))
                .put(section("files", "Files", String::new, files(studio))),
        )
        .into()
}

/// One side stands alone: on to the other one.
fn other_side(studio: Studio) -> View {
    let other = move || match studio.settings.sheet.get().sides {
        Sides::Both => None,
        Sides::Right => Some((Sides::Left, "Now the client's left")),
        Sides::Left => Some((Sides::Right, "Now the client's right")),
    };
    shows(other, move |other| match other {
        None => View::new(),
        Some((sides, words)) => button("button wide", "other-side")
            .words(words)
            .click(move || options::change(studio, |o| o.sides = sides))
            .into(),
    })
}

/// A row that leads to another table.
fn row(
    studio: Studio,
    to: OnTable,
    id: &'static str,
    name: &'static str,
    in_short: impl Fn() -> String + 'static,
) -> El {
    button("onward", id)
        .put(icon(Drawing::Onward))
        .put(el("span").words(name))
        .put(el("span").class("beside").says(in_short))
        .click(move || studio.view.lay_out(to))
}

/// It doesn't fit: why, and each way out that there is, one tap away.
fn refused(studio: Studio, why: &PaperError) -> View {
    let now = studio.settings.sheet.get_untracked();
    let ways = ways_out(studio, &now);
    let buttons = ways.into_iter().enumerate().map(|(i, (words, to))| {
        let class = if i == 0 { "button main" } else { "button" };
        button(class, format!("way-out-{}", i + 1))
            .words(words)
            .click(move || options::change(studio, |o| *o = to))
    });
    parts![
        question("Paper", "This doesn't fit the paper.", ""),
        div("word")
            .id("does-not-fit")
            .at("role", "alert")
            .put(p(words::sentence(&why.to_string())))
            .put(div("buttons").all(buttons)),
        section(
            "sheet-options",
            "Sheet",
            move || options::in_short(&studio.settings.sheet.get()),
            options::options(studio),
        ),
        client_file(studio),
    ]
}

/// Most ways out that are offered; more would be a list to read.
const WAYS: usize = 3;

/// What could be chosen instead, as far as it fits: fewer on the page first,
/// then the smallest paper that holds it all.
fn ways_out(studio: Studio, now: &SheetOptions) -> Vec<(String, SheetOptions)> {
    let mut all = Vec::new();
    if now.copies > 1 {
        let options = SheetOptions { copies: 1, ..*now };
        all.push(("Print one copy a page".to_owned(), options));
    }
    if now.sides == Sides::Both {
        let sides = Sides::Right;
        let options = SheetOptions { sides, ..*now };
        all.push(("Print one side a page".to_owned(), options));
    }
    let mut papers: Vec<_> = Paper::ALL.into_iter().filter(|p| *p != now.paper).collect();
    let area = |p: &Paper| p.width_mm() * p.height_mm();
    papers.sort_by(|a, b| area(a).total_cmp(&area(b)));
    for paper in papers {
        let options = SheetOptions { paper, ..*now };
        all.push((format!("Use {} paper", paper.name()), options));
    }
    let fits = |options: &SheetOptions| {
        glance(|| made::with(studio, options)).is_some_and(|made| made.is_ok())
    };
    all.into_iter()
        .filter(|(_, options)| fits(options))
        .take(WAYS)
        .collect()
}

fn cautions(studio: Studio) -> El {
    // Each with whether a tape mends it.
    let all = move || {
        let by_tape = studio.record().and_then(|r| r.wrap.caution());
        let mut all: Vec<(String, bool)> = says::off(studio)
            .iter()
            .map(|said| (says::sentence(said), false))
            .collect();
        let others = studio.of_shape(|d| d.measured.cautions());
        for words in others.unwrap_or_default() {
            let is_mended = by_tape == Some(words.as_str());
            all.push((words, is_mended));
        }
        all
    };
    let caution = move |(words, by_tape): (String, bool)| -> View {
        let line = line(Stands::Off, "needs a look", words);
        if !by_tape {
            return line.into();
        }
        let enter = button("button", "to-tape").words("Enter a tape length");
        line.put(div("buttons").put(enter.click(move || tape::ask(studio))))
            .into()
    };
    el("ul")
        .class("says")
        .id("cautions")
        .shows(all, move |all| {
            View::from(all.into_iter().map(caution).collect::<Vec<_>>())
        })
}

fn files(studio: Studio) -> El {
    let save = move |id: &'static str, words: &'static str| {
        button("button start", id)
            .put(icon(Drawing::File))
            .put(el("span").words(words))
    };
    let busy = create_signal(false);
    // Only a list for other paper than the stencil has a file of its own.
    let is_apart = move || {
        let paper = studio.settings.sheet.get().paper;
        paper.for_lists() != paper
    };
    let named = move |what: &'static str, ending: &'static str| {
        move || format!("{what}, {}", files_out::stencil_file(studio, ending))
    };
    let file = |id: &'static str, words: Box<dyn Fn() -> String>| {
        button("button start", id)
            .put(icon(Drawing::File))
            .put(el("span").says(words))
    };
    div("inside")
        .put(
            file("save-pdf", Box::new(named("The pages", "pdf")))
                .flag("disabled", move || busy.get())
                .click(move || files_out::save_pdf(studio, busy)),
        )
        .shows(is_apart, move |is_apart| {
            if is_apart {
                save("save-list", "The ruler list, distances.pdf")
                    .click(move || files_out::save_list(studio, busy))
                    .into()
            } else {
                View::new()
            }
        })
        .put(
            file("save-stencil", Box::new(named("The stencil", "svg")))
                .click(move || files_out::save_svg(studio)),
        )
        .put(
            file("save-dxf", Box::new(named("For a cutter", "dxf")))
                .flag("disabled", move || busy.get())
                .click(move || files_out::save_dxf(studio, busy)),
        )
        .put(busy_word(busy))
        .put(
            save("save-report", "All numbers, report.json")
                .click(move || files_out::save_report(studio)),
        )
        .put(client_file(studio))
}

/// A word while a file is written.
pub fn busy_word(busy: Signal<bool>) -> View {
    shows(
        move || busy.get(),
        |is_busy| {
            if is_busy {
                p("Writing the file")
                    .class("busy")
                    .at("role", "status")
                    .into()
            } else {
                View::new()
            }
        },
    )
}

/// Saving and opening the client's file.
fn client_file(studio: Studio) -> View {
    let open = FileButton {
        words: "Open a client's file",
        of: Drawing::File,
        accept: ".json,application/json",
        id: "open-client".to_owned(),
        camera: false,
        main: false,
    };
    parts![
        button("button start", "save-client")
            .put(icon(Drawing::File))
            .put(el("span").words("Save the client's file, photo included"))
            .click(move || studio.save_client()),
        open.view(move |file| {
            spawn_local(async move {
                studio.finish();
                studio.keep_now().await;
                if let Err(why) = studio.open_file(&file).await {
                    studio.said.set(Some(why));
                }
            });
        })
        .class("button start"),
    ]
}
