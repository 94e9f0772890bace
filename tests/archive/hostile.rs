//! Files that were made to do harm.

use ophryon_archive::{Backup, Fault, OpenError};
use ophryon_record::Record;

use crate::clients::open;
use crate::zip::{File, file, stored, zip, zip_stating};

fn client(code: &str) -> Vec<u8> {
    Record::new(code).to_json().expect("sound").into_bytes()
}

fn honest() -> File {
    file("clients/0001-k7/client.json", &client("K7"))
}

/// With an honest client before them: she is read, and what is said of the
/// others.
fn beside_an_honest_client(files: &[File]) -> Vec<String> {
    let bytes = zip(&[&[honest()], files].concat());
    let backup = open(&bytes);
    let first = backup.client(0).expect("counted").expect("whole");
    assert_eq!(first.record.client.code, "K7");
    for i in 0..backup.count() {
        let folder = backup.folder(i).expect("counted");
        assert!(ophryon_archive::is_plain_name(folder), "{folder}");
    }
    backup.check().iter().map(Fault::to_string).collect()
}

fn says(files: &[File], words: &str) {
    let said = beside_an_honest_client(files);
    assert!(said.iter().any(|s| s.contains(words)), "{words}: {said:?}");
    assert!(said.iter().all(|s| s.len() < 400), "{said:?}");
}

#[test]
fn names_that_lead_elsewhere_are_refused() {
    for name in [
        "../evil.json",
        "clients/../../evil/client.json",
        "/etc/cron.d/evil",
        "C:\\evil.exe",
        "clients\\..\\..\\evil",
        "\\\\server\\share",
    ] {
        says(&[file(name, b"x")], "outside of the backup");
    }
    for name in [
        "clients/0002/.bashrc",
        "clients/a/b/c",
        "clients/0002/con.jpg",
        "clients/x:y/client.json",
    ] {
        says(&[file(name, b"x")], "no part of a backup");
    }
    let not_text = File {
        name: vec![b'c', 0xFF, 0xFE, 0, b'/'],
        ..file("", b"x")
    };
    assert!(!beside_an_honest_client(&[not_text]).is_empty());
}

#[test]
fn links_locked_and_oddly_packed_entries_are_refused() {
    let name = "clients/0002/client.json";
    let link = File {
        mode: 0o120_777,
        ..stored(name, b"/etc/passwd")
    };
    says(&[link], "a link");
    let secret = File {
        flags: 1,
        ..file(name, b"x")
    };
    says(&[secret], "locked in a way");
    for method in [1, 9, 12, 14, 93, 95, 99, 65_535] {
        let other = File {
            method,
            ..file(name, b"x")
        };
        says(&[other], "packed in a way");
    }
}

#[test]
fn one_name_twice_is_taken_once() {
    let again = file("clients/0001-k7/client.json", &client("X1"));
    says(&[again], "there twice");
    let capitals = file("clients/0001-K7/Client.json", &client("X1"));
    says(&[capitals], "there twice");
}

#[test]
fn bombs_do_not_go_off() {
    let zeros = vec![0; 64 * 1024 * 1024];
    let name = "clients/0002/client.json";
    let bomb = file(name, &zeros);
    assert!(bomb.packed.len() < 70_000);
    says(std::slice::from_ref(&bomb), "far more");
    // Says that it is small.
    let quiet = File {
        size: 1_000,
        ..bomb.clone()
    };
    says(&[quiet], "far more");
    // Says that it is as large as may be.
    let loud = File {
        size: u32::MAX - 1,
        ..bomb.clone()
    };
    says(&[loud], "larger than any");
    // Says that nothing was packed.
    let still = File { method: 0, ..bomb };
    says(&[still], "damaged");
}

/// After David Fifield, "A better zip bomb" (WOOT 2019): many names for one
/// piece of packed data.
#[test]
fn entries_on_top_of_each_other_are_read_once() {
    let first = stored("clients/0002/a.jpg", &vec![7; 200_000]);
    let mut files = vec![first.clone()];
    for i in 0..5_000 {
        files.push(File {
            name: format!("clients/0002/b{i}.jpg").into_bytes(),
            packed: Vec::new(),
            at: Some(honest_length()),
            ..first.clone()
        });
    }
    let said = beside_an_honest_client(&files);
    for words in ["on top of another", "more are not listed"] {
        assert!(said.iter().any(|s| s.contains(words)), "{words}");
    }
}

fn honest_length() -> u32 {
    let one = honest();
    (30 + one.name.len() + one.packed.len()) as u32
}

#[test]
fn counts_that_cannot_be_are_not_believed() {
    let bytes = zip_stating(&[honest()], 60_000);
    let backup = open(&bytes);
    assert_eq!(backup.count(), 1);
    assert!(backup.faults().contains(&Fault::NoDirectory));
}

#[test]
fn json_without_end_is_refused_in_words() {
    for json in [
        "[".repeat(1_000_000),
        "{\"client\":".repeat(200_000),
        format!("{{\"schema\": 2, \"client\": {}1", "[".repeat(500_000)),
        format!(
            "{{\"schema\": 2, \"photos\": [{}1]}}",
            "0,".repeat(2_000_000)
        ),
    ] {
        let name = "clients/0002/client.json";
        let said = beside_an_honest_client(&[stored(name, json.as_bytes())]);
        assert!(said.iter().any(|s| s.starts_with(name)), "{said:?}");
        let manifest = stored("manifest.json", json.as_bytes());
        says(&[manifest], "own description");
    }
}

#[test]
fn a_manifest_that_lies_harms_nobody() {
    let manifest = r#"{"format": "ophryon-backup", "schema": 1,
        "made": {"app": "<b>x</b>", "at": "never"},
        "clients": [{"folder": "../../x", "placed": []},
            {"folder": "0001-k7", "changed": -9223372036854775808, "placed": [
                {"photo": "p", "was": {"named": "../../../etc/passwd"}},
                {"photo": "q", "was": {"embedded": "text/html"}}]}],
        "entries": [{"name": "../../x", "bytes": 18446744073709551615, "sha-256": "zz"},
            {"name": "clients/0001-k7/client.json", "bytes": 1, "sha-256": "é"}]}"#;
    let record = r#"{"schema": 2, "client": {"code": "K7"}, "photos": [
        {"id": "p", "image": {"kind": "file", "name": "p.jpg"}, "width-px": 900, "height-px": 900},
        {"id": "q", "image": {"kind": "file", "name": "q.jpg"}, "width-px": 900, "height-px": 900}]}"#;
    let bytes = zip(&[
        file("clients/0001-k7/client.json", record.as_bytes()),
        stored("clients/0001-k7/p.jpg", b"p"),
        stored("clients/0001-k7/q.jpg", b"q"),
        file("manifest.json", manifest.as_bytes()),
    ]);
    let backup = open(&bytes);
    let found = backup.client(0).expect("counted").expect("readable");
    let names: Vec<_> = found.photos.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["p.jpg", "q.jpg"]);
    assert!(
        found
            .faults
            .iter()
            .any(|f| matches!(f, Fault::Changed { .. }))
    );
}

#[test]
fn scripts_in_names_are_text_and_tricks_with_text_are_undone() {
    let name = "clients/<script>alert(1)</script>\u{202e}\u{1b}[2J\n/x";
    let said = beside_an_honest_client(&[file(name, b"x")]);
    let shown = said.iter().find(|s| s.contains("<script>")).expect("named");
    assert!(!shown.contains(['\u{202e}', '\u{1b}', '\n']), "{shown:?}");
}

#[test]
fn what_has_nothing_to_do_with_backups_is_said_to_be_none() {
    let notes = b"these are notes".to_vec();
    let other = zip(&[file("letters/a.txt", b"Dear")]);
    for bytes in [notes, other, zip(&[])] {
        let refused = Backup::open(&bytes[..], bytes.len() as u64).err();
        let Some(why @ OpenError::NotOurs) = refused else {
            panic!("{refused:?}");
        };
        let said = why.to_string();
        assert!(said.starts_with("this is no backup of Ophryon"));
        assert!(!said.contains("manifest"), "{said}");
    }
}

#[test]
fn nothing_but_faults_is_no_backup() {
    let bytes = zip(&[file("../x", b"x")]);
    let refused = Backup::open(&bytes[..], bytes.len() as u64).err();
    let Some(OpenError::NoBackup { faults }) = refused else {
        panic!("{refused:?}");
    };
    assert!(faults.iter().any(|f| matches!(f, Fault::Outside { .. })));
}
