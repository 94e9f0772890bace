//! The strokes on the face, and the hand that makes them.

use ophryon_frames::{Photo as Px, Point};
use sycamore::reactive::create_effect;
use sycamore::web::View;
use web_sys::KeyboardEvent;

use super::{Found, Sketching, Stroke, Way};
use crate::markup::{El, shows, svg};
use crate::number::tenths;
use crate::parts::nudge;
use crate::stage::drawing::{matrix, twice, words};
use crate::stage::hand::{Told, layer};
use crate::stage::scene::{Label, Line};
use crate::stage::sight::Spot;
use crate::studio::Studio;
use crate::view::Aim;

/// Places of a stroke lie at least so far apart, CSS px.
const APART: f64 = 0.7;

/// A shorter stroke is a touch and no stroke, CSS px.
const SHORTEST: f64 = 6.0;

/// A distance below this isn't dimensioned on the face, mm: a liner's breadth.
const SHOWN_MM: f64 = 0.3;

/// Everything on the face while it is sketched on.
pub fn over(studio: Studio) -> View {
    let sketch = studio.view.sketch;
    follow(studio);
    layer(studio, sketch.fingers, move |told| {
        match sketch.way.get_untracked() {
            Way::Drawn => drawn(studio, told),
            Way::Tapped => tapped(studio, told),
        }
    })
    .id("sketch-ground")
    .at("tabindex", move || match sketch.way.get() {
        Way::Drawn => "-1",
        Way::Tapped => "0",
    })
    .at("role", move || match sketch.way.get() {
        Way::Drawn => "img",
        Way::Tapped => "application",
    })
    .label(move || match sketch.way.get() {
        Way::Drawn => "The face, to draw on",
        Way::Tapped => {
            "The face. Arrow keys move the crosshair by 0.1 mm, with Shift by 1 mm, with Ctrl by 10 mm; Enter adds a point to the line."
        }
    })
    .on::<KeyboardEvent>("keydown", move |e| key(studio, e))
    .put(picture(studio))
    .into()
}

/// Strokes belong to one photo; what was found, to one shape.
fn follow(studio: Studio) {
    let sketch = studio.view.sketch;
    create_effect(move || {
        let id = studio.photo().map(|p| p.id);
        if sketch.photo.get_clone_untracked() != id {
            sketch.clear();
            sketch.photo.set(id);
        }
    });
    let before = std::cell::Cell::new(false);
    create_effect(move || {
        drop(studio.record());
        if before.replace(true) && sketch.found.with_untracked(Option::is_some) {
            sketch.found.set(None);
        }
    });
}

fn spot(studio: Studio, at: Point<Px>) -> Spot {
    studio.view.sight.get_untracked().to_stage(at)
}

fn drawn(studio: Studio, told: Told) {
    let sketch = studio.view.sketch;
    match told {
        Told::Begin(at) => {
            // Whoever draws on wants another outline.
            sketch.found.set(None);
            sketch.under_way.set(vec![at]);
        }
        Told::On(places) => sketch.under_way.update(|stroke| {
            for at in places {
                let last = stroke.last().copied();
                if last.is_none_or(|l| spot(studio, l).distance(spot(studio, at)) >= APART) {
                    stroke.push(at);
                }
            }
        }),
        Told::End => {
            let length = sketch.under_way.with_untracked(|stroke| {
                let pairs = stroke.windows(2);
                pairs.map(|p| p[0].distance(p[1])).sum::<f64>()
            });
            if studio.view.sight.get_untracked().scale * length < SHORTEST {
                sketch.under_way.set(Vec::new());
            }
            sketch.end_stroke();
        }
        Told::CallOff => sketch.under_way.set(Vec::new()),
        Told::Over(_) => {}
    }
}

/// A finger aims as for a landmark and sets a point where it is lifted.
fn tapped(studio: Studio, told: Told) {
    let aim = studio.view.aim;
    let at = |at: Point<Px>| {
        aim.set(Some(Aim {
            at,
            finger: Some(spot(studio, at)),
        }));
    };
    match told {
        Told::Begin(place) => at(place),
        Told::On(places) => places.last().copied().into_iter().for_each(at),
        Told::End => {
            if let Some(aimed) = aim.get_untracked() {
                aim.set(None);
                add(studio.view.sketch, aimed.at);
            }
        }
        Told::CallOff => aim.set(None),
        Told::Over(_) => {}
    }
}

fn add(sketch: Sketching, at: Point<Px>) {
    sketch.found.set(None);
    sketch.under_way.update(|stroke| {
        if stroke.last() != Some(&at) {
            stroke.push(at);
        }
    });
}

fn key(studio: Studio, event: &KeyboardEvent) {
    let view = studio.view;
    if view.sketch.way.get_untracked() != Way::Tapped {
        return;
    }
    let aimed = view.aim.get_untracked();
    if let Some((right, up)) = nudge::step(event) {
        event.prevent_default();
        event.stop_propagation();
        let at = aimed.map_or_else(|| begin(studio), |aim| aim.at);
        let at = studio.beside(at, right, up);
        view.aim.set(Some(Aim { at, finger: None }));
    } else if event.key() == "Enter"
        && let Some(aim) = aimed
    {
        event.prevent_default();
        add(view.sketch, aim.at);
    } else if event.key() == "Escape" {
        view.aim.set(None);
    }
}

/// Where the crosshair is at first: where the line ends, or mid-stage.
fn begin(studio: Studio) -> Point<Px> {
    let last = studio
        .view
        .sketch
        .under_way
        .with_untracked(|s| s.last().copied());
    last.unwrap_or_else(|| {
        let stage = studio.view.stage.get_untracked();
        let middle = Spot::new(0.5 * stage.width, 0.5 * stage.height);
        studio.view.sight.get_untracked().to_photo(middle)
    })
}

fn picture(studio: Studio) -> El {
    let view = studio.view;
    let sketch = view.sketch;
    let strokes = shows(
        move || sketch.strokes.get_clone(),
        |strokes| {
            let lines = strokes.iter().map(|s| stroke_line(path(s)).into());
            View::from(lines.collect::<Vec<_>>())
        },
    );
    let live = move || sketch.under_way.with(path);
    let places = move || match sketch.way.get() {
        Way::Drawn => String::new(),
        Way::Tapped => sketch.under_way.with(dots),
    };
    svg("svg")
        .at("class", "drawing")
        .decoration()
        .flag("hidden", move || view.peek.get())
        .id("sketch-drawing")
        .put(
            svg("g")
                .at("transform", move || {
                    let s = view.sight.get();
                    matrix(s.scale, s.left, s.top)
                })
                .put(strokes)
                .put(following("stroke", live))
                .put(following("places", places))
                .shows(
                    move || sketch.found.get_clone(),
                    |found| {
                        let lines = found.map(|f| found_lines(&f)).unwrap_or_default();
                        let lines = lines.into_iter().map(|l| twice(l).into());
                        View::from(lines.collect::<Vec<_>>())
                    },
                ),
        )
        .shows(
            move || sketch.found.get_clone(),
            move |found| {
                let labels = found.map(|f| found_labels(&f)).unwrap_or_default();
                let labels = labels.into_iter().map(|l| words(studio, l).into());
                View::from(labels.collect::<Vec<_>>())
            },
        )
}

fn stroke_line(path: String) -> El {
    twice(Line {
        class: "stroke",
        path,
        filled: false,
    })
}

/// A line that changes while it is looked at.
fn following(class: &'static str, path: impl Fn() -> String + Clone + 'static) -> El {
    let one = |of: &'static str| {
        svg("path")
            .at("class", of)
            .at("d", path.clone())
            .at("vector-effect", "non-scaling-stroke")
    };
    svg("g")
        .at("class", class)
        .put(one("halo"))
        .put(one("core"))
}

fn path(stroke: &Stroke) -> String {
    let mut d = String::new();
    for (i, p) in stroke.iter().enumerate() {
        d.push_str(&format!(
            "{}{:.1} {:.1}",
            if i == 0 { 'M' } else { 'L' },
            p.x,
            p.y
        ));
    }
    d
}

/// A dot at each place.
fn dots(stroke: &Stroke) -> String {
    stroke
        .iter()
        .map(|p| format!("M{:.1} {:.1}h0", p.x, p.y))
        .collect()
}

fn found_lines(found: &Found) -> Vec<Line> {
    let mut lines: Vec<Line> = found
        .paths
        .iter()
        .map(|path| Line {
            class: "result",
            path: path.clone(),
            filled: true,
        })
        .collect();
    for shape in &found.over.shapes {
        if shape.sketched.followed.largest_mm >= SHOWN_MM {
            lines.push(Line {
                class: "dimension off",
                path: path(&vec![shape.farthest, shape.nearest]),
                filled: false,
            });
        }
    }
    lines
}

fn found_labels(found: &Found) -> Vec<Label> {
    let shapes = found.over.shapes.iter();
    let far = shapes.filter(|s| s.sketched.followed.largest_mm >= SHOWN_MM);
    far.map(|shape| {
        let below = shape.farthest.y > shape.nearest.y;
        Label {
            at: shape.farthest,
            of: shape.farthest,
            dx: 0.0,
            dy: if below { 26.0 } else { -14.0 },
            anchor: "middle",
            class: "label",
            text: format!("{} mm", tenths(shape.sketched.followed.largest_mm)),
        }
    })
    .collect()
}
