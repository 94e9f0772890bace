//! The whole browser is killed in the middle of work, as where a battery runs
//! out, and opened again on what it had on the disk.

use std::fs;
use std::process::Command;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, ensure};
use serde_json::Value;

use super::inside::Inside;
use super::is_kept;
use crate::desk::{Desk, Special, given};
use crate::told;

/// An edit that was finished so long ago must be kept.
const WITHIN: Duration = Duration::from_secs(1);

/// The browser with that profile, by the number of its process: the one that
/// no other browser process began.
pub fn browser(profile: &str) -> Result<u32> {
    let wanted = format!("--user-data-dir={profile}");
    for entry in fs::read_dir("/proc")?.flatten() {
        let Some(pid) = entry.file_name().to_str().and_then(|n| n.parse().ok()) else {
            continue;
        };
        let line = fs::read(entry.path().join("cmdline")).unwrap_or_default();
        let words: Vec<&[u8]> = line.split(|b| *b == 0).collect();
        let is_ours = words.contains(&wanted.as_bytes());
        let is_child = words.iter().any(|w| w.starts_with(b"--type="));
        if is_ours && !is_child {
            return Ok(pid);
        }
    }
    anyhow::bail!("no browser has the profile {profile}")
}

pub fn kill(pid: u32) -> Result<()> {
    let killed = Command::new("kill")
        .args(["-9", &pid.to_string()])
        .status()?;
    ensure!(killed.success(), "process {pid} can't be killed");
    let begun = Instant::now();
    while fs::exists(format!("/proc/{pid}/cmdline"))?
        && !fs::read(format!("/proc/{pid}/cmdline"))
            .unwrap_or_default()
            .is_empty()
    {
        ensure!(begun.elapsed().as_secs() < 10, "process {pid} lives on");
        std::thread::sleep(Duration::from_millis(10));
    }
    Ok(())
}

/// One edit after the other by the keys, until time is up, noting on the page
/// when each was finished and which was last shown as kept.
const WORK: &str = "
const [until, seed, key, done] = arguments;
let chance = seed;
const next = () => (chance = (chance * 16807) % 2147483647) / 2147483647;
const rest = (ms) => new Promise((yes) => setTimeout(yes, ms));
const field = () => document.querySelector('[data-testid=handle-up]').value;
const edits = [];
let kept = null;
const look = () => {
  if (document.querySelector('[data-testid=kept]')?.textContent === 'Kept') kept = edits.at(-1) ?? kept;
};
new MutationObserver(look).observe(document.querySelector('.whose'), { subtree: true, childList: true, characterData: true });
const begun = performance.now();
(async () => {
  for (;;) {
    const handle = document.querySelector('[data-testid=handle-right-peak]');
    handle.focus();
    handle.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
    handle.dispatchEvent(new KeyboardEvent('keyup', { key, bubbles: true }));
    if (next() < 0.2) document.querySelector('[data-testid=undo]').click();
    await rest(0);
    edits.push({ at: performance.now(), value: field() });
    // Told at once, so that the end comes also before the edit is written.
    if (performance.now() - begun > until) break;
    await rest(20 + 400 * next());
  }
  look();
  done({ edits, kept, now: performance.now() });
})();";

/// What the page knew in the moment before.
struct Known {
    /// How high the peak stood after each edit, with its age.
    edits: Vec<(Duration, String)>,
    /// After the last one that was shown as kept.
    kept: Option<String>,
}

impl Known {
    fn of(said: &Value, since: Duration) -> Result<Self> {
        let now = said["now"].as_f64().context("now")?;
        let edits = said["edits"].as_array().context("edits")?;
        let edit = |e: &Value| {
            let age = (now - e["at"].as_f64().unwrap_or(now)).max(0.0);
            let value = e["value"].as_str().unwrap_or_default().to_owned();
            (since + Duration::from_secs_f64(age / 1000.0), value)
        };
        Ok(Self {
            edits: edits.iter().map(edit).collect(),
            kept: said["kept"]["value"].as_str().map(str::to_owned),
        })
    }

    /// Values that the store may hold: from the last that must be there on.
    fn allowed(&self) -> &[(Duration, String)] {
        let old = self.edits.iter().rposition(|(age, _)| *age > WITHIN);
        let kept = self.kept.as_ref().and_then(|kept| {
            let found = self.edits.iter().rposition(|(_, value)| value == kept);
            // The same height may have come twice; then the earlier one is
            // all that is certain.
            let first = self.edits.iter().position(|(_, value)| value == kept);
            if found == first { found } else { first }
        });
        let from = old.unwrap_or(0).max(kept.unwrap_or(0));
        self.edits.get(from..).unwrap_or_default()
    }
}

/// A few numbers that differ from run to run.
fn chance(state: &mut u64) -> u64 {
    *state = state
        .wrapping_mul(6_364_136_223_846_793_005)
        .wrapping_add(1_442_695_040_888_963_407);
    *state >> 33
}

/// Whether `ophryon check` takes the file.
fn checks_clean(record: &str, pictures: &[std::path::PathBuf]) -> Result<()> {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("client.json");
    fs::write(&file, record)?;
    for picture in pictures {
        let name = picture.file_name().context("a name")?;
        fs::copy(picture, folder.path().join(name))?;
    }
    let ran = Command::new(given("OPHRYON_BIN")?)
        .arg("check")
        .arg(&file)
        .output()?;
    ensure!(
        ran.status.success(),
        "{}{}",
        String::from_utf8_lossy(&ran.stdout),
        String::from_utf8_lossy(&ran.stderr)
    );
    Ok(())
}

/// How high the peak stands once the client is opened again.
async fn reopened(desk: &Desk) -> Result<String> {
    desk.click("client").await?;
    let handle = desk.find("handle-right-peak").await?;
    handle.focus().await?;
    let field = desk.find("handle-up").await?;
    Ok(field.prop("value").await?.unwrap_or_default())
}

async fn rounds(desk: &mut Desk, profile: &str, count: u64) -> Result<()> {
    desk.click("try-sample").await?;
    desk.click("demo-even").await?;
    desk.find("handle-right-peak").await?;
    is_kept(desk).await?;
    let photo = crate::truth::Invented::read("demo-even")?;
    let photos = [photo.relaxed_photo(), photo.eyes_open_photo()];
    let mut state = std::time::SystemTime::now()
        .duration_since(std::time::UNIX_EPOCH)?
        .as_nanos() as u64;
    let (mut edits, mut unkept) = (0, 0);
    for round in 0..count {
        let handle = desk.find("handle-right-peak").await?;
        handle.focus().await?;
        desk.find("handle-up").await?;
        let until = 300 + chance(&mut state) % 2200;
        // To and fro from round to round, so that heights rarely come twice.
        let key = ["ArrowUp", "ArrowDown"][round as usize % 2];
        let seed = 1 + chance(&mut state) % 1_000_000;
        let said = desk
            .driver
            .execute_async(WORK, vec![until.into(), seed.into(), key.into()])
            .await?;
        let heard = Instant::now();
        // Anywhere within what follows the last edit, also in a write.
        std::thread::sleep(Duration::from_micros(chance(&mut state) % 450_000));
        let since = heard.elapsed();
        kill(browser(profile)?)?;
        let known = Known::of(&said.convert()?, since)?;
        desk.driver.clone().quit().await.ok();
        desk.open_again().await?;
        let there = reopened(desk).await?;
        let allowed = known.allowed();
        ensure!(
            allowed.iter().any(|(_, value)| *value == there),
            "round {round}: the peak stands at {there}, of {:?}; kept was shown at {:?}",
            known.edits,
            known.kept
        );
        edits += known.edits.len();
        let last = known.edits.last().map(|(_, value)| value);
        unkept += usize::from(last != Some(&there));
        checks_clean(&desk.one_record().await?, &photos)
            .with_context(|| format!("round {round}"))?;
    }
    println!(
        "{count} times killed in the middle of {edits} edits: nothing kept was lost; {unkept} times the last edit was younger than a second and not in yet"
    );
    Ok(())
}

fn killed(count: u64) {
    told(async {
        let folder = tempfile::tempdir()?;
        let profile = folder.path().to_str().context("a path")?.to_owned();
        let special = Special {
            args: vec![format!("--user-data-dir={profile}")],
            ..Special::default()
        };
        let app = given("OPHRYON_APP")?;
        let mut desk = Desk::open_special(&app, (1280, 800), "light", &special).await?;
        let told = rounds(&mut desk, &profile, count).await;
        desk.driver.clone().quit().await.ok();
        told
    });
}

#[test]
fn a_browser_killed_in_the_middle_of_work_has_lost_nothing() {
    killed(6);
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn a_browser_killed_at_200_random_moments_has_lost_nothing() {
    killed(200);
}
