//! A moment as the shell's clock told it. Never compared: clocks are set back.
//! What came first is told by the order in which things were kept.

use std::fmt;
use std::str::FromStr;

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A date and time with its distance from UTC: RFC 3339 without fractions of
/// a second, as `2025-03-14T15:09:26+01:00`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct When(String);

/// No date and time.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("it is no date and time; it must read like 2025-03-14T15:09:26+01:00")]
pub struct NoTime;

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// The number in such digits, if it lies in the range.
fn number(digits: Option<&str>, (least, most): (u32, u32)) -> Option<u32> {
    let digits = digits?;
    if !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    digits.parse().ok().filter(|n| (least..=most).contains(n))
}

fn days(year: u32, month: u32) -> u32 {
    match month {
        2 if year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400)) => {
            29
        }
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

fn is_sound(text: &str) -> bool {
    let sign_at =
        |at: usize, signs: &[u8]| text.as_bytes().get(at).is_some_and(|b| signs.contains(b));
    let marks = [(4, b'-'), (7, b'-'), (10, b'T'), (13, b':'), (16, b':')];
    let (Some(year), Some(month)) = (
        number(text.get(0..4), (1900, 9999)),
        number(text.get(5..7), (1, 12)),
    ) else {
        return false;
    };
    let zone = match text.len() {
        20 => sign_at(19, b"Z"),
        25 => {
            sign_at(19, b"+-")
                && sign_at(22, b":")
                && number(text.get(20..22), (0, 14)).is_some()
                && number(text.get(23..25), (0, 59)).is_some()
        }
        _ => false,
    };
    zone && marks.iter().all(|(at, mark)| sign_at(*at, &[*mark]))
        && number(text.get(8..10), (1, days(year, month))).is_some()
        && number(text.get(11..13), (0, 23)).is_some()
        && number(text.get(14..16), (0, 59)).is_some()
        // A leap second is 60.
        && number(text.get(17..19), (0, 60)).is_some()
}

impl When {
    /// "14 March 2025": the day where it was said.
    pub fn day_in_words(&self) -> String {
        let part = |from: usize, to: usize| self.0.get(from..to).unwrap_or_default();
        let month = number(Some(part(5, 7)), (1, 12)).unwrap_or(1);
        let name = MONTHS.get(month as usize - 1).copied().unwrap_or_default();
        format!(
            "{} {name} {}",
            part(8, 10).trim_start_matches('0'),
            part(0, 4)
        )
    }

    /// "14 March 2025, 15:09": by the clock where it was said.
    pub fn in_words(&self) -> String {
        let time = self.0.get(11..16).unwrap_or_default();
        format!("{}, {time}", self.day_in_words())
    }
}

impl fmt::Display for When {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl FromStr for When {
    type Err = NoTime;

    fn from_str(text: &str) -> Result<Self, NoTime> {
        if is_sound(text) {
            Ok(Self(text.to_owned()))
        } else {
            Err(NoTime)
        }
    }
}

impl Serialize for When {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for When {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        String::deserialize(from)?.parse().map_err(D::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_is_said_as_people_say_it() {
        // The first two are RFC 3339's own examples (section 5.8), less fractions.
        for (text, words) in [
            ("1985-04-12T23:20:50Z", "12 April 1985, 23:20"),
            ("1996-12-19T16:39:57-08:00", "19 December 1996, 16:39"),
            ("1990-12-31T23:59:60Z", "31 December 1990, 23:59"),
            ("2024-02-29T00:00:00+05:45", "29 February 2024, 00:00"),
        ] {
            let when: When = text.parse().unwrap();
            assert_eq!(when.in_words(), words);
            assert_eq!(when.to_string(), text);
        }
    }

    #[test]
    fn what_is_no_time_is_refused() {
        for text in [
            "",
            "yesterday",
            "2025-03-14",
            "2025-03-14T15:09:26",
            "2025-03-14 15:09:26Z",
            "2025-13-14T15:09:26Z",
            "2025-02-29T15:09:26Z",
            "2025-03-14T24:09:26Z",
            "2025-03-14T15:09:26.5Z",
            "2025-03-14T15:09:26+1:00",
            "2025-03-14T15:09:26+01.00",
            "+025-03-14T15:09:26Z",
            "2025-03-14T15:09:2６Z",
        ] {
            assert_eq!(text.parse::<When>(), Err(NoTime), "{text}");
        }
    }
}
