//! Where the brows stand among published measures: said, not scored.

use ophryon_brow::{NO_BEST_RULE, Published, Standing, StandingUnit};
use ophryon_frames::Side;
use sycamore::web::View;

use crate::markup::{El, div, el, p};
use crate::number::{decimals, tenths};
use crate::shape;
use crate::studio::Studio;
use crate::words;

/// Below this two numbers of a row are told as one, in the row's unit.
const ALIKE: f64 = 0.005;

/// The section.
pub fn section(studio: Studio) -> El {
    let rows = move || {
        let read = |drawn: &ophryon_record::Drawn| {
            let both = drawn.standing(Side::Right).into_iter();
            both.zip(drawn.standing(Side::Left)).collect::<Vec<_>>()
        };
        studio.of_shape(read).unwrap_or_default()
    };
    let in_short = move || {
        let take_off = rows().into_iter().find(|(r, _)| r.id == "take-off");
        take_off.map_or_else(String::new, |(r, l)| format!("take-off {}", told(&r, &l)))
    };
    let inside = div("inside")
        .put(div("standing").id("standing-rows").shows(rows, |rows| {
            let rows = rows.iter().map(|(r, l)| row(r, l).into());
            View::from(rows.collect::<Vec<_>>())
        }))
        .put(p(NO_BEST_RULE).class("quiet"))
        .put(
            p("Measured as seen from the front. Of each publication the abstract was read; what exactly it measured from may differ.")
                .class("quiet"),
        );
    shape::section("standing", "Among published measures", in_short, inside)
}

fn value(of: &Standing, value: f64) -> String {
    match of.unit {
        StandingUnit::Mm => format!("{} mm", tenths(value)),
        StandingUnit::Degrees => format!("{}°", tenths(value)),
        StandingUnit::Share => decimals(value, 2),
    }
}

/// "12.3°", or "right 12.3°, left 11.8°".
fn told(right: &Standing, left: &Standing) -> String {
    match (right.value, left.value) {
        (Some(r), Some(l)) if (r - l).abs() < ALIKE => value(right, r),
        (Some(r), Some(l)) => format!("right {}, left {}", value(right, r), value(left, l)),
        (Some(r), None) => format!("right {}", value(right, r)),
        (None, Some(l)) => format!("left {}", value(left, l)),
        (None, None) => "a landmark is missing".to_owned(),
    }
}

fn published(of: &Standing, p: &Published) -> String {
    let spread = p.sd.map_or(String::new(), |sd| format!(" ± {}", plain(sd)));
    let unit = match of.unit {
        StandingUnit::Mm => " mm",
        StandingUnit::Degrees => "°",
        StandingUnit::Share => "",
    };
    format!("{}{spread}{unit}: {}. {}.", plain(p.mean), p.whom, p.source)
}

/// As it was published.
fn plain(value: f64) -> String {
    let text = decimals(value, 3);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn row(right: &Standing, left: &Standing) -> El {
    let lines = right
        .published
        .iter()
        .map(|one| el("li").words(published(right, one)));
    let lines: Vec<El> = if right.published.is_empty() {
        vec![el("li").words("No published figure was read.")]
    } else {
        lines.collect()
    };
    div("standing-row")
        .id(format!("standing-{}", right.id))
        .put(el("strong").words(told(right, left)))
        .put(p(words::title(right.name)))
        .put(el("ul").class("quiet").all(lines))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_published_figure_stands_as_it_was_published() {
        assert_eq!(plain(12.0), "12");
        assert_eq!(plain(0.929), "0.929");
        assert_eq!(plain(5.2), "5.2");
    }
}
