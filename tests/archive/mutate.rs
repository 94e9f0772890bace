//! Damage and malice by the thousand: bytes, fields of the zip, words of the
//! JSON, the lock.

use crate::clients::{Client, Dice, backup, random};
use crate::locked::{locked, quick};
use crate::zip::{File, file, stored, zip_stating};

/// Numbers that readers trip over.
const NUMBERS: [&str; 12] = [
    "0",
    "-1",
    "1e999",
    "-0.0",
    "1e-320",
    "4294967296",
    "18446744073709551616",
    "99999999999999999999999999",
    "null",
    "true",
    "[]",
    "{}",
];

/// Texts that do.
const TEXTS: [&str; 8] = [
    "",
    "../../evil",
    "/etc/passwd",
    "<script>alert(1)</script>",
    "\\u0000",
    "\\ud800",
    "client.json",
    "\\u202e",
];

/// What is damaged.
pub struct Seeds {
    open: Vec<u8>,
    locked: Vec<u8>,
    clients: Vec<Client>,
    manifest: String,
}

impl Seeds {
    pub fn new() -> Self {
        let clients: Vec<Client> = (40..43).map(random).collect();
        let open = backup(&clients);
        Self {
            locked: locked(&open, quick()),
            manifest: manifest(&clients),
            clients,
            open,
        }
    }

    /// A damaged or hostile backup.
    pub fn archive(&self, dice: &mut Dice) -> Vec<u8> {
        match dice.below(8) {
            0 | 1 => bytes(dice, &self.open),
            2 => cut(dice, &self.open),
            3 => fields(dice, &self.open),
            4 => bytes(dice, &self.locked),
            5 => locked(&bytes(dice, &self.open), quick()),
            _ => self.packed_again(dice),
        }
    }

    /// A damaged client's file.
    pub fn client(&self, dice: &mut Dice) -> Vec<u8> {
        let text = dice.pick(&self.clients).json();
        if dice.one_in(3) {
            bytes(dice, text.as_bytes())
        } else {
            words(dice, &text).into_bytes()
        }
    }

    /// Sound as a zip, with checksums that fit, so that what is inside is read.
    fn packed_again(&self, dice: &mut Dice) -> Vec<u8> {
        let mut files = Vec::new();
        for (i, client) in self.clients.iter().enumerate() {
            let folder = format!("clients/{:04}", i + 1);
            let json = self.client(dice);
            let _ = &client;
            files.push(file(&format!("{folder}/client.json"), &json));
            for (n, (_, photo)) in client.photos.iter().enumerate() {
                files.push(stored(&format!("{folder}/photo-{n}.jpg"), photo));
            }
        }
        let manifest = words(dice, &self.manifest);
        files.push(file("manifest.json", manifest.as_bytes()));
        for _ in 0..dice.below(3) {
            spoil(dice, &mut files);
        }
        let stated = match dice.below(6) {
            0 => dice.next() as u16,
            _ => files.len() as u16,
        };
        zip_stating(&files, stated)
    }
}

fn manifest(clients: &[Client]) -> String {
    let mut listed = Vec::new();
    let mut entries = Vec::new();
    for i in 1..=clients.len() {
        let placed = r#"{"photo": "a", "was": {"embedded": "image/jpeg"}}, {"photo": "b", "was": {"named": "x.jpg"}}"#;
        listed.push(format!(
            r#"{{"folder": "{i:04}", "changed": 5, "placed": [{placed}]}}"#
        ));
        entries.push(format!(
            r#"{{"name": "clients/{i:04}/client.json", "bytes": 7, "sha-256": "{}"}}"#,
            "ab".repeat(32)
        ));
    }
    format!(
        r#"{{"format": "ophryon-backup", "schema": 1, "made": {{"app": "0", "at": "now"}}, "clients": [{}], "entries": [{}]}}"#,
        listed.join(", "),
        entries.join(", ")
    )
}

/// One file is other than it says.
fn spoil(dice: &mut Dice, files: &mut Vec<File>) {
    let at = dice.below(files.len());
    let number = *dice.pick(&[0, 1, 45, 0xFFFF, 0x7FFF_FFFF, 0xFFFF_FFFE, 0xFFFF_FFFF]);
    let copy = files[at].clone();
    let file = &mut files[at];
    match dice.below(9) {
        0 => file.size = number,
        1 => file.packed_size = number,
        2 => file.flags = dice.next() as u16,
        3 => file.method = dice.next() as u16 % 100,
        4 => file.mode = dice.next() as u16,
        5 => file.at = Some(number),
        6 => {
            file.name = dice
                .pick(&[
                    &b"../../evil"[..],
                    b"clients/../x",
                    b"",
                    b"/x",
                    b"\xFF",
                    b"manifest.json",
                ])
                .to_vec()
        }
        7 => file.packed = self::bytes(dice, &copy.packed),
        _ => files.push(copy),
    }
}

fn bytes(dice: &mut Dice, of: &[u8]) -> Vec<u8> {
    let mut bytes = of.to_vec();
    for _ in 0..=dice.below(12) {
        if bytes.is_empty() {
            break;
        }
        let at = dice.below(bytes.len());
        let to = (at + dice.below(64)).min(bytes.len());
        match dice.below(6) {
            0 | 1 => bytes[at] = dice.next() as u8,
            2 => bytes[at] ^= 1 << dice.below(8),
            3 => {
                bytes.drain(at..to);
            }
            4 => {
                let piece = bytes[at..to].to_vec();
                let into = dice.below(bytes.len());
                bytes.splice(into..into, piece);
            }
            _ => bytes[at..to].fill(*dice.pick(&[0, 0xFF, b'[', b'"'])),
        }
    }
    bytes
}

fn cut(dice: &mut Dice, of: &[u8]) -> Vec<u8> {
    let from = if dice.one_in(4) {
        dice.below(of.len())
    } else {
        0
    };
    let to = from + dice.below(of.len() - from + 1);
    let mut bytes = of[from..to].to_vec();
    if dice.one_in(3) {
        bytes.extend(dice.bytes(100));
    }
    bytes
}

/// Numbers in the zip's own records.
fn fields(dice: &mut Dice, of: &[u8]) -> Vec<u8> {
    let mut bytes = of.to_vec();
    let records: Vec<usize> = bytes
        .windows(4)
        .enumerate()
        .filter(|(_, w)| w.starts_with(b"PK") && w[2] < 9 && w[3] < 9)
        .map(|(at, _)| at)
        .collect();
    for _ in 0..=dice.below(3) {
        let at = dice.pick(&records) + 4 + dice.below(42);
        let number = *dice.pick(&[0_u32, 1, 0xFF, 0xFFFF, 0x7FFF_FFFF, 0xFFFF_FFFF]);
        let number = number.to_le_bytes();
        let size = *dice.pick(&[1, 2, 4]);
        if let Some(field) = bytes.get_mut(at..at + size) {
            field.copy_from_slice(&number[..size]);
        }
    }
    bytes
}

/// Words of a JSON text replaced, repeated, dropped and nested.
fn words(dice: &mut Dice, text: &str) -> String {
    let mut text = text.to_owned();
    for _ in 0..=dice.below(4) {
        let marks: Vec<usize> = text
            .char_indices()
            .filter(|(_, c)| matches!(c, ',' | ':' | '[' | '{'))
            .map(|(at, _)| at + 1)
            .collect();
        if marks.is_empty() {
            break;
        }
        let from = *dice.pick(&marks);
        let ends = [',', '}', ']', '\n'];
        let to = text[from..].find(ends).map_or(text.len(), |n| from + n);
        let with = match dice.below(7) {
            0 | 1 => (*dice.pick(&NUMBERS)).to_owned(),
            2 | 3 => format!("\"{}\"", dice.pick(&TEXTS)),
            4 => "[".repeat(dice.below(3_000)),
            5 => String::new(),
            _ => format!("\"{}\"", "x".repeat(dice.below(30_000))),
        };
        text.replace_range(from..to, &with);
    }
    text
}
