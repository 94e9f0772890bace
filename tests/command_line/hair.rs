//! `ophryon hair`.

use ophryon_demo::{HairGround, Side, clients};
use serde_json::Value;

use crate::desk::{Desk, assert_refusal};

#[test]
fn hair_is_found_in_the_clients_photo_and_held_against_the_shape() {
    let desk = Desk::new();
    let ran = desk.run(&["hair", "client.json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    for words in [
        "Hair of the client's right brow: found in one piece. It stands out well.",
        "hair outside, to clean, mm²",
        "bare skin inside, to fill, mm²",
        "largest step beyond the hair, mm",
    ] {
        assert!(ran.out.contains(words), "no {words}: {}", ran.out);
    }
    let ran = desk.run(&["hair", "client.json", "--json"]);
    let found: Value = serde_json::from_str(&ran.out).expect("JSON");
    let shot = &clients()[0].shots[0];
    for (name, side) in [("right", Side::Right), ("left", Side::Left)] {
        let brow = &found["brows"][name];
        let number = |field: &str| brow["on-skin"][field].as_f64().expect("a number");
        let mm2 = number("inside-mm2") + number("outside-mm2");
        let truth = HairGround::of(&shot.head, side, 0.7, 0.35).on_skin_mm2;
        assert!((mm2 / truth - 1.0).abs() < 0.1, "{name}: {mm2} of {truth}");
        // The camera sees less of it than there is on the skin round the temple.
        let seen = brow["seen-mm2"].as_f64().expect("a number");
        assert!(seen < mm2 && seen > 0.7 * mm2, "{seen} {mm2}");
        assert!(brow["border-px"][0].as_array().expect("points").len() > 20);
    }
}

#[test]
fn a_brow_that_was_not_tapped_is_said_and_the_other_is_found() {
    let desk = Desk::new();
    desk.change(|client| {
        let marks = &mut client["photos"][0]["landmarks"]["left"];
        marks
            .as_object_mut()
            .expect("landmarks")
            .remove("brow-tail");
    });
    let ran = desk.run(&["hair", "client.json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("right brow: found"), "{}", ran.out);
    assert!(ran.out.contains("left brow: not found: tap"), "{}", ran.out);
}

#[test]
fn a_missing_photo_is_a_sentence() {
    let desk = Desk::new();
    let client = desk.client();
    let name = client["photos"][0]["image"]["name"]
        .as_str()
        .expect("a name");
    std::fs::remove_file(desk.path(name)).expect("it is there");
    assert_refusal(&desk.run(&["hair", "client.json"]), &[name]);
}
