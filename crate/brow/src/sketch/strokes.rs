//! Strokes made fit to be read: what is no number or off the face left out,
//! what was drawn in one place made one place, and each stroke parted where it
//! turns back, so that every piece runs along the brow in one direction.

use ophryon_frames::{Lateral, Point};

use crate::{FURTHEST_MM, HEIGHT_RANGE_MM};

/// Most places that are worked with, however much was drawn: one for every
/// quarter of a millimetre round a long brow.
pub(super) const MOST_PLACES: usize = 600;

/// How near places of one stroke are made one when there are too many, mm; it
/// doubles until they are few enough.
const FIRST_STEP_MM: f64 = 0.25;

/// Widest run that is made one place, mm: more would round off the peak.
const WIDEST_STEP_MM: f64 = 2.0;

/// How far a stroke must come back along the brow before that is a turn and
/// no trembling, mm.
const TURN_MM: f64 = 2.5;

/// A leap longer than this, mm, and [`LEAP_TIMES`] the usual step is a lifted
/// pen.
const LEAP_MM: f64 = 8.0;
const LEAP_TIMES: f64 = 6.0;

/// Points whose usual step is longer than this, mm, and so many times as far
/// as their nearest neighbours, stand in no order.
const UNORDERED_MM: f64 = 3.0;
const UNORDERED_TIMES: f64 = 4.0;

/// How many points are asked for their neighbours.
const NEIGHBOURS_OF: usize = 64;

/// Most that one place counts, mm of stroke, and what one counts that stands
/// alone.
const MOST_WEIGHT_MM: f64 = 2.0;
const ALONE_MM: f64 = 0.5;

/// Where the pen was, and how much of the stroke that place stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    pub at: Point<Lateral>,
    /// Length of stroke, mm.
    pub weight: f64,
}

/// A run of places in one direction along the brow.
pub(super) type Piece = Vec<Place>;

/// What was left out before anything was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct LeftOut {
    /// Points with a coordinate that is no number.
    pub not_numbers: usize,
    /// Points where no face is.
    pub off_the_face: usize,
    /// Points beyond the midline, where the other brow lies.
    pub beyond_midline: usize,
}

/// Everything drawn, as pieces, with what was left out of it.
pub(super) struct Cleaned {
    pub pieces: Vec<Piece>,
    /// Every point on the face, for telling distances: at most
    /// [`MOST_TOLD`], evenly taken.
    pub told: Vec<Point<Lateral>>,
    pub left_out: LeftOut,
}

/// Most points whose distance is told.
const MOST_TOLD: usize = 2_000;

pub(super) fn clean(strokes: &[Vec<Point<Lateral>>]) -> Cleaned {
    let mut left_out = LeftOut::default();
    let mut runs: Vec<Vec<Point<Lateral>>> = Vec::new();
    for stroke in strokes {
        let mut run = Vec::new();
        for p in stroke {
            if !p.is_finite() {
                left_out.not_numbers += 1;
            } else if on_a_face(*p) {
                run.push(*p);
            } else {
                // What is mirrored onto a face lies on its other side.
                match on_a_face(Point::new(-p.x, p.y)) {
                    true => left_out.beyond_midline += 1,
                    false => left_out.off_the_face += 1,
                }
                runs.extend(without_leaps(std::mem::take(&mut run)));
            }
        }
        runs.extend(without_leaps(run));
    }
    let count: usize = runs.iter().map(Vec::len).sum();
    let every = count.div_ceil(MOST_TOLD).max(1);
    let told = runs.iter().flatten().step_by(every).copied().collect();
    let pieces = thinned(runs).into_iter().flat_map(weighed).collect();
    Cleaned {
        pieces,
        told,
        left_out,
    }
}

fn on_a_face(p: Point<Lateral>) -> bool {
    let (lowest, highest) = HEIGHT_RANGE_MM;
    (-10.0..=FURTHEST_MM).contains(&p.x) && (lowest..=highest).contains(&p.y)
}

/// A stroke parted where the pen must have been lifted, as in a table that
/// lists one edge after the other; all points by themselves where they stand
/// in no order.
fn without_leaps(run: Vec<Point<Lateral>>) -> Vec<Vec<Point<Lateral>>> {
    let usual = middle_of(run.windows(2).map(|p| p[0].distance(p[1])).collect());
    if usual > UNORDERED_MM && usual > UNORDERED_TIMES * nearest_usual(&run) {
        return run.into_iter().map(|p| vec![p]).collect();
    }
    let leap = LEAP_MM.max(LEAP_TIMES * usual);
    let mut runs = vec![Vec::new()];
    for p in run {
        let last = runs.len() - 1;
        match runs[last].last() {
            Some(before) if p.distance(*before) > leap => runs.push(vec![p]),
            _ => runs[last].push(p),
        }
    }
    runs.retain(|r| !r.is_empty());
    runs
}

/// How far the nearest neighbour of a point usually lies, by a sample.
fn nearest_usual(run: &[Point<Lateral>]) -> f64 {
    let every = (run.len() / NEIGHBOURS_OF).max(1);
    let of_each = (run.len() / MOST_TOLD).max(1);
    let nearest = |i: usize| {
        let others = (0..run.len()).step_by(of_each).filter(|j| *j != i);
        let distances = others.map(|j| run[j].distance(run[i]));
        distances.fold(f64::INFINITY, f64::min)
    };
    middle_of((0..run.len()).step_by(every).map(nearest).collect())
}

/// The median; 0 of nothing.
fn middle_of(mut all: Vec<f64>) -> f64 {
    let middle = all.len() / 2;
    match all.is_empty() {
        true => 0.0,
        false => *all.select_nth_unstable_by(middle, f64::total_cmp).1,
    }
}

/// Few enough places, each the mean of what was drawn there.
fn thinned(runs: Vec<Vec<Point<Lateral>>>) -> Vec<Vec<Point<Lateral>>> {
    let count = |runs: &[Vec<Point<Lateral>>]| runs.iter().map(Vec::len).sum::<usize>();
    let (mut now, mut step) = (runs, FIRST_STEP_MM);
    while count(&now) > MOST_PLACES && step <= WIDEST_STEP_MM {
        now = now.iter().map(|run| grouped(run, step)).collect();
        step *= 2.0;
    }
    let every = count(&now).div_ceil(MOST_PLACES).max(1);
    if every > 1 {
        // Far more than any brow: a sample of it tells as much.
        let mut seen = 0;
        for run in &mut now {
            run.retain(|_| {
                seen += 1;
                (seen - 1) % every == 0
            });
        }
        now.retain(|run| !run.is_empty());
    }
    now
}

fn grouped(run: &[Point<Lateral>], step: f64) -> Vec<Point<Lateral>> {
    let mut groups = Vec::new();
    let mut begin = 0;
    for i in 1..=run.len() {
        if i == run.len() || run[i].distance(run[begin]) > step {
            let group = &run[begin..i];
            let n = group.len() as f64;
            let (x, y) = group
                .iter()
                .fold((0.0, 0.0), |(x, y), p| (x + p.x, y + p.y));
            groups.push(Point::new(x / n, y / n));
            begin = i;
        }
    }
    groups
}

/// One stroke with weights, parted where it turns back along the brow.
fn weighed(run: Vec<Point<Lateral>>) -> Vec<Piece> {
    let places: Vec<Place> = (0..run.len())
        .map(|i| {
            let step = |j: usize, k: usize| run[j].distance(run[k]);
            let before = i.checked_sub(1).map(|j| step(j, i));
            let after = (i + 1 < run.len()).then(|| step(i, i + 1));
            let weight = match (before, after) {
                (None, None) => ALONE_MM,
                (a, b) => 0.5 * (a.unwrap_or(0.0) + b.unwrap_or(0.0)),
            };
            Place {
                at: run[i],
                weight: weight.min(MOST_WEIGHT_MM),
            }
        })
        .collect();
    let mut pieces = Vec::new();
    let (mut begin, mut extreme, mut outward) = (0, 0, None);
    for i in 1..places.len() {
        let (x, far) = (places[i].at.x, places[extreme].at.x);
        match outward {
            None if (x - places[begin].at.x).abs() > TURN_MM => {
                outward = Some(x > places[begin].at.x);
                extreme = i;
            }
            Some(out) if (x > far) == out => extreme = i,
            Some(out) if (x - far).abs() > TURN_MM => {
                // The place of the turn belongs to both.
                pieces.push(places[begin..=extreme].to_vec());
                (begin, extreme, outward) = (extreme, i, Some(!out));
            }
            _ => {}
        }
    }
    pieces.push(places[begin..].to_vec());
    pieces.retain(|p| !p.is_empty());
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(xy: &[(f64, f64)]) -> Vec<Point<Lateral>> {
        xy.iter().map(|(x, y)| Point::new(*x, *y)).collect()
    }

    #[test]
    fn a_stroke_there_and_back_is_two_pieces_however_it_trembles() {
        let out = (0..80).map(|i| (15.0 + 0.5 * f64::from(i), 25.0));
        let back = (0..80).map(|i| (54.5 - 0.5 * f64::from(i), 18.0));
        let trembling: Vec<_> = out
            .chain(back)
            .enumerate()
            .map(|(i, (x, y))| (x + [0.4, -0.4, 0.1][i % 3], y))
            .collect();
        let cleaned = clean(&[points(&trembling)]);
        assert_eq!(cleaned.pieces.len(), 2);
        // Trembling may put the outermost place a step past the turn.
        let strangers = |piece: &Piece, upper: bool| {
            let other = piece.iter().filter(|p| (p.at.y > 20.0) != upper);
            other.count()
        };
        assert!(strangers(&cleaned.pieces[0], true) <= 2);
        assert!(strangers(&cleaned.pieces[1], false) <= 2);
    }

    #[test]
    fn what_is_no_number_and_off_the_face_is_counted_and_left_out() {
        let mut stroke = points(&[(20.0, 20.0), (21.0, 20.0), (22.0, 20.0)]);
        stroke.insert(1, Point::new(f64::NAN, 20.0));
        stroke.insert(3, Point::new(1e9, 20.0));
        let cleaned = clean(&[stroke]);
        let expected = LeftOut {
            beyond_midline: 0,
            not_numbers: 1,
            off_the_face: 1,
        };
        assert_eq!(cleaned.left_out, expected);
        assert_eq!(cleaned.told.len(), 3);
    }

    #[test]
    fn two_edges_listed_one_after_the_other_are_two_strokes() {
        let upper = (0..40).map(|i| (15.0 + f64::from(i), 25.0));
        let lower = (0..40).map(|i| (15.0 + f64::from(i), 17.0));
        let both: Vec<_> = upper.chain(lower).collect();
        assert_eq!(clean(&[points(&both)]).pieces.len(), 2);
    }

    #[test]
    fn a_hundred_thousand_points_become_few() {
        let many: Vec<_> = (0..100_000)
            .map(|i| {
                let t = f64::from(i) * 0.01;
                (
                    50.0 + 0.02 * t * libm::cos(t),
                    20.0 + 0.02 * t * libm::sin(t),
                )
            })
            .collect();
        let cleaned = clean(&[points(&many)]);
        let places: usize = cleaned.pieces.iter().map(Vec::len).sum();
        assert!(places <= 2 * MOST_PLACES, "{places}");
        assert!(cleaned.told.len() <= MOST_TOLD + 1);
    }
}
