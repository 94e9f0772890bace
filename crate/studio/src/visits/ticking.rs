//! The clock is looked at once a second while the place is open: only to show
//! it. What a timer came to follows from when it began.

use std::cell::Cell;
use std::rc::Rc;
use std::time::Duration;

use sycamore::reactive::on_cleanup;
use sycamore::web::View;

use super::bench::Bench;
use crate::device::page;
use crate::markup::{button, div, p, shows};
use crate::studio::Studio;

const SECOND: Duration = Duration::from_secs(1);

/// Looks at the clock until this part of the page is gone, and at once when the
/// page comes back from the background.
pub fn tick_from_now_on(bench: Bench) {
    let is_open = Rc::new(Cell::new(true));
    let open = Rc::clone(&is_open);
    on_cleanup(move || open.set(false));
    page::listen::<web_sys::Event>("visibilitychange", move |_| bench.tick());
    bench.tick();
    again(bench, is_open);
}

fn again(bench: Bench, is_open: Rc<Cell<bool>>) {
    page::later(SECOND, move || {
        if is_open.get() {
            bench.tick();
            again(bench, is_open);
        }
    });
}

/// A timer that was perhaps left running.
pub fn forgotten(studio: Studio, bench: Bench) -> View {
    let long = move || {
        let timer = bench.running(studio)?;
        let now = bench.now_ms.get();
        let minutes = timer.seconds(now) / 60;
        timer
            .may_be_forgotten(now)
            .then_some((timer.zone, timer.side, minutes))
    };
    shows(long, move |long| {
        match long {
        None => View::new(),
        Some((zone, side, minutes)) => div("word")
            .id("timer-forgotten")
            .put(p(format!(
                "The timer of the client's {} {} has run for {minutes} minutes. Was it left running?",
                side.name(),
                zone.name()
            )))
            .put(
                div("buttons")
                    .put(
                        button("button", "timer-keep")
                            .words("Pause and keep it")
                            .click(move || bench.pause(studio)),
                    )
                    .put(
                        button("button", "timer-drop")
                            .words("Drop this run")
                            .click(move || bench.forget_timer()),
                    ),
            )
            .into(),
    }
    })
}
