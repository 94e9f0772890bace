//! The timer of a zone: started, paused, kept with the device until then.

use ophryon_frames::Side;
use ophryon_record::{Edit, MOST_SECONDS, VisitChange, VisitEdit, Zone, ZoneTimer, ZoneTimers};

use super::bench::{Bench, now_ms};
use crate::device::settings::{read, write};
use crate::markup::glance;
use crate::studio::Studio;

/// Under this name the device keeps the timers that run.
const TIMERS: &str = "visit-timers";

/// The clock's last look is kept every so many ms, so that a clock set back
/// while the page is closed takes no more than that away.
const KEPT_EVERY_MS: i64 = 10_000;

/// Every timer that runs on this device.
pub fn kept() -> ZoneTimers {
    ZoneTimers::from_json(&read(TIMERS).unwrap_or_default())
}

/// Nothing of a client who is erased runs on.
pub fn forget(client: &str) {
    super::bench::forget(client);
    let mut all = kept();
    if all.of(client).is_some() {
        all.set(client, None, now_ms());
        write(TIMERS, &all.to_json());
    }
}

impl Bench {
    /// The timer that runs for the visit in work.
    pub fn running(self, studio: Studio) -> Option<ZoneTimer> {
        let number = self.number(studio);
        self.timer.get().filter(|t| Some(t.visit) == number)
    }

    /// Time on a zone, s, with what is running now.
    pub fn seconds(self, studio: Studio, side: Side, zone: Zone) -> u32 {
        let kept = self.work(studio, side, zone).seconds;
        let running = self.running(studio);
        let running = running.filter(|t| t.is_on(t.visit, side, zone));
        kept.saturating_add(running.map_or(0, |t| t.seconds(self.now_ms.get())))
    }

    /// Starts the timer of a zone, or pauses it. There is one at a time: what
    /// another came to is kept first.
    pub fn start_or_pause(self, studio: Studio, side: Side, zone: Zone) {
        let was = glance(|| self.running(studio));
        self.pause(studio);
        self.take_up(side, zone);
        let is_same = was.is_some_and(|t| t.is_on(t.visit, side, zone));
        if is_same || self.timer.with_untracked(Option::is_some) {
            return;
        }
        if let Some(visit) = glance(|| self.number(studio)) {
            self.set_timer(Some(ZoneTimer::begun(visit, side, zone, now_ms())));
        }
    }

    /// What the running timer came to goes into the visit.
    pub fn pause(self, studio: Studio) {
        let now = now_ms();
        self.now_ms.set(now);
        let Some(timer) = self.timer.get_untracked() else {
            return;
        };
        let (visit, side, zone) = (timer.visit, timer.side, timer.zone);
        let record = glance(|| studio.record());
        let kept = record.and_then(|r| Some(r.visits.get(visit)?.work.get(side).get(zone).seconds));
        let ran = timer.seconds(now);
        let is_kept = match kept {
            Some(kept) if ran > 0 => {
                let seconds = kept.saturating_add(ran).min(MOST_SECONDS);
                let what = VisitChange::Seconds {
                    side,
                    zone,
                    seconds,
                };
                studio.apply(&Edit::Visit(VisitEdit::Change { visit, what }))
            }
            // Nothing to keep, or the visit is gone.
            _ => true,
        };
        // What can't be kept now runs on.
        if is_kept {
            self.set_timer(None);
        }
    }

    /// Lets a timer go without keeping what it came to.
    pub fn forget_timer(self) {
        self.set_timer(None);
    }

    fn set_timer(self, timer: Option<ZoneTimer>) {
        self.now_ms.set(now_ms());
        self.timer.set(timer);
        self.keep_timer(timer);
    }

    pub(super) fn keep_timer(self, timer: Option<ZoneTimer>) {
        let Some(client) = self.client.get_clone_untracked() else {
            return;
        };
        // Another window may have kept one for another client.
        let mut all = kept();
        all.set(&client, timer, now_ms());
        write(TIMERS, &all.to_json());
    }

    /// The clock was looked at.
    pub fn tick(self) {
        let now = now_ms();
        let before = self.now_ms.get_untracked();
        if let Some(timer) = self.timer.get_untracked() {
            let seen = timer.seen(now);
            self.timer.set_silent(Some(seen));
            let is_back = now < before;
            if is_back || now / KEPT_EVERY_MS != before / KEPT_EVERY_MS {
                self.keep_timer(Some(seen));
            }
        }
        self.now_ms.set(now);
    }
}
