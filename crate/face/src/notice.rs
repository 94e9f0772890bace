//! Whether others would notice that one brow is higher: bands from published
//! viewers' thresholds.

use serde::Serialize;

use crate::Distance;

/// How likely it is that others notice a difference in height.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Notice {
    /// Under 1 mm: below what people notice.
    Below,
    /// From 1 to 2 mm: hardly anyone who isn't looking for it.
    Borderline,
    /// From 2 to 3 mm: noticed by some, the client herself among them.
    Some,
    /// From 3 mm: noticed by most.
    Most,
}

impl Notice {
    /// All, from the smallest difference up.
    pub const ALL: [Self; 4] = [Self::Below, Self::Borderline, Self::Some, Self::Most];

    /// Where the band begins, mm.
    pub const fn from_mm(self) -> f64 {
        match self {
            Self::Below => 0.0,
            Self::Borderline => 1.0,
            Self::Some => 2.0,
            Self::Most => 3.0,
        }
    }

    /// The band of a difference of so many mm, whichever side is higher.
    pub fn of(mm: f64) -> Self {
        let reached = |band: &Self| mm.abs() >= band.from_mm();
        Self::ALL.into_iter().rfind(reached).unwrap_or(Self::Below)
    }

    /// The bands that a difference reaches over with its uncertainty (k = 2),
    /// the lower first.
    pub fn within(difference: Distance) -> (Self, Self) {
        let (mm, half) = (difference.mm.abs(), difference.expanded());
        (Self::of((mm - half).max(0.0)), Self::of(mm + half))
    }

    /// In words, to follow "others": "would hardly notice it".
    pub const fn words(self) -> &'static str {
        match self {
            Self::Below => "would not notice it",
            Self::Borderline => "would hardly notice it",
            Self::Some => "may notice it if they look closely",
            Self::Most => "would mostly notice it",
        }
    }

    /// What others do with a difference, to follow "At rest" or "In use", with
    /// its uncertainty where that could change the answer.
    pub fn sentence(difference: Distance) -> String {
        let best = Self::of(difference.mm);
        let (least, most) = Self::within(difference);
        let or = match (least < best, most > best) {
            (false, false) => return format!("others {}.", best.words()),
            (true, true) => "less or more",
            (true, false) => "less",
            (false, true) => "more",
        };
        format!(
            "others {}; with its ± {:.1} mm the difference may also be {or}.",
            best.words(),
            difference.expanded()
        )
    }
}

/// Where the bands come from, for whoever asks. The bands themselves are ours.
pub const NOTICE_SOURCES: &str = "\
Under 1 mm is below what people notice, 1 to 2 mm borderline, 2 to 3 mm noticed by some, more by most. \
The bands are ours, from published tests: of 145 viewers 23 % saw a difference of 1 mm between the brows, 97 % one of 6 mm (Hohman et al., Laryngoscope 2014;124:860-5). \
Viewers who did not know what was asked noticed brows from 3 mm on (Chu et al., Arch Facial Plast Surg 2011;13:14-9). \
683 patients noticed their own brows from 2 mm on (Tiryaki and Ciloglu, Aesthet Surg J 2007;27:513-7). \
Lids are seen sooner: 51 to 66 % of viewers saw 1 mm, 7 to 19 % half a millimetre (Preston et al., Ophthalmic Plast Reconstr Surg 2024). \
Most people differ by more than 1 mm somewhere: 93 of 100 people measured before surgery of their lids did (Macdonald et al., J Otolaryngol Head Neck Surg 2014;43:36).";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bands_begin_where_they_are_said_to() {
        for (mm, band) in [
            (0.0, Notice::Below),
            (0.99, Notice::Below),
            (-1.0, Notice::Borderline),
            (1.99, Notice::Borderline),
            (2.0, Notice::Some),
            (-2.9, Notice::Some),
            (3.0, Notice::Most),
            (40.0, Notice::Most),
        ] {
            assert_eq!(Notice::of(mm), band, "{mm}");
        }
        assert_eq!(Notice::of(f64::NAN), Notice::Below);
    }

    #[test]
    fn the_uncertainty_is_said_where_it_changes_the_answer() {
        let said = |mm: f64, sd: f64| Notice::sentence(Distance { mm, sd });
        assert_eq!(said(0.3, 0.2), "others would not notice it.");
        assert!(said(0.3, 0.4).ends_with("the difference may also be more."));
        assert!(said(-2.1, 0.3).ends_with("± 0.6 mm the difference may also be less."));
        assert!(said(2.5, 1.0).ends_with("may also be less or more."));
    }
}
