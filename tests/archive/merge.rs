//! A restore beside clients that are there.

use std::collections::BTreeMap;

use ophryon_archive::{
    Basis, Choice, Present, Preview, Row, Standing, Write, beside, state_of, sum,
};
use ophryon_record::{Client as Who, Edit, Record, apply};

use crate::clients::{Client, backup, demo, open};

const BACKED_UP_AT: i64 = 1_800_000_000;

fn present(client: &Client, changed: i64, base: Option<&Record>) -> Present {
    let photos: BTreeMap<_, _> = client
        .photos
        .iter()
        .map(|(id, bytes)| (id.clone(), Some(sum(bytes))))
        .collect();
    let base = base.map(|r| state_of(r).expect("sound"));
    Present::of(&client.record, photos, Some(changed), base).expect("sound")
}

fn edited(client: &Client, note: &str) -> Client {
    let who = Who {
        note: note.to_owned(),
        ..client.record.client.clone()
    };
    Client {
        record: apply(&client.record, &Edit::SetClient(who)).expect("an edit"),
        photos: client.photos.clone(),
    }
}

/// How the first demo client in a backup stands to this one here.
fn against(there: &Client, here: &Present) -> Row {
    let bytes = backup(std::slice::from_ref(there));
    let Preview { mut rows, faults } = open(&bytes).preview(std::slice::from_ref(here));
    assert_eq!(faults, []);
    assert_eq!(rows.len(), 1);
    rows.remove(0)
}

#[test]
fn every_way_of_standing_is_told_and_nothing_is_lost_by_default() {
    let base = &demo()[0];
    let (mine, theirs) = (edited(base, "mine"), edited(base, "theirs"));
    let mut renewed = theirs.clone();
    renewed.record.version += 1;
    let (b, r) = (&base.record, Some(&base.record));
    let now = BACKED_UP_AT;
    let cases = [
        (base, present(base, now, None), Standing::Same, None),
        // Only one side moved away from what both once were.
        (
            base,
            present(&mine, now - 5, r),
            Standing::NewerHere(Basis::Known),
            None,
        ),
        (
            &theirs,
            present(base, now + 5, r),
            Standing::NewerThere(Basis::Known),
            Some("replace"),
        ),
        (
            &theirs,
            present(&mine, now + 5, Some(b)),
            Standing::BothChanged,
            Some("beside"),
        ),
        // Nothing is known but versions and dates.
        (
            &theirs,
            present(&mine, now + 5, None),
            Standing::NewerHere(Basis::Dates),
            None,
        ),
        (
            &theirs,
            present(&mine, now - 5, None),
            Standing::NewerThere(Basis::Dates),
            Some("beside"),
        ),
        (
            &renewed,
            present(&mine, now, None),
            Standing::NewerThere(Basis::Dates),
            Some("beside"),
        ),
        (
            &theirs,
            present(&mine, now, None),
            Standing::BothChanged,
            Some("beside"),
        ),
        // They contradict each other.
        (
            &renewed,
            present(&mine, now + 5, None),
            Standing::BothChanged,
            Some("beside"),
        ),
    ];
    for (i, (there, here, standing, write)) in cases.into_iter().enumerate() {
        let row = against(there, &here);
        assert_eq!(row.standing, standing, "case {i}");
        let plan = Preview {
            rows: vec![row.clone()],
            faults: vec![],
        }
        .plan(Row::usual);
        let kind = plan.first().map(|w| match w {
            Write::New { .. } => "new",
            Write::Replace { .. } => "replace",
            Write::AddPhotos { .. } => "photos",
            Write::Beside { .. } => "beside",
        });
        assert_eq!(kind, write, "case {i}: {row}");
        assert!(row.to_string().starts_with(&row.code), "{row}");
    }
}

#[test]
fn a_client_who_is_not_here_is_new() {
    let clients = demo();
    let bytes = backup(&clients);
    let here = [present(&clients[1], BACKED_UP_AT, None)];
    let preview = open(&bytes).preview(&here);
    let standing: Vec<_> = preview.rows.iter().map(|r| r.standing).collect();
    assert_eq!(standing, [Standing::New, Standing::Same, Standing::New]);
    assert_eq!(
        preview.plan(Row::usual),
        [Write::New { client: 0 }, Write::New { client: 2 }]
    );
    assert_eq!(preview.plan(|_| Choice::KeepHere), []);
}

#[test]
fn pictures_that_only_the_backup_has_are_added() {
    let client = &demo()[0];
    let mut here = client.clone();
    let lost = here.photos.remove(1).0;
    let row = against(client, &present(&here, BACKED_UP_AT, None));
    assert_eq!(row.standing, Standing::PhotosOnlyThere);
    assert_eq!(row.photos_there, [lost]);
    let preview = Preview {
        rows: vec![row],
        faults: vec![],
    };
    let add = Write::AddPhotos {
        client: 0,
        present: 0,
    };
    assert_eq!(preview.plan(Row::usual), [add]);
    // Also where she was changed here since.
    let changed = edited(&here, "mine");
    let row = against(
        client,
        &present(&changed, BACKED_UP_AT, Some(&client.record)),
    );
    assert_eq!(row.standing, Standing::NewerHere(Basis::Known));
    let preview = Preview {
        rows: vec![row],
        faults: vec![],
    };
    assert_eq!(preview.plan(Row::usual), [add]);
}

#[test]
fn where_pictures_lie_makes_no_other_client() {
    let client = &demo()[0];
    let mut inside = client.clone();
    for (id, bytes) in &client.photos {
        let photo = inside.record.photos.iter_mut().find(|p| p.id == *id);
        photo.expect("hers").image = ophryon_record::Image::embed("image/jpeg", bytes);
    }
    inside.photos.clear();
    let row = against(&inside, &present(client, 0, None));
    assert_eq!(row.standing, Standing::Same);
}

#[test]
fn files_without_an_identity_are_known_by_code_and_name() {
    let client = &demo()[0];
    let mut old = edited(client, "from before");
    old.record.id = None;
    let row = against(&old, &present(client, BACKED_UP_AT, None));
    assert_eq!(row.present, Some(0));
    let mut other = old.clone();
    other.record.client.name = Some("Somebody Else".to_owned());
    let row = against(&other, &present(client, BACKED_UP_AT, None));
    assert_eq!(row.standing, Standing::New);
    // One code for two people with identities of their own.
    let mut twin = client.clone();
    twin.record.id = None;
    twin.record.identify([9; 16]);
    let row = against(&twin, &present(client, BACKED_UP_AT, None));
    assert_eq!(row.standing, Standing::New);
}

#[test]
fn one_identity_twice_in_a_backup_replaces_once() {
    let client = demo().remove(0);
    let bytes = backup(&[client.clone(), edited(&client, "again")]);
    let preview = open(&bytes).preview(&[present(&client, 0, None)]);
    let found: Vec<_> = preview.rows.iter().map(|r| r.present).collect();
    assert_eq!(found, [Some(0), None]);
}

#[test]
fn a_client_beside_another_has_an_identity_and_a_code_of_her_own() {
    let record = demo().remove(0).record;
    let other = beside(&record, [3; 16]);
    assert_ne!(other.id, record.id);
    assert_ne!(other.client.code, record.client.code);
    assert_eq!(beside(&other, [4; 16]).client.code, other.client.code);
    let mut long = record;
    long.client.code = "ż".repeat(100);
    assert_eq!(beside(&long, [3; 16]).problems(), []);
}
