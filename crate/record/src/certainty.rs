//! How sure the photo is: scale by each reference, taps, pose, camera, and the
//! natural face in numbers with what makes each of them uncertain.

use std::collections::BTreeMap;

use ophryon_face::{
    Angle, BrowPlace, Budget, CameraDistance, Influences, Landmark, PoseVerdict, Quantity,
    ReferenceReading, SidedLandmark, Survey, Unit,
};
use ophryon_frames::Side;
use serde::Serialize;

use crate::Levelled;
use crate::report::Length;

/// How sure one photo is. A `plus-minus` is the expanded uncertainty (k = 2).
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Certainty {
    /// What each reference says of the scale.
    pub references: Vec<ReferenceReport>,
    /// Standard deviation (k = 1) of one tap on the face in each direction, mm.
    pub tap_sd_mm: f64,
    /// Where that comes from.
    pub taps: String,
    /// From the camera to the brows; `None` where the photo doesn't say.
    pub camera: Option<Length>,
    /// Turn toward the client's left.
    pub yaw: AngleReport,
    /// Chin up.
    pub pitch: AngleReport,
    /// `straight`, `unsure` or `turned`.
    pub pose: &'static str,
    /// Another photo would be worth more than this one.
    pub another_photo: bool,
    /// Pose and camera in words, with what they cost.
    pub sentences: Vec<String>,
    /// The natural face in numbers, as seen from the front.
    pub numbers: Vec<NumberReport>,
}

/// The scale by one reference, in the plane of the brows.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ReferenceReport {
    /// "card", "1 euro coin".
    pub name: String,
    /// Millimetres per pixel by it alone; `None` where it is left out.
    pub mm_per_px: Option<f64>,
    /// Its expanded uncertainty, percent.
    pub plus_minus_percent: Option<f64>,
    /// Its share in the scale.
    pub weight: f64,
    /// By how many percent everything is larger by it than by the others.
    pub against_others_percent: Option<f64>,
    /// By how many percent the errors of both allow.
    pub allowed_percent: Option<f64>,
    /// It differs by more.
    pub disagrees: bool,
    /// By how many percent the depth where it was held was corrected.
    pub corrected_percent: f64,
    /// Why it is left out.
    pub problem: Option<String>,
}

/// An angle with its expanded uncertainty, degrees.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct AngleReport {
    /// Best estimate.
    pub degrees: f64,
    /// Expanded uncertainty (k = 2).
    pub plus_minus_degrees: f64,
}

/// What is measured, and on which side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measure {
    /// On the client's right.
    Right,
    /// On the client's left.
    Left,
    /// Right less left.
    Difference,
    /// Across the face.
    Across,
}

/// One number with what makes it uncertain.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NumberReport {
    /// "start, above the pupil line".
    pub name: String,
    /// Where.
    pub of: Measure,
    /// `mm` or `degrees`.
    pub unit: &'static str,
    /// Best estimate.
    pub value: f64,
    /// Expanded uncertainty (k = 2).
    pub plus_minus: f64,
    /// Expanded uncertainty by cause; squares add up to that of the whole.
    pub causes: BTreeMap<&'static str, f64>,
    /// The cause that adds most.
    pub mostly: Option<&'static str>,
    /// The same in words.
    #[serde(skip)]
    pub mostly_words: Option<&'static str>,
    /// A difference that is more than its own uncertainty; `None` for what is
    /// no difference.
    pub distinguishable: Option<bool>,
}

impl Levelled {
    /// How sure the photo is.
    pub fn certainty(&self) -> Certainty {
        let survey = &self.survey;
        let pose = &survey.pose;
        Certainty {
            references: survey.scale.readings.iter().map(reference).collect(),
            tap_sd_mm: survey.spread.sd_mm(),
            taps: survey.spread.sentence(),
            camera: match survey.distance {
                CameraDistance::Known { mm, sd } => Some(Length {
                    mm,
                    plus_minus_mm: 2.0 * sd,
                }),
                CameraDistance::Unknown => None,
            },
            yaw: angle(pose.pose.yaw),
            pitch: angle(pose.pose.pitch),
            pose: match pose.verdict {
                PoseVerdict::Straight => "straight",
                PoseVerdict::Unsure => "unsure",
                PoseVerdict::Turned => "turned",
            },
            another_photo: pose.asks_for_another(),
            sentences: pose.sentences(),
            numbers: numbers(survey),
        }
    }
}

fn reference(reading: &ReferenceReading) -> ReferenceReport {
    let scale = reading.scale.as_ref().ok();
    ReferenceReport {
        name: reading.name.clone(),
        mm_per_px: scale.map(|s| s.mm_per_px()),
        plus_minus_percent: scale.map(|s| 200.0 * s.relative_sd()),
        weight: reading.weight,
        against_others_percent: reading.against_others_percent,
        allowed_percent: reading.allowed_percent,
        disagrees: reading.disagrees(),
        corrected_percent: reading.corrected_percent,
        problem: reading.scale.as_ref().err().map(ToString::to_string),
    }
}

fn angle(angle: Angle) -> AngleReport {
    AngleReport {
        degrees: angle.degrees,
        plus_minus_degrees: 2.0 * angle.sd,
    }
}

/// Everything an artist compares; what can't be measured yet is left out.
fn numbers(survey: &Survey) -> Vec<NumberReport> {
    let Ok(influences) = survey.influences() else {
        return Vec::new();
    };
    let mut all = Vec::new();
    let mut add = |name: String, of, quantity| all.extend(number(&influences, name, of, quantity));
    for place in BrowPlace::ALL {
        let name = |what: &str| format!("{}, {what}", place.name());
        let (up, out) = ("above the pupil line", "from the midline");
        for side in Side::BOTH {
            add(name(up), one(side), Quantity::BrowHeight(side, place));
        }
        let difference = Quantity::HeightDifference(place);
        add(name(up), Measure::Difference, difference);
        for side in Side::BOTH {
            add(name(out), one(side), Quantity::BrowFromMidline(side, place));
        }
        let difference = Quantity::FromMidlineDifference(place);
        add(name(out), Measure::Difference, difference);
    }
    let at = Landmark::Sided;
    for side in Side::BOTH {
        let inner = at(side, SidedLandmark::InnerCorner);
        let outer = at(side, SidedLandmark::OuterCorner);
        let width = Quantity::Between(inner, outer);
        add("eye, corner to corner".to_owned(), one(side), width);
        let slant = Quantity::Angle(inner, outer);
        add("eye, slant outward".to_owned(), one(side), slant);
    }
    for (name, l) in [
        ("pupil to pupil", SidedLandmark::Pupil),
        ("between the inner corners", SidedLandmark::InnerCorner),
        ("between the outer corners", SidedLandmark::OuterCorner),
        ("across the wings of the nose", SidedLandmark::NoseWing),
    ] {
        let across = Quantity::Between(at(Side::Right, l), at(Side::Left, l));
        add(name.to_owned(), Measure::Across, across);
    }
    all
}

const fn one(side: Side) -> Measure {
    match side {
        Side::Right => Measure::Right,
        Side::Left => Measure::Left,
    }
}

fn number(
    influences: &Influences,
    name: String,
    of: Measure,
    quantity: Quantity,
) -> Option<NumberReport> {
    let budget: Budget = influences.of_quantity(quantity)?;
    let mut causes = BTreeMap::new();
    for (cause, sd) in &budget.parts {
        causes.insert(cause.id(), 2.0 * sd);
    }
    Some(NumberReport {
        name,
        of,
        unit: match budget.unit {
            Unit::Mm => "mm",
            Unit::Degrees => "degrees",
        },
        value: budget.value,
        plus_minus: budget.expanded(),
        causes,
        mostly: budget.dominant().map(|(cause, _)| cause.id()),
        mostly_words: budget.dominant().map(|(cause, _)| cause.words()),
        distinguishable: (of == Measure::Difference).then(|| budget.distinguishable()),
    })
}
