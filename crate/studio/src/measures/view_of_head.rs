//! Whether the head was turned and the camera near, what that costs, and the
//! way out: a gate, never a silent correction.

use ophryon_face::{Landmark, PoseReport, PoseVerdict, SidedLandmark, ViewCost};
use ophryon_frames::Side;
use ophryon_record::PhotoState;
use sycamore::reactive::create_signal;
use sycamore::web::View;

use super::{known, with_error};
use crate::exchange::Shows;
use crate::markup::{button, div, el, p, shows};
use crate::stage::bring::bring_buttons;
use crate::studio::Studio;

/// What there is to bear in mind.
#[derive(Debug, Clone, PartialEq)]
struct Told {
    title: String,
    cost: String,
    /// All of it.
    sentences: Vec<String>,
    another: bool,
    ears: bool,
}

/// What is said, and the way out; nothing where the view is straight.
pub fn view_of_head(studio: Studio) -> View {
    let busy = create_signal(false);
    shows(
        move || told(studio),
        move |told| {
            let Some(told) = told else {
                return View::new();
            };
            let class = if told.another { "word" } else { "word calm" };
            let mut all = div(class)
                .id("view-of-head")
                .put(el("h3").words(told.title))
                .put(p(told.cost));
            if told.ears {
                all = all.put(
                    div("buttons").put(
                        button("button", "tap-ears")
                            .words("Tap the ears")
                            .click(move || tap_ears(studio)),
                    ),
                );
            }
            if told.another {
                all = all.put(bring_buttons(
                    studio,
                    busy,
                    "Take another photo",
                    "another-photo-file",
                    false,
                    Shows::State(PhotoState::Relaxed),
                ));
            }
            let sentences = told.sentences.into_iter().map(p);
            all.put(
                el("details")
                    .class("source")
                    .put(el("summary").words("In numbers"))
                    .all(sentences),
            )
            .into()
        },
    )
}

fn told(studio: Studio) -> Option<Told> {
    let known = known::now(studio)?;
    let survey = &known.levelled.survey;
    let report = &survey.pose;
    let near = report.distance.too_near();
    let has_ears = Side::BOTH.iter().all(|side| {
        let ear = Landmark::Sided(*side, SidedLandmark::EarMiddle);
        survey.face.points.contains_key(&ear)
    });
    let title = match (report.verdict, near) {
        (PoseVerdict::Turned, _) => turned(report),
        (_, true) => format!("The camera was near: {}.", report.distance),
        (PoseVerdict::Unsure, _) if !has_ears => {
            "Whether the head was turned can’t be told yet.".to_owned()
        }
        _ => return None,
    };
    let costs = match (report.verdict, near) {
        (PoseVerdict::Turned, _) => &report.turn_costs,
        (_, true) => &report.near_costs,
        _ => &report.unsure_costs,
    };
    let another = report.asks_for_another();
    let what = if another { "That moves" } else { "It may move" };
    Some(Told {
        title,
        cost: format!(
            "{what} {}. The \u{b1} of every number holds it.",
            cost(costs)
        ),
        sentences: report.sentences(),
        another,
        ears: !has_ears,
    })
}

fn turned(report: &PoseReport) -> String {
    let yaw = report.pose.yaw;
    let side = if yaw.degrees < 0.0 {
        Side::Right
    } else {
        Side::Left
    };
    if yaw.degrees.abs() >= report.pose.pitch.degrees.abs() {
        format!(
            "The head was turned {} toward the client’s {}.",
            with_error(yaw.degrees.abs(), 2.0 * yaw.sd, "degrees"),
            side.name()
        )
    } else {
        let pitch = report.pose.pitch;
        let way = if pitch.degrees < 0.0 { "down" } else { "up" };
        format!(
            "The chin was {way} by {}.",
            with_error(pitch.degrees.abs(), 2.0 * pitch.sd, "degrees")
        )
    }
}

/// The most that anything at the brows is moved by.
fn cost(costs: &[ViewCost]) -> String {
    let most = |of: fn(&ViewCost) -> f64| costs.iter().map(|c| of(c).abs()).fold(0.0, f64::max);
    format!(
        "the brows’ distances from the midline by up to {:.1} mm and how much higher one is by up to {:.1} mm",
        most(|c| c.from_midline_mm).max(most(|c| c.from_midline_difference_mm)),
        most(|c| c.height_difference_mm),
    )
}

/// Asks for both ears, which may have been left out.
fn tap_ears(studio: Studio) {
    let ears = Side::BOTH.map(|side| Landmark::Sided(side, SidedLandmark::EarMiddle));
    studio
        .view
        .way
        .update(|w| w.skipped.retain(|(_, l)| !ears.contains(l)));
}
