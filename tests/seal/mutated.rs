//! Thousands of packets that were changed by chance or on purpose: every one
//! is refused with a sentence.

use std::collections::BTreeMap;

use ophryon_agreement::{LONGEST_PACKET, PacketKind, pack, unpack};
use ophryon_record::{Invitation, Record};
use serde_json::Value;

use crate::demo::{Travelled, answered, at, signature, travelled};
use crate::leaves::{changed, leaves};
use crate::lot::Lot;

/// Longest refusal that is still read, characters.
const LONGEST_SENTENCE: usize = 400;

/// How often each sentence was said, without its numbers.
type Tally = BTreeMap<String, u32>;

fn said(sentence: &str, tally: &mut Tally) {
    assert!(sentence.chars().any(char::is_alphabetic));
    assert!(!sentence.contains('\n'), "{sentence}");
    assert!(sentence.chars().count() <= LONGEST_SENTENCE, "{sentence}");
    let begin: String = sentence.chars().take(40).collect();
    *tally.entry(begin).or_default() += 1;
}

/// Another text, by one of many mishaps.
fn mishap(text: &str, other: &str, lot: &mut Lot) -> String {
    let letters = "ABCXYZabcxyz0189-_.+/=é✓%";
    let letter = |lot: &mut Lot| {
        let n = lot.bits() as usize % letters.chars().count();
        letters.chars().nth(n).unwrap()
    };
    let (from, to) = {
        let (a, b) = (
            lot.bits() as usize % text.len(),
            lot.bits() as usize % text.len(),
        );
        (a.min(b), a.max(b))
    };
    let [a, b, c]: [&str; 3] = parts(text);
    let [x, y, z]: [&str; 3] = parts(other);
    match lot.bits() % 14 {
        0 => format!("{}{}{}", &text[..from], letter(lot), &text[from + 1..]),
        1 => format!("{}{}{}", &text[..from], letter(lot), &text[from..]),
        2 => format!("{}{}", &text[..from], &text[from + 1..]),
        3 => text[..from].to_owned(),
        4 => text[from + 1..].to_owned(),
        5 => format!("{}{}", &text[..from], &text[to..]),
        6 => format!("{}{}", &text[..to], &text[from..]),
        7 => text.chars().rev().collect(),
        8 => swapped_case(text, from),
        9 => format!("{a}.{b}.{z}"),
        10 => format!("{a}.{y}.{c}"),
        11 => format!("{x}.{b}.{c}."),
        12 => format!("{text}{other}"),
        _ => text.repeat(2 + LONGEST_PACKET / text.len()),
    }
}

fn parts(text: &str) -> [&str; 3] {
    let mut all = text.splitn(3, '.');
    [0, 1, 2].map(|_| all.next().unwrap_or_default())
}

fn swapped_case(text: &str, at: usize) -> String {
    let swap = |c: char| {
        if c.is_ascii_lowercase() {
            c.to_ascii_uppercase()
        } else {
            c.to_ascii_lowercase()
        }
    };
    let one = text.chars().enumerate();
    one.map(|(n, c)| if n >= at { swap(c) } else { c })
        .collect()
}

/// The same packet with one value of what is in it changed, and a new check:
/// somebody who knows how.
fn forged(kind: PacketKind, packet: &str, lot: &mut Lot) -> (String, String) {
    let mut value: Value = unpack(kind, packet).unwrap();
    let all = leaves(&value);
    let at = all[lot.bits() as usize % all.len()].clone();
    let leaf = value.pointer_mut(&at).unwrap();
    *leaf = changed(leaf, lot);
    (pack(kind, &value).unwrap(), at)
}

fn answers(count: u64, lot: &mut Lot, tally: &mut Tally) {
    let all: Vec<Travelled> = (0..3).map(|n| travelled(n, lot)).collect();
    for n in 0..count {
        let (here, next) = (&all[(n % 3) as usize], &all[((n + 1) % 3) as usize]);
        let (packet, what) = if n % 3 == 0 {
            forged(PacketKind::Answer, &here.answer, lot)
        } else {
            (mishap(&here.answer, &next.answer, lot), String::new())
        };
        if packet == here.answer {
            continue;
        }
        match here.record.take_answer(&packet) {
            Err(why) => said(&why.to_string(), tally),
            Ok(_) => panic!("taken, changed {what}: {packet}"),
        }
    }
    // Nothing was changed by all that.
    for there in &all {
        assert!(there.record.take_answer(&there.answer).is_ok());
    }
}

fn invitations(count: u64, lot: &mut Lot, tally: &mut Tally) {
    let all: Vec<Travelled> = (0..3).map(|n| travelled(n, lot)).collect();
    for n in 0..count {
        let (here, next) = (&all[(n % 3) as usize], &all[((n + 1) % 3) as usize]);
        if n % 3 == 0 {
            let (packet, at) = forged(PacketKind::Invitation, &here.invitation, lot);
            signed_elsewhere(&here.record, &packet, &at, lot, tally);
            continue;
        }
        let packet = mishap(&here.invitation, &next.invitation, lot);
        if packet == here.invitation {
            continue;
        }
        match Invitation::read(&packet) {
            Err(why) => said(&why.to_string(), tally),
            Ok(_) => panic!("taken: {packet}"),
        }
    }
}

/// A forged invitation is refused, or looks sound: then she signs something
/// else than stands in the file, and her answer is refused when it comes back.
fn signed_elsewhere(record: &Record, packet: &str, what: &str, lot: &mut Lot, tally: &mut Tally) {
    let invitation = match Invitation::read(packet) {
        Ok(invitation) => invitation,
        Err(why) => return said(&why.to_string(), tally),
    };
    let asked = answered(&invitation.asked().unwrap(), lot);
    let answer = match invitation.answer(&asked, signature(lot), at(lot)) {
        Ok(answer) => answer,
        Err(why) => return said(&why.to_string(), tally),
    };
    match record.take_answer(&answer) {
        Err(why) => said(&why.to_string(), tally),
        // What was said before she was asked is hers to say anew.
        Ok(_) if what.starts_with("/asked/said") || what.starts_with("/asked/answers") => {
            *tally.entry("(her own to say)".to_owned()).or_default() += 1;
        }
        Ok(_) => panic!("an answer to a forged {what} was taken"),
    }
}

fn refused(count: u64) -> Tally {
    let lot = &mut Lot::new(8);
    let mut tally = Tally::new();
    answers(count / 2, lot, &mut tally);
    invitations(count / 2, lot, &mut tally);
    for (sentence, times) in &tally {
        println!("{times:6} {sentence}…");
    }
    tally
}

#[test]
fn a_thousand_changed_packets_are_refused_with_a_sentence() {
    let tally = refused(1_000);
    assert!(tally.len() >= 6, "all kinds of mishaps: {tally:?}");
}

#[test]
#[ignore = "a long proof"]
fn ten_thousand_changed_packets_are_refused_with_a_sentence() {
    let tally = refused(10_000);
    let count: u32 = tally.values().sum();
    assert!(count > 9_900, "{count}");
}
