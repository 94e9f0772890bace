//! How a double is written: RFC 8785, section 3.2.2.3, by its authors' own
//! list (github.com/cyberphone/json-canonicalization, testdata/README.md):
//! fixed edge cases, two thousand neighbours of the smallest normal double,
//! then doubles made by SHA-256 in a chain. Their table gives the SHA-256 of
//! the first so many lines "bits,text", so this checks our SHA-256 as well.

use ophryon_agreement::{Seal, canonical};

const EDGES: &str = include_str!("../fixtures/rfc8785-edge-numbers.txt");

/// Lines, their length in bytes, and their published SHA-256.
const PUBLISHED: [(usize, usize, &str); 4] = [
    (
        1_000,
        37_967,
        "be18b62b6f69cdab33a7e0dae0d9cfa869fda80ddc712221570f9f40a5878687",
    ),
    (
        10_000,
        399_022,
        "b9f7a8e75ef22a835685a52ccba7f7d6bdc99e34b010992cbc5864cd12be6892",
    ),
    (
        100_000,
        4_031_728,
        "22776e6d4b49fa294a0d0f349268e5c28808fe7e0cb2bcbe28f63894e494d4c7",
    ),
    (
        1_000_000,
        40_357_417,
        "49415fee2c56c77864931bd3624faad425c3c577d6d74e89a83bc725506dad16",
    ),
];

/// The authors' doubles, in order.
fn doubles(most: usize) -> Vec<u64> {
    let edges = EDGES.lines().filter(|line| !line.starts_with('#'));
    let mut bits: Vec<u64> = edges
        .map(|line| u64::from_str_radix(line, 16).unwrap())
        .chain((0..2000).map(|i| 0x0010_0000_0000_0000 + i))
        .collect();
    let mut block = [0_u8; 32];
    while bits.len() < most {
        block = sha256(&block);
        let numbers = block.chunks_exact(8).map(|eight| {
            let mut bytes = [0; 8];
            bytes.copy_from_slice(eight);
            f64::from_le_bytes(bytes)
        });
        bits.extend(
            numbers
                .filter(|f| *f != 0.0 && f.is_finite())
                .map(f64::to_bits),
        );
    }
    bits.truncate(most);
    bits
}

fn sha256(block: &[u8]) -> [u8; 32] {
    use sha2::{Digest, Sha256};
    Sha256::digest(block).into()
}

fn as_published(most: usize) {
    let mut lines = String::new();
    let mut checked = 0;
    for (n, bits) in doubles(most).into_iter().enumerate() {
        let text = canonical(&f64::from_bits(bits)).unwrap();
        lines.push_str(&format!("{bits:x},{text}\n"));
        if let Some((_, length, seal)) = PUBLISHED.iter().find(|(count, ..)| *count == n + 1) {
            assert_eq!(
                (lines.len(), Seal::of(&lines).to_string().as_str()),
                (*length, *seal)
            );
            checked += 1;
        }
    }
    let expected = PUBLISHED
        .iter()
        .filter(|(count, ..)| *count <= most)
        .count();
    assert_eq!(checked, expected);
}

#[test]
fn ten_thousand_published_numbers_are_written_as_published() {
    as_published(10_000);
}

#[test]
#[ignore = "a long proof"]
fn a_million_published_numbers_are_written_as_published() {
    as_published(1_000_000);
}
