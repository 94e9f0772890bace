//! From five points to one closed outline.
//!
//! Upper and lower edge are found together ([`crate::fair`]), the front edge
//! closes them ([`crate::front`]). Position, direction and curvature are
//! continuous everywhere but at the tip and, where the front is square, at
//! its two corners.

use ophryon_frames::{Lateral, Point};

use crate::fair::{Bound, Bounds, LEAST_GAP_MM, Legs, Task};
use crate::front::{Rounding, round, straight_for_mm};
use crate::leg::Solved;
use crate::outline::{Brow, Outline, Part, Segment};
use crate::quadratic::NoSolution;
use crate::remedy::with_remedy;
use crate::{BrowPoints, Conflict, Form, Front, Limits};

/// How finely the lengthening of the roundings is found, as a share of what
/// is possible: a thousandth of a millimetre, so that the shape changes
/// steadily as a point is dragged.
const LENGTHENING_STEP: f64 = 1e-4;

/// Steepest tail axis, degrees below level.
const STEEPEST_DEGREES: f64 = 75.0;

/// Draws the brow through its points under the limits, as near to what the
/// form wishes as these allow.
///
/// # Errors
/// The [`Conflict`] that keeps any curve from it; the caller keeps the last
/// good shape.
pub fn draw(points: &BrowPoints, form: &Form, limits: &Limits) -> Result<Brow, Conflict> {
    let problems = points.problems();
    if !problems.is_empty() {
        return Err(Conflict::Points(problems));
    }
    if let Some(words) = limits.problem() {
        return Err(Conflict::Limits(words));
    }
    if let Some(words) = form.problem() {
        return Err(Conflict::Form(words));
    }
    attempt(points, form, limits, &Bounds::of(limits))
        .map_err(|conflict| with_remedy(conflict, points, form, limits))
}

/// [`draw`] without looking for the way out of a conflict.
pub(crate) fn drawn(points: &BrowPoints, form: &Form, limits: &Limits) -> Option<Brow> {
    let sound =
        points.problems().is_empty() && limits.problem().is_none() && form.problem().is_none();
    sound.then(|| attempt(points, form, limits, &Bounds::of(limits)).ok())?
}

/// Whether [`draw`] would succeed.
pub(crate) fn can_draw(points: &BrowPoints, form: &Form, limits: &Limits) -> bool {
    drawn(points, form, limits).is_some()
}

/// The usual roundings first; where nothing fits them, the least lengthening
/// with which something does.
pub(crate) fn attempt(
    points: &BrowPoints,
    form: &Form,
    limits: &Limits,
    bounds: &Bounds,
) -> Result<Brow, Conflict> {
    let first = attempt_with(points, form, limits, bounds, 0.0);
    if first.is_ok() {
        return first;
    }
    let Ok(longest) = attempt_with(points, form, limits, bounds, 1.0) else {
        return first;
    };
    let (mut short, mut enough, mut best) = (0.0, 1.0, longest);
    while enough - short > LENGTHENING_STEP {
        let middle = 0.5 * (short + enough);
        match attempt_with(points, form, limits, bounds, middle) {
            Ok(brow) => (enough, best) = (middle, brow),
            Err(_) => short = middle,
        }
    }
    Ok(best)
}

/// Draws with the roundings lengthened by a share of what is possible, 0 to 1.
fn attempt_with(
    points: &BrowPoints,
    form: &Form,
    limits: &Limits,
    bounds: &Bounds,
    lengthened: f64,
) -> Result<Brow, Conflict> {
    let run = points.tail - points.lower_arch;
    let axis = run
        .unit()
        .filter(|axis| axis.degrees() >= -STEEPEST_DEGREES);
    let Some(axis) = axis else {
        return Err(peak_too_tight(limits));
    };
    let task = Task {
        points,
        form,
        limits,
        bounds,
        axis,
        lengthened,
        soft_mm: soft_mm(points, form),
    };
    let legs = task
        .solve()
        .map_err(|none| conflict(&none, points, limits))?;
    let brow = Brow {
        points: *points,
        form: form.clone(),
        outline: Outline::from_segments(assemble(points, form, &legs)),
    };
    match closest_edges(&legs, points) {
        Some((lateral_mm, gap_mm)) if gap_mm < LEAST_GAP_MM => Err(Conflict::EdgesMeet {
            lateral_mm,
            gap_mm,
            remedy: None,
        }),
        _ => Ok(brow),
    }
}

/// Straight beginning of both edges that a soft front needs, mm.
fn soft_mm(points: &BrowPoints, form: &Form) -> f64 {
    let Front::Soft { radius_mm } = form.front else {
        return 0.0;
    };
    let (front, arch) = (points.front_bottom, points.lower_arch);
    let chord = (arch.y - front.y) / (arch.x - front.x);
    straight_for_mm(points.front_top, front, chord, radius_mm)
}

/// The segments in the order they are walked.
fn assemble(points: &BrowPoints, form: &Form, legs: &Legs<Solved>) -> Vec<Segment<Lateral>> {
    let mut top: Vec<_> = legs.upper_body.cubics().rev().map(reversed).collect();
    let mut under: Vec<_> = legs.lower_body.cubics().collect();
    let mut segments = Vec::with_capacity(26);
    let mut add = |part: Part, controls| segments.push(Segment { part, controls });
    match soft_corners(points, form, legs) {
        None => add(
            Part::FrontEdge,
            straight(points.front_bottom, points.front_top),
        ),
        Some([low, high]) => {
            low.halves.into_iter().for_each(|c| add(Part::FrontEdge, c));
            add(Part::FrontEdge, straight(low.end(), high.begin()));
            high.halves
                .into_iter()
                .for_each(|c| add(Part::FrontEdge, c));
            // What is left of the straight beginnings.
            if let (Some(first), Some(last)) = (top.first_mut(), under.last_mut()) {
                *first = straight(high.end(), first[3]);
                *last = straight(last[0], low.begin());
            }
        }
    }
    for (i, controls) in top.into_iter().enumerate() {
        let part = if i < STRAIGHT_STRETCHES {
            Part::TopLine
        } else {
            Part::PeakRound
        };
        add(part, controls);
    }
    for (i, controls) in legs.upper_tail.cubics().enumerate() {
        let part = if i < ROUND_STRETCHES {
            Part::PeakRound
        } else {
            Part::UpperTail
        };
        add(part, controls);
    }
    let tail: Vec<_> = legs.lower_tail.cubics().enumerate().collect();
    for (i, controls) in tail.into_iter().rev() {
        let part = if i < ROUND_STRETCHES {
            Part::LowerArch
        } else {
            Part::LowerTail
        };
        add(part, reversed(controls));
    }
    let round = under.len() - STRAIGHT_STRETCHES;
    for (i, controls) in under.into_iter().enumerate() {
        let part = if i < round {
            Part::LowerArch
        } else {
            Part::LowerLine
        };
        add(part, controls);
    }
    join(&mut segments, points);
    segments
}

/// Stretches of a body's leg before its rounding.
const STRAIGHT_STRETCHES: usize = 2;

/// Stretches after a turn that still belong to its rounding.
const ROUND_STRETCHES: usize = 3;

/// The roundings of a soft front, the lower one first.
fn soft_corners(points: &BrowPoints, form: &Form, legs: &Legs<Solved>) -> Option<[Rounding; 2]> {
    let Front::Soft { radius_mm } = form.front else {
        return None;
    };
    let front = points.front_top - points.front_bottom;
    let [.., top_from, top_to] = legs.upper_body.stations[..] else {
        return None;
    };
    let [.., under_from, under_to] = legs.lower_body.stations[..] else {
        return None;
    };
    let top = legs.upper_body.place(&top_from) - points.front_top;
    let under = points.front_bottom - legs.lower_body.place(&under_from);
    let (up, out, back) = (front.unit()?, top.unit()?, under.unit()?);
    let (thick, straight_top) = (front.length(), top_to.u - top_from.u);
    let straight_under = under_to.u - under_from.u;
    Some([
        round(
            points.front_bottom,
            back,
            up,
            radius_mm,
            thick,
            straight_under,
        ),
        round(points.front_top, up, out, radius_mm, thick, straight_top),
    ])
}

fn straight(a: Point<Lateral>, b: Point<Lateral>) -> [Point<Lateral>; 4] {
    [a, a.lerp(b, 1.0 / 3.0), a.lerp(b, 2.0 / 3.0), b]
}

fn reversed([a, b, c, d]: [Point<Lateral>; 4]) -> [Point<Lateral>; 4] {
    [d, c, b, a]
}

/// Makes neighbouring segments share their end points to the last bit, and
/// the mapped points exact: they were computed twice, in two frames.
fn join(segments: &mut [Segment<Lateral>], points: &BrowPoints) {
    let exact = [
        points.front_top,
        points.peak,
        points.tail,
        points.lower_arch,
        points.front_bottom,
    ];
    for segment in segments.iter_mut() {
        for end in [0, 3] {
            // Rounding leaves about 1e-13 mm; real neighbours are 1 mm apart.
            if let Some(p) = exact
                .iter()
                .find(|p| p.distance(segment.controls[end]) < 1e-9)
            {
                segment.controls[end] = *p;
            }
        }
    }
    for i in 1..segments.len() {
        segments[i].controls[0] = segments[i - 1].controls[3];
    }
    if let [first, .., last] = segments {
        first.controls[0] = last.controls[3];
    }
}

/// Places of each stretch where the gap between the edges is looked at.
const GAP_PLACES: u32 = 16;

/// Where between front and lower arch the edges come closest, and how close.
fn closest_edges(legs: &Legs<Solved>, points: &BrowPoints) -> Option<(f64, f64)> {
    let begin = points.front_top.x.max(points.front_bottom.x);
    let upper = legs.upper_body.cubics().chain(legs.upper_tail.cubics());
    upper
        .flat_map(|[a, b, c, d]| {
            (0..=GAP_PLACES).map(move |i| {
                let t = f64::from(i) / f64::from(GAP_PLACES);
                let (ab, bc, cd) = (a.lerp(b, t), b.lerp(c, t), c.lerp(d, t));
                ab.lerp(bc, t).lerp(bc.lerp(cd, t), t)
            })
        })
        .filter(|p| (begin..=points.lower_arch.x).contains(&p.x))
        .map(|p| {
            let below = legs.lower_body.height_at(points.lower_arch.x - p.x);
            (p.x, p.y - points.lower_arch.y - below)
        })
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

fn conflict(none: &NoSolution<Bound>, points: &BrowPoints, limits: &Limits) -> Conflict {
    match none {
        NoSolution::Infeasible(Bound::Taper) => Conflict::Taper {
            short_mm: None,
            remedy: None,
        },
        NoSolution::Infeasible(Bound::Lower) => Conflict::ArchTooTight {
            short_mm: None,
            remedy: None,
        },
        NoSolution::Infeasible(Bound::Straight) => Conflict::TopLineBent {
            most_mm: limits.straight_mm,
            short_mm: None,
            remedy: None,
        },
        NoSolution::Infeasible(Bound::Apart) => Conflict::EdgesMeet {
            lateral_mm: points.front_top.x.max(points.front_bottom.x),
            gap_mm: 0.0,
            remedy: None,
        },
        NoSolution::Infeasible(Bound::Upper) | NoSolution::Undecided => peak_too_tight(limits),
    }
}

const fn peak_too_tight(limits: &Limits) -> Conflict {
    Conflict::PeakTooTight {
        least_mm: limits.peak_radius_mm,
        short_mm: None,
        remedy: None,
    }
}
