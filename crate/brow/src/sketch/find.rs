//! The five points as they can be read off the lines, and which of them the
//! sketch tells at all.

use ophryon_frames::{Lateral, Point, Vector};

use super::edges::Edges;
use super::line::Line;
use super::present::Present;
use super::strokes::Place;
use crate::points::COINCIDENT_MM;
use crate::{BrowPoints, Handle, Limits};

/// Both edges end in one place when their ends lie no farther apart, mm.
const MEET_MM: f64 = 4.0;

/// Less than this share of the present brow's run is a part of it, redrawn: its
/// ends are the brow's only where they reach those.
const WHOLE_SHARE: f64 = 0.6;

/// Or when one ends this near to the other, mm: a brow's edges come together
/// nowhere but at its tip.
const CLOSED_MM: f64 = 2.0;

/// An edge drawn alone ends where the brow ends when it comes this near to the
/// present end, mm; farther off it is a part that was redrawn.
const END_MM: f64 = 5.0;

/// Places as near to the outermost as this, mm, or as the strokes tremble, are
/// the end together.
const END_PLACES_MM: f64 = 0.02;

/// A highest point nearer than this to the end of what was drawn, mm, is no
/// highest point: the edge goes on rising.
const TURN_INSIDE_MM: f64 = 1.5;

/// How finely the highest point is looked for, mm.
const SCAN_MM: f64 = 0.25;

/// Where a brow that falls all the way has its peak, as a share of its run.
const FALLING_PEAK: f64 = 0.3;

/// A front corner's places turn its line over so much of it, mm, or as many
/// times what the strokes spread where that is less.
const CORNER_MM: f64 = 2.0;
const CORNER_SPREADS: f64 = 5.0;

/// Most slant of a front edge, mm outward per mm up.
const MOST_SLANT: f64 = 0.8;

/// How a point came to be where it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Told {
    /// The sketch shows it.
    Drawn,
    /// It stays where it was, or near it, because an edge beside it was drawn.
    Beside,
    /// It stays where it was.
    Not,
}

/// The points that refinement begins from.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub points: BrowPoints,
    told: [Told; 5],
    pub upper: Option<Line>,
    pub lower: Option<Line>,
}

/// The five points that the outline goes through.
pub(super) const POINTS: [Handle; 5] = [
    Handle::FrontTop,
    Handle::FrontBottom,
    Handle::Peak,
    Handle::LowerArch,
    Handle::Tail,
];

impl Found {
    pub fn told(&self, handle: Handle) -> Told {
        let i = POINTS.iter().position(|h| *h == handle);
        i.map_or(Told::Not, |i| self.told[i])
    }

    /// How far what was drawn spreads about its own lines, mm.
    pub fn spread_mm(&self) -> f64 {
        let of = |line: &Option<Line>| line.as_ref().map_or(0.0, |l| l.spread_mm);
        of(&self.upper).max(of(&self.lower))
    }
}

/// `None` when too little was drawn for either edge to have a line.
pub(super) fn find(edges: &Edges, present: &Present, limits: &Limits) -> Option<Found> {
    let upper = Line::through(&edges.upper);
    let lower = Line::through(&edges.lower);
    let spread = [&upper, &lower]
        .into_iter()
        .flatten()
        .map(|l| l.spread_mm)
        .fold(0.0, f64::max);
    if upper.is_none() && lower.is_none() {
        return None;
    }
    let was = present.brow.points();
    let end = Ends {
        upper: upper.as_ref().map(|_| edges.upper.as_slice()),
        lower: lower.as_ref().map(|_| edges.lower.as_slice()),
        near: END_PLACES_MM.max(spread),
        whole: reach(edges) > WHOLE_SHARE * (was.tail.x - was.at(Handle::Start).x),
        was,
    };
    let mut points = *was;
    let mut told = [Told::Not; 5];
    if let Some(tip) = end.tip(upper.as_ref().zip(lower.as_ref())) {
        (points.tail, told[4]) = (tip, Told::Drawn);
    }
    let corners = end.front_corners(&edges.front, upper.as_ref(), lower.as_ref());
    if let Some(top) = corners[0] {
        (points.front_top, told[0]) = (top, Told::Drawn);
    }
    if let Some(bottom) = corners[1] {
        (points.front_bottom, told[1]) = (bottom, Told::Drawn);
    }
    if let Some(line) = &upper {
        match highest(line, told[0], points.front_top.x, points.tail.x) {
            Some(peak) => (points.peak, told[2]) = (peak, Told::Drawn),
            None => told[2] = Told::Beside,
        }
    }
    if let Some(line) = &lower {
        match highest(line, told[1], points.front_bottom.x, points.tail.x) {
            Some(arch) => (points.lower_arch, told[3]) = (arch, Told::Drawn),
            None => told[3] = Told::Beside,
        }
    }
    if told[2] == Told::Drawn || told[3] == Told::Drawn {
        let arch = behind(points.lower_arch.x, &points, limits);
        if told[3] == Told::Drawn
            && let Some(line) = &lower
        {
            points.lower_arch = Point::new(arch, line.height(arch));
        } else {
            points.lower_arch.x = arch;
        }
    }
    // Ends that were not drawn may yet have to give way to what was.
    for (i, line) in [(0, &upper), (1, &lower)] {
        if told[i] == Told::Not && line.is_some() {
            told[i] = Told::Beside;
        }
    }
    if told[4] == Told::Not {
        told[4] = Told::Beside;
    }
    Some(Found {
        points: in_order(points),
        told,
        upper,
        lower,
    })
}

/// The distance of the lower arch that keeps it as far behind the peak as the
/// limits ask.
pub(super) fn behind(arch: f64, points: &BrowPoints, limits: &Limits) -> f64 {
    let (least, most) = (limits.arch_behind_least_mm, limits.arch_behind_most_mm);
    match most >= least {
        true => arch.clamp(points.peak.x + least, points.peak.x + most),
        false => arch,
    }
}

/// The outermost places of each edge.
struct Ends<'a> {
    upper: Option<&'a [Place]>,
    lower: Option<&'a [Place]>,
    near: f64,
    /// All of a brow was drawn, not a part.
    whole: bool,
    was: &'a BrowPoints,
}

/// How far along the brow anything was drawn, mm.
fn reach(edges: &Edges) -> f64 {
    let places = || [&edges.upper, &edges.lower].into_iter().flatten();
    let to = places().map(|p| p.at.x).fold(f64::NEG_INFINITY, f64::max);
    let from = places().map(|p| p.at.x).fold(f64::INFINITY, f64::min);
    to - from
}

impl Ends<'_> {
    fn tip(&self, lines: Option<(&Line, &Line)>) -> Option<Point<Lateral>> {
        let outer = |places: &[Place]| self.outermost(places.iter(), self.tailward(places));
        let reaches = |p: Point<Lateral>| {
            p.distance(self.was.tail) <= END_MM || p.x > self.was.tail.x - COINCIDENT_MM
        };
        match (self.upper, self.lower) {
            (Some(upper), Some(lower)) => {
                let (a, b) = (outer(upper)?, outer(lower)?);
                let both = self.outermost(upper.iter().chain(lower), self.tailward(upper))?;
                let near = |p: Point<Lateral>, places: &[Place]| {
                    places.iter().any(|q| q.at.distance(p) <= CLOSED_MM)
                };
                let lines_meet = lines.is_some_and(|(upper, lower)| {
                    let x = upper.to.min(lower.to);
                    (upper.height(x) - lower.height(x)).abs() <= CLOSED_MM
                });
                let closed = lines_meet || near(a, lower) || near(b, upper);
                if self.whole && (a.distance(b) <= MEET_MM || closed) || reaches(both) {
                    Some(both)
                } else {
                    None
                }
            }
            (Some(one), None) | (None, Some(one)) => outer(one).filter(|p| reaches(*p)),
            (None, None) => None,
        }
    }

    fn front_corners(
        &self,
        front: &[Place],
        upper: Option<&Line>,
        lower: Option<&Line>,
    ) -> [Option<Point<Lateral>>; 2] {
        let inner =
            |places: Option<&[Place]>| self.outermost(places?.iter(), Vector::new(-1.0, 0.0));
        let ends = [inner(self.upper), inner(self.lower)];
        let along = |line: Option<&Line>, x: f64| line.map(|l| Point::new(x, begun(l, x)));
        if let Some(edge) = FrontEdge::through(front) {
            // Where the front edge meets each line.
            return [upper, lower].map(|line| {
                let line = line?;
                let first = edge.at(begun(line, edge.middle.x));
                along(Some(line), edge.at(begun(line, first)))
            });
        }
        let together = match ends {
            [Some(a), Some(b)] => self.whole && (a.x - b.x).abs() <= MEET_MM,
            _ => false,
        };
        let reaches = |p: Point<Lateral>, was: Point<Lateral>| {
            together || (p.x - was.x).abs() <= END_MM || p.x < was.x
        };
        [
            ends[0]
                .filter(|p| reaches(*p, self.was.front_top))
                .and_then(|p| along(upper, p.x)),
            ends[1]
                .filter(|p| reaches(*p, self.was.front_bottom))
                .and_then(|p| along(lower, p.x)),
        ]
    }

    /// From the highest place of an edge toward its outer end: a steep tail
    /// ends below, not outside.
    fn tailward(&self, places: &[Place]) -> Vector<Lateral> {
        let straight = Vector::new(1.0, 0.0);
        let Some(high) = places.iter().max_by(|a, b| a.at.y.total_cmp(&b.at.y)) else {
            return straight;
        };
        let outer = places.iter().filter(|p| p.at.x > high.at.x);
        let end = outer.max_by(|a, b| a.at.x.total_cmp(&b.at.x));
        end.and_then(|end| (end.at - high.at).unit())
            .unwrap_or(straight)
    }

    /// The mean of what lies near the end that is outermost along `way`.
    fn outermost<'p>(
        &self,
        places: impl Iterator<Item = &'p Place> + Clone,
        way: Vector<Lateral>,
    ) -> Option<Point<Lateral>> {
        let along = |p: &Place| way.x * p.at.x + way.y * p.at.y;
        let far = places.clone().map(along).fold(f64::NEG_INFINITY, f64::max);
        let near = places.filter(|p| along(p) >= far - self.near);
        let (n, x, y) = near.fold((0.0, 0.0, 0.0), |(n, x, y), p| {
            (n + 1.0, x + p.at.x, y + p.at.y)
        });
        (n > 0.0).then(|| Point::new(x / n, y / n))
    }
}

/// The front edge as a straight line: distance from the midline over height.
struct FrontEdge {
    middle: Point<Lateral>,
    slant: f64,
}

impl FrontEdge {
    /// `None` from fewer than two places.
    fn through(places: &[Place]) -> Option<Self> {
        if places.len() < 2 {
            return None;
        }
        let total: f64 = places.iter().map(|p| p.weight).sum();
        let mean =
            |of: fn(&Place) -> f64| places.iter().map(|p| p.weight * of(p)).sum::<f64>() / total;
        let middle = Point::new(mean(|p| p.at.x), mean(|p| p.at.y));
        let sum = |of: &dyn Fn(Vector<Lateral>) -> f64| -> f64 {
            places.iter().map(|p| p.weight * of(p.at - middle)).sum()
        };
        let (across, along) = (sum(&|v| v.x * v.y), sum(&|v| v.y * v.y));
        // Heights that hardly differ say nothing of a slant.
        let slant = match along > 0.25 * total {
            true => (across / along).clamp(-MOST_SLANT, MOST_SLANT),
            false => 0.0,
        };
        middle.is_finite().then_some(Self { middle, slant })
    }

    fn at(&self, height: f64) -> f64 {
        self.middle.x + self.slant * (height - self.middle.y)
    }
}

/// Height of a line at its inner end: carried on from where a corner that was
/// drawn round, or a tremble, no longer turns it.
fn begun(line: &Line, x: f64) -> f64 {
    let inside = line.from + CORNER_MM.min(CORNER_SPREADS * line.spread_mm);
    match x < inside && inside < line.to {
        true => line.height(inside) + (x - inside) * line.slope(inside),
        false => line.height(x),
    }
}

/// The highest point of a line between a front corner and the tip; `None`
/// where the line rises on beyond what was drawn.
fn highest(line: &Line, front: Told, front_x: f64, tip_x: f64) -> Option<Point<Lateral>> {
    let begin = line.from.max(front_x);
    let end = line.to.min(tip_x);
    let steps = ((end - begin) / SCAN_MM).clamp(0.0, 2_000.0) as u32;
    let top = (0..=steps)
        .map(|i| begin + SCAN_MM * f64::from(i))
        .map(|x| Point::new(x, line.height(x)))
        .max_by(|a, b| a.y.total_cmp(&b.y))?;
    if top.x > end - TURN_INSIDE_MM {
        return None;
    }
    if top.x >= begin + TURN_INSIDE_MM {
        return Some(top);
    }
    // It falls from its inner end: that is its peak only if it is its front.
    (front == Told::Drawn).then(|| {
        let x = begin + FALLING_PEAK * (end - begin);
        Point::new(x, line.height(x))
    })
}

/// Points that a jittery line put in the wrong order by a little, in order.
pub(super) fn in_order(mut p: BrowPoints) -> BrowPoints {
    let apart = COINCIDENT_MM;
    p.peak.x = p.peak.x.max(p.front_top.x + apart);
    p.lower_arch.x = p.lower_arch.x.max(p.front_bottom.x + apart);
    p.tail.x = p.tail.x.max(p.peak.x.max(p.lower_arch.x) + apart);
    p.front_bottom.y = p.front_bottom.y.min(p.front_top.y - apart);
    p.peak.y = p.peak.y.max(p.front_top.y);
    p.lower_arch.y = p.lower_arch.y.max(p.front_bottom.y).max(p.tail.y);
    p.peak.y = p.peak.y.max(p.lower_arch.y + apart);
    p
}
