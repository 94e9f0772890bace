//! The artist's own figures, from the healed checks of all clients on this
//! device. They stand in the list of clients; nobody's file is opened.

use ophryon_brow::ShrinkBy;
use ophryon_record::{FEWEST_CHECKS, HealedCheck, Learned, Lesson, Lessons, checks_of_line, learn};
use sycamore::reactive::{Signal, create_effect, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use crate::markup::{El, div, el, p};
use crate::shape;
use crate::studio::Studio;
use crate::words;

/// All checks on this device, the open client's as she is now; `None` until
/// the list was read.
pub fn checks(studio: Studio) -> Signal<Option<Vec<HealedCheck>>> {
    let others = create_signal(None::<Vec<HealedCheck>>);
    let all = create_signal(None);
    let open = studio.key_now();
    spawn_local(async move {
        let list = studio.keeper.clients(studio.later).await;
        let there = list.unwrap_or_default();
        let others_lines = there
            .iter()
            .filter(|entry| open.as_ref() != Some(&entry.key))
            .flat_map(|entry| checks_of_line(&entry.healed));
        if others.is_alive() {
            others.set(Some(others_lines.collect()));
        }
    });
    create_effect(move || {
        let own = studio.record().map(|r| checks_of_line(&r.learned_line()));
        let found = others.get_clone().map(|mut others| {
            others.extend(own.unwrap_or_default());
            others
        });
        if all.with_untracked(|a| *a != found) {
            all.set(found);
        }
    });
    all
}

/// What all of them teach.
pub fn lessons(checks: &[HealedCheck], lesson: Lesson) -> Lessons {
    let all: Vec<&HealedCheck> = checks.iter().collect();
    learn(&all, lesson)
}

/// The figure for a pigment where there are enough checks with it, else that
/// of all.
pub fn figure(checks: &[HealedCheck], by: ShrinkBy, pigment: Option<&str>) -> Learned {
    let lessons = lessons(checks, Lesson::Shrink(by));
    let with = pigment.map(|p| lessons.with_pigment(p));
    with.filter(|l| l.known().is_some()).unwrap_or(lessons.all)
}

/// What stands in the place Visits.
pub fn section(studio: Studio) -> El {
    let all = checks(studio);
    let in_short = move || match all.with(|a| a.as_ref().map(Vec::len)) {
        None => String::new(),
        Some(n) if n < FEWEST_CHECKS => format!("{n} of {FEWEST_CHECKS} checks"),
        Some(n) => format!("from {n} checks"),
    };
    let said = move || all.get_clone().map(|checks| sentences(&checks));
    let inside = div("inside")
        .put(el("ul").class("plain").id("learned").shows(said, |said| {
            let lines = said.unwrap_or_default().into_iter();
            let lines = lines.map(|words| el("li").words(words).into());
            View::from(lines.collect::<Vec<_>>())
        }))
        .put(
            p("From the checks kept on this device. An erased client's are taken out with her.")
                .class("quiet"),
        );
    shape::section("learned-own", "Your own figures", in_short, inside)
}

fn sentences(checks: &[HealedCheck]) -> Vec<String> {
    let area = lessons(checks, Lesson::Shrink(ShrinkBy::Area));
    let mut all = vec![words::sentence(&area.all.words())];
    if area.all.known().is_none() {
        return all;
    }
    let more = [Lesson::Shrink(ShrinkBy::Thickness), Lesson::Lightening];
    for lesson in more {
        let learned = lessons(checks, lesson).all;
        if learned.known().is_some() {
            all.push(words::sentence(&learned.words()));
        }
    }
    for (pigment, learned) in &area.by_pigment {
        if learned.known().is_some() {
            all.push(format!("With {pigment}: {}.", learned.words()));
        }
    }
    for (skin, learned) in &area.by_skin_type {
        if learned.known().is_some() {
            all.push(format!(
                "On skin of type {}: {}.",
                skin.numeral(),
                learned.words()
            ));
        }
    }
    all
}
