//! The printer: what it makes of 100 mm, read once off a check page and taken
//! out of every sheet from then on.

use ophryon_record::Gauges;
use ophryon_stencil::{GAUGE_MM, GaugeLengths, Paper};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use web_sys::{Event, KeyboardEvent};

use super::shelf::shelf;
use super::{files_out, made};
use crate::device::page;
use crate::face::question;
use crate::markup::{El, button, div, el, glance, p, shows, value_of};
use crate::number::tenths;
use crate::parts;
use crate::parts::icon::{Drawing, icon};
use crate::parts::keypad::{Keypad, keyed};
use crate::studio::Studio;
use crate::view::OnTable;
use crate::words;

/// Where the check of a printer stands. Readings are of an uncorrected page.
#[derive(Debug, Clone, PartialEq)]
enum Step {
    /// Which printer.
    Choose,
    /// The page is to be printed.
    Page,
    /// The horizontal gauge is to be read.
    Across,
    /// The horizontal gauge reads this; the vertical one is to be read.
    Upright(f64),
    /// Both were read, and the question is whether they can be believed.
    Doubt(Gauges, String),
    /// Both were read; whose printer is it?
    Name(Gauges),
    /// Kept under this name.
    Kept(String),
}

/// The printer at work.
#[derive(Clone, Copy)]
struct Check {
    studio: Studio,
    step: Signal<Step>,
    /// What is measured again keeps its name.
    again: Signal<Option<String>>,
    /// The last one forgotten, to be brought back.
    forgotten: Signal<Option<(String, Gauges)>>,
}

/// The panel.
pub fn printers(studio: Studio) -> View {
    let none = glance(|| shelf().all().is_empty());
    let check = Check {
        studio,
        step: create_signal(if none { Step::Page } else { Step::Choose }),
        again: create_signal(None),
        forgotten: create_signal(None),
    };
    parts![
        button("button bare start", "to-sheets")
            .put(icon(Drawing::Left))
            .put(el("span").words("Back to the sheets"))
            .click(move || studio.view.lay_out(OnTable::Sheets)),
        shows(
            move || check.step.get_clone(),
            move |step| match step {
                Step::Choose => check.choose(),
                Step::Page => check.page(),
                Step::Across => check.across(),
                Step::Upright(across) => check.upright(across),
                Step::Doubt(gauges, why) => check.doubt(gauges, &why),
                Step::Name(gauges) => check.name(gauges),
                Step::Kept(name) => check.kept(&name),
            }
        ),
    ]
}

/// "100 mm came out as 97.3 across, 98.9 down".
fn in_words(gauges: Gauges) -> String {
    format!(
        "100 mm came out as {} across, {} down",
        tenths(gauges.horizontal_mm),
        tenths(gauges.vertical_mm)
    )
}

impl Check {
    fn paper(self) -> Paper {
        self.studio.settings.sheet.get().paper
    }

    fn go(self, step: Step) {
        self.studio.said.set(None);
        self.step.set(step);
    }

    fn begin(self, again: Option<String>) {
        self.studio.view.check_for.set(None);
        self.again.set(again);
        self.go(Step::Page);
    }

    /// Which printer the sheets are for.
    fn choose(self) -> View {
        parts![
            question(
                "Printer",
                "Which printer are the sheets for?",
                glance(|| {
                    format!(
                        "On {} paper. What it gets wrong is taken out of them, and they say so.",
                        self.paper().name()
                    )
                }),
            ),
            div("choices")
                .at("role", "group")
                .label("Printer")
                .put(self.choice(None))
                .shows(
                    || shelf().all(),
                    move |rows| {
                        View::from(
                            rows.into_iter()
                                .map(|row| self.row(row))
                                .collect::<Vec<_>>(),
                        )
                    }
                ),
            self.bring_back(),
            button("button", "check-printer")
                .words("Check another printer")
                .click(move || self.begin(None)),
        ]
    }

    /// Corrected for a printer, or for none.
    fn choice(self, printer: Option<(String, Gauges)>) -> El {
        let name = printer.as_ref().map(|(name, _)| name.clone());
        let is_chosen = {
            let name = name.clone();
            move || shelf().chosen(self.paper()) == name
        };
        let (title, about, id) = match &printer {
            None => (
                "Any printer".to_owned(),
                "Not corrected.".to_owned(),
                "printer-any".to_owned(),
            ),
            Some((name, gauges)) => (
                name.clone(),
                words::sentence(&in_words(*gauges)),
                "printer-choose".to_owned(),
            ),
        };
        button("choice", id)
            .class({
                let is_chosen = is_chosen.clone();
                move || {
                    if is_chosen() {
                        "choice chosen"
                    } else {
                        "choice"
                    }
                }
            })
            .pressed(is_chosen)
            .put(el("strong").words(title))
            .put(el("small").words(about))
            .click(move || shelf().choose(glance(|| self.paper()), name.clone()))
    }

    /// A printer with what can be done about it.
    fn row(self, (name, gauges): (String, Gauges)) -> View {
        let again = name.clone();
        let forget = name.clone();
        div("printer-row")
            .put(self.choice(Some((name.clone(), gauges))))
            .put(
                button("button bare", "printer-again")
                    .label(format!("Measure {name} again"))
                    .words("Measure again")
                    .click(move || self.begin(Some(again.clone()))),
            )
            .put(
                button("button bare", "printer-forget")
                    .label(format!("Forget {name}"))
                    .words("Forget")
                    .click(move || self.forget(&forget)),
            )
            .into()
    }

    fn forget(self, name: &str) {
        let gauges = shelf().forget(name);
        self.forgotten.set(gauges.map(|g| (name.to_owned(), g)));
    }

    fn bring_back(self) -> View {
        shows(
            move || self.forgotten.get_clone(),
            move |forgotten| match forgotten {
                None => View::new(),
                Some((name, gauges)) => div("word calm")
                    .at("role", "status")
                    .id("forgotten")
                    .put(p(format!("“{name}” is forgotten.")))
                    .put(
                        div("buttons").put(
                            button("button", "printer-back")
                                .words("Bring it back")
                                .click(move || {
                                    self.forgotten.set(None);
                                    self.keep(&name, gauges);
                                }),
                        ),
                    )
                    .into(),
            },
        )
    }

    /// First the page.
    fn page(self) -> View {
        let print = move || {
            if files_out::print_check(self.studio, None) {
                self.go(Step::Across);
            }
        };
        let back = if glance(|| shelf().all().is_empty()) {
            View::new()
        } else {
            self.back(Step::Choose).into()
        };
        parts![
            question(
                "Printer, 1 of 3",
                "Print the check page.",
                glance(|| {
                    format!(
                        "On {} paper, at 100 %, with “fit to page” off. Once per printer and kind of paper.",
                        self.paper().name()
                    )
                }),
            ),
            button("button main wide", "print-check")
                .put(icon(Drawing::Printer))
                .put(el("span").words("Print the check page"))
                .click(print),
            div("buttons").put(back).put(
                button("button", "check-printed")
                    .words("It is printed")
                    .click(move || self.go(Step::Across)),
            ),
        ]
    }

    fn back(self, to: Step) -> El {
        button("button", "check-back")
            .words("Back")
            .click(move || self.go(to.clone()))
    }

    /// How long the gauges of the page are; on a label there is room for
    /// shorter ones only.
    fn drawn(self) -> GaugeLengths {
        let page = glance(|| made::check_page(self.studio, None));
        page.gauges().unwrap_or(GaugeLengths {
            across_mm: GAUGE_MM,
            down_mm: GAUGE_MM,
        })
    }

    fn across(self) -> View {
        let drawn = self.drawn();
        let take = move |read_mm: f64| {
            // Beside a perfect one: is this one possible at all?
            match Gauges::read(drawn, read_mm, drawn.down_mm) {
                Ok(_) => self.go(Step::Upright(read_mm)),
                Err(why) => self.refuse(&why.to_string()),
            }
        };
        let keypad = Keypad {
            label: "Horizontal gauge reads, mm",
            id: "gauge-across",
            take: "Use it",
            before: None,
        };
        keyed(
            question(
                "Printer, 2 of 3",
                "How long is the horizontal gauge?",
                format!(
                    "Lay a ruler along it, outer edge to outer edge, and read as finely as it allows. It was drawn {:.0} mm long.",
                    drawn.across_mm
                ),
            ),
            keypad.view(take),
            div("buttons").put(self.back(Step::Page)).into(),
        )
    }

    fn upright(self, horizontal_mm: f64) -> View {
        let drawn = self.drawn();
        let take = move |vertical_mm: f64| {
            let read = Gauges::read(drawn, horizontal_mm, vertical_mm);
            match read.and_then(|gauges| Ok((gauges, gauges.correction()?))) {
                Ok((gauges, found)) => self.go(match found.question() {
                    Some(why) => Step::Doubt(gauges, why),
                    None => Step::Name(gauges),
                }),
                Err(why) => self.refuse(&why.to_string()),
            }
        };
        let keypad = Keypad {
            label: "Vertical gauge reads, mm",
            id: "gauge-upright",
            take: "Use it",
            before: None,
        };
        keyed(
            question(
                "Printer, 3 of 3",
                "How long is the vertical gauge?",
                format!(
                    "It was drawn {:.0} mm long. The horizontal one reads {} mm.",
                    drawn.down_mm,
                    tenths(horizontal_mm)
                ),
            ),
            keypad.view(take),
            div("buttons").put(self.back(Step::Across)).into(),
        )
    }

    fn refuse(self, why: &str) {
        self.studio.said.set(Some(words::sentence(why)));
    }

    /// Far off: nearly always the print window.
    fn doubt(self, gauges: Gauges, why: &str) -> View {
        parts![
            question("Printer", "Was “fit to page” on?", ""),
            div("word").id("fit-to-page").put(p(words::sentence(why))),
            button("button main wide", "fit-was-on")
                .words("It was on: print the page again")
                .click(move || self.go(Step::Page)),
            button("button wide", "fit-was-off")
                .words("It was off: go on")
                .click(move || self.go(Step::Name(gauges))),
        ]
    }

    fn name(self, gauges: Gauges) -> View {
        let typed = create_signal(self.again.get_clone_untracked().unwrap_or_default());
        let keep = move || {
            let name = typed.get_clone_untracked();
            if let Some(name) = self.keep(&name, gauges) {
                self.studio.view.check_for.set(Some(name.clone()));
                self.go(Step::Kept(name));
            }
        };
        let drawn_at = gauges
            .correction()
            .map(|c| format!("Its sheets will be drawn at {}.", c.in_words()));
        parts![
            question(
                "Printer",
                "What do you call this printer?",
                drawn_at.unwrap_or_default(),
            ),
            el("label")
                .class("field")
                .put(el("span").words("Name"))
                .put(
                    el("input")
                        .at("type", "text")
                        .at("autocomplete", "off")
                        .at("placeholder", "such as Front desk")
                        .at("enterkeyhint", "done")
                        .id("printer-name")
                        .raw(page::focus)
                        .value(move || typed.get_clone())
                        .on::<Event>("input", move |e| typed.set(value_of(e)))
                        .on::<KeyboardEvent>("keydown", move |e| {
                            if e.key() == "Enter" {
                                keep();
                            }
                        }),
                ),
            div("buttons").put(self.back(Step::Across)).put(
                button("button main", "printer-keep")
                    .words("Keep it")
                    .click(keep),
            ),
        ]
    }

    /// Keeps it and corrects for it from now on.
    fn keep(self, name: &str, gauges: Gauges) -> Option<String> {
        shelf()
            .keep(name, gauges, glance(|| self.paper()))
            .map_err(|why| self.refuse(&why.to_string()))
            .ok()
    }

    fn kept(self, name: &str) -> View {
        let studio = self.studio;
        let printer = name.to_owned();
        parts![
            question(
                "Printer",
                format!("Sheets are now corrected for “{name}”."),
                "Once more, to be sure: print the corrected page and lay a ruler on it. Both gauges must now read what stands beside them.",
            ),
            button("button main wide", "print-check-again")
                .put(icon(Drawing::Printer))
                .put(el("span").words("Print the corrected check page"))
                .click(move || {
                    files_out::print_check(studio, Some(&printer));
                }),
            div("buttons")
                .put(
                    button("button", "check-list")
                        .words("All printers")
                        .click(move || {
                            studio.view.check_for.set(None);
                            self.go(Step::Choose);
                        }),
                )
                .put(
                    button("button", "check-done")
                        .words("To the sheets")
                        .click(move || studio.view.lay_out(OnTable::Sheets)),
                ),
        ]
    }
}
