//! The three invented clients, whose truth the generator wrote.

use std::path::PathBuf;

use ophryon_record::{Balance, NothingToCorrect, Record, StateVerdict};
use serde_json::Value;

fn folder(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../demo-data")
        .join(name)
}

fn client(name: &str) -> (Record, Balance) {
    let text = std::fs::read_to_string(folder(name).join("client.json")).expect("it is there");
    let record = Record::from_json(&text).expect("it reads");
    let balance = record.balance().expect("both photos are tapped");
    (record, balance)
}

fn truth(name: &str, photo: usize, id: &str) -> f64 {
    let text = std::fs::read_to_string(folder(name).join("truth.json")).expect("it is there");
    let truth: Value = serde_json::from_str(&text).expect("JSON");
    let pointer = format!("/photos/{photo}/left-minus-right-height-mm/{id}");
    -truth
        .pointer(&pointer)
        .and_then(Value::as_f64)
        .expect("a number")
}

#[test]
fn each_client_is_what_the_truth_says() {
    for (name, verdict) in [
        ("demo-even", StateVerdict::Even),
        ("demo-set", StateVerdict::Set),
        ("demo-movement", StateVerdict::Movement),
    ] {
        let (_, balance) = client(name);
        assert_eq!(balance.verdict, verdict, "{name}");
        assert!(!balance.in_use_only);
        assert!(balance.alignment.rms_mm < 0.1, "{name}");
        let ids = ["brow-start-top", "brow-peak", "brow-tail"];
        for (row, id) in balance.rows.iter().zip(ids) {
            let (rest, now) = (truth(name, 0, id), truth(name, 1, id));
            assert!(
                (row.difference_at_rest.mm - rest).abs() < 0.1,
                "{name} {id}"
            );
            assert!((row.difference_in_use.mm - now).abs() < 0.1, "{name} {id}");
            assert!((row.change.mm - (now - rest)).abs() < 0.1, "{name} {id}");
        }
    }
}

#[test]
fn what_is_read_to_a_client_is_kind_and_says_whose_side() {
    for name in ["demo-even", "demo-set", "demo-movement"] {
        let (_, balance) = client(name);
        let said = balance.aloud.to_lowercase();
        for word in [
            "abnormal", "defect", "wrong", "problem", "asymmetr", "crooked", "±", "client", "!",
        ] {
            assert!(!said.contains(word), "{name}: “{word}” in {said}");
        }
        assert!(said.contains("your "), "{said}");
    }
    let (_, set) = client("demo-set");
    assert!(
        set.aloud
            .starts_with("At rest your left brow sits about 2.0 mm higher than your right")
    );
    let (_, movement) = client("demo-movement");
    assert!(
        movement
            .aloud
            .contains("your left brow goes up about 1.6 mm further than your right")
    );
}

/// Common practice: two millimetres are one down and one up. And a movement is
/// left, with the reason.
#[test]
fn the_plan_evens_out_what_is_set_and_leaves_what_moves() {
    let (_, set) = client("demo-set");
    for row in &set.plan.rows {
        assert!((row.change.left.mm + 1.0).abs() < 0.02, "{row:?}");
        assert!((row.change.right.mm - 1.0).abs() < 0.02, "{row:?}");
        assert!(row.remains.mm.abs() < 1e-9);
    }
    let (_, movement) = client("demo-movement");
    assert_eq!(movement.plan.nothing, Some(NothingToCorrect::Movement));
    assert!(
        movement
            .plan
            .rows
            .iter()
            .all(|r| r.change.right.mm == 0.0 && r.change.left.mm == 0.0)
    );
    let said = &movement.plan.sentences[0];
    assert!(
        said.contains("movement") && said.contains("uneven at rest"),
        "{said}"
    );
    let (_, even) = client("demo-even");
    assert_eq!(even.plan.nothing, Some(NothingToCorrect::Even));
}

/// Level lines through the brows lie where the brows were tapped, in both
/// photos.
#[test]
fn lines_are_drawn_through_the_brows_in_both_photos() {
    let (record, balance) = client("demo-set");
    assert_eq!(balance.lines.len(), 18);
    for line in &balance.lines {
        let photo = record.photo(&line.photo).expect("a photo of hers");
        let landmark = ophryon_face::Landmark::Sided(line.side, line.place.landmark());
        let tapped = photo.landmarks.get(landmark).expect("tapped");
        let off = line.at.distance(tapped);
        let is_own = (line.photo == "relaxed") == (line.state == ophryon_record::FaceState::AtRest);
        // 5.6 px are a millimetre; in use the brows are higher than at rest.
        assert!(off < 1e-6 || !is_own || line.photo != "relaxed", "{line:?}");
        assert!(if is_own { off < 1.0 } else { off > 1.0 }, "{off} {line:?}");
        let [near, far] = line.own;
        assert!(
            (far.x - tapped.x) * line.side.sign() > 0.0,
            "past the place"
        );
        assert!(
            near.distance(line.across[0]) < 1e-9,
            "both begin at the midline"
        );
    }
}
