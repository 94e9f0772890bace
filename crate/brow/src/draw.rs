//! From five points to one closed outline.
//!
//! The straight top line ends where the rounding of the peak begins; from
//! there the second derivative grows steadily to the peak, where the curve is
//! level. The lower line does the same under the lower arch. Both tails are
//! then found together ([`crate::fair`]). Position, direction and curvature
//! are continuous everywhere but at the tip and the two front corners.

use ophryon_frames::{Lateral, Point, Vector};

use crate::fair::{self, Bound, Edge, Station};
use crate::outline::{Brow, Outline, Part, Segment};
use crate::quadratic::NoSolution;
use crate::{BrowPoints, Conflict, Form, Handle, Limits, Remedy, Way};

/// Length of the rounding of the lower edge before the lower arch, as a share
/// of front bottom to lower arch: longer than above, so that the body keeps
/// its thickness to the peak.
const LOWER_ROUNDING: f64 = 0.5;

/// Longest rounding as a share of the edge; the rest stays straight.
const LONGEST_ROUNDING: f64 = 0.9;

/// How finely the lengthening of the roundings is found; a thirtieth of a
/// rounding is well under a millimetre.
const LENGTHENING_STEP: f64 = 0.03;

/// Tightest turn of the lower edge, mm: what a fine liner can follow.
const LOWER_RADIUS_MM: f64 = 2.0;

/// Steepest tail axis, degrees below level.
const STEEPEST_DEGREES: f64 = 75.0;

/// Least gap between upper and lower edge before the lower arch, mm.
const LEAST_GAP_MM: f64 = 0.5;

/// Farthest the search for a remedy moves a point, and how finely, mm.
const REMEDY_MM: u32 = 20;
const REMEDY_STEP_MM: f64 = 0.05;

/// Draws the brow through its points under the limits.
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
    attempt(points, form, limits).map_err(|conflict| with_remedy(conflict, points, form, limits))
}

/// [`draw`] without looking for the way out of a conflict.
pub(crate) fn drawn(points: &BrowPoints, form: &Form, limits: &Limits) -> Option<Brow> {
    let sound =
        points.problems().is_empty() && limits.problem().is_none() && form.problem().is_none();
    sound.then(|| attempt(points, form, limits).ok())?
}

/// Whether [`draw`] would succeed.
pub(crate) fn can_draw(points: &BrowPoints, form: &Form, limits: &Limits) -> bool {
    drawn(points, form, limits).is_some()
}

/// The usual roundings first; where no tail fits them, the least lengthening
/// that lets one fit, so that the shape changes steadily as a point is dragged.
fn attempt(points: &BrowPoints, form: &Form, limits: &Limits) -> Result<Brow, Conflict> {
    let first = attempt_with(points, form, limits, 0.0);
    if first.is_ok() || attempt_with(points, form, limits, 1.0).is_err() {
        return first;
    }
    let (mut short, mut enough) = (0.0, 1.0);
    while enough - short > LENGTHENING_STEP {
        let middle = 0.5 * (short + enough);
        if attempt_with(points, form, limits, middle).is_ok() {
            enough = middle
        } else {
            short = middle
        }
    }
    attempt_with(points, form, limits, enough)
}

/// Draws with the roundings lengthened by a share of what is possible, 0 to 1.
fn attempt_with(
    points: &BrowPoints,
    form: &Form,
    limits: &Limits,
    lengthened: f64,
) -> Result<Brow, Conflict> {
    let longer = |share: f64| share + lengthened * (LONGEST_ROUNDING - share).max(0.0);
    let axis = Axis::of(points);
    if axis.drop_degrees > STEEPEST_DEGREES {
        return Err(peak_too_tight(limits));
    }
    // Seen along the tail's axis the bend at the peak grows by 1/cos³, and the
    // tail's bound is on what is seen there.
    let peak_radius_mm = limits.peak_radius_mm * axis.widening();
    let top = Rise::before(
        points.front_top,
        points.peak,
        longer(limits.rounding),
        peak_radius_mm,
    )
    .ok_or_else(|| peak_too_tight(limits))?;
    let arch_radius_mm = LOWER_RADIUS_MM * axis.widening();
    let rounding = longer(LOWER_ROUNDING);
    let under = Rise::before(
        points.front_bottom,
        points.lower_arch,
        rounding,
        arch_radius_mm,
    )
    .ok_or(Conflict::ArchTooTight { remedy: None })?;
    let free = limits.inflections.min(3) as usize;
    let upper = axis.edge(points.peak, &top, limits.peak_radius_mm, free);
    let lower = axis.edge(points.lower_arch, &under, LOWER_RADIUS_MM, free);
    let [upper, lower] = fair::tail(&upper, &lower).map_err(|none| tail_conflict(&none, limits))?;
    let segments = assemble(points, &axis, [&top, &under], [&upper, &lower]);
    let brow = Brow {
        points: *points,
        form: form.clone(),
        outline: Outline::from_segments(segments),
    };
    match closest_edges(&brow, &under, points) {
        Some((lateral_mm, gap_mm)) if gap_mm < LEAST_GAP_MM => Err(Conflict::EdgesMeet {
            lateral_mm,
            gap_mm,
            remedy: None,
        }),
        _ => Ok(brow),
    }
}

/// A straight line and the rounding that brings it level at its highest point.
struct Rise {
    /// Where the straight line starts.
    from: Point<Lateral>,
    /// Where the rounding begins.
    bend_at: Point<Lateral>,
    /// Where it is level.
    top: Point<Lateral>,
    /// Slope of the straight line.
    slope: f64,
    /// Second derivative where it is level, 1/mm; never positive.
    bend: f64,
}

impl Rise {
    /// With the second derivative falling steadily over the rounding's length
    /// ℓ, slope θ and height H over the distance d are tied by
    /// H = θ (d - ℓ/3), and the radius at the top is ℓ / 2θ. The rounding is
    /// made longer where the radius asks for it; `None` where no length helps.
    fn before(
        from: Point<Lateral>,
        top: Point<Lateral>,
        share: f64,
        radius_mm: f64,
    ) -> Option<Self> {
        let (d, height) = (top.x - from.x, top.y - from.y);
        let longest = LONGEST_ROUNDING * d;
        let needed = Self::rounding_for(d, height, radius_mm);
        if needed > longest {
            return None;
        }
        let rounding = needed.max(share * d).min(longest);
        let slope = height / (d - rounding / 3.0);
        let bend_at = from + Vector::new(d - rounding, slope * (d - rounding));
        Some(Self {
            from,
            bend_at,
            top,
            slope,
            bend: -2.0 * slope / rounding,
        })
    }

    /// The ℓ with ℓ (d - ℓ/3) = 2 H R; infinite where there is none.
    fn rounding_for(d: f64, height: f64, radius_mm: f64) -> f64 {
        let under_root = 9.0 * d * d - 24.0 * height * radius_mm;
        if under_root < 0.0 {
            f64::INFINITY
        } else {
            0.5 * (3.0 * d - under_root.sqrt())
        }
    }

    /// Height of the edge above the pupil line at a distance from the midline.
    fn height_at(&self, lateral_mm: f64) -> f64 {
        let along = lateral_mm - self.from.x;
        let rounding = self.top.x - self.bend_at.x;
        let into = (lateral_mm - self.bend_at.x).max(0.0);
        // The rounding takes bend ρ³/6ℓ off the straight line.
        self.from.y + self.slope * along + self.bend * into * into * into / (6.0 * rounding)
    }

    fn straight(&self) -> [Point<Lateral>; 4] {
        let (a, b) = (self.from, self.bend_at);
        [a, a.lerp(b, 1.0 / 3.0), a.lerp(b, 2.0 / 3.0), b]
    }

    fn round(&self) -> [Point<Lateral>; 4] {
        let third = (self.top.x - self.bend_at.x) / 3.0;
        let out = self.bend_at + Vector::new(third, self.slope * third);
        [
            self.bend_at,
            out,
            self.top - Vector::new(third, 0.0),
            self.top,
        ]
    }
}

/// The tail's axis, from the lower arch to the tip.
struct Axis {
    origin: Point<Lateral>,
    along: Vector<Lateral>,
    up: Vector<Lateral>,
    length: f64,
    drop_degrees: f64,
}

impl Axis {
    fn of(points: &BrowPoints) -> Self {
        let run = points.tail - points.lower_arch;
        // The points have been checked to be apart.
        let along = run.unit().unwrap_or(Vector::new(1.0, 0.0));
        Self {
            origin: points.lower_arch,
            along,
            up: Vector::new(-along.y, along.x),
            length: run.length(),
            drop_degrees: -along.degrees(),
        }
    }

    /// 1/cos³ of the axis' drop.
    fn widening(&self) -> f64 {
        1.0 / (self.along.x * self.along.x * self.along.x)
    }

    /// The tail's edge from a level point to the tip.
    fn edge(&self, start: Point<Lateral>, rise: &Rise, radius: f64, free: usize) -> Edge {
        let from = start - self.origin;
        Edge {
            from: from.dot(self.along),
            to: self.length,
            height: from.dot(self.up),
            slope: -self.along.y / self.along.x,
            bend: rise.bend * self.widening(),
            end_height: 0.0,
            radius,
            free,
        }
    }

    fn point(&self, sigma: f64, tau: f64) -> Point<Lateral> {
        self.origin + self.along * sigma + self.up * tau
    }

    /// The cubic between two stations: exact, since the second derivative is
    /// linear between them.
    fn cubic(&self, a: &Station, b: &Station) -> [Point<Lateral>; 4] {
        let third = (b.sigma - a.sigma) / 3.0;
        [
            self.point(a.sigma, a.height),
            self.point(a.sigma + third, a.height + third * a.slope),
            self.point(b.sigma - third, b.height - third * b.slope),
            self.point(b.sigma, b.height),
        ]
    }
}

fn assemble(
    points: &BrowPoints,
    axis: &Axis,
    [top, under]: [&Rise; 2],
    [upper, lower]: [&[Station]; 2],
) -> Vec<Segment<Lateral>> {
    let (a, b) = (points.front_bottom, points.front_top);
    let front = [a, a.lerp(b, 1.0 / 3.0), a.lerp(b, 2.0 / 3.0), b];
    let mut segments = vec![
        Segment {
            part: Part::FrontEdge,
            controls: front,
        },
        Segment {
            part: Part::TopLine,
            controls: top.straight(),
        },
        Segment {
            part: Part::PeakRound,
            controls: top.round(),
        },
    ];
    for (i, pair) in upper.windows(2).enumerate() {
        let part = if i < ROUND_STRETCHES {
            Part::PeakRound
        } else {
            Part::UpperTail
        };
        segments.push(Segment {
            part,
            controls: axis.cubic(&pair[0], &pair[1]),
        });
    }
    for (i, pair) in lower.windows(2).enumerate().rev() {
        let part = if i < ROUND_STRETCHES {
            Part::LowerArch
        } else {
            Part::LowerTail
        };
        segments.push(Segment {
            part,
            controls: reversed(axis.cubic(&pair[0], &pair[1])),
        });
    }
    segments.push(Segment {
        part: Part::LowerArch,
        controls: reversed(under.round()),
    });
    segments.push(Segment {
        part: Part::LowerLine,
        controls: reversed(under.straight()),
    });
    join(&mut segments, points);
    segments
}

/// Stretches after the peak that still belong to its rounding.
const ROUND_STRETCHES: usize = 3;

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
            // Rounding leaves about 1e-14 mm; real neighbours are 1 mm apart.
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
}

fn reversed([a, b, c, d]: [Point<Lateral>; 4]) -> [Point<Lateral>; 4] {
    [d, c, b, a]
}

/// Where between front and lower arch the edges come closest, and how close.
fn closest_edges(brow: &Brow, under: &Rise, points: &BrowPoints) -> Option<(f64, f64)> {
    let begin = points.front_top.x.max(points.front_bottom.x);
    let upper = brow.outline.segments().iter().filter(|s| s.part.is_upper());
    upper
        .flat_map(|s| {
            let curve = s.curve();
            (0..=16).map(move |i| kurbo::ParamCurve::eval(&curve, f64::from(i) / 16.0))
        })
        .filter(|p| (begin..=points.lower_arch.x).contains(&p.x))
        .map(|p| (p.x, p.y - under.height_at(p.x)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

fn tail_conflict(none: &NoSolution<Bound>, limits: &Limits) -> Conflict {
    match none {
        NoSolution::Infeasible(Bound::Taper) => Conflict::Taper { remedy: None },
        NoSolution::Infeasible(Bound::LowerRadius | Bound::LowerHollow) => {
            Conflict::ArchTooTight { remedy: None }
        }
        NoSolution::Infeasible(Bound::UpperRadius | Bound::UpperHollow) | NoSolution::Undecided => {
            peak_too_tight(limits)
        }
    }
}

const fn peak_too_tight(limits: &Limits) -> Conflict {
    Conflict::PeakTooTight {
        least_mm: limits.peak_radius_mm,
        remedy: None,
    }
}

/// The moves tried, the likeliest first: most conflicts are a tail too near.
const MOVES: [(Handle, Way); 6] = [
    (Handle::Tail, Way::Out),
    (Handle::Tail, Way::Down),
    (Handle::Tail, Way::Up),
    (Handle::Peak, Way::Down),
    (Handle::Peak, Way::Up),
    (Handle::LowerArch, Way::Down),
];

/// Looks for the smallest single move that lets the brow be drawn, and writes
/// it into the conflict.
fn with_remedy(conflict: Conflict, points: &BrowPoints, form: &Form, limits: &Limits) -> Conflict {
    let found = MOVES
        .into_iter()
        .filter_map(|(handle, way)| {
            let by_mm = smallest_move(points, form, limits, handle, way)?;
            Some(Remedy { handle, way, by_mm })
        })
        .min_by(|a, b| a.by_mm.total_cmp(&b.by_mm));
    match conflict {
        Conflict::PeakTooTight { least_mm, .. } => Conflict::PeakTooTight {
            least_mm,
            remedy: found,
        },
        Conflict::ArchTooTight { .. } => Conflict::ArchTooTight { remedy: found },
        Conflict::Taper { .. } => Conflict::Taper { remedy: found },
        Conflict::EdgesMeet {
            lateral_mm, gap_mm, ..
        } => Conflict::EdgesMeet {
            lateral_mm,
            gap_mm,
            remedy: found,
        },
        // These say what to do for each point themselves.
        Conflict::Points(_) | Conflict::Limits(_) | Conflict::Form(_) => conflict,
    }
}

/// The least distance along one way after which the brow can be drawn, to
/// [`REMEDY_STEP_MM`]; found in whole steps first, since what works need not
/// keep working farther out.
fn smallest_move(
    points: &BrowPoints,
    form: &Form,
    limits: &Limits,
    handle: Handle,
    way: Way,
) -> Option<f64> {
    let direction: Vector<Lateral> = match way {
        Way::Out => Vector::new(1.0, 0.0),
        Way::Up => Vector::new(0.0, 1.0),
        Way::Down => Vector::new(0.0, -1.0),
    };
    let works = |mm: f64| {
        let moved = points.moved(handle, direction * mm);
        can_draw(&moved, form, limits)
    };
    let first = (1..=REMEDY_MM).map(f64::from).find(|mm| works(*mm))?;
    let (mut short, mut enough) = (first - 1.0, first);
    while enough - short > REMEDY_STEP_MM {
        let middle = 0.5 * (short + enough);
        if works(middle) {
            enough = middle
        } else {
            short = middle
        }
    }
    // Rounded up to what is said, so that doing what is said is enough.
    let said = (enough * 10.0).ceil() / 10.0;
    Some(if works(said) { said } else { enough })
}
