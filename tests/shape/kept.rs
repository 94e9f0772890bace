//! A form in a client's file: as docs/file-format.md describes it, short where
//! nothing is wished, and the same millimetres after every save.

use ophryon_brow::{Form, Front, Limits, Pair, TailWish, draw};
use proptest::prelude::*;

use crate::lot::wishes;
use crate::plausible::shaken;

const PAIR: &str = r#"{
    "master": "right",
    "points": {
        "front-top": [15, 24], "front-bottom": [15, 16], "peak": [41, 29.5],
        "lower-arch": [42.5, 22], "tail": [57, 15.5]
    },
    "form": {
        "front": { "soft": { "radius-mm": 1.5 } },
        "body-mm": 7.2,
        "tail": [ { "share": 0.5, "thickness-mm": 3.8 } ],
        "guide": { "source": "hair", "lower-body": [ [0.25, 0.4], [0.5, 0.6] ] },
        "weights": { "hair": 0.004 }
    }
}"#;

#[test]
fn a_form_written_by_hand_is_drawn_as_it_says() {
    let pair: Pair = serde_json::from_str(PAIR).expect("as the file format describes it");
    assert_eq!(pair.form.front, Front::Soft { radius_mm: 1.5 });
    let wish = TailWish {
        share: 0.5,
        thickness_mm: 3.8,
    };
    assert_eq!(pair.form.tail, [wish]);
    assert!((pair.form.weights.hair - 0.004).abs() < 1e-15);
    let brows = pair.draw(&Limits::default()).expect("can be drawn");
    let reached = brows.right.reached();
    assert!(
        reached.body.is_some_and(|body| body.is_met()),
        "{reached:?}"
    );
    assert!(reached.tail[0].1.is_met(), "{reached:?}");
}

#[test]
fn a_pair_without_wishes_is_as_short_as_ever() {
    let mut pair: Pair = serde_json::from_str(PAIR).expect("as the file format describes it");
    pair.form = Form::default();
    let text = serde_json::to_string(&pair).expect("plain numbers");
    assert!(!text.contains("form"), "{text}");
    let back: Pair = serde_json::from_str(&text).expect("what was written");
    assert_eq!(back, pair);
}

#[test]
fn a_wish_misspelt_is_not_passed_over() {
    let text = PAIR.replace("body-mm", "body");
    assert!(serde_json::from_str::<Pair>(&text).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

    #[test]
    fn a_kept_form_draws_the_same_outline(points in shaken(), wishes in wishes()) {
        let form = wishes.form(&points);
        let text = serde_json::to_string(&form).unwrap();
        let back: Form = serde_json::from_str(&text).unwrap();
        prop_assert_eq!(&back, &form);
        let (limits, said) = (Limits::default(), |e: ophryon_brow::Conflict| e.to_string());
        let first = draw(&points, &form, &limits).map_err(said);
        let again = draw(&points, &back, &limits).map_err(said);
        prop_assert_eq!(first, again);
    }
}
