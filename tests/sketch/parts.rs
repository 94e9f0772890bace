//! Sketches of a part: what was not drawn stays.

use ophryon_brow::{Brow, Handle, Limits, Part, Sketched, sketch};
use ophryon_frames::{Lateral, Point};

use crate::hand::{Stroke, edge, plain_brow};

/// Both edges of the present brow, changed and cut to a stretch.
struct Stretch<'a> {
    brow: &'a Brow,
    from: f64,
    to: f64,
}

impl Stretch<'_> {
    fn along(&self, wanted: fn(Part) -> bool, up: impl Fn(f64) -> f64) -> Stroke {
        let whole = edge(self.brow.outline(), wanted, 0.5);
        whole
            .into_iter()
            .filter(|p| (self.from..=self.to).contains(&p.x))
            .map(|p| Point::new(p.x, p.y + up(p.x)))
            .collect()
    }
}

fn fitted(strokes: &[Stroke], present: &Brow) -> Sketched {
    sketch(strokes, present, &Limits::default()).expect("a brow")
}

/// Largest distance of the places of one edge within a stretch from what they
/// were, mm.
fn moved(found: &Brow, was: &Brow, wanted: fn(Part) -> bool, from: f64, to: f64) -> f64 {
    let line = edge(was.outline(), wanted, 0.02);
    let nearest = |p: &Point<Lateral>| {
        let all = line.iter().map(|q| q.distance(*p));
        all.fold(f64::INFINITY, f64::min)
    };
    edge(found.outline(), wanted, 0.25)
        .iter()
        .filter(|p| (from..=to).contains(&p.x))
        .map(nearest)
        .fold(0.0, f64::max)
}

#[test]
fn an_upper_edge_alone_leaves_the_lower_one() {
    let was = plain_brow();
    let all = Stretch {
        brow: &was,
        from: 0.0,
        to: 90.0,
    };
    let upper = all.along(Part::is_upper, |x| 1.2 * ((57.0 - x) / 20.0).min(1.0));
    let found = fitted(&[upper], &was);
    assert!(found.followed.largest_mm < 0.2, "{}", found.sentence());
    assert_eq!(
        found.shown,
        [Handle::FrontTop, Handle::Peak, Handle::Tail],
        "{found:?}"
    );
    let points = found.brow.points();
    assert_eq!(points.front_bottom, was.points().front_bottom);
    assert_eq!(points.lower_arch, was.points().lower_arch);
    let off = moved(&found.brow, &was, Part::is_lower, 15.5, 56.0);
    assert!(off < 0.2, "the lower edge moved by {off} mm");
    let kept = found.remarks().join(" ");
    assert!(kept.contains("front bottom, lower arch"), "{kept}");
}

#[test]
fn a_lower_edge_alone_is_told_from_an_upper_one() {
    let was = plain_brow();
    let all = Stretch {
        brow: &was,
        from: 0.0,
        to: 90.0,
    };
    let found = fitted(&[all.along(Part::is_lower, |_| 1.0)], &was);
    assert!(found.followed.largest_mm < 0.2, "{}", found.sentence());
    assert_eq!(found.brow.points().peak, was.points().peak);
    assert!((found.brow.points().lower_arch.y - 23.0).abs() < 0.1);
}

#[test]
fn a_new_tail_leaves_the_front() {
    let was = plain_brow();
    let tail = Stretch {
        brow: &was,
        from: 47.0,
        to: 90.0,
    };
    let lower = |x: f64| -0.12 * (x - 47.0);
    let strokes = [
        tail.along(Part::is_upper, lower),
        tail.along(Part::is_lower, lower),
    ];
    let found = fitted(&strokes, &was);
    assert!(found.followed.largest_mm < 0.5, "{}", found.sentence());
    let tip = found.brow.points().tail;
    assert!((tip.y - (15.5 - 1.2)).abs() < 0.3, "{tip:?}");
    for wanted in [Part::is_upper as fn(Part) -> bool, Part::is_lower] {
        let off = moved(&found.brow, &was, wanted, 15.0, 38.0);
        assert!(off < 0.15, "the front moved by {off} mm");
    }
}

#[test]
fn a_stretch_over_the_peak_leaves_the_ends() {
    let was = plain_brow();
    let middle = Stretch {
        brow: &was,
        from: 31.0,
        to: 49.0,
    };
    let found = fitted(&[middle.along(Part::is_upper, |_| 0.8)], &was);
    assert!(found.followed.largest_mm < 0.4, "{}", found.sentence());
    assert_eq!(found.shown, [Handle::Peak]);
    for handle in [Handle::FrontTop, Handle::FrontBottom, Handle::Tail] {
        let off = found
            .brow
            .points()
            .at(handle)
            .distance(was.points().at(handle));
        assert!(off < 0.35, "the {} moved by {off} mm", handle.name());
    }
}
