//! Any one value that changes breaks the seal; any other order of fields
//! doesn't.

use ophryon_agreement::{Seal, respelled};
use ophryon_record::{AgreedState, Record, SealBroken};
use serde_json::Value;

use crate::demo::agreed;
use crate::leaves::{changed, leaves, shuffled};
use crate::lot::Lot;

/// One value of the sealed text is another: the bytes are others, so is the
/// seal, and the agreement no longer counts.
fn sealed_texts(changes: u64) {
    let lot = &mut Lot::new(1);
    let records = [0, 1, 2].map(|n| agreed(n, lot));
    for n in 0..changes {
        let record = &records[(n % 3) as usize];
        let agreement = &record.consent.agreements[0];
        let mut value: Value = serde_json::from_str(&agreement.sealed).unwrap();
        let all = leaves(&value);
        assert!(all.len() > 100);
        let at = &all[(lot.bits() % all.len() as u64) as usize];
        let leaf = value.pointer_mut(at).unwrap();
        *leaf = changed(leaf, lot);
        let text = respelled(&value.to_string()).unwrap();
        assert_ne!(Seal::of(&text), agreement.seal, "{at}");
        let mut other = record.clone();
        other.consent.agreements[0].sealed = text;
        assert_eq!(
            other.consent.agreements[0].read(),
            Err(SealBroken::Changed),
            "{at}"
        );
        assert!(!other.agreed().is_agreed(), "{at}");
    }
}

/// One value of the file is another: whatever can still be read is either not
/// agreed to, or has nothing to do with the shape.
fn files(changes: u64) -> [u64; 2] {
    let lot = &mut Lot::new(2);
    let records = [0, 1, 2].map(|n| agreed(n, lot));
    let subject = ["pair", "limits", "wrap", "plan", "shrink", "version"];
    let [mut refused, mut not_agreed] = [0, 0];
    for n in 0..changes {
        let file = records[(n % 3) as usize].to_json().unwrap();
        let mut value: Value = serde_json::from_str(&file).unwrap();
        // Left out where it is as usual; it counts as much.
        value["shrink"] = serde_json::json!({"share": 0.1, "by": "area"});
        let all = leaves(&value);
        let about = |at: &&String| {
            let top = at.split('/').nth(1).unwrap_or_default();
            subject.contains(&top)
                || at.starts_with("/consent/asked")
                || at.starts_with("/consent/agreements")
        };
        let all: Vec<_> = all.iter().filter(about).collect();
        let at = all[(lot.bits() % all.len() as u64) as usize];
        let leaf = value.pointer_mut(at).unwrap();
        *leaf = changed(leaf, lot);
        match Record::from_json(&value.to_string()) {
            Err(why) => {
                assert!(!why.to_string().is_empty());
                refused += 1;
            }
            Ok(read) => {
                assert!(
                    !read.agreed().is_agreed(),
                    "{at} is {leaf:?}",
                    leaf = value.pointer(at)
                );
                assert!(read.agreed().sentence().starts_with("NOT AGREED"));
                not_agreed += 1;
            }
        }
    }
    assert!(not_agreed > changes / 3);
    [refused, not_agreed]
}

#[test]
fn a_thousand_changes_of_what_was_sealed_each_break_the_seal() {
    sealed_texts(1_000);
}

#[test]
fn a_change_of_the_file_is_never_agreed_to() {
    files(300);
}

#[test]
#[ignore = "a long proof"]
fn thousands_of_changes_each_break_the_seal() {
    sealed_texts(20_000);
    let [refused, not_agreed] = files(10_000);
    println!("of 10000 changes in files {refused} were refused, {not_agreed} not agreed to");
}

#[test]
fn the_order_of_fields_changes_nothing() {
    let lot = &mut Lot::new(3);
    for n in 0..3 {
        let record = agreed(n, lot);
        let agreement = &record.consent.agreements[0];
        let sealed: Value = serde_json::from_str(&agreement.sealed).unwrap();
        let file: Value = serde_json::from_str(&record.to_json().unwrap()).unwrap();
        for _ in 0..20 {
            let text = shuffled(&sealed, lot);
            assert_ne!(text, agreement.sealed);
            assert_eq!(respelled(&text).unwrap(), agreement.sealed);
            let read = Record::from_json(&shuffled(&file, lot)).unwrap();
            let AgreedState::Agreed { seal, .. } = read.agreed() else {
                panic!("{}", read.agreed().sentence());
            };
            assert_eq!(seal, agreement.seal);
        }
    }
}
