//! The three invented clients.

use crate::camera::Camera;
use crate::hair::{Hair, HairStyle};
use crate::head::{Brow, Expression, Head, Lift, Proportions, SideFeatures, spot};
use crate::scale_object::{ScaleKind, ScaleObject};
use crate::skin::Skin;
use crate::vec3::v3;

/// Depth at which the scale objects are held: the middle of the brows' depth
/// (start at 12, tail at -14), so that near and far landmarks share the cost
/// of perspective.
const SCALE_Z: f64 = -5.0;

/// One photograph to be taken.
#[derive(Debug, Clone)]
pub struct Shot {
    /// "relaxed" or "eyes-open"; the file is called so too.
    pub state: &'static str,
    /// The head with its expression.
    pub head: Head,
    /// The camera.
    pub camera: Camera,
    /// What is held beside the face.
    pub scale: ScaleObject,
    /// Invented date and time, as EXIF writes them.
    pub taken: &'static str,
}

/// An invented client.
#[derive(Debug, Clone)]
pub struct Client {
    /// Invented code, also the folder's name.
    pub code: &'static str,
    /// Invented first name.
    pub first_name: &'static str,
    /// What the brows' difference is: "even", "set" or "movement".
    pub difference: &'static str,
    /// Relaxed, then eyes open.
    pub shots: Vec<Shot>,
}

/// All three.
pub fn clients() -> Vec<Client> {
    vec![even(), set(), movement()]
}

fn shots(
    head: &Head,
    cameras: [Camera; 2],
    acts: [Expression; 2],
    scale: ScaleObject,
) -> Vec<Shot> {
    let taken = ["2026:03:14 10:12:00", "2026:03:14 10:13:30"];
    ["relaxed", "eyes-open"]
        .into_iter()
        .zip(cameras)
        .zip(acts)
        .zip(taken)
        .map(|(((state, camera), expression), taken)| Shot {
            state,
            head: Head {
                expression,
                ..head.clone()
            },
            camera,
            scale,
            taken,
        })
        .collect()
}

fn lifts(right: Lift, left: Lift) -> Expression {
    let mut e = Expression::eyes_open(right);
    e.left.lift = left;
    e
}

const fn lift(start: f64, peak: f64, tail: f64) -> Lift {
    Lift { start, peak, tail }
}

/// Between two photos a head moves a little.
fn second(camera: Camera, x: f64, y: f64, roll: f64) -> Camera {
    Camera {
        offset: (camera.offset.0 + x, camera.offset.1 + y),
        roll: camera.roll + roll,
        ..camera
    }
}

fn even() -> Client {
    let brow = Brow::default();
    let head = Head {
        right: SideFeatures {
            outer_corner: (0.1, 0.5),
            nose_wing: (0.1, 0.1),
            ear_height: 0.5,
            brow,
            ..SideFeatures::default()
        },
        left: SideFeatures {
            inner_corner: (0.1, -1.3),
            outer_corner: (0.0, 0.7),
            nose_wing: (-0.1, -0.1),
            ear_height: -0.4,
            brow: brow.moved(0.1, 0.1),
        },
        skin: Skin::tone(2),
        hair: Hair {
            cloth: [0.30, 0.36, 0.38],
            ..Hair::of(1, 1, HairStyle::Back)
        },
        seed: 11,
        ..Head::default()
    };
    let camera = Camera::default();
    let mut rest = Expression::relaxed();
    rest.left.lid += 0.15;
    let open = lifts(lift(0.5, 0.8, 0.4), lift(0.5, 0.8, 0.4));
    let scale = ScaleObject {
        kind: ScaleKind::Card,
        centre: v3(122.0, 6.0, SCALE_Z),
        turn: 0.8,
    };
    Client {
        code: "demo-even",
        first_name: "Ilvane",
        difference: "even",
        shots: shots(
            &head,
            [camera, second(camera, 0.8, -0.6, 0.3)],
            [rest, open],
            scale,
        ),
    }
}

fn set() -> Client {
    let face = Proportions {
        pupil_distance: 65.0,
        inner_corner_distance: 34.2,
        outer_corner_distance: 91.0,
        nose_width: 36.0,
        nose_base_y: -45.0,
        mouth_y: -66.0,
        chin_y: -117.0,
        face_breadth: 141.0,
        head_breadth: 152.0,
        brow_radius: 82.0,
        nose_projection: 0.93,
        iris_diameter: 11.9,
        pupil_diameter: 3.8,
        ear: (76.4, -10.0, -88.0),
        lip_fullness: 1.2,
    };
    let brow = Brow {
        start_top: spot(17.2, 20.2),
        start_bottom: spot(16.3, 12.8),
        peak: spot(43.2, 24.6),
        lower_arch: spot(44.6, 18.2),
        tail: spot(58.0, 13.6),
        density: 3.2,
    };
    let head = Head {
        face,
        right: SideFeatures {
            outer_corner: (0.0, 0.8),
            nose_wing: (-0.1, 0.1),
            ear_height: -0.5,
            brow,
            ..SideFeatures::default()
        },
        left: SideFeatures {
            outer_corner: (0.1, 1.0),
            nose_wing: (0.1, 0.0),
            ear_height: 0.5,
            // Two millimetres higher on the client's left, at rest and in use.
            brow: brow.moved(0.2, 2.0),
            ..SideFeatures::default()
        },
        skin: Skin::tone(4),
        hair: Hair {
            cloth: [0.45, 0.30, 0.20],
            ..Hair::of(0, 0, HairStyle::Parted)
        },
        seed: 23,
        ..Head::default()
    };
    let camera = Camera {
        roll: 1.6,
        ..Camera::default()
    };
    let open = lifts(lift(0.4, 0.7, 0.4), lift(0.5, 0.8, 0.4));
    let scale = ScaleObject {
        kind: ScaleKind::Sticker { diameter: 20.0 },
        centre: v3(-116.0, 8.0, SCALE_Z),
        turn: -1.5,
    };
    Client {
        code: "demo-set",
        first_name: "Tamsuri",
        difference: "set",
        shots: shots(
            &head,
            [camera, second(camera, -0.6, 0.9, -0.4)],
            [Expression::relaxed(), open],
            scale,
        ),
    }
}

fn movement() -> Client {
    let face = Proportions {
        pupil_distance: 61.4,
        inner_corner_distance: 31.2,
        outer_corner_distance: 87.2,
        nose_width: 31.8,
        nose_base_y: -47.0,
        mouth_y: -68.5,
        chin_y: -120.0,
        face_breadth: 136.0,
        head_breadth: 149.0,
        brow_radius: 78.0,
        nose_projection: 1.05,
        iris_diameter: 11.6,
        pupil_diameter: 3.3,
        ear: (75.4, -12.0, -87.0),
        lip_fullness: 0.9,
    };
    let brow = Brow {
        start_top: spot(15.6, 20.4),
        start_bottom: spot(14.9, 14.4),
        peak: spot(41.2, 26.0),
        lower_arch: spot(42.8, 20.6),
        tail: spot(55.4, 15.4),
        density: 3.0,
    };
    let head = Head {
        face,
        right: SideFeatures {
            ear_height: 0.6,
            nose_wing: (0.1, 0.0),
            brow,
            ..SideFeatures::default()
        },
        left: SideFeatures {
            inner_corner: (0.0, -1.0),
            nose_wing: (0.0, 0.15),
            ear_height: -0.2,
            brow: brow.moved(-0.1, 0.2),
            ..SideFeatures::default()
        },
        skin: Skin::tone(0),
        hair: Hair {
            cloth: [0.40, 0.42, 0.50],
            ..Hair::of(3, 4, HairStyle::Band)
        },
        seed: 37,
        ..Head::default()
    };
    let camera = Camera {
        roll: -0.4,
        ..Camera::default()
    };
    // The forehead lifts the client's left brow about two millimetres more.
    let open = lifts(lift(0.3, 0.5, 0.3), lift(1.7, 2.5, 1.6));
    let scale = ScaleObject {
        kind: ScaleKind::Ruler { length: 150.0 },
        centre: v3(112.0, -4.0, SCALE_Z),
        turn: -0.6,
    };
    Client {
        code: "demo-movement",
        first_name: "Oriske",
        difference: "movement",
        shots: shots(
            &head,
            [camera, second(camera, 0.5, 0.4, 0.5)],
            [Expression::relaxed(), open],
            scale,
        ),
    }
}
