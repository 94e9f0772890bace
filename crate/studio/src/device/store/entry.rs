//! A line of the list of clients.

use std::collections::BTreeSet;

use ophryon_record::Record;

use super::Listed;

/// What a line begins with since it holds what is searched for.
const MARK: &str = "2";

/// A line of the list of clients.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Entry {
    /// Key of the client in the store.
    pub key: String,
    /// The artist's code for her.
    pub code: String,
    /// Her name, empty where it isn't kept.
    pub name: String,
    /// What was noted of her, in one line.
    pub note: String,
    /// Days of her visits, `2026-11-28`, with spaces between.
    pub dates: String,
    /// When it was last changed, ms since 1970 by the clock of that moment.
    pub changed_ms: f64,
    /// Counts what was kept on this device: the list is in its order, whatever
    /// the clock said. Given by the store.
    pub turn: f64,
    /// Where the work stands, in words.
    pub stands: String,
    /// Her healed checks, as [`Record::learned_line`] has them.
    pub healed: String,
}

impl Entry {
    /// Of a record; `stands` is where the work stands, in words.
    pub fn of(key: &str, record: &Record, stands: &str, changed_ms: f64) -> Self {
        let mut dates = String::new();
        for visit in &record.visits {
            if !dates.is_empty() {
                dates.push(' ');
            }
            dates.push_str(&visit.day.to_string());
        }
        Self {
            key: key.to_owned(),
            code: record.client.code.clone(),
            name: record.client.name.clone().unwrap_or_default(),
            note: record.client.note.clone(),
            dates,
            changed_ms,
            turn: 0.0,
            stands: stands.to_owned(),
            healed: record.learned_line(),
        }
    }

    pub(super) fn to_text(&self) -> String {
        let whole = |number: f64| format!("{number:.0}");
        let mut text = MARK.to_owned();
        for field in [
            &self.key,
            &whole(self.changed_ms),
            &whole(self.turn),
            &self.stands,
            &self.dates,
            &self.code,
            &self.name,
            &self.note,
            &self.healed,
        ] {
            text.push('\n');
            text.extend(field.chars().map(|c| if c.is_control() { ' ' } else { c }));
        }
        text
    }

    /// The line, and whether it holds all that is searched for: one of the
    /// first version of the database holds key, time, standing and code.
    pub(super) fn from_text(text: &str) -> Option<(Self, bool)> {
        let mut lines = text.split('\n');
        let mut next = || lines.next().map(str::to_owned);
        // Written as a whole number.
        let number = |text: String| Some(text.parse::<i64>().ok()? as f64);
        let first = next()?;
        if first == MARK {
            let (key, changed_ms, turn) = (next()?, number(next()?)?, number(next()?)?);
            let (stands, dates, code) = (next()?, next()?, next()?);
            let (name, note) = (next()?, next()?);
            // Not in lines from before there were any.
            let healed = next().unwrap_or_default();
            let entry = Self {
                key,
                code,
                name,
                note,
                dates,
                changed_ms,
                turn,
                stands,
                healed,
            };
            return Some((entry, true));
        }
        let (changed_ms, stands, code) = (number(next()?)?, next()?, next()?);
        let entry = Self {
            key: first,
            code,
            changed_ms,
            stands,
            ..Self::default()
        };
        Some((entry, false))
    }
}

/// The list from its lines and the clients that are there.
pub(super) fn listed(lines: impl Iterator<Item = String>, there: BTreeSet<String>) -> Listed {
    let mut unlisted = there.clone();
    let mut entries = Vec::new();
    for line in lines {
        if let Some((entry, is_whole)) = Entry::from_text(&line)
            && there.contains(&entry.key)
        {
            if is_whole {
                unlisted.remove(&entry.key);
            }
            entries.push(entry);
        }
    }
    entries.sort_unstable_by(|a, b| {
        let by_turn = b.turn.total_cmp(&a.turn);
        by_turn.then(b.changed_ms.total_cmp(&a.changed_ms))
    });
    Listed {
        entries,
        unlisted: unlisted.into_iter().collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry(key: &str, turn: f64, changed_ms: f64) -> Entry {
        Entry {
            key: key.to_owned(),
            code: "Å. K. (left: 2)".to_owned(),
            name: "Invented Person".to_owned(),
            note: "soft start".to_owned(),
            dates: "2026-11-28 2027-01-05".to_owned(),
            changed_ms,
            turn,
            stands: "shape drawn".to_owned(),
            healed: "880,900,,III,Hazel".to_owned(),
        }
    }

    #[test]
    fn a_line_of_the_list_comes_back_as_it_was() {
        let one = entry("1764057600000-12", 7.0, 1_764_057_600_123.0);
        assert_eq!(Entry::from_text(&one.to_text()), Some((one, true)));
        assert_eq!(Entry::from_text("damaged"), None);
        assert_eq!(Entry::from_text("2\nhalf"), None);
    }

    #[test]
    fn a_note_of_several_lines_stays_one_line_of_the_list() {
        let mut one = entry("k", 1.0, 5.0);
        one.note = "first\nsecond\u{7}".to_owned();
        let (back, _) = Entry::from_text(&one.to_text()).unwrap();
        assert_eq!(back.note, "first second ");
    }

    #[test]
    fn a_line_of_the_first_version_is_read_and_asks_to_be_written_anew() {
        let old = "1764057600000-12\n1764057600123\nshape drawn\nK7";
        let (read, is_whole) = Entry::from_text(old).unwrap();
        assert_eq!((read.code.as_str(), is_whole), ("K7", false));
        let there = BTreeSet::from(["1764057600000-12".to_owned()]);
        let listed = listed([old.to_owned()].into_iter(), there);
        assert_eq!((listed.entries.len(), listed.unlisted.len()), (1, 1));
    }

    #[test]
    fn the_list_is_in_the_order_of_keeping_whatever_the_clock_said() {
        let lines = [
            entry("first", 1.0, 9e12),
            entry("second", 2.0, 10.0),
            entry("gone", 3.0, 11.0),
        ];
        let there = ["first", "second", "damaged"].map(str::to_owned);
        let lines = lines.iter().map(Entry::to_text);
        let listed = listed(lines.chain(["damaged".to_owned()]), there.into());
        let keys: Vec<_> = listed.entries.iter().map(|e| e.key.as_str()).collect();
        assert_eq!(keys, ["second", "first"]);
        assert_eq!(listed.unlisted, ["damaged"]);
    }
}
