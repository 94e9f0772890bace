//! `ophryon heal`.

use serde_json::{Value, json};

use crate::desk::Desk;

#[test]
fn heal_prints_both_ways_with_their_millimetres() {
    let desk = Desk::new();
    let ran = desk.run(&["heal", "client.json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    for words in [
        "healed 10 % smaller in area (common practice)",
        "Both brows, drawn as it is",
        "Both brows, if this is what shall stay",
        "thickness, start (mm)",
        "thickness, tail (mm)",
        "mm smaller all round: 10.0 % less area",
        "An estimate",
    ] {
        assert!(ran.out.contains(words), "no {words}: {}", ran.out);
    }
    let run = |options: &[&str]| -> Value {
        let arguments: Vec<&str> = ["heal", "client.json", "--json"]
            .iter()
            .chain(options)
            .copied()
            .collect();
        let ran = desk.run(&arguments);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
        serde_json::from_str(&ran.out).expect("JSON")
    };
    let of = |found: &Value, way: &str, stage: &str, what: &str| {
        let stage = &found["brows"][0][way][stage];
        let value = stage.get(what).unwrap_or(&stage["thickness"][what]);
        value.as_f64().expect("a number")
    };
    let found = run(&[]);
    let kept = |found: &Value, way: &str, what: &str| {
        of(found, way, "healed", what) / of(found, way, "drawn", what)
    };
    for way in ["as-drawn", "to-heal-to-this"] {
        assert!((kept(&found, way, "area-mm2") - 0.9).abs() < 1e-6);
    }
    // The brow is drawn one way and healed the other.
    assert_eq!(
        of(&found, "as-drawn", "drawn", "area-mm2"),
        of(&found, "to-heal-to-this", "healed", "area-mm2")
    );
    let found = run(&["--shrink", "20", "--by", "thickness"]);
    assert_eq!(found["shrink"], json!({ "share": 0.2, "by": "thickness" }));
    for way in ["as-drawn", "to-heal-to-this"] {
        assert!((kept(&found, way, "body-mm") - 0.8).abs() < 1e-6);
    }
}

#[test]
fn a_shrink_that_is_none_is_refused_in_words() {
    let desk = Desk::new();
    for shrink in ["100", "-5", "NaN", "inf", "60"] {
        let ran = desk.run(&["heal", "client.json", "--shrink", shrink]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{shrink}");
        assert!(
            ran.err.contains("it lies between 0 % and 50 %"),
            "{shrink}: {}",
            ran.err
        );
    }
    let ran = desk.run(&["heal", "client.json", "--shrink", "0"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("0.00 mm smaller all round"), "{}", ran.out);
}
