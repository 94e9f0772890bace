//! The app in parts: what is fetched when it is first used is there without a
//! network too, and where it doesn't come that is said.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};

use super::at_a_desk;
use super::desk::{Desk, given};

#[test]
fn after_one_visit_every_place_opens_without_the_server() {
    at_a_desk((1280, 800), "light", async |desk| {
        // One visit, and nothing else done in it.
        desk.is_kept().await?;
        desk.stop_server()?;
        desk.driver.goto(&desk.address).await?;
        desk.click("try-sample").await?;
        desk.click("demo-even").await?;
        desk.find("handle-right-peak").await?;
        desk.click("place-paper").await?;
        desk.find("sheet-preview").await?;
        desk.click("place-balance").await?;
        desk.find("verdict").await?;
        // A client in work is kept and read again.
        desk.reads("kept", "Kept").await?;
        desk.driver.goto("about:blank").await?;
        desk.driver.goto(&desk.address).await?;
        desk.click("client").await?;
        desk.find("photo").await?;
        desk.click("place-paper").await?;
        desk.find("sheet-preview").await?;
        Ok(())
    });
}

/// Files by where they were.
type Taken = Vec<(PathBuf, Vec<u8>)>;

/// The app with one part missing, and the files of it.
fn without(part: &str) -> Result<(tempfile::TempDir, Taken)> {
    let folder = tempfile::tempdir()?;
    copy(&given("OPHRYON_APP")?, folder.path())?;
    let mut taken = Taken::new();
    for file in fs::read_dir(folder.path().join("later"))? {
        let path = file?.path();
        let name = path
            .file_name()
            .and_then(|n| n.to_str())
            .context("a name")?;
        if name.starts_with(&format!("{part}.")) {
            taken.push((path.clone(), fs::read(&path)?));
            fs::remove_file(&path)?;
        }
    }
    ensure!(!taken.is_empty(), "there is no part “{part}”");
    Ok((folder, taken))
}

fn copy(from: &Path, to: &Path) -> Result<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let (from, name) = entry.map(|e| (e.path(), e.file_name()))?;
        // Letters of other scripts are large and not used here.
        if name == "fonts" {
            continue;
        }
        if from.is_dir() {
            copy(&from, &to.join(name))?;
        } else {
            fs::copy(&from, to.join(name))?;
        }
    }
    Ok(())
}

#[test]
fn a_part_that_does_not_come_is_said_and_comes_at_the_next_try() {
    let (app, paper) = without("paper").expect("an app without Paper");
    let story = async |desk: &Desk| -> Result<()> {
        desk.click("try-sample").await?;
        desk.click("demo-even").await?;
        desk.find("handle-right-peak").await?;
        desk.click("place-paper").await?;
        let said = desk.reads("part-away", "Paper").await?;
        ensure!(
            said.contains("Nothing of your work is lost"),
            "“{said}” doesn't say what was kept"
        );
        desk.photograph("part-away").await?;
        // The rest goes on.
        desk.click("place-shape").await?;
        desk.drag("handle-right-peak", [0, -5]).await?;
        desk.reads("undo", "peak").await?;
        desk.click("place-paper").await?;
        desk.find("part-again").await?;
        for (path, bytes) in &paper {
            fs::write(path, bytes)?;
        }
        desk.click("part-again").await?;
        desk.find("sheet-preview").await?;
        Ok(())
    };
    super::told(async {
        let desk = Desk::open_served_from(app.path(), 1280, 800, "light").await?;
        let told = story(&desk).await;
        desk.driver.clone().quit().await.ok();
        told
    });
}
