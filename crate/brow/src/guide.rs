//! A line that a brow's edges should stay close to, kept so that it moves
//! along with the points.
//!
//! Each edge has two stretches: front to peak (or lower arch), and from there
//! to the tip. A place of the line is kept as a share of its stretch's chord
//! and the distance beside that chord, so that dragging a point carries the
//! line with it, as an artist would redraw it.

use ophryon_frames::{Lateral, Point, Vector};
use serde::{Deserialize, Serialize};

use crate::{Brow, BrowPoints};

/// Most places kept on one stretch: about one for each millimetre and a half,
/// closer than any edge of a brow bends twice.
pub const MOST_PLACES: usize = 16;

/// Farthest that a line can lie beside its stretch, mm; beyond it there is no
/// face.
const FARTHEST_MM: f64 = 60.0;

/// Where a guide comes from; each has its own weight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum GuideSource {
    /// Drawn by the artist over the photo.
    Sketch,
    /// The border of the natural hair.
    Hair,
    /// The shape as it was last drawn.
    LastShape,
}

/// One place of a guide beside the chord of its stretch.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(from = "[f64; 2]", into = "[f64; 2]")]
pub struct GuidePlace {
    /// Along the chord, from the front or the turn (0) to the turn or the tip (1).
    pub share: f64,
    /// Beside the chord, mm; positive above it.
    pub off_mm: f64,
}

impl From<[f64; 2]> for GuidePlace {
    fn from([share, off_mm]: [f64; 2]) -> Self {
        Self { share, off_mm }
    }
}

impl From<GuidePlace> for [f64; 2] {
    fn from(place: GuidePlace) -> Self {
        [place.share, place.off_mm]
    }
}

/// Lines that the upper and the lower edge should stay close to. A stretch
/// without places is left to the other aims.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Guide {
    /// Where it comes from.
    pub source: GuideSource,
    /// Above the body: front top to peak.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub upper_body: Vec<GuidePlace>,
    /// Above the tail: peak to tip.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub upper_tail: Vec<GuidePlace>,
    /// Below the body: front bottom to lower arch.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lower_body: Vec<GuidePlace>,
    /// Below the tail: lower arch to tip.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lower_tail: Vec<GuidePlace>,
}

impl Guide {
    /// From lines as they were drawn or traced, side-neutral on the skin, mm,
    /// in any direction, jittery and doubled as they may be: within each of a
    /// stretch's [`MOST_PLACES`] equal parts, all that was drawn counts by its
    /// length and gives one place. What lies beyond the front, the tip or a
    /// face, or is no number, is left out; `None` when nothing remains.
    pub fn from_lines(
        points: &BrowPoints,
        upper: &[Point<Lateral>],
        lower: &[Point<Lateral>],
        source: GuideSource,
    ) -> Option<Self> {
        let [upper_body, upper_tail] = edge(points.front_top, points.peak, points.tail, upper);
        let [lower_body, lower_tail] =
            edge(points.front_bottom, points.lower_arch, points.tail, lower);
        let guide = Self {
            source,
            upper_body,
            upper_tail,
            lower_body,
            lower_tail,
        };
        (guide.stretches(points).iter().any(|s| !s.places.is_empty())).then_some(guide)
    }

    /// The shape of a brow as it is drawn, to stay near it from now on.
    pub fn of(brow: &Brow) -> Option<Self> {
        let outline = brow.outline();
        let along = |wanted: fn(crate::Part) -> bool| -> Vec<Point<Lateral>> {
            let segments = outline.segments().iter().filter(|s| wanted(s.part));
            segments
                .flat_map(|s| {
                    let curve = s.curve();
                    (0..=OF_EACH).map(move |i| {
                        let t = f64::from(i) / f64::from(OF_EACH);
                        Point::from_kurbo(kurbo::ParamCurve::eval(&curve, t))
                    })
                })
                .collect()
        };
        Self::from_lines(
            brow.points(),
            &along(crate::Part::is_upper),
            &along(crate::Part::is_lower),
            GuideSource::LastShape,
        )
    }

    /// Where the guide lies with these points: the upper and the lower line,
    /// from front to tip. Empty where it has no places.
    pub fn lines(&self, points: &BrowPoints) -> [Vec<Point<Lateral>>; 2] {
        let [a, b, c, d] = self.stretches(points);
        let along = |body: Stretch, tail: Stretch| body.lie().chain(tail.lie()).collect();
        [along(a, b), along(c, d)]
    }

    /// What share of each stretch has places.
    pub(crate) fn coverage(&self) -> [f64; 4] {
        [
            &self.upper_body,
            &self.upper_tail,
            &self.lower_body,
            &self.lower_tail,
        ]
        .map(|places| places.len() as f64 / MOST_PLACES as f64)
    }

    /// Every place is a number within its stretch and within reach.
    pub fn is_plausible(&self) -> bool {
        [
            &self.upper_body,
            &self.upper_tail,
            &self.lower_body,
            &self.lower_tail,
        ]
        .into_iter()
        .all(|places| {
            places.len() <= MOST_PLACES
                && places.iter().all(|p| {
                    (0.0..=1.0).contains(&p.share)
                        && (-FARTHEST_MM..=FARTHEST_MM).contains(&p.off_mm)
                })
        })
    }

    /// Upper body, upper tail, lower body, lower tail.
    pub(crate) fn stretches(&self, points: &BrowPoints) -> [Stretch<'_>; 4] {
        let p = points;
        [
            Stretch::new(p.front_top, p.peak, &self.upper_body),
            Stretch::new(p.peak, p.tail, &self.upper_tail),
            Stretch::new(p.front_bottom, p.lower_arch, &self.lower_body),
            Stretch::new(p.lower_arch, p.tail, &self.lower_tail),
        ]
    }
}

/// Pieces of each cubic of a brow that becomes a guide.
const OF_EACH: u32 = 16;

/// The places of one stretch over its chord.
pub(crate) struct Stretch<'a> {
    from: Point<Lateral>,
    to: Point<Lateral>,
    pub places: &'a [GuidePlace],
}

impl<'a> Stretch<'a> {
    fn new(from: Point<Lateral>, to: Point<Lateral>, places: &'a [GuidePlace]) -> Self {
        Self { from, to, places }
    }

    /// Where the places lie.
    pub fn lie(&self) -> impl Iterator<Item = Point<Lateral>> + use<'a> {
        let (from, run) = (self.from, self.to - self.from);
        let up = run.unit().map_or(run, |u| Vector::new(-u.y, u.x));
        self.places
            .iter()
            .map(move |p| from + run * p.share + up * p.off_mm)
    }
}

/// One edge's line, parted at its turn.
fn edge(
    front: Point<Lateral>,
    turn: Point<Lateral>,
    tip: Point<Lateral>,
    line: &[Point<Lateral>],
) -> [Vec<GuidePlace>; 2] {
    let (mut body, mut tail) = (Parts::of(front, turn), Parts::of(turn, tip));
    for pair in line.windows(2) {
        let [a, b] = [pair[0], pair[1]];
        if !near(a) || !near(b) {
            continue;
        }
        // Short enough that a piece belongs to one part only, give or take.
        let pieces = ((a.distance(b) / PIECE_MM).ceil()).clamp(1.0, MOST_PIECES);
        let length = a.distance(b) / pieces;
        for i in 0..pieces as u32 {
            let p = a.lerp(b, (f64::from(i) + 0.5) / pieces);
            let stretch = if p.x < turn.x { &mut body } else { &mut tail };
            stretch.add(p, length);
        }
    }
    [body.places(), tail.places()]
}

/// Length of the pieces that a line is cut into, mm.
const PIECE_MM: f64 = 0.1;

/// Most pieces of one straight run: none on a face is longer than 200 mm.
const MOST_PIECES: f64 = 2000.0;

fn near(p: Point<Lateral>) -> bool {
    p.x.abs() < 300.0 && p.y.abs() < 300.0
}

/// What was drawn, by equal parts of a stretch.
struct Parts {
    from: Point<Lateral>,
    along: Vector<Lateral>,
    length: f64,
    /// Length drawn in the part, and share and offset times it.
    sums: [[f64; 3]; MOST_PLACES],
}

impl Parts {
    fn of(from: Point<Lateral>, to: Point<Lateral>) -> Self {
        let run = to - from;
        Self {
            from,
            along: run.unit().unwrap_or(run),
            length: run.length(),
            sums: [[0.0; 3]; MOST_PLACES],
        }
    }

    fn add(&mut self, p: Point<Lateral>, length: f64) {
        let from = p - self.from;
        let share = from.dot(self.along) / self.length;
        let off = self.along.cross(from);
        // False for a stretch without length too.
        if !((0.0..=1.0).contains(&share) && off.abs() <= FARTHEST_MM) {
            return;
        }
        let part = ((share * MOST_PLACES as f64) as usize).min(MOST_PLACES - 1);
        let sum = &mut self.sums[part];
        *sum = [
            sum[0] + length,
            sum[1] + length * share,
            sum[2] + length * off,
        ];
    }

    fn places(&self) -> Vec<GuidePlace> {
        let drawn = self.sums.iter().filter(|s| s[0] > 0.0);
        drawn
            .map(|[length, share, off]| GuidePlace {
                share: to_file(share / length).clamp(0.0, 1.0),
                off_mm: to_file(off / length).clamp(-FARTHEST_MM, FARTHEST_MM),
            })
            .collect()
    }
}

/// To a ten-thousandth: short in a file, and far below what a hand can draw.
fn to_file(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}
