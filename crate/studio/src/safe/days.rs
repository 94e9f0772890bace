//! Days as people write them, in what is searched for.
//!
//! The list has them as `2026-11-28` (ISO 8601). With points or strokes
//! between numbers nobody can tell whether day or month comes first, so both
//! are looked for.

use ophryon_agreement::MONTHS;

/// Fewest letters that a month is known by.
const MONTH_LETTERS: usize = 3;

/// What is asked for, with days as the list has them.
pub struct Asked {
    /// One of each must be there.
    any_of: Vec<Vec<String>>,
}

impl Asked {
    /// Of folded words; `None` where none of them is a day.
    pub fn of(words: &[String]) -> Option<Self> {
        let mut any_of = Vec::new();
        let mut is_day = false;
        let mut rest = words;
        while let [word, after @ ..] = rest {
            rest = after;
            if let Some(both) = by_numbers(word) {
                is_day = true;
                any_of.push(both);
            } else if let Some((day, count)) = by_month(word, after) {
                is_day = true;
                any_of.push(vec![day]);
                rest = after.get(count..).unwrap_or_default();
            } else {
                any_of.push(vec![word.clone()]);
            }
        }
        is_day.then_some(Self { any_of })
    }

    /// Whether a client's line holds all of it.
    pub fn is_in(&self, line: &str) -> bool {
        let mut all = self.any_of.iter();
        all.all(|any| any.iter().any(|one| line.contains(one)))
    }
}

/// `28.11.2026`, `11/28/2026`, `28-11-26`, `28.11.`: a year that isn't whole,
/// or not typed yet, is any year.
fn by_numbers(word: &str) -> Option<Vec<String>> {
    let parts: Vec<&str> = word.split(['.', '/', '-']).collect();
    let (first, second, year) = match parts.as_slice() {
        [first, second] => (first, second, ""),
        [first, second, year] => (first, second, *year),
        _ => return None,
    };
    let (first, second) = (number(first)?, number(second)?);
    let year = match year.len() {
        4 => year.parse::<u32>().ok()?.to_string(),
        0..4 if year.chars().all(|c| c.is_ascii_digit()) => String::new(),
        _ => return None,
    };
    let day = |day: u32, month: u32| {
        ((1..=31).contains(&day) && (1..=12).contains(&month))
            .then(|| format!("{year}-{month:02}-{day:02}"))
    };
    let both: Vec<String> = [day(first, second), day(second, first)]
        .into_iter()
        .flatten()
        .collect();
    (!both.is_empty()).then_some(both)
}

/// `28 november 2026`, `november 28, 2026`, `november 2026`, `november`, and
/// how many of the words after the first belong to it.
fn by_month(word: &str, after: &[String]) -> Option<(String, usize)> {
    let next = |i: usize| after.get(i).map(String::as_str);
    let (month, day, used) = if let Some(month) = month(word) {
        match next(0).and_then(number) {
            Some(day) => (month, Some(day), 1),
            None => (month, None, 0),
        }
    } else {
        (month(next(0)?)?, Some(number(word)?), 1)
    };
    let year = next(used).and_then(year);
    let used = used + usize::from(year.is_some());
    let year = year.unwrap_or_default();
    Some(match day {
        Some(day) => (format!("{year}-{month:02}-{day:02}"), used),
        None => (format!("{year}-{month:02}-"), used),
    })
}

/// A day or a month in one or two digits.
fn number(word: &str) -> Option<u32> {
    let digits = bare(word);
    let fits = (1..=2).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
    fits.then(|| digits.parse().ok()).flatten()
}

fn year(word: &str) -> Option<String> {
    let digits = bare(word);
    let fits = digits.len() == 4 && digits.bytes().all(|b| b.is_ascii_digit());
    fits.then(|| digits.to_owned())
}

fn month(word: &str) -> Option<usize> {
    let word = bare(word);
    let is = |month: &&str| {
        let begins = month.get(..word.len());
        begins.is_some_and(|b| b.eq_ignore_ascii_case(word))
    };
    let index = MONTHS.iter().position(is)?;
    (word.len() >= MONTH_LETTERS).then_some(index + 1)
}

/// Without what stands after a number or a short month.
fn bare(word: &str) -> &str {
    word.trim_end_matches(['.', ','])
}
