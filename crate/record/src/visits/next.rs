//! When the client is to come next: from a day to a day.

use ophryon_agreement::Day;
use serde::{Deserialize, Serialize};

use super::Visit;

/// Weeks until the next visit, least and most. Common practice: the surface
/// heals in 10 to 30 days and the second visit follows after 4 to 8 weeks
/// (studios' own pages only; no trial was found).
pub const NEXT_VISIT_WEEKS: (u32, u32) = (4, 8);

/// A range of days, both included. Never a promise that the skin is ready.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct NextVisit {
    /// Not before this day.
    pub from: Day,
    /// Not after this day; never before `from`.
    pub to: Day,
}

impl NextVisit {
    /// "between 11 April and 9 May 2025 …".
    pub fn words(self) -> String {
        if self.from == self.to {
            return format!("next visit on {}", self.from.in_words());
        }
        format!(
            "next visit between {} and {}; how long skin takes differs, so look at it first",
            self.from.in_words(),
            self.to.in_words()
        )
    }
}

impl Visit {
    /// What deserves a second look of its day, which is kept all the same.
    pub fn day_doubt(&self, today: Day) -> Option<String> {
        let day = self.day.in_words();
        if self.day > today {
            return Some(format!("{day} is still to come. Look at the year."));
        }
        let a_year_on = self.day.later(366)?;
        (a_year_on < today).then(|| format!("{day} is more than a year back. Look at the year."))
    }

    /// Four to eight weeks after this visit, to be edited and kept in
    /// [`Visit::next`]; `None` at the calendar's end.
    pub fn proposed_next(&self) -> Option<NextVisit> {
        let (least, most) = NEXT_VISIT_WEEKS;
        Some(NextVisit {
            from: self.day.later(7 * least)?,
            to: self.day.later(7 * most)?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::VisitKind;

    #[test]
    fn a_year_that_was_mistyped_is_said() {
        let doubt = |day: &str| {
            let visit = Visit::new(day.parse().unwrap(), VisitKind::FirstSession);
            visit.day_doubt("2026-11-28".parse().unwrap())
        };
        assert_eq!(doubt("2026-11-28"), None);
        assert_eq!(doubt("2025-11-28"), None);
        assert_eq!(
            doubt("2126-11-28").unwrap(),
            "28 November 2126 is still to come. Look at the year."
        );
        assert_eq!(
            doubt("1926-11-28").unwrap(),
            "28 November 1926 is more than a year back. Look at the year."
        );
        assert!(doubt("2026-11-29").is_some());
        assert!(doubt("2025-11-01").is_some());
        assert!(doubt("9999-12-31").is_some());
    }
}
