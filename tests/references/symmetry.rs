//! Midline and evenness against a linear-algebra library (nalgebra) and
//! against brute force.
//!
//! Object symmetry: Mardia KV, Bookstein FL, Moreton IJ. Biometrika
//! 2000;87:285-300; Klingenberg CP, Barluenga M, Meyer A. Evolution
//! 2002;56:1909-20 (method read in summaries). Superposition by singular
//! values: Umeyama S. IEEE TPAMI 1991;13:376-80 (from memory).

use nalgebra::{Matrix2, Vector2};
use ophryon_brow::{BrowPoints, Form, Limits, Offset, draw};
use ophryon_face::{FaceFrame, FrontFace, Landmark, SidedLandmark, mirror_residual};
use ophryon_frames::{Front, Lateral, Photo, Point, Side, Vector};
use proptest::prelude::*;

use crate::fixtures::{Shot, landmarks};

/// The mean face with pupils between its eye corners, every landmark off by so
/// much.
fn face(off: &[(f64, f64)]) -> Vec<(Landmark, [f64; 2])> {
    let mut face = landmarks();
    for side in Side::BOTH {
        let pupil = Landmark::Sided(side, SidedLandmark::Pupil);
        face.push((pupil, [31.5 * side.sign(), 26.0]));
    }
    for ((_, at), (x, y)) in face.iter_mut().zip(off) {
        *at = [at[0] + x, at[1] + y];
    }
    face
}

fn uneven(most: f64) -> impl Strategy<Value = Vec<(Landmark, [f64; 2])>> {
    // Beyond 10 degrees between midline and pupils the engine asks to tap again.
    let can_be_levelled = |face: &Vec<(Landmark, [f64; 2])>| {
        let shot = Shot {
            px_per_mm: 6.0,
            roll_degrees: 0.0,
        };
        let taps = shot.taps(face);
        let scale = shot.card().scale(&taps);
        scale.is_ok_and(|scale| FaceFrame::fit(&taps, scale).is_ok())
    };
    prop::collection::vec((-most..most, -most..most), 21)
        .prop_map(|off| face(&off))
        .prop_filter("its midline leans too far", can_be_levelled)
}

fn shot() -> impl Strategy<Value = Shot> {
    (3.0..12.0f64, -25.0..25.0f64).prop_map(|(px_per_mm, roll_degrees)| Shot {
        px_per_mm,
        roll_degrees,
    })
}

fn seen(face: &[(Landmark, [f64; 2])], shot: &Shot) -> (FaceFrame, FrontFace) {
    let taps = shot.taps(face);
    let frame = FaceFrame::fit(&taps, shot.card().scale(&taps).unwrap()).unwrap();
    let front = FrontFace::new(&taps, &frame).unwrap();
    (frame, front)
}

fn vector(p: Point<Front>) -> Vector2<f64> {
    Vector2::new(p.x, p.y)
}

/// Landmarks and their partners, brows left out, each set about its middle.
fn sets(face: &FrontFace) -> (Vec<Vector2<f64>>, Vec<Vector2<f64>>) {
    let labels = face.points.keys().filter(|l| !l.is_brow());
    let (own, partners): (Vec<_>, Vec<_>) = labels
        .map(|l| (vector(face.points[l]), vector(face.points[&l.partner()])))
        .unzip();
    let about = |set: Vec<Vector2<f64>>| {
        let middle = set.iter().sum::<Vector2<f64>>() / set.len() as f64;
        set.into_iter().map(|v| v - middle).collect::<Vec<_>>()
    };
    (about(own), about(partners))
}

fn rms(own: &[Vector2<f64>], partners: &[Vector2<f64>], by: &Matrix2<f64>) -> f64 {
    let pairs = own.iter().zip(partners);
    let sum: f64 = pairs.map(|(z, w)| (z - by * w).norm_squared()).sum();
    (sum / own.len() as f64).sqrt()
}

/// The reflection that lays the partners best on the landmarks: of all
/// orthogonal matrices with determinant -1 the one by singular values.
fn best_reflection(own: &[Vector2<f64>], partners: &[Vector2<f64>]) -> Matrix2<f64> {
    let mut covariance = Matrix2::zeros();
    for (z, w) in own.iter().zip(partners) {
        covariance += z * w.transpose();
    }
    let svd = covariance.svd(true, true);
    let (u, v) = (svd.u.unwrap(), svd.v_t.unwrap());
    u * Matrix2::new(1.0, 0.0, 0.0, -(u * v).determinant().signum()) * v
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn the_mirror_residual_is_that_of_a_superposition(face in uneven(4.0), shot in shot()) {
        let (_, front) = seen(&face, &shot);
        let residual = mirror_residual(&front).unwrap();
        let (own, partners) = sets(&front);
        let reflection = best_reflection(&own, &partners);
        prop_assert!((reflection.determinant() + 1.0).abs() < 1e-12);
        prop_assert!((residual.about_best_axis_mm - rms(&own, &partners, &reflection)).abs() < 1e-9);
        // What a reflection leaves alone is its axis.
        let (sin, cos) = libm::sincos(residual.axis_tilt_degrees.to_radians());
        let axis = Vector2::new(sin, cos);
        prop_assert!((reflection * axis - axis).norm() < 1e-9);
    }

    /// Brute force: no axis through the middle, in steps of half a degree, is
    /// better; and the face is the sum of an even and an uneven part whose
    /// squares add up: Σ|z|² = Σ|s|² + Σ|a|² with Σ|a|² = n/4 · rms².
    #[test]
    fn no_other_axis_is_better(face in uneven(4.0)) {
        let (_, front) = seen(&face, &Shot::LEVEL);
        let residual = mirror_residual(&front).unwrap();
        let (own, partners) = sets(&front);
        let about = |degrees: f64| {
            let (sin, cos) = libm::sincos(2.0 * degrees.to_radians());
            Matrix2::new(-cos, sin, sin, cos)
        };
        let least = residual.about_best_axis_mm;
        for half in 0..360 {
            prop_assert!(rms(&own, &partners, &about(0.5 * f64::from(half))) >= least - 1e-12);
        }
        let best = about(residual.axis_tilt_degrees);
        let (mut whole, mut even, mut odd) = (0.0, 0.0, 0.0);
        for (z, w) in own.iter().zip(&partners) {
            whole += z.norm_squared();
            even += (0.5 * (z + best * w)).norm_squared();
            odd += (0.5 * (z - best * w)).norm_squared();
        }
        prop_assert!((whole - even - odd).abs() < 1e-9 * whole);
        prop_assert!((odd - 0.25 * own.len() as f64 * least * least).abs() < 1e-7);
    }

    /// With nothing but eyes and nose, the midline is the larger eigenvector
    /// of the scatter of four midpoints, found in the photo's own pixels.
    #[test]
    fn the_midline_is_the_larger_eigenvector(face in uneven(1.5), shot in shot()) {
        let sided: Vec<_> = face
            .into_iter()
            .filter(|(l, _)| matches!(l, Landmark::Sided(_, s) if !s.is_brow()))
            .collect();
        let (frame, _) = seen(&sided, &shot);
        let taps = shot.taps(&sided);
        let at = |side, l| -> Point<Photo> { taps.get(Landmark::Sided(side, l)).unwrap() };
        let middles: Vec<Vector2<f64>> = [
            SidedLandmark::Pupil,
            SidedLandmark::InnerCorner,
            SidedLandmark::OuterCorner,
            SidedLandmark::NoseWing,
        ]
        .into_iter()
        .map(|l| at(Side::Right, l).midpoint(at(Side::Left, l)))
        .map(|p| Vector2::new(p.x, p.y))
        .collect();
        let centre = middles.iter().sum::<Vector2<f64>>() / 4.0;
        let mut scatter = Matrix2::zeros();
        for m in &middles {
            scatter += (m - centre) * (m - centre).transpose();
        }
        let eigen = scatter.symmetric_eigen();
        let along = eigen.eigenvectors.column(eigen.eigenvalues.imax()).into_owned();
        // The origin lies on that line and on the pupils' line.
        let origin = Vector2::new(frame.origin().x, frame.origin().y);
        prop_assert!((origin - centre).perp(&along).abs() < 1e-6);
        let (right, left) = (at(Side::Right, SidedLandmark::Pupil), at(Side::Left, SidedLandmark::Pupil));
        prop_assert!((left - right).cross(frame.origin() - right).abs() < 1e-6 * right.distance(left));
        // Its tilt is the angle to the pupils' perpendicular.
        let across = left - right;
        let upward = if along.y > 0.0 { -along } else { along };
        let off = libm::atan2(
            upward.x * across.x + upward.y * across.y,
            upward.x * across.y - upward.y * across.x,
        );
        prop_assert!((off.to_degrees() - frame.midline_tilt_degrees()).abs() < 1e-7);
    }

    /// p' = 2 [a + ((p - a) · u) u] - p, the reflection of any textbook, about
    /// the midline (x = 0): sides change by it, lengths stay, and a closed
    /// path turns the other way round.
    #[test]
    fn the_other_side_is_the_textbooks_reflection(
        x in 0.0..110.0f64, y in -30.0..60.0f64, through in -50.0..50.0f64,
    ) {
        let (a, u) = (Point::new(0.0, through), Vector::new(0.0, 1.0));
        let right = Side::Right.place(Point::<Lateral>::new(x, y));
        let along = a + u * (right - a).dot(u);
        let mirrored = along + (along - right);
        let left = Side::Left.place(Point::<Lateral>::new(x, y));
        prop_assert!(mirrored.distance(left) < 1e-12);
        prop_assert_eq!(Side::Right.place(Side::Left.neutral(left)), right);
    }
}

#[test]
fn a_mirrored_outline_runs_the_other_way_round() {
    let points = BrowPoints {
        front_top: Point::new(15.0, 24.0),
        front_bottom: Point::new(15.0, 16.0),
        peak: Point::new(41.0, 29.5),
        lower_arch: Point::new(42.5, 22.0),
        tail: Point::new(57.0, 15.5),
    };
    let brow = draw(&points, &Form::default(), &Limits::default()).unwrap();
    let signed = |side| {
        let placed = brow.placed(side, &Offset::default());
        kurbo::Shape::area(&placed.path())
    };
    let (right, left) = (signed(Side::Right), signed(Side::Left));
    assert!(right * left < 0.0 && (right + left).abs() < 1e-9);
}
