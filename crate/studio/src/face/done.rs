//! All landmarks are there: what they say, what is amiss, and on to the shape.

use leptos::prelude::*;
use ophryon_face::Landmark;
use ophryon_record::{Levelled, StudyError};

use super::Question;
use super::landmarks::LastTap;
use crate::ask;
use crate::number::{decimals, signed};
use crate::places::Place;
use crate::stage::bring::BringButtons;
use crate::stage::scene::Grip;
use crate::studio::Studio;
use crate::words;

/// The summary of the face.
#[component]
pub fn Done(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let outcome = Memo::new(move |_| {
        studio
            .shown
            .with(|r| r.as_ref().map(|r| r.levelled()))
            .and_then(|level| match level {
                Ok(level) => Some(Ok(level)),
                Err(why) => Some(Err(why)),
            })
    });
    let amiss = move || {
        studio
            .drawn
            .with(|d| d.as_ref().and_then(|d| d.as_ref().err().cloned()))
    };
    view! {
        {move || match amiss() {
            Some(why) => view! { <Amiss studio=studio why=why /> }.into_any(),
            None => {
                view! {
                    <Question
                        step="Face"
                        text="The face is measured."
                        hint="Drag any point to set it right, or go on to the shape."
                    />
                    <button
                        type="button"
                        class="button main wide"
                        data-testid="to-shape"
                        on:click=move |_| studio.view.go(Place::Shape)
                    >
                        "Go to the shape"
                    </button>
                }
                    .into_any()
            }
        }}
        <LastTap studio=studio />
        {move || {
            outcome
                .get()
                .and_then(Result::ok)
                .map(|level| view! { <Measures level=level /> })
        }}
        <Again studio=studio />
    }
}

/// What keeps the face from being measured, with the way to mend it.
#[component]
fn Amiss(studio: Studio, why: StudyError) -> impl IntoView {
    let landmark = studio
        .shown
        .with_untracked(|r| r.as_ref().and_then(|r| landmark_in(&why.field(r))));
    view! {
        <Question step="Face" text="Something doesn't fit yet." />
        <div class="word" data-testid="amiss">
            <p>{words::study(&why)}</p>
            <div class="buttons">
                {landmark
                    .map(|l| {
                        view! {
                            <button
                                type="button"
                                class="button"
                                data-testid="mend-landmark"
                                on:click=move |_| studio.ask_again(l)
                            >
                                {format!("Tap the {} again", l.name())}
                            </button>
                        }
                    })}
                <button
                    type="button"
                    class="button"
                    data-testid="other-scale"
                    on:click=move |_| studio.view.way.update(|w| w.other_scale = true)
                >
                    "Set the scale again"
                </button>
            </div>
        </div>
    }
}

/// The landmark that a field of the client's file stands for:
/// `photos[0].landmarks.right.pupil`.
fn landmark_in(field: &str) -> Option<Landmark> {
    let (_, place) = field.split_once(".landmarks.")?;
    Landmark::from_id(&place.replace('.', "/")).ok()
}

#[component]
fn Measures(level: Levelled) -> impl IntoView {
    let roll = level.frame.roll_degrees();
    view! {
        <dl class="facts">
            <dt>"Scale"</dt>
            <dd data-testid="scale-words">
                {format!("By the {}. ", level.reference.name())}
                {words::scale_in_words(level.scale.relative_sd())}
            </dd>
            <dt>"Pupils"</dt>
            <dd>
                <span class="number" data-testid="pupils">
                    {level.pupils.to_string()}
                </span> " apart"
            </dd>
            <dt>"Head turned"</dt>
            <dd>
                <span class="number">{format!("{}°", signed(roll))}</span>
                ", levelled by the pupils"
            </dd>
            <dt>"Midline"</dt>
            <dd>
                <span class="number">
                    {format!("{}°", decimals(level.frame.midline_tilt_degrees().abs(), 1))}
                </span> " off the upright of the pupils"
            </dd>
        </dl>
    }
}

/// Everything that was tapped, to be gone back to.
#[component]
fn Again(studio: Studio) -> impl IntoView {
    let busy = RwSignal::new(false);
    let rows = move || {
        studio.shown.with(|r| {
            let record = r.as_ref()?;
            let photo = record.design_photo()?;
            Some(
                ask::asked_for(record)
                    .into_iter()
                    .map(|l| (l, photo.landmarks.get(l).is_some()))
                    .collect::<Vec<_>>(),
            )
        })
    };
    view! {
        <div>
            <details class="more" data-testid="landmark-list">
                <summary>"All landmarks"</summary>
                <ul class="inside">
                    {move || {
                        rows()
                            .unwrap_or_default()
                            .into_iter()
                            .map(|(l, there)| {
                                let name = words::sentence(&l.name());
                                let name = name.trim_end_matches('.').to_owned();
                                let what = if there { "tap again" } else { "left out, tap it" };
                                view! {
                                    <li class="client-line">
                                        <button
                                            type="button"
                                            class="button bare start"
                                            on:click=move |_| {
                                                studio.view.chosen.set(Some(Grip::Landmark(l)));
                                            }
                                        >
                                            {name}
                                        </button>
                                        <button
                                            type="button"
                                            class="button"
                                            on:click=move |_| studio.ask_again(l)
                                        >
                                            {what}
                                        </button>
                                    </li>
                                }
                            })
                            .collect_view()
                    }}
                </ul>
            </details>
            <details class="more">
                <summary>"Another scale or photo"</summary>
                <div class="inside">
                    <button
                        type="button"
                        class="button"
                        data-testid="set-scale-again"
                        on:click=move |_| studio.view.way.update(|w| w.other_scale = true)
                    >
                        "Set the scale again"
                    </button>
                    <BringButtons
                        studio=studio
                        busy=busy
                        choose="Another photo"
                        testid="other-photo-file"
                    />
                    <p class="quiet">"Another photo is tapped from the start; undo brings this one back."</p>
                </div>
            </details>
        </div>
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_face::{MiddleLandmark, SidedLandmark};
    use ophryon_frames::Side;

    #[test]
    fn a_field_of_the_file_leads_back_to_its_landmark() {
        assert_eq!(
            landmark_in("photos[0].landmarks.right.inner-corner"),
            Some(Landmark::Sided(Side::Right, SidedLandmark::InnerCorner))
        );
        assert_eq!(
            landmark_in("photos[0].landmarks.middle.chin"),
            Some(Landmark::Middle(MiddleLandmark::Chin))
        );
        assert_eq!(landmark_in("photos[0].landmarks"), None);
        assert_eq!(landmark_in("photos[0].reference"), None);
    }
}
