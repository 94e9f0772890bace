//! A client's own device: the shape goes there by the studio's network, by a
//! link that is scanned, by a file; it is looked at and signed, and the answer
//! comes back. What is changed on its way is refused in words.

use std::fs;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, ensure};
use serde_json::Value;
use thirtyfour::prelude::*;

use crate::at_a_desk;
use crate::desk::Desk;
use crate::told;

/// A phone, upright.
const PHONE: (u32, u32) = (390, 844);

/// Opens an invented client at the section about her own device, which asks
/// for her language.
async fn at_her_own_device(desk: &Desk, client: &str, language: &str) -> Result<()> {
    desk.click("try-sample").await?;
    desk.click(client).await?;
    desk.click("place-show").await?;
    open_section(desk).await?;
    // Where the place Show has asked already, that stands.
    let choice = format!("afar-{language}");
    desk.until("neither a language nor a way is offered", async || {
        let either = desk.is_there(&choice).await || desk.is_there("afar-link-make").await;
        Ok(either.then_some(()))
    })
    .await?;
    if desk.is_there(&choice).await {
        desk.click(&choice).await?;
    }
    desk.find("afar-link-make").await?;
    Ok(())
}

async fn open_section(desk: &Desk) -> Result<()> {
    let section = desk.find("afar").await?;
    if section.attr("open").await?.is_none() {
        section.find(By::Css("summary")).await?.click().await?;
    }
    Ok(())
}

/// Reads and signs, as she does: no to each caution, yes to each statement.
async fn signs(guest: &Desk) -> Result<()> {
    guest.click("guest-go-sign").await?;
    let begun = Instant::now();
    while !guest.is_there("signature").await {
        ensure!(
            begun.elapsed() < Duration::from_secs(60),
            "the signature never comes"
        );
        let ids = ["sign-begin", "caution-no", "sign-on", "say-yes", "shape-on"];
        for id in ids {
            let by = By::Css(format!("[data-testid=\"{id}\"]"));
            if let Ok(found) = guest.driver.find(by).await {
                // It may be gone the moment it was found.
                found.click().await.ok();
            }
        }
    }
    let field = guest.find("signature").await?.rect().await?;
    let at = |x: f64, y: f64| {
        (
            (field.x + x * field.width).round() as i64,
            (field.y + y * field.height).round() as i64,
        )
    };
    let (x, y) = at(0.2, 0.5);
    let mut chain = guest.driver.action_chain().move_to(x, y).click_and_hold();
    for (x, y) in [
        (0.3, 0.25),
        (0.4, 0.7),
        (0.5, 0.3),
        (0.6, 0.65),
        (0.75, 0.45),
    ] {
        let (x, y) = at(x, y);
        chain = chain.move_to(x, y);
    }
    chain.release().perform().await?;
    guest.click("sign-agree").await?;
    guest.click("sign-finish").await?;
    guest.find("guest-seal").await?;
    Ok(())
}

/// The line that stands in the field to copy.
async fn line(desk: &Desk) -> Result<String> {
    let field = desk.find("packet-line").await?;
    Ok(field.prop("value").await?.unwrap_or_default())
}

/// What a camera reads in the picture that is shown: a second reader, of the
/// screen's own pixels.
async fn scanned(desk: &Desk) -> Result<String> {
    let picture = desk.find("qr").await?;
    picture.scroll_into_view().await?;
    tokio::time::sleep(Duration::from_millis(300)).await;
    let png = picture.screenshot_as_png().await?;
    let grey = image::load_from_memory(&png)?.to_luma8();
    // A code of 150 modules at 2 px each is read better enlarged.
    let (width, height) = (grey.width() * 3, grey.height() * 3);
    let grey = image::imageops::resize(&grey, width, height, image::imageops::FilterType::Nearest);
    let (width, height) = (width as usize, height as usize);
    let mut read = rqrr::PreparedImage::prepare_from_greyscale(width, height, |x, y| {
        grey.get_pixel(x as u32, y as u32)[0]
    });
    let grids = read.detect_grids();
    let grid = grids.first().context("no code is found in the picture")?;
    let (_, text) = grid.decode().context("the code can't be read")?;
    Ok(text)
}

/// How the file stands: with the seal, or NOT AGREED, as its saved form and
/// the command line say.
async fn is_agreed(desk: &Desk) -> Result<bool> {
    desk.click("place-paper").await?;
    desk.click("files").await?;
    let file = desk.save("save-client").await?;
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("client.json");
    fs::write(&path, file)?;
    let ran = std::process::Command::new(crate::desk::given("OPHRYON_BIN")?)
        .arg("seal")
        .arg(&path)
        .output()?;
    Ok(ran.status.success())
}

/// Everything that a browser keeps for this page.
async fn stores(desk: &Desk) -> Result<Vec<String>> {
    let script = "const done = arguments[0];
        indexedDB.databases().then((all) => done(all.map((one) => one.name)));";
    let all = desk
        .driver
        .execute_async(script, Vec::<Value>::new())
        .await?;
    Ok(all.convert()?)
}

/// Ends whatever devices were used, whichever way the story ended.
async fn with_guest(
    desk: &Desk,
    address: &str,
    story: impl AsyncFnOnce(&Desk, &Desk) -> Result<()>,
) -> Result<()> {
    let guest = Desk::visitor(address, PHONE.0, PHONE.1, "light").await?;
    let told = story(desk, &guest).await;
    guest.driver.clone().quit().await.ok();
    told
}

fn in_a_studio(story: impl AsyncFnOnce(&Desk) -> Result<()>) {
    told(async {
        let desk = Desk::open_to_a_network(1180, 820, "light").await?;
        let told = story(&desk).await;
        desk.driver.clone().quit().await.ok();
        told
    });
}

#[test]
fn by_the_studios_network_she_signs_on_her_phone_and_it_counts_once() {
    in_a_studio(async |desk| {
        at_her_own_device(desk, "demo-set", "en").await?;
        desk.click("afar-photo").await?;
        desk.click("afar-offer").await?;
        let code = desk.text("afar-code").await?.replace(' ', "");
        let address = desk.text("afar-address").await?;
        let fingerprint = desk.text("afar-fingerprint").await?;
        ensure!(fingerprint.split_whitespace().count() == 4, "{fingerprint}");
        desk.photograph("afar-offered").await?;
        // The picture holds the address and the code, and nothing else.
        let scanned = scanned(desk).await?;
        ensure!(
            scanned == format!("{address}?come#code-{code}"),
            "{scanned}"
        );

        with_guest(desk, &address, async |desk, guest| {
            guest.find("guest-code").await?;
            guest.photograph("guest-code").await?;
            // Three other codes, each with a longer pause after it.
            let other = if code == "111111" { "222222" } else { "111111" };
            for (n, pause) in [2, 4, 8].into_iter().enumerate() {
                guest.enter("guest-code", other).await?;
                let said = guest
                    .reads("guest-told", &format!("{pause} seconds"))
                    .await?;
                ensure!(said.contains(&format!("{} tries", 4 - n)), "{said}");
                tokio::time::sleep(Duration::from_millis(1_000 * pause + 200)).await;
            }
            desk.reads("afar-wrong", "3 wrong codes").await?;
            guest.enter("guest-code", &code).await?;
            guest.find("plain-face").await?;
            guest.find("guest-photo").await?;
            guest.photograph("guest-look").await?;
            desk.find("afar-taken").await?;
            ensure!(stores(guest).await?.is_empty(), "a store was opened");

            // Loaded anew it is the same shape; the photo was given out once.
            guest.driver.refresh().await?;
            guest.find("plain-face").await?;
            ensure!(!guest.is_there("guest-photo").await, "the photo came twice");
            signs(guest).await?;
            let seal = guest.text("guest-seal").await?;
            guest.photograph("guest-back").await?;
            guest
                .find("guest-back-otherwise")
                .await?
                .find(By::Css("summary"))
                .await?
                .click()
                .await?;
            let answer = line(guest).await?;
            // Loaded anew, her answer is still there.
            guest.driver.refresh().await?;
            guest.click("guest-send").await?;
            guest.find("guest-sent").await?;
            let kept = desk.reads("afar-told", "she agreed on").await?;
            let short = seal.split("seal ").nth(1).context("a seal")?[..8].to_owned();
            ensure!(kept.contains(&short), "“{seal}” there, “{kept}” here");
            desk.photograph("afar-agreed").await?;
            ensure!(is_agreed(desk).await?, "the file is not agreed to");

            // Once more by a link: it counts once.
            desk.reads("kept", "Kept").await?;
            desk.driver
                .goto(&format!("{}#{answer}", desk.address))
                .await?;
            open_section(desk).await?;
            desk.reads("afar-told", "taken already").await?;
            ensure!(is_agreed(desk).await?, "what was agreed to is lost");
            Ok(())
        })
        .await
    });
}

#[test]
fn when_the_program_stops_in_between_nothing_is_lost() {
    in_a_studio(async |desk| {
        at_her_own_device(desk, "demo-movement", "es").await?;
        desk.click("afar-offer").await?;
        let code = desk.text("afar-code").await?.replace(' ', "");
        let address = desk.text("afar-address").await?;
        with_guest(
            desk,
            &format!("{address}?come#code-{code}"),
            async |desk, guest| {
                // Scanned, the code stands there already.
                guest.click("guest-code-go").await?;
                guest.reads("guest-go-sign", "Seguir").await?;
                signs(guest).await?;
                desk.stop_server()?;
                guest.click("guest-send").await?;
                guest.reads("guest-told", "No se pierde nada").await?;
                guest.photograph("guest-away").await?;
                desk.reads("afar-told", "Nothing is lost").await?;
                desk.click("afar-told-close").await?;
                // By hand it still comes.
                guest
                    .find("guest-back-otherwise")
                    .await?
                    .find(By::Css("summary"))
                    .await?
                    .click()
                    .await?;
                let answer = line(guest).await?;
                desk.find("afar-line").await?.send_keys(&answer).await?;
                desk.click("afar-take").await?;
                desk.reads("afar-told", "she agreed on").await?;
                ensure!(is_agreed(desk).await?, "the file is not agreed to");
                Ok(())
            },
        )
        .await
    });
}

/// By many mishaps and by the wrong way round; each with the words that say so.
fn changed(packet: &str, other: &str) -> Vec<(String, &'static str)> {
    let middle = packet.len() / 2;
    let letter = if packet.as_bytes()[middle] == b'A' {
        "B"
    } else {
        "A"
    };
    let newer = packet.replacen("1.", "2.", 1);
    let mut all = vec![
        (packet[..middle].to_owned(), "cut off or changed"),
        (packet[..packet.len() - 1].to_owned(), "cut off or changed"),
        (
            format!("{}{letter}{}", &packet[..middle], &packet[middle + 1..]),
            "cut off or changed",
        ),
        (format!("{packet}{packet}"), "cut off or changed"),
        (newer, "newer"),
        ("dear diary".to_owned(), "nothing that Ophryon sent"),
        ("   ".to_owned(), "nothing in it"),
        (other.to_owned(), "is wanted here"),
    ];
    for n in 0..12 {
        let at = 6 + n * (packet.len() - 8) / 12;
        all.push((
            format!("{}{}", &packet[..at], &packet[at + 1..]),
            "cut off or changed",
        ));
    }
    all
}

/// Puts a text in at once: a person pastes it.
async fn paste(desk: &Desk, id: &str, text: &str) -> Result<()> {
    let script = "const field = document.querySelector(`[data-testid=\"${arguments[0]}\"]`);
        field.value = arguments[1];
        field.dispatchEvent(new Event('input', { bubbles: true }));";
    desk.find(id).await?;
    desk.driver
        .execute(script, vec![id.into(), text.into()])
        .await?;
    Ok(())
}

#[test]
fn by_a_link_that_is_scanned_there_and_opened_here() {
    at_a_desk((1180, 820), "light", async |desk| {
        at_her_own_device(desk, "demo-even", "en").await?;
        desk.click("afar-link-make").await?;
        let link = line(desk).await?;
        ensure!(
            link.starts_with(&format!("{}#ask1.", desk.address)),
            "{link}"
        );
        ensure!(
            scanned(desk).await? == link,
            "the picture holds something else"
        );
        // Said plainly that other devices can't reach this computer.
        desk.reads("afar-reach", "this computer alone").await?;
        desk.photograph("afar-link").await?;
        let asked = link.split('#').nth(1).context("a packet")?.to_owned();

        with_guest(desk, &link, async |desk, guest| {
            guest.find("plain-face").await?;
            ensure!(stores(guest).await?.is_empty(), "a store was opened");
            ensure!(
                !guest.is_there("home").await && !guest.is_there("panel").await,
                "the artist's"
            );
            // Another language is read without losing the page.
            guest.click("speak-es").await?;
            guest.reads("guest-go-sign", "Seguir").await?;
            guest.click("guest-healed").await?;
            guest.photograph("guest-healed").await?;
            signs(guest).await?;
            let back = line(guest).await?;
            guest.click("guest-scan").await?;
            ensure!(
                scanned(guest).await? == back,
                "the picture holds something else"
            );
            guest.photograph("guest-scan").await?;
            let answer = back.split('#').nth(1).context("a packet")?.to_owned();

            // What was changed on its way is refused in words.
            let mut refused = 0;
            for (text, words) in changed(&answer, &asked) {
                paste(desk, "afar-line", &text).await?;
                desk.click("afar-take").await?;
                desk.reads("afar-told", words).await?;
                desk.click("afar-told-close").await?;
                refused += 1;
            }
            ensure!(!is_agreed(desk).await?, "a changed answer was taken");
            println!("by text: {refused} answers refused");

            // The link itself, opened on the artist's device, finds her file.
            desk.reads("kept", "Kept").await?;
            desk.driver.goto(&back).await?;
            open_section(desk).await?;
            desk.reads("afar-told", "she agreed on").await?;
            let address = desk.driver.current_url().await?;
            ensure!(
                address.fragment().unwrap_or_default().is_empty(),
                "{address}"
            );
            ensure!(is_agreed(desk).await?, "the file is not agreed to");

            // Opened again, it is told that it counts once.
            desk.driver.goto(&back).await?;
            open_section(desk).await?;
            desk.reads("afar-told", "taken already").await?;
            Ok(())
        })
        .await
    });
}

#[test]
fn by_a_file_there_and_back() {
    at_a_desk((820, 1180), "dark", async |desk| {
        at_her_own_device(desk, "demo-set", "en").await?;
        let sent = desk.save("afar-save").await?;
        let folder = tempfile::tempdir()?;
        let file = |name: &str, bytes: &[u8]| -> Result<std::path::PathBuf> {
            let path = folder.path().join(name);
            fs::write(&path, bytes)?;
            Ok(path)
        };
        let asked = String::from_utf8(sent.clone())?;
        let there = format!("{}?come", desk.address);
        with_guest(desk, &there, async |desk, guest| {
            guest
                .find("guest-other-ways")
                .await?
                .find(By::Css("summary"))
                .await?
                .click()
                .await?;
            // What is no design, or a changed one, opens nothing.
            let mut refused = 0;
            let half = &sent[..sent.len() / 2];
            let large = vec![b'a'; 70 * 1024];
            let photo = [0xff, 0xd8, 0xff, 0xe0, 0, 16];
            for (name, bytes, words) in [
                ("half.txt", half, "cut off or changed"),
                ("large.txt", &large, "no shape"),
                ("photo.jpg", &photo, "no shape"),
                ("empty.txt", b"", "nothing in it"),
                (
                    "newer.txt",
                    asked.replacen("ask1", "ask9", 1).as_bytes(),
                    "newer",
                ),
                ("answer.txt", b"yes1.abc.def", "signed answer"),
            ] {
                guest.choose("guest-file", &file(name, bytes)?).await?;
                guest.reads("guest-told", words).await?;
                refused += 1;
            }
            for (text, _) in changed(asked.trim(), "yes1.abc.def") {
                guest
                    .choose("guest-file", &file("other.txt", text.as_bytes())?)
                    .await?;
                guest.find("guest-told").await?;
                ensure!(!guest.is_there("plain-face").await, "opened: {text}");
                refused += 1;
            }
            guest
                .choose("guest-file", &file("shape.txt", &sent)?)
                .await?;
            guest.find("plain-face").await?;
            signs(guest).await?;
            let answer = guest.save("guest-save").await?;
            let text = String::from_utf8(answer.clone())?;

            for (other, words) in changed(text.trim(), &asked) {
                desk.choose("afar-file", &file("other.txt", other.as_bytes())?)
                    .await?;
                desk.reads("afar-told", words).await?;
                desk.click("afar-told-close").await?;
                refused += 1;
            }
            desk.choose("afar-file", &file("large.txt", &large)?)
                .await?;
            desk.reads("afar-told", "larger than anything").await?;
            println!("by file: {refused} refused");
            // Then another client's file doesn't take it either.
            desk.choose("afar-file", &file("answer.txt", &answer)?)
                .await?;
            desk.reads("afar-told", "she agreed on").await?;
            ensure!(is_agreed(desk).await?, "the file is not agreed to");
            Ok(())
        })
        .await
    });
}

#[test]
fn a_changed_shape_and_another_client_take_no_answer() {
    at_a_desk((1280, 800), "light", async |desk| {
        at_her_own_device(desk, "demo-set", "en").await?;
        desk.click("afar-link-make").await?;
        let link = line(desk).await?;
        with_guest(desk, &link, async |desk, guest| {
            signs(guest).await?;
            let back = line(guest).await?;
            // The artist has changed the shape meanwhile.
            desk.click("place-shape").await?;
            desk.find("handle-right-peak").await?;
            desk.drag("handle-right-peak", [0, -6]).await?;
            desk.reads("undo", "peak").await?;
            desk.click("place-show").await?;
            open_section(desk).await?;
            paste(desk, "afar-line", &back).await?;
            desk.click("afar-take").await?;
            desk.reads("afar-told", "not what stands here").await?;
            desk.photograph("afar-refused").await?;
            ensure!(!is_agreed(desk).await?, "it was taken for another shape");
            // Put back as it was, it is hers again.
            desk.click("undo").await?;
            desk.click("place-show").await?;
            open_section(desk).await?;
            paste(desk, "afar-line", &back).await?;
            desk.click("afar-take").await?;
            desk.reads("afar-told", "she agreed on").await?;
            Ok(())
        })
        .await
    });
}
