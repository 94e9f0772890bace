//! An invented client: tapped and designed at rest, the powder worked in where
//! the design lies, some of it lost, and photographed again.

use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder};
use ophryon_demo::{
    Camera, Chance, Conditions, Face, Head, Picture, Side as Half, Skin, Spot, Worked, WorkedTruth,
    landmarks, on_skin, render_under, spot, v3,
};
use ophryon_face::{Held, Landmark, Reference};
use ophryon_frames::{Photo as Px, Point, Side, Sided};
use ophryon_photo::{Crop, Layout, Measured, NoPigment, Pixels, Size, measure_healed};
use ophryon_record::{
    Edit, HealedOutcome, Image, LaidOver, NotLaid, Optics, Photo, PhotoState, Record, apply,
};

/// Standard deviation of a tap in each direction, mm on the face.
const TAP_MM: f64 = 0.3;
/// Largest turn of a head that isn't sent back, degrees.
const GATE_DEGREES: f64 = 2.0;

/// What is made harder.
#[derive(Debug, Clone, Copy)]
pub struct Care {
    /// Standard deviation of a tap, mm.
    pub tap_mm: f64,
    /// Heads turned by at most so many degrees.
    pub turned: f64,
    /// Hairs to a mm² in the natural brows, least and most.
    pub hair: (f64, f64),
    /// Light, focus and grain as they come.
    pub is_rough: bool,
}

/// As the guide asks for it, on brows with little hair.
pub const CAREFUL: Care = Care {
    tap_mm: TAP_MM,
    turned: GATE_DEGREES,
    hair: (0.0, 0.05),
    is_rough: true,
};

pub fn half(side: Side) -> Half {
    match side {
        Side::Right => Half::Right,
        Side::Left => Half::Left,
    }
}

/// Everything of one client.
pub struct Story {
    pub record: Record,
    pub head: Head,
    pub camera: Camera,
    pub conditions: Conditions,
    pub quality: u8,
    pub truth: Sided<WorkedTruth>,
}

/// One client; `None` where the random face takes no design.
pub fn story(seed: u64, care: Care) -> Option<Story> {
    let mut chance = Chance::new(seed ^ 0x5EED);
    let mut head = Head::random(seed).at_rest();
    head.skin = Skin::tone(seed as usize % 6);
    let mut record = Record::new(format!("H{seed}"));
    let (photo, before) = shot(&head, &mut chance, care, PhotoState::Relaxed);
    record.photos.push(photo);
    let record = apply(&record, &Edit::Propose).ok()?;
    let drawn = record.drawn().ok()?;
    let face = Face::of(&head);
    let frame = &drawn.measured.levelled.survey.frame;
    // What the design takes for a millimetre, against what one is there.
    let claimed = drawn.measured.levelled.scale().mm_per_px();
    for side in Side::BOTH {
        let ring = drawn.seen.get(side).flattened(0.02);
        let ring: Vec<Spot> = ring
            .into_iter()
            .map(|p| placed(&face, &before, side, frame.to_photo(p)))
            .collect::<Option<_>>()?;
        let ring = ring.into_iter().step_by(2).collect();
        let depth = before.scale_at(8.0);
        let ring = grown(ring, claimed * depth);
        let dark = chance.between(0.25, 0.6);
        let colour = head
            .skin
            .albedo
            .map(|c| c * dark * chance.between(0.7, 1.0));
        let worked = Worked::within(ring, colour, chance.between(0.5, 0.85), seed + 11);
        let healed = worked.healed(&mut chance);
        match half(side) {
            Half::Right => head.worked.right = Some(healed),
            Half::Left => head.worked.left = Some(healed),
        }
    }
    let density = chance.between(care.hair.0, care.hair.1);
    head.right.brow.density = density;
    head.left.brow.density = density;
    let truth = Sided::from_fn(|side| {
        let worked = head.worked.side(half(side)).as_ref();
        worked.map(|w| w.truth(&face, half(side)))
    });
    let truth = Sided {
        right: truth.right?,
        left: truth.left?,
    };
    let (mut photo, camera) = shot(&head, &mut chance, care, PhotoState::Healed);
    photo.id = "healed".to_owned();
    let record = apply(&record, &Edit::AddPhoto(photo)).ok()?;
    let conditions = if care.is_rough {
        Conditions {
            stops: chance.between(-0.8, 0.4),
            side_stops: chance.between(-0.8, 0.8),
            blur_px: chance.between(0.2, 1.0),
            grain: chance.between(0.5, 3.0),
            ..Conditions::default()
        }
    } else {
        Conditions::default()
    };
    Some(Story {
        record,
        head,
        camera,
        conditions,
        quality: if care.is_rough { 85 } else { 95 },
        truth,
    })
}

/// Where on the face something is that the camera sees there: Newton's way,
/// by differences.
fn placed(face: &Face, camera: &Camera, side: Side, at: Point<Px>) -> Option<Spot> {
    let k = camera.scale_at(0.0);
    let seen = |x: f64, y: f64| camera.project(face.point(x, y));
    let (mut x, mut y) = (side.sign() * 35.0, 22.0);
    for _ in 0..40 {
        let (u, v) = seen(x, y);
        let (du, dv) = (at.x - u, at.y - v);
        if du.abs() + dv.abs() < 1e-6 {
            break;
        }
        let (ux, vx) = seen(x + 0.01, y);
        let slope = ((ux - u) / 0.01).abs().max(0.2 * k);
        let _ = vx;
        x += 0.9 * du / slope;
        y -= 0.9 * dv / k;
    }
    let (u, v) = seen(x, y);
    ((u - at.x).abs() + (v - at.y).abs() < 0.05).then(|| spot(side.sign() * x, y))
}

/// The same ring larger by a factor about its middle.
fn grown(ring: Vec<Spot>, by: f64) -> Vec<Spot> {
    let n = ring.len() as f64;
    let l = ring.iter().map(|s| s.lateral).sum::<f64>() / n;
    let h = ring.iter().map(|s| s.height).sum::<f64>() / n;
    let away = |from: f64, to: f64| from + by * (to - from);
    ring.into_iter()
        .map(|s| spot(away(l, s.lateral), away(h, s.height)))
        .collect()
}

fn shot(head: &Head, chance: &mut Chance, care: Care, state: PhotoState) -> (Photo, Camera) {
    let mut within = |most: f64| chance.between(-most, most);
    let (yaw, pitch, roll) = (within(care.turned), within(care.turned), within(4.0));
    let px_per_mm = chance.between(5.0, 8.0);
    let camera = Camera {
        yaw,
        pitch,
        roll,
        ..Camera::default()
    }
    .scaled(px_per_mm / 5.6)
    .from_distance(chance.between(1000.0, 1600.0));
    let (width, height) = camera.size;
    let image = Image::File {
        name: "invented.jpg".to_owned(),
    };
    let mut photo = Photo::new("relaxed", state, image, width, height);
    let mut tap = |(x, y): (f64, f64), sd_mm: f64| {
        let sd = sd_mm * px_per_mm;
        Point::<Px>::new(x + sd * chance.normal(), y + sd * chance.normal())
    };
    for (group, id, place) in landmarks(head).each() {
        let landmark = Landmark::from_id(&format!("{group}/{id}")).expect("a landmark of ours");
        let at = tap(camera.project(place), care.tap_mm);
        photo.set_by_hand(landmark, at);
    }
    let mark = |x: f64| v3(x, -85.0, 4.0);
    let ends = [-75.0, 75.0].map(|x| tap(camera.project_scene(mark(x)), 0.5 * care.tap_mm));
    photo.references.push(Reference::Ruler {
        ends,
        length_mm: 150.0,
        held: Held::default(),
    });
    photo.optics = Some(Optics::Pixels {
        focal_px: camera.focal,
    });
    (photo, camera)
}

impl Story {
    pub fn laid(&self) -> Result<LaidOver, NotLaid> {
        self.record.laid_over()
    }

    /// Draws what is needed round one brow, through a JPEG file.
    pub fn crop(&self, crop: Crop) -> Picture {
        let (x, y) = self.camera.principal;
        let camera = Camera {
            size: (crop.size.width, crop.size.height),
            principal: (x - f64::from(crop.left), y - f64::from(crop.top)),
            ..self.camera
        };
        let mut picture = render_under(&self.head, &camera, None, &self.conditions);
        let mut bytes = Vec::new();
        JpegEncoder::new_with_quality(&mut bytes, self.quality)
            .write_image(
                &picture.rgb,
                picture.width,
                picture.height,
                ExtendedColorType::Rgb8,
            )
            .expect("a picture");
        picture.rgb = image::load_from_memory(&bytes)
            .expect("a picture")
            .to_rgb8()
            .into_raw();
        picture
    }

    /// Measures one side.
    pub fn measure(&self, laid: &LaidOver, side: Side) -> Result<Measured, NoPigment> {
        let search = laid.search(side);
        let size = Size::new(laid.size_px.0, laid.size_px.1);
        let crop = search.crop(size).ok_or(NoPigment::OutOfPhoto)?;
        let picture = self.crop(crop);
        let pixels =
            Pixels::of_crop(crop, Layout::Rgb, &picture.rgb).ok_or(NoPigment::OutOfPhoto)?;
        measure_healed(&pixels, &search, &laid.band(side))
    }

    pub fn outcome(&self) -> Result<HealedOutcome, NotLaid> {
        let laid = self.laid()?;
        let found = Sided::from_fn(|side| self.measure(&laid, side));
        Ok(HealedOutcome::of(laid, &found))
    }

    /// Of the body's thickness, what is kept in truth.
    pub fn thickness(&self, side: Side) -> f64 {
        let worked = self.head.worked.side(half(side)).as_ref();
        worked.map_or(0.0, |w| w.thickness_kept(0.08, 0.7))
    }

    /// Whether a place on the skin, as the later photo shows it, has lost at
    /// least half of its powder.
    pub fn is_lost(&self, side: Side, at: Point<Px>) -> bool {
        let face = Face::of(&self.head);
        let place = placed(&face, &self.camera, side, at);
        let worked = self.head.worked.side(half(side)).as_ref();
        match (place, worked) {
            (Some(s), Some(w)) => !w.is_kept(s.lateral, s.height),
            _ => false,
        }
    }

    /// Where the middle of each faded patch is seen in the later photo.
    pub fn patches_seen(&self, side: Side) -> Vec<(Point<Px>, f64)> {
        let face = Face::of(&self.head);
        let worked = self.head.worked.side(half(side)).as_ref();
        let patches = worked.map(|w| w.faded.clone()).unwrap_or_default();
        patches
            .into_iter()
            .map(|f| {
                let (x, y) = self.camera.project(on_skin(&face, half(side), f.at));
                (
                    Point::new(x, y),
                    f.radii.0 * f.radii.1 * std::f64::consts::PI,
                )
            })
            .collect()
    }
}

impl Story {
    /// The whole later photo as a JPEG file.
    pub fn later_photo(&self) -> Vec<u8> {
        let picture = render_under(&self.head, &self.camera, None, &self.conditions);
        picture.jpeg(90).expect("a picture")
    }

    /// The client's file as it was before that photo, with a plain picture in
    /// place of the first one.
    pub fn before(&self) -> Record {
        let mut record = self.record.clone();
        record.photos.retain(|p| p.state == PhotoState::Relaxed);
        for photo in &mut record.photos {
            let (width, height) = (photo.width_px, photo.height_px);
            let picture = Picture {
                width,
                height,
                rgb: vec![150; width as usize * height as usize * 3],
            };
            let bytes = picture.jpeg(60).expect("a picture");
            photo.image = Image::embed("image/jpeg", &bytes);
        }
        record
    }
}
