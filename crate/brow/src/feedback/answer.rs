//! The largest part of the usual step that holds.

use ophryon_frames::{Lateral, Point, Side, Sided, Vector};

use crate::draw::drawn;
use crate::feedback::moves::{Meaning, Recipe, meaning, moved, wished};
use crate::feedback::parameter::{Change, Parameter, TOTAL_BOUNDS, Total, changes, measured};
use crate::measure::body_across;
use crate::{
    Brow, BrowPoints, Constraint, Form, HairRegion, Handle, Limits, Pair, Phrase, Reading, Setting,
    Shrink, SideConflict, THIN_MM, Tolerance, Verdict, healed, pair_constraints,
};

/// Smallest part of a step that is worth proposing, mm: less isn't seen, and a
/// pencil is thicker.
pub const SMALLEST_STEP_MM: f64 = 0.1;

/// Thinnest body that feedback leaves, mm (ours, as for proposals).
const LEAST_BODY_MM: f64 = 3.0;

/// Strip of hair that can be cleaned along the underside, mm: what is plucked or
/// trimmed at a visit. Ours; a brow that is thinner than its hair by more shows
/// stubble where it was cleaned.
const CLEANED_MM: f64 = 1.0;

/// A constraint that failed in the shape first shown may read so much worse than
/// there, in its unit: the side that doesn't lead aims at another ear, so its
/// angle changes a little. Far below what can be drawn.
const NO_WORSE: f64 = 0.05;

/// Most answers that are looked ahead for; the bounds in all end it far sooner.
const LOOKED_AHEAD: usize = 100;

/// Rounding, in a reading's unit or mm.
const ROUNDING: f64 = 1e-6;

/// The shape that something was said of, and what it stands among.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The pair as it is.
    pub pair: &'a Pair,
    /// The pair as it was first shown, before any answer.
    pub first: &'a Pair,
    /// What it keeps to.
    pub limits: &'a Limits,
    /// Middle of each ear on the skin, side-neutral.
    pub ears: &'a Sided<Point<Lateral>>,
    /// The natural hair, where it is known.
    pub hair: &'a Sided<Option<HairRegion>>,
    /// Whether its border was traced. A few taps tell where hair is, not how
    /// thick: only a traced border keeps a brow from becoming thinner.
    pub traced: Sided<bool>,
    /// How much smaller a brow heals.
    pub shrink: &'a Shrink,
}

/// What keeps a step from being larger, or from being taken at all.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum InTheWay {
    /// As far from the shape first shown as feedback goes.
    #[error("{} is already {used_mm:.1} mm from the shape first shown, and feedback goes no farther than {most_mm:.1} mm; for more, choose another style or draw it anew", .total.name())]
    Bound {
        /// What.
        total: Total,
        /// How far it is from the shape first shown, mm.
        used_mm: f64,
        /// How far it may be, mm.
        most_mm: f64,
    },
    /// The next shape can't be drawn.
    #[error("{0}")]
    Conflict(SideConflict),
    /// A constraint would no longer hold.
    #[error("on the client's {}, {} would no longer hold: {sentence}", .side.name(), .constraint.name())]
    Constraint {
        /// On which side.
        side: Side,
        /// Which.
        constraint: Constraint,
        /// How it would read.
        sentence: String,
    },
    /// A constraint fails already and would fail by more.
    #[error("on the client's {}, {} is off already ({sentence}); this would make it worse", .side.name(), .constraint.name())]
    Worse {
        /// On which side.
        side: Side,
        /// Which.
        constraint: Constraint,
        /// How it reads now.
        sentence: String,
    },
    /// The natural hair is thicker than what is asked.
    #[error("on the client's {} the natural hair is {hair_mm:.1} mm thick and the body would be {body_mm:.1} mm; that leaves {outside_mm2:.0} mm² of hair outside, and a strip of more than {CLEANED_MM:.0} mm would show as stubble", .side.name())]
    Hair {
        /// On which side.
        side: Side,
        /// Thickness of the hair across the body, mm.
        hair_mm: f64,
        /// Thickness that the body would have there, mm.
        body_mm: f64,
        /// Hair that would lie outside, mm².
        outside_mm2: f64,
    },
    /// The body would be thinner than a brow.
    #[error(
        "the body would be {body_mm:.1} mm thick, and less than {LEAST_BODY_MM:.0} mm no longer looks like a brow"
    )]
    Thinnest {
        /// Its thickness, mm.
        body_mm: f64,
    },
    /// Healed, the tail would be too thin.
    #[error(
        "healed, the tail would be {tail_mm:.1} mm thick, and less than {THIN_MM:.1} mm no longer reads as part of the brow"
    )]
    Healed {
        /// Its thickness once healed, mm.
        tail_mm: f64,
    },
    /// The brow is too thin to heal at all.
    #[error("{0}")]
    HealsToNothing(crate::HealError),
    /// The points move and the curve doesn't follow.
    #[error(
        "what is wished of the curve besides holds it where it is; take the sketch or the wished thickness away"
    )]
    Curve,
}

/// Nothing is left to give to a phrase. The shape is as it was.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("nothing is left to give to “{}”: {in_the_way}", .phrase.words())]
pub struct NothingLeft {
    /// What was said.
    pub phrase: Phrase,
    /// What is in the way.
    pub in_the_way: InTheWay,
}

/// A change that answers a phrase, to be looked at before it is taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// What was said.
    pub phrase: Phrase,
    /// Both sides with it, offsets as they were.
    pub pair: Pair,
    /// The points of the side that leads.
    pub points: BrowPoints,
    /// What is wished of its curve.
    pub form: Form,
    /// What it is about.
    pub lead: Parameter,
    /// How far that moves, mm, with its sign, before any offset: at most the
    /// usual step.
    pub by_mm: f64,
    /// Every measure that changes by what a ruler shows, in the order they
    /// are read.
    pub changes: Vec<Change>,
    /// Why that, and why so much; with what holds it back, if something does.
    pub reason: String,
    /// What keeps it from being the usual step.
    pub held_back: Option<InTheWay>,
    /// How much more follows if the same is said until nothing is left, mm, of
    /// what is bounded in all; 0 only if nothing is left.
    pub still_possible_mm: f64,
    /// Whether it leads back toward the shape first shown.
    pub toward_first: bool,
    /// How far it then is from the shape first shown, mm, and how far it may be.
    pub from_first_mm: f64,
    /// See [`Proposal::from_first_mm`].
    pub most_from_first_mm: f64,
}

impl Proposal {
    /// How much may follow, in a sentence.
    pub fn still_possible(&self) -> String {
        let more = self.still_possible_mm;
        let total = meaning(self.phrase).total.name();
        // On the way back what is left doesn't add up with what was used.
        let used = if self.toward_first {
            format!("It brings {total} back toward the shape first shown.")
        } else {
            format!(
                "With it, {total} is {:.1} mm from the shape first shown; feedback goes up to {:.1} mm.",
                self.from_first_mm, self.most_from_first_mm
            )
        };
        if more > 0.0 {
            format!("{used} About {more:.1} mm more could follow.")
        } else {
            format!("{used} No more could follow.")
        }
    }
}

/// Answers a phrase.
///
/// # Errors
/// [`NothingLeft`], which names what is in the way.
pub fn answer(phrase: Phrase, asked: &Asked) -> Result<Proposal, NothingLeft> {
    let nothing = |in_the_way| NothingLeft { phrase, in_the_way };
    let sayer = Sayer::of(phrase, asked).map_err(nothing)?;
    match sayer.best() {
        Ok(found) => Ok(sayer.proposal(found)),
        Err(stop) => Err(nothing(stop.named(asked.limits))),
    }
}

/// Why a step doesn't hold. What keeps a shape from being drawn takes a search to
/// name, so that is left until it is said.
enum Stop {
    Known(InTheWay),
    Undrawn(Box<Pair>),
}

impl Stop {
    fn named(self, limits: &Limits) -> InTheWay {
        match self {
            Self::Known(why) => why,
            Self::Undrawn(pair) => match pair.draw(limits) {
                Err(conflict) => InTheWay::Conflict(conflict),
                Ok(_) => InTheWay::Curve,
            },
        }
    }
}

impl From<InTheWay> for Stop {
    fn from(why: InTheWay) -> Self {
        Self::Known(why)
    }
}

/// Both sides drawn, without looking for the way out where they can't be.
fn drawn_pair(pair: &Pair, limits: &Limits) -> Option<Sided<Brow>> {
    let one = |side| drawn(pair.points(side), pair.form(side), limits);
    let master = one(pair.master)?;
    let other = match pair.is_linked() {
        true => master.clone(),
        false => one(pair.master.other())?,
    };
    let mut both = Sided {
        right: master.clone(),
        left: master,
    };
    *both.get_mut(pair.master.other()) = other;
    Some(both)
}

/// A shape that holds, found with a share of a recipe.
struct Found {
    /// Tenths of a millimetre of the lead.
    parts: u32,
    held_back: Option<Stop>,
    shape: Shape,
}

/// A pair with everything that is measured on it.
struct Shape {
    pair: Pair,
    readings: Sided<Vec<Reading>>,
    measured: Sided<[f64; 11]>,
}

/// A phrase about a shape, with the shape as it is.
struct Sayer<'a> {
    phrase: Phrase,
    meaning: Meaning,
    asked: &'a Asked<'a>,
    now: Shape,
    /// Readings of the shape first shown; empty where it can't be drawn now.
    first: Sided<Vec<Reading>>,
    /// Middle of the ear where the leading side's points are.
    ear: Point<Lateral>,
}

impl<'a> Sayer<'a> {
    fn of(phrase: Phrase, asked: &'a Asked<'a>) -> Result<Self, InTheWay> {
        let pair = asked.pair;
        let brows = pair.draw(asked.limits).map_err(InTheWay::Conflict)?;
        let master = pair.master;
        let about = pair.points.at(Handle::Start);
        let first = drawn_pair(asked.first, asked.limits);
        Ok(Self {
            phrase,
            first: first.map_or_else(
                || Sided::from_fn(|_| Vec::new()),
                |brows| readings(asked.first, &brows, asked),
            ),
            meaning: meaning(phrase),
            now: Shape {
                pair: pair.clone(),
                readings: readings(pair, &brows, asked),
                measured: measures(pair, &brows),
            },
            ear: pair.offset.get(master).undo(*asked.ears.get(master), about),
            asked,
        })
    }

    /// Tenths of a millimetre in the usual step.
    fn usual_parts(&self) -> u32 {
        (self.meaning.step_mm / SMALLEST_STEP_MM).round() as u32
    }

    /// The way that gives most; the usual one counts where another gives no
    /// more of its step.
    fn best(&self) -> Result<Found, Stop> {
        let mut best: Option<Found> = None;
        let mut first_stop: Option<Stop> = None;
        for way in self.meaning.ways {
            match self.largest(way) {
                Ok(found) => {
                    if best.as_ref().is_none_or(|b| found.parts > b.parts) {
                        best = Some(found);
                    }
                }
                Err(stop) => first_stop = first_stop.or(Some(stop)),
            }
        }
        best.ok_or_else(|| first_stop.unwrap_or(Stop::Known(InTheWay::Curve)))
    }

    /// The largest part of the usual step that holds.
    fn largest(&self, way: &'static Recipe) -> Result<Found, Stop> {
        let mut held_back = None;
        for parts in (1..=self.usual_parts()).rev() {
            match self.with(way, parts) {
                Ok(shape) => {
                    return Ok(Found {
                        parts,
                        held_back,
                        shape,
                    });
                }
                Err(why) => held_back = Some(why),
            }
        }
        Err(held_back.unwrap_or(Stop::Known(InTheWay::Curve)))
    }

    /// The pair with so many tenths of a millimetre, if it holds.
    fn with(&self, way: &Recipe, parts: u32) -> Result<Shape, Stop> {
        let share = f64::from(parts) / f64::from(self.usual_parts());
        let mut pair = self.asked.pair.clone();
        let points = moved(&pair.points, way, share, self.ear);
        self.bounds(&points)?;
        if let Some(own) = &mut pair.unlinked {
            *own = own.moved_as(&pair.points, &points);
            pair.unlinked_form = wished(&pair.unlinked_form, way, share);
        }
        pair.points = points;
        pair.form = wished(&pair.form, way, share);
        let Some(brows) = drawn_pair(&pair, self.asked.limits) else {
            return Err(Stop::Undrawn(Box::new(pair)));
        };
        let measured = measures(&pair, &brows);
        self.follows(&measured, share)?;
        self.thickness(&pair, &brows, &measured)?;
        let readings = readings(&pair, &brows, self.asked);
        self.no_worse(&readings)?;
        Ok(Shape {
            pair,
            readings,
            measured,
        })
    }

    /// Nothing goes farther from the shape first shown than it may, or farther
    /// than it is already.
    fn bounds(&self, points: &BrowPoints) -> Result<(), InTheWay> {
        let first = self.asked.first.points(self.asked.pair.master);
        for (total, most_mm) in TOTAL_BOUNDS {
            let off = |p: &BrowPoints| (total.of(p) - total.of(first)).abs();
            let (is, was) = (off(points), off(&self.asked.pair.points));
            if is > most_mm + ROUNDING && is > was + ROUNDING {
                return Err(InTheWay::Bound {
                    total,
                    used_mm: was,
                    most_mm,
                });
            }
        }
        Ok(())
    }

    /// On both sides the lead moves by at least a fifth of what the points do.
    fn follows(&self, after: &Sided<[f64; 11]>, share: f64) -> Result<(), InTheWay> {
        let at = self.meaning.lead as usize;
        let follows = Side::BOTH.into_iter().all(|side| {
            let by = after.get(side)[at] - self.now.measured.get(side)[at];
            self.meaning.sign * by >= 0.2 * share * self.meaning.step_mm
        });
        follows.then_some(()).ok_or(InTheWay::Curve)
    }

    /// Where it becomes thinner: not thinner than a brow, than its hair less
    /// what can be cleaned, or than what stays visible.
    fn thickness(
        &self,
        pair: &Pair,
        brows: &Sided<Brow>,
        after: &Sided<[f64; 11]>,
    ) -> Result<(), InTheWay> {
        let body = Parameter::BodyThickness as usize;
        for (side, brow) in brows.iter() {
            let (is, was) = (after.get(side), self.now.measured.get(side));
            let body_mm = is[body];
            // Another slope makes a body thinner too, by next to nothing.
            let thinner_mm = was[body] - body_mm;
            if self.phrase != Phrase::TooThick && thinner_mm < SMALLEST_STEP_MM {
                continue;
            }
            if body_mm < LEAST_BODY_MM {
                return Err(InTheWay::Thinnest { body_mm });
            }
            let on_face = brow.displaced(pair.offset.get(side));
            let traced = *self.asked.traced.get(side);
            if let Some(hair) = self.asked.hair.get(side).as_ref().filter(|_| traced) {
                let hair_mm = hair_across(hair, on_face.points());
                if let Some(hair_mm) = hair_mm.filter(|mm| body_mm < mm - CLEANED_MM) {
                    return Err(InTheWay::Hair {
                        side,
                        hair_mm,
                        body_mm,
                        outside_mm2: hair.fit(on_face.outline()).outside_mm2,
                    });
                }
            }
            let stays = healed(brow, self.asked.shrink).map_err(InTheWay::HealsToNothing)?;
            let tail_mm = stays.healed.thickness.tail_mm;
            if tail_mm < THIN_MM {
                return Err(InTheWay::Healed { tail_mm });
            }
        }
        Ok(())
    }

    /// What held still holds; what didn't is no worse.
    fn no_worse(&self, after: &Sided<Vec<Reading>>) -> Result<(), InTheWay> {
        for (side, readings) in after.iter() {
            let before = self.now.readings.get(side);
            for reading in readings.iter().filter(|r| r.verdict == Verdict::Fails) {
                let (constraint, is) = (reading.constraint, beyond(reading));
                let failing = |all: &'_ [Reading]| {
                    all.iter()
                        .find(|r| r.constraint == constraint && r.verdict == Verdict::Fails)
                        .cloned()
                };
                let Some(was) = failing(before) else {
                    return Err(InTheWay::Constraint {
                        side,
                        constraint,
                        sentence: reading.sentence.clone(),
                    });
                };
                let no_worse = is <= beyond(&was) + ROUNDING
                    || failing(self.first.get(side))
                        .is_some_and(|first| is <= beyond(&first) + NO_WORSE);
                if !no_worse {
                    return Err(InTheWay::Worse {
                        side,
                        constraint,
                        sentence: was.sentence,
                    });
                }
            }
        }
        Ok(())
    }

    /// How much more follows from there if the same is said until nothing is
    /// left, mm of what is bounded in all.
    fn still_possible(&self, from: &Pair) -> f64 {
        let mut last: Option<Pair> = None;
        for _ in 0..LOOKED_AHEAD {
            let asked = Asked {
                pair: last.as_ref().unwrap_or(from),
                ..*self.asked
            };
            let next = Sayer::of(self.phrase, &asked).ok();
            let Some(found) = next.and_then(|sayer| sayer.best().ok()) else {
                break;
            };
            last = Some(found.shape.pair);
        }
        let total = |pair: &Pair| self.meaning.total.of(&pair.points);
        // What follows is told, however little.
        last.map_or(0.0, |last| {
            (total(&last) - total(from)).abs().max(SMALLEST_STEP_MM)
        })
    }

    fn proposal(&self, found: Found) -> Proposal {
        let meaning = &self.meaning;
        let still_possible_mm = self.still_possible(&found.shape.pair);
        let part_mm = f64::from(found.parts) * SMALLEST_STEP_MM;
        let mut reason = meaning.reason.to_owned();
        let held_back = found.held_back.map(|stop| stop.named(self.asked.limits));
        if let Some(why) = &held_back {
            reason.push_str(&format!(
                " Here it is {part_mm:.1} mm of the usual {:.1} mm: with more, {why}.",
                meaning.step_mm
            ));
        }
        let first = self.asked.first.points(self.asked.pair.master);
        let total = meaning.total;
        let most = TOTAL_BOUNDS.iter().find(|(t, _)| *t == total);
        let Shape { pair, measured, .. } = found.shape;
        let off = |p: &BrowPoints| total.of(p) - total.of(first);
        let (was, is) = (off(&self.asked.pair.points), off(&pair.points));
        Proposal {
            phrase: self.phrase,
            points: pair.points,
            form: pair.form.clone(),
            lead: meaning.lead,
            by_mm: meaning.sign * part_mm,
            changes: changes(&self.now.measured, &measured),
            reason,
            held_back,
            still_possible_mm,
            // Past it, it leads away again.
            toward_first: is.abs() > ROUNDING && is * (is - was) < 0.0,
            from_first_mm: is.abs(),
            most_from_first_mm: most.map_or(0.0, |(_, mm)| *mm),
            pair,
        }
    }
}

fn readings(pair: &Pair, brows: &Sided<Brow>, asked: &Asked) -> Sided<Vec<Reading>> {
    let settings = Sided::from_fn(|side| Setting {
        ear: *asked.ears.get(side),
        offset: *pair.offset.get(side),
        hair: asked.hair.get(side).as_ref(),
    });
    pair_constraints(brows, &settings, asked.limits)
}

fn measures(pair: &Pair, brows: &Sided<Brow>) -> Sided<[f64; 11]> {
    Sided::from_fn(|side| measured(brows.get(side), pair.offset.get(side)))
}

/// How far a reading is beyond its tolerance, in its unit.
fn beyond(reading: &Reading) -> f64 {
    let value = reading.value.unwrap_or(0.0);
    match reading.tolerance {
        Tolerance::AtMost { most } => value - most,
        Tolerance::AtLeast { least } => least - value,
        Tolerance::Within { least, most } => (least - value).max(value - most),
        Tolerance::Shown => 0.0,
    }
}

/// Thickness of the hair where the body's is read, mm; `None` where the line
/// across it doesn't cross the hair.
fn hair_across(hair: &HairRegion, points: &BrowPoints) -> Option<f64> {
    let (at, across) = body_across(points);
    let across = across.unit()?;
    let along: Vector<Lateral> = Vector::new(across.y, -across.x);
    let border = hair.border();
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for (a, b) in border.iter().zip(border.iter().cycle().skip(1)) {
        let (u, v) = ((*a - at).dot(along), (*b - at).dot(along));
        if (u < 0.0) == (v < 0.0) {
            continue;
        }
        let h = (a.lerp(*b, u / (u - v)) - at).dot(across);
        (low, high) = (low.min(h), high.max(h));
    }
    (high > low).then_some(high - low)
}
