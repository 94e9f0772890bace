//! The app in parts: what is fetched when it is first used is there without a
//! network too, and where it doesn't come that is said.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use thirtyfour::prelude::*;

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
        // A print is made of the app's own files as well.
        desk.click("print").await?;
        desk.until("nothing was printed", async || {
            let page = "return document.getElementById('print-frame')?.srcdoc?.length ?? 0;";
            let length = desk.driver.execute(page, Vec::<Value>::new()).await?;
            Ok((length.json().as_u64() > Some(1000)).then_some(()))
        })
        .await?;
        desk.click("place-balance").await?;
        desk.find("verdict").await?;
        for place in ["show", "visits"] {
            desk.click(&format!("place-{place}")).await?;
            desk.until(&format!("{place} never came"), async || {
                let on_its_way = desk.driver.find(By::Css(".coming")).await.is_ok();
                let is_away = desk.is_there("part-away").await;
                Ok((!on_its_way && !is_away).then_some(()))
            })
            .await?;
        }
        desk.click("place-face").await?;
        desk.find("photo").await?;
        desk.click("client-code").await?;
        desk.find("details-name").await?;
        desk.click("details-close").await?;
        // A client in work is kept and read again.
        desk.reads("kept", "Kept").await?;
        desk.click("to-clients").await?;
        desk.click("keep-safe").await?;
        let backup = desk.save("backup-all").await?;
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("b.zip");
        fs::write(&file, backup)?;
        desk.choose("bring-file", &file).await?;
        desk.reads("bring-summary", "1 is the same here").await?;
        desk.driver.goto("about:blank").await?;
        desk.driver.goto(&desk.address).await?;
        desk.click("client").await?;
        desk.find("photo").await?;
        desk.click("place-paper").await?;
        desk.find("sheet-preview").await?;
        Ok(())
    });
}

/// What a browser asks of an app before it offers to install it.
#[test]
fn the_app_can_be_installed() {
    at_a_desk((1180, 820), "light", async |desk| {
        desk.is_kept().await?;
        let tools = desk.driver.cdp();
        let manifest = tools.send_raw("Page.getAppManifest", json!({})).await?;
        let errors = manifest["errors"].as_array().context("a list")?;
        ensure!(errors.is_empty(), "{errors:?}");
        let read: Value = serde_json::from_str(manifest["data"].as_str().context("a manifest")?)?;
        for field in [
            "id",
            "name",
            "short_name",
            "start_url",
            "display",
            "icons",
            "lang",
        ] {
            ensure!(!read[field].is_null(), "it has no {field}");
        }
        let asked = tools
            .send_raw("Page.getInstallabilityErrors", json!({}))
            .await?;
        let errors = asked["installabilityErrors"].as_array().context("a list")?;
        // A test's own profile is one of the incognito kind in some browsers.
        let real: Vec<_> = errors
            .iter()
            .filter(|e| e["errorId"] != "in-incognito")
            .collect();
        ensure!(real.is_empty(), "{real:?}");
        Ok(())
    });
}

#[test]
fn a_newer_version_that_comes_during_work_is_taken_between_clients() {
    let app = newer::two_versions().expect("an app that can change");
    let story = async |desk: &Desk| -> Result<()> {
        desk.is_kept().await?;
        desk.driver.goto(&desk.address).await?;
        newer::is_version(desk, "one").await?;
        desk.click("try-sample").await?;
        desk.click("demo-even").await?;
        desk.find("handle-right-peak").await?;
        // It comes while she is at work; another page of the app notices.
        newer::publish(app.path())?;
        let work = desk.driver.window().await?;
        let other = desk.driver.new_tab().await?;
        desk.driver.switch_to_window(other).await?;
        desk.driver.goto(&desk.address).await?;
        desk.until("the newer version never waited", async || {
            let script = "const done = arguments[0];
                navigator.serviceWorker.getRegistration().then((r) => done(Boolean(r?.waiting)));";
            let waits = desk
                .driver
                .execute_async(script, Vec::<Value>::new())
                .await?;
            Ok((*waits.json() == Value::Bool(true)).then_some(()))
        })
        .await?;
        // While she is at work elsewhere, nothing is taken here either.
        desk.driver.goto(&desk.address).await?;
        desk.find("home").await?;
        newer::is_version(desk, "one").await?;
        desk.driver.close_window().await?;
        desk.driver.switch_to_window(work).await?;
        desk.drag("handle-right-peak", [0, -5]).await?;
        desk.reads("undo", "peak").await?;
        newer::is_version(desk, "one").await?;
        desk.click("place-paper").await?;
        desk.find("sheet-preview").await?;
        desk.reads("kept", "Kept").await?;
        // Back on the first screen, alone: now.
        desk.click("to-clients").await?;
        desk.until("the newer version was never taken", async || {
            Ok(newer::is_version(desk, "two").await.is_ok().then_some(()))
        })
        .await?;
        desk.find("home").await?;
        desk.click("client").await?;
        desk.find("handle-right-peak").await?;
        // The whole of it is kept.
        desk.stop_server()?;
        desk.driver.goto("about:blank").await?;
        desk.driver.goto(&desk.address).await?;
        desk.click("client").await?;
        desk.click("place-paper").await?;
        desk.find("sheet-preview").await?;
        Ok(())
    };
    super::told(async {
        let desk = Desk::open_served_from(app.path(), 1180, 820, "light").await?;
        let told = story(&desk).await;
        desk.driver.clone().quit().await.ok();
        told
    });
}

#[test]
fn nothing_but_its_own_files_is_asked_for_and_the_page_lets_nothing_else_through() {
    at_a_desk((1280, 800), "light", async |desk| {
        let seen = "window.refused = []; document.addEventListener('securitypolicyviolation', (e) => window.refused.push(e.blockedURI));";
        desk.driver.execute(seen, Vec::<Value>::new()).await?;
        desk.click("try-sample").await?;
        desk.click("demo-set").await?;
        desk.find("handle-right-peak").await?;
        for place in ["face", "balance", "shape", "show", "paper", "visits"] {
            desk.click(&format!("place-{place}")).await?;
            tokio::time::sleep(std::time::Duration::from_millis(300)).await;
        }
        desk.click("to-clients").await?;
        desk.click("keep-safe").await?;
        desk.save("backup-all").await?;
        let foreign: Vec<String> = desk
            .fetched()
            .await?
            .into_iter()
            .filter(|url| {
                !url.starts_with(&desk.address)
                    && !url.starts_with("blob:")
                    && !url.starts_with("data:")
            })
            .collect();
        ensure!(foreign.is_empty(), "fetched from elsewhere: {foreign:?}");
        let refused = desk
            .driver
            .execute("return window.refused;", Vec::<Value>::new())
            .await?;
        ensure!(
            refused.json().as_array().is_some_and(Vec::is_empty),
            "{:?}",
            refused.json()
        );
        // Whatever tried, the page's own policy stops it.
        let script = "const done = arguments[0];
            const tries = [
                fetch('https://example.invalid/').then(() => 'went', () => 'stopped'),
                new Promise((ok) => { const i = new Image(); i.onload = () => ok('went'); i.onerror = () => ok('stopped'); i.src = 'https://example.invalid/x.png'; }),
            ];
            Promise.all(tries).then(() => setTimeout(() => done(window.refused), 200));";
        let refused = desk
            .driver
            .execute_async(script, Vec::<Value>::new())
            .await?;
        let count = refused.json().as_array().map_or(0, Vec::len);
        ensure!(count >= 2, "only {count} of two were stopped by the policy");
        Ok(())
    });
}

/// An app in two versions.
mod newer {
    use super::*;
    use sha2::{Digest, Sha256};

    const PAGE: &str = "index.html";

    /// A copy of the app that says it is version one.
    pub fn two_versions() -> Result<tempfile::TempDir> {
        let folder = tempfile::tempdir()?;
        copy(&given("OPHRYON_APP")?, folder.path())?;
        mark(folder.path(), "one")?;
        Ok(folder)
    }

    /// From now on it is version two.
    pub fn publish(app: &Path) -> Result<()> {
        mark(app, "two")
    }

    /// Marks the page and writes the list anew, as a build does.
    fn mark(app: &Path, version: &str) -> Result<()> {
        let page = fs::read_to_string(app.join(PAGE))?;
        let page = page
            .split("<!-- version")
            .next()
            .context("a page")?
            .to_owned();
        let page =
            format!("{page}<!-- version --><meta name=\"tried-version\" content=\"{version}\">\n");
        fs::write(app.join(PAGE), &page)?;
        for packed in ["br", "gz"] {
            fs::remove_file(app.join(format!("{PAGE}.{packed}"))).ok();
        }
        let list = app.join("assets.json");
        let mut all: Value = serde_json::from_slice(&fs::read(&list)?)?;
        all["version"] = version.into();
        let files = all["files"].as_array_mut().context("files")?;
        // Letters of other scripts weren't copied.
        files.retain(|f| app.join(f["name"].as_str().unwrap_or_default()).is_file());
        for file in files {
            if file["name"] == PAGE {
                let sum = Sha256::digest(page.as_bytes());
                let hex: String = sum.iter().map(|b| format!("{b:02x}")).collect();
                file["sha256"] = hex.into();
                file["bytes"] = page.len().into();
                if let Some(fields) = file.as_object_mut() {
                    fields.remove("gzip_bytes");
                    fields.remove("brotli_bytes");
                }
            }
        }
        fs::write(&list, serde_json::to_vec(&all)?)?;
        Ok(())
    }

    /// Which one the page came from.
    pub async fn is_version(desk: &Desk, version: &str) -> Result<()> {
        let script = "return document.querySelector('meta[name=tried-version]')?.content ?? null;";
        let is = desk.driver.execute(script, Vec::<Value>::new()).await?;
        ensure!(is.json().as_str() == Some(version), "it is {:?}", is.json());
        Ok(())
    }
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
