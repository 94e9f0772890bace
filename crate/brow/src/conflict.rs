//! Why no curve can keep both the points and the constraints.

use crate::{Handle, PointError};

/// A request that can't be met. Names the points, the constraint, by how much
/// it is missed, and the smallest move found that would resolve it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Conflict {
    /// The points are not those of a brow; every problem is listed.
    #[error("{}", list(.0))]
    Points(Vec<PointError>),
    /// A limit that is not a number or makes no sense.
    #[error("the limits can't be kept: {0}")]
    Limits(&'static str),
    /// The upper edge can't turn over the peak on the radius asked for.
    #[error("the peak can't be rounded to {least_mm:.1} mm: the {} stands too near{}", .handle.name(), move_out(.handle, .move_mm))]
    PeakTooTight {
        /// The point that stands too near the peak.
        handle: Handle,
        /// Radius asked for, mm.
        least_mm: f64,
        /// Smallest move found that resolves it, mm; away from the midline
        /// for the tail, down for the peak.
        move_mm: Option<f64>,
    },
    /// The lower edge can't turn over the lower arch.
    #[error("the lower edge can't turn at the lower arch: the {} stands too near{}", .handle.name(), move_out(.handle, .move_mm))]
    ArchTooTight {
        /// The point that stands too near the lower arch.
        handle: Handle,
        /// Smallest move found that resolves it, mm.
        move_mm: Option<f64>,
    },
    /// The tail can't become steadily thinner between these points.
    #[error("the tail can't taper from the lower arch to the tip{}", move_out(&Handle::Tail, .move_mm))]
    Taper {
        /// Smallest move of the tail away from the midline that resolves it, mm.
        move_mm: Option<f64>,
    },
    /// Upper and lower edge touch or cross.
    #[error("the upper and lower edges come within {gap_mm:.1} mm of each other {lateral_mm:.1} mm from the midline; raise the peak or lower the lower arch by {:.1} mm", least_mm - gap_mm)]
    EdgesMeet {
        /// Where, as a distance from the midline in mm.
        lateral_mm: f64,
        /// The gap there, mm; negative when they cross.
        gap_mm: f64,
        /// The least gap that is a brow, mm.
        least_mm: f64,
    },
}

fn list(problems: &[PointError]) -> String {
    problems
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join("; ")
}

fn move_out(handle: &Handle, move_mm: &Option<f64>) -> String {
    match (handle, move_mm) {
        (Handle::Tail, Some(mm)) => format!("; move the tail out by {mm:.1} mm"),
        (Handle::Peak, Some(mm)) => format!("; lower the peak by {mm:.1} mm"),
        (Handle::LowerArch, Some(mm)) => format!("; lower the lower arch by {mm:.1} mm"),
        (handle, _) => format!("; move the {} away from it", handle.name()),
    }
}
