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
fn the_files_own_shrink_counts_where_none_is_given() {
    let desk = Desk::new();
    let text = std::fs::read_to_string(desk.path("client.json")).expect("there");
    let mut file: Value = serde_json::from_str(&text).expect("JSON");
    file["shrink"] = json!({ "share": 0.07, "by": "thickness" });
    std::fs::write(desk.path("client.json"), file.to_string()).expect("written");
    let said = |options: &[&str]| {
        let arguments = [&["heal", "client.json"], options].concat();
        let ran = desk.run(&arguments);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
        ran.out.lines().next().expect("a line").to_owned()
    };
    let own = "healed 7 % smaller in thickness (as the file says)";
    assert!(said(&[]).ends_with(own), "{}", said(&[]));
    let other = said(&["--shrink", "12", "--by", "area"]);
    assert!(other.ends_with("healed 12 % smaller in area"), "{other}");
    let usual = said(&["--shrink", "10", "--by", "area"]);
    assert!(usual.ends_with("in area (common practice)"), "{usual}");
    file["shrink"] = json!({ "share": 0.7 });
    std::fs::write(desk.path("client.json"), file.to_string()).expect("written");
    desk.refused(&["client.json: shrink: 70 % is no healed shrink; it lies between 0 % and 50 %"]);
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
    for shrink in ["abc", "", "1 0", "-x"] {
        let ran = desk.run(&["heal", "client.json", "--shrink", shrink]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{shrink}");
        assert!(
            ran.err.contains("this is no number of percent, such as 10"),
            "{shrink}: {}",
            ran.err
        );
        assert!(!ran.err.contains("float"), "{shrink}: {}", ran.err);
    }
    let ran = desk.run(&["heal", "client.json", "--shrink", "12,5 %"]);
    assert!(ran.out.contains("healed 12.5 % smaller"), "{}", ran.err);
    let ran = desk.run(&["heal", "client.json", "--shrink", "0"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("0.00 mm smaller all round"), "{}", ran.out);
}
