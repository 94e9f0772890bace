//! What a ruler read on skin, held against the list.

use std::collections::BTreeMap;

use ophryon_frames::{Side, Sided};
use serde::{Deserialize, Serialize};

use crate::causes::likely_causes;
use crate::{Distance, DistanceId, DistanceKind, ListBasis};

/// A reading of another shape: the list has moved on by more than this since.
/// A tenth of the ruler's division, and the last digit that the list shows.
const SAME_MM: f64 = 0.05;

/// What a ruler read, and what the list said when it did.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct RulerReading {
    /// What the ruler read on skin, mm.
    pub read_mm: f64,
    /// What it should have read, mm. Once the shape is changed, the reading
    /// is one of an earlier shape and no longer compared.
    pub expected_mm: f64,
}

/// The readings of one side.
pub type RulerReadings = BTreeMap<DistanceId, RulerReading>;

/// How a reading stands against the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RulerVerdict {
    /// Nothing was read.
    NotRead,
    /// Within its tolerance.
    Agrees,
    /// Off by more than its tolerance.
    Off,
    /// Read on an earlier shape; read it again.
    Earlier,
}

/// One distance of one side as it was read.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct CheckedDistance {
    /// Which distance.
    pub id: DistanceId,
    /// On which side.
    pub side: Side,
    /// How it is read.
    pub kind: DistanceKind,
    /// What is read, under the heading of its kind: "start".
    pub name: &'static str,
    /// What a ruler must read, mm.
    pub expected_mm: f64,
    /// A reading that differs by at most this agrees, mm.
    pub tolerance_mm: f64,
    /// What it read, mm.
    pub read_mm: Option<f64>,
    /// Read less expected, mm; `None` where nothing can be compared.
    pub off_mm: Option<f64>,
    /// How it stands.
    pub verdict: RulerVerdict,
}

/// What readings that are off in a pattern are likely to come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// The tape length over the skin: distances along the skin are off alike,
    /// heights are right.
    TapeLength,
    /// The sheet lay turned.
    SheetTurned,
    /// The sheet lay off its marks, up or sideways.
    SheetShifted,
    /// The scale of the photo, or the printer: everything is off by one factor.
    Scale,
    /// Right and left were exchanged.
    SidesExchanged,
    /// One reading alone.
    OneReading,
}

/// A likely cause, with what to do about it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct LikelyCause {
    /// Which cause.
    pub cause: Cause,
    /// The side it is on; `None` for both.
    pub side: Option<Side>,
    /// What was found and what to do, as a sentence.
    pub sentence: String,
}

/// Every distance of the list as it was read, and what the readings say.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct RulerCheck {
    /// In the order of the list; of each distance the client's right first.
    pub rows: Vec<CheckedDistance>,
    /// How the readings stand, as a sentence.
    pub sentence: String,
    /// What the ones that are off are likely to come from, likeliest first;
    /// empty where nothing is clearly likelier than chance.
    pub causes: Vec<LikelyCause>,
}

/// Holds readings against the list.
pub fn check_readings(
    list: &[Distance],
    basis: &ListBasis,
    read: &Sided<RulerReadings>,
) -> RulerCheck {
    let rows: Vec<_> = list
        .iter()
        .flat_map(|distance| {
            Side::BOTH.map(|side| checked(distance, side, read.get(side).get(&distance.id)))
        })
        .collect();
    // What all agrees needs no cause, whatever pattern chance made.
    let is_off = rows.iter().any(|r| r.verdict == RulerVerdict::Off);
    let causes = if is_off {
        likely_causes(list, basis, &rows)
    } else {
        Vec::new()
    };
    RulerCheck {
        sentence: in_short(&rows, &causes),
        rows,
        causes,
    }
}

fn checked(distance: &Distance, side: Side, read: Option<&RulerReading>) -> CheckedDistance {
    let expected_mm = distance.expected_mm(side);
    let tolerance_mm = *distance.tolerance_mm.get(side);
    let is_earlier = read.is_some_and(|r| {
        let moved = (r.expected_mm - expected_mm).abs();
        moved.is_nan() || moved > SAME_MM
    });
    let off_mm = read
        .filter(|_| !is_earlier)
        .map(|r| r.read_mm - expected_mm);
    let verdict = match off_mm {
        Some(off) if off.abs() <= tolerance_mm => RulerVerdict::Agrees,
        Some(_) => RulerVerdict::Off,
        None if is_earlier => RulerVerdict::Earlier,
        None => RulerVerdict::NotRead,
    };
    CheckedDistance {
        id: distance.id,
        side,
        kind: distance.kind,
        name: distance.name,
        expected_mm,
        tolerance_mm,
        read_mm: read.map(|r| r.read_mm),
        off_mm,
        verdict,
    }
}

/// Of so many readings, each within its tolerance in 19 of 20 cases, seldom
/// more than this are off by chance (mean and two standard deviations).
fn by_chance(readings: usize) -> usize {
    let n = readings as f64;
    (0.05 * n + 2.0 * (0.0475 * n).sqrt()) as usize
}

fn in_short(rows: &[CheckedDistance], causes: &[LikelyCause]) -> String {
    let count = |verdict| rows.iter().filter(|r| r.verdict == verdict).count();
    let (off, agree, earlier) = (
        count(RulerVerdict::Off),
        count(RulerVerdict::Agrees),
        count(RulerVerdict::Earlier),
    );
    let readings = |n: usize| {
        if n == 1 {
            "1 reading".to_owned()
        } else {
            format!("{n} readings")
        }
    };
    let mut sentence = match (off, agree) {
        (0, 0) => "Nothing has been read yet.".to_owned(),
        (0, 1) => "The one reading agrees.".to_owned(),
        (0, n) => format!("All {n} readings agree."),
        (n, _) => {
            let of = format!(
                "{n} of {} off by more than the tolerance.",
                readings(off + agree)
            );
            let then = match (causes.is_empty(), n) {
                (false, _) => "",
                (true, 1) => " Read it again.",
                (true, n) if n <= by_chance(off + agree) => {
                    " So few can be chance: read them again."
                }
                (true, n) if 2 * n > off + agree => {
                    " Most don't fit: see whether they went into the right boxes, then read them again."
                }
                (true, _) => " They show no pattern: read them again.",
            };
            format!("{of}{then}")
        }
    };
    if earlier > 0 {
        sentence.push_str(&format!(
            " {} from before the shape was changed: read again.",
            readings(earlier)
        ));
    }
    sentence
}
