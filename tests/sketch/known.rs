//! Answers known beforehand: a circle's arc, outlines of our own, and the
//! reasons for what can't be followed.

use kurbo::ParamCurve;
use ophryon_brow::{
    Brow, Form, Front, Guide, GuideSource, Handle, Limits, Part, Sketched, TailWish, WhyApart,
    draw, sketch,
};
use ophryon_frames::{Lateral, Point};

use crate::hand::{Dice, Manner, Stroke, apart, drawn_by_hand, edge, plain, plain_brow};

fn fitted(strokes: &[Stroke]) -> Sketched {
    sketch(strokes, &plain_brow(), &Limits::default()).expect("a brow")
}

/// Centre and radius of the circle with the least squared error (Kåsa, IEEE
/// Transactions on Instrumentation and Measurement 25, 1976, 8-14; from
/// memory): x² + y² = 2ax + 2by + c is linear in a, b and c.
fn circle_through(points: &[Point<Lateral>]) -> f64 {
    let n = points.len() as f64;
    let (mx, my) = points
        .iter()
        .fold((0.0, 0.0), |(x, y), p| (x + p.x / n, y + p.y / n));
    let (mut uu, mut uv, mut vv, mut uw, mut vw) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for p in points {
        let (u, v) = (p.x - mx, p.y - my);
        let w = u * u + v * v;
        (uu, uv, vv) = (uu + u * u, uv + u * v, vv + v * v);
        (uw, vw) = (uw + 0.5 * u * w, vw + 0.5 * v * w);
    }
    let det = uu * vv - uv * uv;
    let (a, b) = ((uw * vv - vw * uv) / det, (vw * uu - uw * uv) / det);
    (a * a + b * b + (uu + vv) / n).sqrt()
}

/// Places of one edge of an outline between two distances.
fn between(brow: &Brow, wanted: fn(Part) -> bool, from: f64, to: f64) -> Vec<Point<Lateral>> {
    let segments = brow.outline().segments().iter();
    segments
        .filter(|s| wanted(s.part))
        .flat_map(|s| (0..40).map(|i| Point::from_kurbo(s.curve().eval(f64::from(i) / 40.0))))
        .filter(|p| (from..=to).contains(&p.x))
        .collect()
}

/// Both edges along arcs of circles that meet at the tip, without a straight
/// top line: the same circles come back.
#[test]
fn a_circles_arc_comes_back_with_its_radius() {
    let limits = Limits {
        straight_mm: 10.0,
        ..Limits::default()
    };
    let arc = |radius: f64, top: Point<Lateral>, x: f64| {
        let out = x - top.x;
        Point::new(x, top.y - radius + (radius * radius - out * out).sqrt())
    };
    for (radius, lower_radius, front) in [
        (30.0, 120.0, 26.0),
        (45.0, 150.0, 24.0),
        (60.0, 220.0, 20.0),
    ] {
        let peak = Point::new(38.0, 29.5);
        let tip = arc(radius, peak, 60.0);
        let arch_x = 40.0;
        let fall = Point::new(arch_x, 0.0);
        let arch = Point::new(arch_x, tip.y - arc(lower_radius, fall, tip.x).y);
        let along = |radius: f64, top: Point<Lateral>| -> Stroke {
            (0..=100)
                .map(|i| front + (60.0 - front) * f64::from(i) / 100.0)
                .map(|x| arc(radius, top, x))
                .collect()
        };
        let strokes = [along(radius, peak), along(lower_radius, arch)];
        let found = sketch(&strokes, &plain_brow(), &limits).expect("a brow");
        for (wanted, radius) in [
            (Part::is_upper as fn(Part) -> bool, radius),
            (Part::is_lower, lower_radius),
        ] {
            let part = between(&found.brow, wanted, front + 0.5, 59.5);
            let came = circle_through(&part);
            let off = (came / radius - 1.0).abs();
            println!(
                "radius {radius}: {came:.3}, {:.2} %, {}",
                100.0 * off,
                found.sentence()
            );
            assert!(off < 0.005, "{radius} mm came back as {came}");
        }
    }
}

fn whole(tremble_mm: f64, closed: bool) -> Manner {
    Manner {
        step_mm: 0.5,
        tremble_mm,
        times: 1,
        apart_mm: 0.0,
        piece_mm: 1e3,
        closed,
    }
}

/// Outlines whose curve is not left to the five points alone.
#[test]
fn outlines_with_wishes_come_back() {
    let bulged: Vec<Point<Lateral>> = edge(plain_brow().outline(), Part::is_upper, 0.5)
        .into_iter()
        .map(|p| Point::new(p.x, p.y + 0.5 * libm::sin((p.x - 41.0).max(0.0) * 0.2)))
        .collect();
    let guide = Guide::from_lines(&plain(), &bulged, &[], GuideSource::Sketch);
    let forms = [
        Form::default(),
        Form {
            body_mm: Some(7.0),
            ..Form::default()
        },
        Form {
            tail: vec![TailWish {
                share: 0.5,
                thickness_mm: 4.6,
            }],
            ..Form::default()
        },
        Form {
            guide,
            ..Form::default()
        },
    ];
    for form in forms {
        let wanted = draw(&plain(), &form, &Limits::default()).expect("a brow");
        let strokes = drawn_by_hand(&wanted, &whole(0.0, true), &mut Dice::new(1));
        let found = fitted(&strokes);
        let off = apart(wanted.outline(), found.brow.outline()).1;
        println!("{off:.3} mm off: {} {form:?}", found.sentence());
        assert!(off < 0.05, "{off} mm off {form:?}");
        assert_eq!(found.why, None);
    }
}

/// The present shape's soft front is kept, and a soft front traced comes back.
#[test]
fn a_soft_front_stays_soft() {
    let form = Form {
        front: Front::Soft { radius_mm: 2.5 },
        ..Form::default()
    };
    let present = draw(&plain(), &form, &Limits::default()).expect("a brow");
    let moved = plain().shifted(ophryon_frames::Vector::new(1.0, 1.5));
    let wanted = draw(&moved, &form, &Limits::default()).expect("a brow");
    let strokes = drawn_by_hand(&wanted, &whole(0.0, true), &mut Dice::new(1));
    let found = sketch(&strokes, &present, &Limits::default()).expect("a brow");
    assert_eq!(found.brow.form().front, form.front);
    let off = apart(wanted.outline(), found.brow.outline()).1;
    assert!(off < 0.3, "{off} mm off: {}", found.sentence());
}

/// The distances told are those of a plain search over the finished outline.
#[test]
fn the_distance_told_is_the_distance_there_is() {
    let mut dice = Dice::new(11);
    let strokes = drawn_by_hand(&plain_brow(), &whole(0.4, false), &mut dice);
    let found = fitted(&strokes);
    let line = found.brow.outline().flattened(1e-3);
    let distance = |p: &Point<Lateral>| {
        let ends = line.iter().zip(line.iter().cycle().skip(1));
        ends.map(|(u, v)| {
            let run = *v - *u;
            let share = ((*p - *u).dot(run) / run.dot(run)).clamp(0.0, 1.0);
            p.distance(u.lerp(*v, share))
        })
        .fold(f64::INFINITY, f64::min)
    };
    let all: Vec<f64> = strokes.iter().flatten().map(distance).collect();
    let largest = all.iter().fold(0.0_f64, |m, d| m.max(*d));
    let rms = (all.iter().map(|d| d * d).sum::<f64>() / all.len() as f64).sqrt();
    let told = found.followed;
    assert!(
        (told.largest_mm - largest).abs() < 2e-3,
        "{told:?} {largest}"
    );
    assert!((told.rms_mm - rms).abs() < 2e-3, "{told:?} {rms}");
    assert!((told.farthest.distance(told.nearest) - largest).abs() < 2e-3);
    assert!(strokes.iter().flatten().any(|p| *p == told.farthest));
}

/// What no brow may do is named, and the nearest brow offered all the same.
#[test]
fn what_cant_be_followed_is_named() {
    let brow = plain_brow();
    let upper = edge(brow.outline(), Part::is_upper, 0.5);
    let lower = edge(brow.outline(), Part::is_lower, 0.5);
    let with = |edge: &Stroke, up: &dyn Fn(f64) -> f64| -> Stroke {
        edge.iter()
            .map(|p| Point::new(p.x, p.y + up(p.x)))
            .collect()
    };
    let dip = |x: f64| -9.0 * (1.0 - (x - 28.0) * (x - 28.0) / 169.0).max(0.0);
    let wave = |x: f64| 1.0 * libm::sin(0.9 * x);
    let swell = |x: f64| 2.4 * (1.0 - (x - 52.0) * (x - 52.0) / 16.0).max(0.0);
    let early = |x: f64| 6.0 * (1.0 - (x - 25.0) * (x - 25.0) / 400.0).max(0.0) - 2.0;
    let falling = |a: f64, slope: f64| -> Stroke {
        (0..80)
            .map(|i| 15.0 + 0.5 * f64::from(i))
            .map(|x| Point::new(x, a - slope * (x - 15.0)))
            .collect()
    };
    let scribble: Stroke = (0..600)
        .map(|i| f64::from(i) * 0.3)
        .map(|a| {
            Point::new(
                36.0 + 0.1 * a * libm::cos(a),
                24.0 + 0.05 * a * libm::sin(a),
            )
        })
        .collect();
    type Named = fn(&WhyApart) -> bool;
    let cases: [(&str, Vec<Stroke>, Named); 6] = [
        ("crossed", vec![with(&upper, &dip), lower.clone()], |w| {
            matches!(w, WhyApart::EdgesMeet)
        }),
        (
            "waves",
            vec![with(&upper, &wave), with(&lower, &wave)],
            |w| matches!(w, WhyApart::Waves { .. }),
        ),
        ("swollen", vec![with(&upper, &swell), lower.clone()], |w| {
            matches!(w, WhyApart::Taper { .. } | WhyApart::Waves { .. })
        }),
        (
            "early arch",
            vec![upper.clone(), with(&lower, &early)],
            |w| matches!(w, WhyApart::ArchBehindPeak { .. }),
        ),
        (
            "falling",
            vec![falling(30.0, 0.2), falling(24.0, 0.12)],
            |w| matches!(w, WhyApart::PeakBelowFront { .. }),
        ),
        ("scribble", vec![scribble], |w| {
            matches!(w, WhyApart::Scribbled { .. })
        }),
    ];
    for (name, strokes, named) in cases {
        let found = fitted(&strokes);
        println!("{name}: {}", found.sentence());
        let why = found.why.unwrap_or_else(|| panic!("{name}: {found:?}"));
        assert!(named(&why), "{name}: {why:?}");
        assert!(found.sentence().contains(&why.words()));
        let again = draw(found.brow.points(), found.brow.form(), &Limits::default());
        assert_eq!(again.as_ref(), Ok(&found.brow), "{name}");
        assert!(found.brow.points().at(Handle::Tail).is_finite());
    }
}
