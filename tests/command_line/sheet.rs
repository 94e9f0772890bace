//! `ophryon sheet`: what is written, and what never is.

use std::fs;

use serde_json::{Value, json};

use crate::desk::{Desk, assert_refusal};

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
        assert!(!ran.out.contains("Mind: no font"), "{}", ran.out);
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

    // Only what was asked for.
    let ran = desk.run(&["sheet", "client.json", "--out", "pdf", "--format", "pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(desk.names("pdf"), ["report.json", "stencil.pdf"]);
    let ran = desk.run(&["sheet", "client.json", "--out", "x", "--format", "bmp"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("svg, pdf, dxf"), "{}", ran.err);
    assert!(!desk.path("x").exists());
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

fn sheet<'a>(out: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    [&["sheet", "client.json", "--out", out][..], more].concat()
}

/// Right and left can lie in one folder: neither replaces the other.
#[test]
fn each_side_has_its_own_files() {
    let desk = Desk::new();
    for side in ["right", "left"] {
        let options = ["--format", "svg,pdf,dxf", "--sides", side];
        let ran = desk.run(&sheet("sides", &options));
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    }
    assert_eq!(
        desk.names("sides"),
        [
            "report.json",
            "stencil-left.dxf",
            "stencil-left.pdf",
            "stencil-left.svg",
            "stencil-right.dxf",
            "stencil-right.pdf",
            "stencil-right.svg",
        ]
    );
    for (side, other) in [("right", "left"), ("left", "right")] {
        let at = desk.path(&format!("sides/stencil-{side}.svg"));
        let svg = fs::read_to_string(at).expect("it is there");
        for id in [
            &format!("brow-{side}"),
            &format!("cut-{side}"),
            "midline",
            "level",
        ] {
            assert!(svg.contains(&format!("id=\"{id}\"")), "no {id}");
        }
        assert!(!svg.contains(&format!("brow-{other}")));
    }
}

#[test]
fn copies_are_cut_apart_and_as_many_as_fit_are_told() {
    let desk = Desk::new();
    let ran = desk.run(&sheet("three", &["--copies", "3"]));
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    let svg = fs::read_to_string(desk.path("three/stencil.svg")).expect("it is there");
    for id in ["brow-left", "brow-left-2", "brow-left-3", "cut-apart"] {
        assert!(svg.contains(&format!("id=\"{id}\"")), "no {id}");
    }
    assert!(!svg.contains("brow-left-4"));
    // What it says that fits does fit, and one more does not.
    let ran = desk.run(&sheet("many", &["--copies", "1000"]));
    assert_refusal(
        &ran,
        &["A4 paper holds ", " copies of both brows, not 1000"],
    );
    let most: u32 = ran
        .err
        .split("ask for ")
        .nth(1)
        .and_then(|rest| rest.split(' ').next())
        .and_then(|number| number.parse().ok())
        .expect("a number");
    let (fit, more) = (most.to_string(), (most + 1).to_string());
    assert_eq!(desk.run(&sheet("many", &["--copies", &fit])).code, 0);
    assert_eq!(desk.run(&sheet("more", &["--copies", &more])).code, 2);
    let ran = desk.run(&sheet("none", &["--copies", "0"]));
    assert_refusal(&ran, &["ask for 1 or more"]);
    assert!(!desk.path("more").exists() && !desk.path("none").exists());
}

/// Nobody wants the list of distances on the label printer.
#[test]
fn a_label_has_its_list_on_a_page_of_its_own() {
    let desk = Desk::new();
    let ran = desk.run(&sheet(
        "label",
        &["--format", "svg,pdf", "--paper", "100x150"],
    ));
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert!(ran.out.contains("for 100 x 150 mm paper, laid across"));
    assert!(ran.out.contains("the one across must read 100 mm"));
    assert_eq!(
        desk.names("label"),
        ["distances.pdf", "report.json", "stencil.pdf", "stencil.svg"]
    );
    let svg = fs::read_to_string(desk.path("label/stencil.svg")).expect("it is there");
    assert!(svg.contains("width=\"150mm\"") && svg.contains("height=\"100mm\""));

    let ran = desk.run(&sheet("roll", &["--paper", "62x150"]));
    assert_refusal(
        &ran,
        &[
            "do not fit on 62 x 150 mm paper",
            "print one side to a page",
        ],
    );
    let ran = desk.run(&sheet("roll", &["--paper", "62x150", "--sides", "right"]));
    assert_eq!(ran.code, 0, "{}", ran.err);
}

#[test]
fn the_name_is_on_the_sheet_only_where_it_is_asked_for() {
    let desk = Desk::new();
    desk.change(|client| client["client"]["name"] = json!("Invented Person"));
    for (out, options) in [("code", &[][..]), ("name", &["--with-name"])] {
        let ran = desk.run(&sheet(out, options));
        assert_eq!(ran.code, 0, "{}", ran.err);
        let svg = fs::read_to_string(desk.path(&format!("{out}/stencil.svg"))).expect("there");
        assert!(svg.contains("demo-even"));
        assert_eq!(svg.contains("Invented Person"), out == "name");
    }
    desk.change(|client| client["client"]["name"] = Value::Null);
    let ran = desk.run(&sheet("none", &["--with-name"]));
    assert!(ran.out.contains("the file holds no name"), "{}", ran.out);
}

#[test]
fn letters_of_any_script_are_printed_or_told() {
    let desk = Desk::new();
    let printed = |code: &str, more: &[&str]| {
        desk.change(|client| client["client"]["code"] = json!(code));
        let ran = desk.run(&sheet("pdf", &[&["--format", "pdf"], more].concat()));
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
        ran.out
    };
    for code in [
        "K 漢",
        "やまだ",
        "김민지",
        "สมหญิง",
        "अनुष्का",
        "Žofie",
        "مريم",
    ] {
        assert!(!printed(code, &[]).contains("Mind: no font"), "{code}");
    }
    // Old Persian: nobody's own script any more.
    let told = printed("K 𐎠", &[]);
    assert!(told.contains("no font at hand holds “𐎠”"), "{told}");
    assert!(told.contains("--font FILE"), "{told}");

    let ran = desk.run(&sheet("x", &["--format", "pdf", "--font", "client.json"]));
    assert_refusal(&ran, &["client.json: this is no TrueType or OpenType font"]);
    let ran = desk.run(&sheet("x", &["--format", "pdf", "--font", "."]));
    assert_refusal(&ran, &[".: this is a folder; name the font's file"]);
    let ran = desk.run(&sheet("x", &["--format", "pdf", "--font", "none.ttf"]));
    assert_refusal(&ran, &["none.ttf: there is no such file"]);
    assert!(!desk.path("x").exists());
}
