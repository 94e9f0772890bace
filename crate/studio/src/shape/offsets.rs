//! Both sides: linked or apart, and each side's measured offset.

use leptos::prelude::*;
use ophryon_brow::{Offset, Pair};
use ophryon_frames::Side;
use ophryon_record::Edit;

use crate::number::signed;
use crate::parts::icon::{Drawing, Icon};
use crate::parts::number_field::NumberField;
use crate::studio::Studio;
use crate::words;

fn pair(studio: Studio) -> Option<Pair> {
    studio
        .drawn
        .with(|d| d.as_ref()?.as_ref().ok().map(|d| d.pair.clone()))
}

/// "linked, even" and the like, for the closed section.
fn in_short(pair: &Pair) -> String {
    let link = if pair.is_linked() { "linked" } else { "apart" };
    let moved: Vec<String> = pair
        .offset
        .iter()
        .filter(|(_, o)| o.height_mm != 0.0)
        .map(|(side, o)| format!("{} {} mm", side.name(), signed(o.height_mm)))
        .collect();
    if moved.is_empty() {
        link.to_owned()
    } else {
        format!("{link}, {}", moved.join(", "))
    }
}

/// The section.
#[component]
pub fn BothSides(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let pair = Memo::new(move |_| pair(studio));
    let linked = Memo::new(move |_| pair.with(|p| p.as_ref().is_none_or(Pair::is_linked)));
    view! {
        <details class="more" data-testid="both-sides">
            <summary>
                "Both sides"
                <span class="beside">
                    {move || pair.with(|p| p.as_ref().map(in_short).unwrap_or_default())}
                </span>
            </summary>
            <div class="inside">
                {move || {
                    if linked.get() {
                        view! { <Linked studio=studio /> }.into_any()
                    } else {
                        view! { <Apart studio=studio /> }.into_any()
                    }
                }}
                <p class="quiet">
                    "An offset moves one side's brow as a whole, for instance to even out half of a difference. It is kept when the shape changes."
                </p>
                {Side::BOTH
                    .into_iter()
                    .map(|side| view! { <OneOffset studio=studio pair=pair side=side /> })
                    .collect_view()}
            </div>
        </details>
    }
}

#[component]
fn Linked(studio: Studio) -> impl IntoView {
    view! {
        <p>"Linked: a change on one side is mirrored on the other."</p>
        <button
            type="button"
            class="button"
            data-testid="unlink"
            on:click=move |_| {
                studio.apply(&Edit::Unlink);
            }
        >
            <Icon of=Drawing::Apart />
            <span>"Let each side go its own way"</span>
        </button>
    }
}

#[component]
fn Apart(studio: Studio) -> impl IntoView {
    view! {
        <p>"Apart: each side changes alone. Linking keeps one side and mirrors it."</p>
        <div class="buttons">
            {Side::BOTH
                .into_iter()
                .map(|from| {
                    view! {
                        <button
                            type="button"
                            class="button"
                            data-testid=format!("link-{}", from.name())
                            on:click=move |_| {
                                studio.apply(&Edit::Link { from });
                            }
                        >
                            <Icon of=Drawing::Linked />
                            <span>{format!("Link, keep {}", words::side_of(from))}</span>
                        </button>
                    }
                })
                .collect_view()}
        </div>
    }
}

#[component]
fn OneOffset(studio: Studio, pair: Memo<Option<Pair>>, side: Side) -> impl IntoView {
    let offset = Memo::new(move |_| {
        pair.with(|p| p.as_ref().map(|p| *p.offset.get(side)).unwrap_or_default())
    });
    let set = move |change: &dyn Fn(&mut Offset)| {
        let mut offset = offset.get_untracked();
        change(&mut offset);
        studio.apply(&Edit::SetOffset { side, offset });
    };
    let id = side.name();
    view! {
        <fieldset>
            <h3>{words::side_title(side)}</h3>
            <div class="question">
                <NumberField
                    label="Up, mm"
                    value=Signal::derive(move || Some(offset.get().height_mm))
                    on_value=Callback::new(move |mm| set(&|o| o.height_mm = mm))
                    testid=format!("offset-{id}-height")
                />
                <NumberField
                    label="Outward, mm"
                    value=Signal::derive(move || Some(offset.get().lateral_mm))
                    on_value=Callback::new(move |mm| set(&|o| o.lateral_mm = mm))
                    testid=format!("offset-{id}-lateral")
                />
                <NumberField
                    label="Tail turned up, degrees"
                    value=Signal::derive(move || Some(offset.get().turn_degrees))
                    on_value=Callback::new(move |degrees| set(&|o| o.turn_degrees = degrees))
                    testid=format!("offset-{id}-turn")
                />
            </div>
        </fieldset>
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_brow::BrowPoints;
    use ophryon_frames::Point;

    #[test]
    fn the_closed_section_says_what_is_set() {
        let points = BrowPoints {
            front_top: Point::new(15.0, 24.0),
            front_bottom: Point::new(15.0, 16.0),
            peak: Point::new(41.0, 29.5),
            lower_arch: Point::new(42.5, 22.0),
            tail: Point::new(57.0, 15.5),
        };
        let mut pair = Pair::even(points);
        assert_eq!(in_short(&pair), "linked");
        pair.offset.left.height_mm = -1.0;
        assert_eq!(in_short(&pair.unlinked()), "apart, left \u{2212}1.0 mm");
    }
}
