//! How old the last backup is, and whether to say so.

use std::collections::BTreeMap;

use crate::device::clock;
use crate::device::store::{Base, Entry, Space, Store};

use super::own::count;

/// Under which the store knows when all clients last went into a backup, ms
/// since 1970.
pub const LAST: &str = "backup";

/// After how many days the store reminds, a fact of this device.
pub const REMIND: &str = "backup-days";

/// After how many days a backup is old, unless the artist says otherwise
/// (ours): two weeks of work are about what can be remembered.
pub const USUAL_DAYS: u32 = 14;

/// Days to choose from; 0 is never.
pub const DAYS: [u32; 4] = [7, 14, 30, 0];

/// Below this the browser's room is said to be short, bytes: some hundred
/// photos (ours).
const SHORT: f64 = 300e6;

/// What is known of the last backup on this device.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Age {
    /// When all clients last went into one, ms since 1970.
    pub last_ms: Option<f64>,
    /// Clients who changed since they last went into one.
    pub changed: usize,
    /// The earliest of their changes, ms since 1970.
    pub since_ms: Option<f64>,
    /// Clients in all.
    pub clients: usize,
    /// After how many days to remind; 0 is never.
    pub remind_days: u32,
}

impl Age {
    /// Reads it.
    ///
    /// # Errors
    /// A sentence.
    pub async fn of(store: &Store, entries: &[Entry]) -> Result<Self, String> {
        let number = async |name: &str| -> Result<Option<i64>, String> {
            Ok(store.fact(name).await?.and_then(|f| f.parse().ok()))
        };
        let bases = store.bases().await?;
        let remind = number(REMIND).await?;
        let changed = changed(entries, &bases);
        Ok(Self {
            last_ms: number(LAST).await?.map(|ms| ms as f64),
            changed: changed.len(),
            since_ms: changed.into_iter().min_by(f64::total_cmp),
            clients: entries.len(),
            remind_days: remind
                .and_then(|d| u32::try_from(d).ok())
                .unwrap_or(USUAL_DAYS),
        })
    }

    /// Whether it is time for another: so long after the last one, or after
    /// the first work where there is none.
    pub fn is_due(&self, now_ms: f64) -> bool {
        if self.remind_days == 0 || self.changed == 0 {
            return false;
        }
        let limit = f64::from(self.remind_days) * 86_400_000.0;
        let from = self.last_ms.or(self.since_ms);
        from.is_some_and(|from| now_ms - from >= limit)
    }

    /// In a sentence or two.
    pub fn words(&self, now_ms: f64) -> String {
        let Some(last) = self.last_ms else {
            return match self.clients {
                0 => "Nothing to back up yet.".to_owned(),
                n => format!("No backup yet: {} only on this device.", are(n)),
            };
        };
        let ago = clock::ago(last, now_ms);
        let since = match self.changed {
            0 => "Nothing changed since.".to_owned(),
            n => format!("{} changed since.", count(n, "client")),
        };
        format!("Last backup {ago}. {since}")
    }
}

fn are(clients: usize) -> String {
    match clients {
        1 => "1 client is".to_owned(),
        n => format!("{n} clients are"),
    }
}

/// When clients were changed who were so after they last went into a backup.
fn changed(entries: &[Entry], bases: &BTreeMap<String, Base>) -> Vec<f64> {
    let is_changed = |e: &&Entry| bases.get(&e.key).is_none_or(|b| e.changed_ms > b.at_ms);
    let changed = entries.iter().filter(is_changed);
    changed.map(|e| e.changed_ms).collect()
}

/// Bytes as people say them.
pub fn bytes(count: f64) -> String {
    let mega = count / 1e6;
    if mega < 1.0 {
        "less than 1 MB".to_owned()
    } else if mega < 1000.0 {
        format!("{mega:.0} MB")
    } else if mega < 100_000.0 {
        format!("{:.1} GB", mega / 1000.0)
    } else {
        format!("{:.0} GB", mega / 1000.0)
    }
}

/// What the first screen says of the room: only that it is short.
pub fn shortage(space: &Space) -> Option<String> {
    (space.left < SHORT).then(|| room(space))
}

/// Used and left, in a sentence.
pub fn room(space: &Space) -> String {
    let (used, left) = (bytes(space.used), bytes(space.left));
    if space.left < SHORT {
        format!(
            "{used} used here and only {left} left: make a backup and erase who is no longer needed, or make room on the device."
        )
    } else {
        format!("{used} used here, {left} left.")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAY: f64 = 86_400_000.0;

    fn age(last_days: Option<f64>, changed: usize, remind_days: u32) -> Age {
        Age {
            last_ms: last_days.map(|d| 100.0 * DAY - d * DAY),
            changed,
            since_ms: (changed > 0).then_some(95.0 * DAY),
            clients: 12,
            remind_days,
        }
    }

    #[test]
    fn a_backup_is_due_when_it_is_old_and_something_changed() {
        for (last, changed, remind, due) in [
            (Some(13.9), 3, 14, false),
            (Some(14.0), 3, 14, true),
            (Some(90.0), 0, 14, false),
            (Some(90.0), 3, 0, false),
            (Some(8.0), 1, 7, true),
            // Never yet: five days of work.
            (None, 1, 7, false),
            (None, 1, 5, true),
            (None, 0, 5, false),
            // A clock that was set back.
            (Some(-3.0), 3, 14, false),
        ] {
            let age = age(last, changed, remind);
            assert_eq!(age.is_due(100.0 * DAY), due, "{age:?}");
        }
    }

    #[test]
    fn who_changed_since_her_own_backup_counts() {
        let entry = |key: &str, changed_ms| Entry {
            key: key.to_owned(),
            changed_ms,
            ..Entry::default()
        };
        let base = |at_ms| Base {
            sum: [0; 32],
            at_ms,
        };
        let entries = [entry("a", 5.0), entry("b", 15.0), entry("c", 5.0)];
        let bases = [("a".to_owned(), base(10.0)), ("b".to_owned(), base(10.0))];
        assert_eq!(changed(&entries, &bases.into()), [15.0, 5.0]);
    }

    #[test]
    fn it_is_said_in_words() {
        let now = 100.0 * DAY;
        let said = age(Some(12.0), 5, 14).words(now);
        assert_eq!(said, "Last backup 12 days ago. 5 clients changed since.");
        let said = age(Some(0.0), 0, 14).words(now);
        assert_eq!(said, "Last backup just now. Nothing changed since.");
        let said = age(None, 12, 14).words(now);
        assert_eq!(said, "No backup yet: 12 clients are only on this device.");
    }

    #[test]
    fn room_is_said_in_round_numbers_and_when_it_is_short() {
        let space = |used, left| Space {
            used,
            left,
            is_promised: true,
        };
        assert_eq!(
            room(&space(2.4e8, 1.85e10)),
            "240 MB used here, 18.5 GB left."
        );
        assert!(room(&space(2e9, 1e8)).contains("only 100 MB left"));
    }
}
