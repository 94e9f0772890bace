//! `ophryon printer-check` and `sheet --printer` as they are met in a terminal.

// Failing loudly is what a test is for.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::Path;
use std::process::Command;

use tempfile::TempDir;

struct Ran {
    code: Option<i32>,
    out: String,
    err: String,
}

/// In a folder of its own, with that folder as the user's home.
fn run(at: &TempDir, arguments: &[&str]) -> Ran {
    let done = Command::new(env!("CARGO_BIN_EXE_ophryon"))
        .args(arguments)
        .current_dir(at.path())
        .env("HOME", at.path())
        .env("XDG_CONFIG_HOME", at.path().join("settings"))
        .output()
        .unwrap();
    Ran {
        code: done.status.code(),
        out: String::from_utf8(done.stdout).unwrap(),
        err: String::from_utf8(done.stderr).unwrap(),
    }
}

fn done(at: &TempDir, arguments: &[&str]) -> String {
    let ran = run(at, arguments);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""), "{}", ran.out);
    ran.out
}

/// Exit 2, one sentence with all of `parts`, nothing printed.
fn refused(at: &TempDir, arguments: &[&str], parts: &[&str]) {
    let ran = run(at, arguments);
    assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{arguments:?}");
    for part in parts {
        assert!(ran.err.contains(part), "no “{part}” in: {}", ran.err);
    }
}

fn check<'a>(horizontal: &'a str, vertical: &'a str) -> [&'a str; 9] {
    [
        "printer-check",
        "--printers",
        "p.json",
        "--printer",
        "studio",
        "--horizontal",
        horizontal,
        "--vertical",
        vertical,
    ]
}

fn client() -> String {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-data/demo-even/client.json");
    demo.display().to_string()
}

#[test]
fn the_check_page_is_written_in_both_formats() {
    let at = tempfile::tempdir().unwrap();
    for (paper, width) in [("a4", "210mm"), ("letter", "215.9mm")] {
        let said = done(&at, &["printer-check", "--out", "page", "--paper", paper]);
        assert!(said.contains("print one at 100 %"), "{said}");
        let svg = fs::read_to_string(at.path().join("page/printer-check.svg")).unwrap();
        assert!(svg.contains(&format!("width=\"{width}\"")));
        assert!(svg.contains("id=\"gauge\"") && svg.contains("id=\"gauge-upright\""));
        let pdf = fs::read(at.path().join("page/printer-check.pdf")).unwrap();
        assert!(pdf.starts_with(b"%PDF"));
    }
}

#[test]
fn readings_are_kept_and_sheets_are_corrected_by_them() {
    let at = tempfile::tempdir().unwrap();
    let said = done(&at, &check("97.3", "98.9"));
    assert!(said.contains("102.8 % across, 101.1 % down"), "{said}");
    let client = client();
    let sheet = |out: &str, more: &[&str]| {
        let all = [
            &["sheet", &client, "--out", out, "--format", "svg,pdf,dxf"],
            more,
        ]
        .concat();
        done(&at, &all)
    };
    let for_studio = ["--printer", "studio", "--printers", "p.json"];
    let said = sheet("for-studio", &for_studio);
    assert!(
        said.contains("Corrected for the printer “studio”"),
        "{said}"
    );
    assert!(said.contains("The DXF is of true size"), "{said}");
    sheet("plain", &[]);
    let read = |at_: &str| fs::read(at.path().join(at_)).unwrap();
    for name in ["stencil.svg", "stencil.pdf"] {
        assert!(read(&format!("for-studio/{name}")) != read(&format!("plain/{name}")));
    }
    for name in ["stencil.dxf", "report.json"] {
        assert!(read(&format!("for-studio/{name}")) == read(&format!("plain/{name}")));
    }
    let svg = String::from_utf8(read("for-studio/stencil.svg")).unwrap();
    assert!(svg.contains("CORRECTED for “studio”"));
    assert!(
        !String::from_utf8(read("plain/stencil.svg"))
            .unwrap()
            .contains("CORRECTED")
    );

    // The check page once more, corrected, to see that it helps.
    let again = [
        "printer-check",
        "--out",
        "again",
        "--printer",
        "studio",
        "--printers",
        "p.json",
    ];
    assert!(done(&at, &again).contains("each must read 100 mm, for the page"));
    let svg = String::from_utf8(read("again/printer-check.svg")).unwrap();
    assert!(svg.contains("CORRECTED"));

    // A decimal comma, a second printer, new readings in place of the old.
    done(&at, &check("99,0", "100"));
    let mut other = check("100.4", "99.6");
    other[4] = "front desk";
    done(&at, &other);
    let kept = String::from_utf8(read("p.json")).unwrap();
    assert!(
        kept.contains("\"studio\"") && kept.contains("\"front desk\""),
        "{kept}"
    );
    assert!(kept.contains("99.0") && !kept.contains("97.3"), "{kept}");
    refused(
        &at,
        &[
            "sheet",
            &client,
            "--out",
            "x",
            "--printer",
            "loft",
            "--printers",
            "p.json",
        ],
        &["p.json: there is no printer “loft”, kept are “front desk”, “studio”"],
    );
    assert!(!at.path().join("x").exists());
}

#[cfg(target_os = "linux")]
#[test]
fn without_a_file_named_printers_are_kept_beside_the_users_settings() {
    let at = tempfile::tempdir().unwrap();
    let readings = [
        "--printer",
        "studio",
        "--horizontal",
        "99",
        "--vertical",
        "99.5",
    ];
    done(&at, &[&["printer-check"][..], &readings].concat());
    assert!(at.path().join("settings/ophryon/printers.json").is_file());
    let said = done(
        &at,
        &["sheet", &client(), "--out", "out", "--printer", "studio"],
    );
    assert!(said.contains("101.0 % across, 100.5 % down"), "{said}");
}

#[test]
fn readings_that_no_printer_makes_are_refused_and_nothing_is_kept() {
    let at = tempfile::tempdir().unwrap();
    for (horizontal, vertical, part) in [
        ("0", "98.9", "the horizontal gauge can't read 0 mm"),
        ("97.3", "-98.9", "the vertical gauge can't read -98.9 mm"),
        ("NaN", "98.9", "can't read NaN mm"),
        ("9.73", "98.9", "give the reading in mm"),
        ("97.3", "140", "switch off “fit to page”"),
        ("94.2", "95.0", "5.8 % off: was “fit to page” on?"),
        ("wide", "98.9", "this is no number of mm"),
    ] {
        refused(&at, &check(horizontal, vertical), &[part]);
    }
    assert!(!at.path().join("p.json").exists());
    // Asked and answered.
    let sure = [&check("94.2", "95.0")[..], &["--fit-to-page-was-off"]].concat();
    assert!(done(&at, &sure).contains("106.2 % across, 105.3 % down"));
    refused(&at, &["printer-check"], &["say what to do: --out DIR"]);
    refused(
        &at,
        &["printer-check", "--printer", "x", "--horizontal", "99"],
        &["--vertical"],
    );
    let mut nameless = check("99", "99");
    nameless[4] = " ";
    refused(&at, &nameless, &["give the printer a name"]);
}

#[test]
fn a_file_of_printers_that_is_none_is_refused_and_left_alone() {
    let at = tempfile::tempdir().unwrap();
    let file = at.path().join("p.json");
    for (text, part) in [
        ("", "this is no list of printers"),
        ("dear diary", "this is no list of printers"),
        (
            "{\"schema\": 9, \"presses\": []}",
            "made by a newer Ophryon (schema 9)",
        ),
        ("{\"schema\": 1, \"printers\": 3}", "this is damaged"),
    ] {
        fs::write(&file, text).unwrap();
        refused(&at, &check("97.3", "98.9"), &["p.json: ", part]);
        assert_eq!(fs::read_to_string(&file).unwrap(), text);
    }
    let zero = "{\"schema\":1,\"printers\":{\"studio\":{\"horizontal-mm\":0,\"vertical-mm\":99}}}";
    fs::write(&file, zero).unwrap();
    let sheet = [
        "sheet",
        &client(),
        "--out",
        "x",
        "--printer",
        "studio",
        "--printers",
        "p.json",
    ];
    refused(
        &at,
        &sheet,
        &["printer “studio”: the horizontal gauge can't read 0 mm"],
    );
    fs::remove_file(&file).unwrap();
    fs::create_dir(&file).unwrap();
    refused(
        &at,
        &check("97.3", "98.9"),
        &["choose another file with --printers"],
    );
}
