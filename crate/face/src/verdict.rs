//! What a difference between the brows is: set in the face, movement, both,
//! or not distinguishable from even.
//!
//! Two questions are asked: is there a difference at rest, and does it change
//! in use? Each is answered by whether a number is more than k standard
//! uncertainties from 0.
//!
//! | at rest | in use | verdict |
//! |---|---|---|
//! | no | the same | even |
//! | yes | the same | set |
//! | no | changes | movement |
//! | yes | changes | both |
//!
//! For the brow as a whole there are eight looks (start, peak, tail and their
//! mean, at rest and at the change). With k = 2 each, chance alone would find
//! something in up to three of ten even pairs of brows, so k is larger there
//! ([`WHOLE_K`]). Only where the whole brow answers yes are the places asked
//! one by one, with k = 2. Chance then calls an even pair uneven in at most
//! one of twenty cases.

use ophryon_frames::Side;
use serde::Serialize;

use crate::{BrowPlace, BrowStates, Distance, StateDifference};

/// How many standard uncertainties a place must be from 0.
pub const PLACE_K: f64 = 2.0;

/// The same for the brow as a whole: eight looks that together err as often
/// as one with k = 2, 1 - 0.9545^(1/8) each (Šidák Z. J Am Stat Assoc
/// 1967;62:626-33; from memory).
pub const WHOLE_K: f64 = 2.76;

/// What the difference between the brows is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StateVerdict {
    /// Not distinguishable from even, at rest and in use.
    Even,
    /// There at rest, and the same in use.
    Set,
    /// Not there at rest: it comes with the use of the forehead.
    Movement,
    /// There at rest, and changing in use.
    Both,
}

impl StateVerdict {
    /// All four.
    pub const ALL: [Self; 4] = [Self::Even, Self::Set, Self::Movement, Self::Both];

    const fn of(is_there_at_rest: bool, changes: bool) -> Self {
        match (is_there_at_rest, changes) {
            (false, false) => Self::Even,
            (true, false) => Self::Set,
            (false, true) => Self::Movement,
            (true, true) => Self::Both,
        }
    }

    /// One or two words for a table.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Even => "not distinguishable from even",
            Self::Set => "set",
            Self::Movement => "movement",
            Self::Both => "set and movement",
        }
    }

    /// There is something at rest that could be evened out.
    pub const fn is_there_at_rest(self) -> bool {
        matches!(self, Self::Set | Self::Both)
    }

    /// Something comes with the use of the forehead.
    pub const fn moves(self) -> bool {
        matches!(self, Self::Movement | Self::Both)
    }
}

/// What the face does in the photo in use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum InUse {
    /// The eyes are opened wide.
    EyesWideOpen,
    /// The brows are raised.
    BrowsRaised,
}

/// The verdict on the brows, with what it rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Judged {
    /// The brow as a whole.
    pub whole: StateVerdict,
    /// At start, peak and tail.
    pub places: [StateVerdict; 3],
    /// The brows differ in use, but it can't be told whether they do at rest:
    /// neither the difference at rest nor the change is sure by itself. The
    /// verdict is then "even", and another look is worth it.
    pub in_use_only: bool,
}

impl BrowStates {
    /// Judges the differences.
    pub fn judged(&self) -> Judged {
        let beyond = |k: f64, d: Distance| d.mm.abs() > k * d.sd;
        let anywhere = |of: fn(&StateDifference) -> Distance| {
            let mut all = self.places.iter().map(|p| of(&p.difference));
            beyond(WHOLE_K, of(&self.whole)) || all.any(|d| beyond(WHOLE_K, d))
        };
        let at_rest = anywhere(|d| d.at_rest);
        let changes = anywhere(|d| d.change);
        let places = self.places.map(|p| {
            StateVerdict::of(
                at_rest && beyond(PLACE_K, p.difference.at_rest),
                changes && beyond(PLACE_K, p.difference.change),
            )
        });
        Judged {
            whole: StateVerdict::of(at_rest, changes),
            places,
            in_use_only: !at_rest && !changes && anywhere(|d| d.in_use),
        }
    }

    /// The number that shows a difference best: the whole brow's where that
    /// is sure by itself, else the most certain of it and the places.
    pub fn headline(&self, of: fn(&StateDifference) -> Distance) -> (Option<BrowPlace>, Distance) {
        let certain = |d: Distance| d.mm.abs() / d.sd;
        let whole = (None, of(&self.whole));
        if certain(whole.1) > WHOLE_K {
            return whole;
        }
        let places = self.places.iter();
        places
            .map(|p| (Some(p.place), of(&p.difference)))
            .fold(whole, |best, next| {
                if certain(next.1) > certain(best.1) {
                    next
                } else {
                    best
                }
            })
    }

    /// What the artist can read to the client: plain words, no ±.
    pub fn aloud(&self, judged: &Judged, doing: InUse) -> String {
        let (when, with) = match doing {
            InUse::EyesWideOpen => ("you open your eyes wide", "your eyes wide open"),
            InUse::BrowsRaised => ("you raise your brows", "your brows raised"),
        };
        let rest = Said::of(self.headline(|d| d.at_rest));
        let change = Said::of(self.headline(|d| d.change));
        let level = "level, as closely as I can measure";
        let usual = "Most people differ by more than a millimetre somewhere.";
        match judged.whole {
            StateVerdict::Even if judged.in_use_only => {
                let now = Said::of(self.headline(|d| d.in_use));
                format!(
                    "At rest your brows are {level}. With {with} your {} brow looks about {:.1} mm higher{}. I can't tell yet whether some of that is there at rest too, so I would like to measure once more.",
                    now.higher, now.mm, now.place
                )
            }
            StateVerdict::Even => {
                format!("Your brows are {level}, at rest and with {with}.")
            }
            StateVerdict::Set => format!(
                "At rest your {} brow sits about {:.1} mm higher than your {}{}, and it stays so when {when}. So it is set in your face, and I can even it out in the drawing. {usual}",
                rest.higher, rest.mm, rest.lower, rest.place
            ),
            StateVerdict::Movement => format!(
                "At rest your brows are {level}. When {when}, your {} brow goes up about {:.1} mm further than your {}{}. That is muscle at work. If I evened it out in the drawing, your brows would be uneven at rest, so I leave it. {usual}",
                change.higher, change.mm, change.lower, change.place
            ),
            StateVerdict::Both => format!(
                "At rest your {} brow sits about {:.1} mm higher than your {}{}. When {when}, your {} brow goes up about {:.1} mm further than your {}{}. What is there at rest I can even out in the drawing; what comes with the movement I leave. {usual}",
                rest.higher,
                rest.mm,
                rest.lower,
                rest.place,
                change.higher,
                change.mm,
                change.lower,
                change.place
            ),
        }
    }
}

/// A difference as it is told.
struct Said {
    higher: &'static str,
    lower: &'static str,
    mm: f64,
    /// "" or " at the peak".
    place: String,
}

impl Said {
    fn of((place, difference): (Option<BrowPlace>, Distance)) -> Self {
        let (higher, lower) = if difference.mm > 0.0 {
            (Side::Right, Side::Left)
        } else {
            (Side::Left, Side::Right)
        };
        Self {
            higher: higher.name(),
            lower: lower.name(),
            mm: difference.mm.abs(),
            place: place.map_or_else(String::new, |p| format!(" at the {}", p.name())),
        }
    }
}

#[cfg(test)]
mod tests {
    use ophryon_frames::{Point, Sided};

    use super::*;
    use crate::plan::{BrowPlan, Moved, NothingToCorrect, PlanRoom};
    use crate::{
        Alignment, CameraDistance, FrontFace, Landmarks, MeanHeights, PlaceHeights, Pose, STEADY,
    };

    /// Start, peak, tail and the whole alike: a difference at rest and in use,
    /// each with its standard uncertainty, independent of each other.
    fn states(rest: (f64, f64), now: (f64, f64)) -> BrowStates {
        let distance = |(mm, sd): (f64, f64)| Distance { mm, sd };
        let difference = StateDifference {
            at_rest: distance(rest),
            in_use: distance(now),
            change: distance((now.0 - rest.0, libm::hypot(rest.1, now.1))),
        };
        let none = Sided::<Distance>::default();
        let (mut taps, mut face) = (Landmarks::default(), FrontFace::default());
        for (i, landmark) in STEADY.into_iter().enumerate() {
            let (x, y) = (10.0 * i as f64, if i % 2 == 0 { 30.0 } else { 0.0 });
            taps.set(landmark, Point::new(x, -y));
            face.points.insert(landmark, Point::new(x, y));
        }
        BrowStates {
            alignment: Alignment::fit(&taps, &face).expect("it fits itself"),
            pose_in_use: Pose::USUAL,
            distance_in_use: CameraDistance::Unknown,
            places: BrowPlace::ALL.map(|place| PlaceHeights {
                place,
                at_rest: none,
                in_use: none,
                rise: none,
                difference,
            }),
            mean: MeanHeights {
                at_rest: none,
                in_use: none,
                rise: none,
            },
            whole: difference,
        }
    }

    fn verdict(rest: (f64, f64), now: (f64, f64)) -> StateVerdict {
        states(rest, now).judged().whole
    }

    #[test]
    fn the_four_answers() {
        assert_eq!(verdict((0.2, 0.2), (0.1, 0.2)), StateVerdict::Even);
        assert_eq!(verdict((2.0, 0.2), (2.1, 0.2)), StateVerdict::Set);
        assert_eq!(verdict((0.2, 0.2), (-2.0, 0.2)), StateVerdict::Movement);
        assert_eq!(verdict((-2.0, 0.2), (-4.0, 0.2)), StateVerdict::Both);
        // A difference at rest that goes away in use is set, and muscle hides it.
        assert_eq!(verdict((2.0, 0.2), (0.0, 0.2)), StateVerdict::Both);
    }

    /// Near the threshold nothing is claimed, and just past it no more than
    /// what is measured.
    #[test]
    fn what_cannot_be_told_from_even_is_even() {
        assert_eq!(verdict((0.54, 0.2), (0.54, 0.2)), StateVerdict::Even);
        assert_eq!(verdict((0.56, 0.2), (0.56, 0.2)), StateVerdict::Set);
        assert_eq!(verdict((9.0, 4.0), (9.0, 4.0)), StateVerdict::Even);
        // Neither at rest nor by the change, yet sure in use: said, not hidden.
        let doubtful = states((1.4, 0.6), (2.2, 0.6));
        let judged = doubtful.judged();
        assert_eq!(judged.whole, StateVerdict::Even);
        assert!(judged.in_use_only);
        let said = doubtful.aloud(&judged, InUse::EyesWideOpen);
        assert!(
            said.contains("your right brow looks about 2.2 mm higher")
                && said.contains("measure once more"),
            "{said}"
        );
        assert!(!states((0.1, 0.2), (0.2, 0.2)).judged().in_use_only);
    }

    /// One place alone counts when it stands out, and then only that place.
    #[test]
    fn a_single_place_can_differ() {
        let mut found = states((0.1, 0.3), (0.1, 0.3));
        found.places[1].difference.at_rest.mm = 2.0;
        found.places[1].difference.in_use.mm = 2.0;
        let judged = found.judged();
        assert_eq!(judged.whole, StateVerdict::Set);
        assert_eq!(
            judged.places,
            [StateVerdict::Even, StateVerdict::Set, StateVerdict::Even]
        );
        let said = found.aloud(&judged, InUse::BrowsRaised);
        assert!(
            said.contains("about 2.0 mm higher than your left at the peak")
                && said.contains("when you raise your brows"),
            "{said}"
        );
        let room = [Sided::<PlanRoom>::default(); 3];
        let plan = BrowPlan::of(&found, &judged, 0.5, Moved::ByPlace, &room);
        assert_eq!(plan.places[1].change.right.mm, -1.0);
        assert_eq!(plan.places[0].change.right.mm, 0.0);
    }

    /// With movement 2.0 and rest 0.2 ± 0.4 nothing is corrected; with 2.0 at
    /// rest and in use it is 1.0 down, 1.0 up and nothing left.
    #[test]
    fn worked_examples_hold_exactly() {
        let room = [Sided::<PlanRoom>::default(); 3];
        for moved in [Moved::ByPlace, Moved::AsOne] {
            let moves = states((0.2, 0.2), (2.2, 0.2));
            let plan = BrowPlan::of(&moves, &moves.judged(), 0.5, moved, &room);
            assert_eq!(plan.nothing, Some(NothingToCorrect::Movement));
            for place in plan.places {
                assert_eq!((place.change.right.mm, place.change.left.mm), (0.0, 0.0));
                assert_eq!((place.remains.mm, place.remains.expanded()), (0.2, 0.4));
            }
            let set = states((2.0, 0.2), (2.0, 0.2));
            let plan = BrowPlan::of(&set, &set.judged(), 0.5, moved, &room);
            assert_eq!(plan.nothing, None);
            for place in plan.places {
                assert_eq!((place.change.right.mm, place.change.left.mm), (-1.0, 1.0));
                assert_eq!(place.remains.mm, 0.0);
            }
        }
    }

    /// Higher at the start and lower at the tail: as a whole there is nothing
    /// to even out, place by place there is.
    #[test]
    fn a_slant_is_corrected_by_place_only() {
        let mut slanted = states((0.0, 0.2), (0.0, 0.2));
        for (i, mm) in [(0, 2.0), (2, -2.0)] {
            slanted.places[i].difference.at_rest.mm = mm;
            slanted.places[i].difference.in_use.mm = mm;
        }
        let judged = slanted.judged();
        assert_eq!(judged.whole, StateVerdict::Set);
        let room = [Sided::<PlanRoom>::default(); 3];
        let plan = |moved| BrowPlan::of(&slanted, &judged, 0.5, moved, &room);
        assert_eq!(
            plan(Moved::AsOne).nothing,
            Some(NothingToCorrect::OppositeWays)
        );
        let by_place = plan(Moved::ByPlace).places;
        assert_eq!(by_place[0].change.right.mm, -1.0);
        assert_eq!(by_place[2].change.right.mm, 1.0);
    }
}
