//! All landmarks are there: what they say, what is amiss, and on to the shape.

use std::fmt::Write;

use ophryon_face::Landmark;
use ophryon_frames::Side;
use ophryon_record::{PhotoState, BrowPlace, Length, Levelled, NaturalDifference};
use sycamore::reactive::create_signal;
use sycamore::web::View;

use super::landmarks::last_tap;
use super::question;
use super::strip::in_use_done;
use crate::ask::{self, OtherScale};
use crate::exchange::Shows;
use crate::markup::{El, button, div, el, p, shows};
use crate::number::tenths;
use crate::parts;
use crate::places::Place;
use crate::stage::bring::bring_buttons;
use crate::stage::scene::Grip;
use crate::studio::Studio;
use crate::words;

/// The summary of the face.
pub fn done(studio: Studio) -> View {
    parts![
        shows(
            move || amiss(studio),
            move |amiss| match amiss {
                Some((words, landmark)) => what_is_amiss(studio, words, landmark),
                None => all_is_well(studio),
            }
        ),
        last_tap(studio),
        shows(
            move || studio.record().and_then(|r| r.levelled().ok()).map(|l| {
                let uneven = studio.of_shape(|d| uneven(&d.measured.natural_table()));
                facts(&l, uneven.unwrap_or_default())
            }),
            |facts| facts.map_or_else(View::new, |facts| measures(facts).into()),
        ),
        again(studio),
    ]
}

/// Everything is tapped in a photo of the face in use.
pub fn in_use(studio: Studio, state: PhotoState) -> View {
    parts![in_use_done(studio, state), last_tap(studio), again(studio)]
}

fn all_is_well(studio: Studio) -> View {
    parts![
        question(
            "Face",
            "The face is measured.",
            "Drag any point to set it right, or go on: is a difference set in the face, or movement?",
        ),
        button("button main wide", "to-balance")
            .words("Go to the balance")
            .click(move || studio.view.go(Place::Balance)),
        button("button wide", "to-shape")
            .words("Straight to the shape")
            .click(move || studio.view.go(Place::Shape)),
    ]
}

/// What keeps the face from being measured, and the landmark to look at.
fn amiss(studio: Studio) -> Option<(String, Option<Landmark>)> {
    let (record, study) = (studio.record()?, studio.study()?);
    let why = study.as_ref().as_ref().err()?;
    Some((words::study(why), landmark_in(&why.field(&record))))
}

/// The same on the panel, with the way to mend it.
fn what_is_amiss(studio: Studio, words: String, landmark: Option<Landmark>) -> View {
    let mut buttons = div("buttons");
    if let Some(l) = landmark {
        buttons = buttons.put(
            button("button", "mend-landmark")
                .words(format!("Tap the {} again", l.name()))
                .click(move || studio.ask_again(l)),
        );
    }
    let buttons = buttons.put(scale_again(studio, "other-scale"));
    parts![
        question("Face", "Something doesn't fit yet.", ""),
        div("word").id("amiss").put(p(words)).put(buttons),
    ]
}

fn scale_again(studio: Studio, id: &'static str) -> El {
    button("button", id)
        .words("Set the scale again")
        .click(move || studio.view.way.update(|w| w.other_scale = Some(OtherScale::Instead(0))))
}

/// The landmark that a field of the client's file stands for:
/// `photos[0].landmarks.right.pupil`.
fn landmark_in(field: &str) -> Option<Landmark> {
    let (_, place) = field.split_once(".landmarks.")?;
    Landmark::from_id(&place.replace('.', "/")).ok()
}

/// How uneven the natural brows are in height, with uncertainty; empty while
/// they are not tapped.
fn uneven(rows: &[NaturalDifference]) -> String {
    let mut lists = [
        "Higher on the client's right",
        "Higher on the client's left",
        "Not distinguishable from even",
    ]
    .map(|head| (head, String::new()));
    for row in rows {
        let place = match row.place {
            BrowPlace::Start => "start",
            BrowPlace::Peak => "peak",
            BrowPlace::Tail => "tail",
        };
        let Length { mm, plus_minus_mm } = row.height;
        let list = match (row.height_distinguishable, mm > 0.0) {
            (true, true) => 0,
            (true, false) => 1,
            (false, _) => 2,
        };
        let (mm, error) = (tenths(mm.abs()), tenths(plus_minus_mm));
        let _ = write!(lists[list].1, ", {place} {mm} \u{b1} {error} mm");
    }
    let mut said = String::new();
    for (head, list) in lists {
        if let Some(list) = list.get(2..) {
            let _ = write!(said, "{head}: {list}. ");
        }
    }
    said
}

/// Evenness, scale, pupils, tilt and midline in words.
fn facts(level: &Levelled, uneven: String) -> [String; 5] {
    let roll = level.survey.frame.roll_degrees();
    let tilt = level.survey.frame.midline_tilt_degrees().abs();
    let toward = words::side_of(if roll > 0.0 { Side::Right } else { Side::Left });
    [
        uneven,
        format!(
            "By the {}. {}",
            level.references(),
            words::scale_in_words(level.scale().relative_sd())
        ),
        format!("{} apart", level.survey.pupils),
        format!(
            "{}° toward {toward}, levelled by the pupils",
            tenths(roll.abs())
        ),
        format!("{}° off the upright of the pupils", tenths(tilt)),
    ]
}

fn measures(facts: [String; 5]) -> El {
    let names = [
        ("Brow heights", "uneven"),
        ("Scale", "scale-words"),
        ("Pupils", "pupils"),
        ("Head tilted", "roll"),
        ("Midline", "midline-tilt"),
    ];
    let mut list = el("dl").class("facts");
    for ((name, id), fact) in names.into_iter().zip(facts) {
        if fact.is_empty() {
            continue;
        }
        list = list
            .put(el("dt").words(name))
            .put(el("dd").id(id).words(fact));
    }
    list
}

/// Everything that was tapped, to be gone back to.
fn again(studio: Studio) -> El {
    let busy = create_signal(false);
    let state = studio.view.on_photo.get_untracked();
    let rows = move || {
        let record = studio.record()?;
        let photo = ask::photo_in(&record, state)?;
        let row = |l: Landmark| (l, photo.landmarks.get(l).is_some());
        Some(
            ask::asked_for(&record, state)
                .into_iter()
                .map(row)
                .collect::<Vec<_>>(),
        )
    };
    div("")
        .put(
            el("details")
                .class("more")
                .id("landmark-list")
                .put(el("summary").words("All landmarks"))
                .put(el("ul").class("inside").shows(rows, move |rows| {
                    let rows = rows.unwrap_or_default().into_iter();
                    View::from(
                        rows.map(|(l, there)| row(studio, l, there).into())
                            .collect::<Vec<_>>(),
                    )
                })),
        )
        .put(
            el("details")
                .class("more")
                .put(el("summary").words("Another scale or photo"))
                .put(
                    div("inside")
                        .put(scale_again(studio, "set-scale-again"))
                        .put(bring_buttons(
                            studio,
                            busy,
                            "Another photo",
                            "other-photo-file",
                            false,
                            Shows::State(state),
                        ))
                        .put(
                            p("It takes the place of this one and is tapped from the start; undo brings this one back.")
                                .class("quiet"),
                        ),
                ),
        )
}

fn row(studio: Studio, l: Landmark, there: bool) -> El {
    let name = words::title(&l.name());
    let what = if there {
        "tap again"
    } else {
        "left out, tap it"
    };
    el("li")
        .class("client-line")
        .put(
            button(
                "button bare start",
                format!("show-{}", l.id().replace('/', "-")),
            )
            .words(name)
            .click(move || studio.view.chosen.set(Some(Grip::Landmark(l)))),
        )
        .put(
            button("button", format!("again-{}", l.id().replace('/', "-")))
                .words(what)
                .click(move || studio.ask_again(l)),
        )
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_face::{MiddleLandmark, SidedLandmark};

    #[test]
    fn unevenness_is_said_only_beyond_its_own_uncertainty() {
        let row = |place, mm, height_distinguishable| {
            let length = |mm| Length {
                mm,
                plus_minus_mm: 0.6,
            };
            NaturalDifference {
                place,
                height: length(mm),
                height_distinguishable,
                from_midline: length(0.0),
                from_midline_distinguishable: false,
            }
        };
        let rows = [
            row(BrowPlace::Start, 0.2, false),
            row(BrowPlace::Peak, -2.0, true),
            row(BrowPlace::Tail, -0.5, false),
        ];
        assert_eq!(
            uneven(&rows),
            "Higher on the client's left: peak 2.0 \u{b1} 0.6 mm. \
             Not distinguishable from even: start 0.2 \u{b1} 0.6 mm, tail 0.5 \u{b1} 0.6 mm. "
        );
        assert_eq!(uneven(&[]), "");
    }

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
        assert_eq!(landmark_in("photos[0].references"), None);
    }
}
