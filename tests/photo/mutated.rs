//! Real files with bytes changed, left out, put in: always an answer, never a
//! stop, and nothing grows.

use std::cell::Cell;

use ophryon_photo::PhotoFile;
use proptest::prelude::*;
use proptest::sample::Index;
use proptest::test_runner::{Config, TestRunner};

use crate::{DEMO_PHOTOS, FIXTURES, read};

/// Mutated files in the ordinary tests, and by hand before a release.
const FEW: u32 = 3000;
const MANY: u32 = 300_000;

/// One change. Most damage is done where the headers are.
#[derive(Debug, Clone)]
enum Change {
    Set(Index, u8),
    Flip(Index, u8),
    Length(Index, u32),
    Remove(Index, u8),
    Insert(Index, Vec<u8>),
    Cut(Index),
    Swap(Index, Index),
}

fn change() -> impl Strategy<Value = Change> {
    let lengths = prop_oneof![
        any::<u32>(),
        Just(0),
        Just(1),
        Just(u32::MAX),
        Just(0x7FFF_FFFF),
        Just(0x8000_0000),
        0..64_u32,
    ];
    prop_oneof![
        4 => (any::<Index>(), any::<u8>()).prop_map(|(i, b)| Change::Set(i, b)),
        3 => (any::<Index>(), 0..8_u8).prop_map(|(i, b)| Change::Flip(i, b)),
        3 => (any::<Index>(), lengths).prop_map(|(i, n)| Change::Length(i, n)),
        1 => (any::<Index>(), any::<u8>()).prop_map(|(i, n)| Change::Remove(i, n)),
        1 => (any::<Index>(), prop::collection::vec(any::<u8>(), 1..40))
            .prop_map(|(i, b)| Change::Insert(i, b)),
        1 => any::<Index>().prop_map(Change::Cut),
        1 => (any::<Index>(), any::<Index>()).prop_map(|(a, b)| Change::Swap(a, b)),
    ]
}

fn apply(bytes: &mut Vec<u8>, change: &Change, reach: usize) {
    let n = bytes.len().min(reach);
    if n < 8 {
        return;
    }
    match change {
        Change::Set(i, b) => bytes[i.index(n)] = *b,
        Change::Flip(i, bit) => bytes[i.index(n)] ^= 1 << bit,
        Change::Length(i, value) => {
            let at = i.index(n - 4);
            bytes[at..at + 4].copy_from_slice(&value.to_be_bytes());
        }
        Change::Remove(i, count) => {
            let at = i.index(n);
            let end = (at + usize::from(*count)).min(bytes.len());
            bytes.drain(at..end);
        }
        Change::Insert(i, more) => {
            let at = i.index(n);
            bytes.splice(at..at, more.iter().copied());
        }
        Change::Cut(i) => bytes.truncate(i.index(bytes.len())),
        Change::Swap(a, b) => bytes.swap(a.index(n), b.index(n)),
    }
}

fn mutated(cases: u32) {
    let mut originals: Vec<Vec<u8>> = FIXTURES.iter().map(|name| read(name)).collect();
    originals.extend(DEMO_PHOTOS.iter().take(1).map(|name| read(name)));
    let strategy = (
        any::<Index>(),
        prop::collection::vec(change(), 1..12),
        prop::sample::select(vec![64_usize, 400, 3000, usize::MAX]),
    );
    let mut config = Config::with_cases(cases);
    config.failure_persistence = None;
    let (read_still, refused) = (Cell::new(0_u32), Cell::new(0_u32));
    TestRunner::new(config)
        .run(&strategy, |(which, changes, reach)| {
            let mut bytes = originals[which.index(originals.len())].clone();
            for change in &changes {
                apply(&mut bytes, change, reach);
            }
            match PhotoFile::read(&bytes) {
                Err(error) => {
                    refused.set(refused.get() + 1);
                    let sentence = error.sentence("x.jpg");
                    prop_assert!(
                        sentence.len() < 260 && sentence.ends_with('.'),
                        "{sentence}"
                    );
                }
                Ok(photo) => {
                    read_still.set(read_still.get() + 1);
                    let size = photo.size();
                    prop_assert!(size.width.min(size.height) >= 400);
                    prop_assert!(size.width.max(size.height) < 20_000);
                    if let Some(optics) = photo.optics(size.width) {
                        prop_assert!(optics.focal_px.is_finite() && optics.focal_px > 0.0);
                    }
                    let plain = photo.plain(&bytes);
                    prop_assert!(plain.len() <= bytes.len() + 300);
                    if photo.kind.stays() {
                        // What is kept says the same as what came.
                        let again = PhotoFile::read(&plain);
                        let again = again.map_err(|e| TestCaseError::fail(e.to_string()))?;
                        prop_assert_eq!(again.size(), photo.size());
                        prop_assert_eq!(again.orientation, photo.orientation);
                        prop_assert_eq!(again.taken, photo.taken);
                        let px = |p: &PhotoFile| p.optics(1000).map_or(0.0, |o| o.focal_px);
                        let (a, b) = (px(&again), px(&photo));
                        prop_assert!((a - b).abs() <= 1e-3 * b, "{a} {b}");
                    }
                }
            }
            Ok(())
        })
        .unwrap_or_else(|e| panic!("{e}"));
    let (read_still, refused) = (read_still.get(), refused.get());
    println!("{read_still} of {cases} still read, {refused} refused in words");
    assert!(read_still > cases / 20 && refused > cases / 20);
}

#[test]
fn mutated_files_get_an_answer() {
    mutated(FEW);
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn three_hundred_thousand_mutated_files_get_an_answer() {
    mutated(MANY);
}

proptest! {
    #![proptest_config(Config { failure_persistence: None, ..Config::with_cases(2000) })]

    /// Not even a signature is right.
    #[test]
    fn noise_gets_an_answer(
        head in prop::sample::select(vec![
            &b"\xFF\xD8\xFF"[..], b"\x89PNG\r\n\x1a\n", b"RIFF\x40\0\0\0WEBP",
            b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", b"",
        ]),
        noise in prop::collection::vec(any::<u8>(), 0..600),
    ) {
        let bytes = [head, &noise].concat();
        prop_assert!(PhotoFile::read(&bytes).is_err());
    }
}
