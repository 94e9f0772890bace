//! A visit while it is worked: gloves, timer, supplies, the skin, the sheet.

use std::fs;
use std::time::Duration;

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use thirtyfour::prelude::*;

use crate::at_a_desk;
use crate::desk::Desk;
use crate::today;
use crate::truth::Invented;

/// Opens the invented client and goes to her visits.
async fn to_visits(desk: &Desk) -> Result<()> {
    desk.click("try-sample").await?;
    desk.click("demo-set").await?;
    desk.find("panel").await?;
    desk.click("place-visits").await
}

/// A finger's tap, as the browser tells of it: down, up, and then the click.
async fn touch(desk: &Desk, id: &str) -> Result<()> {
    let element = desk.find(id).await?;
    element.scroll_into_view().await?;
    let rect = element.rect().await?;
    let script = "const [x, y, id] = arguments;
        const on = document.elementFromPoint(x, y);
        const how = { bubbles: true, cancelable: true, pointerType: 'touch', pointerId: 7,
                      isPrimary: true, clientX: x, clientY: y, width: 40, height: 40 };
        on.dispatchEvent(new PointerEvent('pointerdown', how));
        on.dispatchEvent(new PointerEvent('pointerup', how));
        on.dispatchEvent(new PointerEvent('click', how));
        return on.closest(`[data-testid=\"${id}\"]`) !== null;";
    let (x, y) = (rect.x + 0.5 * rect.width, rect.y + 0.5 * rect.height);
    let at = vec![json!(x), json!(y), json!(id)];
    let hit = desk.driver.execute(script, at).await?;
    ensure!(hit.convert::<bool>()?, "a finger on “{id}” lands elsewhere");
    Ok(())
}

/// Opens a section of the panel.
async fn open(desk: &Desk, id: &str) -> Result<()> {
    let section = desk.find(id).await?;
    if section.attr("open").await?.is_none() {
        section.find(By::Css("summary")).await?.click().await?;
    }
    Ok(())
}

/// Sets a day as the browser's own picker does.
async fn pick_day(desk: &Desk, id: &str, day: &str) -> Result<()> {
    desk.find(id).await?;
    let script = "const field = document.querySelector(`[data-testid=\"${arguments[0]}\"]`);
        field.value = arguments[1];
        field.dispatchEvent(new Event('change', { bubbles: true }));";
    desk.driver
        .execute(script, vec![json!(id), json!(day)])
        .await?;
    Ok(())
}

async fn pigment(desk: &Desk, name: &str, batch: &str, expires: &str) -> Result<()> {
    desk.click("pigment-new").await?;
    for (id, text) in [
        ("pigment-name", name),
        ("pigment-maker", "Invented Pigments"),
        ("pigment-batch", batch),
    ] {
        desk.find(id).await?.send_keys(text).await?;
    }
    pick_day(desk, "pigment-expires", expires).await?;
    desk.click("pigment-take").await
}

/// Seconds that a tile's clock shows.
async fn seconds(desk: &Desk, zone: &str) -> Result<u32> {
    let text = desk.text(&format!("time-{zone}")).await?;
    let (minutes, seconds) = text.split_once(':').context("a clock")?;
    Ok(60 * minutes.parse::<u32>()? + seconds.parse::<u32>()?)
}

async fn saved(desk: &Desk) -> Result<Value> {
    desk.click("place-paper").await?;
    open(desk, "files").await?;
    Ok(serde_json::from_slice(&desk.save("save-client").await?)?)
}

#[test]
fn a_whole_visit_with_gloves() {
    at_a_desk((820, 1180), "light", async |desk| {
        to_visits(desk).await?;
        desk.photograph("visits-none").await?;
        touch(desk, "begin-likely").await?;
        desk.reads("question", "First session").await?;
        desk.reads("visit-agreed", "Not agreed yet").await?;

        // Counted on both sides; a slip is taken back by one tap, and by undo.
        touch(desk, "count-outline").await?;
        for _ in 0..3 {
            touch(desk, "count-tail").await?;
        }
        desk.reads("passes-tail", "3").await?;
        touch(desk, "take-back").await?;
        desk.reads("passes-tail", "2").await?;
        desk.reads(
            "undo",
            "count passes on the tail of the client's right brow",
        )
        .await?;
        desk.click("undo").await?;
        desk.reads("passes-tail", "1").await?;
        desk.click("redo").await?;
        desk.reads("passes-tail", "2").await?;
        // A tap on the zone of her own brow counts as well.
        touch(desk, "zone-left-body").await?;
        desk.reads("passes-body", "1").await?;
        ensure!(
            desk.text("passes-tail").await? == "0",
            "that is the right brow's"
        );
        touch(desk, "brow-right").await?;
        desk.reads("passes-tail", "2").await?;
        desk.photograph("visits-counted").await?;

        // Buttons for gloves: no smaller than a thumb.
        for id in ["count-front", "timer-front", "take-back", "brow-left"] {
            let size = desk.find(id).await?.rect().await?;
            ensure!(
                size.width >= 88.0 && size.height >= 60.0,
                "“{id}” is {} x {} px",
                size.width,
                size.height
            );
        }

        // The skin answers: the caution stands large, and the tile says so.
        touch(desk, "skin-bleeding").await?;
        let said = desk.reads("skin-caution", "Stop on this zone").await?;
        for part in [
            "Client's right, tail: pinpoint bleeding",
            "too little stretch or too much force",
            "Thinner skin bleeds sooner",
            "on bone, never on the eye",
            "no medical advice",
        ] {
            ensure!(said.contains(part), "no “{part}” in “{said}”");
        }
        let shown = desk.find("skin-caution").await?.find(By::Css("p")).await?;
        let large = shown.css_value("font-size").await?;
        let px: f64 = large.trim_end_matches("px").parse()?;
        ensure!(px >= 20.0, "the caution is set in {large}");
        desk.photograph("visits-caution").await?;
        touch(desk, "caution-read").await?;
        desk.reads("count-tail", "pinpoint bleeding").await?;
        // One more pass over it brings the caution back.
        touch(desk, "count-tail").await?;
        desk.find("skin-caution").await?;
        touch(desk, "take-back").await?;
        touch(desk, "caution-read").await?;

        // A pigment past its day is warned of, and kept all the same.
        open(desk, "pigment").await?;
        pigment(desk, "Ash brown", "AB-2291", "2020-01-31").await?;
        desk.reads(
            "visit-warnings",
            "“Ash brown” was to be used until 31 January 2020",
        )
        .await?;
        pigment(desk, "Olive", "OL-7", "2099-01-31").await?;
        open(desk, "needles").await?;
        desk.enter("needle-batch", "N-77").await?;
        desk.find("needle-batch")
            .await?
            .send_keys(Key::Tab + "")
            .await?;
        desk.photograph("visits-supplies").await?;

        // It was on another day; then the next one is a tap away.
        ensure!(!desk.is_there("begin-today").await, "today's visit is open");
        open(desk, "visit-log").await?;
        pick_day(desk, "visit-day", "2025-12-05").await?;
        desk.reads("question", "5 December 2025").await?;
        desk.find("begin-today").await?;

        // A photo, a note, the next visit.
        open(desk, "visit-photos").await?;
        let photo = Invented::read("demo-even")?.relaxed_photo();
        desk.choose("visit-photo", &photo).await?;
        desk.find("visit-photo-0").await?;
        open(desk, "notes").await?;
        let note = desk.find("visit-notes").await?;
        note.send_keys("Calm. Cooled once.").await?;
        note.send_keys(Key::Tab + "").await?;
        desk.reads("undo", "notes").await?;
        open(desk, "next-visit").await?;
        desk.reads("next-proposed", "4 to 8 weeks").await?;
        desk.click("take-next").await?;
        desk.find("next-from").await?;
        desk.photograph("visits-next").await?;

        // The second visit offers them again, by a tap; what is over it doesn't.
        desk.click("begin-today").await?;
        desk.reads("question", "Second session").await?;
        open(desk, "pigment").await?;
        let offered = desk.text("pigment-offer-0").await?;
        ensure!(offered.contains("Olive, batch OL-7"), "offered: {offered}");
        ensure!(
            !desk.is_there("pigment-offer-1").await,
            "an expired one is offered"
        );
        desk.click("pigment-offer-0").await?;
        desk.reads("pigment-0", "Olive").await?;
        open(desk, "needles").await?;
        desk.click("needles-offer-0").await?;

        let file = saved(desk).await?;
        let visit = &file["visits"][0];
        ensure!(visit["day"] == json!("2025-12-05"), "{visit}");
        // Four weeks after it, by the calendar, and eight.
        let next = json!({ "from": "2026-01-02", "to": "2026-01-30" });
        ensure!(visit["next"] == next, "{visit}");
        ensure!(visit["kind"] == json!("first-session"), "{visit}");
        let right = &visit["work"]["right"];
        ensure!(right["tail"]["passes"] == json!(2), "{right}");
        ensure!(
            right["tail"]["skin"] == json!(["pinpoint-bleeding"]),
            "{right}"
        );
        ensure!(right["outline"]["passes"] == json!(1), "{right}");
        ensure!(
            visit["work"]["left"]["body"]["passes"] == json!(1),
            "{visit}"
        );
        ensure!(visit["needle-batch"] == json!("N-77"), "{visit}");
        ensure!(
            visit["pigments"][0]["expires"] == json!("2020-01-31"),
            "{visit}"
        );
        ensure!(visit["notes"] == json!("Calm. Cooled once."), "{visit}");
        let photo = &visit["photos"][0];
        let kept = file["photos"].as_array().context("photos")?;
        let kept = kept
            .iter()
            .find(|p| p["id"] == *photo)
            .context("its photo")?;
        ensure!(kept["state"] == json!("visit"), "{}", kept["state"]);
        let second = &file["visits"][1];
        ensure!(second["day"] == json!(today()?), "{second}");
        ensure!(second["pigments"][0]["batch"] == json!("OL-7"), "{second}");
        Ok(())
    });
}

#[test]
fn the_timer_goes_on_where_nobody_looks() {
    at_a_desk((1280, 800), "light", async |desk| {
        to_visits(desk).await?;
        desk.click("begin-likely").await?;
        desk.click("timer-body").await?;
        desk.reads("time-body", "0:02").await?;

        // Another place, and back.
        desk.click("place-shape").await?;
        tokio::time::sleep(Duration::from_millis(2200)).await;
        desk.click("place-visits").await?;
        desk.find("time-body").await?;
        ensure!(
            seconds(desk, "body").await? >= 4,
            "it stood still elsewhere"
        );

        // The page is opened anew, and the client with it.
        desk.reads("kept", "Kept").await?;
        desk.driver.goto("about:blank").await?;
        tokio::time::sleep(Duration::from_millis(2200)).await;
        desk.driver.goto(&desk.address).await?;
        desk.click("client").await?;
        desk.click("place-visits").await?;
        desk.find("time-body").await?;
        let before = seconds(desk, "body").await?;
        ensure!(
            before >= 6,
            "{before} s are left after opening the page anew"
        );
        let button = desk.find("timer-body").await?;
        ensure!(button.attr("aria-pressed").await?.as_deref() == Some("true"));

        // The clock is set back by an hour: nothing is lost, and it goes on.
        let script = "const real = Date.now.bind(Date);
            Date.now = () => real() - 3600000;";
        desk.driver.execute(script, Vec::<Value>::new()).await?;
        tokio::time::sleep(Duration::from_millis(2200)).await;
        let after = seconds(desk, "body").await?;
        ensure!(
            (before..before + 30).contains(&after),
            "{before} s became {after} with the clock set back"
        );

        // Starting another zone's pauses it and keeps what it came to.
        desk.click("timer-front").await?;
        desk.reads("undo", "set the time worked on the body")
            .await?;
        let kept = seconds(desk, "body").await?;
        tokio::time::sleep(Duration::from_millis(1500)).await;
        ensure!(seconds(desk, "body").await? == kept, "it runs on");
        ensure!(kept >= after, "{after} s became {kept} at the pause");
        desk.click("timer-front").await?;
        let file = saved(desk).await?;
        let body = &file["visits"][0]["work"]["right"]["body"]["seconds"];
        ensure!(
            body == &json!(kept),
            "{body} in the file, {kept} on the screen"
        );
        Ok(())
    });
}

#[test]
fn what_is_typed_outlasts_the_page_without_a_field_being_left() {
    at_a_desk((1280, 800), "light", async |desk| {
        to_visits(desk).await?;
        desk.click("begin-likely").await?;
        touch(desk, "count-tail").await?;
        desk.reads("passes-tail", "1").await?;
        open(desk, "pigment").await?;
        desk.click("pigment-new").await?;
        desk.find("pigment-name").await?.send_keys("Ash br").await?;
        // Another place takes nothing that is half typed away.
        desk.click("place-shape").await?;
        desk.click("place-visits").await?;
        open(desk, "pigment").await?;
        let name = desk.find("pigment-name").await?;
        ensure!(name.prop("value").await?.as_deref() == Some("Ash br"));
        open(desk, "notes").await?;
        let note = desk.find("visit-notes").await?;
        note.send_keys("Calm, and the ").await?;
        desk.reads("undo", "notes").await?;
        desk.reads("kept", "Kept").await?;

        desk.driver.goto("about:blank").await?;
        desk.driver.goto(&desk.address).await?;
        desk.reads("client", "first session").await?;
        desk.click("client").await?;
        desk.click("place-visits").await?;
        open(desk, "notes").await?;
        let note = desk.find("visit-notes").await?;
        let kept = note.prop("value").await?;
        ensure!(kept.as_deref() == Some("Calm, and the "), "{kept:?}");
        open(desk, "pigment").await?;
        let name = desk.find("pigment-name").await?;
        ensure!(name.prop("value").await?.as_deref() == Some("Ash br"));
        // What is taken back is what was counted.
        desk.reads("take-back", "tail").await?;
        Ok(())
    });
}

#[test]
fn a_visit_by_keyboard_alone() {
    at_a_desk((1180, 820), "dark", async |desk| {
        to_visits(desk).await?;
        // By its focus and Enter or Space, as a keyboard does it.
        let press = async |id: &str, key: Key| -> Result<()> {
            let element = desk.find(id).await?;
            element.focus().await?;
            let active = desk.driver.active_element().await?;
            ensure!(
                active.attr("data-testid").await?.as_deref() == Some(id),
                "“{id}” can't be reached by the keyboard"
            );
            active.send_keys(key + "").await?;
            Ok(())
        };
        press("begin-first-session", Key::Enter).await?;
        desk.find("counter").await?;
        press("count-front", Key::Enter).await?;
        press("count-front", Key::Space).await?;
        desk.reads("passes-front", "2").await?;
        press("brow-left", Key::Space).await?;
        press("count-outline", Key::Enter).await?;
        press("skin-swelling", Key::Enter).await?;
        desk.reads("skin-caution", "Client's left, outline: swelling")
            .await?;
        desk.photograph("visits-caution-dark").await?;
        press("caution-read", Key::Enter).await?;
        // Undo takes the answer away again, step by step.
        let body = desk.driver.find(By::Css("body")).await?;
        body.send_keys(Key::Control + "z").await?;
        desk.reads(
            "undo",
            "count passes on the outline of the client's left brow",
        )
        .await?;
        let tile = desk.text("count-outline").await?;
        ensure!(!tile.contains("swelling"), "{tile}");
        press("undo", Key::Enter).await?;
        desk.reads("passes-outline", "0").await?;
        // Typed numbers set right what was miscounted.
        desk.find("measured")
            .await?
            .find(By::Css("summary"))
            .await?
            .send_keys(Key::Enter + "")
            .await?;
        desk.enter("set-passes-body", "5").await?;
        desk.reads("passes-body", "5").await?;
        desk.enter("set-minutes-body", "2,5").await?;
        desk.reads("time-body", "2:30").await?;
        desk.enter("set-passes-body", "500").await?;
        desk.reads("said", "at most 100").await?;
        desk.reads("passes-body", "5").await?;
        Ok(())
    });
}

#[test]
fn the_visit_sheet_is_seen_printed_and_saved() {
    at_a_desk((1280, 800), "light", async |desk| {
        to_visits(desk).await?;
        desk.click("begin-likely").await?;
        desk.click("count-tail").await?;
        desk.click("skin-bleeding").await?;
        desk.click("bench-sheet").await?;
        let page = desk.reads("visit-page", "Visit sheet").await?;
        for part in [
            "pinpoint bleeding",
            "Local rules decide",
            "client: signature, day",
        ] {
            ensure!(page.contains(part), "no “{part}” on the sheet");
        }
        desk.photograph("visits-sheet").await?;
        // What the browser is asked to print is that page, at its true size.
        desk.driver
            .execute("window.print = () => {}", Vec::<Value>::new())
            .await?;
        desk.click("print-visit").await?;
        let printed = desk
            .until("nothing was handed to the printer", async || {
                let script = "return document.querySelector('#print-frame')?.srcdoc ?? ''";
                let html = desk.driver.execute(script, Vec::<Value>::new()).await?;
                let html = html.convert::<String>()?;
                Ok((!html.is_empty()).then_some(html))
            })
            .await?;
        ensure!(printed.contains("size: 210mm 297mm; margin: 0;"));
        ensure!(printed.contains("Visit sheet") && printed.contains("pinpoint bleeding"));

        let pdf = desk.save("save-visit-pdf").await?;
        ensure!(pdf.starts_with(b"%PDF-"), "no PDF was saved");
        // The command line makes the same of the saved file.
        let file = {
            let file = saved(desk).await?;
            let folder = tempfile::tempdir()?;
            let path = folder.path().join("client.json");
            fs::write(&path, file.to_string())?;
            let out = folder.path().join("visit.pdf");
            let ran = std::process::Command::new(crate::desk::given("OPHRYON_BIN")?)
                .arg("visits")
                .arg(&path)
                .args(["--made", &today()?, "--sheet"])
                .arg(&out)
                .output()?;
            ensure!(
                ran.status.success(),
                "{}",
                String::from_utf8_lossy(&ran.stderr)
            );
            fs::read(&out)?
        };
        ensure!(file == pdf, "the saved PDF differs from the command line's");
        Ok(())
    });
}
