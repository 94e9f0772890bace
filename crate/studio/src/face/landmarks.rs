//! One landmark at a time.

use ophryon_face::{Landmark, Need, PupilVerdict, check_pupil_distance, pupil_distance};
use ophryon_record::PhotoState;
use sycamore::web::View;

use super::question;
use crate::ask::{self, OtherScale};
use crate::markup::{El, button, div, el, glance, p, shows};
use crate::parts;
use crate::parts::nudge::nudge_pad;
use crate::stage::scene::Grip;
use crate::studio::Studio;
use crate::words;

/// The question for a landmark, progress, back and skip.
pub fn one_landmark(studio: Studio, landmark: Landmark) -> View {
    let Some(record) = glance(|| studio.record()) else {
        return View::new();
    };
    let state = studio.view.on_photo.get_untracked();
    let all = ask::asked_for(&record, state);
    let optional = record.need_in(state, landmark) == Need::Optional;
    let once_more = studio.view.way.with_untracked(|w| w.once_more);
    let is_there =
        ask::photo_in(&record, state).is_some_and(|p| p.landmarks.get(landmark).is_some());
    let at = all.iter().position(|l| *l == landmark).unwrap_or(0);
    let share = 100.0 * at as f64 / all.len().max(1) as f64;
    let mut step = format!("Landmark {} of {}", at + 1, all.len());
    if once_more {
        step.push_str(", once more");
    } else if optional {
        step.push_str(", can be left out");
    }
    let leave = move || {
        studio.view.way.update(|w| {
            w.again = None;
            w.once_more = false;
            if !is_there {
                w.skipped.push((state, landmark));
            }
        });
    };
    let rest: Vec<Landmark> = all
        .iter()
        .copied()
        .filter(|l| record.need_in(state, *l) == Need::Optional)
        .collect();
    let leave_all = move || {
        studio.view.way.update(|w| {
            w.again = None;
            w.skipped.extend(rest.iter().map(|l| (state, *l)));
        });
    };
    let relaxed = state == PhotoState::Relaxed;
    let mut buttons = div("buttons").put(button("button", "back").words("Back").click(move || {
        if at == 0 && !relaxed {
            studio.view.look_at_photo(PhotoState::Relaxed);
        } else if at == 0 {
            studio
                .view
                .way
                .update(|w| w.other_scale = Some(OtherScale::Instead(0)));
        } else {
            studio.previous_landmark();
        }
    }));
    if is_there {
        buttons = buttons.put(
            button("button main", "keep")
                .words("Right as it is")
                .click(leave),
        );
    } else if optional {
        buttons = buttons
            .put(button("button", "skip").words("Leave it out").click(leave))
            .put(
                button("button", "skip-all")
                    .words("Leave out the rest")
                    .click(leave_all),
            );
    }
    parts![
        question(step, words::tap(landmark), landmark.hint()),
        div("progress")
            .at("role", "progressbar")
            .label("Landmarks")
            .at("aria-valuemin", "0")
            .at("aria-valuemax", all.len().to_string())
            .at("aria-valuenow", at.to_string())
            .put(el("span").at("style", format!("width: {share:.1}%"))),
        buttons,
        eyes_so_far(studio),
        last_tap(studio),
    ]
}

/// As soon as both pupils are tapped, a scale that can't be right is said,
/// before the rest is tapped in vain.
fn eyes_so_far(studio: Studio) -> View {
    let said = move || {
        let photo = studio.photo()?;
        let scale = photo.first_reference()?.scale(&photo.landmarks).ok()?;
        let apart = pupil_distance(&photo.landmarks, scale).ok()?;
        let check = check_pupil_distance(apart.mm);
        (check.verdict != PupilVerdict::Usual).then_some(check.sentence)
    };
    shows(said, move |said| match said {
        None => View::new(),
        Some(sentence) => div("word")
            .id("eyes-so-far")
            .put(p(sentence))
            .put(
                div("buttons").put(
                    button("button", "scale-first")
                        .words("Set the scale again")
                        .click(move || {
                            studio
                                .view
                                .way
                                .update(|w| w.other_scale = Some(OtherScale::Instead(0)));
                        }),
                ),
            )
            .into(),
    })
}

/// Setting the last tap right: drag it, or nudge it here.
pub fn last_tap(studio: Studio) -> View {
    let held = move || match studio.view.chosen.get() {
        Some(grip @ (Grip::Landmark(_) | Grip::Scale(_) | Grip::Reference(..))) => Some(grip),
        _ => None,
    };
    shows(held, move |held| {
        let Some(grip) = held else {
            return View::new();
        };
        let name = match grip {
            Grip::Landmark(l) => l.name(),
            _ => "tap on the scale".to_owned(),
        };
        let snapped = div("").shows(
            move || was_snapped(studio, grip),
            move |landmark| match landmark {
                Some(landmark) => back_to_tap(studio, landmark).into(),
                None => View::new(),
            },
        );
        let by_hand = div("place-it")
            .id("last-tap")
            .put(nudge_pad(move |right, up| {
                studio.nudge(grip, right, up);
                studio.finish();
            }))
            .put(
                p(format!(
                    "Not quite right? Drag the {name} in the photo, or nudge it here."
                ))
                .class("quiet"),
            );
        View::from(vec![snapped.into(), by_hand.into()])
    })
}

/// The landmark in hand, if the assistance placed it.
fn was_snapped(studio: Studio, grip: Grip) -> Option<Landmark> {
    let Grip::Landmark(landmark) = grip else {
        return None;
    };
    let record = studio.record()?;
    let photo = ask::photo_in(&record, studio.view.on_photo.get())?;
    photo.snapped.contains_key(&landmark).then_some(landmark)
}

/// What was found, and one touch back to the tap.
fn back_to_tap(studio: Studio, landmark: Landmark) -> El {
    div("word calm")
        .id("snapped")
        .at("role", "status")
        .put(p("Moved to the middle of the iris, whose rim was found."))
        .put(
            div("buttons").put(
                button("button", "back-to-tap")
                    .words("Keep it where I tapped")
                    .click(move || studio.back_to_tap(landmark)),
            ),
        )
}
