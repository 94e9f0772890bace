//! `ophryon backup` as it is met in a terminal.

// What isn't used here is used by the command line's own tests.
#[allow(dead_code)]
#[path = "../command_line/desk.rs"]
mod desk;

use std::fs;
use std::path::Path;
use std::process::Command;

use ophryon_archive::{Work, sum};

use crate::clients::{Dice, demo_folder};
use crate::locked::locked;
use crate::mutate::Seeds;
use crate::zip::{File, file, stored, zip};
use desk::{Ran, assert_refusal, program, ran};

struct Desk(tempfile::TempDir);

impl Desk {
    fn new() -> Self {
        Self(tempfile::tempdir().expect("a folder"))
    }

    fn path(&self, name: &str) -> std::path::PathBuf {
        self.0.path().join(name)
    }

    fn run(&self, arguments: &[&str]) -> Ran {
        let mut command = Command::new(program());
        ran(command
            .arg("backup")
            .args(arguments)
            .current_dir(self.0.path()))
    }

    fn write(&self, name: &str, bytes: &[u8]) {
        fs::write(self.path(name), bytes).expect("written");
    }

    fn text(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).expect("it is there")
    }

    /// Every file below, with its checksum.
    fn everything(&self) -> Vec<(String, Vec<u8>)> {
        fn walk(folder: &Path, into: &mut Vec<(String, Vec<u8>)>) {
            for entry in fs::read_dir(folder).expect("readable") {
                let path = entry.expect("readable").path();
                if path.is_dir() && !path.is_symlink() {
                    walk(&path, into);
                } else {
                    let bytes = fs::read(&path).unwrap_or_default();
                    into.push((path.display().to_string(), sum(&bytes).to_vec()));
                }
            }
        }
        let mut all = Vec::new();
        walk(self.0.path(), &mut all);
        all.sort();
        all
    }
}

fn demo_file(name: &str) -> String {
    demo_folder(name).join("client.json").display().to_string()
}

const DEMO: [&str; 3] = ["demo-even", "demo-set", "demo-movement"];

#[test]
fn made_erased_and_opened_again_everything_is_as_it_was() {
    let desk = Desk::new();
    let files = DEMO.map(demo_file);
    let [a, b, c] = files.each_ref().map(String::as_str);
    let made = desk.run(&["make", a, b, c, "--out", "b.zip"]);
    assert_eq!((made.code, made.err.as_str()), (0, ""));
    assert!(made.out.contains("3 clients"), "{}", made.out);
    let listed = desk.run(&["list", "b.zip"]);
    assert_eq!(listed.code, 0, "{}", listed.err);
    assert_eq!(
        listed.out.lines().filter(|l| l.contains("000")).count(),
        3,
        "{}",
        listed.out
    );
    let checked = desk.run(&["check", "b.zip"]);
    assert_eq!(
        (checked.code, checked.out.as_str()),
        (0, "3 clients, all whole.\n")
    );
    let opened = desk.run(&["open", "b.zip", "--into", "back"]);
    assert_eq!(
        (opened.code, opened.err.as_str()),
        (0, ""),
        "{}",
        opened.out
    );
    let mut folders: Vec<_> = fs::read_dir(desk.path("back"))
        .expect("made")
        .map(|f| f.expect("readable").path())
        .collect();
    folders.sort();
    assert_eq!(folders.len(), 3);
    for (folder, name) in folders.iter().zip(DEMO) {
        for file in ["client.json", "relaxed.jpg", "eyes-open.jpg"] {
            let was = fs::read(demo_folder(name).join(file)).expect("it is there");
            assert!(
                fs::read(folder.join(file)).expect("written") == was,
                "{name}/{file}"
            );
        }
        // And it can be worked with.
        let file = folder.join("client.json");
        let measured = ran(Command::new(program()).arg("measure").arg(file));
        assert_eq!(measured.code, 0, "{}", measured.err);
    }
    // Once more: all are the same, nothing is written.
    let before = desk.everything();
    let again = desk.run(&["open", "b.zip", "--into", "back"]);
    assert_eq!((again.code, again.err.as_str()), (0, ""));
    assert_eq!(
        again.out.matches("the same here").count(),
        3,
        "{}",
        again.out
    );
    assert_eq!(desk.everything(), before);
}

#[test]
fn what_is_there_is_never_written_over_without_being_told() {
    let desk = Desk::new();
    let file = demo_file("demo-even");
    desk.run(&["make", &file, "--out", "b.zip"]);
    assert_refusal(
        &desk.run(&["make", &file, "--out", "b.zip"]),
        &["b.zip", "--replace"],
    );
    assert_eq!(
        desk.run(&["make", &file, "--out", "b.zip", "--replace"])
            .code,
        0
    );
    desk.run(&["open", "b.zip", "--into", "back"]);
    let name = fs::read_dir(desk.path("back"))
        .expect("made")
        .next()
        .expect("one");
    let name = format!("back/{}", name.expect("readable").file_name().display());
    let client = format!("{name}/client.json");
    let mine = desk
        .text(&client)
        .replacen("\"note\": \"", "\"note\": \"Mine. ", 1);
    desk.write(&client, mine.as_bytes());
    let before = desk.everything();
    let left = desk.run(&["open", "b.zip", "--into", "back"]);
    assert_eq!(left.code, 1);
    assert!(
        left.out.contains("--replace") && left.out.contains("--keep-both"),
        "{}",
        left.out
    );
    assert_eq!(desk.everything(), before);
    let both = desk.run(&["open", "b.zip", "--into", "back", "--keep-both"]);
    assert_eq!(both.code, 0, "{}", both.err);
    assert_eq!(desk.text(&client), mine);
    let other = desk.text(&format!("{name}-2/client.json"));
    assert!(other.contains("(backup)") && !other.contains("Mine."));
    let over = desk.run(&["open", "b.zip", "--into", "back", "--replace"]);
    assert_eq!(over.code, 0, "{}", over.err);
    assert!(!desk.text(&client).contains("Mine."));
}

#[test]
fn a_locked_backup_needs_its_passphrase() {
    let desk = Desk::new();
    let file = demo_file("demo-set");
    desk.write("words", b"plum anchor tuesday velvet\n");
    desk.write("others", b"plum anchor tuesday satin\n");
    desk.write("short", b"plum\n");
    let make = |words: &str| {
        desk.run(&[
            "make",
            &file,
            "--out",
            "b.age",
            "--lock",
            "--passphrase-file",
            words,
        ])
    };
    assert_refusal(&make("short"), &["soon guessed"]);
    assert_refusal(&make("nowhere"), &["nowhere", "no such file"]);
    let made = make("words");
    assert_eq!(made.code, 0, "{}", made.err);
    assert!(made.out.contains("locked"), "{}", made.out);
    let checked = desk.run(&["check", "b.age", "--passphrase-file", "words"]);
    assert_eq!(
        (checked.code, checked.out.as_str()),
        (0, "1 client, all whole.\n")
    );
    let wrong = desk.run(&["check", "b.age", "--passphrase-file", "others"]);
    assert_refusal(&wrong, &["b.age", "doesn't open it"]);
    // No terminal to ask on.
    assert_refusal(&desk.run(&["list", "b.age"]), &["--passphrase-file"]);
    let cut = fs::read(desk.path("b.age")).expect("made");
    desk.write("cut.age", &cut[..cut.len() / 2]);
    let checked = desk.run(&["check", "cut.age", "--passphrase-file", "words"]);
    assert_eq!(checked.code, 1);
    assert!(checked.err.contains("cut off"), "{}", checked.err);
}

#[test]
fn a_missing_photo_is_told_and_the_client_kept() {
    let desk = Desk::new();
    for name in ["client.json", "relaxed.jpg"] {
        fs::copy(demo_folder("demo-even").join(name), desk.path(name)).expect("copied");
    }
    let made = desk.run(&["make", "client.json", "--out", "b.zip"]);
    assert_eq!(made.code, 1);
    assert!(made.err.contains("eyes-open.jpg"), "{}", made.err);
    let checked = desk.run(&["check", "b.zip"]);
    assert_eq!(checked.code, 1);
    assert!(
        checked.out.contains("“eyes-open” is not in the backup"),
        "{}",
        checked.out
    );
    let opened = desk.run(&["open", "b.zip", "--into", "back"]);
    assert_eq!(opened.code, 1);
    assert!(
        opened.out.contains("1 photo is in neither"),
        "{}",
        opened.out
    );
    // The photo turns up again in another backup.
    fs::copy(
        demo_folder("demo-even").join("eyes-open.jpg"),
        desk.path("eyes-open.jpg"),
    )
    .expect("copied");
    desk.run(&["make", "client.json", "--out", "whole.zip"]);
    let opened = desk.run(&["open", "whole.zip", "--into", "back"]);
    assert_eq!(opened.code, 0, "{}{}", opened.out, opened.err);
    assert!(opened.out.contains("only the backup has"), "{}", opened.out);
    assert!(
        desk.everything()
            .iter()
            .any(|(p, _)| p.contains("back") && p.ends_with("eyes-open.jpg"))
    );
}

#[test]
fn nonsense_is_refused_in_one_sentence() {
    let desk = Desk::new();
    let file = demo_file("demo-even");
    desk.write("empty.zip", b"");
    desk.write("text.zip", b"hello");
    desk.write("broken.json", b"{\"schema\": 2, ");
    for (arguments, words) in [
        (&["check", "nowhere.zip"][..], "no such file"),
        (&["check", "."], "folder"),
        (&["check", "empty.zip"], "empty"),
        (&["check", "text.zip"], "no backup of Ophryon"),
        (&["open", "text.zip", "--into", "x"], "no backup of Ophryon"),
        (&["make", &file, &file, "--out", "b.zip"], "named twice"),
        (&["make", &file, "--out", "."], "folder"),
        (&["make", "broken.json", "--out", "b.zip"], "broken.json"),
        (
            &["make", "broken.json", "--out", "broken.json", "--replace"],
            "client's file itself",
        ),
    ] {
        let said = desk.run(arguments);
        assert_eq!(said.code, 2, "{arguments:?}: {}", said.err);
        assert_eq!(said.out, "");
        let last = said.err.lines().last().unwrap_or_default();
        assert!(last.contains(words), "{arguments:?}: {}", said.err);
    }
    assert!(!desk.path("b.zip").exists());
}

/// Where a folder of that name is a link to elsewhere, nothing goes there.
#[cfg(unix)]
#[test]
fn links_in_the_folder_are_not_followed() {
    let desk = Desk::new();
    let file = demo_file("demo-even");
    desk.run(&["make", &file, "--out", "b.zip"]);
    desk.run(&["open", "b.zip", "--into", "first"]);
    let name = fs::read_dir(desk.path("first"))
        .expect("made")
        .next()
        .expect("one");
    let name = name.expect("readable").file_name();
    fs::create_dir_all(desk.path("elsewhere")).expect("made");
    fs::create_dir_all(desk.path("back")).expect("made");
    std::os::unix::fs::symlink(desk.path("elsewhere"), desk.path("back").join(&name))
        .expect("linked");
    let opened = desk.run(&["open", "b.zip", "--into", "back", "--replace"]);
    assert_eq!(opened.code, 0, "{}", opened.err);
    let there = fs::read_dir(desk.path("elsewhere")).expect("there").count();
    assert_eq!(there, 0);
}

/// Photos may have any name in a client's file; not every name can be written.
#[test]
fn odd_photo_names_are_written_as_plain_ones() {
    let desk = Desk::new();
    let record = r#"{"schema": 2, "client": {"code": "<b>K7</b>"}, "photos": [
        {"id": "a", "image": {"kind": "file", "name": "client.json"}, "width-px": 900, "height-px": 900},
        {"id": "b", "image": {"kind": "file", "name": "what?.jpg"}, "width-px": 900, "height-px": 900},
        {"id": "c", "image": {"kind": "file", "name": "NUL.png"}, "width-px": 900, "height-px": 900}]}"#;
    let manifest = r#"{"format": "ophryon-backup", "schema": 1, "made": {"app": "0", "at": "x"},
        "clients": [{"folder": "0001", "placed": [
            {"photo": "a", "was": {"named": "client.json"}},
            {"photo": "b", "was": {"named": "what?.jpg"}},
            {"photo": "c", "was": {"named": "NUL.png"}}]}], "entries": []}"#;
    let inside = record
        .replace("\"name\": \"client.json\"", "\"name\": \"1.jpg\"")
        .replace("what?.jpg", "2.jpg")
        .replace("NUL.png", "3.png");
    let photo = |n: u8| {
        stored(
            &format!("clients/0001/{n}.{}", if n == 3 { "png" } else { "jpg" }),
            &[n; 9],
        )
    };
    desk.write(
        "b.zip",
        &zip(&[
            file("clients/0001/client.json", inside.as_bytes()),
            photo(1),
            photo(2),
            photo(3),
            file("manifest.json", manifest.as_bytes()),
        ]),
    );
    let opened = desk.run(&["open", "b.zip", "--into", "back"]);
    assert_eq!(opened.code, 0, "{}", opened.err);
    let text = desk.text("back/0001/client.json");
    let record = ophryon_record::Record::from_json(&text).expect("a client's file");
    for (i, photo) in record.photos.iter().enumerate() {
        let ophryon_record::Image::File { name } = &photo.image else {
            panic!("beside the file");
        };
        assert!(ophryon_archive::is_plain_name(name), "{name}");
        let bytes = fs::read(desk.path("back/0001").join(name)).expect("written");
        assert_eq!(bytes, [i as u8 + 1; 9]);
    }
}

/// Damaged backups opened by the program: whatever comes of them, every file
/// lies in the folder that was named.
fn opened_by_the_program(cases: u64) {
    let seeds = Seeds::new();
    let desk = Desk::new();
    desk.write("words", b"plum anchor tuesday velvet\n");
    desk.write("evil", b"mine");
    let folder = |desk: &Desk| -> Vec<String> {
        let inside = format!("{}/deep/in/back/", desk.0.path().display());
        let all = desk
            .everything()
            .into_iter()
            .map(|(path, sum)| format!("{path} {sum:?}"));
        all.filter(|p| !p.starts_with(&inside)).collect()
    };
    let mut written = 0;
    for seed in 0..cases {
        let bytes = seeds.archive(&mut Dice(seed ^ 0xC0FF_EE00));
        desk.write("b.zip", &bytes);
        let before = folder(&desk);
        let opened = desk.run(&[
            "open",
            "b.zip",
            "--into",
            "deep/in/back",
            "--passphrase-file",
            "words",
        ]);
        assert!((0..=2).contains(&opened.code), "{seed}: {}", opened.err);
        assert_eq!(folder(&desk), before, "{seed}");
        if let Ok(clients) = fs::read_dir(desk.path("deep/in/back")) {
            written += clients.count();
            fs::remove_dir_all(desk.path("deep")).expect("ours");
        }
    }
    assert!(written > cases as usize / 2, "{written}");
}

#[test]
fn nothing_is_written_outside_of_the_folder() {
    opened_by_the_program(40);
}

#[test]
#[ignore = "long proof, run by cargo xtask prove"]
fn nothing_is_written_outside_of_the_folder_two_thousand_times() {
    opened_by_the_program(2_000);
}

/// A backup of another make with a name that climbs out.
#[test]
fn a_name_that_climbs_out_stays_in() {
    let desk = Desk::new();
    let json = ophryon_record::Record::new("K7").to_json().expect("sound");
    let link = File {
        mode: 0o120_777,
        ..stored("clients/0002/client.json", b"/etc")
    };
    let bytes = zip(&[
        file("clients/0001/client.json", json.as_bytes()),
        file("../escaped.json", json.as_bytes()),
        file("/tmp/escaped-ophryon.json", json.as_bytes()),
        link,
    ]);
    desk.write("b.zip", &bytes);
    let locked_bytes = locked(&bytes, Work::USUAL);
    desk.write("b.age", &locked_bytes);
    desk.write("words", b"plum anchor tuesday velvet\n");
    for name in ["b.zip", "b.age"] {
        let opened = desk.run(&[
            "open",
            name,
            "--into",
            "in/back",
            "--passphrase-file",
            "words",
        ]);
        assert_eq!(opened.code, 1);
        assert_eq!(
            opened.err.matches("outside of the backup").count(),
            2,
            "{}",
            opened.err
        );
    }
    assert!(!desk.path("in/escaped.json").exists() && !desk.path("escaped.json").exists());
    assert!(!Path::new("/tmp/escaped-ophryon.json").exists());
}
