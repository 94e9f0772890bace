//! Why no curve can keep both the points and the constraints.

use crate::{Handle, PointError};

/// A request that can't be met. Names the points, the constraint, by how much
/// it is missed, and the smallest single move found that would resolve it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Conflict {
    /// The points are not those of a brow; every problem is listed.
    #[error("{}", list(.0))]
    Points(Vec<PointError>),
    /// A limit that is not a number or makes no sense.
    #[error("the limits can't be kept: {0}")]
    Limits(&'static str),
    /// A wish that is not a number or makes no sense.
    #[error("the form can't be drawn: {0}")]
    Form(&'static str),
    /// The upper edge can't turn over the peak on the radius asked for.
    #[error("the peak can't be rounded to {least_mm:.1} mm between the front top and the tail{}{}", only(*least_mm, -1.0, *short_mm), way_out(.remedy))]
    PeakTooTight {
        /// Radius asked for, mm.
        least_mm: f64,
        /// By how much the largest radius that can be drawn falls short of it,
        /// mm; `None` where no radius would do.
        short_mm: Option<f64>,
        /// What resolves it.
        remedy: Option<Remedy>,
    },
    /// The top line can't stay straight and still turn over the peak.
    #[error("the top line can't stay straight to {most_mm:.1} mm and turn over the peak{}{}", only(*most_mm, 1.0, *short_mm), way_out(.remedy))]
    TopLineBent {
        /// Largest distance from its chord allowed, mm.
        most_mm: f64,
        /// By how much it would have to be exceeded, mm; `None` where no bend
        /// would do.
        short_mm: Option<f64>,
        /// What resolves it.
        remedy: Option<Remedy>,
    },
    /// The lower edge can't turn at the lower arch and stay arched.
    #[error("the lower edge can't be level at the lower arch and reach the front bottom and the tail{}{}", by(*short_mm), way_out(.remedy))]
    ArchTooTight {
        /// By how much the largest radius that can be drawn falls short of
        /// 2 mm; `None` where no radius would do.
        short_mm: Option<f64>,
        /// What resolves it.
        remedy: Option<Remedy>,
    },
    /// The tail can't become steadily thinner between these points.
    #[error("the tail can't taper from the lower arch to the tip{}{}", by(*short_mm), way_out(.remedy))]
    Taper {
        /// By how much it falls short, over its length, of closing by 1 mm
        /// over 20 everywhere, mm; `None` where no closing would do.
        short_mm: Option<f64>,
        /// What resolves it.
        remedy: Option<Remedy>,
    },
    /// Upper and lower edge touch or cross.
    #[error("the upper and lower edges come within {gap_mm:.1} mm of each other {lateral_mm:.1} mm from the midline{}", way_out(.remedy))]
    EdgesMeet {
        /// Where, as a distance from the midline in mm.
        lateral_mm: f64,
        /// The gap there, mm; negative when they cross.
        gap_mm: f64,
        /// What resolves it.
        remedy: Option<Remedy>,
    },
}

/// One move of one point that lets the brow be drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Remedy {
    /// The point to move.
    pub handle: Handle,
    /// Which way.
    pub way: Way,
    /// How far, mm.
    pub by_mm: f64,
}

/// A direction as the artist says it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Away from the midline.
    Out,
    /// Up.
    Up,
    /// Down.
    Down,
}

fn list(problems: &[PointError]) -> String {
    problems
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join("; ")
}

/// What could be kept instead of a limit.
fn only(limit_mm: f64, way: f64, short_mm: Option<f64>) -> String {
    short_mm.map_or_else(String::new, |short| {
        format!(", only to {:.1} mm", limit_mm + way * short)
    })
}

fn by(short_mm: Option<f64>) -> String {
    short_mm.map_or_else(String::new, |short| format!(", by {short:.1} mm"))
}

fn way_out(remedy: &Option<Remedy>) -> String {
    let Some(Remedy { handle, way, by_mm }) = remedy else {
        return "; move them farther apart".to_owned();
    };
    let name = handle.name();
    match way {
        Way::Out => format!("; move the {name} out by {by_mm:.1} mm"),
        Way::Up => format!("; raise the {name} by {by_mm:.1} mm"),
        Way::Down => format!("; lower the {name} by {by_mm:.1} mm"),
    }
}
