//! What is told of a file before it is decoded, against the generator's truth,
//! other people's writers, and kamadak-exif as a second reader.

use std::io::Cursor;

use image::{DynamicImage, ImageDecoder, ImageReader, RgbImage};
use ophryon_demo::{Camera, ClientTruth, Exif, Head, Picture, render};
use ophryon_photo::{FocalLength, Kind, Orientation, PhotoError, PhotoFile, Size};

use crate::{DEMO_PHOTOS, FIXTURES, file, read};

/// The same tags by another reader: orientation, equivalent focal length, date.
fn second_reader(bytes: &[u8]) -> (Option<u32>, Option<u32>, Option<String>) {
    let Ok(exif) = exif::Reader::new().read_from_container(&mut Cursor::new(bytes)) else {
        return (None, None, None);
    };
    let field = |tag| exif.get_field(tag, exif::In::PRIMARY);
    let whole = |tag| field(tag).and_then(|f| f.value.get_uint(0));
    let date = field(exif::Tag::DateTimeOriginal).map(|f| f.display_value().to_string());
    (
        whole(exif::Tag::Orientation),
        whole(exif::Tag::FocalLengthIn35mmFilm),
        date,
    )
}

/// As the command line decodes it, upright.
fn upright(bytes: &[u8]) -> RgbImage {
    let reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format();
    let mut decoder = reader.unwrap().into_decoder().unwrap();
    let orientation = decoder.orientation().unwrap();
    let mut image = DynamicImage::from_decoder(decoder).unwrap();
    image.apply_orientation(orientation);
    image.to_rgb8()
}

#[test]
fn demo_photos_say_what_their_camera_is() {
    for name in DEMO_PHOTOS {
        let bytes = read(name);
        let photo = PhotoFile::read(&bytes).unwrap();
        assert_eq!(
            (photo.kind, photo.size()),
            (Kind::Jpeg, Size::new(1800, 2250))
        );
        let (lies, focal, date) = second_reader(&bytes);
        assert_eq!(lies, Some(1));
        let Some(FocalLength::Equivalent { mm }) = photo.focal else {
            panic!("{name}: {:?}", photo.focal);
        };
        assert_eq!(Some(mm as u32), focal);
        let taken = photo.taken.unwrap().to_string().replace('T', " ");
        assert_eq!(date.as_deref(), Some(taken.as_str()));
        // The camera's distance from focal length and scale, against the truth.
        let folder = file(name);
        let truth = std::fs::read_to_string(folder.with_file_name("truth.json")).unwrap();
        let truth: ClientTruth = serde_json::from_str(&truth).unwrap();
        let photo_truth = truth.photos.iter().find(|p| name.ends_with(&p.file));
        let camera = photo_truth.unwrap().camera;
        let optics = photo.optics(1800).unwrap();
        let off = optics.distance_mm(1.0 / camera.scale_at(0.0)) / camera.distance - 1.0;
        assert!(off.abs() < 2.0 * optics.relative_sd, "{name}: {off:.4} off");
        assert!(
            off.abs() < 0.002,
            "{name}: {off:.4} off, more than rounding"
        );
    }
}

#[test]
fn all_eight_orientations_stand_upright_alike() {
    let camera = Camera::default().scaled(0.25);
    let picture: Picture = render(&Head::default(), &camera, None);
    let straight = upright(&picture.jpeg(95).unwrap());
    let exif = Exif::of(&camera, "2026:03:14 09:30:00");
    for orientation in 1..=8 {
        let stored = Exif {
            orientation,
            ..exif
        };
        let bytes = picture.camera_jpeg(95, &stored).unwrap();
        let photo = PhotoFile::read(&bytes).unwrap();
        assert_eq!(photo.orientation.exif(), orientation);
        assert_eq!(photo.size(), Size::new(picture.width, picture.height));
        let (lies, focal, _) = second_reader(&bytes);
        assert_eq!((lies, focal), (Some(orientation.into()), Some(269)));
        // The same view, whichever way it lies.
        let optics = photo.optics(picture.width).unwrap();
        assert!((optics.focal_px / camera.focal - 1.0).abs() < 0.002);
        // Turned by another decoder it shows the same picture.
        let turned = upright(&bytes);
        assert_eq!(turned.dimensions(), straight.dimensions());
        let far = turned.pixels().zip(straight.pixels());
        let far = far
            .map(|(a, b)| u64::from(a.0[1].abs_diff(b.0[1])))
            .sum::<u64>();
        let mean = far as f64 / f64::from(turned.width() * turned.height());
        assert!(mean < 1.5, "{orientation}: {mean:.2} of 255 off on average");
        // And so does turning it pixel by pixel as the crate says.
        let raw = image::load_from_memory(&bytes).unwrap().to_rgb8();
        for (c, r, p) in raw.enumerate_pixels().step_by(997) {
            let (x, y) = photo.orientation.upright_pixel(photo.stored, (c, r));
            assert_eq!(p, turned.get_pixel(x, y), "{orientation}: {c}, {r}");
        }
        // Whether or not the decoder turned it, what is still to do is known.
        let still = photo.still_to_turn(photo.size()).unwrap();
        assert_eq!(still, Orientation::UPRIGHT);
        let wrong = photo.still_to_turn(Size::new(300, 300));
        assert!(matches!(wrong, Err(PhotoError::OtherSize { .. })));
    }
}

#[test]
fn other_peoples_files_are_read() {
    for name in FIXTURES {
        let bytes = read(name);
        let photo = PhotoFile::read(&bytes).unwrap_or_else(|e| panic!("{}", e.sentence(name)));
        let kind = match name.rsplit('.').next() {
            Some("webp") => Kind::Webp,
            Some("heic") => Kind::Heic,
            Some("avif") => Kind::Avif,
            Some("jpg") => Kind::Jpeg,
            _ => Kind::Png,
        };
        assert_eq!(
            (photo.kind, photo.stored),
            (kind, Size::new(640, 480)),
            "{name}"
        );
        let lies = match name {
            n if n.ends_with("mirrored.avif") => 5,
            n if n.ends_with("mirrored.heic") => 7,
            n if n.ends_with("lossless.webp") || n.ends_with("upright.heic") => 1,
            _ => 6,
        };
        assert_eq!(photo.orientation.exif(), lies, "{name}");
        if name.contains("turned") || name.contains("lossy") {
            assert_eq!(
                photo.focal,
                Some(FocalLength::Equivalent { mm: 26.0 }),
                "{name}"
            );
            let taken = photo.taken.map(|t| t.to_string());
            assert_eq!(taken.as_deref(), Some("2026-03-14T09:30:05"), "{name}");
        }
    }
}

/// The places that a photo's EXIF holds are nobody's business: they stand in
/// the file and in neither its reading nor its plain copy.
#[test]
fn a_plain_photo_has_no_place_no_camera_and_the_same_pixels() {
    for name in [
        "tests/fixtures/photo/turned.jpg",
        "tests/fixtures/photo/turned.png",
    ] {
        let bytes = read(name);
        let holds = |bytes: &[u8], what: &[u8]| bytes.windows(what.len()).any(|w| w == what);
        let private: [&[u8]; 2] = [b"Invented camera", b"invented"];
        assert!(holds(&bytes, private[0]), "{name} has lost what it is for");
        let photo = PhotoFile::read(&bytes).unwrap();
        let plain = photo.plain(&bytes);
        for what in private {
            assert!(!holds(&plain, what), "{name} still says {what:?}");
        }
        let exif = exif::Reader::new()
            .read_from_container(&mut Cursor::new(&plain))
            .unwrap();
        assert!(
            exif.fields().all(|f| f.tag.context() != exif::Context::Gps),
            "{name} still says where"
        );
        assert_eq!(PhotoFile::read(&plain), Ok(photo), "{name}");
        assert_eq!(second_reader(&plain), second_reader(&bytes), "{name}");
        assert_eq!(upright(&plain), upright(&bytes), "{name}");
        assert!(plain.len() <= bytes.len(), "{name} has grown");
        let said = format!("{photo:?}");
        assert!(!said.contains("Invented"), "{said}");
    }
}

#[test]
fn a_photo_written_anew_keeps_its_focal_length() {
    // As a browser does with a HEIC: decoded, upright, JPEG without EXIF.
    let from = PhotoFile::read(&read("tests/fixtures/photo/turned.heic")).unwrap();
    let mut anew = Vec::new();
    let upright = RgbImage::from_pixel(480, 640, image::Rgb([90, 70, 60]));
    let jpeg = image::codecs::jpeg::JpegEncoder::new(&mut anew);
    upright.write_with_encoder(jpeg).unwrap();
    let told = PhotoFile::read(&from.plain_upright(&anew)).unwrap();
    assert_eq!(told.orientation, Orientation::UPRIGHT);
    assert_eq!((told.size(), told.taken), (from.size(), from.taken));
    assert_eq!(told.optics(480), from.optics(480));
}

#[test]
fn what_is_no_photo_gets_a_sentence() {
    let png = |width: u32, height: u32| {
        let mut bytes = Cursor::new(Vec::new());
        let image = image::GrayImage::new(width, height);
        image.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
        bytes.into_inner()
    };
    let too_wide = PhotoFile::read(&png(20_000, 500)).unwrap_err();
    let dot = PhotoFile::read(&png(1, 1)).unwrap_err();
    assert_eq!(
        dot.sentence("a.png"),
        "“a.png” is only 1 x 1 px, too small to tap on exactly, so nothing was changed. Choose a photo of at least 400 px on its short side."
    );
    assert_eq!(
        too_wide.sentence("b.png"),
        "“b.png” is 20000 x 500 px, which is no photo of a face, so nothing was changed. Choose one with fewer than 20000 px on its long side."
    );
    for no_photo in [
        &b"GIF89a\x01\0\x01\0"[..],
        b"%PDF-1.7",
        b"RIFF....WAVE",
        b"{}",
    ] {
        assert_eq!(PhotoFile::read(no_photo), Err(PhotoError::NoPhoto));
    }
    assert_eq!(PhotoFile::read(&[]), Err(PhotoError::Empty));
    assert!(PhotoFile::read(&png(400, 19_999)).is_ok());
}

#[test]
fn a_photo_cut_short_anywhere_is_refused() {
    for name in FIXTURES.into_iter().chain([DEMO_PHOTOS[0]]) {
        let bytes = read(name);
        let step = (bytes.len() / 700).max(1);
        for length in (1..bytes.len()).step_by(step).chain([bytes.len() - 1]) {
            let refused = PhotoFile::read(&bytes[..length]);
            let error = refused.expect_err(&format!("{name} cut at {length}"));
            // The picture itself is missing: no word of another kind of file.
            if length > 64 {
                let short = matches!(error, PhotoError::CutShort { .. });
                assert!(short, "{name} cut at {length}: {error}");
            }
        }
    }
}

#[test]
fn what_follows_the_picture_does_no_harm() {
    // Phones put a film or a second picture behind the first.
    for name in [
        "tests/fixtures/photo/turned.jpg",
        "tests/fixtures/photo/turned.png",
    ] {
        let mut bytes = read(name);
        let alone = PhotoFile::read(&bytes).unwrap();
        bytes.extend(b"\0\0\0\x18ftypmp42\0\0\0\0mp42isom and a film");
        assert_eq!(PhotoFile::read(&bytes), Ok(alone));
        assert!(!alone.plain(&bytes).ends_with(b"and a film"));
    }
}

#[test]
fn a_large_photo_is_kept_smaller_with_its_distance_right() {
    // 108 megapixels, as some phones write; the header alone is read.
    let camera = Camera {
        size: (9000, 12_000),
        focal: 5.6 * 6.0 * 1500.0,
        distance: 1500.0,
        ..Camera::default()
    };
    let exif = Exif::of(&camera, "2026:03:14 09:30:00");
    let mut bytes = read(DEMO_PHOTOS[0]);
    let tiff = exif.tiff((9000, 12_000));
    // The stored size stands behind 0xFFC0: length, precision, height, width.
    let at = bytes.windows(2).position(|w| w == [0xFF, 0xC0]).unwrap();
    bytes[at + 5..at + 9].copy_from_slice(&[0x2E, 0xE0, 0x23, 0x28]);
    let old = bytes.windows(6).position(|w| w == b"Exif\0\0").unwrap() + 6;
    bytes[old..old + tiff.len()].copy_from_slice(&tiff);
    let photo = PhotoFile::read(&bytes).unwrap();
    assert_eq!(photo.size(), Size::new(9000, 12_000));
    let kept = photo.kept();
    assert!(kept.is_smaller() && kept.size.pixels() <= 24e6);
    let optics = photo.optics(kept.size.width).unwrap();
    let mm_per_px = kept.mm_per_px(1.0 / camera.scale_at(0.0));
    let off = optics.distance_mm(mm_per_px) / 1500.0 - 1.0;
    assert!(off.abs() < 2.0 * optics.relative_sd, "{off}");
}
