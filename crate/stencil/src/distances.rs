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
            Self::FromMidline => "Distance from the midline, over the skin (soft ruler or tape)",
            Self::Height => "Height above the pupil line, straight up",
            Self::Length => "Length of the brow, straight over the skin (soft ruler or tape)",
            Self::Thickness => "Thickness, from upper to lower edge (caliper or ruler)",
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example;

    #[test]
    fn every_measured_row_is_on_the_list_with_its_own_numbers() {
        let sides = example::measures();
        let list = distances(&sides);
        let (right, left) = (sides.right.rows(), sides.left.rows());
        assert_eq!(list.len(), right.len());
        for ((id, _, right_mm), (_, _, left_mm)) in right.into_iter().zip(left) {
            let row = list.iter().find(|d| d.id == id);
            let row = row.unwrap_or_else(|| panic!("{id} is not on the list"));
            assert_eq!((row.right_mm, row.left_mm), (right_mm, left_mm), "{id}");
        }
    }

    /// What a ruler must read, taken from the points the brow was asked for:
    /// the client's left is the same brow 1 mm higher.
    #[test]
    fn the_list_reads_as_the_points_were_placed() {
        let list = distances(&example::measures());
        let read = |id: &str| {
            let row = list.iter().find(|d| d.id == id).unwrap();
            (row.right_mm, row.left_mm)
        };
        for (id, right_mm, left_mm) in [
            ("start", 15.0, 15.0),
            ("peak", 41.0, 41.0),
            ("tail", 57.0, 57.0),
            ("peak-height", 29.5, 30.5),
            ("tail-height", 15.5, 16.5),
            ("thickness-start", 8.0, 8.0),
        ] {
            let (right, left) = read(id);
            assert!(
                (right - right_mm).abs() < 1e-9 && (left - left_mm).abs() < 1e-9,
                "{id}"
            );
        }
    }

    #[test]
    fn the_list_is_in_groups_read_one_after_the_other() {
        let kinds: Vec<_> = distances(&example::measures())
            .iter()
            .map(|d| d.kind)
            .collect();
        let mut grouped = kinds.clone();
        grouped.dedup();
        assert_eq!(grouped, DistanceKind::ALL);
    }
}
