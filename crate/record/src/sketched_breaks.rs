//! Which rules a sketched shape breaks that held before it.

use ophryon_brow::{Reading, Tolerance, Unit, Verdict};
use ophryon_frames::Side;
use serde::Serialize;

use crate::Drawn;

/// A rule that held and no longer does.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Broken {
    /// On which side; `None` where linked brows say the same on both.
    pub side: Option<Side>,
    /// The constraint as measured on the new shape.
    pub reading: Reading,
}

impl Broken {
    /// The rule, its number and what it is held against, to stand in a list.
    pub fn words(&self) -> String {
        let Reading {
            constraint,
            sentence,
            tolerance,
            unit,
            value,
            ..
        } = &self.reading;
        let whose = match self.side {
            Some(side) => format!("client's {}, ", side.name()),
            None => String::new(),
        };
        let shown = |v: f64| match unit {
            Unit::Mm => format!("{v:.1} mm"),
            Unit::Degrees => format!("{v:.1} degrees"),
            Unit::Percent => format!("{v:.0} percent"),
            Unit::Count => format!("{v:.0}"),
        };
        let may = match tolerance {
            Tolerance::AtMost { most } => format!("at most {}", shown(*most)),
            Tolerance::AtLeast { least } => format!("at least {}", shown(*least)),
            Tolerance::Within { least, most } => {
                format!("between {} and {}", shown(*least), shown(*most))
            }
            Tolerance::Shown => return format!("{whose}{}: {sentence}", constraint.name()),
        };
        let is = value.map(|v| format!("{}; ", shown(v))).unwrap_or_default();
        format!(
            "{whose}{}: {sentence} ({is}it should be {may})",
            constraint.name()
        )
    }
}

impl Drawn {
    /// The rules that hold on this shape, or have nothing to say of it, and
    /// fail on another one of the same record.
    pub fn broken_by(&self, after: &Self) -> Vec<Broken> {
        let on = |side: Side| -> Vec<Broken> {
            let failed_before = |r: &Reading| {
                let before = self.readings.get(side).iter();
                before
                    .filter(|b| b.verdict == Verdict::Fails)
                    .any(|b| b.constraint == r.constraint)
            };
            let after = after.readings.get(side).iter();
            after
                .filter(|r| r.verdict == Verdict::Fails && !failed_before(r))
                .map(|r| Broken {
                    side: Some(side),
                    reading: r.clone(),
                })
                .collect()
        };
        let [mut all, left] = Side::BOTH.map(on);
        for broken in left {
            let same = |b: &&mut Broken| {
                b.reading.constraint == broken.reading.constraint
                    && b.reading.sentence == broken.reading.sentence
            };
            match all.iter_mut().find(same) {
                Some(both) if after.pair.is_linked() => both.side = None,
                _ => all.push(broken),
            }
        }
        all
    }
}
