//! Time worked on a zone, from when it began: never counted in ticks, so that a
//! page that sleeps, is closed or lies in the background loses none of it.

use ophryon_frames::Side;
use serde::{Deserialize, Serialize};

use super::{MOST_SECONDS, Zone};

/// A run without a sign of life for longer than this was perhaps forgotten, ms
/// (ours): nobody works on one zone for three quarters of an hour.
const FORGOTTEN_MS: i64 = 45 * 60 * 1000;

/// A timer that runs. It is no part of the client's file: what it came to is,
/// once it is paused ([`super::VisitChange::Seconds`]).
///
/// Times are ms since 1970 by a clock that may be set: [`ZoneTimer::seen`]
/// notices where it went back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct ZoneTimer {
    /// Which visit, as in [`crate::Record::visits`].
    pub visit: usize,
    /// Which brow.
    pub side: Side,
    /// Which zone.
    pub zone: Zone,
    /// From when on the clock is believed.
    since_ms: i64,
    /// When the clock was last looked at.
    seen_ms: i64,
    /// What had run before `since_ms`, ms.
    before_ms: i64,
}

impl ZoneTimer {
    /// Begins now.
    pub const fn begun(visit: usize, side: Side, zone: Zone, now_ms: i64) -> Self {
        Self {
            visit,
            side,
            zone,
            since_ms: now_ms,
            seen_ms: now_ms,
            before_ms: 0,
        }
    }

    /// It is for this zone.
    pub fn is_on(&self, visit: usize, side: Side, zone: Zone) -> bool {
        (self.visit, self.side, self.zone) == (visit, side, zone)
    }

    /// The clock was looked at. Where it stands before the last look it was set
    /// back: what had run until then stays, and counting goes on from here.
    #[must_use]
    pub const fn seen(self, now_ms: i64) -> Self {
        if now_ms >= self.seen_ms {
            return Self {
                seen_ms: now_ms,
                ..self
            };
        }
        let ran = self.seen_ms.saturating_sub(self.since_ms);
        Self {
            since_ms: now_ms,
            seen_ms: now_ms,
            before_ms: self.before_ms.saturating_add(ran),
            ..self
        }
    }

    /// Whole seconds that it has run, up to [`MOST_SECONDS`].
    pub fn seconds(&self, now_ms: i64) -> u32 {
        let one = self.seen(now_ms);
        let ran = one.seen_ms.saturating_sub(one.since_ms);
        let seconds = one.before_ms.saturating_add(ran) / 1000;
        u32::try_from(seconds.max(0)).map_or(MOST_SECONDS, |s| s.min(MOST_SECONDS))
    }

    /// So long that it was perhaps forgotten: worth asking.
    pub fn may_be_forgotten(&self, now_ms: i64) -> bool {
        i64::from(self.seconds(now_ms)) * 1000 > FORGOTTEN_MS
    }
}

/// Every timer that runs on a device, by the key under which the client is kept
/// there: one each.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ZoneTimers(Vec<(String, ZoneTimer)>);

impl ZoneTimers {
    /// As they were kept; none where that can't be read.
    pub fn from_json(text: &str) -> Self {
        serde_json::from_str(text).unwrap_or_default()
    }

    /// To be kept.
    pub fn to_json(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }

    /// That client's.
    pub fn of(&self, client: &str) -> Option<ZoneTimer> {
        let found = self.0.iter().find(|(key, _)| key == client);
        found.map(|(_, timer)| *timer)
    }

    /// Sets or takes away that client's. Those that have run for the most go:
    /// whoever they were for has left.
    pub fn set(&mut self, client: &str, timer: Option<ZoneTimer>, now_ms: i64) {
        self.0
            .retain(|(key, one)| key != client && one.seconds(now_ms) < MOST_SECONDS);
        self.0.extend(timer.map(|timer| (client.to_owned(), timer)));
    }
}

/// "4:05", and with hours "1:04:05".
pub fn clock_words(seconds: u32) -> String {
    let (hours, minutes, rest) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    if hours > 0 {
        format!("{hours}:{minutes:02}:{rest:02}")
    } else {
        format!("{minutes}:{rest:02}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const MINUTE: i64 = 60_000;

    fn begun(now_ms: i64) -> ZoneTimer {
        ZoneTimer::begun(0, Side::Left, Zone::Tail, now_ms)
    }

    #[test]
    fn it_goes_by_the_clock_whether_anybody_looks_or_not() {
        let begin = 1_773_500_000_000;
        let timer = begun(begin);
        assert_eq!(timer.seconds(begin), 0);
        assert_eq!(timer.seconds(begin + 999), 0);
        assert_eq!(timer.seconds(begin + 20 * MINUTE), 1200);
        // As it is kept and read again.
        let text = serde_json::to_string(&timer).unwrap();
        let again: ZoneTimer = serde_json::from_str(&text).unwrap();
        assert_eq!(again.seconds(begin + 20 * MINUTE), 1200);
    }

    #[test]
    fn a_clock_that_is_set_back_takes_nothing_away() {
        let begin = 1_773_500_000_000;
        let looked = begun(begin).seen(begin + 10 * MINUTE);
        let back = begin - 3 * 60 * MINUTE;
        let after = looked.seen(back);
        assert_eq!(after.seconds(back), 600);
        assert_eq!(after.seconds(back + 2 * MINUTE), 720);
        // Also where nobody looked at the moment it was set.
        assert_eq!(looked.seconds(back), 600);
    }

    #[test]
    fn one_left_running_is_asked_about_and_ends_at_the_most() {
        let timer = begun(0);
        assert!(!timer.may_be_forgotten(40 * MINUTE));
        assert!(timer.may_be_forgotten(46 * MINUTE));
        assert_eq!(timer.seconds(40 * 24 * 60 * MINUTE), MOST_SECONDS);
        assert_eq!(timer.seconds(i64::MAX), MOST_SECONDS);
        assert_eq!(begun(i64::MAX).seconds(i64::MIN), 0);
    }

    #[test]
    fn each_client_has_her_own_and_what_was_left_running_goes() {
        let mut all = ZoneTimers::default();
        all.set("a", Some(begun(0)), 0);
        all.set("b", Some(begun(5 * MINUTE)), 5 * MINUTE);
        let mut again = ZoneTimers::from_json(&all.to_json());
        assert_eq!(again, all);
        assert_eq!(again.of("a").map(|t| t.seconds(MINUTE)), Some(60));
        again.set("a", None, 6 * MINUTE);
        assert_eq!((again.of("a"), again.of("b").is_some()), (None, true));
        again.set("c", Some(begun(9 * 60 * MINUTE)), 9 * 60 * MINUTE);
        assert!(again.of("b").is_none() && again.of("c").is_some());
        assert_eq!(ZoneTimers::from_json("damaged"), ZoneTimers::default());
    }

    #[test]
    fn times_are_said_as_a_clock_shows_them() {
        for (seconds, words) in [
            (0, "0:00"),
            (65, "1:05"),
            (3599, "59:59"),
            (3661, "1:01:01"),
        ] {
            assert_eq!(clock_words(seconds), words);
        }
    }

    proptest! {
        #[test]
        fn it_never_runs_backward(looks in proptest::collection::vec(-1_000_000_i64..1_000_000, 1..20)) {
            let mut timer = begun(0);
            let mut before = 0;
            for now in looks {
                timer = timer.seen(now);
                let ran = timer.seconds(now);
                prop_assert!(ran >= before, "{before} became {ran}");
                before = ran;
            }
        }
    }
}
