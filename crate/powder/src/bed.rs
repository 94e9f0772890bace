//! Where powder may lie: closed lines on the face, and how far along the brow
//! each place is.

use kurbo::PathEl;
use lyon_algorithms::hit_test::hit_test_path;
use lyon_path::{FillRule, Path, math};
use ophryon_brow::{Outline, Part};
use ophryon_frames::{Front, Point};

use crate::manner::Place;

/// Outlines are followed to this, mm: far below what a screen shows.
const FLATTENED_MM: f64 = 0.02;

/// Farther from the face's middle than any brow reaches, mm.
const FARTHEST_MM: f64 = 200.0;

/// Wider and higher than any brow, mm.
const WIDEST_MM: f64 = 120.0;
const HIGHEST_MM: f64 = 80.0;

/// More corners than any outline of ours has when flattened.
const MOST_CORNERS: usize = 1500;

/// Places of the middle line, and how many of them are looked at for the
/// thickness at one: a quarter of a brow is longer than any is thick.
const MIDDLE_PLACES: usize = 25;
const AHEAD_PLACES: usize = 7;

/// The inside of closed lines, with a middle line from front to tip.
///
/// Front frame, mm. Total: what is no number, too large or too short to
/// enclose anything is left out, and an empty bed takes no powder.
#[derive(Debug, Clone)]
pub struct Bed {
    rings: Vec<Vec<Point<Front>>>,
    middle: Vec<Point<Front>>,
    /// From each place of the middle line to the next, mm.
    steps_mm: Vec<f64>,
    /// Half the thickness at each of them, mm.
    half_mm: Vec<f64>,
    /// The edges, a few neighbours at a time.
    reaches: Vec<Reach>,
    /// The same lines for lyon, whose winding rule says what is inside.
    path: Path,
}

impl Bed {
    /// The inside of a drawn outline.
    pub fn drawn(outline: &Outline<Front>) -> Self {
        Self::of_rings(vec![outline.flattened(FLATTENED_MM)], middle_of(outline))
    }

    /// What stays of it: one outline or several, or none. How far along the
    /// brow a place is, the drawn outline says.
    pub fn healed(pieces: &[Outline<Front>], drawn: &Outline<Front>) -> Self {
        let rings = pieces.iter().map(|o| o.flattened(FLATTENED_MM)).collect();
        Self::of_rings(rings, middle_of(drawn))
    }

    /// The inside of closed lines (the first corner is not repeated; a line
    /// within another that winds the other way is a gap), and a middle line
    /// from front to tip.
    pub fn of_rings(rings: Vec<Vec<Point<Front>>>, middle: Vec<Point<Front>>) -> Self {
        let near = |p: &Point<Front>| p.x.abs() <= FARTHEST_MM && p.y.abs() <= FARTHEST_MM;
        let mut rings: Vec<Vec<Point<Front>>> = rings
            .into_iter()
            // A comparison with what is no number is false.
            .filter(|ring| ring.len() > 2 && ring.iter().all(near))
            .collect();
        let is_brow = extent(&rings)
            .is_some_and(|(low, high)| high.x - low.x <= WIDEST_MM && high.y - low.y <= HIGHEST_MM);
        if !is_brow || rings.iter().map(Vec::len).sum::<usize>() > MOST_CORNERS {
            rings.clear();
        }
        let middle: Vec<_> = middle.into_iter().filter(near).take(MOST_CORNERS).collect();
        let mut path = Path::builder();
        for ring in &rings {
            let mut corners = ring.iter().map(|p| lyon_point(*p));
            if let Some(first) = corners.next() {
                path.begin(first);
                for corner in corners {
                    path.line_to(corner);
                }
                path.end(true);
            }
        }
        let reaches = rings.iter().flat_map(|ring| {
            let next = ring.iter().cycle().skip(1);
            let edges: Vec<_> = ring.iter().zip(next).map(|(a, b)| [*a, *b]).collect();
            let some = edges.chunks(REACH_EDGES).map(Reach::of);
            some.collect::<Vec<_>>()
        });
        let reaches: Vec<Reach> = reaches.collect();
        let steps_mm = middle.windows(2).map(|w| w[0].distance(w[1])).collect();
        let mut bed = Self {
            rings,
            middle,
            steps_mm,
            half_mm: Vec::new(),
            reaches,
            path: path.build(),
        };
        let depths: Vec<f64> = bed.middle.iter().map(|p| bed.depth(*p).max(0.0)).collect();
        // At the front the nearest edge is the front edge: the thickness there
        // is that of what follows. Toward the tip it is its own.
        bed.half_mm = (0..depths.len())
            .map(|i| {
                let next = depths[i..].iter().take(AHEAD_PLACES);
                next.copied().fold(0.0, f64::max)
            })
            .collect();
        bed
    }

    /// The closed lines.
    pub fn rings(&self) -> &[Vec<Point<Front>>] {
        &self.rings
    }

    /// Lower left and upper right corner of everything; `None` when empty.
    pub fn bounds(&self) -> Option<(Point<Front>, Point<Front>)> {
        extent(&self.rings)
    }

    /// Distance from the nearest edge, mm: positive inside, negative outside;
    /// −∞ where nothing is enclosed.
    pub fn depth(&self, p: Point<Front>) -> f64 {
        let distance = self.edge_distance(p);
        if self.holds(p) { distance } else { -distance }
    }

    /// Distance from the nearest edge, mm, inside and outside alike.
    pub(crate) fn edge_distance(&self, p: Point<Front>) -> f64 {
        let mut nearest = f64::INFINITY;
        for reach in &self.reaches {
            if reach.square_to(p) < nearest {
                for edge in &reach.edges {
                    let off = p - p.nearest_on(edge[0], edge[1]);
                    nearest = nearest.min(off.dot(off));
                }
            }
        }
        nearest.sqrt()
    }

    /// Whether a place lies inside.
    pub fn holds(&self, p: Point<Front>) -> bool {
        // Lines are straight already: no curve is flattened to this tolerance.
        hit_test_path(&lyon_point(p), self.path.iter(), FillRule::NonZero, 0.1)
    }

    /// Everything the powder at a place follows from.
    pub fn place(&self, p: Point<Front>) -> Place {
        self.place_at(p, self.depth(p))
    }

    /// The same where the depth is known.
    pub(crate) fn place_at(&self, p: Point<Front>, depth_mm: f64) -> Place {
        // Squares do for comparing; a root for each step would cost most of this.
        let (mut walked, mut found, mut nearest) = (0.0, 0.0, f64::INFINITY);
        let mut half_mm = f64::INFINITY;
        let steps = self.middle.windows(2).zip(self.half_mm.windows(2));
        for ((pair, half), length) in steps.zip(&self.steps_mm) {
            let on_it = p.nearest_on(pair[0], pair[1]);
            let far = (p - on_it).dot(p - on_it);
            if far < nearest {
                nearest = far;
                let ahead = pair[0].distance(on_it);
                found = walked + ahead;
                half_mm = half[0] + (half[1] - half[0]) * ahead / length.max(f64::MIN_POSITIVE);
            }
            walked += length;
        }
        Place {
            depth_mm,
            along: if walked > 0.0 { found / walked } else { 0.5 },
            half_mm,
        }
    }
}

/// Edges to a [`Reach`].
const REACH_EDGES: usize = 8;

/// Neighbouring edges with the box round them, so that most of an outline is
/// passed over where the nearest edge is looked for.
#[derive(Debug, Clone)]
struct Reach {
    edges: Vec<[Point<Front>; 2]>,
    low: Point<Front>,
    high: Point<Front>,
}

impl Reach {
    fn of(edges: &[[Point<Front>; 2]]) -> Self {
        let (mut low, mut high) = (edges[0][0], edges[0][0]);
        for p in edges.iter().flatten() {
            low = Point::new(low.x.min(p.x), low.y.min(p.y));
            high = Point::new(high.x.max(p.x), high.y.max(p.y));
        }
        Self {
            edges: edges.to_vec(),
            low,
            high,
        }
    }

    /// Square of the distance to the box; nothing in it is nearer.
    fn square_to(&self, p: Point<Front>) -> f64 {
        let x = (self.low.x - p.x).max(p.x - self.high.x).max(0.0);
        let y = (self.low.y - p.y).max(p.y - self.high.y).max(0.0);
        x * x + y * y
    }
}

fn extent(rings: &[Vec<Point<Front>>]) -> Option<(Point<Front>, Point<Front>)> {
    let mut all = rings.iter().flatten();
    let first = *all.next()?;
    Some(all.fold((first, first), |(low, high), p| {
        (
            Point::new(low.x.min(p.x), low.y.min(p.y)),
            Point::new(high.x.max(p.x), high.y.max(p.y)),
        )
    }))
}

fn lyon_point(p: Point<Front>) -> math::Point {
    math::point(p.x as f32, p.y as f32)
}

/// Halfway between upper and lower edge, from the front edge to the tip.
fn middle_of(outline: &Outline<Front>) -> Vec<Point<Front>> {
    let upper = edge(outline, Part::is_upper);
    let mut lower = edge(outline, Part::is_lower);
    lower.reverse();
    let pairs = evenly(&upper).into_iter().zip(evenly(&lower));
    pairs.map(|(above, below)| above.midpoint(below)).collect()
}

/// The parts of one edge as a line of straight pieces, in the order they are walked.
fn edge(outline: &Outline<Front>, is_of_it: impl Fn(Part) -> bool) -> Vec<Point<Front>> {
    let mut line = Vec::new();
    for segment in outline.segments().iter().filter(|s| is_of_it(s.part)) {
        let curve = segment.curve();
        let path = [
            PathEl::MoveTo(curve.p0),
            PathEl::CurveTo(curve.p1, curve.p2, curve.p3),
        ];
        kurbo::flatten(path, FLATTENED_MM, |element| {
            if let PathEl::MoveTo(p) | PathEl::LineTo(p) = element {
                line.push(Point::from_kurbo(p));
            }
        });
    }
    line
}

/// [`MIDDLE_PLACES`] places at equal steps along a line.
fn evenly(line: &[Point<Front>]) -> Vec<Point<Front>> {
    let length: f64 = line.windows(2).map(|w| w[0].distance(w[1])).sum();
    let (Some(first), true) = (line.first(), length.is_finite() && length > 0.0) else {
        return Vec::new();
    };
    let step = length / (MIDDLE_PLACES - 1) as f64;
    let mut places = vec![*first];
    let mut walked = 0.0;
    for pair in line.windows(2) {
        let piece = pair[0].distance(pair[1]);
        while places.len() < MIDDLE_PLACES && step * places.len() as f64 <= walked + piece {
            let t = (step * places.len() as f64 - walked) / piece.max(f64::MIN_POSITIVE);
            places.push(pair[0].lerp(pair[1], t));
        }
        walked += piece;
    }
    // Rounding may leave out the very end.
    if let (true, Some(last)) = (places.len() < MIDDLE_PLACES, line.last()) {
        places.push(*last);
    }
    places
}
