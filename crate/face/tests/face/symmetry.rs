//! Evenness, against a superposition by singular values (nalgebra).

use nalgebra::{Matrix2, Vector2};
use ophryon_face::{FrontFace, Landmark, SidedLandmark, brow_differences, mirror_residual};
use ophryon_frames::{Front, Point, Side};
use proptest::prelude::*;

use crate::mean_face::{Face, mean_face, moved, sided};

fn front(face: &Face) -> FrontFace {
    FrontFace {
        points: face
            .iter()
            .map(|(l, [x, y])| (*l, Point::new(*x, *y)))
            .collect(),
    }
}

/// Turned about the origin, counter-clockwise.
fn turned(face: &FrontFace, degrees: f64) -> FrontFace {
    let origin = Point::<Front>::new(0.0, 0.0);
    let points = face
        .points
        .iter()
        .map(|(l, p)| (*l, origin + (*p - origin).turned(degrees)));
    FrontFace {
        points: points.collect(),
    }
}

/// The face laid over its reflected, relabelled copy by a proper rotation
/// (Kabsch by SVD): rms distance left, and the direction of the mirror axis.
fn superposed(face: &FrontFace) -> (f64, Vector2<f64>) {
    let labels: Vec<Landmark> = face
        .points
        .keys()
        .copied()
        .filter(|l| !l.is_brow())
        .collect();
    let v = |l: &Landmark| Vector2::new(face.points[l].x, face.points[l].y);
    let n = labels.len() as f64;
    let reflect = Matrix2::new(-1.0, 0.0, 0.0, 1.0);
    let original: Vec<Vector2<f64>> = labels.iter().map(v).collect();
    let copy: Vec<Vector2<f64>> = labels.iter().map(|l| reflect * v(&l.partner())).collect();
    let middle = |of: &[Vector2<f64>]| of.iter().sum::<Vector2<f64>>() / n;
    let (a, b) = (middle(&original), middle(&copy));
    let mut covariance = Matrix2::zeros();
    for (p, q) in original.iter().zip(&copy) {
        covariance += (p - a) * (q - b).transpose();
    }
    let svd = covariance.svd(true, true);
    let (u, vt) = (svd.u.unwrap(), svd.v_t.unwrap());
    let proper = Matrix2::new(1.0, 0.0, 0.0, (u * vt).determinant().signum());
    let rotation = u * proper * vt;
    let left: f64 = original
        .iter()
        .zip(&copy)
        .map(|(p, q)| ((p - a) - rotation * (q - b)).norm_squared())
        .sum();
    // The whole map is a reflection; what it leaves alone is the axis.
    let eigen = (rotation * reflect).symmetric_eigen();
    let axis = eigen
        .eigenvectors
        .column(eigen.eigenvalues.imax())
        .into_owned();
    ((left / n).sqrt(), if axis.y < 0.0 { -axis } else { axis })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn closed_form_agrees_with_the_superposition(
        off in proptest::collection::vec((-4.0..4.0f64, -4.0..4.0f64), 27), degrees in -40.0..40.0f64,
    ) {
        let mut face = mean_face();
        for ((_, at), (x, y)) in face.iter_mut().zip(off) {
            *at = [at[0] + x, at[1] + y];
        }
        let face = turned(&front(&face), degrees);
        let residual = mirror_residual(&face).unwrap();
        let (rms, axis) = superposed(&face);
        prop_assert!((residual.about_best_axis_mm - rms).abs() < 1e-9);
        let tilt = libm::atan2(axis.x, axis.y).to_degrees();
        prop_assert!((residual.axis_tilt_degrees - tilt).abs() < 1e-7);
        prop_assert!(residual.about_best_axis_mm <= residual.about_upright_mm + 1e-12);
    }

    /// The axis follows the face, and how uneven it is stays.
    #[test]
    fn turning_a_face_turns_its_axis(degrees in -60.0..60.0f64, x in -5.0..5.0f64) {
        let wing = sided(Side::Left, SidedLandmark::NoseWing);
        let face = front(&moved(mean_face(), wing, x, 0.0));
        let before = mirror_residual(&face).unwrap();
        let after = mirror_residual(&turned(&face, degrees)).unwrap();
        prop_assert!((before.about_best_axis_mm - after.about_best_axis_mm).abs() < 1e-9);
        // Counter-clockwise: the upper end goes toward the client's right.
        prop_assert!((after.axis_tilt_degrees - before.axis_tilt_degrees + degrees).abs() < 1e-9);
    }
}

#[test]
fn an_even_face_is_its_own_mirror_image() {
    let residual = mirror_residual(&front(&mean_face())).unwrap();
    assert!(residual.about_upright_mm < 1e-12 && residual.about_best_axis_mm < 1e-12);
    assert!(residual.axis_tilt_degrees.abs() < 1e-9 && residual.axis_through.x.abs() < 1e-12);
    // Six pairs less the brows: seven sided landmarks twice, three of the middle.
    assert_eq!(residual.landmarks, 17);
}

/// By hand: one landmark of 17 is 3 mm off, so it and its partner each miss
/// by 3 mm: rms = 3 √(2/17).
#[test]
fn one_landmark_off_in_closed_form() {
    let corner = sided(Side::Right, SidedLandmark::OuterCorner);
    let residual = mirror_residual(&front(&moved(mean_face(), corner, 0.0, 3.0))).unwrap();
    assert!((residual.about_upright_mm - 3.0 * (2.0f64 / 17.0).sqrt()).abs() < 1e-12);
    // Least squares smears it over the whole face (Torcida et al. 2016).
    assert!(residual.about_best_axis_mm < residual.about_upright_mm);
}

#[test]
fn nothing_to_compare_is_none_and_brows_do_not_count() {
    assert_eq!(mirror_residual(&FrontFace::default()), None);
    let mut alone = FrontFace::default();
    let pupil = sided(Side::Right, SidedLandmark::Pupil);
    alone.points.insert(pupil, Point::new(-31.0, 0.0));
    assert_eq!(mirror_residual(&alone), None);

    let tail = sided(Side::Right, SidedLandmark::BrowTail);
    assert_eq!(
        mirror_residual(&front(&moved(mean_face(), tail, 5.0, 5.0))),
        mirror_residual(&front(&mean_face()))
    );
}

#[test]
fn brow_differences_are_positive_where_the_clients_right_is_higher_or_farther() {
    use SidedLandmark as S;
    let mut face = mean_face();
    for l in [S::BrowStartTop, S::BrowStartBottom, S::BrowPeak] {
        face = moved(face, sided(Side::Right, l), 0.0, 2.0);
    }
    face = moved(face, sided(Side::Left, S::BrowTail), 1.5, 0.5);
    let d = brow_differences(&front(&face)).unwrap();
    let close = |a: f64, b: f64| (a - b).abs() < 1e-12;
    assert!(close(d.start.height_mm, 2.0) && close(d.start.from_midline_mm, 0.0));
    assert!(close(d.peak.height_mm, 2.0) && close(d.peak.from_midline_mm, 0.0));
    assert!(close(d.tail.height_mm, -0.5) && close(d.tail.from_midline_mm, -1.5));
    // Right farther out: x is more negative there.
    let out = moved(mean_face(), sided(Side::Right, S::BrowPeak), -1.0, 0.0);
    assert!(close(
        brow_differences(&front(&out)).unwrap().peak.from_midline_mm,
        1.0
    ));

    let mut missing = front(&mean_face());
    missing.points.remove(&sided(Side::Left, S::BrowTail));
    let error = brow_differences(&missing).unwrap_err().to_string();
    assert!(
        error.contains("tail end of the client's left brow"),
        "{error}"
    );
}
