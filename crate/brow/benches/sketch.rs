//! A sketch becoming a shape. Aim: 5 ms natively at most for 200 points.

use criterion::{Criterion, criterion_group, criterion_main};
use kurbo::ParamCurve;
use ophryon_brow::{Brow, BrowPoints, Form, Limits, Part, draw, sketch};
use ophryon_frames::{Lateral, Point, Vector};

fn brow(shift: Vector<Lateral>) -> Option<Brow> {
    let points = BrowPoints {
        front_top: Point::new(15.0, 24.0),
        front_bottom: Point::new(15.0, 16.0),
        peak: Point::new(41.0, 29.5),
        lower_arch: Point::new(42.5, 22.0),
        tail: Point::new(57.0, 15.5),
    };
    draw(&points.shifted(shift), &Form::default(), &Limits::default()).ok()
}

/// Strokes along the edges of another brow: `count` places in all, off by up
/// to `tremble_mm` in a fixed pattern.
fn strokes(of: &Brow, count: usize, tremble_mm: f64) -> Vec<Vec<Point<Lateral>>> {
    let edges = [Part::is_upper as fn(Part) -> bool, Part::is_lower];
    let along = |wanted: fn(Part) -> bool| {
        let segments: Vec<_> = of.outline().segments().iter().collect();
        let own: Vec<_> = segments.iter().filter(|s| wanted(s.part)).collect();
        let each = count / 2;
        (0..each)
            .map(|i| {
                let at = i as f64 / each as f64 * own.len() as f64;
                let curve = own[at as usize].curve();
                let off = |k: usize| ((i * k) % 17) as f64 / 8.0 - 1.0;
                let by = Vector::new(off(7), off(11)) * tremble_mm;
                Point::from_kurbo(curve.eval(at - at.floor())) + by
            })
            .collect()
    };
    edges.into_iter().map(along).collect()
}

fn benches(c: &mut Criterion) {
    let (Some(present), Some(other)) = (brow(Vector::new(0.0, 0.0)), brow(Vector::new(1.5, 2.0)))
    else {
        return;
    };
    let limits = Limits::default();
    let mut fitted = |name: &str, strokes: Vec<Vec<Point<Lateral>>>| {
        c.bench_function(name, |b| {
            b.iter(|| sketch(&strokes, &present, &limits).is_ok())
        });
    };
    fitted(
        "sketch of 200 points, a sure hand",
        strokes(&other, 200, 0.0),
    );
    fitted("sketch of 200 points, trembling", strokes(&other, 200, 0.5));
    let mut bowed = strokes(&other, 200, 0.3);
    for p in bowed.iter_mut().flatten() {
        p.y += 1.2 * (1.0 - (p.x - 30.0) * (p.x - 30.0) / 100.0).max(0.0);
    }
    fitted("sketch of 200 points that no brow follows", bowed);
    fitted("sketch of 100,000 points", strokes(&other, 100_000, 0.5));
}

criterion_group!(sketches, benches);
criterion_main!(sketches);
