//! The log itself: beginning a visit, choosing one, its day and kind.

use ophryon_record::{AgreedState, VisitChange, VisitKind};
use sycamore::reactive::create_signal;
use sycamore::web::View;
use web_sys::Event;

use super::asked;
use super::bench::Bench;
use super::days::DayField;
use crate::device::clock;
use crate::markup::{El, button, div, el, glance, p, shows, value_of};
use crate::parts;
use crate::parts::line::{Stands, line};
use crate::shape;
use crate::studio::Studio;
use crate::words;

const fn id(kind: VisitKind) -> &'static str {
    match kind {
        VisitKind::FirstSession => "first-session",
        VisitKind::SecondSession => "second-session",
        VisitKind::HealedCheck => "healed-check",
        VisitKind::Other => "other-visit",
    }
}

fn likely(studio: Studio) -> VisitKind {
    let record = studio.record();
    record.map_or(VisitKind::FirstSession, |r| r.likely_kind())
}

/// All that are as likely today.
fn as_likely(studio: Studio) -> Vec<VisitKind> {
    let known = studio.record().zip(clock::today());
    known.map_or_else(
        || vec![likely(studio)],
        |(record, today)| record.likely_kinds(today),
    )
}

/// One large button, before there is a visit.
pub fn nothing_yet(studio: Studio, bench: Bench) -> View {
    let kind = glance(|| likely(studio));
    div("bench-empty")
        .put(
            div("bring-card")
                .put(p("No visit is entered yet. While you work, this is the counter: large enough for gloves."))
                .put(
                    button("button main begin-visit", "begin-likely")
                        .words(format!("Begin the {}", kind.words()))
                        .click(move || bench.begin(studio, kind)),
                ),
        )
        .into()
}

/// Which visit it is.
pub fn begin(studio: Studio, bench: Bench) -> View {
    parts![
        asked(
            "Visits".to_owned(),
            "Which visit is it?".to_owned(),
            "It is dated today; the day can be changed.".to_owned(),
        ),
        agreed(studio),
        kinds(studio, bench),
    ]
}

fn kinds(studio: Studio, bench: Bench) -> View {
    shows(
        move || as_likely(studio),
        move |likely| {
            let all = VisitKind::ALL.map(|kind| {
                let class = if likely.contains(&kind) {
                    "button main"
                } else {
                    "button"
                };
                button(class, format!("begin-{}", id(kind)))
                    .words(words::title(kind.words()))
                    .click(move || bench.begin(studio, kind))
            });
            div("buttons")
                .at("role", "group")
                .label("Begin a visit")
                .all(all)
                .into()
        },
    )
}

/// Which visit is open; once its day is over, the next one by a tap.
pub fn which(studio: Studio, bench: Bench) -> View {
    parts![open_one(studio, bench), today(studio, bench)]
}

/// Nobody comes back to yesterday's visit: today's is begun here.
fn today(studio: Studio, bench: Bench) -> View {
    let to_begin = move || {
        let record = studio.record()?;
        let today = clock::today()?;
        let is_past = record.visits.iter().all(|visit| visit.day < today);
        is_past.then(|| record.likely_kinds(today))
    };
    shows(to_begin, move |kinds| {
        let all = kinds.unwrap_or_default().into_iter().enumerate();
        let all = all.map(|(at, kind)| {
            let name = match at {
                0 => "begin-today".to_owned(),
                _ => format!("begin-today-{}", id(kind)),
            };
            button("button main wide", name)
                .words(format!("Begin the {} of today", kind.words()))
                .click(move || bench.begin(studio, kind))
                .into()
        });
        View::from(all.collect::<Vec<_>>())
    })
}

fn open_one(studio: Studio, bench: Bench) -> View {
    let said = move || {
        let record = studio.record()?;
        let number = bench.number(studio)?;
        let log = record.visit_log();
        let place = log.iter().position(|(n, _)| *n == number)? + 1;
        let visit = record.visits.get(number)?;
        Some((
            place,
            log.len(),
            words::title(visit.kind.words()),
            visit.day,
        ))
    };
    shows(said, move |said| {
        let Some((place, count, kind, day)) = said else {
            return View::new();
        };
        let today = clock::today() == Some(day);
        let when = if today {
            format!("{}, today", day.in_words())
        } else {
            day.in_words()
        };
        asked(
            format!("Visit {place} of {count}"),
            format!("{kind}, {when}"),
            String::new(),
        )
    })
}

/// Whether she agreed to the shape, said quietly.
pub fn agreed(studio: Studio) -> View {
    let said = move || {
        let record = studio.record()?;
        let agreed = record.agreed();
        let sentence = match &agreed {
            _ if record.pair.is_none() && studio.hindrance().is_none() => {
                "Not agreed yet: the shape is proposed, not taken yet.".to_owned()
            }
            _ if record.pair.is_none() => "Not agreed yet: no shape was drawn.".to_owned(),
            AgreedState::Agreed { .. } => agreed.sentence(),
            AgreedState::NotAgreed { why } => {
                words::sentence(&format!("not agreed yet: {}", why.words()))
            }
        };
        Some((agreed.is_agreed(), sentence))
    };
    let open = move || {
        let record = studio.record()?;
        let asked = record.consent.asked.as_ref()?;
        let all: Vec<_> = asked.for_a_doctor().map(|c| c.words_and_advice()).collect();
        (!all.is_empty()).then_some(all)
    };
    el("ul")
        .class("says")
        .id("visit-agreed")
        .shows(said, |said| match said {
            None => View::new(),
            Some((true, words)) => line(Stands::Well, "agreed", words).into(),
            Some((false, words)) => line(Stands::Told, "not agreed", words).into(),
        })
        .shows(open, |open| match open {
            None => View::new(),
            Some(all) => line(
                Stands::Off,
                "needs a look",
                format!(
                    "Cautions flagged, not sure or not answered: {}",
                    all.join(" ")
                ),
            )
            .into(),
        })
        .into()
}

/// Its day and kind, the other visits, another one, taking it away.
pub fn section(studio: Studio, bench: Bench) -> El {
    let in_short = move || {
        let count = studio.record().map_or(0, |r| r.visits.len());
        match count {
            1 => "1 in the log".to_owned(),
            n => format!("{n} in the log"),
        }
    };
    // A visit of years ago is asked about where its day was just entered.
    let entered = create_signal(false);
    let doubt = move || {
        let today = clock::today()?;
        let is_new = entered.get();
        let doubt = bench.of_visit(studio, |visit| {
            let is_asked = is_new || visit.day > today;
            is_asked.then(|| visit.day_doubt(today))
        });
        doubt.flatten().flatten()
    };
    let inside = div("inside")
        .put(
            DayField {
                label: "Day of this visit",
                id: "visit-day",
                can_be_empty: false,
            }
            .view(
                move || bench.of_visit(studio, |visit| visit.day),
                move |day| {
                    if let Some(day) = day {
                        entered.set(true);
                        bench.change(studio, VisitChange::Day(day));
                    }
                },
            ),
        )
        .shows(doubt, |doubt| match doubt {
            None => View::new(),
            Some(doubt) => p(doubt)
                .class("word calm")
                .at("role", "status")
                .id("visit-day-doubt")
                .into(),
        })
        .put(kind_of(studio, bench))
        .put(others(studio, bench))
        .put(el("h3").words("Begin another visit"))
        .put(kinds(studio, bench))
        .put(
            button("button", "remove-visit")
                .words("Take this visit out of the log")
                .click(move || bench.remove(studio)),
        );
    shape::section("visit-log", "Day, kind, other visits", in_short, inside)
}

fn kind_of(studio: Studio, bench: Bench) -> El {
    let now = move || bench.of_visit(studio, |visit| visit.kind);
    let list = el("select")
        .id("visit-kind")
        .label("Kind of this visit")
        .all(VisitKind::ALL.map(|kind| {
            el("option")
                .at("value", id(kind))
                .flag("selected", move || now() == Some(kind))
                .words(words::title(kind.words()))
        }))
        .on::<Event>("change", move |e| {
            let chosen = value_of(e);
            if let Some(kind) = VisitKind::ALL.into_iter().find(|k| id(*k) == chosen) {
                bench.change(studio, VisitChange::Kind(kind));
            }
        });
    div("field")
        .put(el("span").decoration().words("Kind of this visit"))
        .put(list)
}

/// Every visit of the log; the open one is marked.
fn others(studio: Studio, bench: Bench) -> View {
    let rows = move || {
        let record = studio.record()?;
        let open = bench.number(studio);
        let log = record.visit_log().into_iter().rev();
        let rows = log.map(|(number, visit)| (number, visit.words(), Some(number) == open));
        Some(rows.collect::<Vec<_>>())
    };
    shows(rows, move |rows| {
        let rows = rows.unwrap_or_default();
        if rows.len() < 2 {
            return View::new();
        }
        let choices = rows.into_iter().map(|(number, visit, is_open)| {
            let class = if is_open { "choice chosen" } else { "choice" };
            button(class, format!("visit-{number}"))
                .pressed(move || is_open)
                .put(el("strong").words(words::title(&visit)))
                .click(move || bench.open(studio, number))
        });
        div("choices")
            .at("role", "group")
            .label("Visits of this client")
            .all(choices)
            .into()
    })
}
