//! The list of distances that a ruler must read on skin.

use ophryon_brow::SideMeasures;
use ophryon_frames::Sided;
use serde::Serialize;

/// Finest division of the rulers used at this work (common practice, no
/// source): a reading within one division of the list agrees with it.
pub const RULER_TICK_MM: f64 = 0.5;

/// What kind of distance it is, and so how it is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DistanceKind {
    /// From the midline outward, over the skin.
    FromMidline,
    /// Straight up from the pupil line.
    Height,
    /// From start to tail.
    Length,
    /// From the upper to the lower edge.
    Thickness,
}

impl DistanceKind {
    /// In the order the list is read.
    pub const ALL: [Self; 4] = [
        Self::FromMidline,
        Self::Height,
        Self::Length,
        Self::Thickness,
    ];

    /// How to read it, in a sentence.
    pub const fn how(self) -> &'static str {
        match self {
            Self::FromMidline => "From the midline, over the skin (soft ruler or tape)",
            Self::Height => "Above the pupil line, straight up",
            Self::Length => "Along the brow, over the skin",
            Self::Thickness => "From upper to lower edge (caliper or ruler)",
        }
    }
}

/// One row of the list. All lengths in mm on the skin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Distance {
    /// What is read, as an id; the same as in [`SideMeasures::rows`].
    pub id: &'static str,
    /// How it is read.
    pub kind: DistanceKind,
    /// What is read, in words: "start".
    pub name: &'static str,
    /// On the client's right.
    pub right_mm: f64,
    /// On the client's left.
    pub left_mm: f64,
    /// A reading that differs by at most this agrees.
    pub tolerance_mm: f64,
}

/// The list for both sides, grouped by [`DistanceKind`] in its order.
pub fn distances(sides: &Sided<SideMeasures>) -> Vec<Distance> {
    use DistanceKind::{FromMidline, Height, Length, Thickness};
    type Row = (
        &'static str,
        DistanceKind,
        &'static str,
        fn(&SideMeasures) -> f64,
    );
    const ROWS: [Row; 14] = [
        ("start", FromMidline, "start", |m| m.start_mm),
        ("peak", FromMidline, "peak", |m| m.peak_mm),
        ("lower-arch", FromMidline, "lower arch", |m| m.lower_arch_mm),
        ("tail", FromMidline, "tail", |m| m.tail_mm),
        ("front-top-height", Height, "front top", |m| {
            m.front_top_height_mm
        }),
        ("front-bottom-height", Height, "front bottom", |m| {
            m.front_bottom_height_mm
        }),
        ("peak-height", Height, "peak", |m| m.peak_height_mm),
        ("lower-arch-height", Height, "lower arch", |m| {
            m.lower_arch_height_mm
        }),
        ("tail-height", Height, "tail", |m| m.tail_height_mm),
        ("length", Length, "start to tail", |m| m.length_mm),
        ("thickness-start", Thickness, "at the start", |m| {
            m.thickness_start_mm
        }),
        ("thickness-body", Thickness, "of the body", |m| {
            m.thickness_body_mm
        }),
        ("thickness-peak", Thickness, "at the peak", |m| {
            m.thickness_peak_mm
        }),
        ("thickness-tail", Thickness, "of the tail", |m| {
            m.thickness_tail_mm
        }),
    ];
    ROWS.into_iter()
        .map(|(id, kind, name, of)| Distance {
            id,
            kind,
            name,
            right_mm: of(&sides.right),
            left_mm: of(&sides.left),
            tolerance_mm: RULER_TICK_MM,
        })
        .collect()
}
