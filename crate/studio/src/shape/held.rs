//! The point in hand: its millimetres to type, to step and to nudge.

use leptos::prelude::*;
use ophryon_brow::Handle;
use ophryon_frames::{Lateral, Point, Side};
use ophryon_record::Edit;

use crate::parts::nudge::NudgePad;
use crate::parts::number_field::NumberField;
use crate::stage::scene::Grip;
use crate::studio::Studio;
use crate::words;

/// The point in hand, or a choice of points.
#[component]
pub fn Held(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let held = Memo::new(move |_| match studio.view.chosen.get() {
        Some(Grip::Handle(side, handle)) => Some((side, handle)),
        _ => None,
    });
    let side = Memo::new(move |before: Option<&Side>| {
        held.get()
            .map(|(side, _)| side)
            .or(before.copied())
            .unwrap_or(Side::Right)
    });
    let take = move |side: Side, handle: Handle| {
        studio.finish();
        studio.view.chosen.set(Some(Grip::Handle(side, handle)));
    };
    view! {
        <section class="question" aria-label="Point in hand">
            <div class="sides" role="group" aria-label="Side">
                {Side::BOTH
                    .into_iter()
                    .map(|s| {
                        view! {
                            <button
                                type="button"
                                class="button"
                                data-testid=format!("side-{}", s.name())
                                aria-pressed=move || (side.get() == s).to_string()
                                on:click=move |_| {
                                    let handle = held.get_untracked().map_or(Handle::Start, |h| h.1);
                                    take(s, handle);
                                }
                            >
                                {words::side_title(s)}
                            </button>
                        }
                    })
                    .collect_view()}
            </div>
            <div class="handle-row" role="group" aria-label="Point">
                {Handle::ALL
                    .into_iter()
                    .map(|h| {
                        let is_held = move || held.get().is_some_and(|(_, now)| now == h);
                        view! {
                            <button
                                type="button"
                                class="button"
                                data-testid=format!("take-{}", h.name().replace(' ', "-"))
                                aria-pressed=move || is_held().to_string()
                                on:click=move |_| take(side.get_untracked(), h)
                            >
                                {words::sentence(h.name()).trim_end_matches('.').to_owned()}
                            </button>
                        }
                    })
                    .collect_view()}
            </div>
            {move || match held.get() {
                Some((side, handle)) => {
                    view! { <Millimetres studio=studio side=side handle=handle /> }.into_any()
                }
                None => {
                    view! {
                        <p class="quiet">
                            "Drag a ring on the face, or take a point here and move it by the millimetre."
                        </p>
                    }
                        .into_any()
                }
            }}
        </section>
    }
}

#[component]
fn Millimetres(studio: Studio, side: Side, handle: Handle) -> impl IntoView {
    let place = Memo::new(move |_| studio.handle_place(side, handle));
    let move_to = move |to: Point<Lateral>| {
        studio.apply(&Edit::MoveHandle { side, handle, to });
    };
    let grip = Grip::Handle(side, handle);
    let nudge = Callback::new(move |(right, up)| {
        studio.nudge(grip, right, up);
        studio.finish();
    });
    view! {
        <div class="place-it">
            <NudgePad on_nudge=nudge />
            <div class="question">
                <NumberField
                    label="From midline, mm"
                    value=Signal::derive(move || place.get().map(|p| p.x))
                    on_value=Callback::new(move |x| {
                        if let Some(p) = place.get_untracked() {
                            move_to(Point::new(x, p.y));
                        }
                    })
                    testid="handle-out"
                    plain=true
                />
                <NumberField
                    label="Above pupils, mm"
                    value=Signal::derive(move || place.get().map(|p| p.y))
                    on_value=Callback::new(move |y| {
                        if let Some(p) = place.get_untracked() {
                            move_to(Point::new(p.x, y));
                        }
                    })
                    testid="handle-up"
                    plain=true
                />
            </div>
        </div>
    }
}
