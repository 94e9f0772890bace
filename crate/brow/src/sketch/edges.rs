//! Which of what was drawn is the upper edge, which the lower, which the front.
//!
//! Upright columns across the brow tell: where a column was crossed twice with
//! a clear gap, what lies above it is the upper edge. A piece goes to the edge
//! where most of it lies, and so keeps it where the edges run together at the
//! tip. Where nothing was drawn twice there is one edge only, the one that is
//! nearer to the present shape's.

use ophryon_frames::{Lateral, Point};

use super::line::Line;
use super::present::Present;
use super::strokes::{Piece, Place};

/// Width of a column, mm.
const COLUMN_MM: f64 = 1.5;

/// Least gap within a column that parts two edges, mm; strokes drawn twice
/// over lie closer.
const GAP_MM: f64 = 1.3;

/// It must be so many times as wide as the next widest of its column.
const STANDS_OUT: f64 = 1.6;

/// Least gap over the body of a brow, mm: a thinner one is one edge drawn twice.
const BODY_GAP_MM: f64 = 2.0;

/// Pieces of a stroke for counting columns are no longer than this, mm.
const DENSE_MM: f64 = 0.7;

/// A piece goes to an edge as a whole when so much of it lies there.
const CLEAR_SHARE: f64 = 0.75;

/// How far along the stroke its direction is taken, mm, so that trembling
/// doesn't turn it.
const DIRECTION_MM: f64 = 1.8;

/// Steeper than this near the inner end is the front edge: no edge of a brow
/// rises as much from its front.
const FRONT_STEEPNESS: f64 = 1.6;

/// The front edge is looked for in this share of what was drawn, from inside.
const FRONT_SHARE: f64 = 0.25;

/// What was drawn, by edge.
#[derive(Debug, Default)]
pub(super) struct Edges {
    pub upper: Vec<Place>,
    pub lower: Vec<Place>,
    /// The front edge, where it was drawn.
    pub front: Vec<Place>,
}

pub(super) fn told_apart(pieces: &[Piece], present: &Present) -> Edges {
    let fronts: Vec<Vec<bool>> = front_places(pieces);
    let columns = Columns::of(pieces, &fronts);
    let mut edges = Edges::default();
    if columns.gaps.iter().flatten().count() == 0 {
        let one = match present.nearer_is_upper(pieces.iter().flatten()) {
            true => &mut edges.upper,
            false => &mut edges.lower,
        };
        one.extend(pieces.iter().flatten());
        return edges;
    }
    let mut open = Vec::new();
    for (piece, front) in pieces.iter().zip(&fronts) {
        let body = || {
            piece
                .iter()
                .zip(front)
                .filter(|(_, f)| !**f)
                .map(|(p, _)| p)
        };
        edges
            .front
            .extend(piece.iter().zip(front).filter(|(_, f)| **f).map(|(p, _)| p));
        let (mut above, mut below) = (0.0, 0.0);
        for place in body() {
            // Where the edges lie far apart, telling them is surest.
            match columns.tells(place.at) {
                Some((true, gap)) => above += place.weight * gap,
                Some((false, gap)) => below += place.weight * gap,
                None => {}
            }
        }
        let told = above + below;
        if told == 0.0 {
            open.extend(body().copied());
        } else if above >= CLEAR_SHARE * told {
            edges.upper.extend(body());
        } else if below >= CLEAR_SHARE * told {
            edges.lower.extend(body());
        } else {
            // To and fro between the edges: each place by itself.
            for place in body() {
                match columns.tells(place.at) {
                    Some((true, _)) => edges.upper.push(*place),
                    Some((false, _)) => edges.lower.push(*place),
                    None => open.push(*place),
                }
            }
        }
    }
    share_out(open, &mut edges);
    edges
}

/// What no column could tell goes to the edge whose line, carried on, it is
/// nearer to.
fn share_out(open: Vec<Place>, edges: &mut Edges) {
    let upper = Line::through(&edges.upper);
    let lower = Line::through(&edges.lower);
    let off = |line: &Option<Line>, p: &Place| line.as_ref().map_or(f64::MAX, |l| l.off(p).abs());
    for place in open {
        if off(&upper, &place) <= off(&lower, &place) {
            edges.upper.push(place);
        } else {
            edges.lower.push(place);
        }
    }
}

/// Which places belong to a front edge: steep strokes at the inner end.
fn front_places(pieces: &[Piece]) -> Vec<Vec<bool>> {
    let xs = || pieces.iter().flatten().map(|p| p.at.x);
    let (inner, outer) = (
        xs().fold(f64::INFINITY, f64::min),
        xs().fold(f64::NEG_INFINITY, f64::max),
    );
    let reach = inner + FRONT_SHARE * (outer - inner);
    let steep = |piece: &Piece, i: usize| {
        let here = piece[i].at;
        let far = |p: &&Place| p.at.distance(here) >= DIRECTION_MM;
        let ahead = piece[i..].iter().find(far).or(piece.last());
        let behind = piece[..=i].iter().rev().find(far).or(piece.first());
        let (Some(a), Some(b)) = (ahead, behind) else {
            return false;
        };
        let run = a.at - b.at;
        run.length() >= DIRECTION_MM && run.y.abs() > FRONT_STEEPNESS * run.x.abs()
    };
    pieces
        .iter()
        .map(|piece| {
            (0..piece.len())
                .map(|i| piece[i].at.x <= reach && steep(piece, i))
                .collect()
        })
        .collect()
}

/// Where columns across the brow were crossed twice.
struct Columns {
    begin: f64,
    /// Middle of the gap and its width, column by column.
    gaps: Vec<Option<(f64, f64)>>,
}

impl Columns {
    fn of(pieces: &[Piece], fronts: &[Vec<bool>]) -> Self {
        let mut dense: Vec<Point<Lateral>> = Vec::new();
        for (piece, front) in pieces.iter().zip(fronts) {
            for i in 0..piece.len() {
                if front[i] {
                    continue;
                }
                dense.push(piece[i].at);
                if i + 1 < piece.len() && !front[i + 1] {
                    let (a, b) = (piece[i].at, piece[i + 1].at);
                    let parts = (a.distance(b) / DENSE_MM).ceil().min(400.0) as u32;
                    dense.extend((1..parts).map(|k| a.lerp(b, f64::from(k) / f64::from(parts))));
                }
            }
        }
        let begin = dense.iter().fold(f64::INFINITY, |x, p| x.min(p.x));
        let end = dense.iter().fold(f64::NEG_INFINITY, |x, p| x.max(p.x));
        let count = match end >= begin {
            true => ((end - begin) / COLUMN_MM) as usize + 1,
            false => 0,
        };
        let mut heights = vec![Vec::new(); count];
        for p in &dense {
            heights[(((p.x - begin) / COLUMN_MM) as usize).min(count - 1)].push(p.y);
        }
        let mut gaps: Vec<Option<(f64, f64)>> = heights.into_iter().map(widest_gap).collect();
        let mut widths: Vec<f64> = gaps.iter().flatten().map(|g| g.1).collect();
        widths.sort_by(f64::total_cmp);
        // The thickest tenth of what was drawn belongs to the body.
        let body = widths.get(9 * widths.len() / 10).copied().unwrap_or(0.0);
        if body < BODY_GAP_MM {
            gaps.fill(None);
        }
        Self { begin, gaps }
    }

    /// Whether a place lies above its column's gap, and how wide that is;
    /// `None` where no column tells.
    fn tells(&self, p: Point<Lateral>) -> Option<(bool, f64)> {
        let column = ((p.x - self.begin) / COLUMN_MM).max(0.0) as usize;
        let (middle, width) = self.gaps.get(column).copied().flatten()?;
        Some((p.y > middle, width))
    }
}

/// The widest gap between neighbouring heights, where it is wide enough and
/// stands out: one steep edge leaves many gaps, all alike.
fn widest_gap(mut heights: Vec<f64>) -> Option<(f64, f64)> {
    heights.sort_by(f64::total_cmp);
    let (mut widest, mut next) = ((0.0, 0.0), 0.0);
    for pair in heights.windows(2) {
        let width = pair[1] - pair[0];
        if width > widest.1 {
            next = widest.1;
            widest = (0.5 * (pair[0] + pair[1]), width);
        } else if width > next {
            next = width;
        }
    }
    (widest.1 >= GAP_MM && widest.1 >= STANDS_OUT * next).then_some(widest)
}
