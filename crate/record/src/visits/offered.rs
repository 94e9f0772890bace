//! What was entered once and is offered again: from this client's earlier
//! visits, and from the shelf of what was used on this device.

use ophryon_agreement::Day;
use serde::{Deserialize, Serialize};

use super::{MOST_SUPPLIES, NEXT_VISIT_WEEKS, Supply, Visit, VisitKind};
use crate::Record;

/// Kept on a shelf of each kind (ours); what was used longest ago goes.
const MOST_ON_SHELF: usize = 40;

/// Offered at once of each kind (ours): more would be a list to read.
const MOST_OFFERED: usize = 8;

/// Tool or pigment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SupplyKind {
    /// A tool.
    Tool,
    /// A pigment.
    Pigment,
}

impl Visit {
    /// All of that kind.
    pub fn supplies(&self, kind: SupplyKind) -> &Vec<Supply> {
        match kind {
            SupplyKind::Tool => &self.tools,
            SupplyKind::Pigment => &self.pigments,
        }
    }
}

/// What was used on this device, the last used first. Nothing in it says on
/// whom.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct SupplyShelf {
    tools: Vec<Supply>,
    pigments: Vec<Supply>,
    needle_batches: Vec<String>,
}

impl SupplyShelf {
    /// As it was kept; an empty one where it can't be read.
    pub fn from_json(text: &str) -> Self {
        serde_json::from_str(text).unwrap_or_default()
    }

    /// To be kept.
    pub fn to_json(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }

    /// Puts one in front. One of that name and batch is replaced, so that the
    /// expiry day is the one that was entered last.
    pub fn put(&mut self, kind: SupplyKind, supply: &Supply) {
        let shelf = match kind {
            SupplyKind::Tool => &mut self.tools,
            SupplyKind::Pigment => &mut self.pigments,
        };
        shelf.retain(|one| !is_same(one, supply));
        shelf.insert(0, supply.clone());
        shelf.truncate(MOST_ON_SHELF);
    }

    /// Puts a batch of needles in front.
    pub fn put_needles(&mut self, batch: &str) {
        if batch.trim().is_empty() {
            return;
        }
        self.needle_batches.retain(|one| one != batch);
        self.needle_batches.insert(0, batch.to_owned());
        self.needle_batches.truncate(MOST_ON_SHELF);
    }

    const fn of(&self, kind: SupplyKind) -> &Vec<Supply> {
        match kind {
            SupplyKind::Tool => &self.tools,
            SupplyKind::Pigment => &self.pigments,
        }
    }
}

/// Its last day is before that day, so that it is not offered.
fn is_over(one: &Supply, on: Option<Day>) -> bool {
    matches!((one.expires, on), (Some(last), Some(on)) if last < on)
}

/// The same bottle or pack, whatever else was entered of it.
fn is_same(one: &Supply, other: &Supply) -> bool {
    one.name == other.name && one.batch == other.batch
}

impl Record {
    /// What can be taken into a visit by a tap: first what this client's other
    /// visits used, the latest first, then what lies on the shelf; without what
    /// is in the visit already, and without what is over on that day.
    pub fn offered(
        &self,
        visit: usize,
        kind: SupplyKind,
        shelf: &SupplyShelf,
        on: Option<Day>,
    ) -> Vec<Supply> {
        let there = self.visits.get(visit).map(|v| v.supplies(kind));
        let mut all: Vec<Supply> = vec![];
        let others = self.visit_log().into_iter().rev();
        let others = others.filter(|(number, _)| *number != visit);
        let hers = others.flat_map(|(_, v)| v.supplies(kind));
        for one in hers.chain(shelf.of(kind)) {
            let is_there = there.is_some_and(|t| t.iter().any(|s| is_same(s, one)));
            if !is_there && !is_over(one, on) && !all.iter().any(|s| is_same(s, one)) {
                all.push(one.clone());
            }
        }
        all.truncate(MOST_OFFERED);
        all
    }

    /// Batches of needles, in the same order.
    pub fn offered_needles(&self, visit: usize, shelf: &SupplyShelf) -> Vec<String> {
        let now = self.visits.get(visit).map(|v| v.needle_batch.as_str());
        let others = self.visit_log().into_iter().rev();
        let hers = others.map(|(_, v)| &v.needle_batch);
        let mut all: Vec<String> = vec![];
        for one in hers.chain(&shelf.needle_batches) {
            if !one.is_empty() && Some(one.as_str()) != now && !all.contains(one) {
                all.push(one.clone());
            }
        }
        all.truncate(MOST_OFFERED);
        all
    }

    /// All of that kind from the visit before that used any, as far as they are
    /// not in this one and not over on that day: what "as last time" brings.
    pub fn as_last_time(&self, visit: usize, kind: SupplyKind, on: Option<Day>) -> Vec<Supply> {
        let there = self.visits.get(visit).map(|v| v.supplies(kind).as_slice());
        let there = there.unwrap_or_default();
        let log = self.visit_log();
        let before = log.iter().take_while(|(number, _)| *number != visit);
        let last = before.filter(|(_, v)| !v.supplies(kind).is_empty()).last();
        let all = last.map(|(_, v)| v.supplies(kind).iter());
        let new = all.into_iter().flatten();
        let new = new.filter(|one| !is_over(one, on) && !there.iter().any(|s| is_same(s, one)));
        let room = MOST_SUPPLIES.saturating_sub(there.len());
        new.take(room).cloned().collect()
    }

    /// What the next visit is likely to be: the first of the usual ones that
    /// the log doesn't hold yet.
    pub fn likely_kind(&self) -> VisitKind {
        let usual = [
            VisitKind::FirstSession,
            VisitKind::SecondSession,
            VisitKind::HealedCheck,
        ];
        let is_new = |kind: &VisitKind| !self.visits.iter().any(|v| v.kind == *kind);
        usual.into_iter().find(is_new).unwrap_or(VisitKind::Other)
    }

    /// The kinds the next visit may as well be of, [`Record::likely_kind`]
    /// first: once skin has had its weeks ([`NEXT_VISIT_WEEKS`]) and nothing was
    /// measured, the healed brows are as likely looked at as worked on.
    pub fn likely_kinds(&self, today: Day) -> Vec<VisitKind> {
        let likely = self.likely_kind();
        let mut all = vec![likely];
        let is_check = |v: &Visit| v.kind == VisitKind::HealedCheck || v.healed.is_some();
        let last = self.visits.iter().map(|v| v.day).max();
        let healed = last.and_then(|day| day.later(7 * NEXT_VISIT_WEEKS.0));
        if likely == VisitKind::SecondSession
            && healed.is_some_and(|day| day <= today)
            && !self.visits.iter().any(is_check)
        {
            all.push(VisitKind::HealedCheck);
        }
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_agreement::Day;

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    fn pigment(name: &str, batch: &str) -> Supply {
        Supply {
            batch: batch.to_owned(),
            ..Supply::named(name)
        }
    }

    fn names(all: &[Supply]) -> Vec<String> {
        all.iter()
            .map(|s| format!("{} {}", s.name, s.batch))
            .collect()
    }

    fn visited() -> Record {
        let mut record = Record::new("K");
        for (on, pigments, needles) in [
            (
                "2025-03-14",
                vec![pigment("Ash", "1"), pigment("Olive", "7")],
                "N-1",
            ),
            ("2025-05-02", vec![], ""),
        ] {
            let mut visit = Visit::new(day(on), VisitKind::FirstSession);
            visit.pigments = pigments;
            visit.needle_batch = needles.to_owned();
            record.visits.push(visit);
        }
        record
    }

    #[test]
    fn her_own_come_first_and_nothing_is_offered_twice() {
        let mut shelf = SupplyShelf::default();
        shelf.put(SupplyKind::Pigment, &pigment("Sand", "3"));
        shelf.put(SupplyKind::Pigment, &pigment("Ash", "1"));
        shelf.put(SupplyKind::Tool, &pigment("Hand tool", ""));
        let mut record = visited();
        let offered = record.offered(1, SupplyKind::Pigment, &shelf, None);
        assert_eq!(names(&offered), ["Ash 1", "Olive 7", "Sand 3"]);
        assert_eq!(
            names(&record.offered(1, SupplyKind::Tool, &shelf, None)),
            ["Hand tool "]
        );
        // What is in the visit needs no offer.
        record.visits[1].pigments.push(pigment("Olive", "7"));
        let offered = record.offered(1, SupplyKind::Pigment, &shelf, None);
        assert_eq!(names(&offered), ["Ash 1", "Sand 3"]);
    }

    #[test]
    fn as_last_time_brings_what_the_visit_before_used() {
        let mut record = visited();
        let all = record.as_last_time(1, SupplyKind::Pigment, None);
        assert_eq!(names(&all), ["Ash 1", "Olive 7"]);
        assert_eq!(record.as_last_time(0, SupplyKind::Pigment, None), []);
        record.visits[1].pigments = all;
        assert_eq!(record.as_last_time(1, SupplyKind::Pigment, None), []);
    }

    #[test]
    fn a_shelf_keeps_the_last_label_and_survives_being_kept() {
        let mut shelf = SupplyShelf::default();
        shelf.put(SupplyKind::Pigment, &pigment("Ash", "1"));
        let labelled = Supply {
            expires: Some(day("2026-01-31")),
            ..pigment("Ash", "1")
        };
        shelf.put(SupplyKind::Pigment, &labelled);
        shelf.put_needles("N-1");
        shelf.put_needles("N-2");
        shelf.put_needles("N-1");
        shelf.put_needles(" ");
        let again = SupplyShelf::from_json(&shelf.to_json());
        assert_eq!(again, shelf);
        let record = Record::new("K");
        let on = |text| Some(day(text));
        let offered = record.offered(0, SupplyKind::Pigment, &again, on("2026-01-31"));
        assert_eq!(offered, [labelled]);
        let offered = record.offered(0, SupplyKind::Pigment, &again, on("2026-02-01"));
        assert_eq!(offered, [], "what is over is not offered");
        assert_eq!(record.offered_needles(0, &again), ["N-1", "N-2"]);
        assert_eq!(SupplyShelf::from_json("{ damaged"), SupplyShelf::default());
        for n in 0..100 {
            shelf.put(SupplyKind::Pigment, &pigment("Ash", &n.to_string()));
        }
        assert_eq!(shelf.pigments.len(), MOST_ON_SHELF);
    }

    #[test]
    fn visits_follow_in_their_usual_order() {
        let mut record = Record::new("K");
        for kind in VisitKind::ALL {
            assert_eq!(record.likely_kind(), kind);
            record.visits.push(Visit::new(day("2025-03-14"), kind));
        }
        assert_eq!(record.likely_kind(), VisitKind::Other);
    }

    #[test]
    fn weeks_later_the_healed_check_is_as_likely_as_the_second_session() {
        let mut record = Record::new("K");
        let on = |text| record.likely_kinds(day(text));
        assert_eq!(on("2025-03-14"), [VisitKind::FirstSession]);
        let first = Visit::new(day("2025-03-14"), VisitKind::FirstSession);
        record.visits.push(first);
        let on = |text| record.likely_kinds(day(text));
        assert_eq!(on("2025-04-10"), [VisitKind::SecondSession]);
        let both = [VisitKind::SecondSession, VisitKind::HealedCheck];
        assert_eq!(on("2025-04-11"), both);
        record.visits[0].healed = Some(Box::default());
        let on = |text| record.likely_kinds(day(text));
        assert_eq!(on("2025-04-11"), [VisitKind::SecondSession]);
    }
}
