//! The artist's own figures, from the healed checks of all clients on this
//! device. They stand in the list of clients; nobody's file is opened.

use ophryon_brow::{Shrink, ShrinkBy};
use ophryon_record::{FEWEST_CHECKS, HealedCheck, History, Lesson, Lessons, checks_of_line, learn};
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

/// A new client's file begins with the artist's own figure once there is one:
/// it is no step, so that nothing is there to be taken back.
pub async fn begin_with_own(studio: Studio) {
    let Some(key) = studio.key_now() else { return };
    let Ok(list) = studio.keeper.clients(studio.later).await else {
        // The common figure stays.
        return;
    };
    let lines = list.iter().filter(|entry| entry.key != key);
    let checks: Vec<_> = lines
        .flat_map(|entry| checks_of_line(&entry.healed))
        .collect();
    let own = lessons(&checks, Lesson::Shrink(ShrinkBy::Area));
    let Some(own) = own.all.whole_shrink() else {
        return;
    };
    studio.work.update(|work| {
        let Some(work) = work.as_mut().filter(|work| work.key == key) else {
            return;
        };
        let history = &work.history;
        let is_untouched = history.undo_words().is_none() && !history.is_previewing();
        if is_untouched && history.now().shrink == Shrink::default() {
            let mut record = history.now().clone();
            record.shrink = own;
            work.history = History::new(record);
        }
    });
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
    // What is common stands beside it once.
    let mut all = vec![words::sentence(&area.all.words_beside_usual())];
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
            all.push(format!("{}{}.", skin.on_it(), learned.words()));
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_common_stands_once_among_the_own_figures() {
        let mut line = String::new();
        for area in [840, 850, 860, 870, 880, 890] {
            line.push_str(&format!("{area},900,300,III,Invented brown;"));
        }
        let said = sentences(&checks_of_line(&line));
        let all = said.join(" ");
        assert_eq!(all.matches("commonly about 10 %").count(), 1, "{all}");
        assert!(said[0].contains("your 6 healed checks"), "{all}");
        assert!(all.contains("With Invented brown: "), "{all}");
        assert!(
            all.contains("On skin of type III (sometimes burns, tans slowly): "),
            "{all}"
        );
    }
}
