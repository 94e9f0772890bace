//! What the artist has at hand in the place Visits: which visit, which brow and
//! zone, the timer. None of it is in the record.

use std::cell::OnceCell;

use ophryon_frames::{Side, Sided};
use ophryon_record::{
    AtHand, EachAtHand, Edit, Record, SupplyKind, SupplyShelf, Visit, VisitChange, VisitEdit,
    VisitKind, Zone, ZoneTimer, ZoneWork,
};
use sycamore::reactive::{Signal, create_signal};

use super::supplies::Form;
use super::timing;
use crate::device::clock;
use crate::device::settings::{read, write};
use crate::markup::glance;
use crate::studio::Studio;

/// Under this name the device keeps what was used.
const SUPPLIES: &str = "visit-supplies";

/// Under this name it keeps what was counted and half typed, for a page that is
/// read anew.
const AT_HAND: &str = "visit-at-hand";

/// What lies on the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum OnBench {
    /// The counter of the visit in work.
    #[default]
    Work,
    /// The healed brows.
    Healed,
    /// The visit sheet as it will be printed.
    Sheet,
}

/// A handle: there is one for as long as the app runs.
#[derive(Clone, Copy)]
pub struct Bench {
    /// What lies on the table.
    pub on: Signal<OnBench>,
    /// The brow that is worked.
    pub side: Signal<Side>,
    /// On each brow, the zone that was counted, timed or noted last.
    zones: Signal<Sided<Zone>>,
    /// Where the caution is shown large.
    pub caution: Signal<Option<(Side, Zone)>>,
    /// By the clock on the wall, ms; followed by what shows a time.
    pub now_ms: Signal<i64>,
    /// What was used on this device.
    pub shelf: Signal<SupplyShelf>,
    /// The sheet bears the client's name.
    pub with_name: Signal<bool>,
    /// The visit she chose to look at; else the latest.
    chosen: Signal<Option<usize>>,
    /// The labels that are typed.
    tool: Form,
    pigment: Form,
    /// What was counted, to be taken back.
    counted: Signal<Vec<(usize, Side, Zone)>>,
    pub(super) timer: Signal<Option<ZoneTimer>>,
    /// Whose all this is.
    pub(super) client: Signal<Option<String>>,
}

thread_local! {
    static BENCH: OnceCell<Bench> = const { OnceCell::new() };
}

/// What is at hand with the client in work.
pub fn bench(studio: Studio) -> Bench {
    let bench = BENCH.with(|bench| {
        *bench.get_or_init(|| {
            // In the scope of the app, for it outlasts every view.
            glance(|| Bench {
                on: create_signal(OnBench::default()),
                side: create_signal(Side::Right),
                zones: create_signal(Sided::from_fn(|_| Zone::Outline)),
                caution: create_signal(None),
                now_ms: create_signal(now_ms()),
                shelf: create_signal(SupplyShelf::from_json(&read(SUPPLIES).unwrap_or_default())),
                with_name: create_signal(false),
                chosen: create_signal(None),
                tool: Form::new(SupplyKind::Tool),
                pigment: Form::new(SupplyKind::Pigment),
                counted: create_signal(vec![]),
                timer: create_signal(None),
                client: create_signal(None),
            })
        })
    });
    let client = studio.key_now();
    if bench.client.get_clone_untracked() != client {
        bench.begin_with(client);
    }
    bench
}

pub(super) fn now_ms() -> i64 {
    clock::now_ms() as i64
}

impl Bench {
    fn begin_with(self, client: Option<String>) {
        let timer = client.as_ref().and_then(|key| timing::kept().of(key));
        self.client.set(client);
        self.now_ms.set(now_ms());
        self.on.set(OnBench::default());
        self.side.set(timer.map_or(Side::Right, |t| t.side));
        self.zones.set(Sided::from_fn(|side| {
            let timer = timer.filter(|t| t.side == side);
            timer.map_or(Zone::Outline, |t| t.zone)
        }));
        self.caution.set(None);
        self.with_name.set(false);
        self.chosen.set(None);
        let client = self.client.get_clone_untracked();
        let at_hand = client
            .map(|key| each_at_hand().of(&key))
            .unwrap_or_default();
        for form in [self.tool, self.pigment] {
            form.take_up_again(&at_hand);
        }
        self.counted.set(at_hand.counted);
        self.timer.set(timer);
        // Those that were left running long ago go with it.
        self.keep_timer(timer);
    }

    /// The number of the visit in work; `None` while there is none.
    pub fn number(self, studio: Studio) -> Option<usize> {
        self.number_in(studio.record()?.as_ref())
    }

    fn number_in(self, record: &Record) -> Option<usize> {
        let chosen = self.chosen.get();
        let there = chosen.filter(|number| *number < record.visits.len());
        there.or_else(|| record.visit_log().last().map(|(number, _)| *number))
    }

    /// Something of the visit in work.
    pub fn of_visit<T>(self, studio: Studio, look: impl FnOnce(&Visit) -> T) -> Option<T> {
        let record = studio.record()?;
        let number = self.number_in(&record)?;
        record.visits.get(number).map(look)
    }

    /// What was done on a zone.
    pub fn work(self, studio: Studio, side: Side, zone: Zone) -> ZoneWork {
        let work = self.of_visit(studio, |visit| visit.work.get(side).get(zone).clone());
        work.unwrap_or_default()
    }

    /// Looks at another visit.
    pub fn open(self, studio: Studio, number: usize) {
        self.pause(studio);
        self.chosen.set(Some(number));
        self.caution.set(None);
        let kind = glance(|| self.of_visit(studio, |visit| visit.kind));
        self.on.set(match kind {
            Some(VisitKind::HealedCheck) => OnBench::Healed,
            _ => OnBench::Work,
        });
    }

    /// Begins a visit, today.
    pub fn begin(self, studio: Studio, kind: VisitKind) {
        let Some(today) = clock::today() else {
            studio.said.set(Some(
                "The device's clock shows no year of ours. Set it right, then begin the visit."
                    .to_owned(),
            ));
            return;
        };
        self.pause(studio);
        let visit = Box::new(Visit::new(today, kind));
        if studio.apply(&Edit::Visit(VisitEdit::Add(visit))) {
            let last = glance(|| studio.record()).map_or(0, |r| r.visits.len());
            self.open(studio, last.saturating_sub(1));
        }
    }

    /// Takes the visit in work away.
    pub fn remove(self, studio: Studio) {
        let Some(visit) = glance(|| self.number(studio)) else {
            return;
        };
        self.pause(studio);
        if studio.apply(&Edit::Visit(VisitEdit::Remove { visit })) {
            self.chosen.set(None);
            self.counted.set(vec![]);
            for form in [self.tool, self.pigment] {
                form.open.set(false);
            }
            self.keep_at_hand();
            self.caution.set(None);
        }
    }

    /// Changes one thing of the visit in work, as one step.
    pub fn change(self, studio: Studio, what: VisitChange) -> bool {
        let visit = glance(|| self.number(studio));
        visit.is_some_and(|visit| studio.apply(&Edit::Visit(VisitEdit::Change { visit, what })))
    }

    /// The same for words that are being written, which are one step until the
    /// field is left.
    pub fn write_on(self, studio: Studio, what: VisitChange) -> bool {
        let visit = glance(|| self.number(studio));
        visit.is_some_and(|visit| studio.write_on(&Edit::Visit(VisitEdit::Change { visit, what })))
    }

    /// The label that is typed.
    pub(super) const fn form(self, kind: SupplyKind) -> Form {
        match kind {
            SupplyKind::Tool => self.tool,
            SupplyKind::Pigment => self.pigment,
        }
    }

    /// Keeps with the device what is at hand and not in the record.
    pub(super) fn keep_at_hand(self) {
        let Some(client) = self.client.get_clone_untracked() else {
            return;
        };
        let mut at_hand = AtHand::default();
        at_hand.counted = self.counted.get_clone_untracked();
        for form in [self.tool, self.pigment] {
            form.lay_by(&mut at_hand);
        }
        let mut each = each_at_hand();
        each.set(&client, at_hand);
        write(AT_HAND, &each.to_json());
    }

    /// One more pass over a zone.
    pub fn count(self, studio: Studio, side: Side, zone: Zone) {
        let Some(visit) = glance(|| self.number(studio)) else {
            return;
        };
        let work = glance(|| self.work(studio, side, zone));
        let passes = work.passes.saturating_add(1);
        self.take_up(side, zone);
        let what = VisitChange::Passes { side, zone, passes };
        if self.change(studio, what) {
            self.counted.update(|all| all.push((visit, side, zone)));
            self.keep_at_hand();
            self.caution
                .set((!work.skin.is_empty()).then_some((side, zone)));
        }
    }

    /// The pass on the brow that is worked that can be taken back: the last that
    /// was counted.
    pub fn last_counted(self, studio: Studio) -> Option<(Side, Zone)> {
        let visit = self.number(studio)?;
        let worked = self.side.get();
        let counted = self.counted.get_clone().into_iter().rev();
        let counted = counted.filter(|(of, side, _)| (*of, *side) == (visit, worked));
        let there = counted.map(|(_, side, zone)| (side, zone));
        let mut there = there.filter(|(side, zone)| self.work(studio, *side, *zone).passes > 0);
        there.next()
    }

    /// Takes it back; as undo does it where it was the last step.
    pub fn take_back(self, studio: Studio) {
        let Some((side, zone)) = glance(|| self.last_counted(studio)) else {
            return;
        };
        let work = glance(|| self.work(studio, side, zone));
        let passes = work.passes.saturating_sub(1);
        let what = VisitChange::Passes { side, zone, passes };
        let visit = glance(|| self.number(studio)).unwrap_or_default();
        let edit = Edit::Visit(VisitEdit::Change { visit, what });
        let is_last = studio.work.with_untracked(|work| {
            let history = work.as_ref().map(|work| &work.history);
            history.is_some_and(|h| h.undo_words() == Some(edit.words().as_str()))
        });
        let is_done = if is_last {
            studio.undo();
            true
        } else {
            studio.apply(&edit)
        };
        if is_done {
            self.take_up(side, zone);
            self.counted.update(|all| {
                if let Some(at) = all.iter().rposition(|one| (one.1, one.2) == (side, zone)) {
                    all.remove(at);
                }
            });
            self.keep_at_hand();
        }
    }

    /// The zone at hand on the brow that is worked.
    pub fn zone(self) -> Zone {
        *self.zones.get().get(self.side.get())
    }

    /// That zone is at hand from now on.
    pub fn take_up(self, side: Side, zone: Zone) {
        self.side.set(side);
        self.zones.update(|zones| *zones.get_mut(side) = zone);
    }

    /// Changes the shelf and keeps it.
    pub fn put_on_shelf(self, put: impl FnOnce(&mut SupplyShelf)) {
        self.shelf.update(put);
        write(SUPPLIES, &self.shelf.with_untracked(SupplyShelf::to_json));
    }
}

fn each_at_hand() -> EachAtHand {
    EachAtHand::from_json(&read(AT_HAND).unwrap_or_default())
}

/// Nothing of a client who is erased stays at hand.
pub(super) fn forget(client: &str) {
    let mut each = each_at_hand();
    each.set(client, AtHand::default());
    write(AT_HAND, &each.to_json());
}

/// The number of the visit that is open in the place Visits, for what is
/// measured there.
pub fn open_visit(studio: Studio) -> Option<usize> {
    bench(studio).number(studio)
}
