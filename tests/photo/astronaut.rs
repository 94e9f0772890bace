//! A real photograph: scikit-image's `astronaut`, the official portrait of
//! Eileen Collins by NASA, in the public domain. It is fetched from the Python
//! package index (scikit-image's wheel carries it) and kept among the build
//! output, never in the repository. Where it can't be had, the test says so.

use std::path::PathBuf;
use std::process::Command;

use ophryon_face::{IRIS_MM, Landmarks, Reference, Scale};
use ophryon_frames::{Photo, Point, Side, Sided, Vector};
use ophryon_photo::{
    AtLarge, BrowBand, Kind, Layout, Matter, PhotoFile, Pixels, Quality, RoughScale, Size, Weight,
    find_iris,
};

use crate::file;

/// Of this version; its wheel for any one system will do.
const PACKAGE: &str = "scikit-image==0.25.2";

/// The picture's bytes; `None` where the index is out of reach.
fn astronaut() -> Option<Vec<u8>> {
    let folder = file("target/photographs");
    let picture: PathBuf = folder.join("skimage/data/astronaut.png");
    if !picture.is_file() {
        let fetched = Command::new("python3")
            .args(["-m", "pip", "download", "--quiet", "--no-deps"])
            .args(["--disable-pip-version-check", "--only-binary", ":all:"])
            .args([
                "--platform",
                "manylinux2014_x86_64",
                "--python-version",
                "3.11",
            ])
            .arg("--dest")
            .args([folder.as_os_str(), PACKAGE.as_ref()])
            .status();
        let wheels = std::fs::read_dir(&folder).ok()?.filter_map(Result::ok);
        let wheel = wheels
            .map(|e| e.path())
            .find(|p| p.extension().is_some_and(|e| e == "whl"));
        let (Ok(true), Some(wheel)) = (fetched.map(|s| s.success()), wheel) else {
            return None;
        };
        // A wheel is a zip.
        let unpacked = Command::new("python3")
            .args(["-m", "zipfile", "-e"])
            .arg(wheel)
            .arg(&folder)
            .status();
        unpacked.ok().filter(|s| s.success())?;
    }
    std::fs::read(picture).ok()
}

#[test]
fn a_real_photograph_gives_plausible_values() {
    let Some(bytes) = astronaut() else {
        println!("skipped: {PACKAGE} can't be had, so no real photograph was measured");
        return;
    };
    let photo = PhotoFile::read(&bytes).unwrap();
    assert_eq!((photo.kind, photo.size()), (Kind::Png, Size::new(512, 512)));
    assert_eq!((photo.focal, photo.taken), (None, None));
    assert!(!photo.kept().is_smaller());

    let decoded = image::load_from_memory(&bytes).unwrap().to_rgb8();
    let pixels = Pixels::of_photo(photo.size(), Layout::Rgb, decoded.as_raw()).unwrap();
    // Both pupils, tapped by eye on an enlargement.
    let pupils: Sided<Point<Photo>> = Sided {
        right: Point::new(203.7, 101.0),
        left: Point::new(246.8, 103.6),
    };
    let across = pupils.left - pupils.right;
    let rough = RoughScale::by_pupils(pupils.right, pupils.left);

    // The irises are 8 px wide here, where a photo for the work has 50 and
    // more; found they are all the same, from any tap near by.
    for side in Side::BOTH {
        let pupil = *pupils.get(side);
        let (mut found, mut asked) = (0, 0);
        for (dx, dy) in [
            (0.0, 0.0),
            (1.0, 0.5),
            (-1.0, -0.5),
            (0.5, -1.0),
            (-0.5, 1.0),
        ] {
            asked += 1;
            let Ok(iris) = find_iris(&pixels, pupil + Vector::new(dx, dy), rough) else {
                continue;
            };
            found += 1;
            let off = iris.centre.distance(pupil);
            assert!(
                off < 1.0,
                "{side:?}: {off:.2} px from where the eye sees it"
            );
            let mm_per_px = IRIS_MM / (2.0 * iris.radius_px);
            let pupils_mm = across.length() * mm_per_px;
            println!(
                "{side:?} iris: radius {:.2} px, pupils {pupils_mm:.1} mm apart",
                iris.radius_px
            );
            assert!(
                (pupils_mm / 63.0 - 1.0).abs() < 0.1,
                "{side:?}: {pupils_mm:.1} mm"
            );
        }
        assert!(found * 5 >= asked * 4, "{side:?}: {found} of {asked} taps");
    }

    // Its rim as a scale reference is refused as too short, or uncertain.
    let iris = find_iris(&pixels, pupils.right, rough).unwrap();
    let reference = Reference::Iris {
        side: Side::Right,
        rim: iris.rim(across),
    };
    let scale: Result<Scale, _> = reference.scale(&Landmarks::default());
    if let Ok(scale) = scale {
        assert!(scale.relative_sd() > 0.05);
    }

    // Sharp for its size; far too small to draw brows on, and that is said.
    let large = AtLarge::of(&pixels).unwrap();
    let blur = large.blur_px.unwrap();
    assert!((0.2..1.2).contains(&blur), "{blur:.2} px");
    let px_per_mm = across.length() / 63.0;
    let quality = Quality::of(&pixels, &BrowBand::new(pupils, px_per_mm).unwrap());
    let first = &quality.remarks[0];
    assert_eq!(
        (first.matter, first.weight),
        (Matter::Resolution, Weight::TakeAgain)
    );
    let too_dark = quality.remarks.iter().any(|r| r.matter == Matter::Dark);
    assert!(!too_dark, "{:?}", quality.remarks);
}
