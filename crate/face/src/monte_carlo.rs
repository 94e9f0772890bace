//! First-order budgets against simulation (JCGM 101:2008): everything that may
//! be off is drawn 10,000 times, the whole chain is computed anew, and the
//! root mean square of what that does must be the stated standard uncertainty
//! within 5 %.

use ophryon_frames::{Front, Photo, Point, Side, Vector};

use crate::input::Input;
use crate::level::midline_marks;
use crate::typical::{solid, uneven_sd_mm};
use crate::view::{View, shift};
use crate::{
    BrowPlace, FaceFrame, FrontFace, Held, Landmark, Landmarks, Lens, MiddleLandmark, Quantity,
    Reference, Scale, SidedLandmark, Survey, Taps,
};

const DRAWS: usize = 10_000;
const WITHIN: f64 = 0.05;

/// Normal draws: Box and Muller over SplitMix64.
struct Draws(u64);

impl Draws {
    fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * libm::log(1.0 - self.even())).sqrt();
        radius * libm::cos(std::f64::consts::TAU * self.even())
    }
}

const PX_PER_MM: f64 = 7.0;

/// A typical face, a little uneven, seen so.
fn taps(view: View, ears: bool) -> Landmarks {
    let mut draws = Draws(11);
    let mut taps = Landmarks::default();
    for landmark in Landmark::in_order() {
        let place = solid(landmark);
        let uneven = [0.4 * draws.normal(), 0.4 * draws.normal()];
        if !ears && matches!(landmark, Landmark::Sided(_, SidedLandmark::EarMiddle)) {
            continue;
        }
        let [x, y] = view
            .ready()
            .of([place.x + uneven[0], place.y + uneven[1], place.z]);
        taps.set(
            landmark,
            Point::new(1500.0 + PX_PER_MM * x, 1800.0 - PX_PER_MM * y),
        );
    }
    taps
}

fn quantities() -> Vec<Quantity> {
    use SidedLandmark as S;
    let right = |l| Landmark::Sided(Side::Right, l);
    let left = |l| Landmark::Sided(Side::Left, l);
    let mut all = vec![
        Quantity::Between(right(S::Pupil), left(S::Pupil)),
        Quantity::Between(right(S::InnerCorner), right(S::OuterCorner)),
        Quantity::Between(left(S::BrowStartBottom), left(S::BrowTail)),
        Quantity::Angle(left(S::BrowPeak), left(S::BrowTail)),
        Quantity::Angle(right(S::InnerCorner), right(S::OuterCorner)),
        Quantity::Height(Landmark::Middle(MiddleLandmark::NoseBase)),
        Quantity::FromMidline(Landmark::Middle(MiddleLandmark::Chin)),
    ];
    for place in BrowPlace::ALL {
        all.push(Quantity::HeightDifference(place));
        all.push(Quantity::FromMidlineDifference(place));
        for side in Side::BOTH {
            all.push(Quantity::BrowHeight(side, place));
            all.push(Quantity::BrowFromMidline(side, place));
        }
    }
    all
}

/// One draw of everything: the levelled face as it would have been measured.
fn drawn(survey: &Survey, landmarks: &Landmarks, pixels: &Pixels, draws: &mut Draws) -> FrontFace {
    let mut tapped = Landmarks::default();
    let mut larger = 0.0;
    for (landmark, p) in landmarks.iter() {
        let sd = survey.spread.of_landmark(landmark);
        let by = Vector::<Photo>::new(sd * draws.normal(), sd * draws.normal());
        tapped.set(landmark, p + by);
    }
    // The caliper's own landmarks make the scale.
    let nearness = survey.distance.nearness();
    let near = nearness.per_mm + nearness.sd * draws.normal();
    for (input, by) in &survey.scale.moves.0 {
        match input {
            Input::Tap(..) => {}
            Input::Nearness => larger += by * (near - nearness.per_mm) / nearness.sd.max(1e-30),
            _ => larger += by * draws.normal(),
        }
    }
    let by_caliper = pixels.caliper_between(landmarks) / pixels.caliper_between(&tapped);
    let mm_per_px = survey.scale.scale.mm_per_px() * libm::exp(larger) * by_caliper;
    let beside: Vec<(Landmark, f64)> = midline_marks()
        .map(|l| {
            let sd = uneven_sd_mm(l) * survey.pose.pose.unevenness;
            (l, sd * draws.normal())
        })
        .collect();
    let frame =
        FaceFrame::fit_beside(&tapped, Scale::new(mm_per_px, 0.01).unwrap(), &beside).unwrap();
    let face = FrontFace::new(&tapped, &frame).unwrap();
    let pose = survey.pose.pose;
    let view = View {
        yaw: (pose.yaw.degrees + pose.yaw.sd * draws.normal()).to_radians(),
        pitch: (pose.pitch.degrees + pose.pitch.sd * draws.normal()).to_radians(),
        nearness: near,
    };
    let nearer: Vec<(Landmark, f64)> = face
        .points
        .keys()
        .filter(|l| **l <= l.partner())
        .map(|l| (*l, solid(*l).z_sd * draws.normal()))
        .collect();
    // The view comes before the taps: what it does to the face is not tapped.
    let seen = view.levelled(&survey.face, &nearer).unwrap();
    let mut moved = face;
    for (landmark, by) in shift(&survey.face, &seen) {
        let p = moved.points.get_mut(&landmark).unwrap();
        *p = *p + by;
    }
    moved
}

/// The caliper's span in the photo, where the scale is by a caliper.
struct Pixels(Option<[Landmark; 2]>);

impl Pixels {
    fn caliper_between(&self, taps: &Landmarks) -> f64 {
        let Some([a, b]) = self.0 else { return 1.0 };
        taps.get(a).unwrap().distance(taps.get(b).unwrap())
    }
}

fn compare(name: &str, landmarks: &Landmarks, reference: Reference, lens: Option<Lens>) {
    let survey = Survey::of(&Taps::from(landmarks), &[reference], lens).unwrap();
    let influences = survey.influences().unwrap();
    let pixels = Pixels(match reference {
        Reference::Caliper { between, .. } => Some(between),
        _ => None,
    });
    let value = |face: &FrontFace, q: Quantity| {
        let at = |l: Landmark| -> Option<Point<Front>> { face.points.get(&l).copied() };
        q.value(&at).unwrap()
    };
    let quantities = quantities();
    let mut squares = vec![0.0; quantities.len()];
    let mut draws = Draws(2024);
    for _ in 0..DRAWS {
        let face = drawn(&survey, landmarks, &pixels, &mut draws);
        for (square, q) in squares.iter_mut().zip(&quantities) {
            let off = value(&face, *q) - value(&survey.face, *q);
            *square += off * off / DRAWS as f64;
        }
    }
    for (square, q) in squares.iter().zip(&quantities) {
        let (seen, stated) = (square.sqrt(), influences.of_quantity(*q).unwrap().sd());
        assert!(
            (stated / seen - 1.0).abs() < WITHIN,
            "{name}, {q:?}: stated {stated}, simulated {seen}"
        );
    }
}

fn card() -> Reference {
    Reference::Card {
        long: [
            Point::new(100.0, 1500.0),
            Point::new(100.0, 1500.0 + 85.6 * PX_PER_MM),
        ],
        short: None,
        held: Held::Forehead,
    }
}

#[test]
fn budgets_are_what_simulation_finds() {
    let metre = Lens::from_equivalent(1000.0 * PX_PER_MM);
    let near = Lens::from_equivalent(500.0 * PX_PER_MM);
    let turned = View {
        yaw: 0.03,
        pitch: -0.04,
        nearness: 0.002,
    };
    compare("straight", &taps(View::FRONT, true), card(), Some(metre));
    compare("turned and near", &taps(turned, true), card(), Some(near));
    compare("no ears, no lens", &taps(View::FRONT, false), card(), None);
    let caliper = Reference::Caliper {
        between: Side::BOTH.map(|s| Landmark::Sided(s, SidedLandmark::Pupil)),
        distance_mm: 63.0,
    };
    compare("by caliper", &taps(View::FRONT, true), caliper, Some(metre));
}
