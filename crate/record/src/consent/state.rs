//! Whether the present shape is agreed to: computed, never kept.

use ophryon_agreement::{Caution, Seal, When};
use serde::Serialize;

use super::{AgreedShape, SealBroken, Sealed};
use crate::Record;

/// Whether she has agreed to this exact shape.
#[derive(Debug, Clone, PartialEq)]
pub enum AgreedState {
    /// Her last word was yes, and nothing has changed since.
    Agreed {
        /// The seal.
        seal: Seal,
        /// What was sealed.
        sealed: Box<Sealed>,
    },
    /// Anything else.
    NotAgreed {
        /// Why.
        why: WhyNot,
    },
}

/// Why the shape is not agreed to. Only her last agreement counts: an earlier
/// one is past once she has said something newer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WhyNot {
    /// She has never agreed to any.
    Never,
    /// Something is different now.
    Changed {
        /// The version she agreed to.
        version: u32,
        /// When.
        at: When,
        /// What is different; empty where it was changed and changed back,
        /// which makes a new version all the same.
        what: Vec<Changed>,
    },
    /// She took it back.
    Withdrawn {
        /// The version she had agreed to.
        version: u32,
        /// When she took it back.
        at: When,
    },
    /// What is kept can't be relied on.
    Broken {
        /// Which agreement, from 1.
        number: usize,
        /// Why.
        why: SealBroken,
    },
}

/// Something that is different from what was agreed to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Changed {
    /// Points, form or offsets.
    Shape,
    /// What the outline keeps to.
    Limits,
    /// How it lies on the skin.
    Wrap,
    /// How a difference is evened out.
    Plan,
    /// How much smaller it is shown healed.
    Shrink,
    /// What she was asked, or answered.
    Asked,
}

impl Changed {
    const fn words(self) -> &'static str {
        match self {
            Self::Shape => "the shape",
            Self::Limits => "the limits of the outline",
            Self::Wrap => "the curve of the skin",
            Self::Plan => "the plan",
            Self::Shrink => "the healed size",
            Self::Asked => "what she was asked or answered",
        }
    }
}

impl Record {
    /// Whether she has agreed to the present shape.
    ///
    /// Every agreement's seal and place in the row is checked; the last one
    /// decides.
    pub fn agreed(&self) -> AgreedState {
        match self.last_yes() {
            Ok((seal, sealed)) => AgreedState::Agreed {
                seal,
                sealed: Box::new(sealed),
            },
            Err(why) => AgreedState::NotAgreed { why },
        }
    }

    /// She agreed, and flagged or left open cautions that the artist has not
    /// marked as read since.
    pub fn has_cautions_to_read(&self) -> bool {
        let state = self.agreed();
        !state.for_a_doctor().is_empty() && state.seal() != self.consent.cautions_read.as_ref()
    }

    fn last_yes(&self) -> Result<(Seal, Sealed), WhyNot> {
        let all = &self.consent.agreements;
        let (mut previous, mut last) = (None, None);
        for (n, one) in all.iter().enumerate() {
            let broken = |why| WhyNot::Broken { number: n + 1, why };
            let sealed = one.read().map_err(broken)?;
            if sealed.previous != previous || sealed.number as usize != n + 1 {
                return Err(broken(SealBroken::OutOfOrder));
            }
            previous = Some(one.seal);
            last = Some((one, sealed));
        }
        let Some((agreement, sealed)) = last else {
            return Err(WhyNot::Never);
        };
        if let Some(at) = &agreement.withdrawn {
            return Err(WhyNot::Withdrawn {
                version: agreement.version,
                at: at.clone(),
            });
        }
        let what = self.changed_since(&sealed);
        if !what.is_empty() || self.version != agreement.version {
            return Err(WhyNot::Changed {
                version: agreement.version,
                at: sealed.at,
                what,
            });
        }
        Ok((agreement.seal, sealed))
    }

    fn changed_since(&self, sealed: &Sealed) -> Vec<Changed> {
        let (then, now) = (&sealed.shape, AgreedShape::of(self));
        let same = |same: &dyn Fn(&AgreedShape) -> bool| now.as_ref().is_some_and(same);
        [
            (same(&|now| now.pair == then.pair), Changed::Shape),
            (self.limits == then.limits, Changed::Limits),
            (self.wrap == then.wrap, Changed::Wrap),
            (self.plan == then.plan, Changed::Plan),
            (self.shrink == then.shrink, Changed::Shrink),
            (
                self.consent.asked.as_ref() == Some(&sealed.asked),
                Changed::Asked,
            ),
        ]
        .into_iter()
        .filter_map(|(same, what)| (!same).then_some(what))
        .collect()
    }
}

impl AgreedState {
    /// It is agreed to.
    pub const fn is_agreed(&self) -> bool {
        matches!(self, Self::Agreed { .. })
    }

    /// The seal, while it holds.
    pub const fn seal(&self) -> Option<&Seal> {
        match self {
            Self::Agreed { seal, .. } => Some(seal),
            Self::NotAgreed { .. } => None,
        }
    }

    /// Cautions that she flagged or left open, while it holds.
    pub fn for_a_doctor(&self) -> Vec<&Caution> {
        match self {
            Self::Agreed { sealed, .. } => sealed.asked.for_a_doctor().collect(),
            Self::NotAgreed { .. } => Vec::new(),
        }
    }

    /// In one sentence, with the seal's first digits or NOT AGREED.
    pub fn sentence(&self) -> String {
        match self {
            Self::Agreed { seal, sealed } => {
                format!("Agreed on {}, seal {}.", sealed.at.in_words(), seal.short())
            }
            Self::NotAgreed { why } => format!("NOT AGREED: {}.", why.words()),
        }
    }
}

impl WhyNot {
    /// As the rest of a sentence.
    pub fn words(&self) -> String {
        match self {
            Self::Never => "the client has not said yes to this shape".to_owned(),
            Self::Changed { version, at, what } => {
                let what: Vec<_> = what.iter().map(|w| w.words()).collect();
                let what = if what.is_empty() {
                    "the shape was changed and changed back".to_owned()
                } else {
                    format!("{} changed", joined(&what))
                };
                format!(
                    "{what} since she agreed to version {version} on {}; ask her again",
                    at.in_words()
                )
            }
            Self::Withdrawn { version, at } => format!(
                "she withdrew her agreement to version {version} on {}",
                at.in_words()
            ),
            Self::Broken { number, why } => format!(
                "agreement {number} can't be relied on: {why}; take the file from its copy, or ask \
                 her again"
            ),
        }
    }
}

/// "a", "a and b", "a, b and c".
fn joined(parts: &[&str]) -> String {
    match parts {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
