//! How long the brow is over the skin: one tape length joins the flat photo
//! and the curved brow.

use leptos::prelude::*;
use ophryon_frames::Side;
use ophryon_record::{Edit, WrapChoice};

use crate::number;
use crate::parts::number_field::NumberField;
use crate::studio::Studio;
use crate::words;

/// The section.
#[component]
pub fn OverTheSkin(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let wrap = Memo::new(move |_| {
        studio
            .shown
            .with(|r| r.as_ref().map(|r| r.wrap).unwrap_or_default())
    });
    let side = RwSignal::new(match wrap.get_untracked() {
        WrapChoice::Tape { side, .. } => side,
        _ => Side::Right,
    });
    let tape = move || match wrap.get() {
        WrapChoice::Tape { side: s, length_mm } if s == side.get() => Some(length_mm),
        _ => None,
    };
    let in_short = move || match wrap.get() {
        WrapChoice::Estimate => "an estimate".to_owned(),
        WrapChoice::Tape { length_mm, .. } => format!("{} mm by tape", number::tenths(length_mm)),
        WrapChoice::Cylinder { .. } => "chosen".to_owned(),
        WrapChoice::Flat => "none".to_owned(),
    };
    let set = move |length_mm: f64| {
        let side = side.get_untracked();
        studio.apply(&Edit::SetWrap(WrapChoice::Tape { side, length_mm }));
    };
    view! {
        <details class="more" data-testid="over-the-skin">
            <summary>"Over the skin" <span class="beside">{in_short}</span></summary>
            <div class="inside">
                <h3>"How long is her own brow over the skin, start to tail?"</h3>
                <p class="quiet">
                    "Lay a soft tape along the natural brow, from its start to the end of its tail. A flat photo can't show this, and a stencil without it comes out a few millimetres short."
                </p>
                <div class="sides" role="group" aria-label="Side the tape was laid on">
                    {Side::BOTH
                        .into_iter()
                        .map(|s| {
                            view! {
                                <button
                                    type="button"
                                    class="button"
                                    data-testid=format!("tape-side-{}", s.name())
                                    aria-pressed=move || (side.get() == s).to_string()
                                    on:click=move |_| side.set(s)
                                >
                                    {words::side_title(s)}
                                </button>
                            }
                        })
                        .collect_view()}
                </div>
                <NumberField
                    label="Tape reads, mm"
                    value=Signal::derive(tape)
                    on_value=Callback::new(set)
                    testid="tape-length"
                    step=0.5
                    placeholder="such as 52.5"
                />
                <p data-testid="wrap-words">{move || wrap.get().words()}</p>
                {move || {
                    (wrap.get() != WrapChoice::Estimate)
                        .then(|| {
                            view! {
                                <button
                                    type="button"
                                    class="button"
                                    data-testid="tape-none"
                                    on:click=move |_| {
                                        studio.apply(&Edit::SetWrap(WrapChoice::Estimate));
                                    }
                                >
                                    "Go on with the estimate"
                                </button>
                            }
                        })
                }}
            </div>
        </details>
    }
}
