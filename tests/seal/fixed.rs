//! Seals that stay the same for good. A file that was agreed to once must be
//! found agreed to by every later version: where one of these fails, the
//! canonical form has changed, and nobody's yes can be checked any more.

use ophryon_record::{AgreedState, ConsentEdit, Record};

use crate::demo::made;

/// Files that were agreed to, with their seals as `sha256sum` of GNU coreutils
/// printed them; Python's `json`, with sorted keys, spelled the texts alike.
const FIXED: [(&str, &str); 3] = [
    (
        include_str!("../fixtures/seals/demo-even.json"),
        "3cc5ec48cc2972126e6a512aff1704589e3320bf0826b3d81854e4f289dc6d31",
    ),
    (
        include_str!("../fixtures/seals/demo-movement.json"),
        "533e91a5d3af3a27182636ea586e6bb897afbf95adca7cdf55baf7356ee29051",
    ),
    (
        include_str!("../fixtures/seals/demo-set.json"),
        "518258446b2cfb0fc392cd6902776f45790f08260442401e22a17e99f4e1b36f",
    ),
];

#[test]
fn files_that_were_agreed_to_are_still_agreed_to() {
    for (file, fixed) in FIXED {
        let record = Record::from_json(file).unwrap();
        let AgreedState::Agreed { seal, .. } = record.agreed() else {
            panic!("{}", record.agreed().sentence());
        };
        assert_eq!(seal.to_string(), fixed);
    }
}

#[test]
fn signing_the_same_once_more_gives_the_same_seal() {
    for (file, fixed) in FIXED {
        let mut record = Record::from_json(file).unwrap();
        let AgreedState::Agreed { sealed, .. } = record.agreed() else {
            panic!("{}", record.agreed().sentence());
        };
        record.consent.agreements.clear();
        let yes = record.agree(sealed.signature, sealed.at).unwrap();
        let again = made(&record, yes.clone());
        let ConsentEdit::Agree(signed) = yes else {
            panic!("an agreement");
        };
        assert_eq!(signed.agreement.seal.to_string(), fixed);
        assert!(again.agreed().is_agreed());
    }
}
