//! The numbers, quietly: differences at rest, in use and their change, and
//! the heights behind them.

use ophryon_face::Quantity;
use ophryon_frames::{Side, Sided};
use ophryon_record::{BalanceRow, BrowPlace, Length};
use sycamore::web::View;

use super::of_balance;
use crate::markup::{El, div, el, shows};
use crate::measures::known;
use crate::number::tenths;
use crate::shape::section;
use crate::studio::Studio;
use crate::words;

/// "1.9 ± 0.5 left higher" in a cell; softly where it is not distinguishable
/// from even.
pub fn which(mm: f64, plus_minus_mm: f64, is_sure: bool, more: &str) -> El {
    let side = if mm > 0.0 { Side::Right } else { Side::Left };
    let words = if is_sure {
        format!("{} {more}", side.name())
    } else {
        "unsure".to_owned()
    };
    el("td")
        .class(if is_sure { "sure" } else { "unsure" })
        .put(el("span").words(format!(
            "{} \u{b1} {}",
            tenths(mm.abs()),
            tenths(plus_minus_mm.max(0.1))
        )))
        .put(el("small").words(words))
}

fn sure(l: Length) -> bool {
    l.mm.abs() > l.plus_minus_mm
}

/// The table of differences.
pub fn differences(studio: Studio) -> El {
    let rows = move || of_balance(studio, |b| b.rows.clone()).unwrap_or_default();
    let head = |words: &'static str| el("th").at("scope", "col").words(words);
    el("table")
        .class("numbers differences")
        .id("balance-table")
        .put(el("caption").words("How much higher one brow is, mm"))
        .put(el("thead").put(el("tr").all(["", "At rest", "In use", "Change"].map(head))))
        .put(el("tbody").shows(rows, move |rows| {
            View::from(
                rows.iter()
                    .map(|r| row(studio, r).into())
                    .collect::<Vec<_>>(),
            )
        }))
}

fn row(studio: Studio, row: &BalanceRow) -> El {
    let cell = |l: Length, more| which(l.mm, l.plus_minus_mm, sure(l), more);
    // Every place can be looked at by itself.
    let head = el("th").at("scope", "row");
    let head = match row.place {
        None => head.words(words::title(row.name)),
        Some(place) => {
            let only = studio.view.balance.only;
            head.put(
                el("button")
                    .at("type", "button")
                    .class("look-at")
                    .id(format!("only-{}", row.name))
                    .pressed(move || only.get() == Some(place))
                    .label(format!(
                        "{}: show it alone on the face",
                        words::title(row.name)
                    ))
                    .words(words::title(row.name))
                    .click(move || {
                        let now = only.get_untracked();
                        only.set(if now == Some(place) {
                            None
                        } else {
                            Some(place)
                        });
                    }),
            )
        }
    };
    el("tr")
        .class(if row.place.is_none() { "whole" } else { "" })
        .id(format!("balance-{}", row.name.replace(' ', "-")))
        .put(head)
        .put(cell(row.difference_at_rest, "higher"))
        .put(cell(row.difference_in_use, "higher"))
        .put(cell(row.change, "rises more"))
}

/// Each brow's height above the pupils.
pub fn heights(studio: Studio) -> El {
    let rows = move || of_balance(studio, |b| b.rows.clone()).unwrap_or_default();
    let head = |words: &'static str| el("th").at("scope", "col").words(words);
    let table =
        el("table")
            .class("numbers")
            .put(
                el("caption")
                    .class("for-readers")
                    .words("Heights above the pupils in mm, at rest and in use"),
            )
            .put(el("thead").put(
                el("tr").all(["mm above the pupils", "At rest", "In use", "Goes up"].map(head)),
            ))
            .put(el("tbody").shows(rows, |rows| {
                let all = rows.iter().filter(|r| r.place.is_some());
                let lines = all.flat_map(|r| Side::BOTH.map(|side| height(r, side).into()));
                View::from(lines.collect::<Vec<_>>())
            }));
    section(
        "heights",
        "Height of each brow",
        String::new,
        div("scroll-across").put(table),
    )
}

fn height(row: &BalanceRow, side: Side) -> El {
    let cell = |of: &Sided<Length>| {
        let l = of.get(side);
        el("td").words(format!(
            "{} \u{b1} {}",
            tenths(l.mm),
            tenths(l.plus_minus_mm.max(0.1))
        ))
    };
    el("tr")
        .put(el("th").at("scope", "row").words(format!(
            "{}, {}",
            words::title(row.name),
            side.name()
        )))
        .put(cell(&row.at_rest))
        .put(cell(&row.in_use))
        .put(cell(&row.rise))
}

/// What the differences at rest owe most of their uncertainty to.
fn dominant(studio: Studio) -> Option<String> {
    let known = known::now(studio)?;
    let influences = known.influences.as_ref()?;
    let places = BrowPlace::ALL.into_iter().filter_map(|place| {
        let budget = influences.of_quantity(Quantity::HeightDifference(place))?;
        let (cause, share) = budget.dominant()?;
        Some(format!(
            "at the {} {} ({:.0} %)",
            place.name(),
            cause.words(),
            100.0 * share
        ))
    });
    let places: Vec<_> = places.collect();
    (!places.is_empty())
        .then(|| format!("Most of the \u{b1} at rest is from: {}.", places.join(", ")))
}

/// What makes the numbers uncertain.
pub fn why_uncertain(studio: Studio) -> El {
    let said = move || {
        let mut all = of_balance(studio, |b| {
            let mut all = b.sentences.clone();
            all.push(b.alignment.sentence.clone());
            all
        })
        .unwrap_or_default();
        all.extend(dominant(studio));
        all
    };
    section(
        "why-plus-minus",
        "What it rests on, and why \u{b1}",
        String::new,
        div("inside").put(shows(said, |said| {
            let lines = said.into_iter().map(|s| el("p").words(s).into());
            View::from(lines.collect::<Vec<_>>())
        })).put(el("p").class("quiet").words(
            "\u{b1} holds nineteen times in twenty; “unsure” is what lies within it. Tapping brow points and eye corners once more, under Face, makes it smaller, and so does a head that is straight to the camera.",
        )),
    )
}
