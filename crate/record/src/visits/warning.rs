//! What of a visit's supplies deserves a second look. A warning keeps nothing
//! from being entered: what was used was used.

use std::fmt;

use ophryon_agreement::Day;

use super::{Supply, Visit};

/// One thing to look at.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum VisitWarning {
    /// Its expiry day is over.
    Expired {
        /// What it is called.
        name: String,
        /// Its last day.
        expires: Day,
    },
    /// This is its last day.
    ExpiresToday {
        /// What it is called.
        name: String,
    },
    /// A pigment without a batch number. In the European Union a label has to
    /// carry one: Regulation (EU) 2020/2081 of 14 December 2020, entry 75 of
    /// Annex XVII to REACH, OJ L 423, 15.12.2020, p. 6.
    NoBatch {
        /// What the pigment is called.
        name: String,
    },
    /// A pigment without an expiry day, so that nothing can be said of it.
    NoExpiry {
        /// What the pigment is called.
        name: String,
    },
    /// Passes were counted and no batch of needles was entered. Local codes
    /// differ in what they ask for.
    NoNeedleBatch,
}

impl VisitWarning {
    /// The name in ids and in JSON.
    pub const fn id(&self) -> &'static str {
        match self {
            Self::Expired { .. } => "expired",
            Self::ExpiresToday { .. } => "expires-today",
            Self::NoBatch { .. } => "no-batch",
            Self::NoExpiry { .. } => "no-expiry",
            Self::NoNeedleBatch => "no-needle-batch",
        }
    }
}

impl fmt::Display for VisitWarning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Expired { name, expires } => write!(
                f,
                "“{name}” was to be used until {}; take one that has not expired",
                expires.in_words()
            ),
            Self::ExpiresToday { name } => write!(
                f,
                "this is the last day of “{name}”; check the label, and have a new one for the next client"
            ),
            Self::NoBatch { name } => write!(
                f,
                "no batch number is entered for the pigment “{name}”; in the European Union its label has to carry one (REACH Annex XVII, entry 75), and without it nobody can trace the bottle"
            ),
            Self::NoExpiry { name } => write!(
                f,
                "no expiry day is entered for the pigment “{name}”, so it can't be checked; read it off the label"
            ),
            Self::NoNeedleBatch => {
                f.write_str("no batch of the needles is entered; some local codes ask for it")
            }
        }
    }
}

impl Visit {
    /// What to look at on that day: today while the visit is entered, the
    /// visit's own day when the log is read later.
    pub fn warnings(&self, on: Day) -> Vec<VisitWarning> {
        let mut all = Vec::new();
        let pigments = self.pigments.iter();
        all.extend(
            self.tools
                .iter()
                .chain(pigments.clone())
                .filter_map(|s| expiry(s, on)),
        );
        for one in pigments {
            let name = || one.name.clone();
            if one.batch.trim().is_empty() {
                all.push(VisitWarning::NoBatch { name: name() });
            }
            if one.expires.is_none() {
                all.push(VisitWarning::NoExpiry { name: name() });
            }
        }
        let mut work = self.work.iter().flat_map(|(_, zones)| zones.iter());
        if self.needle_batch.trim().is_empty() && work.any(|(_, w)| w.passes > 0) {
            all.push(VisitWarning::NoNeedleBatch);
        }
        all
    }
}

fn expiry(supply: &Supply, on: Day) -> Option<VisitWarning> {
    let expires = supply.expires.filter(|day| *day <= on)?;
    let name = supply.name.clone();
    Some(if expires == on {
        VisitWarning::ExpiresToday { name }
    } else {
        VisitWarning::Expired { name, expires }
    })
}
