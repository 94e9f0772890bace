//! Areas and the largest step of an outline on hair, against a second way:
//! a fine grid of places, each asked of kurbo's winding number.

use kurbo::{BezPath, Shape};
use ophryon_brow::{BrowPoints, Form, HairRegion, Limits, draw};
use ophryon_demo::Chance;
use ophryon_frames::{Lateral, Point};

const GRID_MM: f64 = 0.08;

fn path(ring: &[Point<Lateral>]) -> BezPath {
    let mut path = BezPath::new();
    for (i, p) in ring.iter().enumerate() {
        if i == 0 {
            path.move_to(p.to_kurbo());
        } else {
            path.line_to(p.to_kurbo());
        }
    }
    path.close_path();
    path
}

#[test]
fn areas_and_steps_are_those_of_a_grid_of_places() {
    let mut chance = Chance::new(31);
    for _ in 0..12 {
        let points = BrowPoints {
            front_top: Point::new(chance.around(15.0, 1.0), chance.around(24.0, 0.6)),
            front_bottom: Point::new(15.0, 16.0),
            peak: Point::new(41.0, 29.5),
            lower_arch: Point::new(42.5, 22.0),
            tail: Point::new(57.0, chance.around(15.5, 0.5)),
        };
        let brow = draw(&points, &Form::default(), &Limits::default()).unwrap();
        // A ragged border somewhere about it, of 150 points.
        let (dx, dy) = (chance.around(0.0, 1.5), chance.around(0.0, 1.0));
        let drawn = brow.outline().flattened(0.002);
        let border: Vec<Point<Lateral>> = (0..150)
            .map(|i| drawn[i * drawn.len() / 150])
            .map(|p| {
                let ragged = chance.around(0.0, 0.4);
                Point::new(p.x + dx, p.y + dy + ragged)
            })
            .collect();
        let hair = HairRegion::new(border.clone()).unwrap();
        let fit = hair.fit(brow.outline());
        let (outline, hair_path) = (brow.outline().path(), path(&border));
        let (mut both, mut only_hair, mut only_brow) = (0.0, 0.0, 0.0);
        let around = outline.bounding_box().union(hair_path.bounding_box());
        let mut y = around.y0;
        while y < around.y1 {
            let mut x = around.x0;
            while x < around.x1 {
                let at = kurbo::Point::new(x, y);
                match (outline.winding(at) != 0, hair_path.winding(at) != 0) {
                    (true, true) => both += GRID_MM * GRID_MM,
                    (false, true) => only_hair += GRID_MM * GRID_MM,
                    (true, false) => only_brow += GRID_MM * GRID_MM,
                    (false, false) => {}
                }
                x += GRID_MM;
            }
            y += GRID_MM;
        }
        for (ours, theirs) in [
            (fit.inside_mm2, both),
            (fit.outside_mm2, only_hair),
            (fit.bare_mm2, only_brow),
        ] {
            // A grid cuts each border at random: some 0.3 mm² over 100 mm.
            assert!((ours - theirs).abs() < 0.8, "{ours:.2} {theirs:.2}");
        }
        // The largest step by asking every place of the outline.
        let farthest = brow
            .outline()
            .sampled(200)
            .into_iter()
            .filter(|p| hair_path.winding(p.to_kurbo()) == 0)
            .map(|p| {
                let edges = border.iter().zip(border.iter().cycle().skip(1));
                let away = edges.map(|(a, b)| {
                    let t = (p - *a).dot(*b - *a) / (*b - *a).dot(*b - *a);
                    p.distance(a.lerp(*b, t.clamp(0.0, 1.0)))
                });
                away.fold(f64::INFINITY, f64::min)
            })
            .fold(0.0, f64::max);
        // Looked for every quarter of a millimetre; tenths are shown.
        assert!(
            (fit.largest_step_mm - farthest).abs() < 0.06,
            "{} {farthest}",
            fit.largest_step_mm
        );
        // Fewer points say the same.
        let fewer = hair.simplified(0.05);
        assert!(fewer.border().len() < border.len());
        let again = fewer.fit(brow.outline());
        assert!((again.inside_mm2 - fit.inside_mm2).abs() < 0.02 * fit.inside_mm2);
    }
}
