//! The iris assist on drawn eyes: how far its middle and its rim are off, and
//! that it says so where it isn't sure.

use ophryon_demo::{Chance, Side, clients, landmarks};
use ophryon_face::Scale;
use ophryon_frames::{Photo, Point, Vector};
use ophryon_photo::{Iris, Layout, Pixels, RoughScale, Size, WeakEvidence, find_iris};

use crate::eyes::{self, Drawn};
use crate::{DEMO_PHOTOS, file};

/// What the assist may be off, mm.
const ALLOWED_MM: f64 = 0.15;

/// A tap up to 4 mm from the middle.
fn tap(eye: &Drawn, chance: &mut Chance) -> Point<Photo> {
    let (s, c) = libm::sincos(chance.between(0.0, std::f64::consts::TAU));
    let off = 4.0 * chance.unit().sqrt() * eye.px_per_mm;
    eye.middle + Vector::new(off * c, off * s)
}

/// As from rough taps on both pupils, each some 2 mm off.
fn by_pupils(eye: &Drawn, chance: &mut Chance) -> RoughScale {
    let mm = chance.around(62.9, 3.5) + chance.around(0.0, 2.5);
    RoughScale::by_pupils(Point::new(0.0, 0.0), Point::new(mm * eye.px_per_mm, 0.0))
}

/// Errors, mm.
#[derive(Default)]
struct Tally {
    middle: Vec<f64>,
    rim: Vec<f64>,
    weak: usize,
    within_two_sd: usize,
}

impl Tally {
    fn add(&mut self, eye: &Drawn, found: Result<Iris, WeakEvidence>) {
        let Ok(iris) = found else {
            self.weak += 1;
            return;
        };
        let off = iris.centre.distance(eye.middle) / eye.px_per_mm;
        let rim = iris.rim(Vector::new(1.0, 0.0));
        let rim_off = rim.iter().zip(eye.rim());
        // Along the line that the scale is measured on.
        let rim_off = rim_off.map(|(a, b)| (a.x - b.x).abs() / eye.px_per_mm);
        self.middle.push(off);
        self.rim.push(rim_off.fold(0.0, f64::max));
        let down = (iris.centre.y - eye.middle.y).abs() < 2.0 * iris.centre_sd_px.y;
        let across = (iris.centre.x - eye.middle.x).abs() < 2.0 * iris.centre_sd_px.x;
        self.within_two_sd += usize::from(down && across);
    }

    fn said(&mut self, what: &str) -> [f64; 2] {
        let mut p95 = [0.0; 2];
        let each = [("middle", &mut self.middle), ("rim", &mut self.rim)];
        for ((name, off), p95) in each.into_iter().zip(&mut p95) {
            off.sort_by(f64::total_cmp);
            let n = off.len();
            assert!(n > 0, "{what}: nothing was found");
            *p95 = off[n * 95 / 100];
            println!(
                "{what}, {name}: mean {:.3}, p95 {p95:.3}, worst {:.3} mm of {n}, {} weak, {} inside two sd",
                off.iter().sum::<f64>() / n as f64,
                off[n - 1],
                self.weak,
                self.within_two_sd,
            );
        }
        p95
    }

    fn worst(&self) -> f64 {
        self.middle
            .iter()
            .chain(&self.rim)
            .copied()
            .fold(0.0, f64::max)
    }
}

fn demo_eyes(rounds: u64) -> Tally {
    let mut tally = Tally::default();
    for client in clients() {
        for (s, shot) in client.shots.iter().enumerate() {
            for (k, side) in Side::BOTH.into_iter().enumerate() {
                for round in 0..rounds {
                    let seed = round * 16 + s as u64 * 4 + k as u64;
                    let eye = eyes::demo_eye(&client, shot, side, seed);
                    assert!(eye.covered <= 0.4);
                    let mut chance = Chance::new(seed + 5);
                    for _ in 0..3 {
                        let rough = by_pupils(&eye, &mut chance);
                        let at = tap(&eye, &mut chance);
                        tally.add(&eye, find_iris(&eye.pixels(), at, rough));
                    }
                }
            }
        }
    }
    tally
}

#[test]
fn demo_clients_irises_are_found_under_lids_blur_grain_and_lights() {
    let mut tally = demo_eyes(1);
    let p95 = tally.said("demo eyes");
    let all = tally.middle.len() + tally.weak;
    assert!(p95.iter().all(|p| *p < ALLOWED_MM), "{p95:?}");
    assert!(tally.worst() < 2.0 * ALLOWED_MM);
    assert!(tally.weak * 20 <= all, "{} of {all} not found", tally.weak);
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn demo_clients_irises_are_found_many_times() {
    let mut tally = demo_eyes(25);
    let p95 = tally.said("demo eyes");
    let all = tally.middle.len() + tally.weak;
    assert!(p95.iter().all(|p| *p < ALLOWED_MM), "{p95:?}");
    assert!(tally.worst() < 3.0 * ALLOWED_MM);
    assert!(tally.weak * 20 <= all, "{} of {all} not found", tally.weak);
    assert!(tally.within_two_sd * 100 >= tally.middle.len() * 93);
}

fn any_eyes(count: u64) -> Tally {
    let mut tally = Tally::default();
    for seed in 0..count {
        let eye = eyes::any_eye(seed);
        let mut chance = Chance::new(seed + 77);
        for known in [false, true] {
            let rough = if known {
                let mm_per_px = (1.0 + chance.around(0.0, 0.01)) / eye.px_per_mm;
                RoughScale::known(Scale::new(mm_per_px, 0.01).unwrap())
            } else {
                by_pupils(&eye, &mut chance)
            };
            let at = tap(&eye, &mut chance);
            tally.add(&eye, find_iris(&eye.pixels(), at, rough));
        }
    }
    tally
}

/// Harder than the demo photos: see [`eyes::any_eye`]. Most of what is found is
/// as good; what isn't says so by its uncertainty.
#[test]
fn irises_of_every_colour_and_size_are_found() {
    let mut tally = any_eyes(20);
    let p95 = tally.said("any eyes");
    let all = tally.middle.len() + tally.weak;
    assert!(p95.iter().all(|p| *p < 2.0 * ALLOWED_MM), "{p95:?}");
    assert!(tally.weak * 8 <= all, "{} of {all} not found", tally.weak);
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn hundreds_of_irises_of_every_colour_and_size_are_found() {
    let mut tally = any_eyes(400);
    let p95 = tally.said("any eyes");
    let all = tally.middle.len() + tally.weak;
    assert!(p95.iter().all(|p| *p < ALLOWED_MM), "{p95:?}");
    assert!(tally.weak * 20 <= all, "{} of {all} not found", tally.weak);
    assert!(tally.within_two_sd * 100 >= tally.middle.len() * 93);
}

/// Decoded once, with both pupils as they truly are.
fn demo_photo(index: usize) -> (image::RgbImage, [Point<Photo>; 2]) {
    let photo = image::open(file(DEMO_PHOTOS[index])).unwrap().to_rgb8();
    let all = clients();
    let shot = &all[index / 2].shots[index % 2];
    let marks = landmarks(&shot.head);
    let pupils = Side::BOTH.map(|side| {
        let (x, y) = shot.camera.project(marks.side(side).pupil);
        Point::new(x, y)
    });
    (photo, pupils)
}

fn pixels(photo: &image::RgbImage) -> Pixels<'_> {
    let size = Size::new(photo.width(), photo.height());
    Pixels::of_photo(size, Layout::Rgb, photo.as_raw()).unwrap()
}

#[test]
fn stored_demo_photos_snap_from_all_around_the_pupil() {
    let mut worst = 0.0_f64;
    for (index, name) in DEMO_PHOTOS.iter().enumerate() {
        let (photo, pupils) = demo_photo(index);
        let rough = RoughScale::by_pupils(pupils[0], pupils[1]);
        for pupil in pupils {
            for k in 0..8 {
                let (s, c) = libm::sincos(f64::from(k) * std::f64::consts::FRAC_PI_4);
                let at = pupil + Vector::new(3.9 * 5.6 * c, 3.9 * 5.6 * s);
                let found = find_iris(&pixels(&photo), at, rough);
                let iris = found.unwrap_or_else(|e| panic!("{}: {e}", name));
                worst = worst.max(iris.centre.distance(pupil) / 5.6);
            }
        }
    }
    println!("stored demo photos: worst {worst:.3} mm");
    assert!(worst < 0.1, "{worst:.3} mm");
}

/// A tap elsewhere (skin, hair, nostrils, card, wall) is left where it is.
fn elsewhere(step_mm: f64) -> (usize, usize) {
    let (mut taps, mut wrong) = (0, 0);
    for index in 0..DEMO_PHOTOS.len() {
        let (photo, pupils) = demo_photo(index);
        let rough = RoughScale::by_pupils(pupils[0], pupils[1]);
        let step = step_mm * 5.6;
        let (across, down) = ((1800.0 / step) as usize, (2250.0 / step) as usize);
        for i in 0..across {
            for j in 0..down {
                let at = Point::new((i as f64 + 0.5) * step, (j as f64 + 0.5) * step);
                let far = |p: &Point<Photo>, mm: f64| p.distance(at) > mm * 5.6;
                if pupils.iter().all(|p| far(p, 6.0)) {
                    taps += 1;
                    wrong += usize::from(find_iris(&pixels(&photo), at, rough).is_ok());
                }
            }
        }
    }
    println!("{wrong} of {taps} taps elsewhere found something");
    (taps, wrong)
}

#[test]
fn a_tap_elsewhere_is_left() {
    let (taps, wrong) = elsewhere(37.0);
    assert!(taps > 400 && wrong * 200 < taps, "{wrong} of {taps}");
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn taps_everywhere_else_are_left() {
    let (taps, wrong) = elsewhere(5.0);
    assert!(taps > 20_000 && wrong * 1000 < taps, "{wrong} of {taps}");
}

#[test]
fn where_there_is_nothing_to_find_the_tap_is_left() {
    let size = Size::new(300, 240);
    let known = RoughScale::known(Scale::new(1.0 / 5.6, 0.02).unwrap());
    let middle = Point::new(150.0, 120.0);
    let mut chance = Chance::new(1);
    let grey = vec![128_u8; 300 * 240];
    let noise: Vec<u8> = (0..300 * 240).map(|_| chance.bits() as u8).collect();
    for bytes in [&grey, &noise] {
        let pixels = Pixels::of_photo(size, Layout::Luma, bytes).unwrap();
        let weak = find_iris(&pixels, middle, known).unwrap_err();
        assert!(weak.to_string().contains("the tap was left as it is"));
        for nowhere in [
            Point::new(-5000.0, 120.0),
            Point::new(f64::NAN, 120.0),
            Point::new(1e300, f64::INFINITY),
        ] {
            assert!(find_iris(&pixels, nowhere, known).is_err());
            assert!(find_iris(&pixels, nowhere, RoughScale::UNKNOWN).is_err());
        }
        assert!(find_iris(&pixels, middle, RoughScale::UNKNOWN).is_err());
        let far = RoughScale::known(Scale::new(1.0, 0.02).unwrap());
        assert!(find_iris(&pixels, middle, far).is_err());
    }
}

#[test]
fn closed_eyes_and_eyes_at_the_edge_are_left() {
    let all = clients();
    let shot = &all[0].shots[0];
    let mut head = shot.head.clone();
    for e in [&mut head.expression.right, &mut head.expression.left] {
        (e.lid, e.lower_lid) = (-3.9, 4.4);
    }
    let conditions = ophryon_demo::Conditions::default();
    let eye = eyes::draw(&head, &shot.camera, Side::Left, &conditions);
    let rough = RoughScale::known(Scale::new(1.0 / 5.6, 0.02).unwrap());
    assert!(find_iris(&eye.pixels(), eye.middle, rough).is_err());
    // Half of the iris beyond the edge: the photo ends in its middle.
    let open = eyes::draw(&shot.head, &shot.camera, Side::Left, &conditions);
    let size = Size::new(open.middle.x as u32, open.picture.height);
    let row = open.picture.width as usize * 3;
    let rows = open.picture.rgb.chunks_exact(row);
    let cut: Vec<u8> = rows
        .flat_map(|r| r[..size.width as usize * 3].to_vec())
        .collect();
    let pixels = Pixels::of_photo(size, Layout::Rgb, &cut).unwrap();
    assert!(find_iris(&pixels, open.middle, rough).is_err());
}

#[test]
fn the_piece_that_is_asked_for_is_enough() {
    let (photo, pupils) = demo_photo(3);
    let rough = RoughScale::by_pupils(pupils[0], pupils[1]);
    let at = pupils[0] + Vector::new(9.0, -7.0);
    let whole = find_iris(&pixels(&photo), at, rough).unwrap();
    let crop = rough.crop(at, Size::new(1800, 2250)).unwrap();
    let piece = image::imageops::crop_imm(
        &photo,
        crop.left,
        crop.top,
        crop.size.width,
        crop.size.height,
    )
    .to_image();
    let rgba = image::DynamicImage::from(piece).to_rgba8();
    let pixels = Pixels::of_crop(crop, Layout::Rgba, rgba.as_raw()).unwrap();
    assert_eq!(find_iris(&pixels, at, rough), Ok(whole));
}
