//! What healed, in words and numbers, and what is done with it.

use std::rc::Rc;

use ophryon_frames::Side;
use ophryon_record::{
    CheckedSide, Edit, HealedCheck, HealedOutcome, MeasuredShare, NEXT_VISIT_WEEKS, SkinType,
    Visit, VisitChange, VisitEdit, VisitKind,
};
use ophryon_stencil::{Sheet, SheetOptions, print_page};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use web_sys::Event;

use super::asked;
use super::measure::at_hand;
use crate::device::{clock, files, print};
use crate::markup::{El, button, div, el, glance, p, value_of};
use crate::paper::letters::{boxes, letters};
use crate::parts;
use crate::parts::line::{Stands, line};
use crate::studio::Studio;
use crate::visits::{open_visit, to_next_visit};
use crate::words;

/// The whole of it.
pub fn outcome(studio: Studio, outcome: &Rc<HealedOutcome>) -> View {
    parts![
        asked(outcome.headline(), outcome.fit_words()),
        sentences(outcome),
        table(outcome),
        pigment(studio),
        skin(studio),
        keep(studio, outcome),
        next_visit(studio),
        touch_up(studio, outcome),
    ]
}

fn sentences(outcome: &HealedOutcome) -> El {
    let lines = outcome.sentences().into_iter().map(|(off, words)| {
        let (stands, sign) = if off {
            (Stands::Off, "wants a look")
        } else {
            (Stands::Told, "for information")
        };
        line(stands, sign, words)
    });
    el("ul").class("says").id("healed-says").all(lines)
}

/// Kept of each brow, in all and by fifths of its length.
fn table(outcome: &HealedOutcome) -> El {
    type Read = fn(&CheckedSide) -> MeasuredShare;
    let rows: [(&str, Read); 8] = [
        ("Area kept", |s| s.area),
        ("Thickness kept", |s| s.thickness),
        ("First fifth, at the start", |s| s.fifths[0]),
        ("Second fifth", |s| s.fifths[1]),
        ("Third fifth", |s| s.fifths[2]),
        ("Fourth fifth", |s| s.fifths[3]),
        ("Last fifth, the tail", |s| s.fifths[4]),
        ("Darker than the skin", |s| s.darkness),
    ];
    let cell = |side: Side, read: Read| {
        let checked = outcome.sides.get(side).as_ref().ok();
        el("td").words(checked.map_or("not told".to_owned(), |s| read(s).words()))
    };
    let head = |words: &'static str| el("th").at("scope", "col").words(words);
    let rows = rows.into_iter().map(|(name, read)| {
        el("tr")
            .put(el("th").at("scope", "row").words(name))
            .put(cell(Side::Right, read))
            .put(cell(Side::Left, read))
    });
    div("scroll-across").put(
        el("table")
            .class("numbers")
            .id("healed-kept")
            .put(
                el("thead").put(
                    el("tr")
                        .put(el("td"))
                        .put(head("Client's right"))
                        .put(head("Client's left")),
                ),
            )
            .put(el("tbody").all(rows)),
    )
}

fn pigment(studio: Studio) -> El {
    let hand = at_hand(studio);
    el("label")
        .class("field")
        .put(el("span").words("Pigment that was worked in"))
        .put(
            el("input")
                .at("type", "text")
                .at("maxlength", "60")
                .at("autocomplete", "off")
                .id("healed-pigment")
                .value(move || hand.pigment.get_clone())
                .on::<Event>("change", move |event| hand.pigment.set(value_of(event))),
        )
}

fn skin(studio: Studio) -> El {
    let hand = at_hand(studio);
    let choices = SkinType::ALL.map(|skin| {
        button("button", format!("skin-{}", skin.numeral()))
            .pressed(move || hand.skin_type.get() == Some(skin))
            .label(format!("Skin type {}: {}", skin.numeral(), skin.words()))
            .put(el("strong").words(skin.numeral()))
            .put(el("span").words(skin.words()))
            .click(move || {
                let was = hand.skin_type.get_untracked() == Some(skin);
                hand.skin_type.set((!was).then_some(skin));
            })
    });
    div("field")
        .put(el("span").words("How her skin answers to sun"))
        .put(
            div("skin-types")
                .at("role", "group")
                .label("How her skin answers to sun")
                .all(choices),
        )
        .put(p("By her own account; can be left out.").class("quiet"))
}

/// The visit it belongs to, and what that holds.
fn kept(studio: Studio) -> Option<(usize, Option<HealedCheck>)> {
    let record = studio.record()?;
    let number = open_visit(studio)?;
    let visit = record.visits.get(number)?;
    Some((number, visit.healed.as_deref().cloned()))
}

fn keep(studio: Studio, outcome: &Rc<HealedOutcome>) -> View {
    let outcome = outcome.clone();
    let check = move || {
        let hand = at_hand(studio);
        let record = studio.record()?;
        let pigment = hand.pigment.get_clone();
        Some(outcome.check(&record, pigment.trim(), hand.skin_type.get()))
    };
    let is_kept = {
        let check = check.clone();
        move || kept(studio).is_some_and(|(_, kept)| kept == check())
    };
    crate::markup::shows(is_kept, move |is_kept| {
        if is_kept {
            return p("Kept with the visit.")
                .class("quiet")
                .id("healed-is-kept")
                .into();
        }
        let check = check.clone();
        button("button main wide", "keep-healed")
            .words("Keep it with the visit")
            .click(move || {
                if let Some(check) = glance(&check) {
                    take(studio, check);
                }
            })
            .into()
    })
}

/// Into the visit that is open as one step; without one, or on the day of the
/// work, a healed check is begun.
fn take(studio: Studio, check: HealedCheck) {
    let record = glance(|| studio.record());
    let Some(record) = record else { return };
    let healed = VisitChange::Healed(Some(Box::new(check)));
    let open = glance(|| open_visit(studio)).filter(|n| record.visits.get(*n).is_some());
    let mut edits = Vec::new();
    let visit = if let Some(open) = open {
        open
    } else {
        let Some(today) = clock::today() else {
            studio.said.set(Some(
                "The device's clock shows no year of ours. Set it right, then keep the check."
                    .to_owned(),
            ));
            return;
        };
        let visit = Visit::new(today, VisitKind::HealedCheck);
        edits.push(Edit::Visit(VisitEdit::Add(Box::new(visit))));
        record.visits.len()
    };
    let what = healed;
    edits.push(Edit::Visit(VisitEdit::Change { visit, what }));
    studio.apply_all(&edits, "keep what healed");
}

/// When the client comes next, and where that is settled.
fn next_visit(studio: Studio) -> View {
    let said = move || {
        let record = studio.record()?;
        let visit = record.visits.get(open_visit(studio)?)?;
        Some(match (visit.next, visit.proposed_next()) {
            (Some(next), _) => words::sentence(&next.words()),
            (None, proposed) => {
                let (least, most) = NEXT_VISIT_WEEKS;
                let days = proposed.map_or_else(String::new, |next| format!(": {}", next.words()));
                format!("Common is {least} to {most} weeks after{days}.")
            }
        })
    };
    crate::markup::shows(said, move |said| match said {
        None => View::new(),
        Some(said) => parts![
            p(said).class("quiet").id("healed-next"),
            button("button wide", "to-next-visit")
                .words("Go to the next visit")
                .click(move || to_next_visit(studio)),
        ],
    })
}

fn touch_up(studio: Studio, outcome: &Rc<HealedOutcome>) -> View {
    if !outcome.any_missing() {
        return p(
            "Nothing larger than 1 mm² is missing, so there is nothing to print for a touch-up.",
        )
        .class("quiet")
        .into();
    }
    let outcome = outcome.clone();
    let saved = outcome.clone();
    let whose = outcome.laid.shape.name();
    parts![
        button("button wide", "print-touch-up")
            .words("Print the touch-up")
            .click(move || {
                let printed = sheet(studio, &outcome);
                studio.tell(printed.and_then(|page| print::page(&print_page(&page))));
            }),
        button("button wide", "save-touch-up")
            .words("Save it as PDF")
            .click(move || match sheet(studio, &saved) {
                Ok(sheet) => save(studio, sheet),
                Err(why) => studio.said.set(Some(why)),
            }),
        p(format!("At true size: what is missing in full lines, the {whose} outline dashed. Lay it by midline and level line, and look at the skin first: the photo may be off by what stands above."))
            .class("quiet"),
    ]
}

fn sheet(studio: Studio, outcome: &HealedOutcome) -> Result<Sheet, String> {
    let record = glance(|| studio.record()).ok_or("There is no client open.")?;
    let options: SheetOptions = studio.settings.sheet.get_untracked();
    record
        .touch_up_sheet(outcome, &options, clock::today())
        .map_err(|why| words::sentence(&why.to_string()))
}

fn save(studio: Studio, sheet: Sheet) {
    spawn_local(async move {
        let press = studio.later.press.get().await;
        let fonts = letters(&[&sheet]).await;
        let written = press.and_then(|press| {
            let pdf = (press.pdf)(&[&sheet], &fonts).map_err(|why| words::sentence(&why))?;
            files::save_bytes("touch-up.pdf", "application/pdf", &pdf.bytes)?;
            Ok(pdf.missing)
        });
        studio.said.set(match written {
            Ok(missing) => boxes(&missing),
            Err(why) => Some(why),
        });
    });
}
