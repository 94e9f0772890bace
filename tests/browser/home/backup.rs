//! Backup, everything gone, and everything back.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use anyhow::{Context, Result, ensure};
use ophryon_record::Record;
use serde_json::Value;
use thirtyfour::prelude::*;

use super::shelf::{Kept, change, everybody, fill, reopen};
use crate::at_a_desk;
use crate::desk::{Desk, given};

const WORDS: &str = "lamp river seven moss";

/// Her record in the form in which nothing but its content counts, and her
/// pictures by sum.
fn canonical(kept: &Kept) -> Result<(String, BTreeMap<String, String>)> {
    let record = Record::from_json(&kept.record.to_string())?;
    Ok((record.to_json()?, kept.pictures.clone()))
}

fn same(before: &BTreeMap<String, Kept>, after: &BTreeMap<String, Kept>) -> Result<()> {
    let codes = |all: &BTreeMap<String, Kept>| all.keys().cloned().collect::<Vec<_>>();
    ensure!(
        codes(before) == codes(after),
        "{:?} came back as {:?}",
        codes(before),
        codes(after)
    );
    for (code, was) in before {
        let is = after.get(code).context("she is back")?;
        ensure!(
            canonical(was)? == canonical(is)?,
            "{code} came back as another"
        );
    }
    Ok(())
}

/// A worked-on client of the samples, and some of three photos each.
async fn shop(desk: &Desk) -> Result<()> {
    fill(desk, 5, 60_000).await?;
    reopen(desk).await?;
    desk.click("try-sample").await?;
    desk.click("demo-set").await?;
    desk.drag("handle-right-peak", [0, -5]).await?;
    desk.reads("undo", "peak").await?;
    desk.reads("kept", "Kept").await?;
    desk.click("to-clients").await?;
    desk.find("safe-card").await?;
    Ok(())
}

async fn erase_everything(desk: &Desk) -> Result<()> {
    let script = "const done = arguments[0];
        const asked = indexedDB.open('ophryon');
        asked.onsuccess = () => {
            const db = asked.result;
            const names = [...db.objectStoreNames];
            const t = db.transaction(names, 'readwrite');
            for (const name of names) t.objectStore(name).clear();
            t.oncomplete = () => { db.close(); done(true); };
        };";
    desk.driver
        .execute_async(script, Vec::<Value>::new())
        .await?;
    reopen(desk).await?;
    desk.find("no-clients").await?;
    Ok(())
}

async fn bring(desk: &Desk, file: &Path) -> Result<()> {
    desk.click("keep-safe").await?;
    desk.choose("bring-file", file).await
}

fn written(folder: &Path, name: &str, bytes: &[u8]) -> Result<std::path::PathBuf> {
    let path = folder.join(name);
    fs::write(&path, bytes)?;
    Ok(path)
}

#[test]
fn backup_erase_everything_bring_back_and_every_byte_is_the_same() {
    at_a_desk((1280, 800), "light", async |desk| {
        shop(desk).await?;
        let before = everybody(desk).await?;
        ensure!(before.len() == 6, "{} clients", before.len());
        desk.reads("backup-age", "No backup yet").await?;
        desk.photograph("home-with-clients").await?;
        desk.click("keep-safe").await?;
        desk.find("backup-all").await?;
        let backup = desk.save("backup-all").await?;
        desk.reads("backup-said", "6 clients").await?;
        desk.photograph("backup-made").await?;
        desk.click("to-home").await?;
        desk.reads("backup-age", "Nothing changed since").await?;

        erase_everything(desk).await?;
        let folder = tempfile::tempdir()?;
        let file = written(folder.path(), "b.zip", &backup)?;
        bring(desk, &file).await?;
        desk.reads("bring-summary", "6 are not here yet").await?;
        desk.photograph("bring-preview").await?;
        desk.click("bring-now").await?;
        desk.reads("brought", "6 clients new here").await?;
        same(&before, &everybody(desk).await?)?;
        // The second time there is nothing to do.
        desk.choose("bring-file", &file).await?;
        desk.reads("bring-summary", "6 are the same here").await?;
        desk.reads("bring-now", "Nothing to bring").await?;
        desk.click("bring-not").await?;
        // And she is worked on as before.
        desk.click("to-home").await?;
        desk.find("all-clients").await?;
        desk.click("client").await?;
        desk.find("handle-right-peak").await?;
        Ok(())
    });
}

#[test]
fn a_locked_backup_opens_with_its_passphrase_alone_here_and_elsewhere() {
    at_a_desk((820, 1180), "light", async |desk| {
        shop(desk).await?;
        let before = everybody(desk).await?;
        desk.click("keep-safe").await?;
        desk.click("backup-locked").await?;
        // Too short, then not the same.
        desk.enter("passphrase", "short").await?;
        desk.enter("passphrase-again", "short").await?;
        desk.click("backup-all").await?;
        desk.reads("backup-said", "10").await?;
        desk.enter("passphrase", WORDS).await?;
        desk.click("backup-all").await?;
        desk.reads("backup-said", "differ").await?;
        desk.enter("passphrase-again", WORDS).await?;
        let backup = desk.save("backup-all").await?;
        desk.reads("backup-said", "6 clients").await?;
        ensure!(backup.starts_with(b"age-encryption.org/v1\n-> scrypt "));
        let plain = b"client.json";
        let leaks = backup.windows(plain.len()).any(|w| w == plain);
        ensure!(!leaks, "a name stands in the locked file");

        let folder = tempfile::tempdir()?;
        let file = written(folder.path(), "b.zip.age", &backup)?;
        elsewhere(folder.path(), &file, &before)?;

        erase_everything(desk).await?;
        bring(desk, &file).await?;
        desk.enter("unlock-passphrase", "something else").await?;
        desk.click("unlock").await?;
        desk.reads("unlock-said", "doesn't open it").await?;
        desk.photograph("unlock").await?;
        desk.enter("unlock-passphrase", WORDS).await?;
        desk.click("unlock").await?;
        desk.reads("bring-summary", "6 are not here yet").await?;
        desk.click("bring-now").await?;
        desk.reads("brought", "6 clients new here").await?;
        same(&before, &everybody(desk).await?)?;
        Ok(())
    });
}

/// The same file with the program and with the format's reference program
/// (age, the Debian package of that name; age-encryption.org/v1).
fn elsewhere(folder: &Path, file: &Path, before: &BTreeMap<String, Kept>) -> Result<()> {
    let word = written(folder, "word", format!("{WORDS}\n").as_bytes())?;
    let out = folder.join("out");
    let ran = Command::new(given("OPHRYON_BIN")?)
        .args(["backup", "open"])
        .arg(file)
        .arg("--into")
        .arg(&out)
        .arg("--passphrase-file")
        .arg(&word)
        .output()?;
    ensure!(
        ran.status.success(),
        "{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    let mut found = BTreeMap::new();
    for client in fs::read_dir(&out)? {
        let text = fs::read_to_string(client?.path().join("client.json"))?;
        let record = Record::from_json(&text)?;
        found.insert(record.client.code.clone(), record);
    }
    for (code, kept) in before {
        let there = found
            .get(code)
            .with_context(|| format!("{code} is there"))?;
        ensure!(
            *there == Record::from_json(&kept.record.to_string())?,
            "{code} differs"
        );
    }
    ensure!(found.len() == before.len());

    let is_there = |name: &str| {
        let path = std::env::var_os("PATH").unwrap_or_default();
        std::env::split_paths(&path).any(|folder| folder.join(name).is_file())
    };
    if !(is_there("age") && is_there("script")) {
        eprintln!("Not held against the reference program: age or script is not installed.");
        return Ok(());
    }
    // It reads a passphrase from a terminal only.
    let mut child = Command::new("script")
        .args(["-qec", "age -d -o plain.zip b.zip.age", "/dev/null"])
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .spawn()?;
    let mut typed = child.stdin.take().context("a terminal")?;
    std::thread::sleep(std::time::Duration::from_millis(700));
    typed.write_all(format!("{WORDS}\n").as_bytes())?;
    typed.flush()?;
    let done = child.wait()?;
    drop(typed);
    ensure!(done.success(), "age refused it");
    let zip = fs::read(folder.join("plain.zip"))?;
    ensure!(
        zip.starts_with(b"PK\x03\x04"),
        "age made something else of it"
    );
    Ok(())
}

#[test]
fn what_changed_on_both_sides_is_shown_and_nothing_goes_unasked() {
    at_a_desk((1180, 820), "light", async |desk| {
        fill(desk, 3, 3000).await?;
        reopen(desk).await?;
        desk.click("keep-safe").await?;
        let old = desk.save("backup-all").await?;
        desk.reads("backup-said", "3 clients").await?;
        let folder = tempfile::tempdir()?;
        let file = written(folder.path(), "old.zip", &old)?;
        change(desk, "C0001", "changed here").await?;
        let before = everybody(desk).await?;
        desk.choose("bring-file", &file).await?;
        desk.reads("bring-summary", "1 differs").await?;
        desk.reads("bring-row", "Changed here since the backup")
            .await?;
        // The usual choice loses nothing.
        desk.reads("bring-now", "Nothing to bring").await?;
        let take = desk
            .driver
            .find(By::XPath("//button[text()=\"Take the backup's\"]"))
            .await?;
        take.click().await?;
        desk.photograph("bring-differs").await?;
        desk.click("bring-now").await?;
        desk.reads("brought", "1 client as in the backup now")
            .await?;
        let after = everybody(desk).await?;
        let note = &after.get("C0001").context("she is there")?.record["client"]["note"];
        ensure!(note.as_str().unwrap_or_default().is_empty(), "{note}");
        // What was there before is among her earlier versions.
        let versions = super::shelf::counts(desk).await?;
        ensure!(versions["version-records"] >= 1, "{versions:?}");
        for code in ["C0000", "C0002"] {
            ensure!(before.get(code) == after.get(code), "{code} was touched");
        }
        Ok(())
    });
}

#[test]
fn a_restore_that_is_stopped_leaves_everything_as_it_was() {
    at_a_desk((1180, 820), "light", async |desk| {
        fill(desk, 120, 30_000).await?;
        reopen(desk).await?;
        desk.click("keep-safe").await?;
        let backup = desk.save("backup-all").await?;
        desk.reads("backup-said", "120 clients").await?;
        let folder = tempfile::tempdir()?;
        let file = written(folder.path(), "all.zip", &backup)?;
        erase_everything(desk).await?;
        fill(desk, 2, 3000).await?;
        change(desk, "C0001", "only here").await?;
        reopen(desk).await?;
        let before = everybody(desk).await?;
        bring(desk, &file).await?;
        desk.reads("bring-summary", "118 are not here yet").await?;
        // Stopped as soon as somebody was written.
        let script = "const done = arguments[0];
            document.querySelector('[data-testid=bring-now]').click();
            const watch = setInterval(() => {
                const way = document.querySelector('[data-testid=under-way] p');
                if (way && /[1-9]\\d* of/.test(way.textContent)) {
                    clearInterval(watch);
                    document.querySelector('[data-testid=stop]').click();
                    done(way.textContent);
                }
            }, 1);";
        desk.driver
            .execute_async(script, Vec::<Value>::new())
            .await?;
        desk.reads(
            "bring-trouble",
            "Stopped. Every client is as she was before.",
        )
        .await?;
        let after = everybody(desk).await?;
        same(&before, &after)?;
        // A backup that is stopped saves nothing.
        let script = "const done = arguments[0];
            document.querySelector('[data-testid=backup-all]').click();
            const watch = setInterval(() => {
                const stop = document.querySelector('[data-testid=stop]');
                if (stop) { clearInterval(watch); stop.click(); done(true); }
            }, 1);";
        desk.driver
            .execute_async(script, Vec::<Value>::new())
            .await?;
        desk.reads("backup-said", "Stopped. Nothing was saved.")
            .await?;
        Ok(())
    });
}

#[test]
fn a_backup_too_large_to_be_held_is_read_piece_by_piece() {
    at_a_desk((1180, 820), "light", async |desk| {
        // Some 27 MB of photos.
        fill(desk, 26, 350_000).await?;
        reopen(desk).await?;
        let before = everybody(desk).await?;
        desk.click("keep-safe").await?;
        let backup = desk.save("backup-all").await?;
        ensure!(
            backup.len() > 24 << 20,
            "{} bytes are held whole",
            backup.len()
        );
        desk.reads("backup-said", "26 clients").await?;
        erase_everything(desk).await?;
        let seen = "window.refused = []; document.addEventListener('securitypolicyviolation', (e) => window.refused.push(e.blockedURI));";
        desk.driver.execute(seen, Vec::<Value>::new()).await?;
        let folder = tempfile::tempdir()?;
        bring(desk, &written(folder.path(), "large.zip", &backup)?).await?;
        desk.reads("bring-summary", "26 are not here yet").await?;
        let refused = desk
            .driver
            .execute("return window.refused.length;", Vec::<Value>::new())
            .await?;
        ensure!(
            refused.json().as_u64() == Some(0),
            "the policy stopped a piece"
        );
        desk.click("bring-now").await?;
        desk.reads("brought", "26 clients new here").await?;
        same(&before, &everybody(desk).await?)
    });
}

#[test]
fn of_a_damaged_backup_comes_what_can_be_read_and_a_list_of_the_rest() {
    at_a_desk((1180, 820), "dark", async |desk| {
        fill(desk, 4, 30_000).await?;
        reopen(desk).await?;
        desk.click("keep-safe").await?;
        let backup = desk.save("backup-all").await?;
        desk.reads("backup-said", "4 clients").await?;
        let before = everybody(desk).await?;
        erase_everything(desk).await?;
        let folder = tempfile::tempdir()?;
        // One byte of a photo is another: it is said before anything is brought.
        let mut bad = backup.clone();
        // After its name come 30 kB of the first photo.
        let name = bad.windows(4).position(|four| four == b".jpg");
        bad[name.context("a photo is in it")? + 1000] ^= 0x55;
        let file = written(folder.path(), "bad.zip", &bad)?;
        bring(desk, &file).await?;
        desk.reads("bring-faults", "is damaged").await?;
        desk.click("bring-not").await?;
        // Cut off before its end, as a copy to a full stick.
        let cut = &backup[..backup.len() * 6 / 10];
        let file = written(folder.path(), "cut.zip", cut)?;
        desk.choose("bring-file", &file).await?;
        desk.reads("bring-faults", "Not everything in this file can be read")
            .await?;
        desk.photograph("bring-damaged").await?;
        desk.click("bring-now").await?;
        desk.reads("brought", "Brought back").await?;
        let after = everybody(desk).await?;
        ensure!(
            !after.is_empty() && after.len() < 4,
            "{} came back",
            after.len()
        );
        for (code, kept) in &after {
            let was = before.get(code).context("she was there")?;
            let record = |k: &Kept| canonical(k).map(|c| c.0);
            ensure!(record(kept)? == record(was)?, "{code} came back as another");
            let picture = |(name, sum): (&String, &String)| was.pictures.get(name) == Some(sum);
            ensure!(
                kept.pictures.iter().all(picture),
                "{code} has another picture"
            );
        }
        // What is no backup is said to be none.
        let file = written(folder.path(), "notes.zip", b"these are notes")?;
        desk.choose("bring-file", &file).await?;
        desk.reads("bring-trouble", "no backup of Ophryon").await?;
        Ok(())
    });
}
