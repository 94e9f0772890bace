//! `ophryon check`.

use serde_json::{Value, json};

use crate::desk::Desk;

#[test]
fn check_prints_every_constraint_and_exits_0_or_1() {
    let desk = Desk::new();
    let ran = desk.run(&["check", "client.json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert!(ran.out.contains("Every constraint holds."), "{}", ran.out);
    for name in [
        "straight top line",
        "rounded peak",
        "tail aim",
        "taper",
        "simple outline",
    ] {
        assert_eq!(
            ran.out.matches(name).count(),
            2,
            "{name} on each side: {}",
            ran.out
        );
    }
    let columns: Vec<_> = ran
        .out
        .lines()
        .filter(|l| l.starts_with("right ") || l.starts_with("left ") || l.starts_with("side "))
        .map(|l| l.find("at most").or_else(|| l.find("asked")))
        .collect();
    let set: Vec<_> = columns.iter().flatten().collect();
    assert!(
        set.len() > 4 && set.iter().all(|c| *c == set[0]),
        "columns line up: {}",
        ran.out
    );

    // A tail that points far below the ear.
    let report: Value = serde_json::from_str(
        &desk
            .run(&["sheet", "client.json", "--out", "s", "--json"])
            .out,
    )
    .expect("JSON");
    desk.change(|client| {
        let side = |x: f64| x.abs();
        let at = |name: &str| {
            let p = &report["points"]["left"][name]["skin-mm"];
            json!([side(p[0].as_f64().expect("x")), p[1]])
        };
        let mut tail = at("tail");
        tail[1] = json!(tail[1].as_f64().expect("y") - 3.0);
        client["pair"] = json!({
            "master": "left",
            "points": {
                "front-top": at("front-top"), "front-bottom": at("front-bottom"),
                "peak": at("peak"), "lower-arch": at("lower-arch"), "tail": tail,
            },
        });
    });
    let ran = desk.run(&["check", "client.json"]);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""), "{}", ran.out);
    assert!(
        ran.out.contains("NO") && ran.out.contains("turn the tail up by"),
        "{}",
        ran.out
    );
    let ran = desk.run(&["check", "client.json", "--json"]);
    assert_eq!(ran.code, 1);
    let found: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(found["holds"], json!(false));
    assert_eq!(found["source"], json!("record"));
    let failing = found["constraints"]["right"]
        .as_array()
        .expect("a list")
        .iter();
    assert!(failing.filter(|r| r["verdict"] == "fails").count() > 0);
    // Such a shape can still be printed; the sheet's maker is told.
    let ran = desk.run(&["sheet", "client.json", "--out", "sheets"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("Does not hold on the client's right"),
        "{}",
        ran.out
    );
}
