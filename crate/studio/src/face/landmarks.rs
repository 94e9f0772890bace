//! One landmark at a time.

use leptos::prelude::*;
use ophryon_face::{Landmark, Need};

use super::Question;
use crate::ask;
use crate::parts::nudge::NudgePad;
use crate::stage::scene::Grip;
use crate::studio::Studio;
use crate::words;

/// The question for a landmark, progress, back and skip.
#[component]
pub fn OneLandmark(
    /// The app.
    studio: Studio,
    /// Which one.
    landmark: Landmark,
) -> impl IntoView {
    let (all, need, is_there) = studio.shown.with_untracked(|r| {
        let all = r.as_ref().map(ask::asked_for).unwrap_or_default();
        let need = r.as_ref().map_or(Need::Always, |r| r.need(landmark));
        let is_there = r
            .as_ref()
            .and_then(|r| r.design_photo())
            .is_some_and(|p| p.landmarks.get(landmark).is_some());
        (all, need, is_there)
    });
    let at = all.iter().position(|l| *l == landmark).unwrap_or(0);
    let share = 100.0 * at as f64 / all.len().max(1) as f64;
    let optional = need == Need::Optional;
    let step = if optional {
        format!("Landmark {} of {}, can be left out", at + 1, all.len())
    } else {
        format!("Landmark {} of {}", at + 1, all.len())
    };
    let leave = move |_| {
        studio.view.way.update(|w| {
            w.again = None;
            if !is_there {
                w.skipped.insert(landmark);
            }
        });
    };
    let leave_all = move |_| {
        studio.view.way.update(|w| {
            w.again = None;
            studio.shown.with_untracked(|r| {
                for l in r.as_ref().map(ask::asked_for).unwrap_or_default() {
                    if r.as_ref().is_some_and(|r| r.need(l) == Need::Optional) {
                        w.skipped.insert(l);
                    }
                }
            });
        });
    };
    view! {
        <Question step=step text=words::tap(landmark) hint=landmark.hint() />
        <div
            class="progress"
            role="progressbar"
            aria-label="Landmarks"
            aria-valuemin="0"
            aria-valuemax=all.len().to_string()
            aria-valuenow=at.to_string()
        >
            <span style:width=format!("{share:.1}%")></span>
        </div>
        <div class="buttons">
            <button
                type="button"
                class="button"
                data-testid="back"
                disabled=at == 0
                on:click=move |_| studio.previous_landmark()
            >
                "Back"
            </button>
            {is_there
                .then(|| {
                    view! {
                        <button type="button" class="button main" data-testid="keep" on:click=leave>
                            "Right as it is"
                        </button>
                    }
                })}
            {(optional && !is_there)
                .then(|| {
                    view! {
                        <button type="button" class="button" data-testid="skip" on:click=leave>
                            "Leave it out"
                        </button>
                        <button type="button" class="button" data-testid="skip-all" on:click=leave_all>
                            "Leave out the rest"
                        </button>
                    }
                })}
        </div>
        <LastTap studio=studio />
    }
}

/// Setting the last tap right: drag it, or nudge it here.
#[component]
pub fn LastTap(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let held = move || match studio.view.chosen.get() {
        Some(grip @ (Grip::Landmark(_) | Grip::Scale(_))) => Some(grip),
        _ => None,
    };
    let name = move |grip: Grip| match grip {
        Grip::Landmark(l) => l.name(),
        _ => "tap on the scale".to_owned(),
    };
    move || {
        held().map(|grip| {
            let nudge = Callback::new(move |(right, up)| {
                studio.nudge(grip, right, up);
                studio.finish();
            });
            view! {
                <div class="place-it" data-testid="last-tap">
                    <NudgePad on_nudge=nudge />
                    <p class="quiet">
                        {format!("Not quite right? Drag the {} in the photo, or nudge it here.", name(grip))}
                    </p>
                </div>
            }
        })
    }
}
