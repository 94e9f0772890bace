//! An invented face in any of the generator's looks, with the powder of a
//! shape that is proposed for it.

use std::path::PathBuf;

use ophryon_demo::{Camera, Conditions, Head, Look, Picture, clients, render_under};
use ophryon_frames::{Front, Photo, Point, Sided, Vector};
use ophryon_powder::{Pixels, Powder, Stage, Tone, Window};
use ophryon_record::{Drawn, Record};

/// Which of the invented clients is looked at.
const CLIENT: usize = 0;

/// Hairs per mm² of her brows: as sparse as of many who come for powder (ours).
const SPARSE: f64 = 1.1;

/// A path in the project.
pub fn project(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("..")
        .join(path)
}

/// What is drawn for the client.
pub fn drawn() -> Drawn {
    let code = clients()[CLIENT].code;
    let path = project(&format!("demo-data/{code}/client.json"));
    let text = std::fs::read_to_string(path).unwrap();
    Record::from_json(&text).unwrap().drawn().unwrap()
}

/// The powder of both brows.
pub fn powders(drawn: &Drawn) -> Sided<Powder> {
    let healed = drawn.healed();
    Sided::from_fn(|side| {
        let healed = healed.get(side).as_ref().unwrap();
        Powder::of(drawn.seen.get(side), &healed.seen)
    })
}

/// A part of a photo, and where on the face its pixels lie.
pub struct Seen {
    pub picture: Picture,
    pub window: Window,
}

impl Seen {
    /// The client's photo in another look: `wide` × `high` px whose middle
    /// shows a place (mm), `scale` times as many px per mm as the photo has.
    pub fn new(look: &Look, drawn: &Drawn, middle: Point<Front>, size: (u32, u32), k: f64) -> Self {
        let shot = clients().swap_remove(CLIENT).shots.swap_remove(0);
        let mut head = Head {
            skin: look.skin,
            hair: look.hair,
            ..shot.head
        };
        for features in [&mut head.right, &mut head.left] {
            features.brow.density = SPARSE;
        }
        let camera = shot.camera.scaled(k);
        let frame = drawn.measured.levelled.survey.frame;
        let at = frame.to_photo(middle);
        let corner: Point<Photo> = Point::new(
            at.x - 0.5 * f64::from(size.0) / k,
            at.y - 0.5 * f64::from(size.1) / k,
        );
        let near = Camera {
            size,
            principal: (
                camera.principal.0 - k * corner.x,
                camera.principal.1 - k * corner.y,
            ),
            ..camera
        };
        let front = |x: f64, y: f64| frame.to_front(corner + Vector::new(x / k, y / k));
        let first = front(0.0, 0.0);
        let (right, down) = (front(1.0, 0.0) - first, front(0.0, 1.0) - first);
        Self {
            picture: render_under(&head, &near, None, &Conditions::default()),
            window: Window::new(size, first, right, down).unwrap(),
        }
    }

    /// The same with a stage painted over it.
    pub fn painted(&self, powders: &Sided<Powder>, stage: Stage, tone: Tone) -> Picture {
        let mut picture = Picture {
            rgb: self.picture.rgb.clone(),
            ..self.picture
        };
        for (_, powder) in powders.iter() {
            let mut pixels = Pixels {
                bytes: &mut picture.rgb,
                each: 3,
            };
            powder.paint(stage, tone, &self.window, &mut pixels);
        }
        picture
    }
}
