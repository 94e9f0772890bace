//! Pictures beside each other, and a signature: what is drawn rather than
//! written.

use ophryon_brow::Outline;
use ophryon_frames::{Page, Point, Skin};

use super::flow::HEAD_MM;
use super::{DrawnPair, Pictured, Shows};
use crate::heading::RULE;
use crate::lettering::clean;
use crate::sheet::{Group, Letters, Mark, Stroke};

/// Between two pictures, mm.
const GAP_MM: f64 = 4.0;

/// No picture is higher, mm: three of them leave half the page for words.
const HIGHEST_MM: f64 = 46.0;

/// Of brows that are drawn without a face, the height of their field, mm.
const PAIR_MM: f64 = 30.0;

/// Kept white about brows that are drawn without a face, mm.
const ABOUT_MM: f64 = 4.0;

/// Words below a picture, mm.
const WORDS_MM: f64 = 6.0;

/// The outline that counts.
const LINE: Stroke = Stroke {
    width_mm: 0.3,
    dashes: &[],
};

/// One that is shown for comparison.
const PALER: Stroke = Stroke {
    width_mm: 0.15,
    dashes: &[1.0, 0.8],
};

/// Midline and level line.
const AXIS: Stroke = Stroke {
    width_mm: 0.1,
    dashes: &[3.0, 0.8, 0.4, 0.8],
};

/// A pen's line.
const PEN: Stroke = Stroke {
    width_mm: 0.45,
    dashes: &[],
};

/// How high the row of pictures is with its words, mm.
pub(super) fn row_mm(all: &[Pictured], width_mm: f64) -> f64 {
    let each = each_mm(all, width_mm);
    let high = all.iter().map(|one| picture_mm(one, each));
    high.fold(0.0, f64::max) + WORDS_MM
}

fn each_mm(all: &[Pictured], width_mm: f64) -> f64 {
    let count = all.len().max(1) as f64;
    (width_mm - (count - 1.0) * GAP_MM) / count
}

fn picture_mm(one: &Pictured, each_mm: f64) -> f64 {
    match &one.shows {
        Shows::Photo(picture) => (each_mm / picture.aspect()).min(HIGHEST_MM),
        Shows::Pair(_) => PAIR_MM,
    }
}

/// Draws the row from its upper left corner.
pub(super) fn row(all: &[Pictured], corner: Point<Page>, width_mm: f64, into: &mut Group) {
    let each = each_mm(all, width_mm);
    let high = row_mm(all, width_mm) - WORDS_MM;
    for (number, one) in (0_u32..).zip(all) {
        let left = corner.x + f64::from(number) * (each + GAP_MM);
        let height = picture_mm(one, each);
        match &one.shows {
            Shows::Photo(picture) => {
                // Narrower where it had to be made lower.
                let wide = (height * picture.aspect()).min(each);
                let near = Point::new(left + (each - wide) / 2.0, corner.y);
                into.draw(Mark::Picture {
                    corners: [near, Point::new(near.x + wide, near.y + height)],
                    picture: picture.clone(),
                });
            }
            Shows::Pair(brows) => {
                let far = Point::new(left + each, corner.y + height);
                pair(brows, [Point::new(left, corner.y), far], into);
            }
        }
        // Set smaller before it is cut.
        let sizes = [HEAD_MM, 3.2, 2.9].map(Letters::plain);
        let fits = |set: &Letters| set.width_mm(&clean(&one.words)) <= each;
        let letters = sizes.into_iter().find(fits).unwrap_or(sizes[2]);
        let words = letters.fit(&one.words, each);
        into.write(Point::new(left, corner.y + high + 4.3), letters, words);
    }
}

/// Both brows in a frame, as large as fits.
fn pair(brows: &DrawnPair, corners: [Point<Page>; 2], into: &mut Group) {
    let [near, far] = corners;
    into.draw(Mark::Frame {
        corners,
        stroke: RULE,
    });
    let all = || brows.outlines.iter().chain(&brows.paler);
    let mut low = Point::<Skin>::new(0.0, f64::INFINITY);
    let mut high = Point::<Skin>::new(0.0, f64::NEG_INFINITY);
    for (from, to) in all().map(Outline::bounds) {
        low = Point::new(low.x.min(from.x), low.y.min(from.y));
        high = Point::new(high.x.max(to.x), high.y.max(to.y));
    }
    let wide = 2.0 * low.x.abs().max(high.x);
    if !(wide > 0.0 && low.y.is_finite() && high.y.is_finite()) {
        return;
    }
    let room = (
        far.x - near.x - 2.0 * ABOUT_MM,
        far.y - near.y - 2.0 * ABOUT_MM,
    );
    let scale = (room.0 / wide).min(room.1 / (high.y - low.y).max(1.0));
    let middle = (near.x + far.x) / 2.0;
    let height = (low.y + high.y) / 2.0;
    let to_page = |p: Point<Skin>| {
        let y = (near.y + far.y) / 2.0 - (p.y - height) * scale;
        Point::<Page>::new(middle + p.x * scale, y)
    };
    into.draw(Mark::Lines {
        lines: vec![[
            Point::new(middle, near.y + 1.5),
            Point::new(middle, far.y - 1.5),
        ]],
        stroke: AXIS,
    });
    for (outlines, stroke) in [(&brows.paler, PALER), (&brows.outlines, LINE)] {
        for outline in outlines {
            let Some(first) = outline.segments().first() else {
                continue;
            };
            into.draw(Mark::Outline {
                start: to_page(first.controls[0]),
                cubics: outline
                    .segments()
                    .iter()
                    .map(|s| [s.controls[1], s.controls[2], s.controls[3]].map(to_page))
                    .collect(),
                stroke,
            });
        }
    }
}

/// What was drawn with a finger, in its field.
pub(super) fn signature(
    strokes: &[Vec<(u16, u16)>],
    [near, far]: [Point<Page>; 2],
    into: &mut Group,
) {
    let points = || strokes.iter().flatten();
    let lowest = points().map(|p| p.1).max().unwrap_or(0);
    // The field it was signed in may have been higher than this one.
    let (wide, high) = (far.x - near.x, far.y - near.y - 1.0);
    let per_unit = (wide / 10_000.0).min(high / f64::from(lowest.max(1)));
    for stroke in strokes {
        let places = smooth(stroke)
            .into_iter()
            .map(|(x, y)| Point::<Page>::new(near.x + x * per_unit, near.y + y * per_unit));
        into.draw(Mark::Polyline {
            places: places.collect(),
            closed: false,
            stroke: PEN,
        });
    }
}

/// Between two touches the line bends as it does before and after them
/// (Catmull and Rom's spline, 1974, from memory).
fn smooth(stroke: &[(u16, u16)]) -> Vec<(f64, f64)> {
    /// Pieces between two touches.
    const PIECES: u32 = 6;
    let at = |n: usize| {
        let (x, y) = stroke[n.min(stroke.len() - 1)];
        (f64::from(x), f64::from(y))
    };
    let mut line = Vec::new();
    for n in 0..stroke.len().saturating_sub(1) {
        let all = [at(n.saturating_sub(1)), at(n), at(n + 1), at(n + 2)];
        for piece in 0..PIECES {
            let t = f64::from(piece) / f64::from(PIECES);
            let one = |a: f64, b: f64, c: f64, d: f64| {
                let (p, q) = (2.0 * a - 5.0 * b + 4.0 * c - d, 3.0 * (b - c) + d - a);
                0.5 * (2.0 * b + t * (c - a + t * (p + t * q)))
            };
            let [a, b, c, d] = all;
            line.push((one(a.0, b.0, c.0, d.0), one(a.1, b.1, c.1, d.1)));
        }
    }
    if !stroke.is_empty() {
        line.push(at(stroke.len() - 1));
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_signature_runs_through_every_touch() {
        let stroke = [(100, 900), (1500, 200), (3000, 1000), (4000, 100)];
        let line = smooth(&stroke);
        for (x, y) in stroke.map(|(x, y)| (f64::from(x), f64::from(y))) {
            assert!(
                line.iter()
                    .any(|p| (p.0 - x).abs().max((p.1 - y).abs()) < 1e-6),
                "{x} {y}"
            );
        }
        assert_eq!(smooth(&[]), []);
        assert_eq!(smooth(&[(5, 6)]), [(5.0, 6.0)]);
    }
}
