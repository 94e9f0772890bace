//! The header of a locked file: which passphrase opens it, and how much work
//! each guess costs.

use base64::Engine;
use base64::engine::general_purpose::STANDARD_NO_PAD;
use chacha20poly1305::aead::Aead;
use chacha20poly1305::{ChaCha20Poly1305, KeyInit, Nonce};
use hkdf::Hkdf;
use hmac::{Hmac, Mac};
use sha2::Sha256;
use zeroize::Zeroizing;

use super::{LockError, Passphrase, VERSION_LINE};

/// Longest header that is looked for, bytes; ours has 150, one with many
/// keys some thousands.
pub(super) const LONGEST: usize = 64 * 1024;

/// Bytes of a file key, and of its locked form.
const FILE_KEY: usize = 16;
const LOCKED_KEY: usize = FILE_KEY + 16;
/// Bytes of the salt.
const SALT: usize = 16;
const SALT_LABEL: &[u8] = b"age-encryption.org/v1/scrypt";
/// Block size and lanes that the format fixes.
const SCRYPT: (u32, u32) = (8, 1);

/// How much work a guess at the passphrase costs: scrypt's N as a power of two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Work(u8);

impl Work {
    /// What backups are locked with: 2^17, 128 MB and about half a second each
    /// (the least that the OWASP Password Storage Cheat Sheet recommends for
    /// scrypt with these block sizes, from memory).
    pub const USUAL: Self = Self(17);
    /// The most that is done to open a file: 2^18, 256 MB, what the format's
    /// reference program asks for. A hostile file may ask for 2^40.
    pub const MOST: Self = Self(18);

    /// A power of two from 1 to [`Work::MOST`]; small ones are for tests.
    pub const fn new(log_n: u8) -> Option<Self> {
        if log_n >= 1 && log_n <= Self::MOST.0 {
            Some(Self(log_n))
        } else {
            None
        }
    }

    /// The power of two.
    pub const fn log_n(self) -> u8 {
        self.0
    }
}

/// A key of one file, and the salt that made it.
pub(super) struct FileKey(Zeroizing<[u8; FILE_KEY]>);

impl FileKey {
    pub(super) fn new(bytes: [u8; FILE_KEY]) -> Self {
        Self(Zeroizing::new(bytes))
    }

    fn derived(&self, salt: &[u8], label: &[u8]) -> Zeroizing<[u8; 32]> {
        let mut key = Zeroizing::new([0; 32]);
        // Only more than 255 x 32 bytes would be too many to ask for.
        let _ = Hkdf::<Sha256>::new(Some(salt), self.0.as_slice()).expand(label, key.as_mut());
        key
    }

    /// The key of what follows the header.
    pub(super) fn payload(&self, nonce: &[u8]) -> ChaCha20Poly1305 {
        ChaCha20Poly1305::new(&(*self.derived(nonce, b"payload")).into())
    }

    fn mac(&self, header: &[u8]) -> Option<Hmac<Sha256>> {
        let key = self.derived(&[], b"header");
        let mut mac = <Hmac<Sha256> as KeyInit>::new_from_slice(key.as_slice()).ok()?;
        mac.update(header);
        Some(mac)
    }
}

/// The key that a passphrase and a salt give.
fn stretched(passphrase: &Passphrase, salt: &[u8; SALT], work: Work) -> Option<ChaCha20Poly1305> {
    let params = scrypt::Params::new(work.0, SCRYPT.0, SCRYPT.1).ok()?;
    let salt = [SALT_LABEL, salt.as_slice()].concat();
    let mut key = Zeroizing::new([0; 32]);
    scrypt::scrypt(passphrase.bytes(), &salt, &params, key.as_mut()).ok()?;
    Some(ChaCha20Poly1305::new(&(*key).into()))
}

/// The header's text; `None` only where the ciphers refuse, which they don't
/// for keys of these sizes.
pub(super) fn write(
    passphrase: &Passphrase,
    key: &FileKey,
    salt: &[u8; SALT],
    work: Work,
) -> Option<Vec<u8>> {
    let wrap = stretched(passphrase, salt, work)?;
    let locked = wrap.encrypt(&Nonce::default(), key.0.as_slice()).ok()?;
    let mut text = VERSION_LINE.to_vec();
    let salt = STANDARD_NO_PAD.encode(salt);
    let body = STANDARD_NO_PAD.encode(locked);
    text.extend(format!("-> scrypt {salt} {}\n{body}\n---", work.0).bytes());
    let mac = key.mac(&text)?.finalize().into_bytes();
    text.extend(format!(" {}\n", STANDARD_NO_PAD.encode(mac)).bytes());
    Some(text)
}

/// A header that was understood, not yet opened.
#[derive(Debug)]
pub(super) struct Header {
    salt: [u8; SALT],
    work: Work,
    locked: [u8; LOCKED_KEY],
    /// Of the header's bytes, those the code at its end stands for.
    coded: Vec<u8>,
    mac: [u8; 32],
    /// Where the header ends.
    pub(super) length: usize,
}

impl Header {
    /// From the first bytes of a file.
    pub(super) fn read(first: &[u8]) -> Result<Self, LockError> {
        let mut lines = Lines { rest: first, at: 0 };
        let version = lines.next().ok_or(LockError::NotLocked)?;
        if !super::is_locked(version) {
            return Err(LockError::NotLocked);
        }
        if version != VERSION_LINE.trim_ascii_end() {
            return Err(LockError::Newer);
        }
        let stanza = lines.next().ok_or(LockError::Damaged)?;
        let mut words = stanza.split(|b| *b == b' ');
        if words.next() != Some(b"->") {
            return Err(LockError::Damaged);
        }
        if words.next() != Some(b"scrypt") {
            return Err(LockError::Keys);
        }
        let (salt, work) = match (words.next(), words.next(), words.next()) {
            (Some(salt), Some(work), None) => (decoded(salt)?, asked_work(work)?),
            _ => return Err(LockError::Damaged),
        };
        let locked = decoded(lines.next().ok_or(LockError::Damaged)?)?;
        let end = lines.next().ok_or(LockError::Damaged)?;
        let mac = match end.strip_prefix(b"--- ") {
            Some(code) => decoded(code)?,
            // Whatever opens beside a passphrase makes the passphrase
            // worthless; the format forbids it.
            None if end.starts_with(b"->") => return Err(LockError::Keys),
            None => return Err(LockError::Damaged),
        };
        let coded_to = lines.at - end.len() - 1 + 3;
        Ok(Self {
            salt,
            work,
            locked,
            coded: first[..coded_to].to_vec(),
            mac,
            length: lines.at,
        })
    }

    /// The file's key, by the passphrase.
    pub(super) fn open(&self, passphrase: &Passphrase) -> Result<FileKey, LockError> {
        let wrap = stretched(passphrase, &self.salt, self.work).ok_or(LockError::Damaged)?;
        let key = wrap
            .decrypt(&Nonce::default(), self.locked.as_slice())
            .map_err(|_| LockError::WrongPassphrase)?;
        let key = Zeroizing::new(key);
        let key = FileKey::new(key.as_slice().try_into().map_err(|_| LockError::Damaged)?);
        let mac = key.mac(&self.coded).ok_or(LockError::Damaged)?;
        mac.verify_slice(&self.mac)
            .map_err(|_| LockError::Damaged)?;
        Ok(key)
    }
}

/// Canonical base64 without padding, of so many bytes.
fn decoded<const N: usize>(text: &[u8]) -> Result<[u8; N], LockError> {
    let bytes = STANDARD_NO_PAD
        .decode(text)
        .map_err(|_| LockError::Damaged)?;
    bytes.try_into().map_err(|_| LockError::Damaged)
}

/// A decimal number without a sign or zeros before it.
fn asked_work(text: &[u8]) -> Result<Work, LockError> {
    let plain = text.iter().all(u8::is_ascii_digit) && !text.starts_with(b"0");
    if text.is_empty() || !plain {
        return Err(LockError::Damaged);
    }
    let asked = std::str::from_utf8(text)
        .ok()
        .and_then(|t| t.parse::<u8>().ok());
    asked.and_then(Work::new).ok_or(LockError::TooMuchWork)
}

/// Lines that end in a line feed.
struct Lines<'a> {
    rest: &'a [u8],
    at: usize,
}

impl<'a> Lines<'a> {
    fn next(&mut self) -> Option<&'a [u8]> {
        let end = self.rest.iter().position(|b| *b == b'\n')?;
        let (line, rest) = self.rest.split_at(end);
        self.rest = &rest[1..];
        self.at += end + 1;
        Some(line)
    }
}
