//! What can go wrong with a device, each in a real browser: said in a sentence,
//! and nothing that was kept is lost.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use thirtyfour::Key;

use super::inside::Inside;
use super::{again, is_kept, peak_moves, sample};
use crate::desk::{Desk, Special, given};
use crate::{at_a_desk, told};

/// Tells a story in a browser that is not the usual one.
fn in_a_special_browser(special: Special, story: impl AsyncFnOnce(&Desk) -> Result<()>) {
    told(async {
        let app = given("OPHRYON_APP")?;
        let desk = Desk::open_special(&app, (1280, 800), "light", &special).await?;
        let told = story(&desk).await;
        desk.driver.clone().quit().await.ok();
        told
    });
}

/// So much room for the page, bytes; as much as the device has for `None`.
async fn room(desk: &Desk, bytes: Option<u64>) -> Result<()> {
    let origin = desk.address.trim_end_matches('/');
    let wish = match bytes {
        Some(bytes) => json!({ "origin": origin, "quotaSize": bytes }),
        None => json!({ "origin": origin }),
    };
    let tools = desk.driver.cdp();
    tools
        .send_raw("Storage.overrideQuotaForOrigin", wish)
        .await?;
    Ok(())
}

/// Fills what room there is, to a few hundred bytes.
async fn fill(desk: &Desk) -> Result<()> {
    let work = "const db = await opened(); let filled = 0;
        for (const size of [400000, 40000, 4000, 400]) {
          for (let n = 0; n < 100; n += 1) {
            const bytes = new Uint8Array(size);
            for (let i = 0; i < size; i += 65536) crypto.getRandomValues(bytes.subarray(i, i + 65536));
            const store = at(db, 'facts', 'readwrite');
            try { store.put(bytes, `fill-${size}-${n}`); await ended(store); filled += size; }
            catch (why) { break; }
          }
        }
        db.close(); return filled;";
    let filled = desk.inside(work, vec![]).await?;
    ensure!(
        filled.as_u64().is_some_and(|n| n > 0),
        "filled with {filled}"
    );
    Ok(())
}

#[test]
fn a_full_device_is_said_and_all_is_kept_once_there_is_room() {
    at_a_desk((1280, 800), "light", async |desk| {
        // A small device, filled to the last by something else of the page.
        desk.is_kept().await?;
        let used = desk
            .inside("return (await navigator.storage.estimate()).usage;", vec![])
            .await?;
        let used = used.as_u64().context("what is used")?;
        room(desk, Some(used + 8_000_000)).await?;
        sample(desk).await?;
        let before = (desk.one_record().await?, desk.pictures().await?);
        fill(desk).await?;
        peak_moves(desk, Key::Up).await?;
        let said = desk.reads("not-kept", "no room left").await?;
        for words in [
            "erase clients",
            "what was kept before is still there",
            "Save the client's file",
        ] {
            ensure!(said.contains(words), "“{said}” doesn't say “{words}”");
        }
        desk.photograph("keeping-full").await?;
        ensure!(
            (desk.one_record().await?, desk.pictures().await?) == before,
            "what was kept before is gone"
        );
        // Leaving doesn't lose it unasked.
        desk.click("to-clients").await?;
        desk.find("leave-anyway").await?;
        ensure!(
            !desk.is_there("home").await,
            "the last change was left behind"
        );
        // The file can be saved meanwhile.
        let file = String::from_utf8(desk.save("keep-as-file").await?)?;
        ensure!(file.contains("\"schema\": 3"), "no client's file");
        desk.clear("facts").await?;
        room(desk, None).await?;
        desk.click("keep-again").await?;
        is_kept(desk).await?;
        ensure!(desk.one_record().await? != before.0, "the edit was lost");
        ensure!(!desk.is_there("not-kept").await, "it still says so");
        Ok(())
    });
}

#[test]
fn where_the_settings_deny_storing_it_is_said_and_work_goes_on() {
    let blocked = Special {
        prefs: vec![(
            "profile.default_content_setting_values.cookies",
            Value::from(2),
        )],
        ..Special::default()
    };
    in_a_special_browser(blocked, async |desk| {
        let said = desk.reads("no-store", "settings").await?;
        ensure!(
            said.contains("Allow it to store data") && said.contains("save each client's file"),
            "“{said}”"
        );
        desk.photograph("keeping-denied").await?;
        desk.click("try-sample").await?;
        desk.click("demo-even").await?;
        desk.find("handle-right-peak").await?;
        let said = desk.reads("not-kept", "settings").await?;
        ensure!(said.contains("Save the client's file"), "“{said}”");
        let file = String::from_utf8(desk.save("keep-as-file").await?)?;
        ensure!(file.contains("\"schema\": 3"), "no client's file");
        Ok(())
    });
}

#[test]
fn in_a_private_window_the_work_is_kept_while_it_is_open() {
    let private = Special {
        args: vec!["--incognito".to_owned()],
        ..Special::default()
    };
    in_a_special_browser(private, async |desk| {
        sample(desk).await?;
        peak_moves(desk, Key::Up).await?;
        is_kept(desk).await?;
        let kept = desk.one_record().await?;
        again(desk).await?;
        // Nobody promised to keep it, and the page says what a private window
        // does.
        desk.click("keep-safe").await?;
        desk.reads("promise", "has not promised to keep it").await?;
        desk.click("room-more").await?;
        desk.reads("home", "A private window loses it when it is closed")
            .await?;
        again(desk).await?;
        desk.click("client").await?;
        desk.find("handle-right-peak").await?;
        ensure!(desk.one_record().await? == kept, "her file changed");
        Ok(())
    });
}

#[test]
fn a_lost_photo_is_said_and_everything_else_is_there() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample(desk).await?;
        let before = desk.one_record().await?;
        desk.clear("pictures").await?;
        again(desk).await?;
        desk.click("client").await?;
        let said = desk.reads("said", "no longer on this device").await?;
        ensure!(
            said.contains("everything tapped and drawn is")
                && said.contains("Bring the photo again"),
            "“{said}”"
        );
        desk.find("handle-right-peak").await?;
        ensure!(desk.one_record().await? == before, "her file changed");
        Ok(())
    });
}

#[test]
fn a_clock_set_back_changes_no_order_and_overwrites_nothing() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample(desk).await?;
        desk.click("to-clients").await?;
        desk.find("home").await?;
        let versions = async |n: u64| {
            desk.until("the versions were not kept", async || {
                Ok((desk.count("versions").await? >= n).then_some(()))
            })
            .await
        };
        versions(1).await?;
        // From here on a year earlier, for every page that is opened.
        let back = "{ const then = Date; const year = 365 * 24 * 3600 * 1000;
            Date = class extends then {
              constructor(...given) { given.length ? super(...given) : super(then.now() - year); }
              static now() { return then.now() - year; }
            }; }";
        desk.driver
            .cdp()
            .send_raw(
                "Page.addScriptToEvaluateOnNewDocument",
                json!({ "source": back }),
            )
            .await?;
        again(desk).await?;
        desk.find("new-code").await?.send_keys("LATER").await?;
        desk.click("new-client").await?;
        desk.find("bring").await?;
        is_kept(desk).await?;
        desk.click("to-clients").await?;
        desk.reads("client", "LATER").await?;
        versions(2).await?;
        again(desk).await?;
        // The one who was kept last comes first.
        let first = desk.reads("client", "Go on with").await?;
        ensure!(first.contains("LATER"), "“{first}” comes first");
        ensure!(desk.records().await?.len() == 2, "one was written over");
        // Versions of the other go on in their order.
        for _ in 0..2 {
            let lines = desk
                .driver
                .find_all(thirtyfour::By::Css("[data-testid=client]"))
                .await?;
            for line in lines {
                if line.text().await?.contains("demo-even") {
                    line.click().await?;
                    break;
                }
            }
            desk.find("handle-right-peak").await?;
            peak_moves(desk, Key::Up).await?;
            is_kept(desk).await?;
            desk.click("to-clients").await?;
            desk.find("home").await?;
        }
        versions(4).await?;
        desk.click("client").await?;
        desk.click("kept").await?;
        desk.find("version-1").await?;
        let list = desk.find("earlier").await?;
        let at = |all: &str, id: &str| all.find(id);
        let html = list.inner_html().await?;
        let order = [3, 2, 1].map(|n| at(&html, &format!("\"version-{n}\"")));
        ensure!(
            order.is_sorted() && order.iter().all(Option::is_some),
            "the versions are out of order: {order:?}"
        );
        Ok(())
    });
}

#[test]
fn a_client_of_a_later_version_is_refused_in_words_and_stays_untouched() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample(desk).await?;
        let (key, record) = desk.records().await?.pop().context("a client")?;
        let later = record
            .replacen("\"schema\": 3", "\"schema\": 99", 1)
            .replacen("\"client\"", "\"colour\": \"x\",\n  \"client\"", 1);
        ensure!(later != record, "the schema stands elsewhere");
        desk.put_record(&key, &later).await?;
        desk.put("list", &key, json!("damaged")).await?;
        again(desk).await?;
        desk.reads("client", "demo-even").await?;
        desk.click("client").await?;
        let said = desk.reads("home-trouble", "newer Ophryon").await?;
        for words in ["schema 99", "stays as she is kept", "update"] {
            ensure!(said.contains(words), "“{said}” doesn't say “{words}”");
        }
        desk.photograph("keeping-later-version").await?;
        ensure!(desk.record(&key).await? == later, "it was touched");
        let file: Value = serde_json::from_slice(&desk.save("save-as-kept").await?)?;
        ensure!(file["schema"] == 99 && file["colour"] == "x", "not as kept");
        let image = &file["photos"][0]["image"];
        ensure!(
            image["kind"] == "embedded",
            "its photo is not inside: {image}"
        );
        ensure!(desk.record(&key).await? == later, "it was touched");
        Ok(())
    });
}

#[test]
fn a_damaged_line_of_the_list_is_mended_from_the_client_herself() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample(desk).await?;
        let (key, record) = desk.records().await?.pop().context("a client")?;
        for damage in [json!("2\nhalf a line"), json!(17), json!({ "a": 1 })] {
            desk.put("list", &key, damage).await?;
            again(desk).await?;
            let line = desk.reads("client", "demo-even").await?;
            ensure!(line.contains("shape proposed"), "“{line}”");
        }
        desk.clear("list").await?;
        // A line of nobody is no client.
        desk.put("list", "nobody", json!("nobody\n1\nshape drawn\nX"))
            .await?;
        again(desk).await?;
        desk.reads("client", "demo-even").await?;
        desk.click("client").await?;
        desk.find("handle-right-peak").await?;
        ensure!(desk.one_record().await? == record, "her file changed");
        Ok(())
    });
}

#[test]
fn a_write_that_the_browser_stops_is_said_and_leaves_the_store_as_it_was() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample(desk).await?;
        let before = desk.one_record().await?;
        // Stopped after the record was handed in and before the end.
        desk.driver
            .execute(
                "const put = IDBObjectStore.prototype.put;
                 window.mend = () => { IDBObjectStore.prototype.put = put; };
                 IDBObjectStore.prototype.put = function (...given) {
                   const request = put.apply(this, given);
                   if (this.name === 'list') this.transaction.abort();
                   return request;
                 };",
                Vec::<Value>::new(),
            )
            .await?;
        peak_moves(desk, Key::Up).await?;
        let said = desk
            .reads("not-kept", "would not keep the last change")
            .await?;
        ensure!(
            said.contains("what was kept before is still there"),
            "“{said}”"
        );
        ensure!(desk.one_record().await? == before, "half a write is kept");
        desk.driver
            .execute("window.mend();", Vec::<Value>::new())
            .await?;
        desk.click("keep-again").await?;
        is_kept(desk).await?;
        ensure!(desk.one_record().await? != before, "the edit was lost");
        Ok(())
    });
}
