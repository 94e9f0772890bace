//! What the constraints say, in words with their numbers; what is off comes
//! first, with one touch to mend it and one to see it on the face.

use leptos::prelude::*;
use ophryon_brow::{Mend, Reading, Verdict};
use ophryon_frames::Side;
use ophryon_record::{Edit, apply};

use crate::face::Question;
use crate::studio::Studio;
use crate::words;

/// The sentence of the place.
#[component]
pub fn Headline(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let off = Memo::new(move |_| failing(studio).len());
    move || {
        let (text, hint) = match off.get() {
            0 => (
                "Both brows hold to the rules.",
                "Change what you like; the words here follow.",
            ),
            1 => ("One thing wants a look.", ""),
            _ => ("A few things want a look.", ""),
        };
        view! { <Question step="Shape" text=text hint=hint /> }
    }
}

/// What fails: once where both sides say the same, else per side.
fn failing(studio: Studio) -> Vec<(Option<Side>, Reading)> {
    grouped(studio)
        .into_iter()
        .filter(|(_, r)| r.verdict == Verdict::Fails)
        .collect()
}

/// Every reading; a pair of readings that say the same stands once.
fn grouped(studio: Studio) -> Vec<(Option<Side>, Reading)> {
    studio.drawn.with(|d| {
        let Some(Ok(drawn)) = d else {
            return Vec::new();
        };
        let (right, left) = (&drawn.readings.right, &drawn.readings.left);
        let linked = drawn.pair.is_linked();
        let mut all = Vec::new();
        for (r, l) in right.iter().zip(left) {
            if linked && r.sentence == l.sentence && r.verdict == l.verdict {
                all.push((None, r.clone()));
            } else {
                all.push((Some(Side::Right), r.clone()));
                all.push((Some(Side::Left), l.clone()));
            }
        }
        all
    })
}

/// What is off.
#[component]
pub fn Failing(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let off = Memo::new(move |_| failing(studio));
    view! {
        <ul class="says" aria-live="polite" data-testid="failing">
            {move || {
                off.get()
                    .into_iter()
                    .map(|(side, reading)| view! { <Says studio=studio side=side reading=reading /> })
                    .collect_view()
            }}
        </ul>
    }
}

/// Every constraint.
#[component]
pub fn All(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let all = Memo::new(move |_| grouped(studio));
    view! {
        <details class="more" data-testid="constraints">
            <summary>"What the rules say"</summary>
            <ul class="says">
                {move || {
                    all.get()
                        .into_iter()
                        .map(|(side, reading)| {
                            view! { <Says studio=studio side=side reading=reading /> }
                        })
                        .collect_view()
                }}
            </ul>
        </details>
    }
}

#[component]
fn Says(studio: Studio, side: Option<Side>, reading: Reading) -> impl IntoView {
    let sentence = words::sentence(&reading.sentence);
    let text = match side {
        Some(side) => format!("{}: {sentence}", words::side_title(side)),
        None => sentence,
    };
    let (class, sign, in_words) = match reading.verdict {
        Verdict::Holds => ("holds", "M3 9.500 7 13.500 15 4.500", "holds"),
        Verdict::Fails => ("fails", "M9 2 16 9 9 16 2 9Z", "off"),
        Verdict::Shown => ("shown", "M9 6.500a2.500 2.500 0 1 1 0 5 2.500 2.500 0 0 1 0-5Z", "for information"),
    };
    let mend = reading.mend.map(|mend| {
        view! { <MendIt studio=studio side=side.unwrap_or(Side::Right) mend=mend /> }
    });
    view! {
        <li class=class>
            <svg class=format!("sign {class}") viewBox="0 0 18 18" role="img" aria-label=in_words>
                <path d=sign />
            </svg>
            <span>{text}</span>
            {mend}
        </li>
    }
}

/// One touch to mend it, one to see it first.
#[component]
fn MendIt(studio: Studio, side: Side, mend: Mend) -> impl IntoView {
    let edit = Edit::SetPoints {
        side,
        points: mend.points,
    };
    let path = {
        let edit = edit.clone();
        move || {
            studio.shown.with_untracked(|r| {
                let mended = apply(r.as_ref()?, &edit).ok()?;
                Some(mended.drawn().ok()?.photo_path(side))
            })
        }
    };
    let ghost = studio.view.ghost;
    let shown = RwSignal::new(false);
    let see = move |_| {
        if shown.get_untracked() {
            ghost.set(None);
            shown.set(false);
        } else {
            let path = path();
            shown.set(path.is_some());
            ghost.set(path);
        }
    };
    on_cleanup(move || ghost.set(None));
    let sentence = words::sentence(&mend.sentence);
    let sentence = sentence.trim_end_matches('.').to_owned();
    view! {
        <div class="buttons">
            <button
                type="button"
                class="button"
                data-testid="mend"
                on:click=move |_| {
                    studio.apply(&edit);
                }
            >
                {sentence}
            </button>
            <button
                type="button"
                class="button"
                data-testid="see-mend"
                aria-pressed=move || shown.get().to_string()
                on:click=see
            >
                "See it on the face"
            </button>
        </div>
    }
}
