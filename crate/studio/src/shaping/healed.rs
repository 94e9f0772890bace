//! What stays of the shape once it has healed: on the face, in numbers beside
//! the drawn ones, and what would have to be drawn to keep this one.

use ophryon_brow::{HealError, Shrink, ShrinkBy};
use ophryon_frames::Side;
use ophryon_record::{Drawn, Edit, HealedSide, Lesson, Record, SkinType};
use sycamore::reactive::{Signal, create_effect};
use sycamore::web::View;

use super::numbers::rows;
use crate::healed::learned;
use crate::markup::{El, button, div, el, glance, p};
use crate::number::decimals;
use crate::parts::line::{Stands, line};
use crate::parts::number_field::NumberField;
use crate::shape;
use crate::studio::Studio;
use crate::words;

/// Less than this is no difference that can be drawn, mm.
const SEEN_MM: f64 = 0.05;

/// From a share to percent.
const PERCENT: f64 = 100.0;

/// Keeps the healed outlines on the face while they are shown.
pub fn follow(studio: Studio) {
    let beside = studio.view.beside;
    create_effect(move || {
        let shown = (beside.shows_healed.get(), beside.shows_larger.get());
        let any = shown.0 || shown.1;
        let paths = any.then(|| studio.of_shape(|drawn| on_face(drawn, shown)));
        let paths = paths.flatten();
        if beside.healed.with_untracked(|p| *p != paths) {
            beside.healed.set(paths);
        }
    });
}

/// Path data of both healed brows, and of both that would heal to the drawn
/// ones, photo px.
fn on_face(drawn: &Drawn, (healed, larger): (bool, bool)) -> String {
    let mut path = String::new();
    for ways in [
        healed.then(|| drawn.healed()),
        larger.then(|| drawn.to_draw()),
    ] {
        for (_, way) in ways.iter().flat_map(ophryon_frames::Sided::iter) {
            if let Ok(side) = way {
                path.push_str(&drawn.path_of(&side.seen));
            }
        }
    }
    path
}

fn shrink(studio: Studio) -> Shrink {
    studio.record().map(|r| r.shrink).unwrap_or_default()
}

/// "10 % smaller".
fn percent(share: f64) -> String {
    let tenths = decimals(PERCENT * share, 1);
    format!("{} %", tenths.strip_suffix(".0").unwrap_or(&tenths))
}

/// The section.
pub fn section(studio: Studio) -> El {
    let in_short = move || {
        let Shrink { share, by } = shrink(studio);
        let less = format!("{} less {}", percent(share), by.name());
        match remarks(studio).iter().filter(|(off, _)| *off).count() {
            0 => less,
            1 => format!("{less}, one thing to look at"),
            n => format!("{less}, {n} things to look at"),
        }
    };
    let beside = studio.view.beside;
    let inside = div("inside")
        .put(
            el("ul")
                .class("says")
                .id("healed-says")
                .shows(move || remarks(studio), listed),
        )
        .put(numbers(studio))
        .put(shown(
            beside.shows_healed,
            "healed-on-face",
            "Show it on the face",
        ))
        .put(how_much(studio))
        .put(instead(studio))
        .put(shown(
            beside.shows_larger,
            "larger-on-face",
            "Show the larger one on the face",
        ));
    shape::section("healed", "Once healed", in_short, inside)
}

/// A button that lays an outline on the face.
fn shown(shows: Signal<bool>, id: &'static str, words: &'static str) -> El {
    button("button wide", id)
        .pressed(move || shows.get())
        .words(words)
        .click(move || shows.set(!shows.get_untracked()))
}

fn listed(all: Vec<(bool, String)>) -> View {
    let lines = all.into_iter().map(|(off, words)| {
        let (stands, sign) = if off {
            (Stands::Off, "wants a look")
        } else {
            (Stands::Told, "for information")
        };
        line(stands, sign, words).into()
    });
    View::from(lines.collect::<Vec<_>>())
}

/// What is to be said of healing, and whether it wants a look; the same of
/// both sides stands once.
fn remarks(studio: Studio) -> Vec<(bool, String)> {
    let said = |drawn: &Drawn| {
        // The first sentence tells; what follows it wants a look.
        let of = |side: &Result<HealedSide, HealError>| match side {
            Ok(h) => {
                let all = h.healing.sentences().into_iter().enumerate();
                all.map(|(i, words)| (i > 0, words)).collect()
            }
            Err(why) => vec![(true, why.to_string())],
        };
        let healed = drawn.healed();
        let (right, left): (Vec<_>, Vec<_>) = (of(&healed.right), of(&healed.left));
        if right == left {
            return right;
        }
        let named = |side: Side, all: Vec<(bool, String)>| {
            let name = words::side_title(side);
            all.into_iter()
                .map(move |(off, said)| (off, format!("{name}: {said}")))
        };
        named(Side::Right, right)
            .chain(named(Side::Left, left))
            .collect()
    };
    let mut all = studio.of_shape(said).unwrap_or_default();
    for (_, words) in &mut all {
        *words = words::sentence(words);
    }
    all
}

/// Drawn beside healed.
fn numbers(studio: Studio) -> El {
    let cells = move || {
        let read = |drawn: &Drawn| {
            let healed = drawn.healed();
            let healed = |side| healed.get(side).as_ref().ok().map(|h| h.healed);
            let as_drawn = |side| drawn.stage_numbers(side);
            let (r, l) = (healed(Side::Right), healed(Side::Left));
            let shapes = [
                (Some(as_drawn(Side::Right)), Some(as_drawn(Side::Left))),
                (r, l),
            ];
            let shapes = shapes.each_ref().map(|(r, l)| (r.as_ref(), l.as_ref()));
            rows(&shapes)
                .into_iter()
                .map(|row| (row.id, row.name, row.cells))
                .collect::<Vec<_>>()
        };
        studio.of_shape(read).unwrap_or_default()
    };
    table(&["Drawn", "Healed"], "healed-numbers", cells)
}

/// A table of lengths, one column a shape.
fn table(
    columns: &[&'static str],
    id: &'static str,
    cells: impl Fn() -> Vec<(&'static str, String, Vec<String>)> + 'static,
) -> El {
    let head = |words: &'static str| el("th").at("scope", "col").words(words);
    let body = move |rows: Vec<(&'static str, String, Vec<String>)>| {
        let rows = rows.into_iter().map(|(id, name, cells)| {
            el("tr")
                .id(format!("healed-{id}"))
                .put(el("th").at("scope", "row").words(name))
                .all(cells.into_iter().map(|c| el("td").words(c)))
                .into()
        });
        View::from(rows.collect::<Vec<_>>())
    };
    div("scroll-across").put(
        el("table")
            .class("numbers")
            .id(id)
            .put(
                el("thead").put(
                    el("tr")
                        .put(el("td"))
                        .all(columns.iter().map(|words| head(words))),
                ),
            )
            .put(el("tbody").shows(cells, body)),
    )
}

/// How much smaller, and of what.
fn how_much(studio: Studio) -> El {
    let set = move |change: &dyn Fn(&mut Shrink)| {
        let mut shrink = glance(|| shrink(studio));
        change(&mut shrink);
        studio.apply(&Edit::SetShrink(shrink));
    };
    let field = NumberField {
        step: 1.0,
        ..NumberField::new("It heals smaller by, %", "shrink")
    };
    let by = |of: ShrinkBy, id: &'static str| {
        button("button", id)
            .pressed(move || shrink(studio).by == of)
            .words(match of {
                ShrinkBy::Area => "Of its area",
                ShrinkBy::Thickness => "Of its thickness",
            })
            .click(move || set(&|s| s.by = of))
    };
    div("field")
        .put(field.view(
            move || Some(PERCENT * shrink(studio).share),
            // Out of its range it is refused in words, and nothing changes.
            move |percent| set(&|s| s.share = percent / PERCENT),
        ))
        .put(
            div("sides")
                .at("role", "group")
                .label("Smaller by a share of what")
                .put(by(ShrinkBy::Area, "shrink-area"))
                .put(by(ShrinkBy::Thickness, "shrink-thickness")),
        )
        .put(own(studio))
}

/// The artist's own figure in place of the common one, once there are enough
/// healed checks.
fn own(studio: Studio) -> El {
    let checks = learned::checks(studio);
    let offer = move || {
        let (record, checks) = (studio.record()?, checks.get_clone()?);
        let (pigment, skin) = (latest_pigment(&record), latest_skin(&record));
        let lessons = learned::lessons(&checks, Lesson::Shrink(record.shrink.by));
        let (of, figure) = lessons.for_client(pigment.as_deref(), skin);
        let said = format!("{of}{}", figure.words_beside_usual());
        let offered = figure.whole_shrink();
        Some((said, offered, offered == Some(record.shrink)))
    };
    div("own-figure")
        .id("own-figure")
        .shows(offer, move |offer| {
            let Some((said, offered, is_taken)) = offer else {
                return View::new();
            };
            let Some(shrink) = offered else {
                return p(format!(
                    "A tenth of the area is common practice, without a source. {}",
                    words::sentence(&said)
                ))
                .class("quiet")
                .into();
            };
            let words = p(format!("Your own: {}", words::sentence(&said)));
            // The other one is a tap away.
            let (id, class, name, other) = if is_taken {
                (
                    "take-common-figure",
                    "button wide",
                    "the common",
                    Shrink::default(),
                )
            } else {
                ("take-own-figure", "button main wide", "your own", shrink)
            };
            View::from(vec![
                words.into(),
                button(class, id)
                    .words(format!("Use {name} {}", percent(other.share)))
                    .click(move || {
                        studio.apply(&Edit::SetShrink(other));
                    })
                    .into(),
            ])
        })
}

/// What was worked in last, or is laid out for the next session.
fn latest_pigment(record: &Record) -> Option<String> {
    let log = record.visit_log();
    let mut used = log.iter().rev().filter_map(|(_, v)| v.pigments.first());
    used.next().map(|p| p.name.clone())
}

/// How her skin answers to sun, as she told last.
fn latest_skin(record: &Record) -> Option<SkinType> {
    let log = record.visit_log();
    let mut checks = log.iter().rev().filter_map(|(_, v)| v.healed.as_deref());
    checks.find_map(|check| check.skin_type)
}

/// What to draw so that the present shape is what stays.
fn instead(studio: Studio) -> El {
    let said = move || {
        let read = |drawn: &Drawn| {
            let ways = drawn.to_draw();
            let one = |h: &HealedSide| {
                if h.healing.distance_mm < SEEN_MM {
                    return "It keeps this very size once healed.".to_owned();
                }
                format!(
                    "To keep this very size once healed, draw it {} mm larger all round: {} mm thick at the body instead of {}.",
                    decimals(h.healing.distance_mm, 2),
                    decimals(h.drawn.thickness_body_mm, 1),
                    decimals(h.healed.thickness_body_mm, 1),
                )
            };
            match (&ways.right, &ways.left) {
                (Ok(r), Ok(l)) if one(r) == one(l) => one(r),
                (Ok(r), Ok(l)) => format!("Client's right: {} Client's left: {}", one(r), one(l)),
                (Err(why), _) | (_, Err(why)) => words::sentence(&why.to_string()),
            }
        };
        studio.of_shape(read).unwrap_or_default()
    };
    p("").class("quiet").id("to-draw").says(said)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_percents_have_no_decimals() {
        assert_eq!(percent(0.1), "10 %");
        assert_eq!(percent(0.125), "12.5 %");
    }
}
