//! The curve library against closed forms and against another curve library,
//! so that lengths, areas and bends of an outline can be believed.

use kurbo::{
    BezPath, Circle, CubicBez, ParamCurve, ParamCurveArclen, ParamCurveArea, ParamCurveCurvature,
    ParamCurveDeriv, PathEl, Point, QuadBez, Shape,
};
use lyon_path::geom::{CubicBezierSegment, QuadraticBezierSegment, point};

/// Quarter of the unit circle with its handles at that share of the radius.
fn quarter(kappa: f64) -> CubicBez {
    CubicBez::new((1.0, 0.0), (1.0, kappa), (kappa, 1.0), (0.0, 1.0))
}

/// Smallest and largest distance from the centre, less 1, in percent.
fn radius_errors(curve: &CubicBez) -> (f64, f64) {
    let steps = 20_000;
    let off = (0..=steps).map(|i| {
        let p = curve.eval(f64::from(i) / f64::from(steps));
        100.0 * (p.to_vec2().hypot() - 1.0)
    });
    off.fold((0.0, 0.0), |(low, high): (f64, f64), e| {
        (low.min(e), high.max(e))
    })
}

/// κ = 4(√2 - 1)/3: classic; Mortensen S. Approximate a circle with cubic
/// Bézier curves (2012): the radius is never too small and at most 0.027253 %
/// too large. With his 0.551915024494 it is off by 0.019608 % either way.
#[test]
fn quarter_circles_are_as_round_as_published() {
    let classic = 4.0 * (2.0_f64.sqrt() - 1.0) / 3.0;
    assert!((classic - 0.552_284_749_8).abs() < 1e-10);
    let (low, high) = radius_errors(&quarter(classic));
    assert!(low > -1e-12 && (high - 0.027_253).abs() < 1e-6, "{high}");
    let (low, high) = radius_errors(&quarter(0.551_915_024_494));
    assert!((high - 0.019_608).abs() < 1e-6 && (low + 0.019_608).abs() < 1e-6);
}

/// kurbo draws its own circles with cubics; a card's rounded corner of 3.18 mm
/// (ISO/IEC 7810, nominal) drawn so has a length of πr/2 and an area of πr²/4.
#[test]
fn a_quarter_circle_has_the_length_and_area_of_a_circle() {
    let r = 3.18;
    let circle = Circle::new((0.0, 0.0), r);
    let path: BezPath = circle.path_elements(1e-6).collect();
    let (length, area) = (path.perimeter(1e-9), path.area());
    assert!(
        (length - std::f64::consts::TAU * r).abs() < 1e-5,
        "{length}"
    );
    assert!((area.abs() - std::f64::consts::PI * r * r).abs() < 1e-5);
    let cubics = path
        .elements()
        .iter()
        .filter(|e| matches!(e, PathEl::CurveTo(..)));
    assert!(cubics.count() >= 4);
    // The four-arc circle is up to 0.027 % out, never in: so is its length.
    let drawn = quarter(0.552_284_749_8).arclen(1e-9) / std::f64::consts::FRAC_PI_2;
    assert!((1.0..1.000_273).contains(&drawn), "{drawn}");
}

/// (t², t³): length (13√13 - 8)/27 = 1.4397098734 in closed form, curvature at
/// its end 6/13^1.5 = 0.1280077. Its first handle has no length.
#[test]
fn a_cubic_with_a_handle_of_no_length_has_its_length_and_bend() {
    let curve = CubicBez::new((0.0, 0.0), (0.0, 0.0), (1.0 / 3.0, 0.0), (1.0, 1.0));
    let exact = (13.0 * 13.0_f64.sqrt() - 8.0) / 27.0;
    assert!((exact - 1.439_709_873_4).abs() < 1e-10);
    let kurbo = curve.arclen(1e-9);
    assert!((kurbo - exact).abs() < 1e-8, "{kurbo}");
    let lyon = lyon_cubic(&curve).approximate_length(1e-9);
    assert!((lyon - exact).abs() < 1e-6, "{lyon}");
    assert!((curve.curvature(1.0).abs() - 0.128_007_7).abs() < 1e-7);
    // Area under y = x^1.5 is 2/5; the curve with its chord back encloses 1/10.
    let enclosed = curve.signed_area();
    assert!((enclosed.abs() - 0.1).abs() < 1e-12, "{enclosed}");
}

/// The parabola x = t, y = t²: length √5/2 + asinh(2)/4 = 1.4789428575.
#[test]
fn a_parabola_has_its_length() {
    let exact = 0.5 * 5.0_f64.sqrt() + 0.25 * libm::asinh(2.0);
    assert!((exact - 1.478_942_857_5).abs() < 1e-10);
    let curve = QuadBez::new((0.0, 0.0), (0.5, 0.0), (1.0, 1.0));
    assert!((curve.arclen(1e-9) - exact).abs() < 1e-9);
    assert!((curve.raise().arclen(1e-9) - exact).abs() < 1e-9);
    let lyon = QuadraticBezierSegment {
        from: point(0.0, 0.0),
        ctrl: point(0.5, 0.0),
        to: point(1.0, 1.0),
    };
    assert!((lyon.length() - exact).abs() < 1e-9);
}

/// Classic: the curvature at a cubic's start is
/// 2/3 · |(P1 - P0) × (P2 - P1)| / |P1 - P0|³.
#[test]
fn bends_follow_from_control_points() {
    let curve = CubicBez::new((1.0, 2.0), (4.0, 3.5), (7.0, 2.0), (9.0, -3.0));
    let (a, b) = (curve.p1 - curve.p0, curve.p2 - curve.p1);
    let by_hand = 2.0 / 3.0 * a.cross(b) / (a.hypot() * a.hypot2());
    // The library counts bends to the other side as positive.
    assert!((curve.curvature(0.0) + by_hand).abs() < 1e-14);
    let (v, w) = (
        curve.deriv().eval(0.3).to_vec2(),
        curve.deriv().deriv().eval(0.3).to_vec2(),
    );
    let defined = v.cross(w) / (v.hypot() * v.hypot2());
    assert!((curve.curvature(0.3) + defined).abs() < 1e-12);
}

fn lyon_cubic(curve: &CubicBez) -> CubicBezierSegment<f64> {
    let at = |p: Point| point(p.x, p.y);
    CubicBezierSegment {
        from: at(curve.p0),
        ctrl1: at(curve.p1),
        ctrl2: at(curve.p2),
        to: at(curve.p3),
    }
}
