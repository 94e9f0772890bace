//! `ophryon readings` and `ophryon wrap` as they are met in a terminal.

// Failing loudly is what a test is for.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use tempfile::TempDir;

struct Ran {
    code: Option<i32>,
    out: String,
    err: String,
}

fn run(arguments: &[&str]) -> Ran {
    let done = Command::new(env!("CARGO_BIN_EXE_ophryon"))
        .args(arguments)
        .output()
        .unwrap();
    Ran {
        code: done.status.code(),
        out: String::from_utf8(done.stdout).unwrap(),
        err: String::from_utf8(done.stderr).unwrap(),
    }
}

fn refused(arguments: &[&str], part: &str) {
    let ran = run(arguments);
    assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{arguments:?}");
    assert!(ran.err.contains(part), "no “{part}” in: {}", ran.err);
}

/// An invented client with a tape on the right.
fn client() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-data/demo-even/client.json");
    path.to_str().unwrap().to_owned()
}

/// What must be read, by the program's own list.
fn list() -> serde_json::Value {
    let ran = run(&["readings", &client(), "--json"]);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
    serde_json::from_str(&ran.out).unwrap()
}

fn expected(list: &serde_json::Value, side: &str, id: &str) -> f64 {
    let rows = list["rows"].as_array().unwrap();
    let row = rows
        .iter()
        .find(|r| r["side"] == side && r["id"] == id)
        .unwrap();
    row["expected-mm"].as_f64().unwrap()
}

#[test]
fn nothing_read_yet_is_said_and_every_row_has_its_tolerance() {
    let list = list();
    assert_eq!(list["sentence"], "Nothing has been read yet.");
    let rows = list["rows"].as_array().unwrap();
    assert_eq!(rows.len(), 28);
    for row in rows {
        assert_eq!(
            (&row["verdict"], &row["read-mm"]),
            (&"not-read".into(), &serde_json::Value::Null)
        );
        assert!(
            (0.5..2.5).contains(&row["tolerance-mm"].as_f64().unwrap()),
            "{row}"
        );
    }
}

#[test]
fn a_sheet_laid_turned_is_told_from_its_readings() {
    let list = list();
    let file = client();
    let mut arguments = vec!["readings".to_owned(), file];
    for (side, sign) in [("right", -1.0), ("left", 1.0)] {
        for (at, id) in [
            ("start", "front-top-height"),
            ("peak", "peak-height"),
            ("lower-arch", "lower-arch-height"),
            ("tail", "tail-height"),
        ] {
            // Four degrees: 0.07 mm for each mm from the midline.
            let mm = expected(&list, side, id) + sign * 0.07 * expected(&list, side, at);
            arguments.push("--read".to_owned());
            arguments.push(format!("{side}/{id}={mm:.1}"));
        }
    }
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let ran = run(&arguments);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
    assert!(
        ran.out
            .contains("Likely: The sheet lay turned by about 4.0°"),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("off by +4."), "{}", ran.out);
}

#[test]
fn readings_that_are_none_are_refused_in_words() {
    let file = client();
    refused(
        &["readings", &file, "--read", "left/brow=4"],
        "“brow” is no distance of the list",
    );
    refused(
        &["readings", &file, "--read", "left/tail=4000"],
        "4000 mm can't be right",
    );
    refused(&["readings", "nowhere.json"], "there is no such file");
}

fn table(at: &TempDir, name: &str, text: &str) -> PathBuf {
    let file = at.path().join(name);
    fs::write(&file, text).unwrap();
    file
}

/// A head of known depth: the tape's length comes from the section's own
/// formula, and so do the places that must come out.
#[test]
fn frontal_points_go_where_the_section_has_them() {
    let at = TempDir::new().unwrap();
    let depth = 0.12;
    let s = |x: f64| {
        let u = x / 50.0;
        x * (1.0 + depth * (0.6 * u.powi(2) + 0.4 * u.powi(6)))
    };
    let line: Vec<(f64, f64)> = (0..=40)
        .map(|i| (14.0 + f64::from(i), 18.0 + 0.1 * f64::from(i)))
        .collect();
    let tape: f64 = line
        .windows(2)
        .map(|w| ((s(w[1].0) - s(w[0].0)).powi(2) + (w[1].1 - w[0].1).powi(2)).sqrt())
        .sum();
    let rows = |points: &[(f64, f64)]| -> String {
        points.iter().map(|(x, y)| format!("{x},{y}\n")).collect()
    };
    let along = table(&at, "centre.csv", &format!("x_mm,y_mm\n{}", rows(&line)));
    let points = [(-52.0, 15.0), (0.0, 20.0), (33.0, 26.5)];
    let points_file = table(&at, "points.csv", &format!("x_mm,y_mm\n{}", rows(&points)));
    let (along, points_file) = (along.to_str().unwrap(), points_file.to_str().unwrap());
    let tape = format!("{tape:.9}");
    let ran = run(&[
        "wrap",
        "--along",
        along,
        "--tape",
        &tape,
        "--points",
        points_file,
    ]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(ran.err.contains("profile, depth 12.0 %"), "{}", ran.err);
    let mut lines = ran.out.lines();
    assert_eq!(lines.next(), Some("s_mm,h_mm"));
    for ((x, y), line) in points.into_iter().zip(lines) {
        let (found_s, found_h) = line.split_once(',').unwrap();
        let (found_s, found_h): (f64, f64) = (found_s.parse().unwrap(), found_h.parse().unwrap());
        assert!(
            (found_s - s(x)).abs() < 2e-6 && (found_h - y).abs() < 1e-6,
            "{line}"
        );
    }
    // What no head can have is refused.
    let told = ["wrap", "--along", along, "--points", points_file, "--tape"];
    let with = |tape| [&told[..], &[tape]].concat();
    refused(&with("39"), "shorter than");
    refused(&with("90"), "more than any head has");
    let far = table(&at, "far.csv", "x_mm,y_mm\n90,0\n");
    refused(
        &[
            "wrap",
            "--along",
            along,
            "--tape",
            &tape,
            "--points",
            far.to_str().unwrap(),
        ],
        "round the side of the head",
    );
}
