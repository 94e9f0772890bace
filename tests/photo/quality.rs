//! Sharpness, light and resolution at the brows, against known blur, grain and
//! light; blur by a general-purpose library's Gaussian as well.

use image::RgbImage;
use ophryon_demo::{Camera, Conditions, Head, Picture, clients, landmarks, looks, render_under};
use ophryon_frames::{Photo, Point, Side, Sided};
use ophryon_photo::{BrowBand, Crop, Layout, Matter, Pixels, Quality, Size, Weight};

use crate::{DEMO_PHOTOS, file};

/// A demo photo's band, cut out, and where it was.
struct Band {
    crop: Crop,
    piece: RgbImage,
    band: BrowBand,
}

impl Band {
    fn of_demo(index: usize) -> Self {
        let photo = image::open(file(DEMO_PHOTOS[index])).unwrap().to_rgb8();
        let all = clients();
        let shot = &all[index / 2].shots[index % 2];
        let band = BrowBand::new(pupils(&shot.head, &shot.camera), 5.6).unwrap();
        let crop = band.crop(Size::new(photo.width(), photo.height())).unwrap();
        let Crop { left, top, size } = crop;
        let piece = image::imageops::crop_imm(&photo, left, top, size.width, size.height);
        Self {
            crop,
            piece: piece.to_image(),
            band,
        }
    }

    fn quality(&self, piece: &RgbImage) -> Quality {
        let pixels = Pixels::of_crop(self.crop, Layout::Rgb, piece.as_raw()).unwrap();
        Quality::of(&pixels, &self.band)
    }
}

fn pupils(head: &Head, camera: &Camera) -> Sided<Point<Photo>> {
    let marks = landmarks(head);
    let at = |p| {
        let (x, y) = camera.project(p);
        Point::new(x, y)
    };
    Sided {
        right: at(marks.right.pupil),
        left: at(marks.left.pupil),
    }
}

fn said(quality: &Quality) -> Vec<(Matter, Weight)> {
    quality
        .remarks
        .iter()
        .map(|r| (r.matter, r.weight))
        .collect()
}

/// The stored photos are good: nothing to say. Blurred by the `image` crate's
/// own Gaussian, the blur comes back: what was measured before and what was
/// added, in squares.
#[test]
fn a_known_blur_is_recovered() {
    let mut worst = 0.0_f64;
    for (index, name) in DEMO_PHOTOS.iter().enumerate() {
        let demo = Band::of_demo(index);
        let sharp = demo.quality(&demo.piece);
        assert_eq!(said(&sharp), [], "{}: {:?}", name, sharp.remarks);
        let before = sharp.blur_px().unwrap();
        assert!(before < 1.0, "{before}");
        for sigma in [1.0_f32, 1.5, 2.0, 3.0, 4.0] {
            let blurred = image::imageops::blur(&demo.piece, sigma);
            let quality = demo.quality(&blurred);
            let found = quality.blur_px().unwrap();
            let there = libm::hypot(before, f64::from(sigma));
            let off = found / there - 1.0;
            worst = worst.max(off.abs());
            assert!(
                off.abs() < 0.25,
                "{} with {sigma} px: {found:.2} for {there:.2}",
                name
            );
            // 4 px are 1.8 mm from light to dark: that must be said.
            let sharpness = said(&quality)
                .into_iter()
                .find(|r| r.0 == Matter::Sharpness);
            match sigma {
                s if s >= 4.0 => {
                    assert_eq!(sharpness, Some((Matter::Sharpness, Weight::TakeAgain)))
                }
                s if s >= 2.0 => assert!(sharpness.is_some(), "{sigma}"),
                s if s <= 1.0 => assert_eq!(sharpness, None, "{sigma}"),
                _ => {}
            }
        }
    }
    println!("blur of 1 to 4 px: at most {:.0} % off", 100.0 * worst);
}

/// Both sides' brows and eyes drawn small: 3.5 px per mm.
fn drawn(look: usize, conditions: &Conditions) -> (Picture, BrowBand) {
    let look = looks()[look];
    let head = Head {
        skin: look.skin,
        hair: look.hair,
        ..Head::random(31)
    };
    let k = 4.2;
    let full = Camera {
        focal: k * 3200.0,
        ..Camera::default()
    };
    let at = pupils(&head, &full);
    let middle = at.right.midpoint(at.left);
    let camera = Camera {
        size: ((130.0 * k) as u32, (46.0 * k) as u32),
        principal: (
            full.principal.0 - middle.x + 65.0 * k,
            full.principal.1 - middle.y + 36.0 * k,
        ),
        ..full
    };
    let picture = render_under(&head, &camera, None, conditions);
    let band = BrowBand::new(pupils(&head, &camera), k).unwrap();
    (picture, band)
}

fn quality(picture: &Picture, band: &BrowBand) -> Quality {
    let size = Size::new(picture.width, picture.height);
    let pixels = Pixels::of_photo(size, Layout::Rgb, &picture.rgb).unwrap();
    Quality::of(&pixels, band)
}

/// Light is judged by the white of the eye, not by the skin: well lit, no tone
/// is too dark; three stops less is, on every tone.
#[test]
fn too_little_light_is_said_on_every_skin_and_dark_skin_is_not_too_dark() {
    for look in [0, 3, 7] {
        let (picture, band) = drawn(look, &Conditions::default());
        let good = quality(&picture, &band);
        assert_eq!(
            said(&good),
            [],
            "{}: {:?}",
            looks()[look].name,
            good.remarks
        );
        let dark = Conditions {
            stops: -3.0,
            ..Conditions::default()
        };
        let (picture, band) = drawn(look, &dark);
        let dark = quality(&picture, &band);
        assert!(
            said(&dark).iter().any(|r| r.0 == Matter::Dark),
            "{}: {:?}",
            looks()[look].name,
            dark.sides
        );
        // An eighth of the light is what is measured, too.
        for (side, s) in dark.sides.iter() {
            let well = good.sides.get(side).unwrap().exposure.median;
            let ratio = s.unwrap().exposure.median / well;
            assert!((0.09..0.16).contains(&ratio), "{ratio}");
        }
    }
}

#[test]
fn burnt_and_uneven_light_and_grain_are_said_and_the_sentence_has_a_way_out() {
    let burnt = Conditions {
        stops: 2.5,
        ..Conditions::default()
    };
    let (picture, band) = drawn(2, &burnt);
    let bright = quality(&picture, &band);
    assert!(said(&bright).contains(&(Matter::Bright, Weight::TakeAgain)));

    // Two and a half stops over the picture: about one and a quarter from brow
    // to brow, more light on the client's left.
    let uneven = Conditions {
        stops: -0.5,
        side_stops: 2.8,
        grain: 16.0,
        ..Conditions::default()
    };
    let (picture, band) = drawn(2, &uneven);
    let found = quality(&picture, &band);
    let (ratio, brighter) = found.uneven().unwrap();
    assert_eq!(brighter, Side::Left);
    assert!((2.0..3.5).contains(&ratio), "{ratio}");
    let matters: Vec<Matter> = found.remarks.iter().map(|r| r.matter).collect();
    assert!(matters.contains(&Matter::Uneven) && matters.contains(&Matter::Grain));
    let grain = found.sides.right.unwrap().grain;
    // 16 in each colour by itself; brightness is half red, 0.45 green.
    let there = 16.0 * (0.5_f64 * 0.5 + 0.45 * 0.45 + 0.05 * 0.05).sqrt();
    assert!((grain / there - 1.0).abs() < 0.2, "{grain} for {there}");
    for remark in found.remarks.iter().chain(&bright.remarks) {
        let words = &remark.sentence;
        assert!(words.contains(": ") && words.ends_with('.'), "{words}");
        assert!(!words.contains('!') && words.len() < 240, "{words}");
    }
}

#[test]
fn grain_and_a_dark_photo_do_not_pass_for_blur_or_sharpness() {
    for (blur_px, grain, stops) in [(0.0, 8.0, 0.0), (2.0, 6.0, 0.0), (2.0, 2.0, -2.0)] {
        let conditions = Conditions {
            blur_px,
            grain,
            stops,
            ..Conditions::default()
        };
        let (picture, band) = drawn(5, &conditions);
        let found = quality(&picture, &band).blur_px().unwrap();
        // The drawing itself has some 0.6 px.
        let there = libm::hypot(blur_px, 0.6);
        let off = (found - there).abs();
        assert!(off < 0.3 + 0.1 * there, "{found:.2} for {there:.2}");
    }
}

#[test]
fn what_is_missing_or_too_small_is_said() {
    let demo = Band::of_demo(0);
    // The client's right side, on the left of the photo, is cut off.
    let photo = image::open(file(DEMO_PHOTOS[0])).unwrap().to_rgb8();
    let (left, width) = (880, 1800 - 880);
    let rest = image::imageops::crop_imm(&photo, left, 0, width, 2250).to_image();
    let all = clients();
    let full = pupils(&all[0].shots[0].head, &all[0].shots[0].camera);
    let moved = full.map(|p: Point<Photo>| Point::new(p.x - f64::from(left), p.y));
    let band = BrowBand::new(moved, 5.6).unwrap();
    let pixels = Pixels::of_photo(Size::new(width, 2250), Layout::Rgb, rest.as_raw()).unwrap();
    let found = Quality::of(&pixels, &band);
    assert!(found.sides.right.is_none() && found.sides.left.is_some());
    assert_eq!(found.remarks[0].matter, Matter::CutOff);
    assert!(found.remarks[0].sentence.contains("right brow"));

    // Half as many px: 2.8 to a millimetre.
    let Size { width, height } = demo.crop.size;
    let small = image::imageops::thumbnail(&photo, 900, 1125);
    let band = BrowBand::new(
        full.map(|p: Point<Photo>| Point::new(p.x / 2.0, p.y / 2.0)),
        2.8,
    );
    let pixels = Pixels::of_photo(Size::new(900, 1125), Layout::Rgb, small.as_raw()).unwrap();
    let found = Quality::of(&pixels, &band.unwrap());
    assert_eq!(said(&found), [(Matter::Resolution, Weight::Mind)]);
    assert!(width > height);

    // No band at all.
    let same = Point::new(5.0, 5.0);
    assert!(
        BrowBand::new(
            Sided {
                right: same,
                left: same
            },
            5.0
        )
        .is_none()
    );
    let nan = Point::new(f64::NAN, 5.0);
    assert!(
        BrowBand::new(
            Sided {
                right: same,
                left: nan
            },
            5.0
        )
        .is_none()
    );
    for none in [0.0, -3.0, f64::NAN, f64::INFINITY] {
        assert!(BrowBand::new(full, none).is_none());
    }
}

#[test]
fn the_piece_that_is_asked_for_says_the_same_as_the_whole_photo() {
    let demo = Band::of_demo(4);
    let photo = image::open(file(DEMO_PHOTOS[4])).unwrap().to_rgb8();
    let pixels = Pixels::of_photo(Size::new(1800, 2250), Layout::Rgb, photo.as_raw()).unwrap();
    let whole = Quality::of(&pixels, &demo.band);
    let piece = demo.quality(&demo.piece);
    assert_eq!(
        whole.sides.map(|s| s.map(|s| s.exposure)),
        piece.sides.map(|s| s.map(|s| s.exposure))
    );
    let (a, b) = (whole.blur_px().unwrap(), piece.blur_px().unwrap());
    assert!((a - b).abs() < 0.02 * a, "{a} {b}");
}
