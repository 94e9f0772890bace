//! Pairs of photos of invented heads, drawn by nobody: landmarks where the
//! camera sees them, tapped with a hand that isn't steady.

use ophryon_demo::{Camera, Chance, Head, Lift, Side as DemoSide, landmarks, v3};
use ophryon_face::{Held, Landmark, Landmarks, Reference};
use ophryon_frames::{Photo as Px, Point};
use ophryon_record::{Image, Optics, Photo, PhotoState, Record};

/// Standard deviation of a tap in each direction, mm on the face.
pub const TAP_MM: f64 = 0.3;

/// px per mm on the face.
const PX_PER_MM: f64 = 5.6;

/// How a pair of brows differs, mm: positive where the client's right one is
/// the higher one.
#[derive(Debug, Clone, Copy, Default)]
pub struct Uneven {
    /// At rest, and so in use too.
    pub set: f64,
    /// What use adds at the peak; less at start and tail, as a forehead does.
    pub movement: f64,
}

/// What a forehead lifts at the start and the tail for 1 mm at the peak.
const START: f64 = 0.8;
const TAIL: f64 = 0.7;

impl Uneven {
    /// What use adds at start, peak and tail.
    pub fn changes(&self) -> [f64; 3] {
        [START, 1.0, TAIL].map(|share| share * self.movement)
    }
}

/// How far heads are turned, tipped and tilted at most, degrees, and from how
/// near they are photographed.
#[derive(Debug, Clone, Copy)]
pub struct Care {
    pub turned: f64,
    pub tilted: f64,
    pub nearest_mm: f64,
    /// How often each landmark is tapped.
    pub taps: u32,
}

/// As the guide asks for it.
pub const CAREFUL: Care = Care {
    turned: 2.0,
    tilted: 5.0,
    nearest_mm: 1000.0,
    taps: 1,
};

/// The same with every landmark tapped three times.
pub const PATIENT: Care = Care { taps: 3, ..CAREFUL };

/// However it comes.
pub const CARELESS: Care = Care {
    turned: 5.0,
    tilted: 5.0,
    nearest_mm: 500.0,
    taps: 1,
};

/// A client of two photos, and what they would say without any error.
pub fn client(seed: u64, uneven: Uneven, care: Care) -> Record {
    let mut chance = Chance::new(seed);
    let mut head = Head::random(seed).at_rest();
    // Only the brows are made even; the rest of the face stays as it is.
    head.left.brow = head.right.brow;
    head.right.brow = head.right.brow.moved(0.0, uneven.set);
    let mut record = Record::new(format!("S{seed}"));
    let rest = shot(&head, &mut chance, care, PhotoState::Relaxed);
    record.photos.push(rest);
    let both = chance.between(0.2, 2.0);
    let lift = |peak: f64| Lift {
        start: START * peak,
        peak,
        tail: TAIL * peak,
    };
    for side in DemoSide::BOTH {
        let act = match side {
            DemoSide::Right => &mut head.expression.right,
            DemoSide::Left => &mut head.expression.left,
        };
        act.lid = 4.6;
        act.lift = match side {
            DemoSide::Right => lift(both + uneven.movement),
            DemoSide::Left => lift(both),
        };
    }
    let now = shot(&head, &mut chance, care, PhotoState::EyesOpen);
    record.photos.push(now);
    record
}

fn shot(head: &Head, chance: &mut Chance, care: Care, state: PhotoState) -> Photo {
    let mut within = |most: f64| chance.between(-most, most);
    let (yaw, pitch, roll) = (
        within(care.turned),
        within(care.turned),
        within(care.tilted),
    );
    let camera = Camera {
        yaw,
        pitch,
        roll,
        ..Camera::default()
    }
    .from_distance(chance.between(care.nearest_mm, 1500.0));
    let (width, height) = camera.size;
    let id = match state {
        PhotoState::Relaxed => "relaxed",
        _ => "eyes-open",
    };
    let image = Image::File {
        name: format!("{id}.jpg"),
    };
    let mut photo = Photo::new(id, state, image, width, height);
    let mut tap = |(x, y): (f64, f64), sd_mm: f64| {
        let sd = sd_mm * PX_PER_MM;
        Point::<Px>::new(x + sd * chance.normal(), y + sd * chance.normal())
    };
    for (group, id, place) in landmarks(head).each() {
        let landmark = Landmark::from_id(&format!("{group}/{id}")).expect("a landmark of ours");
        for _ in 0..care.taps {
            photo.tap_again(landmark, tap(camera.project(place), TAP_MM));
        }
    }
    // Held beside the face, as deep as the brows; its marks are hard edges.
    let mark = |x: f64| v3(x, -85.0, 4.0);
    let ends = [-75.0, 75.0].map(|x| tap(camera.project_scene(mark(x)), 0.5 * TAP_MM));
    photo.references.push(Reference::Ruler {
        ends,
        length_mm: 150.0,
        held: Held::default(),
    });
    photo.optics = Some(Optics::Pixels {
        focal_px: camera.focal,
    });
    photo
}

/// Every place on the other side of the face, as a mirror shows it.
pub fn mirrored(record: &Record) -> Record {
    let mut other = record.clone();
    for photo in &mut other.photos {
        let width = f64::from(photo.width_px);
        let flip = |p: Point<Px>| Point::new(width - p.x, p.y);
        let mut landmarks = Landmarks::default();
        for (landmark, p) in photo.landmarks.iter() {
            landmarks.set(landmark.partner(), flip(p));
        }
        photo.landmarks = landmarks;
        for reference in &mut photo.references {
            if let Reference::Ruler { ends, .. } = reference {
                *ends = ends.map(flip);
            }
        }
    }
    other
}
