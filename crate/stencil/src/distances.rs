//! The list of distances that a ruler must read on skin.

use ophryon_brow::SideMeasures;
use ophryon_frames::{Point, Side, Sided, Wrap};
use serde::{Deserialize, Serialize};

/// Finest division of the rulers used at this work (common practice, no
/// source): where nothing else is uncertain, a reading within one division of
/// the list agrees with it.
pub const RULER_TICK_MM: f64 = 0.5;

/// Standard uncertainty of one reading, mm: half a division, for the reading
/// itself, for laying the zero on, and for telling the edge of a line on skin.
pub const RULER_SD_MM: f64 = 0.5 * RULER_TICK_MM;

/// What the list rests on, and how sure that is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ListBasis {
    /// Standard uncertainty of the photo's scale, as a share of it.
    pub scale_relative_sd: f64,
    /// How the frontal view lies on each side.
    pub wrap: Sided<Wrap>,
    /// The same, had the tape read one standard uncertainty more; where nobody
    /// laid one, a head more curved by one standard deviation of heads.
    pub longer: Sided<Wrap>,
    /// A tape was laid on at least one side.
    pub is_by_tape: bool,
    /// Both sides rest on the same tape, or on the same estimate.
    pub is_shared: bool,
}

impl ListBasis {
    /// How much farther from the midline a place lies when the tape reads one
    /// standard uncertainty more, mm.
    fn carried_mm(&self, side: Side, from_midline_mm: f64) -> f64 {
        let seen = self
            .wrap
            .get(side)
            .to_front(Point::new(from_midline_mm.abs(), 0.0));
        let farther = |wrap: &Wrap| wrap.to_skin(seen).map(|p| p.x);
        match (farther(self.longer.get(side)), farther(self.wrap.get(side))) {
            (Ok(longer), Ok(now)) => longer - now,
            _ => 0.0,
        }
    }
}

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

/// Which distance it is. The same ids as in [`SideMeasures::rows`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DistanceId {
    /// Start to midline.
    Start,
    /// Peak to midline.
    Peak,
    /// Lower arch to midline.
    LowerArch,
    /// Tail to midline.
    Tail,
    /// Height of the front top.
    FrontTopHeight,
    /// Height of the front bottom.
    FrontBottomHeight,
    /// Height of the peak.
    PeakHeight,
    /// Height of the lower arch.
    LowerArchHeight,
    /// Height of the tail.
    TailHeight,
    /// Start to tail.
    Length,
    /// Thickness of the front edge.
    ThicknessStart,
    /// Thickness of the body.
    ThicknessBody,
    /// Thickness at the peak.
    ThicknessPeak,
    /// Thickness of the tail.
    ThicknessTail,
}

impl DistanceId {
    /// In the order the list is read.
    pub const ALL: [Self; 14] = [
        Self::Start,
        Self::Peak,
        Self::LowerArch,
        Self::Tail,
        Self::FrontTopHeight,
        Self::FrontBottomHeight,
        Self::PeakHeight,
        Self::LowerArchHeight,
        Self::TailHeight,
        Self::Length,
        Self::ThicknessStart,
        Self::ThicknessBody,
        Self::ThicknessPeak,
        Self::ThicknessTail,
    ];

    /// As it stands in files: "peak-height".
    pub const fn id(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Peak => "peak",
            Self::LowerArch => "lower-arch",
            Self::Tail => "tail",
            Self::FrontTopHeight => "front-top-height",
            Self::FrontBottomHeight => "front-bottom-height",
            Self::PeakHeight => "peak-height",
            Self::LowerArchHeight => "lower-arch-height",
            Self::TailHeight => "tail-height",
            Self::Length => "length",
            Self::ThicknessStart => "thickness-start",
            Self::ThicknessBody => "thickness-body",
            Self::ThicknessPeak => "thickness-peak",
            Self::ThicknessTail => "thickness-tail",
        }
    }

    /// The distance of that id.
    pub fn by_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|d| d.id() == id)
    }

    /// How it is read.
    pub const fn kind(self) -> DistanceKind {
        match self {
            Self::Start | Self::Peak | Self::LowerArch | Self::Tail => DistanceKind::FromMidline,
            Self::FrontTopHeight
            | Self::FrontBottomHeight
            | Self::PeakHeight
            | Self::LowerArchHeight
            | Self::TailHeight => DistanceKind::Height,
            Self::Length => DistanceKind::Length,
            Self::ThicknessStart
            | Self::ThicknessBody
            | Self::ThicknessPeak
            | Self::ThicknessTail => DistanceKind::Thickness,
        }
    }

    /// What is read, under the heading of its kind: "start".
    pub const fn name(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::FrontTopHeight => "front top",
            Self::FrontBottomHeight => "front bottom",
            Self::Peak | Self::PeakHeight => "peak",
            Self::LowerArch | Self::LowerArchHeight => "lower arch",
            Self::Tail | Self::TailHeight => "tail",
            Self::Length => "start to tail",
            Self::ThicknessStart => "at the start",
            Self::ThicknessBody => "of the body",
            Self::ThicknessPeak => "at the peak",
            Self::ThicknessTail => "of the tail",
        }
    }

    /// What is read, in a sentence: "the height of the peak".
    pub const fn words(self) -> &'static str {
        match self {
            Self::Start => "the distance from the midline to the start",
            Self::Peak => "the distance from the midline to the peak",
            Self::LowerArch => "the distance from the midline to the lower arch",
            Self::Tail => "the distance from the midline to the tail",
            Self::FrontTopHeight => "the height of the front top",
            Self::FrontBottomHeight => "the height of the front bottom",
            Self::PeakHeight => "the height of the peak",
            Self::LowerArchHeight => "the height of the lower arch",
            Self::TailHeight => "the height of the tail",
            Self::Length => "the length from start to tail",
            Self::ThicknessStart => "the thickness at the start",
            Self::ThicknessBody => "the thickness of the body",
            Self::ThicknessPeak => "the thickness at the peak",
            Self::ThicknessTail => "the thickness of the tail",
        }
    }

    /// What a wrap made by a tape from start to tail leaves at this distance,
    /// one standard deviation over the heads of `tests/heads`, mm.
    pub const fn wrap_residual_mm(self) -> f64 {
        match self {
            Self::Start
            | Self::FrontTopHeight
            | Self::FrontBottomHeight
            | Self::PeakHeight
            | Self::LowerArchHeight
            | Self::ThicknessStart
            | Self::ThicknessBody
            | Self::ThicknessPeak
            | Self::ThicknessTail => 0.3,
            Self::Peak | Self::LowerArch => 0.8,
            Self::Tail => 0.6,
            Self::TailHeight => 0.5,
            Self::Length => 0.2,
        }
    }

    /// What of the distance grows with the photo's scale, mm: all of it; but
    /// where a tape was laid it pins the way from start to tail.
    pub(crate) fn by_scale(self, side: &SideMeasures, basis: &ListBasis) -> f64 {
        match self.kind() {
            DistanceKind::FromMidline if basis.is_by_tape => side.start_mm,
            DistanceKind::Length if basis.is_by_tape => 0.0,
            _ => self.of(side),
        }
    }

    /// What a ruler must read on a side, mm.
    pub const fn of(self, side: &SideMeasures) -> f64 {
        match self {
            Self::Start => side.start_mm,
            Self::Peak => side.peak_mm,
            Self::LowerArch => side.lower_arch_mm,
            Self::Tail => side.tail_mm,
            Self::FrontTopHeight => side.front_top_height_mm,
            Self::FrontBottomHeight => side.front_bottom_height_mm,
            Self::PeakHeight => side.peak_height_mm,
            Self::LowerArchHeight => side.lower_arch_height_mm,
            Self::TailHeight => side.tail_height_mm,
            Self::Length => side.length_mm,
            Self::ThicknessStart => side.thickness_start_mm,
            Self::ThicknessBody => side.thickness_body_mm,
            Self::ThicknessPeak => side.thickness_peak_mm,
            Self::ThicknessTail => side.thickness_tail_mm,
        }
    }
}

impl std::fmt::Display for DistanceId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.id())
    }
}

/// One row of the list. All lengths in mm on the skin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Distance {
    /// Which distance.
    pub id: DistanceId,
    /// How it is read.
    pub kind: DistanceKind,
    /// What is read, in words: "start".
    pub name: &'static str,
    /// On the client's right.
    pub right_mm: f64,
    /// On the client's left.
    pub left_mm: f64,
    /// On each side, a reading that differs by at most this agrees: the
    /// expanded uncertainty (k = 2) of ruler, tape, scale and wrap together
    /// (JCGM 100:2008, root sum of squares).
    pub tolerance_mm: Sided<f64>,
    /// On each side, what one standard uncertainty of the tape moves it by, mm.
    pub by_tape_mm: Sided<f64>,
    /// On each side, what one standard uncertainty of the scale moves it by, mm.
    pub by_scale_mm: Sided<f64>,
}

impl Distance {
    /// What a ruler must read on that side, mm.
    pub const fn expected_mm(&self, side: Side) -> f64 {
        match side {
            Side::Right => self.right_mm,
            Side::Left => self.left_mm,
        }
    }
}

/// The list for both sides, grouped by [`DistanceKind`] in its order.
pub fn distances(sides: &Sided<SideMeasures>, basis: &ListBasis) -> Vec<Distance> {
    DistanceId::ALL
        .into_iter()
        .map(|id| {
            let by_tape_mm = Sided::from_fn(|side| {
                let at = |id: DistanceId| basis.carried_mm(side, id.of(sides.get(side)));
                match id.kind() {
                    DistanceKind::FromMidline => at(id),
                    DistanceKind::Length => at(DistanceId::Tail) - at(DistanceId::Start),
                    DistanceKind::Height | DistanceKind::Thickness => 0.0,
                }
            });
            let by_scale_mm = Sided::from_fn(|side| {
                basis.scale_relative_sd * id.by_scale(sides.get(side), basis)
            });
            let tolerance_mm = Sided::from_fn(|side| {
                let parts = [
                    RULER_SD_MM,
                    *by_tape_mm.get(side),
                    *by_scale_mm.get(side),
                    id.wrap_residual_mm(),
                ];
                2.0 * parts.iter().map(|sd| sd * sd).sum::<f64>().sqrt()
            });
            Distance {
                id,
                kind: id.kind(),
                name: id.name(),
                right_mm: id.of(&sides.right),
                left_mm: id.of(&sides.left),
                tolerance_mm,
                by_tape_mm,
                by_scale_mm,
            }
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
        let list = distances(&sides, &example::basis());
        let (right, left) = (sides.right.rows(), sides.left.rows());
        assert_eq!(list.len(), right.len());
        for ((id, _, right_mm), (_, _, left_mm)) in right.into_iter().zip(left) {
            let row = list.iter().find(|d| d.id.id() == id);
            let row = row.unwrap_or_else(|| panic!("{id} is not on the list"));
            assert_eq!((row.right_mm, row.left_mm), (right_mm, left_mm), "{id}");
        }
    }

    /// What a ruler must read, taken from the points the brow was asked for:
    /// the client's left is the same brow 1 mm higher.
    #[test]
    fn the_list_reads_as_the_points_were_placed() {
        let list = distances(&example::measures(), &example::basis());
        let read = |id: &str| {
            let row = list.iter().find(|d| d.id.id() == id).unwrap();
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
        let kinds: Vec<_> = distances(&example::measures(), &example::basis())
            .iter()
            .map(|d| d.kind)
            .collect();
        let mut grouped = kinds.clone();
        grouped.dedup();
        assert_eq!(grouped, DistanceKind::ALL);
    }
}
