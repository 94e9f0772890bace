//! Clients to back up: the invented ones, and any number of random ones.

use std::fs;
use std::path::PathBuf;

use ophryon_archive::{Backup, BackupWriter, Made, PhotoBytes};
use ophryon_brow::{PeakRule, Rules};
use ophryon_face::{Held, Landmark, Reference};
use ophryon_frames::Point;
use ophryon_record::{Image, Photo, PhotoState, Record, TapeLine, WrapChoice};

/// A client with the photos that lie beside her file.
#[derive(Clone)]
pub struct Client {
    pub record: Record,
    pub photos: Vec<(String, Vec<u8>)>,
}

impl Client {
    pub fn json(&self) -> String {
        self.record.to_json().expect("the record is sound")
    }
}

pub fn demo_folder(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../demo-data")
        .join(name)
}

/// The three invented clients, photos beside their files.
pub fn demo() -> Vec<Client> {
    let one = |name: &&str| {
        let folder = demo_folder(name);
        let text = fs::read_to_string(folder.join("client.json")).expect("it is there");
        let mut record = Record::from_json(&text).expect("it reads");
        record.identify(
            *ophryon_archive::sum(name.as_bytes())
                .first_chunk()
                .expect("32 bytes"),
        );
        let photos = record.photos.iter().map(|photo| {
            let Image::File { name } = &photo.image else {
                panic!("demo photos lie beside the file");
            };
            (
                photo.id.clone(),
                fs::read(folder.join(name)).expect("it is there"),
            )
        });
        Client {
            photos: photos.collect(),
            record,
        }
    };
    ["demo-even", "demo-set", "demo-movement"]
        .iter()
        .map(one)
        .collect()
}

pub fn made() -> Made {
    Made {
        app: "0.1.0".to_owned(),
        at: "2027-05-03T16:20:00Z".to_owned(),
    }
}

/// A backup of these.
pub fn backup(clients: &[Client]) -> Vec<u8> {
    let mut writer = BackupWriter::new(Vec::new(), made());
    for client in clients {
        let photos: Vec<_> = client
            .photos
            .iter()
            .map(|(photo, bytes)| PhotoBytes { photo, bytes })
            .collect();
        let missing = writer
            .add(&client.record, &photos, Some(1_800_000_000))
            .expect("she can be backed up");
        assert!(missing.is_empty(), "{missing:?}");
    }
    writer.finish().expect("memory takes everything")
}

pub fn open(bytes: &[u8]) -> Backup<&[u8]> {
    Backup::open(bytes, bytes.len() as u64).expect("it opens")
}

/// Everybody in a backup that is whole.
pub fn all(bytes: &[u8]) -> Vec<Client> {
    let backup = open(bytes);
    assert_eq!(backup.faults(), []);
    let clients = (0..backup.count()).map(|i| {
        let one = backup.client(i).expect("counted").expect("whole");
        assert_eq!(one.faults, []);
        let photos = one.photos.into_iter().map(|p| (p.photo, p.bytes));
        Client {
            record: one.record,
            photos: photos.collect(),
        }
    });
    clients.collect()
}

/// Small numbers that look random and are the same on every machine
/// (SplitMix64; Steele, Lea and Flood 2014, doi:10.1145/2660193.2660195).
pub struct Dice(pub u64);

impl Dice {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }

    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn one_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }

    pub fn pick<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }

    pub fn bytes(&mut self, count: usize) -> Vec<u8> {
        (0..count).map(|_| self.next() as u8).collect()
    }
}

/// Texts that have tripped programs.
const TEXTS: [&str; 10] = [
    "Invented Person",
    "Żółć Ångström",
    "<script>alert(1)</script>",
    "../../etc/passwd",
    "日本 花子",
    "a\u{202e}gpj.exe",
    "O'Neill & \"Sons\"",
    "e\u{301}",
    "con",
    "client",
];

/// File names a photo may have.
const FILES: [&str; 9] = [
    "relaxed.jpg",
    "Relaxed.JPG",
    "client.json",
    "a b.png",
    "ä.jpg",
    "con.jpg",
    ".hidden",
    "photo-1.jpg",
    "what?.png",
];

/// A client as an artist could have made her, with random numbers and the
/// oddest names and photos that a record allows.
pub fn random(seed: u64) -> Client {
    let dice = &mut Dice(seed);
    let mut record = Record::new(*dice.pick(&TEXTS));
    if !dice.one_in(4) {
        record.identify(*dice.bytes(16).first_chunk().expect("16 bytes"));
    }
    if dice.one_in(2) {
        record.client.name = Some((*dice.pick(&TEXTS)).to_owned());
    }
    record.client.note = format!("{}\n\t{}", dice.pick(&TEXTS), dice.pick(&TEXTS));
    record.version = dice.below(9) as u32 + 1;
    record.rules = Rules {
        start_offset_mm: dice.between(-15.0, 15.0),
        peak: *dice.pick(&[PeakRule::AbovePupil, PeakRule::WingThroughIrisRim]),
        ..Rules::default()
    };
    record.wrap = match dice.below(3) {
        0 => WrapChoice::Estimate,
        1 => WrapChoice::Cylinder {
            radius_mm: dice.between(45.0, 200.0),
        },
        _ => WrapChoice::tape(
            ophryon_frames::Side::Left,
            TapeLine::StartToTail,
            dice.between(20.0, 110.0),
        ),
    };
    record.plan.share = dice.between(0.0, 1.0);
    let mut photos = Vec::new();
    for i in 0..dice.below(5) {
        let size = dice.below(3_000) + 1;
        let bytes = dice.bytes(size);
        let id = format!("{} {i}", dice.pick(&TEXTS));
        let (width, height) = (900.0, 1200.0);
        let state = *dice.pick(&[
            PhotoState::Relaxed,
            PhotoState::EyesOpen,
            PhotoState::Raised,
        ]);
        let embedded = dice.one_in(2);
        let image = if embedded {
            Image::embed(*dice.pick(&["image/jpeg", "image/png"]), &bytes)
        } else {
            let name = (*dice.pick(&FILES)).to_owned();
            Image::File { name }
        };
        let mut photo = Photo::new(id.clone(), state, image, 900, 1200);
        for landmark in Landmark::in_order() {
            if !dice.one_in(3) {
                let at = Point::new(dice.between(0.0, width), dice.between(0.0, height));
                photo.landmarks.set(landmark, at);
            }
        }
        if dice.one_in(2) {
            let point = |dice: &mut Dice| Point::new(dice.between(0.0, width), 7.25);
            photo.references.push(Reference::Ruler {
                ends: [point(dice), point(dice)],
                length_mm: dice.between(1.0, 500.0),
                held: Held::Nearer {
                    mm: dice.between(-200.0, 200.0),
                },
            });
        }
        for border in [&mut photo.hair.right, &mut photo.hair.left] {
            if dice.one_in(2) {
                let points = dice.below(300) + 3;
                *border = (0..points)
                    .map(|_| Point::new(dice.between(0.0, width), dice.between(0.0, height)))
                    .collect();
            }
        }
        record.photos.push(photo);
        if !embedded {
            photos.push((id, bytes));
        }
    }
    assert_eq!(record.problems(), []);
    Client { record, photos }
}
