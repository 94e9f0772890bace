//! Nothing but the artist's code leads out of the client's pages.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use thirtyfour::prelude::*;

use super::{CODE, at_show, bounds, hand_over, look, only_hers, type_code};
use crate::desk::{Desk, Special, given};
use crate::keeping::killed::{browser, kill};
use crate::{at_a_desk, told};

/// Another client is on the device, and a sample was handed over.
async fn locked(desk: &Desk) -> Result<()> {
    desk.find("new-code").await?.send_keys("Zerelda").await?;
    desk.click("new-client").await?;
    desk.find("bring").await?;
    desk.reads("kept", "Kept").await?;
    desk.click("to-clients").await?;
    at_show(desk).await?;
    hand_over(desk).await
}

/// Types a code and waits until it was tried.
async fn wrong(desk: &Desk, code: &str, said: &str) -> Result<()> {
    type_code(desk, code).await?;
    desk.reads("code-said", said).await?;
    Ok(())
}

#[test]
fn five_wrong_codes_are_followed_by_a_pause_that_no_reload_and_no_clock_shortens() {
    at_a_desk((820, 1180), "light", async |desk| {
        locked(desk).await?;
        desk.click("give-back").await?;
        for left in ["4 more", "3 more", "2 more", "One more"] {
            wrong(desk, "1234", left).await?;
        }
        wrong(desk, "12345", "Too many wrong codes").await?;
        desk.photograph("handed-pause").await?;
        let seconds = async || -> Result<u32> {
            let said = desk.reads("code-said", "seconds").await?;
            let number: String = said.chars().filter(char::is_ascii_digit).collect();
            Ok(number.parse()?)
        };
        let first = seconds().await?;
        ensure!((20..=30).contains(&first), "a pause of {first} s");
        // The keys take nothing meanwhile, not even the right code.
        let key = desk.find("code-2").await?;
        ensure!(!key.is_enabled().await?, "a key can be pressed");
        desk.find("code-dots").await?.send_keys(CODE).await?;
        ensure!(look(desk).await? == "hers");

        // A clock that was set ahead by a day, from the start of the page on.
        let ahead = "const now = Date.now; Date.now = () => now() + 86400000;";
        desk.driver
            .cdp()
            .send_raw(
                "Page.addScriptToEvaluateOnNewDocument",
                json!({ "source": ahead }),
            )
            .await?;
        desk.driver.refresh().await?;
        only_hers(desk).await?;
        let after = seconds().await?;
        ensure!(
            after + 10 > first,
            "{first} s were left, and {after} s after a reload"
        );
        tokio::time::sleep(std::time::Duration::from_secs(after.into())).await;
        desk.until("the keys stay shut", async || {
            let key = desk.find("code-2").await?;
            Ok(key.is_enabled().await?.then_some(()))
        })
        .await?;
        type_code(desk, CODE).await?;
        desk.find("hand-over").await?;
        Ok(())
    });
}

#[test]
fn other_windows_links_and_the_way_back_lead_nowhere_else() {
    at_a_desk((1180, 820), "light", async |desk| {
        // A window that was open before, with the other client in it.
        locked(desk).await?;
        let hers = desk.driver.window().await?;
        let other = desk.driver.new_tab().await?;
        desk.driver.switch_to_window(other.clone()).await?;
        desk.driver.goto(&desk.address).await?;
        // The second window takes her pages over, and the first says so.
        only_hers(desk).await?;
        desk.reads("handed-heading", "Your brows").await?;
        desk.driver.switch_to_window(hers.clone()).await?;
        desk.find("handed-elsewhere").await?;
        ensure!(look(desk).await? == "hers");
        desk.photograph("handed-elsewhere").await?;
        desk.click("handed-here").await?;
        desk.reads("handed-heading", "Your brows").await?;

        for edited in [
            "#place-shape",
            "#home",
            "?client=1",
            "index.html#x",
            "#/clients",
        ] {
            desk.driver
                .goto(format!("{}{edited}", desk.address))
                .await?;
            only_hers(desk).await?;
        }
        desk.driver.back().await?;
        only_hers(desk).await?;

        // Taken back in one window, the other is locked no more and shows
        // the first screen, not a client's file that is older by now.
        desk.click("give-back").await?;
        type_code(desk, CODE).await?;
        desk.find("hand-over").await?;
        desk.driver.switch_to_window(other).await?;
        desk.find("home").await?;
        // A window that was open before the next handing over locks as well.
        desk.driver.switch_to_window(hers).await?;
        desk.click("hand-over").await?;
        only_hers(desk).await?;
        let other = desk.driver.windows().await?;
        desk.driver.switch_to_window(other[1].clone()).await?;
        only_hers(desk).await?;
        desk.find("handed-elsewhere").await?;
        Ok(())
    });
}

#[test]
fn the_code_can_be_changed_by_who_knows_it() {
    at_a_desk((1280, 800), "light", async |desk| {
        at_show(desk).await?;
        // Two that differ set none.
        desk.click("hand-over").await?;
        type_code(desk, "1234").await?;
        desk.reads("code-heading", "once more").await?;
        type_code(desk, "1243").await?;
        desk.reads("handing-said", "not the same").await?;
        desk.photograph("handing-code").await?;
        type_code(desk, "1234").await?;
        desk.reads("code-heading", "once more").await?;
        type_code(desk, "1234").await?;
        only_hers(desk).await?;
        desk.click("give-back").await?;
        type_code(desk, "1234").await?;
        desk.click("change-code").await?;
        desk.reads("code-heading", "as it is").await?;
        type_code(desk, "4321").await?;
        desk.reads("handing-said", "not the code").await?;
        type_code(desk, "1234").await?;
        desk.reads("code-heading", "Choose").await?;
        type_code(desk, CODE).await?;
        desk.reads("code-heading", "once more").await?;
        type_code(desk, CODE).await?;
        desk.reads("handing-said", "changed").await?;
        desk.click("hand-over").await?;
        only_hers(desk).await?;
        desk.click("give-back").await?;
        wrong(desk, "1234", "not the code").await?;
        type_code(desk, CODE).await?;
        desk.find("hand-over").await?;
        Ok(())
    });
}

/// A few numbers that differ from step to step.
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % end
    }

    fn of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len() as u64) as usize]
    }
}

/// Keys that lead somewhere in one program or another.
const KEYS: [&str; 12] = [
    "Escape",
    "Tab",
    "Enter",
    "Backspace",
    "Home",
    "Delete",
    "F5",
    "F6",
    "Alt+Left",
    "Control+z",
    "Control+Shift+Z",
    "Control+p",
];

const EDITS: [&str; 8] = [
    "#",
    "#home",
    "#place-shape",
    "?fresh=1",
    "index.html",
    "#invitation=abc",
    "?x#undo",
    "./",
];

/// Does something that a bored client could do.
async fn one_thing(desk: &Desk, chance: &mut Chance, size: (u64, u64)) -> Result<String> {
    let driver = &desk.driver;
    let done = match chance.below(20) {
        0..=10 => {
            let (x, y) = (chance.below(size.0) as i64, chance.below(size.1) as i64);
            let tap = driver.action_chain().move_to(x, y).click_and_hold();
            tap.release().perform().await?;
            format!("a tap at {x}, {y}")
        }
        11..=15 => {
            let key = *chance.of(&KEYS);
            keys(desk, key).await?;
            key.to_owned()
        }
        16 => {
            driver.refresh().await?;
            "a reload".to_owned()
        }
        17 => {
            driver.back().await?;
            let at = driver.current_url().await?.to_string();
            if !at.starts_with(&desk.address) {
                driver.goto(&desk.address).await?;
            }
            "back".to_owned()
        }
        _ => {
            let edit = *chance.of(&EDITS);
            driver.goto(format!("{}{edit}", desk.address)).await?;
            format!("the link {edit}")
        }
    };
    Ok(done)
}

async fn keys(desk: &Desk, combination: &str) -> Result<()> {
    let mut words: Vec<&str> = combination.split('+').collect();
    let last = words.pop().unwrap_or_default();
    let letter = |name: &str| match name {
        "Escape" => Key::Escape.into(),
        "Tab" => Key::Tab.into(),
        "Enter" => Key::Enter.into(),
        "Backspace" => Key::Backspace.into(),
        "Home" => Key::Home.into(),
        "Delete" => Key::Delete.into(),
        "F5" => Key::F5.into(),
        "F6" => Key::F6.into(),
        "Left" => Key::Left.into(),
        "Alt" => Key::Alt.into(),
        "Control" => Key::Control.into(),
        "Shift" => Key::Shift.into(),
        other => other.chars().next().unwrap_or(' '),
    };
    let mut chain = desk.driver.action_chain();
    for held in &words {
        chain = chain.key_down(letter(held));
    }
    chain = chain.key_down(letter(last)).key_up(letter(last));
    for held in &words {
        chain = chain.key_up(letter(held));
    }
    chain.perform().await?;
    Ok(())
}

async fn random_things(desk: &Desk, how_many: usize, seed: u64) -> Result<()> {
    locked(desk).await?;
    let size = (1180, 820);
    let mut chance = Chance(seed);
    let mut past: Vec<String> = Vec::new();
    for n in 0..how_many {
        let did = one_thing(desk, &mut chance, size).await;
        past.push(match did {
            Ok(did) => did,
            // The page may be loading under the finger.
            Err(why) => format!("nothing ({why})"),
        });
        let seen = look(desk).await.unwrap_or_else(|_| "nothing".to_owned());
        ensure!(
            !seen.contains("artist") && !seen.contains("client"),
            "after {n} things, the last {:?}: {seen} is there",
            past.iter().rev().take(5).collect::<Vec<_>>()
        );
    }
    let nothing = past.iter().filter(|p| p.starts_with("nothing")).count();
    ensure!(
        nothing * 5 < how_many,
        "{nothing} of {how_many} things could not be done: {past:?}"
    );
    println!(
        "{} things were done, none led to the artist's tools",
        how_many - nothing
    );
    // She is still there.
    desk.driver.goto(&desk.address).await?;
    only_hers(desk).await?;
    desk.find("give-back").await?;
    Ok(())
}

#[test]
fn random_taps_keys_and_links_never_reach_another_client() {
    at_a_desk((1180, 820), "light", async |desk| {
        random_things(desk, 100, 20_261_128).await
    });
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn five_hundred_random_things_never_reach_another_client() {
    for seed in [3, 5, 7, 11, 13] {
        at_a_desk((1180, 820), "light", async |desk| {
            random_things(desk, 100, seed).await
        });
    }
}

#[test]
fn a_browser_that_is_killed_at_once_opens_locked() {
    told(async {
        let profile = tempfile::tempdir()?;
        let folder = profile.path().to_str().context("a path")?;
        let special = Special {
            args: vec![format!("--user-data-dir={folder}")],
            ..Special::default()
        };
        let app = given("OPHRYON_APP")?;
        let mut desk = Desk::open_special(&app, (820, 1180), "light", &special).await?;
        let story = async |desk: &mut Desk| -> Result<()> {
            locked(desk).await?;
            // Long before the browser writes its words to the disk.
            kill(browser(folder)?)?;
            desk.start_again().await?;
            only_hers(desk).await?;
            desk.click("give-back").await?;
            wrong(desk, "1234", "4 more").await?;
            kill(browser(folder)?)?;
            desk.start_again().await?;
            only_hers(desk).await?;
            desk.reads("handed-heading", "give the tablet back").await?;
            wrong(desk, "1234", "3 more").await?;
            type_code(desk, CODE).await?;
            desk.find("hand-over").await?;
            Ok(())
        };
        let told = story(&mut desk).await;
        desk.driver.clone().quit().await.ok();
        told
    });
}

#[test]
fn a_file_that_is_dropped_opens_nothing() {
    at_a_desk((1180, 820), "light", async |desk| {
        locked(desk).await?;
        let [x, y, w, h] = bounds(desk, "look-face").await?;
        let script = "const data = new DataTransfer();
            data.items.add(new File(['{}'], 'client.json', { type: 'application/json' }));
            const at = { clientX: arguments[0], clientY: arguments[1], bubbles: true,
                cancelable: true, dataTransfer: data };
            const under = document.elementFromPoint(arguments[0], arguments[1]);
            return ['dragenter', 'dragover', 'drop'].map((kind) =>
                under.dispatchEvent(new DragEvent(kind, at)));";
        let place = vec![json!(x + 0.5 * w), json!(y + 0.5 * h)];
        let taken: Vec<bool> = desk.driver.execute(script, place).await?.convert()?;
        ensure!(!taken[1] && !taken[2], "the browser would open the file");
        only_hers(desk).await?;
        // Printed, there is nothing on the page.
        let script = "return [...document.querySelectorAll('.handed')].length;";
        let found = desk.driver.execute(script, Vec::<Value>::new()).await?;
        ensure!(found.convert::<usize>()? == 1);
        Ok(())
    });
}
