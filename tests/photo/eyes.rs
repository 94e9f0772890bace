//! Eyes drawn with known truth, under chosen conditions.

use ophryon_demo::{
    Camera, Chance, Client, Conditions, Eye, EyePart, Glint, Head, Picture, Shot, Side, landmarks,
    looks, render_under, v3,
};
use ophryon_frames::{Photo, Point};
use ophryon_photo::{Layout, Pixels, Size};

/// One eye in a small picture, and where its iris is.
pub struct Drawn {
    pub picture: Picture,
    pub px_per_mm: f64,
    /// Middle of the iris, px.
    pub middle: Point<Photo>,
    /// Half its width, px.
    pub radius: f64,
    /// Share of the rim that lids cover.
    pub covered: f64,
}

impl Drawn {
    pub fn pixels(&self) -> Pixels<'_> {
        let size = Size::new(self.picture.width, self.picture.height);
        Pixels::of_photo(size, Layout::Rgb, &self.picture.rgb).unwrap()
    }

    /// The leftmost and rightmost place of the rim.
    pub fn rim(&self) -> [Point<Photo>; 2] {
        let (m, r) = (self.middle, self.radius);
        [Point::new(m.x - r, m.y), Point::new(m.x + r, m.y)]
    }
}

/// The rim of an iris, in the head frame's plane.
fn rim(head: &Head, side: Side) -> (Eye, impl Iterator<Item = (f64, f64)>) {
    let eye = Eye::of(head, side);
    let (l, y, r) = (eye.pupil.lateral, eye.pupil.height, eye.iris);
    let places = (0..720).map(move |i| {
        let (s, c) = libm::sincos(f64::from(i) * std::f64::consts::TAU / 720.0);
        (l + r * c, y + r * s)
    });
    (eye, places)
}

fn covered(head: &Head, side: Side) -> f64 {
    let (eye, places) = rim(head, side);
    let hidden = places.filter(|(l, y)| eye.part(*l, *y) != EyePart::Ball);
    hidden.count() as f64 / 720.0
}

/// Draws one eye. The picture is cut out around it and has been a JPEG.
pub fn draw(head: &Head, camera: &Camera, side: Side, conditions: &Conditions) -> Drawn {
    let px_per_mm = camera.scale_at(0.0);
    let pupil = camera.project(landmarks(head).side(side).pupil);
    let size = [34.0, 26.0].map(|mm| (mm * px_per_mm) as u32);
    // The pupil needs not stand on a whole px.
    let shift = (
        (pupil.0 - 17.0 * px_per_mm).floor(),
        (pupil.1 - 14.0 * px_per_mm).floor(),
    );
    let near = Camera {
        size: (size[0], size[1]),
        principal: (camera.principal.0 - shift.0, camera.principal.1 - shift.1),
        ..*camera
    };
    let drawn = render_under(head, &near, None, conditions);
    let stored = image::load_from_memory(&drawn.jpeg(90).unwrap()).unwrap();
    let (eye, places) = rim(head, side);
    let (mut x, mut y) = ((f64::MAX, f64::MIN), (f64::MAX, f64::MIN));
    for (l, h) in places {
        let p = near.project(v3(side.sign() * l, h, eye.ball(l, h)));
        x = (x.0.min(p.0), x.1.max(p.0));
        y = (y.0.min(p.1), y.1.max(p.1));
    }
    Drawn {
        picture: Picture {
            rgb: stored.to_rgb8().into_raw(),
            ..drawn
        },
        px_per_mm,
        middle: Point::new(0.5 * (x.0 + x.1), 0.5 * (y.0 + y.1)),
        radius: 0.5 * (x.1 - x.0),
        covered: covered(head, side),
    }
}

/// Lets the lids down to somewhere, but never over more than 40 % of the rim.
fn let_lids_down(head: &mut Head, side: Side, chance: &mut Chance) {
    let lids = (chance.between(1.3, 5.0), chance.between(4.2, 5.9));
    for e in [&mut head.expression.right, &mut head.expression.left] {
        (e.lid, e.lower_lid) = lids;
    }
    while covered(head, side) > 0.4 {
        for e in [&mut head.expression.right, &mut head.expression.left] {
            e.lid += 0.05;
            e.lower_lid = (e.lower_lid + 0.02).min(6.2);
        }
    }
}

/// A light mirrored somewhere on the rim that lids leave free.
fn light_on_the_rim(chance: &mut Chance) -> Glint {
    let side = if chance.unit() < 0.5 {
        0.0
    } else {
        std::f64::consts::PI
    };
    let (s, c) = libm::sincos(side + chance.between(-0.7, 0.7));
    let from_middle = chance.between(0.8, 1.05);
    Glint {
        at: (from_middle * c, from_middle * s),
        radius: chance.between(0.4, 1.0),
    }
}

/// An eye of one of the invented clients' photos, as it was taken but for lids,
/// blur (up to 1.5 px, 0.27 mm), grain (up to 6 of 255) and a light on the rim.
pub fn demo_eye(client: &Client, shot: &Shot, side: Side, seed: u64) -> Drawn {
    let mut chance = Chance::new(seed * 31 + u64::from(client.code.len() as u32));
    let mut head = shot.head.clone();
    let_lids_down(&mut head, side, &mut chance);
    let conditions = Conditions {
        blur_px: chance.between(0.0, 1.5),
        grain: chance.between(0.0, 6.0),
        glint: Some(light_on_the_rim(&mut chance)),
        ..Conditions::default()
    };
    draw(&head, &shot.camera, side, &conditions)
}

/// Any eye of any look, 3 to 20 px per mm, from 0.6 to 2.5 m, turned by up to 5
/// degrees each way, dark or bright, with a rim that is soft or without its
/// dark ring.
pub fn any_eye(seed: u64) -> Drawn {
    let mut chance = Chance::new(seed * 7919 + 13);
    let look = looks()[(chance.bits() % 8) as usize];
    let mut head = Head::random(seed);
    (head.skin, head.hair) = (look.skin, look.hair);
    let side = Side::BOTH[(chance.bits() % 2) as usize];
    let_lids_down(&mut head, side, &mut chance);
    let scales = [3.0, 4.0, 5.6, 8.0, 12.0, 20.0];
    let px_per_mm = scales[(chance.bits() % 6) as usize];
    let distance = chance.between(600.0, 2500.0);
    let camera = Camera {
        distance,
        focal: px_per_mm * distance,
        yaw: chance.between(-5.0, 5.0),
        pitch: chance.between(-5.0, 5.0),
        roll: chance.between(-5.0, 5.0),
        principal: (900.0 + chance.unit(), 900.0 + chance.unit()),
        ..Camera::default()
    };
    let conditions = Conditions {
        stops: chance.between(-1.2, 0.4),
        blur_px: chance.between(0.0, 0.3) * px_per_mm,
        grain: chance.between(0.0, 6.0),
        glint: (chance.unit() < 0.6).then(|| light_on_the_rim(&mut chance)),
        rim_soft: chance.between(0.1, 0.4),
        rim_ring: chance.between(0.0, 0.72),
        ..Conditions::default()
    };
    draw(&head, &camera, side, &conditions)
}
