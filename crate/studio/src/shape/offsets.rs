//! Both sides: linked or apart, and each side's measured offset.

use ophryon_brow::{Offset, Pair};
use ophryon_frames::Side;
use ophryon_record::Edit;
use sycamore::web::View;

use super::{quiet, section};
use crate::markup::{El, button, div, el, glance, p, selector};
use crate::number::signed;
use crate::parts;
use crate::parts::icon::{Drawing, icon};
use crate::parts::number_field::NumberField;
use crate::studio::Studio;
use crate::words;

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
pub fn both_sides(studio: Studio) -> El {
    let linked = move || studio.of_shape(|d| d.pair.is_linked()).unwrap_or(true);
    let short = move || studio.of_shape(|d| in_short(&d.pair)).unwrap_or_default();
    let inside = div("inside")
        .shows(linked, move |is_linked| {
            if is_linked {
                linked_sides(studio)
            } else {
                sides_apart(studio)
            }
        })
        .put(quiet("An offset moves one side's brow as a whole, for instance to even out half of a difference. It is kept when the shape changes."))
        .all(Side::BOTH.map(|side| one_offset(studio, side)));
    section("both-sides", "Both sides", short, inside)
}

fn linked_sides(studio: Studio) -> View {
    parts![
        p("Linked: a change on one side is mirrored on the other."),
        button("button", "unlink")
            .put(icon(Drawing::Apart))
            .put(el("span").words("Let each side go its own way"))
            .click(move || {
                studio.apply(&Edit::Unlink);
            }),
    ]
}

fn sides_apart(studio: Studio) -> View {
    let link = |from: Side| {
        button("button", format!("link-{}", from.name()))
            .put(icon(Drawing::Linked))
            .put(el("span").words(format!("Link, keep {}", words::side_of(from))))
            .click(move || {
                studio.apply(&Edit::Link { from });
            })
    };
    parts![
        p("Apart: each side changes alone. Linking keeps one side and mirrors it."),
        div("buttons").all(Side::BOTH.map(link)),
    ]
}

fn one_offset(studio: Studio, side: Side) -> El {
    let offset = selector(Box::new(move || {
        studio
            .of_shape(|d| *d.pair.offset.get(side))
            .unwrap_or_default()
    }));
    let field = |label, what: &str, read: fn(&mut Offset) -> &mut f64| {
        NumberField::new(label, format!("offset-{}-{what}", side.name())).view(
            move || {
                let mut offset = offset.get();
                Some(*read(&mut offset))
            },
            move |value| {
                let mut offset = glance(|| offset.get());
                *read(&mut offset) = value;
                studio.apply(&Edit::SetOffset { side, offset });
            },
        )
    };
    el("fieldset")
        .put(el("h3").words(words::side_title(side)))
        .put(
            div("question")
                .put(field("Up, mm", "height", |o| &mut o.height_mm))
                .put(field("Outward, mm", "lateral", |o| &mut o.lateral_mm))
                .put(field("Tail turned up, degrees", "turn", |o| {
                    &mut o.turn_degrees
                })),
        )
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
