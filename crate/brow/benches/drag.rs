//! One step of dragging a handle: mapping lines, outline of both sides,
//! constraints and differences; and all that with wishes, hair and what stays
//! once healed. Aim: 0.2 ms natively at most for the first, 1 ms for all.

mod step;

use criterion::{Criterion, criterion_group, criterion_main};
use step::{dragged, hair, linked, step, unlinked, whole_step, wishing};

fn drag(c: &mut Criterion) {
    let (hair, pair) = (hair(), linked());
    let mut moves = 0..;
    let mut next = || moves.next().unwrap_or(0);
    c.bench_function("drag, linked pair", |b| {
        b.iter(|| step(&dragged(&pair, next()), None));
    });
    c.bench_function("drag, linked pair on hair", |b| {
        b.iter(|| step(&dragged(&pair, next()), hair.as_ref()));
    });
    c.bench_function("drag, unlinked pair on hair", |b| {
        b.iter(|| step(&unlinked(&pair, next()), hair.as_ref()));
    });
    let wishing = wishing();
    c.bench_function("drag, linked pair with wishes on hair, healed too", |b| {
        b.iter(|| whole_step(&dragged(&wishing, next()), hair.as_ref()));
    });
    c.bench_function("drag, unlinked pair with wishes on hair, healed too", |b| {
        b.iter(|| whole_step(&unlinked(&wishing, next()), hair.as_ref()));
    });
    c.bench_function("draw alone, with wishes and a guide", |b| {
        b.iter(|| {
            ophryon_brow::draw(
                &dragged(&wishing, next()).points,
                &wishing.form,
                &Default::default(),
            )
            .is_ok()
        });
    });
    // A border as it is found, of 150 points, under both sides.
    if let (Ok(brow), Some(traced)) = (
        ophryon_brow::draw(&pair.points, &Default::default(), &Default::default()),
        step::traced(&pair.points),
    ) {
        c.bench_function("hair areas and step of both sides", |b| {
            b.iter(|| [0, 1].map(|_| traced.fit(brow.outline()).inside_mm2));
        });
        c.bench_function("lift to the hair", |b| {
            let (form, limits) = (Default::default(), Default::default());
            b.iter(|| ophryon_brow::lift(&pair.points, &form, &traced, &limits).is_ok());
        });
    }
    c.bench_function("draw alone", |b| {
        b.iter(|| {
            ophryon_brow::draw(
                &dragged(&pair, next()).points,
                &Default::default(),
                &Default::default(),
            )
            .is_ok()
        });
    });
    // What stays once healed, and what to draw instead, of a brow as drawn.
    if let Ok(brow) = ophryon_brow::draw(&pair.points, &Default::default(), &Default::default()) {
        let shrink = ophryon_brow::Shrink::default();
        c.bench_function("healed inset", |b| {
            b.iter(|| ophryon_brow::healed(&brow, &shrink).is_ok());
        });
        c.bench_function("outline to draw for it", |b| {
            b.iter(|| ophryon_brow::to_draw(&brow, &shrink).is_ok());
        });
    }
}

criterion_group!(benches, drag);
criterion_main!(benches);
