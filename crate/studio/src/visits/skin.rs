//! How the skin answers, and the usual caution, large.

use ophryon_frames::Side;
use ophryon_record::{NO_ADVICE, STRETCHING, SkinAnswer, VisitChange, Zone};
use sycamore::web::View;

use super::bench::Bench;
use crate::markup::{El, button, div, el, glance, p};
use crate::shape;
use crate::studio::Studio;
use crate::words;

/// What was seen on a zone.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    side: Side,
    zone: Zone,
    answers: Vec<SkinAnswer>,
}

/// The caution that is to be shown large.
pub fn shown_large(studio: Studio, bench: Bench) -> Option<Seen> {
    let (side, zone) = bench.caution.get()?;
    let answers = bench.work(studio, side, zone).skin;
    (!answers.is_empty()).then_some(Seen {
        side,
        zone,
        answers,
    })
}

const fn id(answer: SkinAnswer) -> &'static str {
    match answer {
        SkinAnswer::PinpointBleeding => "bleeding",
        SkinAnswer::Swelling => "swelling",
    }
}

/// What is usually done then.
pub fn caution(bench: Bench, seen: &Seen) -> View {
    let all = seen.answers.iter().map(|answer| answer.words());
    let head = format!(
        "{}, {}: {}",
        words::side_title(seen.side),
        seen.zone.name(),
        all.collect::<Vec<_>>().join(", ")
    );
    div("word large-caution")
        .at("role", "alert")
        .id("skin-caution")
        .put(el("h2").words(head))
        .all(seen.answers.iter().map(|answer| p(answer.caution())))
        .put(p(STRETCHING))
        .put(p(NO_ADVICE).class("no-advice"))
        .put(
            button("button", "caution-read")
                .words("All right")
                .click(move || bench.caution.set(None)),
        )
        .into()
}

/// Notes an answer, or takes it away.
fn note(studio: Studio, bench: Bench, (side, zone): (Side, Zone), answer: SkinAnswer) {
    let mut skin = glance(|| bench.work(studio, side, zone)).skin;
    let was_there = skin.contains(&answer);
    if was_there {
        skin.retain(|one| *one != answer);
    } else {
        skin.push(answer);
    }
    bench.take_up(side, zone);
    if bench.change(studio, VisitChange::Skin { side, zone, skin }) {
        bench.caution.set((!was_there).then_some((side, zone)));
    }
}

fn toggle(
    studio: Studio,
    bench: Bench,
    at: impl Fn() -> (Side, Zone) + Copy + 'static,
    (answer, id): (SkinAnswer, String),
) -> El {
    let is_noted = move || {
        let (side, zone) = at();
        bench.work(studio, side, zone).skin.contains(&answer)
    };
    button("button", id)
        .pressed(is_noted)
        .words(words::title(answer.words()))
        .click(move || note(studio, bench, glance(at), answer))
}

/// For the zone at hand, beside the counter.
pub fn at_hand(studio: Studio, bench: Bench) -> View {
    let at = move || (bench.side.get(), bench.zone());
    let name = move || format!("Skin, {}:", at().1.name());
    let toggles = SkinAnswer::ALL.map(|answer| {
        let id = format!("skin-{}", id(answer));
        toggle(studio, bench, at, (answer, id))
    });
    div("skin-at-hand")
        .at("role", "group")
        .label("How the skin answers on the zone at hand")
        .put(el("span").id("skin-of").says(name))
        .all(toggles)
        .into()
}

/// For every zone of the brow that is worked.
pub fn section(studio: Studio, bench: Bench) -> El {
    let in_short = move || {
        let answers = bench.of_visit(studio, |visit| visit.skin_answers());
        let answers = answers.unwrap_or_default();
        let all: Vec<_> = answers.iter().map(|answer| answer.words()).collect();
        if all.is_empty() {
            "nothing noted".to_owned()
        } else {
            all.join(", ")
        }
    };
    let row = |zone: Zone| {
        let at = move || (bench.side.get(), zone);
        let toggles = SkinAnswer::ALL.map(|answer| {
            let id = format!("skin-{}-{}", zone.name(), id(answer));
            toggle(studio, bench, at, (answer, id))
        });
        div("skin-row")
            .at("role", "group")
            .label(zone.name())
            .put(el("span").words(words::title(zone.name())))
            .put(div("sides").all(toggles))
    };
    let of = move || format!("{}.", words::side_title(bench.side.get()));
    let inside = div("inside")
        .put(el("p").class("quiet").says(of))
        .all(Zone::ALL.map(row))
        .put(p(STRETCHING).class("quiet"))
        .put(p(NO_ADVICE).class("quiet"));
    shape::section("skin", "Skin", in_short, inside)
}
