//! Lines that follow a brow: the cut line round it, and its centre line.

use ophryon_brow::{Outline, Segment};
use ophryon_frames::{Point, Skin, Vector};

/// From the outline to the cut line, mm: enough to hold the paper by, and it
/// still bends with the skin (common practice, no source; the number is ours).
pub const CUT_MARGIN_MM: f64 = 4.0;

/// How far a polygon may lie from its curve, mm: far below what scissors,
/// cutters and printers repeat.
const FINE_MM: f64 = 0.003;

/// From one place of the raw cut line to the next, at most; where two parts of
/// it cross, the corner is known that well, mm.
const STEP_MM: f64 = 0.2;

/// Chords of a centre line.
const CHORDS: usize = 64;

/// The closed line that runs round the brow at [`CUT_MARGIN_MM`], as a polygon;
/// its first place is not repeated.
///
/// Every place of it is that far from the outline and no place is nearer. In a
/// hollow narrower than twice the margin the line takes the short way.
pub(crate) fn cut_line(outline: &Outline<Skin>) -> Vec<Point<Skin>> {
    let mut brow = outline.flattened(FINE_MM);
    brow.dedup_by(|a, b| a.distance(*b) < 1e-9);
    if signed_area(&brow) < 0.0 {
        brow.reverse();
    }
    let raw = offset(&brow, CUT_MARGIN_MM);
    // What lies nearer is the inside of a loop at a hollow.
    let kept: Vec<_> = raw
        .into_iter()
        .filter(|p| distance(*p, &brow) > CUT_MARGIN_MM - 1e-6)
        .collect();
    thinned(&kept)
}

/// From the middle of the front edge to the tip, halfway between the upper and
/// the lower edge, at equal shares of their lengths.
pub(crate) fn centre_line(outline: &Outline<Skin>) -> Vec<Point<Skin>> {
    let segments = outline.segments();
    let upper = sampled(segments.iter().filter(|s| s.part.is_upper()));
    let mut lower = sampled(segments.iter().filter(|s| s.part.is_lower()));
    lower.reverse();
    let middles: Vec<_> = (0..=CHORDS)
        .filter_map(|i| {
            let share = i as f64 / CHORDS as f64;
            Some(along(&upper, share)?.midpoint(along(&lower, share)?))
        })
        .collect();
    thinned_open(&middles)
}

/// Twice the area, positive where the polygon runs counter-clockwise.
fn signed_area(polygon: &[Point<Skin>]) -> f64 {
    edges(polygon).map(|(a, b)| a.x * b.y - b.x * a.y).sum()
}

fn edges(polygon: &[Point<Skin>]) -> impl Iterator<Item = (Point<Skin>, Point<Skin>)> + '_ {
    let next = polygon.iter().cycle().skip(1);
    polygon.iter().copied().zip(next.copied())
}

/// Every edge moved out, and an arc round every corner; with loops where the
/// polygon is hollow.
fn offset(polygon: &[Point<Skin>], by_mm: f64) -> Vec<Point<Skin>> {
    // A chord of this angle lies FINE_MM inside its arc.
    let turn = 2.0 * libm::acos(1.0 - FINE_MM / by_mm);
    let normals: Vec<Vector<Skin>> = edges(polygon)
        .filter_map(|(a, b)| {
            let along = (b - a).unit()?;
            Some(Vector::new(along.y, -along.x))
        })
        .collect();
    let count = polygon.len().min(normals.len());
    let mut raw = vec![];
    for i in 0..count {
        let (a, b) = (polygon[i], polygon[(i + 1) % count]);
        let (before, normal) = (normals[(i + count - 1) % count], normals[i]);
        let angle = libm::atan2(before.cross(normal), before.dot(normal));
        if angle > 0.0 {
            let steps = (angle / turn).ceil();
            for step in 0..steps as u32 {
                let turned = before.turned(angle.to_degrees() * f64::from(step) / steps);
                raw.push(a + turned * by_mm);
            }
        }
        let steps = (a.distance(b) / STEP_MM).ceil().max(1.0);
        for step in 0..=steps as u32 {
            let share = f64::from(step) / steps;
            raw.push(a.lerp(b, share) + normal * by_mm);
        }
    }
    raw
}

fn distance(p: Point<Skin>, polygon: &[Point<Skin>]) -> f64 {
    edges(polygon)
        .map(|(a, b)| to_chord(p, a, b))
        .fold(f64::INFINITY, f64::min)
}

/// From a place to the nearest of a chord.
fn to_chord(p: Point<Skin>, a: Point<Skin>, b: Point<Skin>) -> f64 {
    let run = b - a;
    let length2 = run.dot(run);
    let share = if length2 > 0.0 {
        ((p - a).dot(run) / length2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    p.distance(a + run * share)
}

/// Without places that a straight line serves as well.
fn thinned_open(places: &[Point<Skin>]) -> Vec<Point<Skin>> {
    let mut kept: Vec<Point<Skin>> = places.first().copied().into_iter().collect();
    let mut from = 0;
    while from + 1 < places.len() {
        let mut to = from + 1;
        while to + 1 < places.len() {
            let chord = (places[from], places[to + 1]);
            let between = &places[from + 1..=to];
            if between
                .iter()
                .any(|p| to_chord(*p, chord.0, chord.1) > FINE_MM)
            {
                break;
            }
            to += 1;
        }
        kept.push(places[to]);
        from = to;
    }
    kept
}

fn thinned(polygon: &[Point<Skin>]) -> Vec<Point<Skin>> {
    let Some(first) = polygon.first() else {
        return vec![];
    };
    let closed: Vec<_> = polygon.iter().chain([first]).copied().collect();
    let mut kept = thinned_open(&closed);
    kept.pop();
    kept
}

/// Segments one after the other as a fine chain.
fn sampled<'a>(segments: impl Iterator<Item = &'a Segment<Skin>>) -> Vec<Point<Skin>> {
    const PIECES: u32 = 32;
    let mut chain = vec![];
    for segment in segments {
        let from = u32::from(!chain.is_empty());
        chain.extend((from..=PIECES).map(|i| {
            let t = f64::from(i) / f64::from(PIECES);
            let [a, b, c, d] = segment.controls;
            let (ab, bc, cd) = (a.lerp(b, t), b.lerp(c, t), c.lerp(d, t));
            ab.lerp(bc, t).lerp(bc.lerp(cd, t), t)
        }));
    }
    chain
}

/// The place at a share of a chain's length.
fn along(chain: &[Point<Skin>], share: f64) -> Option<Point<Skin>> {
    let length: f64 = chain.windows(2).map(|w| w[0].distance(w[1])).sum();
    let mut left = share * length;
    for w in chain.windows(2) {
        let step = w[0].distance(w[1]);
        if left <= step && step > 0.0 {
            return Some(w[0].lerp(w[1], left / step));
        }
        left -= step;
    }
    chain.last().copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example;
    use ophryon_brow::Limits;
    use ophryon_frames::Side;

    /// From the curves themselves, by fine sampling: nothing of this file.
    fn to_outline(p: Point<Skin>, outline: &Outline<Skin>) -> f64 {
        let fine = outline.sampled(400);
        fine.windows(2)
            .map(|w| p.distance(w[0].midpoint(w[1])))
            .fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn the_cut_line_keeps_its_margin_everywhere() {
        let outlines = example::content().outlines;
        for (_, outline) in outlines.iter() {
            let line = cut_line(outline);
            assert!(line.len() > 30 && line.len() < 400, "{} places", line.len());
            for (a, b) in edges(&line) {
                for p in [a, a.midpoint(b)] {
                    let margin = to_outline(p, outline);
                    assert!((margin - CUT_MARGIN_MM).abs() < 0.02, "{margin} at {p:?}");
                    assert!(!outline.contains(p));
                }
            }
        }
    }

    /// Steiner's formula (1840): an outline's parallel at distance m encloses
    /// A + P m + π m² where the outline is convex; a hollow takes some away.
    #[test]
    fn the_cut_line_encloses_what_steiner_says() {
        let outlines = example::content().outlines;
        for (_, outline) in outlines.iter() {
            let m = CUT_MARGIN_MM;
            let area = signed_area(&cut_line(outline)) / 2.0;
            let convex = outline.area() + outline.perimeter() * m + std::f64::consts::PI * m * m;
            assert!(area > outline.area() + 0.9 * (convex - outline.area()));
            assert!(area < convex + 0.1, "{area} of at most {convex}");
        }
    }

    /// A brow whose underside turns in more sharply than the margin: the line
    /// has no loop and no place too near.
    #[test]
    fn a_sharp_hollow_is_cut_the_short_way() {
        let mut pair = example::pair();
        pair.points.lower_arch = Point::new(41.5, 26.5);
        pair.points.tail = Point::new(55.0, 8.0);
        let limits = Limits {
            peak_radius_mm: 1.0,
            ..Limits::default()
        };
        let brows = pair.draw(&limits).unwrap();
        let outline = brows.get(Side::Left).placed(Side::Left, &pair.offset.left);
        let line = cut_line(&outline);
        for p in &line {
            assert!((to_outline(*p, &outline) - CUT_MARGIN_MM).abs() < 0.02);
        }
        // No edge crosses another.
        let all: Vec<_> = edges(&line).collect();
        for (i, (a, b)) in all.iter().enumerate() {
            for (c, d) in all.iter().skip(i + 2) {
                if a == d || b == c {
                    continue;
                }
                let side = |p: Point<Skin>, q: Point<Skin>, r: Point<Skin>| (q - p).cross(r - p);
                let apart = side(*a, *b, *c) * side(*a, *b, *d) > 0.0
                    || side(*c, *d, *a) * side(*c, *d, *b) > 0.0;
                assert!(apart, "crosses itself at {a:?} {c:?}");
            }
        }
    }

    #[test]
    fn the_centre_line_runs_from_the_front_to_the_tip_between_both_edges() {
        let outline = &example::content().outlines.right;
        let line = centre_line(outline);
        let (first, last) = (line[0], *line.last().unwrap());
        // Front corners at 24 and 16 mm, tip at 57, 15.5, as mapped.
        assert!(first.distance(Point::new(-15.0, 20.0)) < 1e-6, "{first:?}");
        assert!(last.distance(Point::new(-57.0, 15.5)) < 1e-6, "{last:?}");
        for p in &line[1..line.len() - 1] {
            assert!(outline.contains(*p), "{p:?}");
            let hits = outline.crossings(*p, Vector::new(0.0, 1.0));
            let (below, above) = (-hits[0], hits[hits.len() - 1]);
            assert!((above - below).abs() < 1.2, "{below} below, {above} above");
        }
    }
}
