//! What a client reads, answers and signs, page by page.

use anyhow::{Result, ensure};
use serde_json::{Value, json};
use thirtyfour::{Key, TypingData};

use crate::at_a_desk;
use crate::desk::Desk;
use crate::touch::{answer_everything, sign_by_hand, touch, type_code, unfold};

/// The tablet in her hands, at the first page of signing.
async fn at_signing(desk: &Desk) -> Result<()> {
    desk.click("try-sample").await?;
    desk.click("demo-even").await?;
    desk.click("place-show").await?;
    desk.click("hand-over").await?;
    desk.find("code-heading").await?;
    type_code(desk, "2580", "code").await?;
    desk.reads("code-heading", "once more").await?;
    type_code(desk, "2580", "code").await?;
    for _ in 0..2 {
        touch(desk, "go-on").await?;
    }
    desk.find("sign-begin").await?;
    Ok(())
}

/// Back at the artist's, what is kept of it.
async fn kept(desk: &Desk) -> Result<Value> {
    touch(desk, "sign-finish").await?;
    type_code(desk, "2580", "code").await?;
    desk.find("panel").await?;
    desk.click("place-paper").await?;
    unfold(desk, "files").await?;
    let file = desk.save("save-client").await?;
    Ok(serde_json::from_slice(&file)?)
}

#[test]
fn a_no_is_all_right_and_makes_no_agreement_until_it_is_a_yes() {
    at_a_desk((820, 1180), "dark", async |desk| {
        at_signing(desk).await?;
        // Every caution left open stops nothing.
        touch(desk, "sign-begin").await?;
        while desk.is_there("caution-leave").await {
            let before = desk.text("signing-at").await?;
            touch(desk, "caution-leave").await?;
            desk.no_longer_reads("signing-at", &before).await?;
        }
        desk.reads("told", "No answer").await?;
        desk.photograph("signing-told").await?;
        touch(desk, "sign-on").await?;
        touch(desk, "say-no").await?;
        desk.reads("refused", "there is no agreement").await?;
        desk.photograph("signing-refused").await?;
        touch(desk, "refused-on").await?;
        // The other statements; photos may not be kept.
        for _ in 0..3 {
            let before = desk.text("signing-at").await?;
            touch(desk, "say-yes").await?;
            desk.no_longer_reads("signing-at", &before).await?;
        }
        desk.reads("signing-heading", "photos of my face").await?;
        touch(desk, "say-no").await?;
        touch(desk, "shape-on").await?;
        // No signature yet: what lacks is named, and one touch away.
        desk.reads("still-open", "I have seen the shape").await?;
        ensure!(!desk.is_there("sign-agree").await, "it can be signed");
        touch(desk, "sign-to-open").await?;
        touch(desk, "say-yes").await?;
        answer_everything(desk, &[]).await?;
        sign_by_hand(desk).await?;
        touch(desk, "sign-agree").await?;
        desk.find("signed-seal").await?;
        let client = kept(desk).await?;
        let asked = &client["consent"]["asked"];
        ensure!(asked["statements"][4]["said"] == json!("no"), "{asked}");
        let agreements = client["consent"]["agreements"].as_array();
        ensure!(agreements.map(Vec::len) == Some(1));
        Ok(())
    });
}

#[test]
fn another_language_half_way_keeps_what_she_answered() {
    at_a_desk((820, 1180), "light", async |desk| {
        at_signing(desk).await?;
        touch(desk, "sign-begin").await?;
        touch(desk, "caution-yes").await?;
        desk.reads("signing-heading", "blood thinners").await?;
        touch(desk, "speak-es").await?;
        desk.reads("signing-heading", "anticoagulantes").await?;
        touch(desk, "sign-back").await?;
        let yes = desk.find("caution-yes").await?;
        ensure!(yes.attr("aria-pressed").await?.as_deref() == Some("true"));
        touch(desk, "caution-yes").await?;
        answer_everything(desk, &[]).await?;
        desk.photograph("signing-spanish").await?;
        sign_by_hand(desk).await?;
        touch(desk, "sign-agree").await?;
        desk.reads("signed", "Ha dado su acuerdo").await?;
        // Once signed, another language changes the page, not what she signed.
        touch(desk, "speak-en").await?;
        desk.reads("signed", "You have agreed").await?;
        let client = kept(desk).await?;
        let asked = &client["consent"]["asked"];
        ensure!(asked["language"] == json!("es"), "{asked}");
        ensure!(asked["cautions"][0]["answer"] == json!("doctor-first"));
        desk.reads("standing", "Agreed on").await?;

        // Another shape is asked anew: what is so with her stands, every yes
        // was to the other one.
        desk.click("place-shape").await?;
        unfold(desk, "styles").await?;
        desk.click("style-full-body").await?;
        desk.reads("standing", "NOT AGREED").await?;
        desk.click("place-show").await?;
        touch(desk, "hand-over").await?;
        for _ in 0..2 {
            touch(desk, "go-on").await?;
        }
        desk.reads("told", "embarazada").await?;
        touch(desk, "sign-on").await?;
        let yes = desk.find("say-yes").await?;
        ensure!(yes.attr("aria-pressed").await?.as_deref() == Some("false"));
        answer_everything(desk, &[]).await?;
        sign_by_hand(desk).await?;
        touch(desk, "sign-agree").await?;
        desk.find("signed-seal").await?;
        let client = kept(desk).await?;
        let agreements = client["consent"]["agreements"].as_array();
        ensure!(agreements.map(Vec::len) == Some(2));
        desk.reads("standing", "Agreed on").await?;
        Ok(())
    });
}

#[test]
fn the_keyboard_alone_is_enough_to_sign() {
    at_a_desk((1280, 800), "light", async |desk| {
        at_signing(desk).await?;
        desk.find("sign-begin").await?.focus().await?;
        let press = async |keys: TypingData| -> Result<()> {
            Ok(desk.driver.active_element().await?.send_keys(keys).await?)
        };
        press(Key::Enter + "").await?;
        desk.find("caution-no").await?;
        // From the heading, which the page leads to, it is one step to the
        // first answer.
        let mut pages = 0;
        while !desk.is_there("sign-agree").await {
            let at = desk.text("signing-at").await?;
            let script = "const e = document.activeElement;
                return e ? e.getAttribute('data-testid') : null;";
            desk.until("the heading doesn't take the keyboard", async || {
                let at = desk.driver.execute(script, vec![]).await?;
                let at: Option<String> = at.convert()?;
                Ok((at.as_deref() == Some("signing-heading")).then_some(()))
            })
            .await?;
            if desk.is_there("shape-on").await {
                // Past the three views of the shape.
                press(Key::Tab + Key::Tab + Key::Tab + Key::Tab).await?;
            } else {
                press(Key::Tab + "").await?;
            }
            press(Key::Enter + "").await?;
            desk.no_longer_reads("signing-at", &at).await?;
            pages += 1;
            ensure!(pages < 40, "the pages never end");
        }
        ensure!(pages > 12, "only {pages} pages");
        desk.find("sign-other-way").await?.focus().await?;
        press(Key::Enter + "").await?;
        desk.find("signature-name").await?.focus().await?;
        // One letter is no name, and what counts is shown once more.
        press("A".into()).await?;
        desk.find("sign-agree").await?.focus().await?;
        press(Key::Enter + "").await?;
        desk.find("sign-hindrance").await?;
        desk.find("signature-name").await?.focus().await?;
        press(Key::End + "na Ejemplo").await?;
        desk.reads("sign-as", "Ana Ejemplo").await?;
        desk.find("sign-agree").await?.focus().await?;
        press(Key::Enter + "").await?;
        desk.find("signed-seal").await?;
        Ok(())
    });
}
