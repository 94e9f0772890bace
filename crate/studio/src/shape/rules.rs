//! Where a brow starts, peaks and ends: the artist picks.

use leptos::prelude::*;
use ophryon_brow::{AimFrame, PeakRule, Rules, StartRule, TailRule};
use ophryon_record::Edit;

use crate::parts::number_field::NumberField;
use crate::studio::Studio;

const STARTS: [(StartRule, &str); 2] = [
    (StartRule::InnerCorner, "above the inner eye corner"),
    (StartRule::NoseWing, "above the wing of the nose"),
];
const PEAKS: [(PeakRule, &str); 4] = [
    (PeakRule::AboveIrisRim, "above the outer rim of the iris"),
    (PeakRule::AbovePupil, "above the pupil"),
    (PeakRule::WingThroughIrisRim, "nose wing through the rim of the iris"),
    (PeakRule::WingThroughPupil, "nose wing through the pupil"),
];
const TAILS: [(TailRule, &str); 2] = [
    (TailRule::WingThroughOuterCorner, "nose wing through the outer eye corner"),
    (TailRule::LowerLid, "the lower lid's line, continued"),
];
const AIMS: [(AimFrame, &str); 2] = [
    (AimFrame::Skin, "straight over the skin"),
    (AimFrame::Front, "straight in the photo"),
];

/// The section.
#[component]
pub fn MappingRules(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let rules = Memo::new(move |_| {
        studio
            .shown
            .with(|r| r.as_ref().map(|r| r.rules).unwrap_or_default())
    });
    let set = move |change: &dyn Fn(&mut Rules)| {
        let mut rules = rules.get_untracked();
        change(&mut rules);
        studio.apply(&Edit::SetRules(rules));
    };
    let is_own = Memo::new(move |_| {
        studio
            .shown
            .with(|r| r.as_ref().is_some_and(|r| r.pair.is_some()))
    });
    let mapping = studio.view.mapping;
    view! {
        <details class="more" data-testid="rules">
            <summary>"Mapping rules"</summary>
            <div class="inside">
                <Choose
                    label="It starts"
                    testid="rule-start"
                    options=&STARTS
                    now=Signal::derive(move || rules.get().start)
                    on_choice=Callback::new(move |v| set(&|r| r.start = v))
                />
                <NumberField
                    label="Start further out, mm"
                    value=Signal::derive(move || Some(rules.get().start_offset_mm))
                    on_value=Callback::new(move |mm| set(&|r| r.start_offset_mm = mm))
                    testid="rule-start-offset"
                    step=0.5
                />
                <Choose
                    label="It peaks"
                    testid="rule-peak"
                    options=&PEAKS
                    now=Signal::derive(move || rules.get().peak)
                    on_choice=Callback::new(move |v| set(&|r| r.peak = v))
                />
                <Choose
                    label="It ends on"
                    testid="rule-tail"
                    options=&TAILS
                    now=Signal::derive(move || rules.get().tail)
                    on_choice=Callback::new(move |v| set(&|r| r.tail = v))
                />
                <Choose
                    label="The line to the ear is"
                    testid="rule-aim"
                    options=&AIMS
                    now=Signal::derive(move || rules.get().aim)
                    on_choice=Callback::new(move |v| set(&|r| r.aim = v))
                />
                <div class="buttons">
                    <button
                        type="button"
                        class="button"
                        data-testid="mapping-lines"
                        aria-pressed=move || mapping.get().to_string()
                        on:click=move |_| mapping.update(|m| *m = !*m)
                    >
                        "Show the lines on the face"
                    </button>
                    {move || {
                        is_own
                            .get()
                            .then(|| {
                                view! {
                                    <button
                                        type="button"
                                        class="button"
                                        data-testid="propose"
                                        on:click=move |_| {
                                            studio.apply(&Edit::Propose);
                                        }
                                    >
                                        "Draw anew by these rules"
                                    </button>
                                }
                            })
                    }}
                </div>
            </div>
        </details>
    }
}

/// One of several, as the browser's own list.
#[component]
fn Choose<T>(
    label: &'static str,
    testid: &'static str,
    options: &'static [(T, &'static str)],
    now: Signal<T>,
    on_choice: Callback<T>,
) -> impl IntoView
where
    T: Copy + PartialEq + Send + Sync + 'static,
{
    let chosen = move |event: web_sys::Event| {
        let index = event_target_value(&event).parse::<usize>().ok();
        if let Some((value, _)) = index.and_then(|i| options.get(i)) {
            on_choice.run(*value);
        }
    };
    let index = move || {
        let now = now.get();
        let at = options.iter().position(|(v, _)| *v == now).unwrap_or(0);
        at.to_string()
    };
    view! {
        <label class="field">
            <span>{label}</span>
            <select data-testid=testid on:change=chosen prop:value=index>
                {options
                    .iter()
                    .enumerate()
                    .map(|(i, (value, words))| {
                        let value = *value;
                        view! {
                            <option value=i.to_string() selected=move || now.get() == value>
                                {*words}
                            </option>
                        }
                    })
                    .collect_view()}
            </select>
        </label>
    }
}
