//! One scale from several references, and the one that doesn't fit.
//!
//! Generalised least squares on the logarithms: every reference counts by
//! its uncertainty, and what two share (the size of both irises, a tapped
//! landmark, the camera's distance) is not taken for two pieces of evidence.

use std::cmp::Ordering;

use crate::definite::Factored;
use crate::input::{Input, Moves};
use crate::log_scale::{LogScale, Sight};
use crate::{Reference, Scale, ScaleError};

/// What one reference says beside the others.
#[derive(Debug, Clone, PartialEq)]
pub struct ReferenceReading {
    /// The reference.
    pub reference: Reference,
    /// What it is called among the others: "card", "1 euro coin", "ruler no.
    /// 2".
    pub name: String,
    /// The scale by it alone, in the plane of the brows; or why it gives none
    /// and is left out.
    pub scale: Result<Scale, ScaleError>,
    /// Its share in the combined scale.
    pub weight: f64,
    /// By how many percent its lengths come out larger than the others';
    /// `None` when it is alone.
    pub against_others_percent: Option<f64>,
    /// By how many percent it may, by the errors of both (k = 2).
    pub allowed_percent: Option<f64>,
    /// By how many percent the depth where it was held was corrected.
    pub corrected_percent: f64,
    /// By how many percent its lengths come out too short for the depth where
    /// it was held, at a usual distance, and were not corrected.
    pub uncorrected_percent: f64,
}

impl ReferenceReading {
    /// It differs from the others by more than the errors of both allow.
    pub fn disagrees(&self) -> bool {
        matches!(
            (self.against_others_percent, self.allowed_percent),
            (Some(off), Some(allowed)) if off.abs() > allowed
        )
    }
}

/// The scale from all references together.
#[derive(Debug, Clone, PartialEq)]
pub struct CombinedScale {
    /// Millimetres per pixel in the plane of the brows.
    pub scale: Scale,
    /// What each reference says, in their order.
    pub readings: Vec<ReferenceReading>,
    /// What to bear in mind, one sentence each: a reference left out, one
    /// that doesn't fit, one in another depth.
    pub sentences: Vec<String>,
    pub(crate) moves: Moves,
}

/// A deviation this many times its standard uncertainty is no chance.
const COVERAGE: f64 = 2.0;

/// Half the usual length of a brow's distance to the midline at its tail: the
/// length at which a share is said in mm.
const TAIL_MM: f64 = 57.0;

impl CombinedScale {
    pub(crate) fn of(references: &[Reference], sight: &Sight<'_>) -> Result<Self, ScaleError> {
        if references.is_empty() {
            return Err(ScaleError::NoReference);
        }
        let found: Vec<Result<LogScale, ScaleError>> = references
            .iter()
            .enumerate()
            .map(|(at, r)| r.log_scale(at, sight))
            .collect();
        let sound: Vec<&LogScale> = found.iter().filter_map(|f| f.as_ref().ok()).collect();
        if sound.is_empty() {
            let first = found.into_iter().find_map(Result::err);
            return Err(first.unwrap_or(ScaleError::NoReference));
        }
        let (ln, mut moves, weights) = together(&sound);
        let mut readings = Vec::with_capacity(references.len());
        let mut nth = 0;
        for ((reference, name), found) in references.iter().zip(names(references)).zip(&found) {
            let mut reading = ReferenceReading {
                reference: *reference,
                name,
                scale: found.as_ref().map_err(Clone::clone).and_then(scale_of),
                weight: 0.0,
                against_others_percent: None,
                allowed_percent: None,
                corrected_percent: 0.0,
                uncorrected_percent: 0.0,
            };
            if let Ok(own) = found {
                reading.weight = weights.get(nth).copied().unwrap_or(0.0);
                reading.corrected_percent = 100.0 * own.corrected;
                reading.uncorrected_percent = 100.0 * own.uncorrected;
                let others: Vec<&LogScale> = (0..sound.len())
                    .filter(|i| *i != nth)
                    .filter_map(|i| sound.get(i).copied())
                    .collect();
                if !others.is_empty() {
                    let (rest, rest_moves, _) = together(&others);
                    let mut apart = own.moves.clone();
                    apart.add_all(&rest_moves, -1.0);
                    reading.against_others_percent = Some(100.0 * (libm::exp(own.ln - rest) - 1.0));
                    reading.allowed_percent = Some(100.0 * COVERAGE * apart.variance().sqrt());
                }
                nth += 1;
            }
            readings.push(reading);
        }
        if readings.iter().any(ReferenceReading::disagrees) {
            // What scatters more than its errors allow is less certain than
            // they say: the ratio of Birge (Phys. Rev. 1932;40:207-227; from
            // memory).
            let chi_squared = scatter(&sound, ln);
            let per_degree = chi_squared / (sound.len() as f64 - 1.0).max(1.0);
            let missing = (per_degree - 1.0).max(0.0) * moves.variance();
            moves.add(Input::Disagreement, missing.sqrt());
        }
        let scale = Scale::new(libm::exp(ln), moves.variance().sqrt())?;
        let sentences = sentences(&readings);
        Ok(Self {
            scale,
            readings,
            sentences,
            moves,
        })
    }
}

fn scale_of(found: &LogScale) -> Result<Scale, ScaleError> {
    Scale::new(libm::exp(found.ln), found.variance().sqrt())
}

/// Best common logarithm, what moves it, and the weight of each.
fn together(all: &[&LogScale]) -> (f64, Moves, Vec<f64>) {
    let n = all.len();
    let covariance = Factored::new(n, |i, j| all[i].moves.covariance(&all[j].moves));
    let raw = match covariance {
        Some(matrix) => matrix.solve(&vec![1.0; n]),
        // The very same evidence twice: each counts as often as the others.
        None => all.iter().map(|s| 1.0 / s.variance()).collect(),
    };
    let total: f64 = raw.iter().sum();
    let weights: Vec<f64> = raw.iter().map(|w| w / total).collect();
    let mut moves = Moves::default();
    let mut ln = 0.0;
    for (one, weight) in all.iter().zip(&weights) {
        ln += weight * one.ln;
        moves.add_all(&one.moves, *weight);
    }
    (ln, moves, weights)
}

/// Squared deviations from the common value by their covariance.
fn scatter(all: &[&LogScale], ln: f64) -> f64 {
    let off: Vec<f64> = all.iter().map(|s| s.ln - ln).collect();
    let matrix = Factored::new(all.len(), |i, j| all[i].moves.covariance(&all[j].moves));
    let solved = match matrix {
        Some(matrix) => matrix.solve(&off),
        None => off.iter().zip(all).map(|(o, s)| o / s.variance()).collect(),
    };
    off.iter().zip(solved).map(|(a, b)| a * b).sum()
}

fn sentences(readings: &[ReferenceReading]) -> Vec<String> {
    let mut all = Vec::new();
    for reading in readings {
        let name = &reading.name;
        if let Err(problem) = &reading.scale {
            all.push(format!("The {name} is left out: {problem}."));
        }
        let held = reading.reference.held().unwrap_or_default().words();
        let percent = reading.uncorrected_percent;
        if reading.reference.held().is_some() && percent.abs() >= 0.05 {
            let way = if percent > 0.0 { "short" } else { "long" };
            all.push(format!(
                "The {name} was held {held}, and how far the camera was isn't known: lengths may read {:.1} % too {way}, {:.1} mm on {TAIL_MM:.0} mm. Hold it in the plane of the brows, or use a photo that keeps its focal length.",
                percent.abs(),
                0.01 * percent.abs() * TAIL_MM,
            ));
        }
        let percent = reading.corrected_percent;
        if reading.reference.held().is_some() && percent.abs() >= 0.05 {
            all.push(format!(
                "The {name} was held {held}: its scale is corrected by {percent:+.1} %."
            ));
        }
    }
    all.extend(disagreement(readings));
    all
}

/// The one that fits worst, and what to do.
fn disagreement(readings: &[ReferenceReading]) -> Option<String> {
    let beyond = |r: &ReferenceReading| {
        let (off, allowed) = (r.against_others_percent?, r.allowed_percent?);
        Some(off.abs() / allowed)
    };
    // Of two, either is as far off as the other; the less sure one is named.
    let two = readings.iter().filter(|r| r.scale.is_ok()).count() == 2;
    let (worst, reading) = readings
        .iter()
        .enumerate()
        .filter(|(_, r)| r.disagrees())
        .max_by(|(_, a), (_, b)| {
            if two {
                b.weight.total_cmp(&a.weight)
            } else {
                beyond(a).partial_cmp(&beyond(b)).unwrap_or(Ordering::Equal)
            }
        })?;
    let (off, allowed) = (reading.against_others_percent?, reading.allowed_percent?);
    let name = &reading.name;
    let others: Vec<String> = (0..readings.len())
        .filter(|i| *i != worst && readings[*i].scale.is_ok())
        .map(|i| format!("the {}", readings[i].name))
        .collect();
    let size = if off > 0.0 { "larger" } else { "smaller" };
    if others.len() == 1 {
        return Some(format!(
            "By the {name} everything is {:.1} % {size} than by {}; their errors allow {allowed:.1} %. One of the two is wrong: tap both again, and check the lengths that were entered and where they were held.",
            off.abs(),
            others.concat(),
        ));
    }
    Some(format!(
        "By the {name} everything is {:.1} % {size} than by {} together; their errors allow {allowed:.1} %. Tap the {name} again, check its length and where it was held, or take it out.",
        off.abs(),
        and(&others),
    ))
}

/// "the card, the ruler and the coin".
fn and(all: &[String]) -> String {
    match all {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// What they are called; with a number where several have the same name.
fn names(references: &[Reference]) -> Vec<String> {
    let name = |r: &Reference| match r {
        Reference::Iris { side, .. } => format!("iris of the client's {} eye", side.name()),
        Reference::Coin { coin, .. } => format!("{} coin", coin.name()),
        other => other.name().to_owned(),
    };
    let plain: Vec<String> = references.iter().map(name).collect();
    let numbered = |(at, own): (usize, &String)| {
        if plain.iter().filter(|n| *n == own).count() < 2 {
            return own.clone();
        }
        let nth = plain.iter().take(at + 1).filter(|n| *n == own).count();
        format!("{own} no. {nth}")
    };
    plain.iter().enumerate().map(numbered).collect()
}
