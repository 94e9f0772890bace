//! What feedback changes, by name and in millimetres, and how far in all.

use ophryon_frames::{Side, Sided};
use serde::{Deserialize, Serialize};

use crate::{Brow, BrowPoints, Handle, Offset, SideMeasures};

/// A measure that feedback changes. All in mm on the skin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Parameter {
    /// Thickness of the front edge.
    StartThickness,
    /// Thickness halfway along the body.
    BodyThickness,
    /// Thickness at the peak.
    PeakThickness,
    /// Thickness of the tail at its middle.
    TailThickness,
    /// Peak above the front top: the arch.
    Rise,
    /// Peak above the pupil line.
    PeakHeight,
    /// Middle of the front edge above the pupil line.
    StartHeight,
    /// Middle of the front edge to the midline.
    StartToMidline,
    /// Lower arch to tip: the tail's length.
    TailLength,
    /// Start to tip.
    Length,
    /// Tip above the pupil line.
    TailHeight,
}

impl Parameter {
    /// In the order they are read.
    pub const ALL: [Self; 11] = [
        Self::StartThickness,
        Self::BodyThickness,
        Self::PeakThickness,
        Self::TailThickness,
        Self::Rise,
        Self::PeakHeight,
        Self::StartHeight,
        Self::StartToMidline,
        Self::TailLength,
        Self::Length,
        Self::TailHeight,
    ];

    /// The name the artist reads.
    pub const fn name(self) -> &'static str {
        match self {
            Self::StartThickness => "thickness at the start",
            Self::BodyThickness => "thickness of the body",
            Self::PeakThickness => "thickness at the peak",
            Self::TailThickness => "thickness of the tail",
            Self::Rise => "peak above the front top",
            Self::PeakHeight => "peak above the pupil line",
            Self::StartHeight => "start above the pupil line",
            Self::StartToMidline => "start to midline",
            Self::TailLength => "lower arch to tip",
            Self::Length => "start to tip",
            Self::TailHeight => "tip above the pupil line",
        }
    }
}

/// One measure that a proposal changes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Change {
    /// Which.
    pub parameter: Parameter,
    /// By how much, mm: to less from, the same on both sides but for what a
    /// side's turn makes of it; the mean of the two.
    pub by_mm: f64,
    /// What a ruler reads now on each side, mm.
    pub from_mm: Sided<f64>,
    /// What it would read.
    pub to_mm: Sided<f64>,
}

/// Changes smaller than this are not told, mm: a ruler doesn't show them.
const TOLD_MM: f64 = 0.05;

/// Every measure of one side, in the order of [`Parameter::ALL`].
pub(super) fn measured(brow: &Brow, offset: &Offset) -> [f64; 11] {
    let m = SideMeasures::of(brow, offset);
    let p = brow.displaced(offset);
    let points = p.points();
    Parameter::ALL.map(|parameter| match parameter {
        Parameter::StartThickness => m.thickness_start_mm,
        Parameter::BodyThickness => m.thickness_body_mm,
        Parameter::PeakThickness => m.thickness_peak_mm,
        Parameter::TailThickness => m.thickness_tail_mm,
        Parameter::Rise => m.peak_height_mm - m.front_top_height_mm,
        Parameter::PeakHeight => m.peak_height_mm,
        Parameter::StartHeight => points.at(Handle::Start).y,
        Parameter::StartToMidline => m.start_mm,
        Parameter::TailLength => points.lower_arch.distance(points.tail),
        Parameter::Length => m.length_mm,
        Parameter::TailHeight => m.tail_height_mm,
    })
}

/// What differs between two drawn pairs, as a ruler shows it.
pub(super) fn changes(before: &Sided<[f64; 11]>, after: &Sided<[f64; 11]>) -> Vec<Change> {
    let change = |i: usize, parameter| {
        let from_mm = Sided::from_fn(|side: Side| before.get(side)[i]);
        let to_mm = Sided::from_fn(|side: Side| after.get(side)[i]);
        let by_mm = 0.5 * (to_mm.right - from_mm.right + to_mm.left - from_mm.left);
        Change {
            parameter,
            by_mm,
            from_mm,
            to_mm,
        }
    };
    let all = Parameter::ALL.into_iter().enumerate();
    all.map(|(i, parameter)| change(i, parameter))
        .filter(|c| c.by_mm.abs() >= TOLD_MM)
        .collect()
}

/// What is bounded in all, measured on the points alone so that it is the same
/// before and after the curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Total {
    /// Mean of the thickness at the start and at the peak.
    Thickness,
    /// Peak above the front top.
    Rise,
    /// Lower arch to tip.
    TailLength,
    /// Start to midline.
    StartToMidline,
    /// Start above the pupil line.
    StartHeight,
    /// Peak above the pupil line.
    PeakHeight,
    /// Lower arch above the tip.
    Drop,
}

/// How far feedback may take a shape from the one first shown, mm. Ours: beyond
/// it a client means another shape, and a style or a new sketch is the answer.
pub const TOTAL_BOUNDS: [(Total, f64); 7] = [
    (Total::Thickness, 1.5),
    (Total::Rise, 2.0),
    (Total::TailLength, 4.0),
    (Total::StartToMidline, 2.0),
    (Total::StartHeight, 2.0),
    (Total::PeakHeight, 2.5),
    (Total::Drop, 2.0),
];

impl Total {
    /// The name the artist reads.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Thickness => "thickness",
            Self::Rise => "peak above the front top",
            Self::TailLength => "length of the tail",
            Self::StartToMidline => "start to midline",
            Self::StartHeight => "height of the start",
            Self::PeakHeight => "height of the peak",
            Self::Drop => "drop from the lower arch to the tip",
        }
    }

    /// Of points before any offset, mm.
    pub(super) fn of(self, p: &BrowPoints) -> f64 {
        match self {
            Self::Thickness => 0.5 * (p.front_top.y - p.front_bottom.y + p.peak.y - p.lower_arch.y),
            Self::Rise => p.peak.y - p.front_top.y,
            Self::TailLength => p.lower_arch.distance(p.tail),
            Self::StartToMidline => p.at(Handle::Start).x,
            Self::StartHeight => p.at(Handle::Start).y,
            Self::PeakHeight => p.peak.y,
            Self::Drop => p.lower_arch.y - p.tail.y,
        }
    }
}
