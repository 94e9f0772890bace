//! How much of a difference at rest is evened out, and on which side.
//!
//! The high side comes down by a share of the difference and the low side
//! goes up by the rest (one half each: common practice, no source), as far as
//! caps and the border of the natural hair let them. What one side can't do
//! goes to the other; what neither can do remains, and is said.
//!
//! Only what is set in the face is corrected. A difference that comes with
//! movement, or that can't be told from even, is left.

use ophryon_frames::{Side, Sided};
use serde::Serialize;

use crate::{BrowPlace, BrowStates, Distance, Judged, PLACE_K, StateVerdict};

/// Less than this that remains is rounding, mm.
const ROUNDING_MM: f64 = 1e-9;

/// What stops a side from going further.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PlanStop {
    /// The cap that was set for it.
    Cap,
    /// The border of its natural hair.
    Hair,
}

/// How far a side may go one way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanLimit {
    /// mm, 0 or more.
    pub mm: f64,
    /// What stops it there.
    pub stop: PlanStop,
}

/// How far a side may go up and down at one place; `None` for as far as is
/// asked.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PlanRoom {
    /// Up.
    pub up: Option<PlanLimit>,
    /// Down.
    pub down: Option<PlanLimit>,
}

impl PlanRoom {
    /// A cap both ways.
    pub fn capped(mm: f64) -> Self {
        let limit = Some(PlanLimit {
            mm,
            stop: PlanStop::Cap,
        });
        Self {
            up: limit,
            down: limit,
        }
    }

    /// What both rooms leave.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            up: tighter(self.up, other.up),
            down: tighter(self.down, other.down),
        }
    }
}

fn tighter(a: Option<PlanLimit>, b: Option<PlanLimit>) -> Option<PlanLimit> {
    match (a, b) {
        (Some(a), Some(b)) => Some(if b.mm < a.mm { b } else { a }),
        (a, b) => a.or(b),
    }
}

/// What is done about a difference at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correction {
    /// How far each side is moved, mm; up is positive.
    pub change: Sided<Distance>,
    /// Right less left that is left afterwards, mm.
    pub remains: Distance,
    /// What stopped a side short of its part.
    pub stopped: Sided<Option<PlanStop>>,
}

impl Correction {
    /// Nothing is moved.
    pub fn none(difference: Distance) -> Self {
        Self {
            change: Sided::default(),
            remains: difference,
            stopped: Sided::default(),
        }
    }

    /// Evens out a difference (right less left): `share` of it, 0 to 1, on
    /// the high side, the rest on the low one.
    ///
    /// The uncertainty of a side's part is its share of the difference's; a
    /// side that is stopped moves by exactly what stops it. What remains is as
    /// uncertain as the difference.
    pub fn sharing(difference: Distance, share: f64, room: &Sided<PlanRoom>) -> Self {
        let whole = difference.mm.abs();
        let share = if share.is_nan() {
            0.5
        } else {
            share.clamp(0.0, 1.0)
        };
        let high_side = if difference.mm >= 0.0 {
            Side::Right
        } else {
            Side::Left
        };
        let low_side = high_side.other();
        let (down, up) = (room.get(high_side).down, room.get(low_side).up);
        let most = |limit: Option<PlanLimit>| limit.map_or(f64::INFINITY, |l| l.mm.max(0.0));

        let asked_high = share * whole;
        let asked_low = whole - asked_high;
        let mut high = asked_high.min(most(down));
        let low = (whole - high).min(most(up));
        if low < asked_low {
            high = (whole - low).min(most(down));
        }
        let part = |mm: f64, limit: Option<PlanLimit>, sign: f64| Distance {
            mm: sign * mm + 0.0,
            sd: if mm < most(limit) && whole > 0.0 {
                difference.sd * mm / whole
            } else {
                0.0
            },
        };
        let remains = Some(whole - high - low).filter(|mm| *mm > ROUNDING_MM);
        let sign = -high_side.sign();
        let mut found = Self::none(Distance {
            mm: sign * remains.unwrap_or(0.0) + 0.0,
            ..difference
        });
        let stop = |done: f64, asked: f64, limit: Option<PlanLimit>| {
            let is_stopped = done < asked || (remains.is_some() && done >= most(limit));
            limit.filter(|_| is_stopped).map(|l| l.stop)
        };
        *found.change.get_mut(high_side) = part(high, down, -1.0);
        *found.change.get_mut(low_side) = part(low, up, 1.0);
        *found.stopped.get_mut(high_side) = stop(high, asked_high, down);
        *found.stopped.get_mut(low_side) = stop(low, asked_low, up);
        found
    }
}

/// Whether each place moves by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Moved {
    /// Start, peak and tail each by their own difference.
    ByPlace,
    /// All three by one: by the mean of their differences.
    AsOne,
}

/// Why nothing is corrected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum NothingToCorrect {
    /// The brows can't be told from even.
    Even,
    /// The difference comes with movement.
    Movement,
    /// The brows differ one way at one place and the other way at another, so
    /// that moving them as a whole evens out nothing.
    OppositeWays,
}

/// What the plan does at every place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BrowPlan {
    /// Start, peak and tail; thrice the same where they are moved as one.
    pub places: [Correction; 3],
    /// How the places are moved. Where no single place shows the difference
    /// that the whole brow shows, they are moved as one whatever was asked.
    pub moved: Moved,
    /// Why nothing is corrected; `None` where something is.
    pub nothing: Option<NothingToCorrect>,
}

impl BrowPlan {
    /// Plans the correction of what is set.
    pub fn of(
        states: &BrowStates,
        judged: &Judged,
        share: f64,
        asked: Moved,
        room: &[Sided<PlanRoom>; 3],
    ) -> Self {
        let rest = states.places.map(|p| p.difference.at_rest);
        let whole = states.whole.at_rest;
        let nothing = |why| Self {
            places: rest.map(Correction::none),
            moved: asked,
            nothing: Some(why),
        };
        if !judged.whole.is_there_at_rest() {
            return nothing(match judged.whole {
                StateVerdict::Movement => NothingToCorrect::Movement,
                _ => NothingToCorrect::Even,
            });
        }
        let shows = judged.places.map(StateVerdict::is_there_at_rest);
        if asked == Moved::ByPlace && shows.contains(&true) {
            let place = |i: usize| {
                if shows[i] {
                    Correction::sharing(rest[i], share, &room[i])
                } else {
                    Correction::none(rest[i])
                }
            };
            return Self {
                places: BrowPlace::ALL.map(|p| place(p as usize)),
                moved: Moved::ByPlace,
                nothing: None,
            };
        }
        if whole.mm.abs() <= PLACE_K * whole.sd {
            return nothing(NothingToCorrect::OppositeWays);
        }
        let together = Sided::from_fn(|side| {
            let all = room.iter().map(|r| *r.get(side));
            all.fold(PlanRoom::default(), PlanRoom::and)
        });
        Self {
            places: [Correction::sharing(whole, share, &together); 3],
            moved: Moved::AsOne,
            nothing: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn measured(mm: f64) -> Distance {
        Distance { mm, sd: 0.2 }
    }

    fn room(right: Option<f64>, left: Option<f64>) -> Sided<PlanRoom> {
        Sided { right, left }.map(|cap| cap.map_or_else(PlanRoom::default, PlanRoom::capped))
    }

    fn moved(c: &Correction) -> (f64, f64, f64) {
        (c.change.right.mm, c.change.left.mm, c.remains.mm)
    }

    /// Common practice, no source: one down, one up, nothing left.
    #[test]
    fn two_millimetres_are_one_down_and_one_up() {
        let plan = Correction::sharing(measured(2.0), 0.5, &room(None, None));
        assert_eq!(moved(&plan), (-1.0, 1.0, 0.0));
        assert_eq!((plan.change.right.sd, plan.remains.sd), (0.1, 0.2));
        assert_eq!(plan.stopped, Sided::default());
        let mirrored = Correction::sharing(measured(-2.0), 0.5, &room(None, None));
        assert_eq!(moved(&mirrored), (1.0, -1.0, 0.0));
    }

    #[test]
    fn what_a_capped_side_cannot_do_goes_to_the_other_or_remains() {
        let plan = Correction::sharing(measured(2.0), 0.5, &room(Some(0.5), None));
        assert_eq!(moved(&plan), (-0.5, 1.5, 0.0));
        assert_eq!(plan.stopped.right, Some(PlanStop::Cap));
        assert_eq!(plan.stopped.left, None);
        // A cap is exact.
        assert_eq!(plan.change.right.sd, 0.0);
        let plan = Correction::sharing(measured(2.0), 0.5, &room(Some(0.5), Some(1.2)));
        assert_eq!(moved(&plan).0, -0.5);
        assert_eq!(moved(&plan).1, 1.2);
        assert!((plan.remains.mm - 0.3).abs() < 1e-12);
        assert!(plan.stopped.right.is_some() && plan.stopped.left.is_some());
        // The low side capped: the high side comes down further.
        let plan = Correction::sharing(measured(-2.0), 0.5, &room(Some(0.25), None));
        assert_eq!(moved(&plan), (0.25, -1.75, 0.0));
    }

    #[test]
    fn the_hair_stops_one_way_and_not_the_other() {
        let mut hair = room(None, None);
        hair.left.up = Some(PlanLimit {
            mm: 0.0,
            stop: PlanStop::Hair,
        });
        let plan = Correction::sharing(measured(2.0), 0.5, &hair);
        assert_eq!(moved(&plan), (-2.0, 0.0, 0.0));
        assert_eq!(plan.stopped.left, Some(PlanStop::Hair));
        let other_way = Correction::sharing(measured(-2.0), 0.5, &hair);
        assert_eq!(moved(&other_way), (1.0, -1.0, 0.0));
    }

    proptest! {
        /// Whatever is asked: nobody is moved past a limit or the wrong way,
        /// never over even, and nothing is lost.
        #[test]
        fn nothing_is_lost_and_no_limit_passed(
            mm in -6.0..6.0f64, share in -0.5..1.5f64,
            right in prop::option::of(0.0..3.0f64), left in prop::option::of(0.0..3.0f64),
        ) {
            let plan = Correction::sharing(measured(mm), share, &room(right, left));
            let (r, l, remains) = moved(&plan);
            prop_assert!((mm + r - l - remains).abs() < 1e-9);
            prop_assert!(remains * mm >= 0.0 && remains.abs() <= mm.abs() + 1e-12);
            prop_assert!(r * mm <= 0.0 && l * mm >= 0.0);
            for (moved, cap) in [(r, right), (l, left)] {
                prop_assert!(moved.abs() <= cap.unwrap_or(f64::INFINITY));
            }
            // Something remains only where neither side may go on.
            if remains != 0.0 {
                prop_assert_eq!(Some(r.abs()), right);
                prop_assert_eq!(Some(l.abs()), left);
            }
            let mirror = Correction::sharing(measured(-mm), share, &room(left, right));
            prop_assert_eq!(moved(&mirror), (l, r, -remains + 0.0));
        }
    }
}
