//! Photos as they come: files whole and damaged, pixels sharp and blurred,
//! eyes under lids, lights and grain, drawn with known truth, and one real
//! photograph.

// A failing test says so by panicking.
#![allow(clippy::expect_used, clippy::unwrap_used, clippy::panic)]

mod astronaut;
mod eyes;
mod intake;
mod iris;
mod mutated;
mod quality;

use std::path::{Path, PathBuf};

/// A file of the repository.
fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(name)
}

fn read(name: &str) -> Vec<u8> {
    std::fs::read(file(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// The invented clients' photos.
const DEMO_PHOTOS: [&str; 6] = [
    "demo-data/demo-even/relaxed.jpg",
    "demo-data/demo-even/eyes-open.jpg",
    "demo-data/demo-set/relaxed.jpg",
    "demo-data/demo-set/eyes-open.jpg",
    "demo-data/demo-movement/relaxed.jpg",
    "demo-data/demo-movement/eyes-open.jpg",
];

/// Small files made by other people's writers (libwebp 1.6.0, libavif 1.4.2,
/// libheif 1.23.6 with x265, libpng and libjpeg-turbo, all by way of Pillow
/// 13.0): 640 x 480 px, two flat halves. Where EXIF is in them it says
/// orientation 6 (5 and 7 in the mirrored ones), 26 mm equivalent focal length,
/// a camera's name and a place on earth.
const FIXTURES: [&str; 9] = [
    "tests/fixtures/photo/lossless.webp",
    "tests/fixtures/photo/lossy.webp",
    "tests/fixtures/photo/mirrored.avif",
    "tests/fixtures/photo/mirrored.heic",
    "tests/fixtures/photo/turned.avif",
    "tests/fixtures/photo/turned.heic",
    "tests/fixtures/photo/turned.jpg",
    "tests/fixtures/photo/turned.png",
    "tests/fixtures/photo/upright.heic",
];
