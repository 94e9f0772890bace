//! Cut off, overwritten, packed again: what can be read is read, and the rest
//! named.

use ophryon_archive::{Backup, Fault, OpenError};

use crate::clients::{Client, Dice, backup, demo, open, random};
use crate::zip::{file, stored, zip};

fn people(count: u64) -> Vec<Client> {
    (0..count).map(random).collect()
}

/// Where each client's last byte is in the backup, by looking for the next
/// one's header.
fn ends(bytes: &[u8], clients: usize) -> Vec<usize> {
    let mut ends = Vec::new();
    for i in 1..=clients {
        let next = if i < clients {
            format!("clients/{:04}", i + 1)
        } else {
            "manifest.json".to_owned()
        };
        let header = bytes.windows(next.len()).position(|w| w == next.as_bytes());
        ends.push(header.expect("it is there") - 30);
    }
    ends
}

#[test]
fn wherever_a_copy_was_cut_off_all_clients_before_are_read() {
    let clients = people(12);
    let bytes = backup(&clients);
    let ends = ends(&bytes, clients.len());
    for cut in (0..bytes.len()).step_by(bytes.len() / 300) {
        let whole = ends.iter().filter(|end| **end <= cut).count();
        let part = &bytes[..cut];
        let backup = match Backup::open(part, cut as u64) {
            Ok(backup) => backup,
            Err(why) => {
                assert_eq!(whole, 0, "cut at {cut}: {why}");
                continue;
            }
        };
        assert!(
            backup.faults().contains(&Fault::NoDirectory),
            "cut at {cut}"
        );
        for (i, client) in clients[..whole].iter().enumerate() {
            let found = backup.client(i).expect("counted").expect("readable");
            assert_eq!(found.faults, [], "cut at {cut}");
            // Without the manifest photos lie beside the file, as in the backup.
            let inside = |p: &&ophryon_record::Photo| p.image.bytes().is_some();
            let inside = found.record.photos.iter().filter(inside).count();
            let photos = client.record.photos.len();
            assert_eq!(found.photos.len() + inside, photos, "cut at {cut}");
            assert_eq!(found.record.client, client.record.client);
        }
    }
}

#[test]
fn one_wrong_byte_anywhere_costs_one_file_at_most() {
    let clients = people(6);
    let bytes = backup(&clients);
    let dice = &mut Dice(5);
    let photos: usize = clients.iter().map(|c| c.record.photos.len()).sum();
    for _ in 0..400 {
        let mut bytes = bytes.clone();
        let at = dice.below(bytes.len());
        bytes[at] ^= 1 << dice.below(8);
        let backup = open(&bytes);
        let faults = backup.check();
        let mut lost = 0;
        let mut found_photos = 0;
        for i in 0..backup.count() {
            match backup.client(i).expect("counted") {
                Ok(client) => {
                    let there = |p: &&ophryon_record::Photo| p.image.bytes().is_some();
                    found_photos += client.photos.len();
                    found_photos += client.record.photos.iter().filter(there).count();
                }
                Err(_) => lost += 1,
            }
        }
        lost += clients.len() - backup.count();
        assert!(lost <= 1, "byte {at}: {faults:?}");
        if lost == 0 {
            assert!(found_photos + 1 >= photos, "byte {at}: {faults:?}");
        }
        if lost == 1 || found_photos < photos {
            assert!(!faults.is_empty(), "byte {at} lost something in silence");
        }
    }
}

#[test]
fn a_hole_in_the_middle_costs_what_lay_in_it() {
    let clients = demo();
    let mut bytes = backup(&clients);
    let ends = ends(&bytes, 3);
    // All of the second client, and the list at the end.
    let (from, to) = (ends[0], ends[1]);
    bytes[from..to].fill(0);
    let length = bytes.len();
    bytes[length - 22..].fill(0);
    let backup = open(&bytes);
    let codes: Vec<_> = (0..backup.count())
        .filter_map(|i| backup.client(i)?.ok())
        .map(|c| (c.record.client.code, c.photos.len()))
        .collect();
    let expected = [&clients[0], &clients[2]].map(|c| (c.record.client.code.clone(), 2));
    assert_eq!(codes, expected);
    let faults = backup.faults();
    let said: Vec<_> = faults.iter().map(Fault::to_string).collect();
    assert!(
        said.iter()
            .any(|s| s.contains("0002") && s.ends_with("is missing")),
        "{said:?}"
    );
}

#[test]
fn packed_again_by_another_program_it_is_still_a_backup() {
    let clients = demo();
    let bytes = backup(&clients);
    let opened = open(&bytes);
    let mut files = vec![file("clients/", b""), stored("__MACOSX/x", b"y")];
    for i in 0..opened.count() {
        let folder = opened.folder(i).expect("counted").to_owned();
        let client = opened.client(i).expect("counted").expect("whole");
        let json = client.record.to_json().expect("sound");
        files.push(file(
            &format!("clients/{folder}/client.json"),
            json.as_bytes(),
        ));
        for photo in &client.photos {
            files.push(file(
                &format!("clients/{folder}/{}", photo.name),
                &photo.bytes,
            ));
        }
    }
    let again = zip(&files);
    for bytes in [&again[..], &again[..again.len() - 30]] {
        let backup = open(bytes);
        assert_eq!(backup.count(), 3);
        for (i, client) in clients.iter().enumerate() {
            let found = backup.client(i).expect("counted").expect("whole");
            assert_eq!(found.record, client.record);
            assert_eq!(found.photos.len(), client.photos.len());
        }
        let said: Vec<_> = backup.faults().iter().map(Fault::to_string).collect();
        assert!(said.iter().any(|s| s.contains("manifest.json")), "{said:?}");
    }
}

#[test]
fn what_is_no_backup_is_said_to_be_none() {
    let text = b"{\"schema\": 2, \"client\": {\"code\": \"K7\"}}";
    let other_zip = zip(&[file("report.txt", b"hello")]);
    let photo = demo()[0].photos[0].1.clone();
    for (bytes, word) in [
        (&b""[..], "empty"),
        (text, "no backup of Ophryon"),
        (&other_zip, "no backup of Ophryon"),
        (&photo, "no backup of Ophryon"),
        (b"age-encryption.org/v1\n", "passphrase"),
    ] {
        let why = Backup::open(bytes, bytes.len() as u64)
            .err()
            .expect("refused");
        assert!(why.to_string().contains(word), "{why}");
    }
}

#[test]
fn a_newer_backup_is_refused_in_words_and_a_newer_client_alone() {
    let manifest = |schema| {
        format!(
            "{{\"format\": \"ophryon-backup\", \"schema\": {schema}, \"made\": {{\"app\": \"9\", \"at\": \"later\"}}, \"clients\": [], \"entries\": [], \"what-else\": 1}}"
        )
    };
    let client =
        |schema: u32| format!("{{\"schema\": {schema}, \"client\": {{\"code\": \"K{schema}\"}}}}");
    let of = |schema| {
        zip(&[
            file("clients/0001/client.json", client(1).as_bytes()),
            file("clients/0002/client.json", client(900).as_bytes()),
            file("manifest.json", manifest(schema).as_bytes()),
        ])
    };
    let newer = of(2);
    let why = Backup::open(&newer[..], newer.len() as u64).err();
    assert!(matches!(why, Some(OpenError::Newer { found: 2 })));
    assert!(why.expect("refused").to_string().contains("newer Ophryon"));
    let present = of(1);
    let backup = open(&present);
    let first = backup
        .client(0)
        .expect("counted")
        .expect("schema 1 is read");
    assert_eq!(first.record.client.code, "K1");
    let why = backup.client(1).expect("counted").expect_err("newer");
    assert!(
        why.to_string().contains("newer Ophryon (schema 900)"),
        "{why}"
    );
}
