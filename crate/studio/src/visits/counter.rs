//! The counter: passes and time zone by zone, for hands in gloves.

use ophryon_frames::Side;
use ophryon_record::{Zone, clock_words};
use sycamore::web::View;

use super::bench::Bench;
use super::{awake, brows, skin};
use crate::markup::{El, button, div, el};
use crate::parts::icon::{Drawing, drawn, icon};
use crate::studio::Studio;
use crate::words;

const START: &str = "M8 5v14l11-7Z";
const PAUSE: &str = "M8.500 5v14M15.500 5v14";

/// The whole table.
pub fn counter(studio: Studio, bench: Bench) -> View {
    awake::stay_awake();
    // The caution takes the place of the drawing: it must not be overlooked,
    // and nothing is pushed away from under a finger.
    el("section")
        .class("bench")
        .label("Counter of passes")
        .id("counter")
        .put(which_brow(studio, bench))
        .put(div("bench-face").shows(
            move || skin::shown_large(studio, bench),
            move |caution| match caution {
                Some(caution) => skin::caution(bench, &caution),
                None => brows::brows(studio, bench),
            },
        ))
        .put(div("zone-tiles").all(Zone::ALL.map(|zone| tile(studio, bench, zone))))
        .put(
            div("bench-foot")
                .put(take_back(studio, bench))
                .put(skin::at_hand(studio, bench)),
        )
        .into()
}

/// One brow at a time.
fn which_brow(studio: Studio, bench: Bench) -> El {
    let choice = |side: Side| {
        let in_all = move || {
            let zones = Zone::ALL.into_iter();
            let seconds = zones.map(|zone| bench.seconds(studio, side, zone)).sum();
            clock_words(seconds)
        };
        button("button which-brow", format!("brow-{}", side.name()))
            .pressed(move || bench.side.get() == side)
            .put(el("span").words(words::side_title(side)))
            .put(el("small").says(in_all))
            .click(move || bench.side.set(side))
    };
    div("sides")
        .at("role", "group")
        .label("Which brow is worked")
        .all(Side::BOTH.map(choice))
}

/// A zone of the brow that is worked: a press counts, and beside it is its
/// timer.
fn tile(studio: Studio, bench: Bench, zone: Zone) -> El {
    let side = move || bench.side.get();
    let work = move || bench.work(studio, side(), zone);
    let is_stopped = move || !work().skin.is_empty();
    let is_at_hand = move || bench.zone() == zone;
    let class = move || match (is_at_hand(), is_stopped()) {
        (false, false) => "zone-tile",
        (true, false) => "zone-tile at-hand",
        (false, true) => "zone-tile stopped",
        (true, true) => "zone-tile at-hand stopped",
    };
    let title = words::title(zone.name());
    let is_running = move || {
        let running = bench.running(studio);
        running.is_some_and(|t| t.is_on(t.visit, side(), zone))
    };
    let noted = move || {
        let work = work();
        let all: Vec<_> = work.skin.iter().map(|answer| answer.words()).collect();
        all.join(", ")
    };
    el("div")
        .class(class)
        .put(
            button("count", format!("count-{}", zone.name()))
                .label(move || {
                    let passes = work().passes;
                    format!(
                        "{} of the client's {}: {passes} counted; one more pass",
                        zone.name(),
                        side().name()
                    )
                })
                .put(el("strong").words(title))
                .put(
                    el("output")
                        .id(format!("passes-{}", zone.name()))
                        .says(move || work().passes.to_string()),
                )
                .put(el("span").class("noted").says(move || match work().passes {
                    1 => "pass".to_owned(),
                    _ => "passes".to_owned(),
                }))
                .put(el("span").class("skin-noted").says(noted))
                // A long press of a glove is a press.
                .on::<web_sys::Event>("contextmenu", |e| e.prevent_default())
                .click(move || bench.count(studio, bench.side.get_untracked(), zone)),
        )
        .put(
            button("zone-timer", format!("timer-{}", zone.name()))
                .pressed(is_running)
                .label(move || {
                    let does = if is_running() { "Pause" } else { "Start" };
                    format!(
                        "{does} the timer of the {} of the client's {}",
                        zone.name(),
                        side().name()
                    )
                })
                .shows(is_running, |is_running| {
                    drawn("icon", "0 0 24 24", if is_running { PAUSE } else { START }).into()
                })
                .put(
                    el("span")
                        .id(format!("time-{}", zone.name()))
                        .says(move || clock_words(bench.seconds(studio, side(), zone))),
                )
                .on::<web_sys::Event>("contextmenu", |e| e.prevent_default())
                .click(move || bench.start_or_pause(studio, bench.side.get_untracked(), zone)),
        )
}

/// A slip of the glove.
fn take_back(studio: Studio, bench: Bench) -> View {
    let last = move || bench.last_counted(studio);
    let words = move || match last() {
        Some((side, zone)) => {
            format!("Take back: {}, client's {}", zone.name(), side.name())
        }
        None => "Nothing to take back".to_owned(),
    };
    button("button take-back", "take-back")
        .flag("disabled", move || last().is_none())
        .put(icon(Drawing::Undo))
        .put(el("span").says(words))
        .click(move || bench.take_back(studio))
        .into()
}
