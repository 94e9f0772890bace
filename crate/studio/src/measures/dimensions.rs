//! The point in hand, dimensioned on the face as on a workshop drawing: from
//! the midline, above the pupils, each with its ±.

use ophryon_face::{Landmark, Quantity};
use ophryon_frames::{Front, Photo as Px, Point};
use ophryon_record::PhotoState;
use sycamore::web::View;

use super::{known, with_error};
use crate::markup::{selector, shows, svg};
use crate::places::Place;
use crate::stage::drawing::{matrix, twice, words};
use crate::stage::scene::{Grip, Label, Line};
use crate::studio::Studio;

/// Nearer than this to its line a distance can't be drawn, mm.
const LEAST_MM: f64 = 1.5;

/// The drawing; empty while another place or photo is looked at, or while a
/// tap is asked for.
pub fn dimensions(studio: Studio) -> View {
    let view = studio.view;
    let drawn = selector(Box::new(move || {
        let held = match view.chosen.get() {
            Some(Grip::Landmark(landmark)) => landmark,
            _ => return (Vec::new(), Vec::new()),
        };
        let here = view.place.get() == Place::Face
            && view.on_photo.get() == PhotoState::Relaxed
            && !studio.ask.with(|ask| ask.wants_tap())
            && !view.peek.get();
        if here {
            of(studio, held).unwrap_or_default()
        } else {
            (Vec::new(), Vec::new())
        }
    }));
    svg("svg")
        .at("class", "drawing")
        .decoration()
        .put(
            svg("g")
                .at("transform", move || {
                    let s = view.sight.get();
                    matrix(s.scale, s.left, s.top)
                })
                .put(shows(
                    move || drawn.get_clone().0,
                    |lines: Vec<Line>| {
                        let lines = lines.into_iter().map(|l| twice(l).into());
                        View::from(lines.collect::<Vec<_>>())
                    },
                )),
        )
        .put(shows(
            move || drawn.get_clone().1,
            move |labels: Vec<Label>| {
                let labels = labels.into_iter().map(|l| words(studio, l).into());
                View::from(labels.collect::<Vec<_>>())
            },
        ))
        .into()
}

fn of(studio: Studio, landmark: Landmark) -> Option<(Vec<Line>, Vec<Label>)> {
    let known = known::now(studio)?;
    let influences = known.influences.as_ref()?;
    let survey = &known.levelled.survey;
    let at = *survey.face.points.get(&landmark)?;
    let photo = |x: f64, y: f64| survey.frame.to_photo(Point::<Front>::new(x, y));
    let place = photo(at.x, at.y);
    let (mut lines, mut labels) = (Vec::new(), Vec::new());
    let outward = if at.x < 0.0 { "end" } else { "start" };
    let mut one = |foot: Point<Px>, quantity, label: (f64, f64), dx: f64, dy: f64| {
        let Some(budget) = influences.of_quantity(quantity) else {
            return;
        };
        lines.push(Line {
            class: "dimension",
            path: format!("M{:.2} {:.2}L{:.2} {:.2}", place.x, place.y, foot.x, foot.y),
            filled: false,
        });
        labels.push(Label {
            at: photo(label.0, label.1),
            of: place,
            dx,
            dy,
            anchor: outward,
            class: "label",
            text: with_error(budget.value.abs(), budget.expanded(), "mm"),
        });
    };
    let out = at.x.signum();
    if at.x.abs() > LEAST_MM {
        let foot = photo(0.0, at.y);
        one(
            foot,
            Quantity::FromMidline(landmark),
            (0.0, at.y),
            8.0 * out,
            -9.0,
        );
    }
    if at.y.abs() > LEAST_MM {
        let foot = photo(at.x, 0.0);
        one(
            foot,
            Quantity::Height(landmark),
            (at.x, 0.3 * at.y),
            10.0 * out,
            6.0,
        );
    }
    Some((lines, labels))
}
