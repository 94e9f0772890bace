//! What the photo that is looked at says in millimetres, each with its ±: the
//! scale, the view of the head, the point in hand.
//!
//! It comes with the place Balance, in the same part; see [`crate::later`].

mod dimensions;
pub mod known;
mod point;
mod scales;
mod view_of_head;

use ophryon_face::{BrowPlace, CameraDistance, PupilVerdict, ReferenceReading, Survey};
use ophryon_record::{Levelled, PhotoState};
use sycamore::web::View;

use crate::face::landmarks::last_tap;
use crate::face::quality::judged_now;
use crate::markup::{El, div, el, p, shows};
use crate::number::tenths;
use crate::parts;
use crate::studio::Studio;
use crate::words;

pub use self::dimensions::dimensions;

/// All of it, below the question of a photo in which nothing is asked for.
pub fn measures(studio: Studio) -> View {
    let is_relaxed = move || studio.view.on_photo.get() == PhotoState::Relaxed;
    let at_rest = move |views: fn(Studio) -> View| {
        shows(is_relaxed, move |is_relaxed| {
            if is_relaxed {
                views(studio)
            } else {
                View::new()
            }
        })
    };
    parts![
        // What asks for another photo comes before any finer work on this one.
        at_rest(|studio| parts![eyes(studio), view_of_head::view_of_head(studio)]),
        last_tap(studio),
        point::point(studio),
        at_rest(|studio| parts![facts(studio), scales::scales(studio)]),
    ]
}

fn of_level<T>(studio: Studio, read: impl FnOnce(&Levelled) -> T) -> Option<T> {
    known::now(studio).map(|known| read(&known.levelled))
}

/// Eyes of a size that few people have, and scales that don't agree.
fn eyes(studio: Studio) -> View {
    let said = move || {
        of_level(studio, |level| {
            let survey = &level.survey;
            let mut all = Vec::new();
            if survey
                .scale
                .readings
                .iter()
                .any(ReferenceReading::disagrees)
            {
                all.extend(survey.scale.sentences.iter().cloned());
            }
            // What nobody's eyes can be stands above, with the way out.
            if survey.pupil_check.verdict == PupilVerdict::Unusual {
                all.push(survey.pupil_check.sentence.clone());
            }
            for (_, iris) in survey.irises.iter() {
                if let Some(iris) = iris.as_ref().filter(|i| i.verdict != PupilVerdict::Usual) {
                    all.push(iris.sentence.clone());
                }
            }
            all
        })
        .unwrap_or_default()
    };
    shows(said, |all| {
        if all.is_empty() {
            return View::new();
        }
        div("word")
            .id("measures-caution")
            .all(all.into_iter().map(p))
            .into()
    })
}

/// Pupils, scale, camera, tilt.
fn facts(studio: Studio) -> View {
    let said = move || {
        let judged = judged_now(studio);
        let photo = judged.map_or_else(String::new, |j| j.sentences.join(" "));
        of_level(studio, |level| {
            let survey = &level.survey;
            let roll = survey.frame.roll_degrees();
            let toward = words::side_of(if roll > 0.0 {
                ophryon_frames::Side::Right
            } else {
                ophryon_frames::Side::Left
            });
            [
                ("Pupils", "pupils", format!("{} apart", survey.pupils)),
                (
                    "Scale",
                    "scale-words",
                    words::scale_in_words(level.scale().relative_sd()),
                ),
                ("Photo", "photo-quality", photo.clone()),
                ("Camera", "camera", camera(survey)),
                (
                    "Head tilted",
                    "roll",
                    format!(
                        "{}° toward {toward}, levelled by the pupils",
                        tenths(roll.abs())
                    ),
                ),
            ]
        })
    };
    shows(said, |said| {
        let Some(said) = said else {
            return View::new();
        };
        let mut list = el("dl").class("facts");
        for (name, id, fact) in said {
            if fact.is_empty() {
                continue;
            }
            list = list
                .put(el("dt").words(name))
                .put(el("dd").id(id).words(fact));
        }
        list.into()
    })
}

/// How far it was, and what it costs where it was near or isn't known.
fn camera(survey: &Survey) -> String {
    let tail = survey
        .pose
        .near_costs
        .iter()
        .find(|c| c.place == BrowPlace::Tail)
        .map_or(0.0, |c| c.from_midline_mm.abs());
    match survey.distance {
        CameraDistance::Known { .. } => format!(
            "{} away; the tails read {tail:.1} mm nearer to the midline",
            survey.distance
        ),
        CameraDistance::Unknown => format!(
            "how far away isn’t known; the tails may read {tail:.1} mm nearer to the midline"
        ),
    }
}

/// "31.2 ± 0.4 mm", never surer than a tenth.
fn with_error(value: f64, expanded: f64, unit: &str) -> String {
    format!(
        "{} \u{b1} {} {unit}",
        tenths(value),
        tenths(expanded.max(0.1))
    )
}

/// A quiet paragraph that follows what is measured.
fn quietly(words: impl Fn() -> String + 'static) -> El {
    el("p").class("quiet").says(words)
}
