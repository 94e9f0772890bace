//! Locked backups, held against the format's reference program.

use std::fs;
use std::io::{Read, Write};
use std::process::{Command, Stdio};

use ophryon_archive::{
    Backup, Fault, LOCK_RANDOM, LockError, Locker, Passphrase, ReaderAt, Unlocked, Work,
};
use which::which;

use crate::clients::{Client, Dice, backup, demo, random};

const WORDS: &str = "plum anchor tuesday velvet";

/// Quick to open: what is tried here doesn't depend on the work.
const QUICK: Option<Work> = Work::new(4);

pub fn quick() -> Work {
    QUICK.expect("4 is allowed")
}

fn dice(seed: u64) -> [u8; LOCK_RANDOM] {
    *Dice(seed).bytes(LOCK_RANDOM).first_chunk().expect("48")
}

pub fn locked(plain: &[u8], work: Work) -> Vec<u8> {
    let words = Passphrase::new(WORDS);
    let mut locker = Locker::new(Vec::new(), &words, work, &dice(7)).expect("memory");
    locker.write_all(plain).expect("memory");
    locker.finish().expect("memory")
}

pub fn unlock(bytes: &[u8]) -> Result<Unlocked<&[u8]>, LockError> {
    Unlocked::open(bytes, bytes.len() as u64, &Passphrase::new(WORDS))
}

fn plain(unlocked: &Unlocked<&[u8]>) -> Vec<u8> {
    let mut plain = vec![0; unlocked.length() as usize];
    unlocked.read_exact_at(&mut plain, 0).expect("all of it");
    plain
}

#[test]
fn what_was_locked_is_unlocked_at_every_size_around_a_piece() {
    for size in [0, 1, 65_535, 65_536, 65_537, 131_072, 131_073, 200_000] {
        let bytes = Dice(size as u64).bytes(size);
        let unlocked = unlock(&locked(&bytes, quick())).map(|u| (u.is_whole(), plain(&u)));
        assert_eq!(unlocked.expect("it opens"), (true, bytes));
    }
}

#[test]
fn a_locked_backup_reads_like_an_open_one() {
    let clients = demo();
    let file = locked(&backup(&clients), quick());
    let unlocked = unlock(&file).expect("it opens");
    assert!(unlocked.is_whole());
    let length = unlocked.length();
    let backup = Backup::open(unlocked, length).expect("it is one");
    assert_eq!(backup.check(), []);
    for (i, client) in clients.iter().enumerate() {
        let found = backup.client(i).expect("counted").expect("whole");
        assert_eq!(found.record, client.record);
    }
    // No name and no picture can be seen from outside.
    for seen in [&b"client.json"[..], b"manifest", &[0xFF, 0xD8, 0xFF]] {
        assert!(!file.windows(seen.len()).any(|w| w == seen));
    }
}

#[test]
fn a_cut_off_locked_backup_gives_the_clients_before_the_cut() {
    let clients: Vec<Client> = (0..30).map(random).collect();
    let whole = backup(&clients);
    let file = locked(&whole, quick());
    let piece = 65_536 + 16;
    let begin = file.len() - (whole.len() + whole.len().div_ceil(65_536) * 16);
    assert!(whole.len() > 3 * 65_536, "{}", whole.len());
    // In a piece, and just between two.
    for cut in [
        begin + 2 * piece,
        begin + 2 * piece + 9,
        begin + 3 * piece - 1,
    ] {
        let unlocked = unlock(&file[..cut]).expect("its header is there");
        assert!(!unlocked.is_whole());
        let length = unlocked.length();
        let backup = Backup::open(unlocked, length).expect("some of it");
        assert!(backup.count() > 3, "cut at {cut}: {}", backup.count());
        let said = backup
            .faults()
            .iter()
            .map(Fault::to_string)
            .collect::<String>();
        assert!(said.contains("cut off"), "{said}");
    }
    // A piece in the middle.
    let mut file = file;
    file[begin + piece + 100] ^= 1;
    let unlocked = unlock(&file).expect("its header is there");
    let length = unlocked.length();
    let backup = Backup::open(unlocked, length).expect("most of it");
    let read = (0..backup.count()).filter(|i| backup.client(*i).is_some_and(|c| c.is_ok()));
    let read = read.count();
    assert!((15..30).contains(&read), "{read}");
    assert!(!backup.check().is_empty());
}

#[test]
fn other_words_and_other_files_are_told_apart() {
    let file = locked(b"plain", quick());
    let with = |words: &str, file: &[u8]| {
        let opened = Unlocked::open(file, file.len() as u64, &Passphrase::new(words));
        opened.err().map(|e| e.to_string()).unwrap_or_default()
    };
    // A line break is what a terminal or a file adds.
    assert_eq!(with(&format!("{WORDS}\n"), &file), "");
    assert!(with("plum anchor", &file).contains("doesn't open it"));
    assert!(with(WORDS, b"PK\x03\x04").contains("not locked"));
    assert!(with(WORDS, b"").contains("not locked"));
    assert!(with(WORDS, &file[..60]).contains("damaged"));
    assert!(with(WORDS, b"age-encryption.org/v2\n-> x\n").contains("newer"));
    assert!(with(WORDS, b"age-encryption.org/v1\n-> X25519 abc\nabc\n---").contains("key"));
    for asked in ["19", "22", "40", "63", "255", "256", "99999999999999999999"] {
        let text = String::from_utf8_lossy(&file).into_owned();
        let end = text.find("\n---").expect("a header");
        let head = text[..end].replacen(" 4\n", &format!(" {asked}\n"), 1);
        let bytes = [head.as_bytes(), &file[end..]].concat();
        assert!(with(WORDS, &bytes).contains("more work"), "{asked}");
    }
}

#[test]
fn short_passphrases_are_advised_against() {
    assert!(Passphrase::new("kitten").weakness().is_some());
    assert!(Passphrase::new("          a").weakness().is_some());
    assert_eq!(Passphrase::new(WORDS).weakness(), None);
    assert_eq!(format!("{:?}", Passphrase::new(WORDS)), "Passphrase");
}

/// The reference program (age, Debian package of that name) reads passphrases
/// only from a terminal, which util-linux's `script` gives it.
fn reference(arguments: &str, folder: &std::path::Path, typed: &str) -> bool {
    let mut child = Command::new("script")
        .args(["-qec", &format!("age {arguments}"), "/dev/null"])
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("script runs");
    // Its question stands before it listens; a terminal forgets what was typed
    // before.
    let mut out = child.stdout.take().expect("piped");
    let mut input = child.stdin.take().expect("piped");
    let mut asked = [0; 64];
    for _ in 0..typed.matches('\n').count() {
        let _ = out.read(&mut asked);
        std::thread::sleep(std::time::Duration::from_millis(300));
        let line = typed.lines().next().unwrap_or_default();
        let _ = writeln!(input, "{line}");
    }
    let mut rest = Vec::new();
    let _ = out.read_to_end(&mut rest);
    child.wait().expect("it ends").success()
}

fn has_reference() -> bool {
    let there = which("age").is_ok() && which("script").is_ok();
    if !there {
        eprintln!("Not held against the reference program: age or script is not installed.");
    }
    there
}

#[test]
fn the_reference_program_opens_what_was_locked_here() {
    if !has_reference() {
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    let whole = backup(&demo());
    let file = locked(&whole, Work::USUAL);
    fs::write(folder.path().join("b.age"), file).expect("written");
    let done = reference("-d -o b.zip b.age", folder.path(), &format!("{WORDS}\n"));
    assert!(done, "age refused it");
    assert!(fs::read(folder.path().join("b.zip")).expect("unlocked") == whole);
}

#[test]
fn what_the_reference_program_locked_is_opened_here() {
    if !has_reference() {
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    let whole = backup(&demo());
    fs::write(folder.path().join("b.zip"), &whole).expect("written");
    let done = reference(
        "-p -o b.age b.zip",
        folder.path(),
        &format!("{WORDS}\n{WORDS}\n"),
    );
    assert!(done, "age refused it");
    let file = fs::read(folder.path().join("b.age")).expect("locked");
    let unlocked = unlock(&file).expect("it opens");
    assert!(unlocked.is_whole());
    assert!(plain(&unlocked) == whole);
}
