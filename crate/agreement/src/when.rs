//! A moment as the shell's clock told it, and a day of the calendar.
//!
//! Moments are never compared: clocks are set back, and what came first is told
//! by the order in which things were kept. Days are: an expiry day that is
//! printed on a bottle is no clock's.

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

/// The months in English, January first.
pub const MONTHS: [&str; 12] = [
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

fn stands(text: &str, at: usize, signs: &[u8]) -> bool {
    text.as_bytes().get(at).is_some_and(|b| signs.contains(b))
}

fn is_sound(text: &str) -> bool {
    let marks = [(10, b'T'), (13, b':'), (16, b':')];
    let zone = match text.len() {
        20 => stands(text, 19, b"Z"),
        25 => {
            stands(text, 19, b"+-")
                && stands(text, 22, b":")
                && number(text.get(20..22), (0, 14)).is_some()
                && number(text.get(23..25), (0, 59)).is_some()
        }
        _ => false,
    };
    zone && marks.iter().all(|(at, mark)| stands(text, *at, &[*mark]))
        && text.get(0..10).is_some_and(|day| day.parse::<Day>().is_ok())
        && number(text.get(11..13), (0, 23)).is_some()
        && number(text.get(14..16), (0, 59)).is_some()
        // A leap second is 60.
        && number(text.get(17..19), (0, 60)).is_some()
}

/// A day of the calendar, Gregorian, 1900 to 9999: `2025-03-14`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day {
    year: u32,
    month: u32,
    day: u32,
}

/// No day.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("it is no day of the calendar; it must read like 2025-03-14")]
pub struct NoDay;

impl Day {
    /// "14 March 2025".
    pub fn in_words(self) -> String {
        let name = MONTHS.get(self.month as usize - 1).copied();
        format!("{} {} {}", self.day, name.unwrap_or_default(), self.year)
    }

    /// Year, month from 1, day of the month: to be said in any language.
    pub const fn parts(self) -> (u32, u32, u32) {
        (self.year, self.month, self.day)
    }

    /// The day so many days later; `None` past 9999.
    pub fn later(self, days_on: u32) -> Option<Self> {
        let (mut year, mut month) = (self.year, self.month);
        let mut day = self.day.checked_add(days_on)?;
        while day > days(year, month) {
            day -= days(year, month);
            (year, month) = if month == 12 {
                (year + 1, 1)
            } else {
                (year, month + 1)
            };
            if year > 9999 {
                return None;
            }
        }
        Some(Self { year, month, day })
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

impl Serialize for Day {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Day {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        String::deserialize(from)?.parse().map_err(D::Error::custom)
    }
}

impl FromStr for Day {
    type Err = NoDay;

    fn from_str(text: &str) -> Result<Self, NoDay> {
        let year = number(text.get(0..4), (1900, 9999)).ok_or(NoDay)?;
        let month = number(text.get(5..7), (1, 12)).ok_or(NoDay)?;
        let day = number(text.get(8..10), (1, days(year, month))).ok_or(NoDay)?;
        let marks = text.len() == 10 && stands(text, 4, b"-") && stands(text, 7, b"-");
        marks.then_some(Self { year, month, day }).ok_or(NoDay)
    }
}

impl When {
    /// The day where it was said; `None` before 1900.
    pub fn day(&self) -> Option<Day> {
        self.0.get(0..10)?.parse().ok()
    }

    /// "15:09", by the clock where it was said.
    pub fn time(&self) -> &str {
        self.0.get(11..16).unwrap_or_default()
    }

    /// "14 March 2025": the day where it was said.
    pub fn day_in_words(&self) -> String {
        self.day().map(Day::in_words).unwrap_or_default()
    }

    /// "14 March 2025, 15:09": by the clock where it was said.
    pub fn in_words(&self) -> String {
        format!("{}, {}", self.day_in_words(), self.time())
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

    #[test]
    fn a_day_alone_is_read_and_said() {
        let day = |text: &str| text.parse::<Day>().map(Day::in_words);
        assert_eq!(day("2025-03-04").as_deref(), Ok("4 March 2025"));
        for text in [
            "2025-3-4",
            "04.03.2025",
            "2025-02-29",
            "2025-03-14T",
            "2025/03/14",
        ] {
            assert_eq!(day(text), Err(NoDay), "{text}");
        }
    }

    #[test]
    fn days_are_counted_as_the_calendar_counts_them() {
        let day = |text: &str| text.parse::<Day>().unwrap();
        // Leap years as the Gregorian calendar has them: 2000 is one, 1900
        // none. The Unix day 20,000 is 4 October 2024 (86,400 s each).
        for (from, days_on, to) in [
            ("2025-03-14", 0, "2025-03-14"),
            ("2024-02-28", 1, "2024-02-29"),
            ("2025-02-28", 1, "2025-03-01"),
            ("2000-02-28", 2, "2000-03-01"),
            ("1900-02-28", 1, "1900-03-01"),
            ("2025-12-31", 1, "2026-01-01"),
            ("1970-01-01", 20_000, "2024-10-04"),
        ] {
            assert_eq!(day(from).later(days_on), Some(day(to)), "{from}");
        }
        assert_eq!(day("9999-12-31").later(1), None);
        assert_eq!(day("2025-01-01").later(u32::MAX), None);
    }

    #[test]
    fn days_stand_in_order_and_are_written_as_they_are_read() {
        let text = ["1999-12-31", "2000-01-01", "2000-01-02", "2000-02-01"];
        let days: Vec<Day> = text.iter().map(|t| t.parse().unwrap()).collect();
        assert!(days.is_sorted());
        let json = serde_json::to_string(&days).unwrap();
        assert_eq!(serde_json::from_str::<Vec<Day>>(&json).unwrap(), days);
        assert!(json.contains("\"2000-02-01\""));
        assert!(serde_json::from_str::<Day>("\"2000-02-30\"").is_err());
    }
}
