//! What keeps a style from being used: numbers that are none, that contradict
//! each other, or that no brow has.

use crate::style::{Band, Leeway, Style, StyleFront};
use crate::{MOST_TAIL_WISHES, SOFTEST_MM, THICKNESS_RANGE_MM};

/// Characters of a style's name: what fits on a button.
pub const LONGEST_STYLE_NAME: usize = 40;

/// Characters of what is said about it.
pub const LONGEST_ABOUT: usize = 300;

/// Places along the tail whose thickness a style can name.
pub const MOST_TAIL_PLACES: usize = MOST_TAIL_WISHES;

/// Where a peak can lie, as a share of the eye's width from its inner corner;
/// measured ones lie near 0.9.
pub(super) const PEAK_PLACE: (f64, f64) = (0.3, 1.6);
/// How high a peak can lie above the front top, mm.
pub(super) const RISE_MM: (f64, f64) = (0.0, 20.0);
/// Radius around the peak, mm; beyond it a brow is a straight line.
pub(super) const RADIUS_MM: (f64, f64) = (1.0, 50.0);
/// As [`crate::Limits`] has it.
pub(super) const ROUNDING: (f64, f64) = (0.05, 0.9);
/// Largest bow of a top line, mm.
pub(super) const STRAIGHT_MM: (f64, f64) = (0.05, 5.0);
/// Thickness as a share of that at the start.
pub(super) const THICKNESS: (f64, f64) = (0.02, 2.0);
/// Length of the tail as a share of the mapped one.
pub(super) const TAIL_LENGTH: (f64, f64) = (0.5, 1.6);
/// Largest lean of a front edge, mm.
pub(super) const LEAN_MM: (f64, f64) = (-8.0, 8.0);

/// Something in a style that can't be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{field}: {sentence}")]
pub struct StyleProblem {
    /// Where in the style: `tail[1].thickness`.
    pub field: String,
    /// What is wrong and the way out.
    pub sentence: String,
}

struct Sieve(Vec<StyleProblem>);

impl Sieve {
    fn add(&mut self, field: &str, sentence: String) {
        let field = field.to_owned();
        self.0.push(StyleProblem { field, sentence });
    }

    fn band(&mut self, field: &str, band: Band, (low, high): (f64, f64)) {
        let Band { least, most } = band;
        if !(low..=high).contains(&least) || !(low..=high).contains(&most) {
            self.add(
                field,
                format!("least {least} and most {most} must lie between {low} and {high}"),
            );
        } else if least > most {
            self.add(field, format!("least {least} is more than most {most}"));
        }
    }

    fn leeway(&mut self, field: &str, leeway: Leeway, range: (f64, f64)) {
        let before = self.0.len();
        self.band(field, leeway.band(), range);
        let Leeway { usual, least, most } = leeway;
        if self.0.len() == before && !leeway.band().holds(usual) {
            self.add(
                field,
                format!("usual {usual} must lie between least {least} and most {most}"),
            );
        }
    }

    fn text(&mut self, field: &str, text: &str, longest: usize) {
        if text.chars().count() > longest {
            self.add(
                field,
                format!("it is longer than {longest} characters; shorten it"),
            );
        } else if text.chars().any(char::is_control) {
            self.add(
                field,
                "it holds a line break or another control character; write it on one line".into(),
            );
        }
    }
}

impl Style {
    /// Everything that keeps it from being used; empty for a style that is
    /// sound.
    pub fn problems(&self) -> Vec<StyleProblem> {
        let mut sieve = Sieve(Vec::new());
        let s = &mut sieve;
        if self.name.trim().is_empty() {
            s.add("name", "it is empty; give the style a name".into());
        }
        s.text("name", &self.name, LONGEST_STYLE_NAME);
        s.text("about", &self.about, LONGEST_ABOUT);
        s.band("peak-place", self.peak_place, PEAK_PLACE);
        s.band("rise-mm", self.rise_mm, RISE_MM);
        s.leeway("peak-radius-mm", self.peak_radius_mm, RADIUS_MM);
        s.leeway("rounding", self.rounding, ROUNDING);
        s.leeway("straight-mm", self.straight_mm, STRAIGHT_MM);
        s.band("start-mm", self.start_mm, THICKNESS_RANGE_MM);
        s.leeway("body", self.body, THICKNESS);
        s.leeway("peak", self.peak, THICKNESS);
        s.leeway("tail-length", self.tail_length, TAIL_LENGTH);
        match self.front {
            StyleFront::Square => {}
            StyleFront::Soft { radius_mm } => {
                s.leeway("front.radius-mm", radius_mm, (0.1, SOFTEST_MM));
            }
            StyleFront::Slanted { lean_mm } => s.leeway("front.lean-mm", lean_mm, LEAN_MM),
        }
        tail(s, self);
        sieve.0
    }
}

fn tail(s: &mut Sieve, style: &Style) {
    if style.tail.len() > MOST_TAIL_PLACES {
        let n = style.tail.len();
        s.add(
            "tail",
            format!("{n} places are more than the {MOST_TAIL_PLACES} that a tail can have"),
        );
        return;
    }
    for (i, place) in style.tail.iter().enumerate() {
        let field = format!("tail[{i}]");
        if !(0.05..=0.95).contains(&place.at) {
            let at = place.at;
            s.add(
                &format!("{field}.at"),
                format!("{at} must lie between 0.05 and 0.95"),
            );
        }
        s.leeway(&format!("{field}.thickness"), place.thickness, THICKNESS);
        let Some(before) = i.checked_sub(1).and_then(|i| style.tail.get(i)) else {
            continue;
        };
        if place.at <= before.at {
            s.add(
                &format!("{field}.at"),
                "places must follow each other outward".into(),
            );
        }
        if place.thickness.usual > before.thickness.usual {
            s.add(
                &format!("{field}.thickness"),
                "a tail can't become thicker on its way to the tip".into(),
            );
        }
    }
}
