//! Backup, erase everything, restore: equal to the byte in canonical form.

use std::fs;
use std::process::Command;

use ophryon_archive::{BackupWriter, Fault, PhotoBytes};
use ophryon_record::{Image, Photo, PhotoState, Record};
use which::which;

use crate::clients::{Client, all, backup, demo, made, open, random};

fn same(before: &[Client], after: &[Client]) {
    assert_eq!(before.len(), after.len());
    for (one, other) in before.iter().zip(after) {
        assert_eq!(one.json(), other.json());
        assert_eq!(one.photos, other.photos, "{}", one.record.client.code);
    }
}

#[test]
fn the_demo_clients_come_back_to_the_byte() {
    let clients = demo();
    let bytes = backup(&clients);
    same(&clients, &all(&bytes));
    // Photos are packed already; JSON is packed here.
    let photos: usize = clients
        .iter()
        .flat_map(|c| &c.photos)
        .map(|p| p.1.len())
        .sum();
    assert!(bytes.len() < photos + 40_000, "{} of {photos}", bytes.len());
}

#[test]
fn photos_inside_the_file_come_back_inside() {
    let mut clients = demo();
    for client in &mut clients {
        for (id, bytes) in client.photos.drain(..) {
            let photo = client.record.photos.iter_mut().find(|p| p.id == id);
            photo.expect("hers").image = Image::embed("image/jpeg", &bytes);
        }
    }
    same(&clients, &all(&backup(&clients)));
}

#[test]
fn two_hundred_random_clients_come_back_to_the_byte() {
    let clients: Vec<Client> = (0..200).map(random).collect();
    same(&clients, &all(&backup(&clients)));
}

#[test]
fn the_same_clients_give_the_same_bytes() {
    let clients: Vec<Client> = (0..20).map(random).collect();
    assert_eq!(backup(&clients), backup(&clients));
}

#[test]
fn an_empty_backup_is_one() {
    let backup_bytes = backup(&[]);
    assert_eq!(open(&backup_bytes).count(), 0);
}

#[test]
fn a_lost_photo_is_told_and_all_else_kept() {
    let mut clients = demo();
    let lost = clients[0].photos.remove(0).0;
    let mut writer = BackupWriter::new(Vec::new(), made());
    let photos: Vec<_> = clients[0]
        .photos
        .iter()
        .map(|(photo, bytes)| PhotoBytes { photo, bytes })
        .collect();
    let missing = writer.add(&clients[0].record, &photos, None).expect("kept");
    assert_eq!(missing, [lost.as_str()]);
    let bytes = writer.finish().expect("memory takes everything");
    let found = open(&bytes)
        .client(0)
        .expect("she is there")
        .expect("whole");
    assert_eq!(found.record.to_json(), clients[0].record.to_json());
    assert!(
        matches!(&found.faults[..], [Fault::NoPhoto { photo, .. }] if photo.to_string() == lost)
    );
}

#[test]
fn erased_photos_are_not_missed() {
    let clients: Vec<Client> = demo()
        .into_iter()
        .map(|client| Client {
            record: client.record.without_photos(),
            photos: Vec::new(),
        })
        .collect();
    let bytes = backup(&clients);
    same(&clients, &all(&bytes));
    // No byte of a picture: a JPEG begins like this.
    assert!(!bytes.windows(3).any(|w| w == [0xFF, 0xD8, 0xFF]));
}

/// Other people's programs must read it: unpacked with Info-ZIP's unzip, each
/// folder is a client's file with her photos beside it.
#[test]
fn unzip_reads_it_and_finds_clients_files() {
    let Ok(unzip) = which("unzip") else {
        eprintln!("Not checked with a second reader: unzip is not installed.");
        return;
    };
    let mut clients: Vec<Client> = (0..10).map(random).collect();
    clients.extend(demo());
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("b.zip");
    fs::write(&file, backup(&clients)).expect("written");
    let run = |arguments: &[&str]| {
        let mut command = Command::new(&unzip);
        let output = command
            .args(arguments)
            .arg(&file)
            .current_dir(folder.path());
        let output = output.output().expect("it runs");
        assert!(output.status.success(), "{output:?}");
    };
    run(&["-tq"]);
    run(&["-q"]);
    let mut folders: Vec<_> = fs::read_dir(folder.path().join("clients"))
        .expect("unpacked")
        .map(|f| f.expect("readable").path())
        .collect();
    folders.sort();
    assert_eq!(folders.len(), clients.len());
    for (path, client) in folders.iter().zip(&clients) {
        let text = fs::read_to_string(path.join("client.json")).expect("a client's file");
        let record = Record::from_json(&text).expect("it reads");
        for (photo, was) in record.photos.iter().zip(&client.record.photos) {
            let Image::File { name } = &photo.image else {
                panic!("photos lie beside the file");
            };
            let found = fs::read(path.join(name)).expect("the photo is beside the file");
            let given = client.photos.iter().find(|(id, _)| *id == was.id);
            let given = given
                .map(|(_, bytes)| bytes.clone())
                .or_else(|| was.image.bytes());
            assert_eq!(Some(found), given);
        }
    }
}

#[test]
fn a_photo_beyond_any_camera_is_refused_in_words() {
    let mut record = Record::new("K7");
    let image = Image::File {
        name: "a.jpg".to_owned(),
    };
    record
        .photos
        .push(Photo::new("a", PhotoState::Relaxed, image, 900, 1200));
    let bytes = vec![0; 96 * 1024 * 1024 + 1];
    let photos = [PhotoBytes {
        photo: "a",
        bytes: &bytes,
    }];
    let mut writer = BackupWriter::new(Vec::new(), made());
    let why = writer.add(&record, &photos, None).expect_err("too large");
    assert!(why.to_string().contains("larger than any photo"), "{why}");
    // And the backup goes on without her.
    assert_eq!(open(&writer.finish().expect("finished")).count(), 0);
}
