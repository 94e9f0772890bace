//! `ophryon measure`.

use std::fs;
use std::path::Path;

use ophryon_frames::Side;
use ophryon_record::Record;
use serde_json::{Value, json};

use crate::desk::Desk;

/// The client whose brows differ in use only: what is measured, the verdict,
/// what to read out, and why nothing is corrected.
#[test]
fn measure_prints_the_brows_at_rest_and_in_use() {
    let desk = Desk::new();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo-data/demo-movement");
    for name in ["client.json", "relaxed.jpg", "eyes-open.jpg"] {
        fs::copy(demo.join(name), desk.path(name)).expect("the demo client is there");
    }
    let ran = desk.run(&["measure", "client.json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    for words in [
        "The brows at rest (photo “relaxed”) and in use (photo “eyes-open”)",
        "The two photos fit to ",
        "whole brow",
        "Verdict: movement",
        "To read to the client: At rest your brows are level",
        "Nothing is corrected: at rest the brows are not distinguishable from even",
        "Tiryaki",
    ] {
        assert!(ran.out.contains(words), "no {words}: {}", ran.out);
    }
    let ran = desk.run(&["measure", "client.json", "--json"]);
    let found: Value = serde_json::from_str(&ran.out).expect("JSON");
    let balance = &found["balance"];
    assert_eq!(balance["verdict"], json!("movement"));
    assert_eq!(balance["rows"][1]["place"], json!("peak"));
    let change = balance["rows"][1]["change"]["mm"].as_f64();
    // The truth has the left one go up 2.0 further at the peak.
    assert!((change.expect("a number") + 2.0).abs() < 0.1, "{change:?}");
    assert_eq!(balance["plan"]["nothing"], json!("movement"));
    assert_eq!(found["balance-asks"], json!([]));

    // With the second photo gone, it is asked for.
    let text = fs::read_to_string(desk.path("client.json")).expect("there");
    let mut file: Value = serde_json::from_str(&text).expect("JSON");
    file["photos"].as_array_mut().expect("photos").truncate(1);
    fs::write(desk.path("client.json"), file.to_string()).expect("written");
    let ran = desk.run(&["measure", "client.json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("- Take a photo with the eyes wide open."),
        "{}",
        ran.out
    );
    let ran = desk.run(&["measure", "client.json", "--json"]);
    let found: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(found["balance"], Value::Null);
    assert_eq!(
        found["balance-asks"],
        json!(["Take a photo with the eyes wide open."])
    );
}

#[test]
fn measure_prints_distances_of_both_sides() {
    let desk = Desk::new();
    let ran = desk.run(&["measure", "client.json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    for words in [
        "client's right",
        "client's left",
        "start to midline",
        "pupil to pupil",
        "not distinguishable from even",
        "above the pupil line",
        "uncertain mostly by",
        "The head is straight enough",
        "A tap is taken to be off by 0.3 mm",
        "The shape among published measures",
        "peak past the inner eye corner, share of the eye's width",
        "0.929 ± 0.146 (women at random",
        "not where they ought to",
    ] {
        assert!(ran.out.contains(words), "no {words}: {}", ran.out);
    }
    let ran = desk.run(&["measure", "client.json", "--json"]);
    let found: Value = serde_json::from_str(&ran.out).expect("JSON");
    let start = &found["distances"][0];
    assert_eq!(start["id"], json!("start"));
    let (right, left) = (&start["right-mm"], &start["left-mm"]);
    assert_eq!(right, left, "a proposed pair is even");
    assert!((10.0..25.0).contains(&right.as_f64().expect("a number")));
    // Every number says how sure it is, and its causes add up to that.
    let sure = &found["certainty"];
    assert_eq!(sure["pose"], json!("straight"));
    let numbers = sure["numbers"].as_array().expect("a list");
    assert!(numbers.len() > 20, "{numbers:?}");
    for n in numbers {
        let of = |field: &str| n[field].as_f64().expect("a number");
        let causes = n["causes"].as_object().expect("causes");
        let squares: f64 = causes
            .values()
            .filter_map(Value::as_f64)
            .map(|c| c * c)
            .sum();
        assert!(of("plus-minus") > 0.0 && of("value").is_finite(), "{n}");
        assert!((squares.sqrt() - of("plus-minus")).abs() < 1e-5, "{n}");
        assert!(
            causes.contains_key(n["mostly"].as_str().expect("a cause")),
            "{n}"
        );
    }
}

/// Two kept shapes beside the one that is drawn: in a table, with what is said
/// beside them, and in JSON with the published measures and their sources.
#[test]
fn measure_prints_kept_shapes_and_published_measures() {
    let desk = Desk::new();
    let text = fs::read_to_string(desk.path("client.json")).expect("there");
    let mut file: Value = serde_json::from_str(&text).expect("JSON");
    let ran = desk.run(&["measure", "client.json"]);
    assert!(!ran.out.contains("The shapes that are kept"), "{}", ran.out);
    let proposed = Record::from_json(&text).expect("it reads").proposal();
    let pair = serde_json::to_value(proposed.expect("a proposal")).expect("JSON");
    file["pair"] = pair.clone();
    let mut higher = pair.clone();
    let peak = higher["points"]["peak"][1].as_f64().expect("a number");
    higher["points"]["peak"][1] = json!(peak + 0.5);
    file["variants"] = json!([
        { "name": "Straight", "pair": pair },
        { "name": "Raised", "note": "She likes it.", "pair": higher },
    ]);
    fs::write(desk.path("client.json"), file.to_string()).expect("written");
    let ran = desk.run(&["measure", "client.json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    for words in [
        "The shapes that are kept, drawn and healed",
        "Straight",
        "peak above the pupil line (mm)",
        "Raised: She likes it.",
        "Straight is the shape that is drawn now.",
    ] {
        assert!(ran.out.contains(words), "no {words}: {}", ran.out);
    }
    let ran = desk.run(&["measure", "client.json", "--json"]);
    let found: Value = serde_json::from_str(&ran.out).expect("JSON");
    let all = found["variants"].as_array().expect("a list");
    assert_eq!(all.len(), 2);
    assert_eq!(
        (&all[0]["present"], &all[1]["present"]),
        (&json!(true), &json!(false))
    );
    let height = |i: usize, stage: &str| {
        let side = &all[i]["sides"]["right"];
        side[stage]["peak-height-mm"].as_f64().expect("a number")
    };
    let rise = |stage: &str| height(1, stage) - height(0, stage);
    assert!((rise("drawn") - 0.5).abs() < 1e-3, "{}", rise("drawn"));
    // The larger brow loses a tenth too, which takes a little more of it.
    assert!((0.47..0.5).contains(&rise("healed")), "{}", rise("healed"));
    assert!(height(0, "healed") < height(0, "drawn"));
    // No border of the hair was traced; the joined taps give its areas.
    for side in ["right", "left"] {
        let inside = found["hair"][side]["inside-mm2"].as_f64();
        assert!(inside.is_some_and(|mm2| mm2 > 0.0), "{}", found["hair"]);
    }
    let take_off = &found["standing"]["right"][0];
    assert_eq!(take_off["id"], json!("take-off"));
    assert_eq!(
        take_off["published"][0]["source"],
        json!("J Craniofac Surg, May 2018")
    );
    let distance = &found["healing"]["as-drawn"]["right"]["distance-mm"];
    assert!(
        distance.as_f64().is_some_and(|mm| (0.1..1.0).contains(&mm)),
        "{distance}"
    );

    // One that can't be drawn is told, and the other is there all the same.
    file["variants"][1]["pair"]["points"]["tail"] = json!([20.0, 20.0]);
    fs::write(desk.path("client.json"), file.to_string()).expect("written");
    let ran = desk.run(&["measure", "client.json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("Raised: client's right brow: "),
        "{}",
        ran.out
    );
}

/// The table of the hair says where it comes from: the joined taps are rough, a
/// traced border isn't.
#[test]
fn measure_says_when_the_hair_is_only_the_tapped_points() {
    let desk = Desk::new();
    let headline = |desk: &Desk| {
        let ran = desk.run(&["measure", "client.json"]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
        let line = |l: &&str| l.starts_with("The natural hair, on skin");
        ran.out.lines().find(line).expect("the hair").to_owned()
    };
    assert_eq!(
        headline(&desk),
        "The natural hair, on skin (from the tapped points, rough; ophryon hair finds it)"
    );
    let text = fs::read_to_string(desk.path("client.json")).expect("there");
    let drawn = Record::from_json(&text).expect("sound").drawn();
    let drawn = drawn.expect("drawn");
    let border = |side| -> Vec<_> {
        let cubics = drawn.photo_cubics(side).concat();
        cubics.iter().map(|p| [p.x, p.y]).collect()
    };
    let (right, left) = (border(Side::Right), border(Side::Left));
    desk.change(|client| client["photos"][0]["hair"] = json!({ "right": right, "left": [] }));
    assert_eq!(
        headline(&desk),
        "The natural hair, on skin (the client's left from the tapped points, rough; ophryon hair finds it)"
    );
    desk.change(|client| client["photos"][0]["hair"] = json!({ "right": right, "left": left }));
    assert_eq!(headline(&desk), "The natural hair, on skin");
}
