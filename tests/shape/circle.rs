//! A known answer: both edges sketched as arcs of circles come back with
//! their radii.
//!
//! Given are five mapped points on two circles and 200 places along each arc
//! as the line to stay close to; the top line is allowed to bend, or no circle
//! could come back. Found is the circle that fits the drawn edge best (least
//! squares: Kåsa, IEEE Trans Instrum Meas 1976;25:8-14, from memory; solved by
//! nalgebra).

use nalgebra::{Matrix3, Vector3};
use ophryon_brow::{BrowPoints, Form, Guide, GuideSource, Limits, draw};
use ophryon_frames::{Lateral, Point};

use crate::sampler::{Place, places};

struct Arcs {
    points: BrowPoints,
    upper: Vec<Point<Lateral>>,
    lower: Vec<Point<Lateral>>,
}

/// Two arcs that meet at the tip: the upper one of a circle whose top is the
/// peak, the lower one wider, its top so far behind that the tail closes by
/// more than 1 mm over 20 from there on, as every tail must.
fn arcs(upper_mm: f64, lower_mm: f64, before: f64, behind: f64) -> Arcs {
    let peak = Point::<Lateral>::new(40.0, 30.0);
    let below = |top: Point<Lateral>, radius: f64, x: f64| {
        let out = x - top.x;
        top.y - radius + (radius * radius - out * out).sqrt()
    };
    let tail_x = peak.x + behind;
    let tail = Point::new(tail_x, below(peak, upper_mm, tail_x));
    let level = Point::new(peak.x + 0.06 * upper_mm, 0.0);
    let lower_arch = Point::new(level.x, tail.y - below(level, lower_mm, tail_x));
    let front_x = peak.x - before;
    let along = |top, radius| {
        (0..200)
            .map(|i| front_x + (tail_x - front_x) * f64::from(i) / 199.0)
            .map(|x| Point::new(x, below(top, radius, x)))
            .collect()
    };
    Arcs {
        points: BrowPoints {
            front_top: Point::new(front_x, below(peak, upper_mm, front_x)),
            front_bottom: Point::new(front_x, below(lower_arch, lower_mm, front_x)),
            peak,
            lower_arch,
            tail,
        },
        upper: along(peak, upper_mm),
        lower: along(lower_arch, lower_mm),
    }
}

/// x² + y² = a x + b y + c in the least squares; radius and largest distance.
fn circle(edge: &[Place]) -> (f64, f64) {
    let (mut normal, mut right) = (Matrix3::zeros(), Vector3::zeros());
    for p in edge {
        // About the middle of a brow, so that no digits are lost.
        let (x, y) = (p.x - 40.0, p.y - 25.0);
        let row = Vector3::new(x, y, 1.0);
        normal += row * row.transpose();
        right += row * (x * x + y * y);
    }
    let found = normal.lu().solve(&right).expect("places on a curve");
    let (cx, cy) = (0.5 * found[0], 0.5 * found[1]);
    let radius = (found[2] + cx * cx + cy * cy).sqrt();
    let off = |p: &Place| {
        let (x, y) = (p.x - 40.0 - cx, p.y - 25.0 - cy);
        ((x * x + y * y).sqrt() - radius).abs()
    };
    (radius, edge.iter().map(off).fold(0.0, f64::max))
}

#[test]
fn arcs_of_circles_come_back_with_their_radii() {
    let limits = Limits {
        straight_mm: 50.0,
        ..Limits::default()
    };
    let mut worst = 0.0_f64;
    for (upper_mm, lower_mm, before, behind) in [
        (30.0, 48.0, 7.0, 14.0),
        (45.0, 70.0, 11.0, 19.0),
        (60.0, 100.0, 15.0, 25.0),
        (90.0, 140.0, 18.0, 30.0),
        (150.0, 260.0, 22.0, 34.0),
    ] {
        let arcs = arcs(upper_mm, lower_mm, before, behind);
        let guide = Guide::from_lines(&arcs.points, &arcs.upper, &arcs.lower, GuideSource::Sketch);
        let form = Form {
            guide,
            ..Form::default()
        };
        let brow = draw(&arcs.points, &form, &limits).unwrap_or_else(|e| panic!("{e}"));
        let all = places(brow.outline());
        for (is_upper, asked) in [(true, upper_mm), (false, lower_mm)] {
            let edge: Vec<_> = all
                .iter()
                .filter(|p| {
                    if is_upper {
                        p.part.is_upper()
                    } else {
                        p.part.is_lower()
                    }
                })
                .copied()
                .collect();
            let (radius, off) = circle(&edge);
            let wrong = (radius / asked - 1.0).abs();
            worst = worst.max(wrong);
            println!("{asked} mm came back as {radius:.3} mm, at most {off:.4} mm off that circle");
            assert!(wrong < 0.005, "{asked} mm came back as {radius} mm");
            assert!(off < 0.05, "{off} mm off the circle of {asked} mm");
        }
    }
    println!("worst radius {:.3} % off", 100.0 * worst);
}
