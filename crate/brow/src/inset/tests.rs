//! Known answers in closed form.

use super::piece::FITTED_MM;
use super::*;
use kurbo::Vec2;
use ophryon_frames::Lateral;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

fn outline(curves: impl IntoIterator<Item = CubicBez>) -> Outline<Lateral> {
    let segment = |c: CubicBez| Segment {
        part: Part::TopLine,
        controls: [c.p0, c.p1, c.p2, c.p3].map(Point::from_kurbo),
    };
    Outline::from_segments(curves.into_iter().map(segment).collect())
}

fn line(a: (f64, f64), b: (f64, f64)) -> CubicBez {
    let (a, b) = (At::from(a), At::from(b));
    CubicBez::new(a, a.lerp(b, 1.0 / 3.0), a.lerp(b, 2.0 / 3.0), b)
}

fn polygon(corners: &[(f64, f64)]) -> Outline<Lateral> {
    let next = corners.iter().cycle().skip(1);
    outline(corners.iter().zip(next).map(|(a, b)| line(*a, *b)))
}

/// An arc of `count` cubics; at 16 to a turn it is off by 1e-7 of its radius.
fn arc(centre: (f64, f64), radius: f64, from: f64, sweep: f64, count: u32) -> Vec<CubicBez> {
    let step = sweep / f64::from(count);
    let handle = 4.0 / 3.0 * libm::tan(0.25 * step) * radius;
    let spot = |a: f64| At::from(centre) + Vec2::new(libm::cos(a), libm::sin(a)) * radius;
    let way = |a: f64| Vec2::new(-libm::sin(a), libm::cos(a)) * handle;
    (0..count)
        .map(|i| (from + step * f64::from(i), from + step * f64::from(i + 1)))
        .map(|(a, b)| CubicBez::new(spot(a), spot(a) + way(a), spot(b) - way(b), spot(b)))
        .collect()
}

fn near(found: f64, known: f64, within: f64) {
    assert!((found - known).abs() < within, "{found}, known {known}");
}

/// Steiner: a convex line of length L round an area A, moved out by d, has
/// L + 2πd and A + Ld + πd²; moved in, the same with -d.
#[test]
fn circles_and_stadiums_are_as_steiner_has_them() {
    let circle = outline(arc((3.0, -2.0), 8.0, 0.3, TAU, 32));
    // Walked clockwise too, as brows are.
    let backwards = outline(arc((3.0, -2.0), 8.0, 0.3, -TAU, 32));
    let mut stadium = arc((15.0, 0.0), 4.0, -FRAC_PI_2, PI, 16);
    stadium.push(line((15.0, 4.0), (-15.0, 4.0)));
    stadium.extend(arc((-15.0, 0.0), 4.0, FRAC_PI_2, PI, 16));
    stadium.push(line((-15.0, -4.0), (15.0, -4.0)));
    let stadium = outline(stadium);
    for (shape, length, area) in [
        (&circle, 16.0 * PI, 64.0 * PI),
        (&backwards, 16.0 * PI, 64.0 * PI),
        (&stadium, 60.0 + 8.0 * PI, 240.0 + 16.0 * PI),
    ] {
        for d in [0.01, 0.37, 1.0, 2.5, 3.9] {
            let inside = moved(shape, d, Toward::Inside).unwrap();
            near(inside.area, area - length * d + PI * d * d, 1e-6);
            near(inside.length, length - TAU * d, 1e-6);
            let outside = moved(shape, d, Toward::Outside).unwrap();
            near(outside.area, area + length * d + PI * d * d, 1e-6);
            near(outside.length, length + TAU * d, 1e-6);
            assert!(!inside.cut && !outside.cut);
            for m in [inside, outside] {
                assert_eq!(m.outlines.len(), 1);
                assert!(m.within <= FITTED_MM);
                near(m.outlines[0].area(), m.area, 1e-3);
                near(m.outlines[0].perimeter(), m.length, 1e-3);
            }
        }
    }
    assert_eq!(moved(&circle, 8.1, Toward::Inside).unwrap().outlines, []);
}

/// Corners: moved in, a convex right angle keeps its shape and gives d²
/// back; moved out it gains a quarter disc. Turned inside it is the other
/// way round.
#[test]
fn corners_are_cut_or_rounded_in_closed_form() {
    let square = polygon(&[(0.0, 0.0), (6.0, 0.0), (6.0, 6.0), (0.0, 6.0)]);
    let angle = polygon(&[
        (0.0, 0.0),
        (10.0, 0.0),
        (10.0, 4.0),
        (4.0, 4.0),
        (4.0, 10.0),
        (0.0, 10.0),
    ]);
    for d in [0.2, 0.9, 1.7] {
        let quarter = 0.25 * PI * d * d;
        let inside = moved(&square, d, Toward::Inside).unwrap();
        near(inside.area, (6.0 - 2.0 * d) * (6.0 - 2.0 * d), 1e-9);
        let outside = moved(&square, d, Toward::Outside).unwrap();
        near(outside.area, 36.0 + 24.0 * d + 4.0 * quarter, 1e-9);
        let inside = moved(&angle, d, Toward::Inside).unwrap();
        near(inside.area, 64.0 - 40.0 * d + 5.0 * d * d - quarter, 1e-9);
        let outside = moved(&angle, d, Toward::Outside).unwrap();
        near(outside.area, 64.0 + 40.0 * d + 5.0 * quarter - d * d, 1e-9);
        assert!(outside.cut, "the hollow corner fills");
    }
}

/// Where two arcs of radius R with centres 2c apart meet in sharp tips, what
/// lies d inside both is the same with R - d: 2 (R² acos(c/R) - c√(R² - c²)).
#[test]
fn a_leaf_with_sharp_tips_loses_its_tips() {
    let (radius, apart) = (40.0_f64, 36.0_f64);
    let leaf =
        |r: f64| 2.0 * (r * r * libm::acos(apart / r) - apart * (r * r - apart * apart).sqrt());
    let half = libm::acos(apart / radius);
    let mut sides = arc((0.0, -apart), radius, FRAC_PI_2 + half, -2.0 * half, 4);
    sides.extend(arc((0.0, apart), radius, -FRAC_PI_2 + half, -2.0 * half, 4));
    let shape = outline(sides);
    for d in [0.1, 0.4, 1.5, 3.0] {
        let m = moved(&shape, d, Toward::Inside).unwrap();
        near(m.area, leaf(radius - d), 1e-5);
        let tip = m.outlines[0].bounds().1.x;
        let known = ((radius - d) * (radius - d) - apart * apart).sqrt();
        near(tip, known, 1e-5);
    }
    assert_eq!(moved(&shape, 4.1, Toward::Inside).unwrap().outlines, []);
}

#[test]
fn a_narrow_waist_leaves_two_pieces() {
    let shape = polygon(&[
        (0.0, 0.0),
        (10.0, 0.0),
        (10.0, 4.0),
        (14.0, 4.0),
        (14.0, 0.0),
        (20.0, 0.0),
        (20.0, 10.0),
        (14.0, 10.0),
        (14.0, 5.0),
        (10.0, 5.0),
        (10.0, 10.0),
        (0.0, 10.0),
    ]);
    let m = moved(&shape, 1.0, Toward::Inside).unwrap();
    assert_eq!(m.outlines.len(), 2);
    // 8 x 8 and 4 x 8, and beside the waist what the arcs round its hollow
    // corners leave: twice the half millimetre less ∫ √(1 - y²) over it.
    let under_arc = 0.5 * (0.5 * 0.75_f64.sqrt() + libm::asin(0.5));
    near(m.area, 64.0 + 32.0 + 2.0 * 2.0 * (0.5 - under_arc), 1e-9);
    assert!(m.outlines[0].area() > m.outlines[1].area());
}

#[test]
fn a_bend_tighter_than_the_distance_ends_in_a_corner() {
    // A stadium with one end of radius 1 and one of 4: beyond 1 mm the
    // narrow end has a corner.
    let slant = libm::asin(3.0 / 20.0);
    let mut shape = arc((0.0, 0.0), 4.0, FRAC_PI_2 - slant, PI + 2.0 * slant, 24);
    let (s, c) = (libm::sin(slant), libm::cos(slant));
    shape.push(line((4.0 * s, -4.0 * c), (20.0 + s, -c)));
    shape.extend(arc(
        (20.0, 0.0),
        1.0,
        -FRAC_PI_2 + slant,
        PI - 2.0 * slant,
        16,
    ));
    shape.push(line((20.0 + s, c), (4.0 * s, 4.0 * c)));
    let shape = outline(shape);
    for d in [1.5, 2.0, 3.0] {
        let m = moved(&shape, d, Toward::Inside).unwrap();
        // An arc of 4 - d and the two tangents to it that meet in a point:
        // kite less sector, plus the rest of the disc.
        let r = 4.0 - d;
        let known = r * r * (1.0 / libm::tan(slant) + FRAC_PI_2 + slant);
        near(m.area, known, 1e-5);
    }
}

#[test]
fn nothing_sensible_is_refused() {
    let square = polygon(&[(0.0, 0.0), (6.0, 0.0), (6.0, 6.0), (0.0, 6.0)]);
    for d in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(moved(&square, d, Toward::Inside), None);
    }
    let flat = polygon(&[(0.0, 0.0), (6.0, 0.0)]);
    assert_eq!(moved(&flat, 1.0, Toward::Inside), None);
    let nowhere = polygon(&[(0.0, 0.0), (f64::NAN, 0.0), (6.0, 6.0)]);
    assert_eq!(moved(&nowhere, 1.0, Toward::Inside), None);
}

/// The edges of this tail meet at 3 degrees; past the tip the offset of the
/// upper one comes out below the lower one, almost as far from it as asked.
#[test]
fn a_needle_sharp_tip_leaves_one_piece() {
    use crate::{BrowPoints, Form, Limits, draw};
    let points = BrowPoints {
        front_top: Point::new(21.01928846555995, 25.865323870994796),
        front_bottom: Point::new(23.382813216851712, 20.520608786173792),
        peak: Point::new(54.80575500757229, 34.5835642644987),
        lower_arch: Point::new(58.21484009858283, 20.583859181502596),
        tail: Point::new(74.69145808721096, -0.9557532319109612),
    };
    let brow = draw(&points, &Form::default(), &Limits::default()).unwrap();
    for d in [0.05, 0.1, 0.3, 1.0] {
        let m = moved(brow.outline(), d, Toward::Inside).unwrap();
        assert_eq!(m.outlines.len(), 1, "{d}");
    }
}
