//! What a photo costs: reading its file's words, judging brows and eyes, and
//! finding an iris. Aim: 30 ms an eye natively at 6 px per mm.

use std::path::Path;

use criterion::{Criterion, criterion_group, criterion_main};
use ophryon_frames::{Point, Sided};
use ophryon_photo::{BrowBand, Layout, PhotoFile, Pixels, Quality, RoughScale, Size, find_iris};

fn photo(c: &mut Criterion) {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-data/demo-even/relaxed.jpg");
    let read = std::fs::read(&demo);
    let (Ok(bytes), Ok(decoded)) = (read, image::open(&demo)) else {
        eprintln!("{} can't be read, so nothing is measured", demo.display());
        return;
    };
    c.bench_function("a photo's file", |b| {
        b.iter(|| PhotoFile::read(&bytes).is_ok());
    });
    c.bench_function("a plain copy of it", |b| {
        b.iter(|| PhotoFile::read(&bytes).map(|file| file.plain(&bytes).len()));
    });
    let rgb = decoded.to_rgb8();
    let size = Size::new(rgb.width(), rgb.height());
    // Where this photo's pupils are, 5.6 px per mm.
    let pupils = Sided {
        right: Point::new(723.6, 900.0),
        left: Point::new(1076.4, 900.0),
    };
    let rough = RoughScale::by_pupils(pupils.right, pupils.left);
    let (Some(pixels), Some(band)) = (
        Pixels::of_photo(size, Layout::Rgb, rgb.as_raw()),
        BrowBand::new(pupils, 5.6),
    ) else {
        return;
    };
    c.bench_function("brows and eyes judged", |b| {
        b.iter(|| Quality::of(&pixels, &band).blur_px());
    });
    // Landmarks of its right brow, px.
    let brow = [
        (814.0, 823.0),
        (808.0, 785.0),
        (662.0, 757.0),
        (581.0, 818.0),
        (654.0, 791.0),
    ];
    let round = brow.map(|(x, y)| Point::new(x, y)).to_vec();
    if let Ok(search) = ophryon_photo::HairSearch::new(round, None, 5.6) {
        c.bench_function("hair of a brow found, 5.6 px per mm", |b| {
            b.iter(|| ophryon_photo::find_hair(&pixels, &search).is_ok());
        });
    }
    // The same face in a photo of 12 megapixels.
    let large = image::imageops::resize(&rgb, 3098, 3873, image::imageops::FilterType::Triangle);
    let k = 3098.0 / 1800.0;
    let round = brow.map(|(x, y)| Point::new(x * k, y * k)).to_vec();
    let large_pixels = Pixels::of_photo(Size::new(3098, 3873), Layout::Rgb, large.as_raw());
    if let (Ok(search), Some(pixels)) = (
        ophryon_photo::HairSearch::new(round, None, 5.6 * k),
        large_pixels,
    ) {
        c.bench_function("hair of a brow found, 12 megapixels", |b| {
            b.iter(|| ophryon_photo::find_hair(&pixels, &search).is_ok());
        });
    }
    let mut taps = 0..;
    c.bench_function("an iris found", |b| {
        b.iter(|| {
            let off = f64::from(taps.next().unwrap_or(0) % 16) - 8.0;
            find_iris(&pixels, Point::new(723.6 + off, 900.0 - off), rough).is_ok()
        });
    });
    c.bench_function("an iris found without any scale", |b| {
        b.iter(|| {
            let off = f64::from(taps.next().unwrap_or(0) % 16) - 8.0;
            let tap = Point::new(723.6 + off, 900.0 - off);
            find_iris(&pixels, tap, RoughScale::UNKNOWN).is_ok()
        });
    });
}

criterion_group!(benches, photo);
criterion_main!(benches);
