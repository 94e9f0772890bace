//! Tape, sheets, printer and ruler at the screen, and what comes out of it held
//! against the command line and against paper.

use std::fs;
use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result, ensure};
use ophryon_record::{Day, Drawn, Record};
use ophryon_stencil::{CheckedDistance, DistanceId, Paper, RULER_TICK_MM, SheetOptions, Sides};
use thirtyfour::prelude::*;

use crate::at_a_desk;
use crate::desk::Desk;
use crate::scan::{Area, Printed, Scan};

/// A sample client with her shape proposed, at the last place.
async fn sample_on_paper(desk: &Desk, sample: &str) -> Result<()> {
    desk.click("try-sample").await?;
    desk.click(sample).await?;
    desk.find("stage").await?;
    desk.click("place-paper").await?;
    desk.find("sheet-preview").await?;
    Ok(())
}

/// Closes the page and goes on with the client that was open.
async fn reopen(desk: &Desk) -> Result<()> {
    desk.reads("kept", "Kept").await?;
    desk.driver.goto("about:blank").await?;
    desk.driver.goto(&desk.address).await?;
    desk.click("client").await?;
    desk.find("photo").await?;
    Ok(())
}

/// The record of the open client, as its saved file has it.
async fn saved_record(desk: &Desk) -> Result<(Vec<u8>, Record, Drawn)> {
    let file = desk.save("save-client").await?;
    let record = Record::from_json(std::str::from_utf8(&file)?)?;
    let drawn = record.drawn()?;
    Ok((file, record, drawn))
}

async fn script(desk: &Desk, script: &str) -> Result<String> {
    let told = desk.driver.execute(script, vec![]).await?;
    Ok(told.convert::<Option<String>>()?.unwrap_or_default())
}

/// What the app handed to the browser to print.
async fn printed_page(desk: &Desk) -> Result<String> {
    desk.until("nothing was printed", async || {
        let page = "const f = document.getElementById('print-frame'); return f ? f.srcdoc : null;";
        let page = script(desk, page).await?;
        Ok((!page.is_empty()).then_some(page))
    })
    .await
}

/// Opens or closes a section by its heading.
async fn fold(desk: &Desk, id: &str) -> Result<()> {
    let section = desk.find(id).await?;
    Ok(section.find(By::Css("summary")).await?.click().await?)
}

/// Presses every key of a keypad, as a gloved finger does.
async fn press(desk: &Desk, id: &str, number: &str) -> Result<()> {
    for key in number.chars() {
        desk.click(&format!("{id}-key-{key}")).await?;
    }
    desk.click(&format!("{id}-take")).await
}

/// A program of ours, run in a folder; its standard output.
fn ophryon(at: &Path, arguments: &[&str]) -> Result<()> {
    let program = std::env::var_os("OPHRYON_BIN").context("OPHRYON_BIN")?;
    let ran = Command::new(program)
        .args(arguments)
        .current_dir(at)
        .output()?;
    ensure!(
        ran.status.success(),
        "{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    Ok(())
}

/// Chooses from a list by its value, as a person does from its choices.
async fn choose(desk: &Desk, id: &str, value: &str) -> Result<()> {
    let list = desk.find(id).await?;
    let choice = list.find(By::Css(format!("option[value=\"{value}\"]")));
    Ok(choice.await?.click().await?)
}

#[test]
fn tapes_are_asked_for_held_against_each_other_and_kept() {
    at_a_desk((820, 1180), "light", async |desk| {
        sample_on_paper(desk, "demo-movement").await?;
        desk.reads("cautions", "estimate").await?;
        desk.click("to-tape").await?;
        let asked = desk.text("question").await?;
        ensure!(asked == "How long is it over the skin, start to tail?");
        // What going on without one may cost is said in mm.
        desk.reads("without-tape", " mm off").await?;
        desk.photograph("tape").await?;

        // A tape shorter than the straight view can't be, and is not taken.
        press(desk, "tape-length", "20").await?;
        let said = desk.reads("said", "shorter").await?;
        ensure!(
            said.contains("20.0 mm"),
            "“{said}” doesn't say what was typed"
        );
        desk.click("said-close").await?;
        desk.enter("tape-length", "long").await?;
        desk.find("keypad-complaint").await?;

        desk.enter("tape-length", "49,5").await?;
        desk.reads("question", "The curve of the skin is measured.")
            .await?;
        desk.reads("undo", "tape").await?;
        // The other side: alike first, then far beyond what faces differ by.
        desk.click("tape-left-start").await?;
        press(desk, "tape-length", "50").await?;
        let agree = desk.text("tape-checks").await?;
        desk.click("tape-left-start").await?;
        desk.enter("tape-length", "57").await?;
        let again = desk.reads("tape-checks", "again").await?;
        ensure!(agree != again, "50 and 57 mm were both told “{agree}”");
        desk.photograph("tapes").await?;
        desk.click("undo").await?;
        desk.reads("tape-left-start", "50.0 mm").await?;

        desk.click("to-shape").await?;
        desk.reads("over-the-skin", "49.5, 50.0 mm by tape").await?;
        reopen(desk).await?;
        desk.click("place-shape").await?;
        desk.reads("over-the-skin", "49.5, 50.0 mm by tape").await?;
        desk.click("place-paper").await?;
        let sheet = desk.text("sheet-preview").await?;
        ensure!(
            !sheet.contains("ESTIMATED"),
            "with two tapes the sheet still says that its curve is an estimate"
        );
        Ok(())
    });
}

#[test]
fn what_is_printed_lies_on_the_table_in_its_own_proportions() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample_on_paper(desk, "demo-set").await?;
        let (_, record, drawn) = {
            fold(desk, "files").await?;
            let saved = saved_record(desk).await?;
            fold(desk, "files").await?;
            saved
        };
        let size = async || -> Result<(f64, f64)> {
            let seen = desk.find("sheet-preview").await?.rect().await?;
            Ok((seen.width, seen.height))
        };
        let (width, height) = size().await?;
        ensure!(
            (width / height - 210.0 / 297.0).abs() < 0.003,
            "A4 is shown as {width} x {height} px"
        );
        desk.reads("page-shown", "1 of 2").await?;
        desk.click("page-next").await?;
        desk.reads("page-shown", "2 of 2").await?;
        let list = desk.reads("sheet-preview", "client's left").await?;
        let tail = format!("{:.1}", drawn.measures.right.tail_mm);
        ensure!(list.contains(&tail), "the list has no {tail}");
        desk.click("page-before").await?;

        // From near, and whole again.
        desk.click("sheet-nearer").await?;
        ensure!(size().await?.0 > 1.4 * width, "nearer is no larger");
        desk.click("sheet-whole").await?;
        desk.click("sheet-preview").await?;
        ensure!(size().await?.0 > 2.0 * width, "a tap looks no nearer");
        desk.click("sheet-preview").await?;
        ensure!((size().await?.0 - width).abs() < 1.0, "not whole again");

        // One tap prints what lies there, byte for byte.
        desk.click("print").await?;
        let page = printed_page(desk).await?;
        let today = crate::today()?.parse::<Day>()?;
        let papers = record.papers_made(&drawn, &SheetOptions::default(), Some(today))?;
        ensure!(
            page == ophryon_stencil::print_pages(&papers.pages()),
            "the printed page is another than the core lays out"
        );
        desk.reads("place-paper", "done").await?;

        // Options: one side, mirrored, twice on Letter.
        fold(desk, "sheet-options").await?;
        desk.click("paper-letter").await?;
        desk.click("sides-left").await?;
        desk.click("face-down").await?;
        desk.click("copies-more").await?;
        desk.reads("sheet-preview", "FACE DOWN").await?;
        desk.reads("copies", "2").await?;
        let (width, height) = size().await?;
        ensure!(
            (width / height - 8.5 / 11.0).abs() < 0.003
                || (height / width - 8.5 / 11.0).abs() < 0.003,
            "Letter is shown as {width} x {height} px"
        );
        desk.photograph("sheet-options").await?;
        Ok(())
    });
}

#[test]
fn what_does_not_fit_says_so_and_one_tap_leads_out() {
    at_a_desk((1180, 820), "dark", async |desk| {
        sample_on_paper(desk, "demo-set").await?;
        fold(desk, "sheet-options").await?;
        choose(desk, "paper-small", "62x150").await?;
        let why = desk.reads("does-not-fit", "62 x 150 mm").await?;
        ensure!(
            why.contains("Print one side a page"),
            "“{why}” has no way out"
        );
        desk.photograph("does-not-fit").await?;
        desk.click("way-out-1").await?;
        desk.find("sheet-preview").await?;
        desk.reads("sheet-preview", "client's right").await?;
        desk.photograph("label").await?;

        // Through a real browser the label keeps its size and its gauge.
        desk.click("print").await?;
        let html = printed_page(desk).await?;
        let options = SheetOptions {
            paper: Paper::Roll62x150,
            sides: Sides::Right,
            ..SheetOptions::default()
        };
        fold(desk, "files").await?;
        let (_, record, _) = saved_record(desk).await?;
        let sheet = record.papers(&options)?.stencil;
        let printed = Printed::page(&html)?;
        let (pages, width, height) = printed.pages()?;
        ensure!(pages == 1, "one label came out as {pages} pages");
        ensure!(
            (width - sheet.width_mm()).abs() < 0.2 && (height - sheet.height_mm()).abs() < 0.2,
            "a page of {width} x {height} mm"
        );
        let gauge = match sheet.mark("gauge") {
            Some(ophryon_stencil::Mark::Bars { bars }) => bars.clone(),
            other => anyhow::bail!("no gauge: {other:?}"),
        };
        let (low, high) = gauge
            .iter()
            .flatten()
            .fold((f64::MAX, f64::MIN), |(l, h), p| (l.min(p.x), h.max(p.x)));
        let ink = printed.ink(Area::around(
            ophryon_frames::Point::new(low, gauge[0][0].y),
            ophryon_frames::Point::new(high, gauge[0][1].y),
            0.6,
        ))?;
        // 0.05 mm and half a pixel of 600 dpi.
        ensure!(
            (ink.right - ink.left - (high - low)).abs() < 0.05 + 25.4 / 600.0,
            "a gauge of {} mm came out {} mm long",
            high - low,
            ink.right - ink.left
        );
        Ok(())
    });
}

#[test]
fn a_printer_is_checked_once_and_its_error_taken_out_of_every_file() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample_on_paper(desk, "demo-even").await?;
        desk.click("to-printer").await?;
        desk.click("print-check").await?;
        let page = printed_page(desk).await?;
        ensure!(page.contains("Printer check"), "another page was printed");

        // What no printer makes is refused where it is typed.
        press(desk, "gauge-across", "0").await?;
        desk.reads("said", "can't read 0").await?;
        desk.enter("gauge-across", "9,73").await?;
        desk.reads("said", "in mm").await?;
        // Far off: a question before it is believed.
        desk.enter("gauge-across", "94.2").await?;
        desk.reads("question", "vertical").await?;
        desk.enter("gauge-upright", "95").await?;
        desk.reads("fit-to-page", "fit to page").await?;
        desk.photograph("fit-to-page").await?;
        desk.click("fit-was-on").await?;
        desk.click("print-check").await?;
        desk.enter("gauge-across", "97,3").await?;
        press(desk, "gauge-upright", "98.9").await?;
        desk.enter("printer-name", "  ").await?;
        desk.reads("said", "Give the printer a name").await?;
        desk.enter("printer-name", "Front desk").await?;
        desk.reads("question", "Front desk").await?;
        desk.reads("sheet-preview", "CORRECTED").await?;
        desk.photograph("printer-kept").await?;
        desk.click("check-done").await?;
        desk.reads("to-printer", "Front desk").await?;
        desk.reads("sheet-preview", "CORRECTED for “Front desk”")
            .await?;

        // The device keeps it.
        reopen(desk).await?;
        desk.click("place-paper").await?;
        desk.reads("to-printer", "Front desk").await?;

        // The command line, with the very list that the device keeps, writes
        // the same bytes.
        fold(desk, "sheet-options").await?;
        desk.click("face-down").await?;
        fold(desk, "sheet-options").await?;
        fold(desk, "files").await?;
        let (file, ..) = saved_record(desk).await?;
        let folder = tempfile::tempdir()?;
        fs::write(folder.path().join("client.json"), &file)?;
        let list = script(desk, "return localStorage.getItem('ophryon.printers');").await?;
        fs::write(folder.path().join("printers.json"), list)?;
        ophryon(
            folder.path(),
            &[
                "sheet",
                "client.json",
                "--made",
                &crate::today()?,
                "--out",
                "out",
                "--format",
                "svg,pdf,dxf",
                "--flip",
                "--printer",
                "Front desk",
                "--printers",
                "printers.json",
            ],
        )?;
        let press = async || -> Result<bool> {
            let fetched = desk.fetched().await?;
            Ok(fetched.iter().any(|address| address.contains("/press.")))
        };
        ensure!(!press().await?, "what writes PDF came before it was used");
        for (id, name) in [
            ("save-stencil", "stencil.svg"),
            ("save-pdf", "stencil.pdf"),
            ("save-dxf", "stencil.dxf"),
            ("save-report", "report.json"),
        ] {
            let saved = desk.save(id).await?;
            let same = fs::read(folder.path().join("out").join(name))?;
            ensure!(
                saved == same,
                "the saved {name} differs from `ophryon sheet`"
            );
        }
        ensure!(press().await?, "PDF was written by a part that never came");

        // Forgotten, and brought back.
        desk.click("to-printer").await?;
        desk.click("printer-forget").await?;
        desk.reads("forgotten", "Front desk").await?;
        ensure!(!desk.is_there("printer-choose").await);
        desk.click("printer-back").await?;
        desk.find("printer-choose").await?;
        desk.click("to-sheets").await?;
        desk.reads("to-printer", "Front desk").await?;
        Ok(())
    });
}

/// A code in letters that the app's own fonts lack: they are fetched when the
/// PDF needs them, and the file is the command line's.
#[test]
fn a_code_in_any_script_is_the_same_pdf_everywhere() {
    at_a_desk((1280, 800), "light", async |desk| {
        sample_on_paper(desk, "demo-even").await?;
        fold(desk, "files").await?;
        let (file, ..) = saved_record(desk).await?;
        let mut client: serde_json::Value = serde_json::from_slice(&file)?;
        client["client"]["code"] = "王小美".into();
        let folder = tempfile::tempdir()?;
        let at = folder.path().join("client.json");
        fs::write(&at, client.to_string())?;
        desk.choose("open-client", &at).await?;
        desk.reads("client-code", "王小美").await?;
        desk.click("place-paper").await?;
        desk.reads("sheet-preview", "王小美").await?;
        fold(desk, "files").await?;
        let fonts = async || -> Result<bool> {
            let fetched = desk.fetched().await?;
            Ok(fetched.iter().any(|address| address.contains("fonts/")))
        };
        ensure!(!fonts().await?, "fonts came before they were needed");
        let saved = desk.save("save-pdf").await?;
        ensure!(fonts().await?, "no fonts came");
        let made = crate::today()?;
        let options = [
            "sheet",
            "client.json",
            "--out",
            "out",
            "--format",
            "pdf",
            "--made",
            &made,
        ];
        ophryon(folder.path(), &options)?;
        let same = fs::read(folder.path().join("out/stencil.pdf"))?;
        ensure!(saved == same, "the saved PDF differs from `ophryon sheet`");
        Ok(())
    });
}

/// What a ruler reads that has marks of half a millimetre.
fn on_the_ruler(mm: f64) -> f64 {
    (mm / RULER_TICK_MM).round() * RULER_TICK_MM
}

#[test]
fn readings_of_a_brow_made_by_a_wrong_tape_lead_back_to_the_tape() {
    at_a_desk((820, 1180), "light", async |desk| {
        sample_on_paper(desk, "demo-set").await?;
        // True distances, before the tape is misread by 4 mm.
        fold(desk, "files").await?;
        let (_, record, drawn) = saved_record(desk).await?;
        fold(desk, "files").await?;
        let truth = record.ruler_check(&drawn).rows;
        desk.click("place-shape").await?;
        fold(desk, "over-the-skin").await?;
        desk.click("to-tape").await?;
        desk.click("tape-right-start").await?;
        desk.enter("tape-length", "53.5").await?;
        desk.click("to-shape").await?;
        desk.click("place-paper").await?;
        desk.click("to-ruler").await?;
        desk.find("worksheet").await?;
        desk.photograph("ruler").await?;

        // The first is right at once, by one tap.
        let first: &CheckedDistance = truth.first().context("an empty list")?;
        let mark = format!("reads-{:.1}", on_the_ruler(first.expected_mm));
        desk.click(&mark).await?;
        desk.reads("last-reading", "agrees").await?;
        // The rest as it truly is on the client.
        for row in truth.iter().skip(1) {
            let read = on_the_ruler(row.expected_mm);
            let which = format!("read-{}-{}", row.side.name(), row.id.id());
            desk.click(&which).await?;
            desk.reads("should", "Should be").await?;
            let mark = format!("reads-{read:.1}");
            if desk.is_there(&mark).await {
                desk.click(&mark).await?;
            } else {
                desk.click("reading-type").await?;
                desk.enter("reading", &read.to_string()).await?;
            }
            desk.reads(&which, &format!("{read:.1}")).await?;
        }
        desk.reads("ruler-sentence", "off").await?;
        desk.reads("cause", "tape").await?;
        desk.photograph("ruler-cause").await?;

        // All of it is kept.
        reopen(desk).await?;
        desk.click("place-paper").await?;
        desk.reads("to-ruler", "off").await?;
        desk.click("to-ruler").await?;
        let tail = format!("read-right-{}", DistanceId::Tail.id());
        desk.reads(&tail, ".").await?;
        desk.click("cause-tape").await?;
        desk.reads("question", "The curve of the skin is measured.")
            .await?;
        Ok(())
    });
}
