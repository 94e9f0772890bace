//! `ophryon fit`.

use std::fs;

use ophryon_frames::{Photo, Point, Side, Skin};
use ophryon_record::Record;
use serde_json::Value;

use crate::desk::{Desk, Ran, assert_refusal};

fn record(desk: &Desk, name: &str) -> Record {
    let text = fs::read_to_string(desk.path(name)).expect("it is there");
    Record::from_json(&text).expect("a client's file")
}

/// Places along one side's outline of a file, on the skin.
fn outline(desk: &Desk, name: &str, side: Side) -> Vec<Point<Skin>> {
    let drawn = record(desk, name).drawn().expect("drawn");
    drawn.on_skin.get(side).sampled(6)
}

fn on_skin(places: &[Point<Skin>]) -> String {
    let rows = places.iter().map(|p| format!("{:.4},{:.4}\n", p.x, p.y));
    std::iter::once("s_mm,h_mm\n".to_owned())
        .chain(rows)
        .collect()
}

fn raised(places: &[Point<Skin>], by_mm: f64) -> Vec<Point<Skin>> {
    places
        .iter()
        .map(|p| Point::new(p.x, p.y + by_mm))
        .collect()
}

/// Largest distance of places from an outline's places, mm; these lie 0.3 to
/// 0.7 mm apart, so a place on the outline is within half of that.
fn farthest(places: &[Point<Skin>], from: &[Point<Skin>]) -> f64 {
    let ends = || from.iter().zip(from.iter().cycle().skip(1));
    let distance = |p: &Point<Skin>| {
        ends()
            .map(|(u, v)| {
                let run = *v - *u;
                let share = ((*p - *u).dot(run) / run.dot(run)).clamp(0.0, 1.0);
                p.distance(u.lerp(*v, share))
            })
            .fold(f64::INFINITY, f64::min)
    };
    places.iter().map(distance).fold(0.0, f64::max)
}

fn fit(desk: &Desk, table: &str, options: &[&str]) -> Ran {
    fs::write(desk.path("points.csv"), table).expect("it can be written");
    let first = ["fit", "client.json", "--to", "points.csv"];
    desk.run(&[&first[..], options].concat())
}

#[test]
fn points_on_the_skin_become_a_new_clients_file() {
    let desk = Desk::new();
    let before = desk.client();
    for side in Side::BOTH {
        let wanted = raised(&outline(&desk, "client.json", side), 1.2);
        let name = format!("{}.json", side.name());
        let ran = fit(&desk, &on_skin(&wanted), &["--out", &name]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
        for words in [
            "The sketch is followed to 0.0 mm",
            &format!("by the client's {} one, fitted to points.csv", side.name()),
            "lower arch",
            "+1.20",
            &format!("Written to {name}."),
        ] {
            assert!(ran.out.contains(words), "no {words}: {}", ran.out);
        }
        let off = farthest(&outline(&desk, &name, side), &wanted);
        assert!(off < 0.05, "{off} mm off on the {}", side.name());
        // It is a client's file like any other.
        assert_eq!(desk.run(&["measure", &name]).code, 0);
    }
    assert_eq!(desk.client(), before, "the client's file itself stays");
}

#[test]
fn the_photos_and_the_models_frame_say_the_same() {
    let desk = Desk::new();
    let file = record(&desk, "client.json");
    let drawn = file.drawn().expect("drawn");
    let wanted = raised(&outline(&desk, "client.json", Side::Left), 0.8);
    let table = |header: &str, rows: &[(f64, f64)]| {
        let rows = rows
            .iter()
            .map(|(x, y)| format!("edge,{x:.5},{y:.5},note\n"));
        let header = format!("stroke,{header},remark\n");
        std::iter::once(header).chain(rows).collect::<String>()
    };
    let px: Vec<(f64, f64)> = wanted
        .iter()
        .map(|p| {
            let seen: Point<Photo> = drawn.measured.place_in_photo(*p);
            (seen.x, seen.y)
        })
        .collect();
    let strokes = ophryon_record::Strokes::Skin(vec![wanted.clone()]);
    let lateral = drawn.as_modelled(Side::Left, &strokes);
    let lateral: Vec<(f64, f64)> = lateral[0].iter().map(|p| (p.x, p.y)).collect();
    for (header, rows, options) in [
        ("x_px,y_px", &px, &["--out", "photo.json"][..]),
        ("x,y", &px, &["--frame", "photo", "--out", "plain.json"]),
        (
            "lateral_mm,height_mm",
            &lateral,
            &["--side", "left", "--out", "lateral.json"],
        ),
    ] {
        let ran = fit(&desk, &table(header, rows), options);
        assert_eq!(
            (ran.code, ran.err.as_str()),
            (0, ""),
            "{header}: {}",
            ran.out
        );
        let written = options.last().expect("a name");
        let off = farthest(&outline(&desk, written, Side::Left), &wanted);
        assert!(off < 0.1, "{header}: {off} mm off");
    }
}

#[test]
fn without_out_nothing_is_written_and_nothing_is_written_over() {
    let desk = Desk::new();
    let table = on_skin(&outline(&desk, "client.json", Side::Right));
    let before = fs::read(desk.path("client.json")).expect("it is there");
    let ran = fit(&desk, &table, &[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("Nothing is written"), "{}", ran.out);
    for out in ["client.json", "./client.json", "relaxed.jpg"] {
        let ran = fit(&desk, &table, &["--out", out]);
        assert_refusal(&ran, &["there is a file of that name", "--replace"]);
    }
    assert_refusal(
        &fit(&desk, &table, &["--out", "."]),
        &["this is a folder; name a file in it"],
    );
    assert_eq!(fs::read(desk.path("client.json")).expect("there"), before);
    let ran = fit(&desk, &table, &["--out", "client.json", "--replace"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_ne!(fs::read(desk.path("client.json")).expect("there"), before);
    // In another folder its photos would not be found.
    let ran = fit(&desk, &table, &["--out", "new/client.json"]);
    assert!(
        ran.out.contains("Copy its photos beside it: relaxed.jpg"),
        "{}",
        ran.out
    );
}

#[test]
fn json_gives_the_shape_its_distances_and_the_reason() {
    let desk = Desk::new();
    // The tail swells toward its tip, as no brow may.
    let swollen: Vec<_> = outline(&desk, "client.json", Side::Left)
        .into_iter()
        .map(|p| {
            let beyond = (p.x - 45.0).max(0.0);
            let up = if p.y > 24.0 - 0.9 * beyond {
                0.35
            } else {
                -0.35
            };
            Point::new(p.x, p.y + up * beyond)
        })
        .collect();
    let ran = fit(&desk, &on_skin(&swollen), &["--json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    let found: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(found["side"], "left");
    assert_eq!(found["written"], Value::Null);
    let largest = found["followed"]["largest-mm"].as_f64().expect("a number");
    let rms = found["followed"]["rms-mm"].as_f64().expect("a number");
    assert!(largest > 0.5 && rms < largest, "{found}");
    assert!(found["why"]["kind"].is_string(), "{found}");
    let said = found["sentences"][0].as_str().expect("words");
    assert!(said.contains("because"), "{said}");
    assert!(found["points"]["tail"].is_array(), "{found}");
}

#[test]
fn tables_that_cant_be_used_are_refused_by_line_and_reason() {
    let desk = Desk::new();
    let right = outline(&desk, "client.json", Side::Right);
    let both = [right.clone(), outline(&desk, "client.json", Side::Left)].concat();
    let broken = on_skin(&right).replacen("\n", "\n12.0,x\n", 3);
    let long: String = on_skin(&right).replacen("\n", "\n1,2,3\n", 2);
    for (table, parts) in [
        ("", &["no points below its header"][..]),
        ("s_mm,h_mm\n", &["no points below its header"]),
        ("a,b\n1,2\n", &["s_mm,h_mm", "--frame photo"]),
        (
            "x,y\n1,2\n",
            &["lateral_mm,height_mm", "for x,y say --frame"],
        ),
        (&broken, &["line 2: h_mm is “x”, not a number of mm"]),
        (&long, &["line 2 can't be read"]),
        ("s_mm,h_mm\nNaN,3\n", &["line 2: s_mm is “NaN”"]),
        (&on_skin(&both), &["both sides of the midline", "--side"]),
        ("s_mm,h_mm\n20,20\n21,20\n", &["at least 5 mm of an edge"]),
        ("s_mm,h_mm\n900,900\n901,20\n", &["off the face"]),
    ] {
        let ran = fit(&desk, table, &["--out", "new.json"]);
        assert_refusal(&ran, &[parts, &["points.csv"]].concat());
        assert!(!desk.path("new.json").exists());
    }
    let ran = desk.run(&["fit", "client.json", "--to", "nothing.csv"]);
    assert_refusal(&ran, &["nothing.csv: there is no such file"]);
    let ran = fit(&desk, &on_skin(&both), &["--side", "left"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = "left out: beyond the midline, on the other brow's side";
    assert!(ran.out.contains(said), "{}", ran.out);
}

#[test]
fn what_the_fitted_shape_breaks_is_named() {
    let desk = Desk::new();
    let wanted = outline(&desk, "client.json", Side::Left);
    let ran = fit(&desk, &on_skin(&wanted), &["--json"]);
    let said: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(said["breaks"], serde_json::json!([]), "{said}");
    let ran = fit(&desk, &on_skin(&wanted), &[]);
    assert!(!ran.out.contains("breaks what held"), "{}", ran.out);

    // The outer part of the upper edge, rising to its end.
    let far = wanted.iter().map(|p| p.x).fold(0.0, f64::max);
    let level = wanted.iter().map(|p| p.y).fold(f64::MIN, f64::max);
    let rising: Vec<Point<Skin>> = [18.0, 9.0, 0.0]
        .map(|in_mm| Point::new(far - in_mm, level - 4.0))
        .to_vec();
    let ran = fit(&desk, &on_skin(&rising), &[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for words in [
        "This shape breaks what held before:",
        "tail aim: tail points",
    ] {
        assert!(ran.out.contains(words), "no {words}: {}", ran.out);
    }
    let ran = fit(&desk, &on_skin(&rising), &["--json"]);
    let said: Value = serde_json::from_str(&ran.out).expect("JSON");
    let breaks = said["breaks"].as_array().expect("a list");
    let aim = breaks
        .iter()
        .find(|b| b["reading"]["constraint"] == "tail-aim")
        .expect("the tail's aim");
    assert_eq!(aim["reading"]["verdict"], "fails");
    let sentence = aim["sentence"].as_str().expect("a sentence");
    assert!(sentence.contains("it should be at most"), "{sentence}");
}
