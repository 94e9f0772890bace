//! What the plan does, in mm per side, and the offsets that bring it into the
//! shape.

use ophryon_brow::{BrowPoints, Handle, Offset};
use ophryon_face::{
    BrowPlace, BrowPlan, BrowStates, Correction, Judged, Moved, NothingToCorrect, PlanLimit,
    PlanRoom, PlanStop, SidedLandmark,
};
use ophryon_frames::{Front, Point, Side, Sided};
use serde::Serialize;

use crate::balance_ask::clients;
use crate::{Length, Levelled, Photo, PlanDecision, PlanWay, Record};

/// Two offsets nearer than this are one, mm or degrees: rounding.
const SAME_OFFSET: f64 = 1e-6;

/// A brow is one shape: lifting and turning it leaves this much of a plan by
/// places undone before it is said, mm. Half a ruler's tick.
const MISFIT_MM: f64 = 0.25;

/// The plan in mm.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct PlanReport {
    /// Share on the high side.
    pub share: f64,
    /// How the places are moved.
    pub moved: Moved,
    /// Start, peak and tail.
    pub rows: Vec<PlanRow>,
    /// Why nothing is corrected; `None` where something is.
    pub nothing: Option<NothingToCorrect>,
    /// All of it, one sentence each.
    pub sentences: Vec<String>,
    /// What brings it into the shape: the pair stands for the mean of both
    /// natural brows, and each side is displaced from it by this much.
    pub offset: Sided<Offset>,
    /// Most that the offsets leave undone at a place, mm.
    pub misfit_mm: f64,
    /// Whether it was taken.
    pub decision: PlanDecision,
    /// The pair's offsets are these now.
    pub is_in_shape: bool,
}

/// The plan at one place.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct PlanRow {
    /// Where.
    pub place: BrowPlace,
    /// How far each side is moved from where the natural brow is; up is
    /// positive.
    pub change: Sided<Length>,
    /// Right less left that is left.
    pub remains: Length,
    /// What stopped a side short of its part.
    pub stopped: Sided<Option<PlanStop>>,
    /// How far a side may go up, mm; `None` for as far as is asked.
    pub up_to_mm: Sided<Option<f64>>,
    /// How far down.
    pub down_to_mm: Sided<Option<f64>>,
}

impl Record {
    pub(crate) fn plan_report(
        &self,
        photo: &Photo,
        levelled: &Levelled,
        states: &BrowStates,
        judged: &Judged,
    ) -> PlanReport {
        let room = BrowPlace::ALL.map(|place| self.room(photo, levelled, place));
        let asked = match self.plan.way {
            PlanWay::PerPoint => Moved::ByPlace,
            PlanWay::OneLift => Moved::AsOne,
        };
        let plan = BrowPlan::of(states, judged, self.plan.share, asked, &room);
        let wanted = displaced(states, judged, &plan);
        let points = self.pair.as_ref().map(|p| p.points);
        let points = points.or_else(|| self.proposal().ok().map(|p| p.points));
        let (offset, misfit_mm) = offsets(&wanted, points.as_ref());
        let kept = self.pair.as_ref().map(|p| p.offset);
        PlanReport {
            share: self.plan.share,
            moved: plan.moved,
            rows: BrowPlace::ALL
                .into_iter()
                .zip(plan.places.iter().zip(&room))
                .map(|(place, (done, room))| row(place, done, room))
                .collect(),
            nothing: plan.nothing,
            sentences: sentences(states, &plan, asked, misfit_mm),
            decision: self.plan.decision,
            is_in_shape: kept.is_some_and(|kept| {
                Side::BOTH
                    .into_iter()
                    .all(|side| same(kept.get(side), offset.get(side)))
            }),
            offset,
            misfit_mm,
        }
    }

    /// How far each side may be moved at a place: its cap, and the border of
    /// its natural hair as it was traced.
    fn room(&self, photo: &Photo, levelled: &Levelled, place: BrowPlace) -> Sided<PlanRoom> {
        let beyond = [self.plan.beyond_hair_mm, self.limits.hair_step_most_mm]
            .into_iter()
            .flatten()
            .min_by(f64::total_cmp);
        Sided::from_fn(|side| {
            let cap = self.plan.cap_mm.get(side);
            let capped = cap.map_or_else(PlanRoom::default, PlanRoom::capped);
            let Some(beyond) = beyond else { return capped };
            let spare = spare_hair(photo, levelled, side, place);
            let limit = |spare: f64| {
                Some(PlanLimit {
                    mm: beyond + spare,
                    stop: PlanStop::Hair,
                })
            };
            capped.and(PlanRoom {
                up: limit(spare.0),
                down: limit(spare.1),
            })
        })
    }
}

/// How far the traced hair reaches above and below the tapped brow at a
/// place, mm; 0 where it wasn't traced.
fn spare_hair(photo: &Photo, levelled: &Levelled, side: Side, place: BrowPlace) -> (f64, f64) {
    let traced = photo.hair.get(side);
    let at = |l| levelled.survey.face.get(side, l);
    let Some(upper) = at(place.landmark()) else {
        return (0.0, 0.0);
    };
    let lower = match place {
        BrowPlace::Start => at(SidedLandmark::BrowStartBottom),
        BrowPlace::Peak => at(SidedLandmark::BrowLowerArch),
        BrowPlace::Tail => Some(upper),
    };
    let border: Vec<Point<Front>> = traced
        .iter()
        .map(|p| levelled.survey.frame.to_front(*p))
        .collect();
    match reach(&border, upper.x) {
        Some((lowest, highest)) => (
            (highest - upper.y).max(0.0),
            lower.map_or(0.0, |p| (p.y - lowest).max(0.0)),
        ),
        None => (0.0, 0.0),
    }
}

/// Lowest and highest crossing of a closed border with the upright through x.
fn reach(border: &[Point<Front>], x: f64) -> Option<(f64, f64)> {
    let edges = border.iter().zip(border.iter().cycle().skip(1));
    let crossings = edges.filter_map(|(a, b)| {
        let (low, high) = (a.x.min(b.x), a.x.max(b.x));
        if !(low..=high).contains(&x) {
            return None;
        }
        let run = b.x - a.x;
        let t = if run == 0.0 { 0.0 } else { (x - a.x) / run };
        Some(a.y + t * (b.y - a.y))
    });
    crossings.fold(None, |found, y| {
        let (low, high) = found.unwrap_or((y, y));
        Some((f64::min(low, y), f64::max(high, y)))
    })
}

/// How far each side is wanted from the mean of the two natural brows, mm up:
/// at start, peak and tail. What can't be told from even is drawn even.
fn displaced(states: &BrowStates, judged: &Judged, plan: &BrowPlan) -> Sided<[f64; 3]> {
    Sided::from_fn(|side| {
        BrowPlace::ALL.map(|place| {
            let i = place as usize;
            let done: &Correction = &plan.places[i];
            let difference = match plan.moved {
                Moved::AsOne if plan.nothing.is_none() => states.whole.at_rest.mm,
                _ if judged.places[i].is_there_at_rest() => states.places[i].difference.at_rest.mm,
                _ => return 0.0,
            };
            // Right less left: half above the mean on the right.
            let own = 0.5 * difference * -side.sign();
            own + done.change.get(side).mm
        })
    })
}

/// Height and turn of each side that bring start, peak and tail nearest to
/// where they are wanted (least squares), and the most that is left.
fn offsets(wanted: &Sided<[f64; 3]>, points: Option<&BrowPoints>) -> (Sided<Offset>, f64) {
    let mut misfit: f64 = 0.0;
    let offset = Sided::from_fn(|side| {
        let up = wanted.get(side);
        let mean = up.iter().sum::<f64>() / 3.0;
        let level = Offset {
            height_mm: mean,
            ..Offset::default()
        };
        let Some(points) = points else { return level };
        let about = points.at(Handle::Start);
        let places = [points.front_top, points.peak, points.tail];
        let out = places.map(|p| p.x - about.x);
        let out_mean = out.iter().sum::<f64>() / 3.0;
        let spread: f64 = out.iter().map(|x| (x - out_mean) * (x - out_mean)).sum();
        let together: f64 = out.iter().zip(up).map(|(x, y)| (x - out_mean) * y).sum();
        let slope = together / spread;
        let found = if slope.is_finite() {
            Offset {
                height_mm: mean - slope * out_mean,
                turn_degrees: libm::asin(slope.clamp(-1.0, 1.0)).to_degrees(),
                ..level
            }
        } else {
            level
        };
        for (p, y) in places.iter().zip(up) {
            misfit = misfit.max((found.apply(*p, about).y - p.y - y).abs());
        }
        found
    });
    (offset, misfit)
}

fn same(a: &Offset, b: &Offset) -> bool {
    (a.height_mm - b.height_mm).abs() < SAME_OFFSET
        && (a.turn_degrees - b.turn_degrees).abs() < SAME_OFFSET
}

fn row(place: BrowPlace, done: &Correction, room: &Sided<PlanRoom>) -> PlanRow {
    let mm = |limit: Option<PlanLimit>| limit.map(|l| l.mm);
    PlanRow {
        place,
        change: done.change.map(Length::from),
        remains: done.remains.into(),
        stopped: done.stopped,
        up_to_mm: room.map(|r| mm(r.up)),
        down_to_mm: room.map(|r| mm(r.down)),
    }
}

fn sentences(states: &BrowStates, plan: &BrowPlan, asked: Moved, misfit_mm: f64) -> Vec<String> {
    let rest = states.whole.at_rest;
    let size = format!("{:.1} ± {:.1} mm", rest.mm.abs(), rest.expanded());
    if let Some(nothing) = plan.nothing {
        return vec![match nothing {
            NothingToCorrect::Even => format!(
                "Nothing is corrected: at rest the brows are not distinguishable from even ({size})."
            ),
            NothingToCorrect::Movement => format!(
                "Nothing is corrected: at rest the brows are not distinguishable from even ({size}), and what shows in use is movement. Evening that out would leave the client uneven at rest."
            ),
            NothingToCorrect::OppositeWays => format!(
                "Nothing is corrected: one brow is higher at one place and lower at another, so that moving it as a whole evens out nothing ({size}). Choose point by point."
            ),
        }];
    }
    let mut all = Vec::new();
    match plan.moved {
        Moved::AsOne => {
            all.push(moves("", &plan.places[0]));
            if asked == Moved::ByPlace {
                all.push("No single point shows the difference by itself, so the brow is moved as a whole.".to_owned());
            }
        }
        Moved::ByPlace if reads_alike(&plan.places) => {
            all.push(moves(
                "At start, peak and tail alike, ",
                widest(&plan.places),
            ));
        }
        Moved::ByPlace => {
            for (place, done) in BrowPlace::ALL.into_iter().zip(&plan.places) {
                let at = format!("At the {}, ", place.name());
                if done.change == Sided::default() && done.stopped == Sided::default() {
                    all.push(format!(
                        "{at}the brows are not distinguishable from even ({:.1} ± {:.1} mm): nothing is moved.",
                        done.remains.mm.abs(),
                        done.remains.expanded()
                    ));
                } else {
                    all.push(moves(&at, done));
                }
            }
            if misfit_mm > MISFIT_MM {
                all.push(format!(
                    "A brow is lifted and turned as one shape, which leaves up to {misfit_mm:.1} mm of this undone; move the points themselves for the rest."
                ));
            }
        }
    }
    all
}

/// To a tenth of a millimetre, all three places say the same.
fn reads_alike(places: &[Correction; 3]) -> bool {
    let read = |c: &Correction| {
        let tenths = |mm: f64| (10.0 * mm).round();
        let mm = [c.change.right.mm, c.change.left.mm, c.remains.mm].map(tenths);
        (mm, c.stopped)
    };
    places.iter().all(|c| read(c) == read(&places[0]))
}

/// The least certain of three that say the same.
fn widest(places: &[Correction; 3]) -> &Correction {
    let [first, others @ ..] = places;
    others.iter().fold(first, |widest, c| {
        if c.remains.sd > widest.remains.sd {
            c
        } else {
            widest
        }
    })
}

/// "At the peak, the client's right brow goes down 1.0 ± 0.4 mm and the
/// client's left up 1.0 ± 0.4 mm; nothing remains."
fn moves(at: &str, done: &Correction) -> String {
    let way = |side: Side| {
        let change = done.change.get(side);
        let mm = change.mm.abs();
        if mm == 0.0 {
            return "stays".to_owned();
        }
        let way = if change.mm > 0.0 { "up" } else { "down" };
        match change.expanded() {
            0.0 => format!("goes {way} {mm:.1} mm"),
            half => format!("goes {way} {mm:.1} ± {half:.1} mm"),
        }
    };
    let mut text = format!(
        "{at}the {} brow {} and the {} brow {}; ",
        clients(Side::Right),
        way(Side::Right),
        clients(Side::Left),
        way(Side::Left)
    );
    if at.is_empty() {
        text.replace_range(..1, "T");
    }
    let half = done.remains.expanded();
    if done.remains.mm == 0.0 {
        text.push_str(&format!("0.0 ± {half:.1} mm remains."));
    } else {
        let higher = if done.remains.mm > 0.0 {
            Side::Right
        } else {
            Side::Left
        };
        text.push_str(&format!(
            "{:.1} ± {half:.1} mm remains, the {} one higher.",
            done.remains.mm.abs(),
            clients(higher)
        ));
    }
    for side in Side::BOTH {
        let why = match done.stopped.get(side) {
            Some(PlanStop::Cap) => "by its cap",
            Some(PlanStop::Hair) => "by the border of its hair",
            None => continue,
        };
        text.push_str(&format!(" The {} brow is held {why}.", clients(side)));
    }
    text
}
