//! What an artist's own healed results say: the median and the spread of what
//! went, over her healed checks.
//!
//! Each check counts once, as the mean of the sides that were measured,
//! because two brows of one client heal alike. The median is plain, without
//! weights: one result that claims to be very sure, and is wrong, must not
//! carry the rest. The spread is the interquartile range by linear
//! interpolation between the ordered values (definition 7 of Hyndman and Fan,
//! The American Statistician 1996;50:361-365; from memory).

use ophryon_brow::{LARGEST_SHRINK, Shrink, ShrinkBy, USUAL_SHRINK};

use crate::{HealedCheck, Kept, MeasuredShare, SkinType};

/// Fewest healed checks from which anything is learned (ours): of five, one
/// that is far off leaves the median among the others, and a quartile on
/// either side too.
pub const FEWEST_CHECKS: usize = 5;

/// What is learned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lesson {
    /// How much smaller a brow heals.
    Shrink(ShrinkBy),
    /// How much lighter its colour heals.
    Lightening,
}

impl Lesson {
    /// The share that went of one brow.
    fn of(self, kept: &Kept) -> Option<f64> {
        let gone = |kept: MeasuredShare| 1.0 - kept.share;
        match self {
            Self::Shrink(ShrinkBy::Area) => Some(gone(kept.area)),
            Self::Shrink(ShrinkBy::Thickness) => Some(gone(kept.thickness)),
            Self::Lightening => kept.lightening.map(|l| l.share),
        }
    }
}

/// Median and quartiles of the share that went, 0 to 1; below 0 where more
/// healed than was drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnFigure {
    /// Of what.
    pub lesson: Lesson,
    /// Healed checks behind it, [`FEWEST_CHECKS`] or more.
    pub count: usize,
    /// As many went below it as above.
    pub median: f64,
    /// A quarter went below it.
    pub lower: f64,
    /// A quarter went above it.
    pub upper: f64,
}

/// A figure, or why there is none yet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Learned {
    /// Too few healed checks.
    NotYet {
        /// How many there are.
        count: usize,
        /// How many it takes.
        needed: usize,
    },
    /// Enough of them.
    Known(OwnFigure),
}

/// What is learned from all checks, and from those of each pigment and skin
/// type.
#[derive(Debug, Clone, PartialEq)]
pub struct Lessons {
    /// From all.
    pub all: Learned,
    /// By pigment, as it was first spelled; in the order they came.
    pub by_pigment: Vec<(String, Learned)>,
    /// By skin type, from I to VI; those alone that were entered.
    pub by_skin_type: Vec<(SkinType, Learned)>,
}

/// Learns from healed checks of as many clients as there are. Checks without
/// the number in question, or with one that can't be used, don't count.
pub fn learn(checks: &[&HealedCheck], lesson: Lesson) -> Lessons {
    let known: Vec<_> = checks
        .iter()
        .filter_map(|check| Some((*check, gone(check, lesson)?)))
        .collect();
    let among = |belongs: &dyn Fn(&HealedCheck) -> bool| {
        let some = known.iter().filter(|(check, _)| belongs(check));
        figure(some.map(|(_, gone)| *gone).collect(), lesson)
    };
    let mut by_pigment: Vec<(String, Learned)> = Vec::new();
    for (check, _) in &known {
        let name = check.pigment.trim();
        if name.is_empty() || by_pigment.iter().any(|(other, _)| is_same(other, name)) {
            continue;
        }
        let learned = among(&|check| is_same(&check.pigment, name));
        by_pigment.push((name.to_owned(), learned));
    }
    let by_skin_type = SkinType::ALL.into_iter().filter_map(|skin| {
        let has = |check: &HealedCheck| check.skin_type == Some(skin);
        let any = known.iter().any(|(check, _)| has(check));
        any.then(|| (skin, among(&has)))
    });
    Lessons {
        all: among(&|_| true),
        by_skin_type: by_skin_type.collect(),
        by_pigment,
    }
}

impl Lessons {
    /// From the checks with that pigment; spaces around and capitals don't
    /// matter.
    pub fn with_pigment(&self, pigment: &str) -> Learned {
        let found = self.by_pigment.iter().find(|(p, _)| is_same(p, pigment));
        found.map_or(Learned::none(), |(_, learned)| *learned)
    }

    /// The narrowest group with enough checks that a client belongs to: her
    /// pigment, else her skin type, else all; and what it is called.
    pub fn for_client(&self, pigment: Option<&str>, skin: Option<SkinType>) -> (String, Learned) {
        let enough = |learned: &Learned| learned.known().is_some();
        let by_pigment = pigment.map(|p| (format!("With {p}: "), self.with_pigment(p)));
        let by_skin = skin.map(|s| (s.on_it(), self.on_skin_type(s)));
        let mut narrow = by_pigment.into_iter().chain(by_skin);
        let found = narrow.find(|(_, learned)| enough(learned));
        found.unwrap_or((String::new(), self.all))
    }

    /// From the checks on that skin type.
    pub fn on_skin_type(&self, skin: SkinType) -> Learned {
        let found = self.by_skin_type.iter().find(|(s, _)| *s == skin);
        found.map_or(Learned::none(), |(_, learned)| *learned)
    }
}

impl Learned {
    const fn none() -> Self {
        Self::NotYet {
            count: 0,
            needed: FEWEST_CHECKS,
        }
    }

    /// The figure, once there is one.
    pub const fn known(&self) -> Option<&OwnFigure> {
        match self {
            Self::NotYet { .. } => None,
            Self::Known(figure) => Some(figure),
        }
    }

    /// To be offered in place of the common figure: `None` where there are too
    /// few checks, or where it is the colour that was asked for.
    pub fn shrink(&self) -> Option<Shrink> {
        let figure = self.known()?;
        let Lesson::Shrink(by) = figure.lesson else {
            return None;
        };
        Some(Shrink {
            share: figure.median.clamp(0.0, LARGEST_SHRINK),
            by,
        })
    }

    /// The same in whole percents, for some checks are no surer: what a new
    /// client's file begins with, and what is offered for one that is there.
    pub fn whole_shrink(&self) -> Option<Shrink> {
        let shrink = self.shrink()?;
        Some(Shrink {
            share: (100.0 * shrink.share).round() / 100.0,
            ..shrink
        })
    }

    /// [`Self::words`], and what is common beside it.
    pub fn words_beside_usual(&self) -> String {
        match self {
            Self::Known(OwnFigure {
                lesson: Lesson::Shrink(_),
                ..
            }) => format!("{}; commonly about {}", self.words(), percent(USUAL_SHRINK)),
            _ => self.words(),
        }
    }

    /// One sentence with the count, without a full stop.
    pub fn words(&self) -> String {
        let figure = match self {
            Self::NotYet { count, needed } => {
                return format!(
                    "{count} of the {needed} healed checks that your own figure takes; until then the common {:.0} % stands for how much smaller a brow heals",
                    100.0 * USUAL_SHRINK
                );
            }
            Self::Known(figure) => figure,
        };
        let OwnFigure { count, lesson, .. } = *figure;
        let spread = format!(
            "the middle of your {count} healed checks, half of them between {} and {}",
            percent(figure.lower),
            percent(figure.upper)
        );
        match lesson {
            Lesson::Lightening => format!("{} lighter, {spread}", percent(figure.median)),
            Lesson::Shrink(by) => {
                let mut words = format!(
                    "{} smaller in {}, {spread}",
                    percent(figure.median),
                    by.name()
                );
                if !(0.0..=LARGEST_SHRINK).contains(&figure.median) {
                    words.push_str(&format!(
                        "; only {} to {} can be drawn with, so check how they were measured",
                        percent(0.0),
                        percent(LARGEST_SHRINK)
                    ));
                }
                words
            }
        }
    }
}

impl SkinType {
    /// "On skin of type III (sometimes burns, tans slowly): ".
    pub fn on_it(self) -> String {
        format!("On skin of type {} ({}): ", self.numeral(), self.words())
    }
}

/// What went in one check: the mean of the sides.
fn gone(check: &HealedCheck, lesson: Lesson) -> Option<f64> {
    let sides: Vec<f64> = check.sound().filter_map(|kept| lesson.of(kept)).collect();
    let sum: f64 = sides.iter().sum();
    (!sides.is_empty()).then(|| sum / sides.len() as f64)
}

fn figure(mut gone: Vec<f64>, lesson: Lesson) -> Learned {
    let count = gone.len();
    if count < FEWEST_CHECKS {
        let needed = FEWEST_CHECKS;
        return Learned::NotYet { count, needed };
    }
    gone.sort_by(f64::total_cmp);
    Learned::Known(OwnFigure {
        lesson,
        count,
        median: quantile(&gone, 0.5),
        lower: quantile(&gone, 0.25),
        upper: quantile(&gone, 0.75),
    })
}

/// Of values in order, at least one.
fn quantile(ordered: &[f64], share: f64) -> f64 {
    let place = share * (ordered.len() - 1) as f64;
    let below = place.floor();
    let (first, part) = (below as usize, place - below);
    let low = ordered[first];
    let high = ordered.get(first + 1).copied().unwrap_or(low);
    low + part * (high - low)
}

fn is_same(pigment: &str, other: &str) -> bool {
    pigment.trim().to_lowercase() == other.trim().to_lowercase()
}

fn percent(share: f64) -> String {
    // Adding 0 turns -0 into 0.
    format!("{} %", (100.0 * share).round() + 0.0)
}
