//! The shape in numbers: the file `report.json`.
//!
//! Lengths in mm on the skin unless a field says otherwise; a `plus-minus` is
//! the expanded uncertainty (k = 2).

use std::collections::BTreeMap;

use ophryon_agreement::Seal;
use ophryon_brow::{
    Difference, HairFit, Handle, Limits, Line, Offset, Part, Reading, Rules, Verdict,
};
use ophryon_face::{Budget, Distance, PupilVerdict};
use ophryon_frames::{Front, Photo as Px, Point, Side, Sided, Skin, Wrap};
use ophryon_stencil::RulerCheck;
use serde::Serialize;

use crate::shape_report::{HealedReport, StandingReport, cubics};
use crate::study::NaturalDifference;
use crate::{
    Balance, BalanceAsk, Certainty, CurveBasis, Drawn, LineKind, Measured, Record, ShapeSource,
    TapeCheck, VariantNumbers,
};

/// Everything that is known of one shape.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Report {
    /// Schema of this report.
    pub schema: u32,
    /// Whose it is and which shape.
    #[serde(flatten)]
    pub head: Head,
    /// Id of the photo it was designed on.
    pub photo: String,
    /// What to bear in mind, one sentence each.
    pub cautions: Vec<String>,
    /// The face on its level.
    pub face: FaceReport,
    /// How the frontal view lies on the skin of each side.
    pub wrap: Sided<Wrap>,
    /// What each side's wrap rests on.
    pub wrap_basis: Sided<CurveBasis>,
    /// What the tapes say of each other.
    pub tape_checks: Vec<TapeCheck>,
    /// The same in words.
    pub wrap_words: String,
    /// The mapping rules.
    pub rules: Rules,
    /// Their lines, and where they meet the shape.
    pub mapping: Sided<Vec<MappingReport>>,
    /// The points that the outline passes through, offset included.
    pub points: Sided<BTreeMap<Handle, PointReport>>,
    /// The outlines on the skin: closed, each cubic beginning where the last ended.
    pub outline: Sided<Vec<CubicReport>>,
    /// The outlines' extents on the skin.
    pub extents_mm: Sided<Extents>,
    /// The displacement of each side.
    pub offset: Sided<Offset>,
    /// What the outline must keep to.
    pub limits: Limits,
    /// No constraint fails.
    pub holds: bool,
    /// Every constraint.
    pub constraints: Sided<Vec<Reading>>,
    /// What a ruler must read on skin.
    pub distances: Vec<ophryon_stencil::Distance>,
    /// The table of differences of the shape.
    pub differences: Vec<Difference>,
    /// Right less left of the natural brows, as seen from the front; empty
    /// while a landmark is missing.
    pub natural_differences: Vec<NaturalDifference>,
    /// How sure the photo is, and why.
    pub certainty: Certainty,
    /// How the outlines sit on the natural hair, where that is known.
    pub hair: Sided<Option<HairFit>>,
    /// What stays of the shape once healed, and what to draw for it.
    pub healing: HealedReport,
    /// Where the shape stands among published measures.
    pub standing: StandingReport,
    /// The shapes that are kept, side by side.
    pub variants: Vec<VariantNumbers>,
}

/// Whose it is and which shape.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Head {
    /// The client's code.
    pub code: String,
    /// Version of the shape.
    pub version: u32,
    /// Mark of the exact shape.
    pub fingerprint: String,
    /// Whether she has agreed to it.
    pub agreed: bool,
    /// The seal of her agreement, while it holds.
    pub seal: Option<Seal>,
    /// The same in a sentence, with the reason where she hasn't.
    pub agreement: String,
    /// Cautions she flagged or left open when she agreed, in her words: for a
    /// doctor first.
    pub for_a_doctor: Vec<String>,
    /// Kept in the record, or proposed.
    pub source: ShapeSource,
}

/// The face on its level.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct FaceReport {
    /// What gave the scale: "card", "card and iris".
    pub reference: String,
    /// Millimetres per pixel.
    pub mm_per_px: f64,
    /// Its expanded uncertainty (k = 2), percent.
    pub scale_plus_minus_percent: f64,
    /// Turn of the pupil line in the photo, degrees; positive when the
    /// client's left eye is the higher one.
    pub roll_degrees: f64,
    /// Midline against the upright of the pupils, degrees; positive when its
    /// upper end leans toward the client's left.
    pub midline_tilt_degrees: f64,
    /// Pupil to pupil.
    pub pupils: Length,
    /// Whether most adults have it.
    pub pupils_usual: bool,
    /// Every landmark by id, in the front frame, mm.
    pub landmarks_front_mm: BTreeMap<String, Point<Front>>,
}

/// A length with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Length {
    /// Best estimate, mm.
    pub mm: f64,
    /// Expanded uncertainty (k = 2), mm.
    pub plus_minus_mm: f64,
}

impl From<&Budget> for Length {
    fn from(budget: &Budget) -> Self {
        Self {
            mm: budget.value,
            plus_minus_mm: budget.expanded(),
        }
    }
}

impl From<Distance> for Length {
    fn from(d: Distance) -> Self {
        Self {
            mm: d.mm,
            plus_minus_mm: d.expanded(),
        }
    }
}

/// One mapping line of one side, in the front frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct MappingReport {
    /// Which one.
    pub line: LineKind,
    /// Where it is drawn from.
    pub from_front_mm: Point<Front>,
    /// The landmark it runs through.
    pub through_front_mm: Point<Front>,
    /// Where it is at the height of the shape's point; `None` for a level line.
    pub crossing_front_mm: Option<Point<Front>>,
    /// The same on the skin; `None` where the wrap doesn't reach.
    pub crossing_skin_mm: Option<Point<Skin>>,
    /// How far the shape's point lies past the line toward the tail, mm as
    /// seen from the front; negative on the midline's side.
    pub point_beyond_mm: f64,
}

/// A point of the shape, wherever it is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct PointReport {
    /// On the skin, mm.
    pub skin_mm: Point<Skin>,
    /// As seen from the front, mm.
    pub front_mm: Point<Front>,
    /// In the photo, px.
    pub photo_px: Point<Px>,
}

/// One cubic of an outline.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct CubicReport {
    /// What it is part of.
    pub part: Part,
    /// Start, two control points, end, on the skin, mm.
    pub skin_mm: [Point<Skin>; 4],
}

/// Smallest upright box round an outline, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Extents {
    /// Corner of the smallest coordinates.
    pub least: Point<Skin>,
    /// Corner of the largest coordinates.
    pub most: Point<Skin>,
    /// Width.
    pub width_mm: f64,
    /// Height.
    pub height_mm: f64,
}

/// The constraints alone, for `ophryon check --json`.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct CheckReport<'a> {
    /// Whose it is and which shape.
    #[serde(flatten)]
    pub head: &'a Head,
    /// No constraint fails.
    pub holds: bool,
    /// Every constraint.
    pub constraints: &'a Sided<Vec<Reading>>,
}

/// The distances alone, for `ophryon measure --json`.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct MeasureReport<'a> {
    /// Whose it is and which shape.
    #[serde(flatten)]
    pub head: &'a Head,
    /// What to bear in mind.
    pub cautions: &'a [String],
    /// The face on its level.
    pub face: &'a FaceReport,
    /// What a ruler must read on skin.
    pub distances: &'a [ophryon_stencil::Distance],
    /// The table of differences of the shape.
    pub differences: &'a [Difference],
    /// Right less left of the natural brows, as seen from the front.
    pub natural_differences: &'a [NaturalDifference],
    /// How sure the photo is, and why.
    pub certainty: &'a Certainty,
    /// How the outlines sit on the natural hair, where that is known.
    pub hair: &'a Sided<Option<HairFit>>,
    /// What stays of the shape once healed, and what to draw for it.
    pub healing: &'a HealedReport,
    /// Where the shape stands among published measures.
    pub standing: &'a StandingReport,
    /// The shapes that are kept, side by side.
    pub variants: &'a [VariantNumbers],
    /// The brows at rest and in use; `None` while something is missing.
    pub balance: Option<&'a Balance>,
    /// What is still missing for it, one question each.
    pub balance_asks: Vec<String>,
}

/// What a ruler read against the list, for `ophryon readings --json`.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ReadingsReport<'a> {
    /// Whose it is and which shape.
    #[serde(flatten)]
    pub head: &'a Head,
    /// Every distance as it was read, and the likely causes.
    #[serde(flatten)]
    pub check: &'a RulerCheck,
}

impl Record {
    /// The report of the shape, or of the proposal while there is none.
    ///
    /// # Errors
    /// As [`Record::drawn`].
    pub fn report(&self) -> Result<Report, crate::StudyError> {
        Ok(Report::of(self, &self.drawn()?))
    }
}

impl Report {
    /// The report of a shape that is drawn already.
    pub fn of(record: &Record, drawn: &Drawn) -> Self {
        let measured = &drawn.measured;
        let agreed = record.agreed();
        let flagged = agreed.for_a_doctor();
        Self {
            schema: 1,
            head: Head {
                code: record.client.code.clone(),
                version: record.version,
                fingerprint: record.fingerprint_of(drawn),
                agreed: agreed.is_agreed(),
                seal: agreed.seal().copied(),
                agreement: agreed.sentence(),
                for_a_doctor: flagged.iter().map(|c| c.words_and_advice()).collect(),
                source: drawn.source,
            },
            photo: measured.levelled.photo.clone(),
            cautions: measured.cautions(),
            face: face(measured),
            wrap: measured.wrap,
            wrap_basis: measured.curve.basis,
            tape_checks: measured.curve.checks.clone(),
            wrap_words: measured.wrap_words(),
            rules: record.rules,
            mapping: Sided::from_fn(|side| mapping(drawn, side)),
            points: Sided::from_fn(|side| points(drawn, side)),
            outline: Sided::from_fn(|side| cubics(drawn.on_skin.get(side))),
            extents_mm: Sided::from_fn(|side| extents(drawn, side)),
            offset: drawn.pair.offset,
            limits: record.limits,
            holds: drawn.failing().next().is_none(),
            constraints: drawn.readings.clone(),
            distances: drawn.distances(),
            differences: drawn.differences.clone(),
            natural_differences: measured.natural_table(),
            certainty: measured.levelled.certainty(),
            hair: drawn.hair_fit,
            healing: drawn.healed_report(),
            standing: drawn.standing_report(),
            variants: record.compare_on(measured),
        }
    }

    /// The constraints alone.
    pub fn check(&self) -> CheckReport<'_> {
        CheckReport {
            head: &self.head,
            holds: self.holds,
            constraints: &self.constraints,
        }
    }

    /// The distances alone, with the brows at rest and in use or what is
    /// missing for those.
    pub fn measure<'a>(&'a self, balance: Result<&'a Balance, &[BalanceAsk]>) -> MeasureReport<'a> {
        MeasureReport {
            head: &self.head,
            cautions: &self.cautions,
            face: &self.face,
            distances: &self.distances,
            differences: &self.differences,
            natural_differences: &self.natural_differences,
            certainty: &self.certainty,
            hair: &self.hair,
            healing: &self.healing,
            standing: &self.standing,
            variants: &self.variants,
            balance: balance.ok(),
            balance_asks: balance.err().map_or_else(Vec::new, |asks| {
                asks.iter().map(BalanceAsk::sentence).collect()
            }),
        }
    }

    /// The readings alone.
    pub fn readings<'a>(&'a self, check: &'a RulerCheck) -> ReadingsReport<'a> {
        ReadingsReport {
            head: &self.head,
            check,
        }
    }

    /// Every failing constraint with its side.
    pub fn failing(&self) -> impl Iterator<Item = (Side, &Reading)> {
        self.constraints.iter().flat_map(|(side, readings)| {
            let fails = |r: &&Reading| r.verdict == Verdict::Fails;
            readings.iter().filter(fails).map(move |r| (side, r))
        })
    }
}

fn face(measured: &Measured) -> FaceReport {
    let levelled = &measured.levelled;
    // Put in one by one: collecting would sort, and bring a sort of its own
    // into the app's first load.
    let mut landmarks = BTreeMap::new();
    for (l, p) in &levelled.survey.face.points {
        landmarks.insert(l.id(), *p);
    }
    FaceReport {
        reference: levelled.references(),
        mm_per_px: levelled.scale().mm_per_px(),
        scale_plus_minus_percent: 200.0 * levelled.scale().relative_sd(),
        roll_degrees: levelled.survey.frame.roll_degrees(),
        midline_tilt_degrees: levelled.survey.frame.midline_tilt_degrees(),
        pupils: levelled.survey.pupils.into(),
        pupils_usual: levelled.survey.pupil_check.verdict == PupilVerdict::Usual,
        landmarks_front_mm: landmarks,
    }
}

fn mapping(drawn: &Drawn, side: Side) -> Vec<MappingReport> {
    let lines = drawn.measured.lines.get(side);
    let one = |line: LineKind, mapped: &Line, handle| {
        let place = drawn.handle(side, handle)?;
        let point = side.front_as_left(place.front);
        let crossing = mapped.at_height(point.y).map(|p| side.front_as_left(p));
        Some(MappingReport {
            line,
            from_front_mm: side.front_as_left(mapped.from),
            through_front_mm: side.front_as_left(mapped.through),
            crossing_front_mm: crossing,
            crossing_skin_mm: crossing.and_then(|p| drawn.measured.wrap.get(side).to_skin(p).ok()),
            point_beyond_mm: mapped.beyond(point),
        })
    };
    [
        one(LineKind::Start, &lines.start, Handle::Start),
        one(LineKind::Peak, &lines.peak, Handle::Peak),
        one(LineKind::Tail, &lines.tail, Handle::Tail),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn points(drawn: &Drawn, side: Side) -> BTreeMap<Handle, PointReport> {
    let mut points = BTreeMap::new();
    for p in drawn.handles.get(side) {
        let report = PointReport {
            skin_mm: p.skin,
            front_mm: p.front,
            photo_px: p.photo,
        };
        points.insert(p.handle, report);
    }
    points
}

fn extents(drawn: &Drawn, side: Side) -> Extents {
    let (least, most) = drawn.on_skin.get(side).bounds();
    Extents {
        least,
        most,
        width_mm: most.x - least.x,
        height_mm: most.y - least.y,
    }
}
