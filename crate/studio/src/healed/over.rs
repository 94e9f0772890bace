//! The healed brows with what was agreed and what is missing drawn over them.

use std::rc::Rc;

use ophryon_frames::{Photo as Px, Point, Side, Skin};
use ophryon_record::{HealedOutcome, Image, LaidOver};
use sycamore::web::View;

use super::measure::at_hand;
use crate::markup::{El, div, el, p, svg};
use crate::studio::Studio;

/// What is shown beside the brows, as a share of their breadth.
const BESIDE: f64 = 0.06;
/// And above and below.
const ABOVE: f64 = 0.12;
/// Letters, as a share of the breadth of what is shown.
const LETTERS: f64 = 0.02;

/// What the picture follows from.
#[derive(Clone, PartialEq)]
struct Shown {
    url: Option<String>,
    size: (u32, u32),
    outcome: Option<Rc<HealedOutcome>>,
    laid: Option<Rc<LaidOver>>,
    is_peeking: bool,
}

/// The stage.
pub fn table(studio: Studio) -> View {
    let hand = at_hand(studio);
    let what = move || {
        let record = studio.record()?;
        let photo = record.healed_photo()?;
        let Image::File { name } = &photo.image else {
            return None;
        };
        let outcome = hand.outcome();
        let laid = match &outcome {
            Some(_) => None,
            None => record.laid_over().ok().map(Rc::new),
        };
        Some(Shown {
            url: studio.keeper.urls.with(|urls| urls.get(name).cloned()),
            size: (photo.width_px, photo.height_px),
            outcome,
            laid,
            is_peeking: studio.view.peek.get(),
        })
    };
    el("section")
        .class("stage healed-stage")
        .label("The healed brows")
        .id("healed-stage")
        .shows(what, move |shown| match shown {
            None => div("word calm")
                .put(p("The photo of the healed brows will be shown here."))
                .into(),
            Some(shown) => picture(&shown),
        })
        .into()
}

fn picture(shown: &Shown) -> View {
    let laid = shown.outcome.as_ref().map(|o| &o.laid);
    let laid = laid.or(shown.laid.as_deref());
    let (width, height) = (f64::from(shown.size.0), f64::from(shown.size.1));
    let [left, top, wide, tall] = laid.map_or([0.0, 0.0, width, height], around);
    let whose = laid.map_or("drawn", |l| l.shape.name());
    let mut drawing = svg("svg")
        .at("class", "drawing healed-picture")
        .at("viewBox", format!("{left:.1} {top:.1} {wide:.1} {tall:.1}"))
        .at("preserveAspectRatio", "xMidYMid meet")
        .at("role", "img")
        .label(format!(
            "The healed brows, with the {whose} outline, what healed and what is missing"
        ))
        .put(
            svg("image")
                .at("href", shown.url.clone())
                .at("width", format!("{width:.0}"))
                .at("height", format!("{height:.0}")),
        );
    let Some(laid) = laid.filter(|_| !shown.is_peeking) else {
        return drawing.into();
    };
    for side in Side::BOTH {
        drawing = drawing.put(line("brow", &path(&laid.outline_in_photo(side)), false));
        let checked = shown.outcome.as_ref().map(|o| o.sides.get(side));
        let Some(Ok(checked)) = checked else { continue };
        let rings = |lines: &[Vec<Point<Skin>>]| -> String {
            let ring = |line: &Vec<Point<Skin>>| {
                let seen: Vec<_> = line.iter().map(|p| laid.to_photo(*p)).collect();
                path(&seen)
            };
            lines.iter().map(ring).collect()
        };
        drawing = drawing.put(line("healed", &rings(&checked.edge), false));
        for missing in &checked.missing {
            drawing = drawing.put(line("missing", &rings(&missing.lines), true));
        }
        drawing = drawing.put(number(laid, side, &checked.area.words(), wide));
    }
    let legend = div("healed-legend")
        .put(key("brow", whose))
        .put(key("healed", "healed"))
        .put(key("missing", "to fill again"));
    View::from(vec![drawing.into(), legend.into()])
}

/// A short line as it is drawn, and what it is.
fn key(class: &'static str, words: &'static str) -> El {
    el("span")
        .put(
            svg("svg")
                .at("class", "drawing")
                .at("viewBox", "0 0 34 12")
                .decoration()
                .put(line(class, "M3 6H31", false)),
        )
        .put(el("span").words(words))
}

/// Left, top, width and height of both brows with some skin beside them.
fn around(laid: &LaidOver) -> [f64; 4] {
    let all: Vec<Point<Px>> = Side::BOTH
        .into_iter()
        .flat_map(|side| laid.outline_in_photo(side))
        .collect();
    let least = |of: fn(&Point<Px>) -> f64| all.iter().map(of).fold(f64::INFINITY, f64::min);
    let most = |of: fn(&Point<Px>) -> f64| all.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
    let (x0, x1) = (least(|p| p.x), most(|p| p.x));
    let (y0, y1) = (least(|p| p.y), most(|p| p.y));
    let wide = x1 - x0;
    let (beside, above) = (BESIDE * wide, ABOVE * wide);
    [
        x0 - beside,
        y0 - above,
        wide + 2.0 * beside,
        y1 - y0 + 2.0 * above,
    ]
}

fn path(ring: &[Point<Px>]) -> String {
    let mut d = String::new();
    for (i, p) in ring.iter().enumerate() {
        let letter = if i == 0 { 'M' } else { 'L' };
        d.push_str(&format!("{letter}{:.1} {:.1}", p.x, p.y));
    }
    d.push('Z');
    d
}

fn line(class: &'static str, path: &str, filled: bool) -> El {
    let stroke = |class: &'static str| {
        svg("path")
            .at("class", class)
            .at("vector-effect", "non-scaling-stroke")
            .at("fill-rule", "evenodd")
            .at("d", path.to_owned())
    };
    let group = svg("g").at("class", class);
    let group = if filled {
        group.put(stroke("wash"))
    } else {
        group
    };
    group.put(stroke("halo")).put(stroke("core"))
}

/// The share that was kept, above its brow.
fn number(laid: &LaidOver, side: Side, words: &str, wide: f64) -> El {
    let ring = laid.outline_in_photo(side);
    let n = ring.len().max(1) as f64;
    let x = ring.iter().map(|p| p.x).sum::<f64>() / n;
    let y = ring.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let size = LETTERS * wide;
    svg("text")
        .at("class", "label")
        .at("x", format!("{x:.1}"))
        .at("y", format!("{:.1}", y - 0.9 * size))
        .at("text-anchor", "middle")
        .at(
            "style",
            format!("font-size:{size:.1}px;stroke-width:{:.1}px", 0.28 * size),
        )
        .put(sycamore::web::View::from(format!("kept {words}")))
}
