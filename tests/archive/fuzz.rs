//! Ten thousand damaged and hostile backups and clients' files: no panic, none
//! takes long, memory stays bounded, and nothing leads outside.

use std::env;
use std::process::Command;
use std::time::{Duration, Instant};

use ophryon_archive::{
    Backup, Choice, Passphrase, Present, ReaderAt, Unlocked, is_locked, is_plain_name, state_of,
};
use ophryon_record::{Image, Record};

use crate::clients::{Dice, demo};
use crate::mutate::Seeds;

/// Asked of the whole proof.
const WHOLE: u64 = 10_000;
/// Of every test run.
const SAMPLE: u64 = 300;
/// Longest that one file may take.
const LONGEST: Duration = Duration::from_secs(2);
/// Most memory that all of it may take at any time.
const MOST_BYTES: u64 = 500 * 1024 * 1024;

/// What came of one file: how many clients were read of it.
fn backup(bytes: &[u8], here: &[Present]) -> usize {
    let length = bytes.len() as u64;
    if !is_locked(bytes) {
        return read(Backup::open(bytes, length), here);
    }
    let words = Passphrase::new("plum anchor tuesday velvet");
    match Unlocked::open(bytes, length, &words) {
        Ok(unlocked) => {
            let length = unlocked.length();
            read(Backup::open(unlocked, length), here)
        }
        Err(why) => {
            sentence(&why.to_string());
            0
        }
    }
}

fn read<R: ReaderAt>(
    opened: Result<Backup<R>, ophryon_archive::OpenError>,
    here: &[Present],
) -> usize {
    let backup = match opened {
        Ok(backup) => backup,
        Err(why) => {
            sentence(&why.to_string());
            return 0;
        }
    };
    for fault in backup.check() {
        sentence(&fault.to_string());
    }
    let preview = backup.preview(here);
    for row in &preview.rows {
        sentence(&row.to_string());
    }
    let plan = preview.plan(|_| Choice::KeepBoth);
    assert!(plan.len() <= backup.count());
    let mut clients = 0;
    for i in 0..backup.count() {
        let folder = backup.folder(i).expect("counted");
        assert!(is_plain_name(folder), "{folder:?}");
        match backup.client(i).expect("counted") {
            Ok(client) => {
                clients += 1;
                record(&client.record);
                for photo in &client.photos {
                    let folders = photo.name.contains(['/', '\\', ':', '\0']);
                    assert!(!folders && photo.name != "..", "{:?}", photo.name);
                }
            }
            Err(fault) => sentence(&fault.to_string()),
        }
    }
    clients
}

/// What was read can be written and read again.
fn record(record: &Record) {
    let text = record.to_json().expect("what was read is sound");
    assert_eq!(Record::from_json(&text).as_ref(), Ok(record));
    state_of(record).expect("what was read is sound");
    for photo in &record.photos {
        if let Image::File { name } = &photo.image {
            assert!(!name.contains(['/', '\\', ':', '\0']), "{name:?}");
        }
    }
}

/// Fit for one line of a terminal or a screen.
fn sentence(text: &str) {
    assert!(text.chars().any(char::is_alphabetic));
    assert!(text.len() < 4_000, "{} bytes: {text:.200}", text.len());
    assert!(!text.chars().any(char::is_control), "{text:?}");
}

/// Files from a seed on; says how many clients were read and the slowest.
fn run(cases: u64) -> (usize, Duration) {
    let seeds = Seeds::new();
    let here: Vec<Present> = demo()
        .iter()
        .map(|c| Present::of(&c.record, Default::default(), None, None).expect("sound"))
        .collect();
    let (mut clients, mut slowest) = (0, Duration::ZERO);
    for seed in 0..cases {
        let dice = &mut Dice(seed.wrapping_mul(0x5851_F42D_4C95_7F2D));
        let file = if seed % 5 == 4 {
            seeds.client(dice)
        } else {
            seeds.archive(dice)
        };
        let begun = Instant::now();
        if seed % 5 == 4 {
            if let Ok(text) = String::from_utf8(file) {
                match Record::from_json(&text) {
                    Ok(read) => record(&read),
                    Err(why) => sentence(&why.to_string()),
                }
            }
        } else {
            clients += backup(&file, &here);
        }
        slowest = slowest.max(begun.elapsed());
    }
    (clients, slowest)
}

#[test]
fn some_hundred_damaged_files_do_no_harm() {
    let (clients, _) = run(SAMPLE);
    // Most damage leaves most clients: a reader that gave up at once would
    // pass all else.
    assert!(clients > SAMPLE as usize / 2, "{clients}");
}

/// In a process of its own, whose memory the system has measured.
const CHILD: &str = "OPHRYON_FUZZ_CHILD";

#[test]
#[ignore = "long proof, run by cargo xtask prove"]
fn ten_thousand_damaged_files_do_no_harm() {
    if env::var_os(CHILD).is_some() {
        let (clients, slowest) = run(WHOLE);
        // The test runner has begun a line of its own.
        println!("\nclients {clients}");
        println!("slowest {}", slowest.as_millis());
        println!("peak {}", peak_bytes().unwrap_or_default());
        return;
    }
    let this = env::current_exe().expect("this test is a file");
    let output = Command::new(this)
        .args(["--exact", "fuzz::ten_thousand_damaged_files_do_no_harm"])
        .args(["--ignored", "--nocapture", "--test-threads", "1"])
        .env(CHILD, "1")
        .output()
        .expect("it can be started again");
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(
        output.status.success(),
        "{text}\n{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let value = |key: &str| -> u64 {
        let mut lines = text.lines().filter_map(|l| l.strip_prefix(key));
        let value = lines.next().expect("it was printed");
        value.trim().parse().expect("a number")
    };
    println!("{text}");
    assert!(value("clients ") > WHOLE / 2, "{text}");
    assert!(value("slowest ") < LONGEST.as_millis() as u64, "{text}");
    // 0 where the system doesn't tell.
    assert!(value("peak ") < MOST_BYTES, "{text}");
}

/// The most memory this process ever had, as Linux tells it.
fn peak_bytes() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
    let kilobytes: u64 = line.trim().strip_suffix(" kB")?.trim().parse().ok()?;
    Some(kilobytes * 1024)
}
