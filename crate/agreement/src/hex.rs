//! Bytes that are written as lower-case hexadecimal digits: seals and
//! one-time numbers.

use std::fmt;
use std::str::FromStr;

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use sha2::{Digest, Sha256};

/// `N` bytes, written with two digits each.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hex<const N: usize>([u8; N]);

/// SHA-256 (FIPS 180-4) over a canonical form.
pub type Seal = Hex<32>;

/// A number used once, so that no answer counts twice. 128 bits by chance:
/// the shell hands it in, and no two meet.
pub type Nonce = Hex<16>;

/// Digits of a seal that stand on paper. 32 bits tell two papers apart; who
/// wants to know for sure compares the whole.
const SHORT: usize = 8;

impl<const N: usize> Hex<N> {
    /// From the bytes themselves.
    pub const fn from_bytes(bytes: [u8; N]) -> Self {
        Self(bytes)
    }

    /// The bytes.
    pub const fn bytes(&self) -> &[u8; N] {
        &self.0
    }
}

impl Seal {
    /// The seal of a text.
    pub fn of(text: &str) -> Self {
        Self(Sha256::digest(text.as_bytes()).into())
    }

    /// The first eight digits, for paper.
    pub fn short(&self) -> String {
        self.to_string().chars().take(SHORT).collect()
    }
}

impl<const N: usize> fmt::Display for Hex<N> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl<const N: usize> fmt::Debug for Hex<N> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

/// Not the digits that were asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("it must be {digits} digits of 0 to 9 and a to f")]
pub struct NoHex {
    /// How many digits there should be.
    pub digits: usize,
}

impl<const N: usize> FromStr for Hex<N> {
    type Err = NoHex;

    fn from_str(text: &str) -> Result<Self, NoHex> {
        let wrong = NoHex { digits: 2 * N };
        let digit = |byte: u8| match byte {
            b'0'..=b'9' => Ok(byte - b'0'),
            b'a'..=b'f' => Ok(byte - b'a' + 10),
            _ => Err(wrong),
        };
        let digits = text.as_bytes();
        if digits.len() != 2 * N {
            return Err(wrong);
        }
        let mut bytes = [0; N];
        for (byte, pair) in bytes.iter_mut().zip(digits.chunks_exact(2)) {
            if let [high, low] = pair {
                *byte = 16 * digit(*high)? + digit(*low)?;
            }
        }
        Ok(Self(bytes))
    }
}

impl<const N: usize> Serialize for Hex<N> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

impl<'de, const N: usize> Deserialize<'de> for Hex<N> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        String::deserialize(from)?.parse().map_err(D::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4 gives the algorithm; NIST's examples for it (Cryptographic
    /// Standards and Guidelines, Example Values, SHA-256) are "abc" and the 56
    /// letters; a million times "a" is from the appendix of the standard's
    /// older version (FIPS 180-2, B.3), the empty text from its validation
    /// suite (NIST CAVP, SHA256ShortMsg, Len = 0).
    #[test]
    fn published_texts_have_their_published_seals() {
        for (text, seal) in [
            (
                "abc".to_owned(),
                "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
            ),
            (
                "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq".to_owned(),
                "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
            ),
            (
                String::new(),
                "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
            ),
            (
                "a".repeat(1_000_000),
                "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
            ),
        ] {
            assert_eq!(Seal::of(&text).to_string(), seal);
            assert_eq!(seal.parse(), Ok(Seal::of(&text)));
        }
        assert_eq!(Seal::of("abc").short(), "ba7816bf");
    }

    #[test]
    fn only_the_digits_themselves_are_read() {
        let good = "00112233445566778899aabbccddeeff";
        assert_eq!(good.parse::<Nonce>().unwrap().to_string(), good);
        for bad in [
            "",
            "0011",
            "00112233445566778899AABBCCDDEEFF",
            "+0112233445566778899aabbccddeeff",
            "0011223344556677 899aabbccddeeff",
            "00112233445566778899aabbccddeeff00",
            "0é112233445566778899aabbccddeef",
        ] {
            let said = bad.parse::<Nonce>().unwrap_err().to_string();
            assert_eq!(said, "it must be 32 digits of 0 to 9 and a to f", "{bad}");
        }
    }
}
