//! The closed form against the published one: Umeyama S. Least-squares
//! estimation of transformation parameters between two point patterns. IEEE
//! TPAMI 1991;13:376-80 (equations 39 to 43, from memory), by the singular
//! values of a linear-algebra library.

use nalgebra::{Matrix2, Vector2};
use ophryon_demo::Chance;
use ophryon_face::{Alignment, FrontFace, Landmark, Landmarks, STEADY, SidedLandmark};
use ophryon_frames::{Point, Side, Vector};

/// Where the steady landmarks of a typical face lie, mm from the front.
const TYPICAL: [(f64, f64); 8] = [
    (-44.5, 0.6),
    (-16.0, -1.0),
    (16.0, -1.0),
    (44.5, 0.6),
    (17.0, -37.0),
    (-17.0, -37.0),
    (0.0, 6.0),
    (0.0, -46.0),
];

/// A place in both photos, y up in both.
type Pair = (Vector2<f64>, Vector2<f64>);

struct Taken {
    taps: Landmarks,
    face: FrontFace,
    pairs: Vec<Pair>,
}

/// Two photos of a face that is only roughly the same, turned by anything.
fn taken(chance: &mut Chance, noise_mm: f64) -> Taken {
    let px_per_mm = chance.between(2.0, 30.0);
    let turn = chance.between(-179.0, 179.0);
    let (mut taps, mut face) = (Landmarks::default(), FrontFace::default());
    let mut pairs = Vec::new();
    for (landmark, (x, y)) in STEADY.into_iter().zip(TYPICAL) {
        let mut off = || noise_mm * chance.normal();
        let place = Point::new(x + off(), y + off());
        let seen = Vector::<ophryon_frames::Front>::new(x + off(), y + off()).turned(turn);
        let at = Point::new(1500.0 + px_per_mm * seen.x, 1900.0 - px_per_mm * seen.y);
        taps.set(landmark, at);
        face.points.insert(landmark, place);
        // Umeyama's frame has both with y up.
        pairs.push((Vector2::new(at.x, -at.y), Vector2::new(place.x, place.y)));
    }
    Taken { taps, face, pairs }
}

/// Scale c, rotation R and translation t of Umeyama, and the mean square left.
fn umeyama(pairs: &[Pair]) -> (f64, Matrix2<f64>, Vector2<f64>, f64) {
    let n = pairs.len() as f64;
    let mean = |of: fn(&Pair) -> Vector2<f64>| pairs.iter().map(of).sum::<Vector2<f64>>() / n;
    let (x, y) = (mean(|p| p.0), mean(|p| p.1));
    let variance = |of: &dyn Fn(&Pair) -> Vector2<f64>| {
        pairs.iter().map(|p| of(p).norm_squared()).sum::<f64>() / n
    };
    let (of_x, of_y) = (variance(&|p| p.0 - x), variance(&|p| p.1 - y));
    let covariance = pairs
        .iter()
        .map(|(a, b)| (b - y) * (a - x).transpose())
        .sum::<Matrix2<f64>>()
        / n;
    let svd = covariance.svd(true, true);
    let (u, v_t) = (svd.u.expect("asked for"), svd.v_t.expect("asked for"));
    let mut s = Matrix2::identity();
    if (u.determinant() * v_t.determinant()) < 0.0 {
        s[(1, 1)] = -1.0;
    }
    let rotation = u * s * v_t;
    let trace = (Matrix2::from_diagonal(&svd.singular_values) * s).trace();
    let scale = trace / of_x;
    let left = of_y - trace * trace / of_x;
    (scale, rotation, y - scale * rotation * x, left)
}

#[test]
fn the_closed_form_is_umeyamas_solution() {
    let mut chance = Chance::new(7);
    for _ in 0..5_000 {
        let noise = [0.0, 0.3, 3.0, 20.0][(chance.bits() % 4) as usize];
        let taken = taken(&mut chance, noise);
        let found = Alignment::fit(&taken.taps, &taken.face).expect("they are all there");
        let (scale, rotation, translation, left) = umeyama(&taken.pairs);
        assert!((found.mm_per_px() / scale - 1.0).abs() < 1e-9);
        for (at, _) in &taken.pairs {
            let theirs = scale * rotation * at + translation;
            let ours = found.to_front(Point::new(at.x, -at.y));
            assert!((ours.x - theirs.x).abs() < 1e-8 && (ours.y - theirs.y).abs() < 1e-8);
            let back = found.to_photo(ours);
            assert!(back.distance(Point::new(at.x, -at.y)) < 1e-7);
        }
        assert!((found.rms_mm - left.max(0.0).sqrt()).abs() < 1e-6);
    }
}

#[test]
fn a_wrong_tap_is_named_and_a_turned_head_is_another_thing() {
    let mut chance = Chance::new(11);
    for i in 0..500 {
        let mut taken = taken(&mut chance, 0.3);
        let sound = Alignment::fit(&taken.taps, &taken.face).expect("they are all there");
        assert_eq!(sound.caution(), None, "{sound:?}");
        let wrong = STEADY[i % STEADY.len()];
        let at = taken.taps.get(wrong).expect("tapped");
        let by = 5.0 / sound.mm_per_px();
        taken.taps.set(
            wrong,
            at + Vector::new(by, 0.0).turned(chance.between(0.0, 360.0)),
        );
        let found = Alignment::fit(&taken.taps, &taken.face).expect("they are all there");
        assert_eq!(found.worst, wrong);
        let said = found.caution().expect("5 mm are seen");
        assert!(said.starts_with(&format!("The {wrong} lies ")), "{said}");
    }
    // Ten degrees further round: the nose goes to the side, no tap is wrong.
    let mut taken = taken(&mut chance, 0.0);
    let face = &mut taken.face;
    for (landmark, p) in &mut face.points {
        let forward = match landmark {
            Landmark::Sided(_, SidedLandmark::OuterCorner) => -8.0,
            Landmark::Sided(_, SidedLandmark::NoseWing) => 10.0,
            Landmark::Middle(_) => 17.0,
            Landmark::Sided(..) => 0.0,
        };
        p.x += forward * libm::sin(10.0_f64.to_radians());
    }
    let found = Alignment::fit(&taken.taps, face).expect("they are all there");
    let said = found.caution().expect("it is seen");
    assert!(said.contains("turned or tipped"), "{said}");
}

#[test]
fn a_missing_corner_is_asked_for_and_the_middle_can_be_left_out() {
    let mut taken = taken(&mut Chance::new(3), 0.3);
    for landmark in STEADY {
        let mut taps = taken.taps.clone();
        taps.remove(landmark);
        let found = Alignment::fit(&taps, &taken.face);
        match landmark {
            Landmark::Middle(_) => assert_eq!(found.expect("without it").landmarks, 7),
            _ => {
                let said = found.expect_err("it is needed").to_string();
                assert_eq!(said, format!("the {landmark} is missing; tap it"));
            }
        }
    }
    let pupil = Landmark::Sided(Side::Left, SidedLandmark::OuterCorner);
    taken.taps.set(pupil, Point::new(f64::NAN, 1.0));
    assert!(Alignment::fit(&taken.taps, &taken.face).is_err());
}
