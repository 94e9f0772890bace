//! A photo that nobody took: an invented head before a pinhole camera, tapped
//! by a hand that is not quite sure, and what is true of the head.
//!
//! Nothing is drawn; only landmarks are projected, by the generator of the
//! demo photos, which shares no code with the product.

use std::collections::BTreeMap;

use ophryon_demo::{
    CARD_LONG, Camera, Chance, Face, Head, Landmarks as Truth, Vec3, landmarks_of, v3,
};
use ophryon_face::{
    BrowPlace, Held, Landmark, Landmarks, Lens, MiddleLandmark, Quantity, Reference, SidedLandmark,
    Survey, SurveyError, Taps,
};
use ophryon_frames::{Front, Photo, Point, Side};

/// Some landmarks are tapped several times.
#[derive(Debug, Clone, Copy)]
pub struct Again {
    /// How many landmarks, from the first one asked for.
    pub landmarks: usize,
    /// How many taps each.
    pub taps: usize,
}

/// How the photos of a lot are taken.
#[derive(Debug, Clone, Copy)]
pub struct Lot {
    /// Both ears are tapped.
    pub ears: bool,
    /// The photo says its focal length.
    pub lens: bool,
    /// Standard deviation of every tap in each direction, mm on the face.
    pub tap_mm: f64,
    /// Landmarks that are tapped again.
    pub again: Option<Again>,
    /// The camera's distance, mm.
    pub distance_mm: [f64; 2],
    /// Yaw, pitch and roll within, degrees.
    pub turn_degrees: f64,
}

impl Lot {
    /// What the figures are stated for.
    pub const STATED: Self = Self {
        ears: true,
        lens: true,
        tap_mm: 0.3,
        again: None,
        distance_mm: [500.0, 1500.0],
        turn_degrees: 5.0,
    };
}

/// One simulated photo.
pub struct Simulated {
    pub landmarks: Landmarks,
    pub repeated: BTreeMap<Landmark, Vec<Point<Photo>>>,
    pub card: Reference,
    pub lens: Option<Lens>,
    /// The landmarks from the front and far away, mm: what is true.
    pub truth: BTreeMap<Landmark, Point<Front>>,
    /// Turn against the line from the camera to the head, degrees.
    pub yaw_degrees: f64,
    pub pitch_degrees: f64,
    pub distance_mm: f64,
}

impl Simulated {
    pub fn new(seed: u64, lot: &Lot) -> Self {
        let head = Head::random(seed);
        let face = Face::of(&head);
        let mut chance = Chance::new(seed.wrapping_mul(0x9E37_79B9) ^ 0x00C0_FFEE);
        let camera = camera(&mut chance, lot);
        let mut solid = places(&landmarks_of(&head, &face));
        vary(&mut solid, &mut Chance::new(seed ^ 0xFACE));
        let truth = solid
            .iter()
            .map(|(l, p)| (*l, Point::new(p.x, p.y)))
            .collect();
        let px_per_mm = camera.focal / camera.distance;
        let mut tap = |(x, y): (f64, f64)| {
            let off = lot.tap_mm * px_per_mm;
            Point::<Photo>::new(
                (x + off * chance.normal()).round(),
                (y + off * chance.normal()).round(),
            )
        };
        let mut landmarks = Landmarks::default();
        let mut repeated = BTreeMap::new();
        for landmark in Landmark::in_order() {
            let ear = matches!(landmark, Landmark::Sided(_, SidedLandmark::EarMiddle));
            if ear && !lot.ears {
                continue;
            }
            let (_, place) = solid.iter().find(|(l, _)| *l == landmark).unwrap();
            let seen = camera.project(*place);
            match lot.again.filter(|a| repeated.len() < a.landmarks) {
                Some(Again { taps, .. }) => {
                    let all: Vec<_> = (0..taps).map(|_| tap(seen)).collect();
                    let share = 1.0 / taps as f64;
                    let mean = Point::new(
                        share * all.iter().map(|p| p.x).sum::<f64>(),
                        share * all.iter().map(|p| p.y).sum::<f64>(),
                    );
                    landmarks.set(landmark, mean);
                    repeated.insert(landmark, all);
                }
                None => {
                    landmarks.set(landmark, tap(seen));
                }
            }
        }
        let brow_plane = brow_plane(&camera, &solid);
        let card = card(&mut Chance::new(seed ^ 0xCA4D), brow_plane, |p| {
            tap(camera.project_scene(p))
        });
        // The line of sight to the head, not the optical axis, is what a turn
        // is against.
        let aside = |offset: f64| libm::atan(offset / camera.distance).to_degrees();
        Self {
            landmarks,
            repeated,
            card,
            lens: lot.lens.then(|| {
                let off = 1.0 + 0.03 * Chance::new(seed ^ 0x1E45).normal();
                Lens::from_equivalent(camera.focal * off)
            }),
            truth,
            yaw_degrees: camera.yaw + aside(camera.offset.0),
            pitch_degrees: camera.pitch + aside(camera.offset.1),
            distance_mm: camera.distance - brow_plane,
        }
    }

    pub fn survey(&self) -> Result<Survey, SurveyError> {
        let taps = Taps {
            repeated: &self.repeated,
            ..Taps::from(&self.landmarks)
        };
        Survey::of(&taps, &[self.card], self.lens)
    }

    /// The true value of a quantity.
    pub fn true_value(&self, quantity: Quantity) -> f64 {
        quantity
            .value(&|l| self.truth.get(&l).copied())
            .expect("every landmark of the head is known")
    }
}

fn camera(chance: &mut Chance, lot: &Lot) -> Camera {
    let distance = chance.between(lot.distance_mm[0], lot.distance_mm[1]);
    let most = lot.turn_degrees;
    Camera {
        distance,
        // A face across a fair part of a telephone's photo.
        focal: chance.between(6.0, 12.0) * distance,
        yaw: chance.between(-most, most),
        pitch: chance.between(-most, most),
        roll: chance.between(-most, most),
        principal: (2000.0, 2000.0),
        offset: (chance.between(-20.0, 20.0), chance.between(-20.0, 20.0)),
        size: (4000, 4000),
    }
}

fn places(truth: &Truth) -> Vec<(Landmark, Vec3)> {
    truth
        .each()
        .into_iter()
        .map(|(group, id, place)| {
            let landmark = Landmark::from_id(&format!("{group}/{id}")).expect("an id of ours");
            (landmark, place)
        })
        .collect()
}

/// Invented heads are more alike in depth, and more even, than people are:
/// this adds what is missing. Level stays level: the pupils' heights are what
/// level is.
///
/// Unevenness: mirrored landmarks miss one another by 0.96 mm on average (Chou
/// et al., J Clin Med 2019;8:648; abstract), so with normal deviations in the
/// plane each coordinate of a pair differs by 0.77 mm (SD; mean of a Rayleigh
/// distribution 1.25 SD), and a place of the middle lies off by 0.6 mm (mean
/// of the absolute value 0.8 SD). Chin, ears and all depths: ours.
fn vary(solid: &mut [(Landmark, Vec3)], chance: &mut Chance) {
    use SidedLandmark as S;
    let mut normal = |sd: f64| sd * chance.normal();
    let ridge = normal(2.5);
    let deep = |l: S| match l {
        S::Pupil => 0.0,
        S::IrisOuterRim => 0.5,
        S::InnerCorner | S::LowerLid => 1.5,
        S::OuterCorner => 2.0,
        S::NoseWing => 2.5,
        S::EarMiddle => 5.0,
        S::BrowTail => 2.0,
        _ => 1.0,
    };
    let (mut depth_of, mut higher_of) = (BTreeMap::new(), BTreeMap::new());
    for l in S::ALL {
        let own = normal(deep(l)) + if l.is_brow() { ridge } else { 0.0 };
        depth_of.insert(l, own);
        // Where an ear sits, alike on both sides.
        let higher = if l == S::EarMiddle { normal(3.0) } else { 0.0 };
        higher_of.insert(l, higher);
    }
    for (landmark, place) in solid.iter_mut() {
        match *landmark {
            Landmark::Sided(_, l) => {
                let (aside, up, nearer) = match l {
                    S::Pupil => (0.54, 0.0, 0.3),
                    S::EarMiddle => (1.2, 1.5, 2.0),
                    _ => (0.54, 0.54, 0.7),
                };
                place.x += normal(aside);
                place.y += normal(up) + higher_of[&l];
                place.z += normal(nearer) + depth_of[&l];
            }
            Landmark::Middle(MiddleLandmark::Chin) => {
                place.x += normal(1.2);
                place.z += normal(6.0);
            }
            Landmark::Middle(_) => {
                place.x += normal(0.6);
                place.y += normal(1.0);
                place.z += normal(3.0);
            }
        }
    }
}

/// Depth of the brows in the scene: mean of start, peak and tail.
fn brow_plane(camera: &Camera, solid: &[(Landmark, Vec3)]) -> f64 {
    let turn = camera.turn();
    let depth = |l| {
        let found = solid.iter().find(|(landmark, _)| *landmark == l);
        turn.to_scene(found.expect("a landmark of the head").1).z
    };
    let mut sum = 0.0;
    for side in Side::BOTH {
        for place in BrowPlace::ALL {
            let all = place.landmarks();
            for l in all {
                sum += depth(Landmark::Sided(side, *l)) / (6.0 * all.len() as f64);
            }
        }
    }
    sum
}

/// A card beside the face, in the plane of the brows as well as a hand holds
/// it: some millimetres off, tilted by up to 4 degrees about any axis.
fn card(
    chance: &mut Chance,
    brow_plane: f64,
    mut tap: impl FnMut(Vec3) -> Point<Photo>,
) -> Reference {
    let depth = brow_plane + 5.0 * chance.normal();
    let (sin, cos) = libm::sincos(chance.between(0.0, 4.0_f64).to_radians());
    let (axis_y, axis_x) = libm::sincos(chance.between(0.0, std::f64::consts::TAU));
    let middle = v3(-118.0, 5.0, depth);
    // Turned about the axis (axis_x, axis_y, 0): Rodrigues.
    let mut at = |x: f64, y: f64| {
        let along = axis_x * x + axis_y * y;
        let (rest_x, rest_y) = (x - along * axis_x, y - along * axis_y);
        let lift = axis_x * y - axis_y * x;
        tap(middle
            + v3(
                along * axis_x + rest_x * cos,
                along * axis_y + rest_y * cos,
                lift * sin,
            ))
    };
    Reference::Card {
        long: [at(0.0, -CARD_LONG / 2.0), at(0.0, CARD_LONG / 2.0)],
        short: None,
        held: Held::BrowPlane,
    }
}
