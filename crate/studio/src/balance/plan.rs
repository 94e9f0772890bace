//! The plan: what each side is moved by, what remains, and taking it into the
//! shape.

use ophryon_face::Moved;
use ophryon_frames::{Side, Sided};
use ophryon_record::{
    Edit, Length, PlanChoice, PlanReport, PlanStop, PlanWay, USUAL_BEYOND_HAIR_MM,
};
use sycamore::web::View;
use web_sys::Event;

use super::of_balance;
use crate::markup::{El, button, div, el, glance, p, shows, value_of};
use crate::number::{parse, signed, tenths};
use crate::parts;
use crate::parts::number_field::NumberField;
use crate::places::Place;
use crate::shape::section;
use crate::studio::Studio;
use crate::words;

/// The share goes in steps of so many percent.
const STEP_PERCENT: f64 = 5.0;

/// The plan, or why nothing is corrected.
pub fn plan(studio: Studio) -> View {
    shows(
        move || of_balance(studio, |b| b.plan.nothing.is_some()),
        move |nothing| match nothing {
            None => View::new(),
            Some(true) => nothing_to_do(studio),
            Some(false) => something(studio),
        },
    )
}

fn of_plan<T>(studio: Studio, read: impl FnOnce(&PlanReport) -> T) -> Option<T> {
    of_balance(studio, |b| read(&b.plan))
}

fn nothing_to_do(studio: Studio) -> View {
    let why = move || of_plan(studio, |p| p.sentences.join(" ")).unwrap_or_default();
    div("plan")
        .put(div("word calm").id("plan-nothing").put(el("p").says(why)))
        .put(to_shape(studio, "button main wide"))
        .into()
}

fn to_shape(studio: Studio, class: &'static str) -> El {
    button(class, "to-shape")
        .words("Go to the shape")
        .click(move || studio.view.go(Place::Shape))
}

fn something(studio: Studio) -> View {
    let rows = move || {
        of_plan(studio, |p| (p.rows.clone(), p.moved)).unwrap_or((Vec::new(), Moved::AsOne))
    };
    let head = |words: &'static str| el("th").at("scope", "col").words(words);
    let table = el("table")
        .class("numbers planned")
        .id("plan-table")
        .put(el("caption").words("The plan: how far each brow moves, mm"))
        .put(el("thead").put(el("tr").all(["", "Right", "Left", "Remains"].map(head))))
        .put(el("tbody").shows(rows, |(rows, moved)| {
            let one = moved == Moved::AsOne;
            let shown = if one { 1 } else { rows.len() };
            let lines = rows.iter().take(shown).map(|r| {
                let name = if one { "whole brow" } else { r.place.name() };
                let id = format!("plan-{}", name.replace(' ', "-"));
                el("tr")
                    .id(id)
                    .put(el("th").at("scope", "row").words(words::title(name)))
                    .all(Side::BOTH.map(|side| moves(&r.change, &r.stopped, side)))
                    .put(remains(r.remains))
                    .into()
            });
            View::from(lines.collect::<Vec<_>>())
        }));
    div("plan")
        .put(table)
        .put(use_it(studio))
        .put(change(studio))
        .into()
}

/// "−1.0 ± 0.2" and what held it back.
fn moves(change: &Sided<Length>, stopped: &Sided<Option<PlanStop>>, side: Side) -> El {
    let l = change.get(side);
    let cell = el("td");
    if l.mm == 0.0 && stopped.get(side).is_none() {
        return cell.class("unsure").words("stays");
    }
    let way = match stopped.get(side) {
        Some(PlanStop::Cap) => "at its cap",
        Some(PlanStop::Hair) => "at its hair",
        None if l.mm > 0.0 => "up",
        None => "down",
    };
    let text = if l.plus_minus_mm > 0.0 {
        format!(
            "{} \u{b1} {}",
            signed(l.mm),
            tenths(l.plus_minus_mm.max(0.1))
        )
    } else {
        signed(l.mm)
    };
    cell.class("sure")
        .put(el("span").words(text))
        .put(el("small").words(way))
}

fn remains(l: Length) -> El {
    let side = if l.mm > 0.0 { Side::Right } else { Side::Left };
    let cell = el("td").class("unsure").put(el("span").words(format!(
        "{} \u{b1} {}",
        tenths(l.mm.abs()),
        tenths(l.plus_minus_mm.max(0.1))
    )));
    if l.mm.abs() < 0.05 {
        cell.put(el("small").words("even"))
    } else {
        cell.put(el("small").words(format!("{} higher", side.name())))
    }
}

/// Into the shape, as one step.
fn use_it(studio: Studio) -> View {
    let is_taken = move || {
        of_plan(studio, |p| {
            p.is_in_shape && p.decision == ophryon_record::PlanDecision::Taken
        })
    };
    shows(is_taken, move |is_taken| {
        if is_taken == Some(true) {
            parts![
                div("word calm")
                    .id("plan-taken")
                    .put(p("The plan is in the shape. Undo takes it out again.")),
                to_shape(studio, "button main wide"),
            ]
        } else {
            button("button main wide", "take-plan")
                .words("Use this plan")
                .click(move || {
                    if let Some(offset) = glance(|| of_plan(studio, |p| p.offset)) {
                        studio.apply(&Edit::TakePlan(offset));
                    }
                })
                .into()
        }
    })
}

fn chosen(studio: Studio) -> PlanChoice {
    studio.record().map(|r| r.plan).unwrap_or_default()
}

fn set(studio: Studio, with: impl FnOnce(&mut PlanChoice)) {
    let mut plan = glance(|| chosen(studio));
    with(&mut plan);
    studio.apply(&Edit::SetPlan(plan));
}

/// Share, caps, hair, and whether each place moves by itself.
fn change(studio: Studio) -> El {
    let short = move || {
        let plan = chosen(studio);
        format!("{:.0} % on the high side", 100.0 * plan.share)
    };
    let way = |to: PlanWay, id: &'static str, name: &'static str| {
        button("button", id)
            .pressed(move || chosen(studio).way == to)
            .words(name)
            .click(move || set(studio, |p| p.way = to))
    };
    let said = move || of_plan(studio, |p| p.sentences.clone()).unwrap_or_default();
    let inside = div("inside")
        .put(share(studio))
        .put(
            div("field").put(el("span").words("What moves")).put(
                div("buttons chips")
                    .at("role", "group")
                    .label("What moves")
                    .put(way(PlanWay::PerPoint, "plan-per-point", "Each point"))
                    .put(way(PlanWay::OneLift, "plan-one-lift", "The whole brow")),
            ),
        )
        .put(caps(studio))
        .put(hair(studio))
        .put(
            el("ul")
                .class("in-words")
                .id("plan-words")
                .shows(said, |said| {
                    let lines = said.into_iter().map(|s| el("li").words(s).into());
                    View::from(lines.collect::<Vec<_>>())
                }),
        );
    section("change-plan", "Change the plan", short, inside)
}

fn share(studio: Studio) -> El {
    let percent = move || 100.0 * chosen(studio).share;
    let told = move || {
        let high = percent();
        format!(
            "{high:.0} % down on the high side, {:.0} % up on the low side",
            100.0 - high
        )
    };
    let to = move |event: &Event, is_last: bool| {
        let Some(value) = parse(&value_of(event)) else {
            return;
        };
        let mut plan = glance(|| chosen(studio));
        plan.share = (value / 100.0).clamp(0.0, 1.0);
        studio.preview(&Edit::SetPlan(plan));
        if is_last {
            studio.finish();
        }
    };
    div("field")
        .put(el("span").id("share-words").says(told))
        .put(
            el("input")
                .class("slider")
                .at("type", "range")
                .at("min", "0")
                .at("max", "100")
                .at("step", format!("{STEP_PERCENT}"))
                .id("plan-share")
                .label("Share that the high side comes down by")
                .at("aria-valuetext", told)
                .value(move || format!("{:.0}", percent()))
                .on::<Event>("input", move |e| to(e, false))
                .on::<Event>("change", move |e| to(e, true)),
        )
        .put(
            div("slider-ends")
                .decoration()
                .put(el("span").words("all up on the low side"))
                .put(el("span").words("all down on the high side")),
        )
}

fn caps(studio: Studio) -> El {
    let field = |side: Side, label| {
        NumberField {
            step: 0.5,
            placeholder: "no cap",
            buttons: false,
            ..NumberField::new(label, format!("cap-{}", side.name()))
        }
        .view(
            move || *chosen(studio).cap_mm.get(side),
            move |mm| set(studio, |p| *p.cap_mm.get_mut(side) = Some(mm)),
        )
    };
    let any = move || {
        Side::BOTH
            .iter()
            .any(|s| chosen(studio).cap_mm.get(*s).is_some())
    };
    div("caps")
        .put(field(Side::Right, "Most on the right, mm"))
        .put(field(Side::Left, "Most on the left, mm"))
        .shows(any, move |any| {
            if !any {
                return View::new();
            }
            button("button bare", "no-caps")
                .words("No caps")
                .click(move || set(studio, |p| p.cap_mm = Sided::default()))
                .into()
        })
}

fn hair(studio: Studio) -> El {
    let limited = move || chosen(studio).beyond_hair_mm.is_some();
    div("field")
        .put(
            NumberField {
                step: 0.5,
                placeholder: "no limit",
                ..NumberField::new("Most beyond the border of the hair, mm", "beyond-hair")
            }
            .view(
                move || chosen(studio).beyond_hair_mm,
                move |mm| set(studio, |p| p.beyond_hair_mm = Some(mm.max(0.0))),
            ),
        )
        .shows(limited, move |limited| {
            let (id, words, to) = if limited {
                ("hair-no-limit", "The hair is no limit", None)
            } else {
                ("hair-limit", "Keep to the hair", Some(USUAL_BEYOND_HAIR_MM))
            };
            button("button bare", id)
                .words(words)
                .click(move || set(studio, |p| p.beyond_hair_mm = to))
                .into()
        })
}
