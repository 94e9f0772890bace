//! The curve of the skin as it was found: a wrap for each side, what it rests
//! on, how sure it is, and whether the tapes agree.

use ophryon_brow::NaturalBrow;
use ophryon_face::{FaceError, TapSpread};
use ophryon_frames::{Front, Point, Side, Sided, Tape, Wrap, WrapKind, estimate_cost};
use serde::Serialize;

use crate::study::{Levelled, natural_brow};
use crate::{Length, Measured, Record, StudyError, TapeLine, Tapes, WrapChoice};

/// Standard uncertainty of a soft tape drawn tight by hand, mm: its divisions
/// are 1 mm apart and both ends lie under a finger. Ours.
pub const TAPE_SD_MM: f64 = 0.5;

/// Standard uncertainty of telling one tape's reading from another's that
/// begins elsewhere, mm: the spread of that over the heads of `tests/heads`.
const OTHER_TAPE_SD_MM: f64 = 0.3;

/// Right and left heads differ by this and no more, mm over a brow. Ours:
/// beyond it a tape has slipped.
const UNEVEN_MM: f64 = 3.0;

/// What the wrap of a side rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CurveBasis {
    /// A tape on this side.
    OwnTape,
    /// A tape on the other side; none was laid on this one.
    OtherSidesTape,
    /// A typical head.
    Estimate,
    /// A radius that the artist entered.
    Chosen,
    /// The skin is taken as flat.
    LeftOut,
}

/// What two tapes say of each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TapeVerdict {
    /// As near as their uncertainties allow.
    Agree,
    /// They differ, as right and left of a face do.
    FacesDiffer,
    /// One of them must be measured again.
    MeasureAgain,
}

/// Two tapes held against each other.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct TapeCheck {
    /// The side of both tapes; `None` where right is held against left.
    pub side: Option<Side>,
    /// What the second read, mm.
    pub read_mm: f64,
    /// What it would read by the first, mm.
    pub by_the_other_mm: f64,
    /// Read less that, with its uncertainty (k = 2).
    pub difference: Length,
    /// What follows.
    pub verdict: TapeVerdict,
    /// Of two tapes on one side, the one to measure again, where that can be
    /// told.
    pub again: Option<TapeLine>,
    /// All of it in a sentence.
    pub sentence: String,
}

/// The curve of the skin as it was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// How the frontal view lies on each side.
    pub wrap: Sided<Wrap>,
    /// The same, had the tape read one standard uncertainty more: how far the
    /// two lie apart at a place is how sure that place is.
    pub longer: Sided<Wrap>,
    /// What each side's wrap rests on.
    pub basis: Sided<CurveBasis>,
    /// What the tapes say of each other; empty with one tape or none.
    pub checks: Vec<TapeCheck>,
}

/// The tapes of one side as laid on this face, and the wrap they give.
struct Laid {
    tapes: Vec<(TapeLine, Tape)>,
    wrap: Wrap,
    longer: Wrap,
    check: Option<TapeCheck>,
}

impl Record {
    /// The curve that follows from the choice and, for tapes, the landmarks.
    ///
    /// # Errors
    /// As [`Record::levelled`] for a tape, and a wrap that no head has.
    pub fn curve(&self) -> Result<Curve, StudyError> {
        match self.wrap {
            WrapChoice::Tape(tapes) => by_tapes(&tapes, &self.levelled()?),
            other => elsewhere(&other),
        }
    }

    pub(crate) fn curve_on(&self, levelled: &Levelled) -> Result<Curve, StudyError> {
        match self.wrap {
            WrapChoice::Tape(tapes) => by_tapes(&tapes, levelled),
            other => elsewhere(&other),
        }
    }
}

impl Measured {
    /// Where the curve of the skin comes from, in a sentence or two, with what
    /// an estimate may cost on this brow.
    pub fn wrap_words(&self) -> String {
        let words = self.wrap_choice.words();
        let natural = Side::BOTH
            .into_iter()
            .find_map(|s| self.natural.get(s).as_ref());
        let cost = natural.map(|n| estimate_cost(&along(TapeLine::StartToTail, n)));
        match (self.wrap_choice, cost) {
            (WrapChoice::Estimate, Some(Ok((usual_mm, sd_mm)))) => format!(
                "{words} Over this brow a tape would read {usual_mm:.0} mm on a typical head, on two heads of three within {sd_mm:.1} mm of that, on nearly all within {:.1} mm.",
                2.0 * sd_mm
            ),
            _ => words,
        }
    }
}

/// Without a tape: both sides alike.
fn elsewhere(choice: &WrapChoice) -> Result<Curve, StudyError> {
    let (wrap, longer, basis) = match *choice {
        WrapChoice::Cylinder { radius_mm } => {
            let wrap = Wrap::cylinder(radius_mm)?;
            (wrap, wrap, CurveBasis::Chosen)
        }
        WrapChoice::Flat => (
            Wrap::Flat,
            Wrap::typical_and_longer().1,
            CurveBasis::LeftOut,
        ),
        WrapChoice::Estimate | WrapChoice::Tape(_) => {
            let (wrap, longer) = Wrap::typical_and_longer();
            (wrap, longer, CurveBasis::Estimate)
        }
    };
    Ok(Curve {
        wrap: Sided::from_fn(|_| wrap),
        longer: Sided::from_fn(|_| longer),
        basis: Sided::from_fn(|_| basis),
        checks: Vec::new(),
    })
}

fn by_tapes(tapes: &Sided<Tapes>, levelled: &Levelled) -> Result<Curve, StudyError> {
    let laid = Sided::try_from_fn(|side| laid(tapes.get(side), side, levelled))?;
    let mut checks: Vec<_> = laid
        .iter()
        .filter_map(|(_, l)| l.as_ref()?.check.clone())
        .collect();
    let (right, left) = match (&laid.right, &laid.left) {
        (None, None) => return elsewhere(&WrapChoice::Estimate),
        (Some(one), None) | (None, Some(one)) => (one, one),
        (Some(right), Some(left)) => {
            checks.extend(right_and_left(right, left));
            (right, left)
        }
    };
    Ok(Curve {
        wrap: Sided {
            right: right.wrap,
            left: left.wrap,
        },
        longer: Sided {
            right: right.longer,
            left: left.longer,
        },
        basis: Sided::from_fn(|side| match laid.get(side) {
            Some(_) => CurveBasis::OwnTape,
            None => CurveBasis::OtherSidesTape,
        }),
        checks,
    })
}

/// The places that a tape lies between, reflected to the client's left.
fn along(line: TapeLine, natural: &NaturalBrow) -> Vec<Point<Front>> {
    let start = natural.start_top.midpoint(natural.start_bottom);
    match line {
        TapeLine::StartToTail => vec![start, natural.tail],
        TapeLine::MidlineToTail => vec![Point::new(0.0, start.y), natural.tail],
    }
}

fn laid(tapes: &Tapes, side: Side, levelled: &Levelled) -> Result<Option<Laid>, StudyError> {
    if tapes.is_empty() {
        return Ok(None);
    }
    let natural = natural_brow(&levelled.survey.face, side).map_err(|problem: FaceError| {
        StudyError::Face {
            photo: levelled.photo.clone(),
            problem,
        }
    })?;
    let scale = levelled.scale();
    let tap_mm = TapSpread::by_default(scale.mm_per_px()).sd_mm();
    // The scale doesn't count here: what is seen grows with it, and the tape
    // pins the length over the skin all the same.
    let sd_mm = libm::hypot(TAPE_SD_MM, std::f64::consts::SQRT_2 * tap_mm);
    let tapes: Vec<_> = tapes
        .iter()
        .map(|(line, read_mm)| {
            let along = along(line, &natural);
            let tape = Tape {
                along,
                read_mm,
                sd_mm,
            };
            (line, tape)
        })
        .collect();
    let by = |these: &[(TapeLine, Tape)], more: f64| {
        let taken: Vec<_> = these
            .iter()
            .map(|(_, t)| Tape {
                read_mm: t.read_mm + more * t.sd_mm,
                ..t.clone()
            })
            .collect();
        Wrap::from_tapes(WrapKind::Profile, &taken)
    };
    let named = |line, problem| StudyError::Tape {
        side,
        line,
        problem,
    };
    for tape in &tapes {
        by(std::slice::from_ref(tape), 0.0).map_err(|problem| named(tape.0, problem))?;
    }
    let check = match &tapes[..] {
        [first, second] => one_side(first, second, side),
        _ => None,
    };
    // Two that don't agree are not averaged: the usual one counts meanwhile.
    let agree = check
        .as_ref()
        .is_none_or(|c| c.verdict == TapeVerdict::Agree);
    let used = if agree { &tapes[..] } else { &tapes[..1] };
    let line = used[0].0;
    let wrap = by(used, 0.0).map_err(|problem| named(line, problem))?;
    // Two tapes are surer than one by the root of two.
    let sd = 1.0 / (used.len() as f64).sqrt();
    // At the end of what heads can be, the other way is as uncertain.
    let longer = by(used, sd).or_else(|_| by(used, -sd)).unwrap_or(wrap);
    Ok(Some(Laid {
        tapes,
        wrap,
        longer,
        check,
    }))
}

/// What the second tape of a side says of the first.
fn one_side(first: &(TapeLine, Tape), second: &(TapeLine, Tape), side: Side) -> Option<TapeCheck> {
    let alone = |(_, tape): &(TapeLine, Tape), more: f64| {
        Wrap::from_tape(WrapKind::Profile, &tape.along, tape.read_mm + more).ok()
    };
    let by_the_other_mm = second.1.on(&alone(first, 0.0)?).ok()?;
    // How much of the first tape's error reaches the second.
    let carried = alone(first, first.1.sd_mm)
        .and_then(|wrap| second.1.on(&wrap).ok())
        .map_or(first.1.sd_mm, |mm| mm - by_the_other_mm);
    let sd = libm::hypot(libm::hypot(carried, second.1.sd_mm), OTHER_TAPE_SD_MM);
    let difference = Length {
        mm: second.1.read_mm - by_the_other_mm,
        plus_minus_mm: 2.0 * sd,
    };
    let agrees = difference.mm.abs() <= difference.plus_minus_mm;
    // The one that makes the stranger head is the one to doubt.
    let typical = Wrap::typical_and_longer().0;
    let strange =
        |tape: &(TapeLine, Tape)| tape.1.on(&typical).map(|mm| (tape.1.read_mm - mm).abs());
    let again = match (strange(first), strange(second)) {
        (Ok(a), Ok(b)) if !agrees && a > b + TAPE_SD_MM => Some(first.0),
        (Ok(a), Ok(b)) if !agrees && b > a + TAPE_SD_MM => Some(second.0),
        _ => None,
    };
    let found = format!(
        "On the client's {} the tape {} reads {:.1} mm; by the one {} it would read {:.1} mm",
        side.name(),
        second.0.words(),
        second.1.read_mm,
        first.0.words(),
        by_the_other_mm
    );
    let sentence = if agrees {
        format!(
            "{found}. They agree ({} ± {:.1} mm), and both are used.",
            signed(difference.mm),
            difference.plus_minus_mm
        )
    } else {
        let which = again.map_or_else(
            || "measure both again".to_owned(),
            |line| format!("measure again {}", line.words()),
        );
        format!(
            "{found}, so one of them is wrong ({} ± {:.1} mm): {which}. Until then the one {} is used.",
            signed(difference.mm),
            difference.plus_minus_mm,
            first.0.words()
        )
    };
    Some(TapeCheck {
        side: Some(side),
        read_mm: second.1.read_mm,
        by_the_other_mm,
        difference,
        verdict: if agrees {
            TapeVerdict::Agree
        } else {
            TapeVerdict::MeasureAgain
        },
        again,
        sentence,
    })
}

/// The right side's tape on both sides' wraps.
fn right_and_left(right: &Laid, left: &Laid) -> Option<TapeCheck> {
    let (_, tape) = right.tapes.first()?;
    let own_mm = tape.on(&right.wrap).ok()?;
    let by_the_other_mm = tape.on(&left.wrap).ok()?;
    let spread = |laid: &Laid| {
        tape.on(&laid.longer)
            .ok()
            .zip(tape.on(&laid.wrap).ok())
            .map(|(a, b)| a - b)
    };
    let sd = libm::hypot(spread(right)?, spread(left)?);
    let difference = Length {
        mm: own_mm - by_the_other_mm,
        plus_minus_mm: 2.0 * sd,
    };
    let beyond = difference.mm.abs() - difference.plus_minus_mm;
    let (longer, by_mm) = if difference.mm < 0.0 {
        (Side::Left, -difference.mm)
    } else {
        (Side::Right, difference.mm)
    };
    let off = format!(
        "Over the skin the client's {} brow is {by_mm:.1} ± {:.1} mm longer for what is seen of it than the {} one",
        longer.name(),
        difference.plus_minus_mm,
        longer.other().name()
    );
    let (verdict, sentence) = if beyond <= 0.0 {
        (
            TapeVerdict::Agree,
            format!(
                "Right and left are curved alike ({} ± {:.1} mm over a brow). Each side uses its own tape.",
                signed(difference.mm),
                difference.plus_minus_mm
            ),
        )
    } else if difference.mm.abs() <= UNEVEN_MM {
        (
            TapeVerdict::FacesDiffer,
            format!("{off}: faces do differ. Each side uses its own tape."),
        )
    } else {
        (
            TapeVerdict::MeasureAgain,
            format!(
                "{off}, more than faces usually differ: measure both again. Each side uses its own tape meanwhile."
            ),
        )
    };
    Some(TapeCheck {
        side: None,
        read_mm: own_mm,
        by_the_other_mm,
        difference,
        verdict,
        again: None,
        sentence,
    })
}

/// One decimal with its sign.
fn signed(mm: f64) -> String {
    let short = (mm * 10.0).round() / 10.0 + 0.0;
    if short == 0.0 {
        "0.0".to_owned()
    } else {
        format!("{short:+.1}")
    }
}
