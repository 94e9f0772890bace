//! `ophryon` as it is met in a terminal: the real program, on the invented
//! client's file, well and badly treated.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failing test says so by panicking"
)]

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use ophryon_record::Record;
use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Value, json};
use tempfile::TempDir;

/// The program to test: `OPHRYON_BIN`, else built now, beside this test.
fn program() -> &'static Path {
    static PROGRAM: OnceLock<PathBuf> = OnceLock::new();
    PROGRAM.get_or_init(|| {
        if let Some(named) = env::var_os("OPHRYON_BIN") {
            return PathBuf::from(named);
        }
        let built = Command::new(env!("CARGO"))
            .args(["build", "--quiet", "--package", "ophryon"])
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .status();
        assert!(built.expect("cargo can be started").success());
        let this = env::current_exe().expect("this test is a file");
        let profile = this.ancestors().nth(2).expect("target/debug/deps/this");
        profile.join(format!("ophryon{}", env::consts::EXE_SUFFIX))
    })
}

/// What a run came to.
struct Ran {
    code: i32,
    out: String,
    err: String,
}

fn ran(command: &mut Command) -> Ran {
    let done = command.output().expect("the program can be started");
    Ran {
        code: done.status.code().expect("it ended by itself"),
        out: String::from_utf8(done.stdout).expect("it prints UTF-8"),
        err: String::from_utf8(done.stderr).expect("it prints UTF-8"),
    }
}

/// A folder of one's own with an invented client's file and photos in it.
struct Desk {
    folder: TempDir,
}

impl Desk {
    fn new() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo-data/demo-even");
        for name in ["client.json", "relaxed.jpg", "eyes-open.jpg"] {
            fs::copy(demo.join(name), folder.path().join(name)).expect("the demo client is there");
        }
        Self { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn run(&self, arguments: &[&str]) -> Ran {
        ran(Command::new(program())
            .args(arguments)
            .current_dir(self.folder.path()))
    }

    fn client(&self) -> Value {
        let text = fs::read_to_string(self.path("client.json")).expect("it is there");
        serde_json::from_str(&text).expect("it is JSON")
    }

    /// Changes the client's file.
    fn change(&self, change: impl FnOnce(&mut Value)) {
        let mut client = self.client();
        change(&mut client);
        fs::write(self.path("client.json"), client.to_string()).expect("it can be written");
    }

    fn names(&self, folder: &str) -> Vec<String> {
        let found = fs::read_dir(self.path(folder)).expect("the folder is there");
        let mut names: Vec<_> = found
            .map(|e| {
                e.expect("an entry")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .collect();
        names.sort();
        names
    }

    /// Every task refuses the file alike: exit 2, nothing printed, one
    /// sentence with all of `parts`, no files written.
    fn refused(&self, parts: &[&str]) {
        for task in [
            &["sheet", "client.json", "--out", "sheets"][..],
            &["check", "client.json"],
            &["measure", "client.json", "--json"],
        ] {
            let before = self.names(".");
            let ran = self.run(task);
            assert_refusal(&ran, parts);
            assert_eq!(self.names("."), before, "{task:?} left something behind");
        }
    }
}

fn assert_refusal(ran: &Ran, parts: &[&str]) {
    assert_eq!(ran.code, 2, "out: {}\nerr: {}", ran.out, ran.err);
    assert_eq!(ran.out, "", "{}", ran.err);
    assert_eq!(ran.err.lines().count(), 1, "one sentence: {}", ran.err);
    for part in parts {
        assert!(ran.err.contains(part), "no “{part}” in: {}", ran.err);
    }
}

#[test]
fn a_sheet_and_a_report_are_written() {
    let desk = Desk::new();
    let ran = desk.run(&["sheet", "client.json", "--out", "a/b"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert!(ran.out.contains("NOT AGREED"), "{}", ran.out);
    assert!(
        ran.out.contains("this is the proposal"),
        "the file has no shape, and that is said: {}",
        ran.out
    );
    assert_eq!(desk.names("a/b"), ["report.json", "stencil.svg"]);

    let svg = fs::read_to_string(desk.path("a/b/stencil.svg")).expect("it is there");
    for id in [
        "sheet",
        "brow-right",
        "brow-left",
        "midline",
        "level",
        "gauge",
        "caption",
    ] {
        assert!(svg.contains(&format!("id=\"{id}\"")), "no {id}");
    }
    assert!(svg.contains("width=\"210mm\"") && svg.contains("height=\"297mm\""));

    let report: Value =
        serde_json::from_slice(&fs::read(desk.path("a/b/report.json")).expect("it is there"))
            .expect("it is JSON");
    let mark = report["fingerprint"]
        .as_str()
        .expect("it has a fingerprint");
    assert!(
        svg.contains(mark),
        "the sheet carries the report's fingerprint"
    );
    assert_eq!(report["holds"], json!(true), "{}", report["constraints"]);
    let constraints = report["constraints"]["right"].as_array().expect("a list");
    assert_eq!(constraints.len(), 8);
    assert!(
        report["distances"]
            .as_array()
            .is_some_and(|d| d.len() == 14)
    );
    for at in [
        "/outline/left/0/skin-mm/0/0",
        "/points/right/tail/skin-mm/0",
        "/mapping/left/2/crossing-front-mm/0",
    ] {
        assert!(report.pointer(at).is_some_and(Value::is_number), "{at}");
    }
}

#[test]
fn the_same_file_gives_the_same_bytes_and_a_sheet_can_be_written_again() {
    let desk = Desk::new();
    for out in ["one", "two", "two"] {
        assert_eq!(desk.run(&["sheet", "client.json", "--out", out]).code, 0);
    }
    for name in ["stencil.svg", "report.json"] {
        let read = |out: &str| fs::read(desk.path(out).join(name)).expect("it is there");
        assert!(read("one") == read("two"), "{name} differs");
    }
    // The file in its own folder is no trouble either.
    assert_eq!(desk.run(&["sheet", "client.json", "--out", "."]).code, 0);
}

#[test]
fn letter_paper_and_face_down_sheets() {
    let desk = Desk::new();
    let ran = desk.run(&["sheet", "client.json", "--out", "up", "--paper", "letter"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = desk.run(&[
        "sheet",
        "client.json",
        "--out",
        "down",
        "--paper",
        "letter",
        "--face-down",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let read = |out: &str| fs::read_to_string(desk.path(out).join("stencil.svg")).expect("there");
    assert!(read("up").contains("width=\"215.9mm\""));
    assert!(read("up") != read("down"));
    // What is said of the shape doesn't depend on the paper.
    let report = |out: &str| fs::read(desk.path(out).join("report.json")).expect("there");
    assert!(report("up") == report("down"));
}

#[test]
fn a_sheet_is_written_in_the_formats_asked_for() {
    let desk = Desk::new();
    for out in ["one", "two"] {
        let ran = desk.run(&[
            "sheet",
            "client.json",
            "--out",
            out,
            "--format",
            "svg,pdf,dxf",
            "--flip",
        ]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
        assert!(ran.out.contains("stencil.svg, ") && ran.out.contains("stencil.dxf and report"));
        assert!(!ran.out.contains("Mind: the letters"), "{}", ran.out);
    }
    assert_eq!(
        desk.names("one"),
        ["report.json", "stencil.dxf", "stencil.pdf", "stencil.svg"]
    );
    let read = |at: &str| fs::read(desk.path(at)).expect("it is there");
    let pdf = read("one/stencil.pdf");
    assert!(pdf.starts_with(b"%PDF-1.7"));
    assert!(
        pdf == read("two/stencil.pdf"),
        "the bytes depend on the day"
    );

    // Only what was asked for, and a code in letters that no font holds is told.
    desk.change(|client| client["client"]["code"] = json!("K 漢"));
    let ran = desk.run(&["sheet", "client.json", "--out", "pdf", "--format", "pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(desk.names("pdf"), ["report.json", "stencil.pdf"]);
    assert!(
        ran.out.contains("the letters of the PDF hold no “漢”"),
        "{}",
        ran.out
    );
    let ran = desk.run(&["sheet", "client.json", "--out", "x", "--format", "bmp"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("svg, pdf, dxf"), "{}", ran.err);
    assert!(!desk.path("x").exists());
}

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

#[test]
fn embedded_photos_are_as_good_as_files() {
    let desk = Desk::new();
    let first = desk.run(&["measure", "client.json", "--json"]).out;
    desk.change(|client| {
        for (i, name) in ["relaxed.jpg", "eyes-open.jpg"].iter().enumerate() {
            let bytes = fs::read(desk.path(name)).expect("it is there");
            client["photos"][i]["image"] = json!({
                "kind": "embedded", "media-type": "image/jpeg", "base64": STANDARD.encode(bytes),
            });
        }
    });
    fs::remove_file(desk.path("relaxed.jpg")).expect("no longer needed");
    let ran = desk.run(&["measure", "client.json", "--json"]);
    assert_eq!((ran.code, ran.out), (0, first), "{}", ran.err);
}

#[test]
fn files_that_are_no_clients_files_are_refused() {
    let desk = Desk::new();
    let ran = desk.run(&["check", "nobody.json"]);
    assert_refusal(
        &ran,
        &["nobody.json: there is no such file; check the path"],
    );
    let ran = desk.run(&["check", "."]);
    assert_refusal(&ran, &[".: this is a folder; name the client's file in it"]);
    let ran = desk.run(&["measure", "relaxed.jpg"]);
    assert_refusal(
        &ran,
        &["relaxed.jpg: this is not JSON but something else than text"],
    );

    let write = |text: &str| fs::write(desk.path("client.json"), text).expect("it can be written");
    write("");
    desk.refused(&["client.json: this is not JSON", "cut off or damaged"]);
    write("dear diary");
    desk.refused(&["client.json: this is not JSON from line 1, column 1"]);
    write("{\"type\": \"FeatureCollection\", \"features\": []}");
    desk.refused(&["client.json: this is JSON but no client's file"]);
    write("{\"client\": {\"code\": \"K\"}}");
    desk.refused(&["client.json: schema: it is missing"]);
    write("{\"schema\": 7, \"client\": {\"code\": \"K\"}, \"aura\": 3}");
    desk.refused(&[
        "client.json: schema: this was made by a newer Ophryon (schema 7); this one reads up to 2",
    ]);
    write("{\"schema\": 0, \"client\": {\"code\": \"K\"}}");
    desk.refused(&["client.json: schema: 0 was never a schema"]);
    write("{\"schema\": 2, \"client\": {\"code\": \"K\"}, \"aura\": 3}");
    desk.refused(&["client.json: aura: unknown field"]);
    write("{\"schema\": 1, \"client\": {\"code\": \"K\"}}");
    desk.refused(&["client.json: photos: there is no photo yet; bring one"]);
}

#[test]
fn faults_inside_a_clients_file_are_named_by_file_field_and_way_out() {
    type Change = fn(&mut Value);
    let cases: [(Change, &[&str]); 12] = [
        (
            |c| {
                let eye = &mut c["photos"][0]["landmarks"]["right"];
                eye.as_object_mut()
                    .expect("landmarks")
                    .remove("inner-corner");
            },
            &[
                "photos[0].landmarks.right.inner-corner",
                "inner corner of the client's right eye is missing; tap it",
            ],
        ),
        (
            |c| c["photos"][0]["references"] = json!([]),
            &["photos[0].references", "has no scale yet; tap"],
        ),
        (
            |c| c["photos"][0]["landmarks"]["right"]["pupil"] = json!([null, 3]),
            &["photos[0].landmarks.right.pupil", "null"],
        ),
        (
            |c| c["photos"][0]["landmarks"]["right"]["pupil"] = json!([1e300, 3]),
            &[
                "photos[0].landmarks.right.pupil",
                "outside the photo",
                "tap it again inside",
            ],
        ),
        (
            |c| {
                let marks = &mut c["photos"][0]["landmarks"];
                let (right, left) = (marks["right"].take(), marks["left"].take());
                marks["right"] = left;
                marks["left"] = right;
            },
            &[
                "photos[0].landmarks",
                "right and left exchanged",
                "swap them",
            ],
        ),
        (
            |c| {
                let marks = &mut c["photos"][0]["landmarks"]["left"];
                marks["brow-peak"] = marks["brow-tail"].clone();
            },
            &["photos[0].landmarks.left", "same spot", "again"],
        ),
        (
            |c| {
                c["pair"] = json!({"master": "right", "points": {
                    "front-top": [17, 22], "front-bottom": [17, 15], "peak": [12, 27],
                    "lower-arch": [42, 21], "tail": [60, 14],
                }});
            },
            &[
                "pair.points",
                "client's right brow: the peak lies 5.0 mm nearer the midline than the front top",
                "move it out by",
            ],
        ),
        (
            |c| {
                c["pair"] = json!({"master": "right", "points": {
                    "front-top": [17, 22], "front-bottom": [17, 15], "peak": [4e4, 27],
                    "lower-arch": [42, 21], "tail": [60, 14],
                }});
            },
            &["pair.points.peak", "outside any face"],
        ),
        (
            |c| {
                c["photos"][0]["references"] =
                    json!([{"kind": "ruler", "ends": [[100, 100], [660, 100]], "length-mm": 1.0}])
            },
            &[
                "photos[0].references",
                "so the scale can't be right",
                "Tap the scale again",
            ],
        ),
        (
            |c| c["photos"][0]["width-px"] = json!(0),
            &["photos[0].width-px", "0 px is no photo's size"],
        ),
        (
            |c| c["wrap"] = json!({"kind": "tape", "side": "right", "length-mm": 21}),
            &["wrap", "shorter than the", "measure over the skin again"],
        ),
        (
            |c| c["limits"]["peak-radius-mm"] = json!(0),
            &["limits", "peak-radius-mm must be a number above 0"],
        ),
    ];
    for (change, parts) in cases {
        let desk = Desk::new();
        desk.change(change);
        let mut all = vec!["ophryon: client.json: "];
        all.extend(parts);
        desk.refused(&all);
    }
}

#[test]
fn photos_that_are_missing_wrong_or_no_images_are_refused() {
    let desk = Desk::new();
    fs::rename(desk.path("relaxed.jpg"), desk.path("moved.jpg")).expect("it can be moved");
    desk.refused(&[
        "client.json: photos[0].image.name: “relaxed.jpg”: there is no such file",
        "beside the client's file",
    ]);
    fs::write(desk.path("relaxed.jpg"), "a drawing of a sheep").expect("it can be written");
    desk.refused(&[
        "photos[0].image.name: “relaxed.jpg” is no JPEG or PNG image; bring the photo again",
    ]);
    fs::write(desk.path("relaxed.jpg"), "GIF89a\u{1}\u{0}\u{1}\u{0}").expect("it can be written");
    desk.refused(&["photos[0].image.name", "is no JPEG or PNG image"]);
    let small = image::RgbImage::from_pixel(640, 480, image::Rgb([90, 80, 70]));
    small
        .save(desk.path("relaxed.jpg"))
        .expect("it can be written");
    desk.refused(&[
        "photos[0].width-px",
        "is 640 x 480 px and the file says 1800 x 2250",
    ]);
    fs::remove_file(desk.path("relaxed.jpg")).expect("it was there");
    fs::create_dir(desk.path("relaxed.jpg")).expect("it can be made");
    desk.refused(&["photos[0].image.name: “relaxed.jpg” is a folder"]);

    let desk = Desk::new();
    desk.change(|c| c["photos"][0]["image"]["name"] = json!("../relaxed.jpg"));
    desk.refused(&["photos[0].image.name", "it must be a plain file name"]);
    let desk = Desk::new();
    let embedded =
        |text: &str| json!({"kind": "embedded", "media-type": "image/jpeg", "base64": text});
    desk.change(|c| c["photos"][0]["image"] = embedded("not base64"));
    desk.refused(&["photos[0].image.base64: this is not base64"]);
    desk.change(|c| c["photos"][0]["image"] = embedded(&STANDARD.encode("a sheep")));
    desk.refused(&["photos[0].image.base64: the photo “relaxed” is no JPEG or PNG image"]);
}

#[test]
fn a_photo_turned_by_exif_has_its_turned_size() {
    // A JPEG of 640 x 480 with the EXIF tag Orientation (0x0112) set to 6,
    // "turn a quarter clockwise": CIPA DC-008 (Exif 2.32), section 4.6.4.
    let desk = Desk::new();
    let mut jpeg = std::io::Cursor::new(Vec::new());
    image::RgbImage::from_pixel(640, 480, image::Rgb([90, 80, 70]))
        .write_to(&mut jpeg, image::ImageFormat::Jpeg)
        .expect("it can be drawn");
    let tiff = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0";
    let mut turned = jpeg.get_ref()[..2].to_vec();
    turned.extend([0xff, 0xe1, 0, (tiff.len() + 2) as u8]);
    turned.extend(tiff);
    turned.extend(&jpeg.get_ref()[2..]);
    fs::write(desk.path("eyes-open.jpg"), turned).expect("it can be written");
    desk.change(|c| {
        c["photos"][1] = json!({"id": "turned", "state": "eyes-open", "width-px": 640, "height-px": 480,
            "image": {"kind": "file", "name": "eyes-open.jpg"}});
    });
    desk.refused(&[
        "photos[1].width-px",
        "is 480 x 640 px and the file says 640 x 480",
    ]);
    desk.change(|c| {
        c["photos"][1]["width-px"] = json!(480);
        c["photos"][1]["height-px"] = json!(640);
    });
    assert_eq!(desk.run(&["check", "client.json"]).code, 0);
}

#[test]
fn an_output_that_cannot_be_written_leaves_nothing_behind() {
    let desk = Desk::new();
    fs::write(desk.path("taken"), "a file").expect("it can be written");
    for out in ["taken", "taken/inside"] {
        let ran = desk.run(&["sheet", "client.json", "--out", out]);
        assert_refusal(&ran, &["taken", "choose another folder with --out"]);
    }
    assert_eq!(
        fs::read_to_string(desk.path("taken")).expect("still there"),
        "a file"
    );

    // The second of the two files can't be put in place: neither is.
    fs::create_dir_all(desk.path("half/report.json")).expect("it can be made");
    let ran = desk.run(&["sheet", "client.json", "--out", "half"]);
    assert_refusal(&ran, &["report.json: there is a folder of that name"]);
    assert_eq!(desk.names("half"), ["report.json"]);

    // The client's file is never replaced by a report.
    fs::copy(desk.path("client.json"), desk.path("report.json")).expect("it can be copied");
    let before = fs::read(desk.path("report.json")).expect("it is there");
    let ran = desk.run(&["sheet", "report.json", "--out", "."]);
    assert_refusal(&ran, &["report.json: this is the client's file itself"]);
    assert!(fs::read(desk.path("report.json")).expect("still there") == before);
    assert!(!desk.path("stencil.svg").exists());
}

#[cfg(target_os = "linux")]
#[test]
fn a_folder_without_the_right_to_write_is_refused() {
    // /proc takes no new files from anybody, root included.
    let desk = Desk::new();
    for out in ["/proc", "/proc/ophryon"] {
        let ran = desk.run(&["sheet", "client.json", "--out", out]);
        assert_refusal(
            &ran,
            &["ophryon: /proc", "choose another folder with --out"],
        );
    }
}

#[test]
fn a_wrong_command_is_explained_with_exit_2() {
    let desk = Desk::new();
    for (arguments, part) in [
        (&["sheet", "client.json"][..], "--out <DIR>"),
        (
            &["sheet", "client.json", "--out", "x", "--paper", "a3"],
            "a4, letter",
        ),
        (&["stencil", "client.json"], "unrecognized subcommand"),
    ] {
        let ran = desk.run(arguments);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{arguments:?}");
        assert!(ran.err.contains(part), "{}", ran.err);
    }
    let ran = desk.run(&["--help"]);
    assert_eq!(ran.code, 0);
    for task in ["sheet", "printer-check", "check", "measure", "serve"] {
        assert!(ran.out.contains(task), "{}", ran.out);
    }
}

#[test]
fn damaged_copies_end_in_a_sentence_through_the_program_too() {
    let desk = Desk::new();
    let good = fs::read(desk.path("client.json")).expect("it is there");
    for step in 1..12 {
        let end = good.len() * step / 12;
        fs::write(desk.path("client.json"), &good[..end]).expect("it can be written");
        let ran = desk.run(&["check", "client.json"]);
        assert_refusal(
            &ran,
            &["client.json: this is not JSON", "cut off or damaged"],
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    /// An invented client's file with bytes flipped, lost or doubled never
    /// makes the reader panic; what it still reads can be written again.
    #[test]
    fn a_damaged_client_never_panics(
        hits in prop::collection::vec((any::<Index>(), 0_u8..4, 1_u8..=255), 1..5),
        cut in prop::option::weighted(0.2, any::<Index>()),
    ) {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo-data/demo-set/client.json");
        let mut bytes = fs::read(path).expect("it is there");
        for (at, kind, value) in hits {
            let at = at.index(bytes.len());
            match kind {
                0 => bytes[at] ^= 1 << (value % 7),
                1 => { bytes.remove(at); }
                2 => bytes.insert(at, value & 0x7f),
                _ => bytes[at] = value,
            }
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        let Ok(text) = String::from_utf8(bytes) else { return Ok(()) };
        match Record::from_json(&text) {
            Ok(record) => {
                prop_assert!(record.to_json().is_ok());
                let _ = record.report().map(|r| r.to_json());
            }
            Err(why) => {
                let said = why.to_string();
                prop_assert!(!said.is_empty() && !said.contains('\n'), "{said:?}");
            }
        }
    }
}
