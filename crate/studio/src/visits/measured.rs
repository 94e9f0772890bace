//! Passes and minutes as numbers: to read them, and to set right what was
//! counted or timed wrongly.

use ophryon_frames::Side;
use ophryon_record::{MOST_PASSES, MOST_SECONDS, VisitChange, Zone, clock_words};
use sycamore::web::View;
use web_sys::Event;

use super::bench::Bench;
use crate::markup::{El, div, el, glance, p, value_of};
use crate::number;
use crate::parts::number_field::NumberField;
use crate::shape;
use crate::studio::Studio;
use crate::words;

/// The section.
pub fn section(studio: Studio, bench: Bench) -> El {
    let in_short = move || {
        let (mut passes, mut seconds) = (0_u32, 0_u32);
        for side in Side::BOTH {
            for zone in Zone::ALL {
                passes += bench.work(studio, side, zone).passes;
                seconds += bench.seconds(studio, side, zone);
            }
        }
        match passes {
            1 => format!("1 pass, {}", clock_words(seconds)),
            n => format!("{n} passes, {}", clock_words(seconds)),
        }
    };
    let of = move || format!("{}.", words::side_title(bench.side.get()));
    let inside = div("inside")
        .put(el("p").class("quiet").says(of))
        .all(Zone::ALL.map(|zone| row(studio, bench, zone)))
        .put(p("A timer that runs is paused before its time is set.").class("quiet"));
    shape::section("measured", "Passes and time", in_short, inside)
}

fn row(studio: Studio, bench: Bench, zone: Zone) -> El {
    let work = move || bench.work(studio, bench.side.get(), zone);
    let field = |label: &'static str, id: String| NumberField {
        step: 1.0,
        buttons: false,
        ..NumberField::new(label, id)
    };
    let passes = field("Passes", format!("set-passes-{}", zone.name())).view(
        move || Some(f64::from(work().passes)),
        move |passes| {
            let side = bench.side.get_untracked();
            let passes = within(passes, MOST_PASSES);
            bench.change(studio, VisitChange::Passes { side, zone, passes });
        },
    );
    let passes = as_typed(studio, passes, move |passes| {
        let side = bench.side.get_untracked();
        let passes = within(passes, MOST_PASSES);
        bench.write_on(studio, VisitChange::Passes { side, zone, passes });
    });
    let minutes = field("Minutes", format!("set-minutes-{}", zone.name())).view(
        move || Some(f64::from(work().seconds) / 60.0),
        move |minutes| {
            let side = bench.side.get_untracked();
            bench.pause(studio);
            let seconds = within(60.0 * minutes, MOST_SECONDS);
            let what = VisitChange::Seconds {
                side,
                zone,
                seconds,
            };
            bench.change(studio, what);
        },
    );
    let minutes = as_typed(studio, minutes, move |minutes| {
        let side = bench.side.get_untracked();
        if glance(|| bench.running(studio)).is_some() {
            bench.pause(studio);
        }
        let seconds = within(60.0 * minutes, MOST_SECONDS);
        let what = VisitChange::Seconds {
            side,
            zone,
            seconds,
        };
        bench.write_on(studio, what);
    });
    div("measured-row")
        .at("role", "group")
        .label(zone.name())
        .put(el("strong").words(words::title(zone.name())))
        .put(passes)
        .put(minutes)
}

/// The field, whose number counts while it is typed: a page may go without the
/// field being left.
fn as_typed(studio: Studio, field: View, told: impl Fn(f64) + 'static) -> El {
    el("div")
        .at("style", "display: contents")
        .on::<Event>("focusin", move |_| studio.written())
        .on::<Event>("input", move |e| {
            if let Some(typed) = number::parse(&value_of(e)) {
                told(typed);
            }
        })
        .put(field)
}

/// A whole number up to one more than the most, which the record then refuses
/// in words.
fn within(number: f64, most: u32) -> u32 {
    number.round().clamp(0.0, f64::from(most) + 1.0) as u32
}
