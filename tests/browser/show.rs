//! The whole story of her yes: handed over, looked at, said, chosen, signed,
//! given back, and everywhere NOT AGREED once something is changed.

use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};

use crate::at_a_desk;
use crate::desk::{Desk, given};
use crate::touch::{answer_everything, draw_on, sign_by_hand, touch, type_code, unfold};

/// The artist's code in these stories.
const CODE: &str = "2580";

/// Two kept shapes, the second one present.
async fn two_shapes(desk: &Desk) -> Result<()> {
    desk.click("try-sample").await?;
    desk.click("demo-set").await?;
    desk.find("photo").await?;
    desk.click("place-shape").await?;
    desk.click("sheet-larger").await?;
    unfold(desk, "kept-shapes").await?;
    desk.click("keep-shape").await?;
    desk.find("kept-0").await?;
    unfold(desk, "styles").await?;
    desk.click("style-full-body").await?;
    unfold(desk, "kept-shapes").await?;
    desk.click("keep-shape").await?;
    desk.find("kept-1").await?;
    desk.click("go-on-with-0").await?;
    Ok(())
}

/// What `ophryon` says of the file that the app saves.
struct OnFile {
    folder: tempfile::TempDir,
}

impl OnFile {
    async fn saved(desk: &Desk) -> Result<Self> {
        desk.click("place-paper").await?;
        unfold(desk, "files").await?;
        let file = desk.save("save-client").await?;
        let folder = tempfile::tempdir()?;
        fs::write(folder.path().join("client.json"), file)?;
        Ok(Self { folder })
    }

    fn run(&self, arguments: &[&str]) -> Result<(i32, String)> {
        let ran = Command::new(given("OPHRYON_BIN")?)
            .args(arguments)
            .current_dir(self.folder.path())
            .output()?;
        let (out, err) = (
            String::from_utf8(ran.stdout)?,
            String::from_utf8(ran.stderr)?,
        );
        let said = [out, err].concat();
        Ok((ran.status.code().unwrap_or(-1), said))
    }

    /// The seal's first digits where it is agreed, said alike by `seal`, by
    /// `sheet` and on the sheet itself.
    fn agreed(&self) -> Result<Option<String>> {
        let (code, said) = self.run(&["seal", "client.json", "--json"])?;
        let state: Value = serde_json::from_str(&said).with_context(|| said.clone())?;
        let (_, words) = self.run(&["seal", "client.json"])?;
        let (sheet_code, told) = self.run(&["sheet", "client.json", "--out", "out"])?;
        ensure!(sheet_code == 0, "{told}");
        let sheet = self.read("out/stencil.svg")?;
        let short = state["seal"].as_str().map(|s| s[..8].to_owned());
        ensure!(
            code == i32::from(short.is_none()),
            "exit code {code}: {said}"
        );
        for text in [&words, &told, &sheet] {
            let says_not = text.contains("NOT AGREED");
            ensure!(says_not == short.is_none(), "they don't agree: {text}");
            if let Some(short) = &short {
                ensure!(text.contains(short.as_str()), "no seal {short} in {text}");
            }
        }
        Ok(short)
    }

    fn read(&self, name: &str) -> Result<String> {
        Ok(fs::read_to_string(self.folder.path().join(name))?)
    }

    fn path(&self, name: &str) -> std::path::PathBuf {
        self.folder.path().join(name)
    }
}

/// Whether the card of Show says that it is agreed.
async fn card(desk: &Desk) -> Result<String> {
    let card = desk.find("agreed").await?;
    Ok(card.attr("data-agreed").await?.unwrap_or_default())
}

#[test]
fn her_yes_holds_everywhere_and_a_change_ends_it_everywhere() {
    at_a_desk((820, 1180), "light", async |desk| {
        two_shapes(desk).await?;
        touch(desk, "place-show").await?;
        desk.reads("agreed", "NOT AGREED: the client has not said yes")
            .await?;
        desk.photograph("show-upright").await?;

        // Handed over: the code is set first, once.
        touch(desk, "hand-over").await?;
        desk.find("code-heading").await?;
        type_code(desk, CODE, "code").await?;
        desk.reads("code-heading", "once more").await?;
        type_code(desk, CODE, "code").await?;
        desk.find("handed-heading").await?;
        desk.find("slider").await?;
        ensure!(
            !desk.is_there("panel").await,
            "the artist's tools are there"
        );

        // She slides from before to healed.
        for (place, says) in [(0.03, "as they are now"), (0.97, "once they have healed")] {
            let from = 1.0 - place;
            draw_on(desk, "slider", &[[from, 0.5], [0.5, 0.5], [place, 0.5]]).await?;
            desk.reads("stage-says", says).await?;
        }
        // Too thick, she says.
        touch(desk, "go-on").await?;
        touch(desk, "say-too-thick").await?;
        touch(desk, "say-keep").await?;
        desk.reads("said-so-far", "Too thick").await?;
        // Of two shapes she takes the second.
        touch(desk, "go-on").await?;
        touch(desk, "shape-2").await?;
        touch(desk, "choose").await?;
        desk.reads("chosen", "Shape 2").await?;
        touch(desk, "go-on").await?;

        // What she reads and answers; half way the page is loaded anew.
        desk.reads("signing-heading", "health").await?;
        desk.photograph("signing-begin").await?;
        touch(desk, "sign-begin").await?;
        touch(desk, "caution-no").await?;
        desk.reads("signing-at", "Page 3 ").await?;
        desk.photograph("signing-caution").await?;
        touch(desk, "caution-not-sure").await?;
        desk.reads("signing-at", "Page 4 ").await?;
        // Kept within a second, as every edit.
        tokio::time::sleep(Duration::from_millis(1500)).await;
        desk.driver.refresh().await?;
        desk.reads("signing-at", "Page 4 ").await?;
        touch(desk, "sign-back").await?;
        let given = desk.find("caution-not-sure").await?;
        ensure!(
            given.attr("aria-pressed").await?.as_deref() == Some("true"),
            "her answer was lost"
        );
        touch(desk, "caution-not-sure").await?;
        answer_everything(desk, &["keloids"]).await?;
        desk.photograph("signing-field").await?;

        // Nothing signed is no signature; cleared, it begins anew.
        touch(desk, "sign-agree").await?;
        desk.reads("sign-hindrance", "Nothing is signed yet")
            .await?;
        draw_on(desk, "signature", &[[0.1, 0.2], [0.9, 0.9]]).await?;
        touch(desk, "signature-clear").await?;
        sign_by_hand(desk).await?;
        desk.photograph("signing-signed").await?;
        touch(desk, "sign-agree").await?;
        let seal = desk.reads("signed-seal", "Seal ").await?;
        let seal = seal.trim_start_matches("Seal ").trim().to_owned();
        ensure!(seal.len() == 8, "“{seal}” is no seal's beginning");
        desk.photograph("signing-done").await?;
        touch(desk, "sign-finish").await?;

        // Back with the code.
        type_code(desk, CODE, "code").await?;
        desk.find("panel").await?;
        desk.reads("agreed", &seal).await?;
        ensure!(card(desk).await? == "yes");
        desk.reads("for-a-doctor", "keloids").await?;
        desk.reads("for-a-doctor", "not sure").await?;
        // What she flagged is read before the place is done.
        ensure!(desk.state("place-show").await? == "needs a look");
        touch(desk, "cautions-read").await?;
        desk.find("cautions-are-read").await?;
        ensure!(desk.state("place-show").await? == "done");
        desk.click("sheet-larger").await?;
        desk.photograph("show-agreed").await?;

        // Agreed on the sheet on the table, and from the command line.
        let file = OnFile::saved(desk).await?;
        desk.reads("table", &seal).await?;
        desk.reads("standing", &seal).await?;
        ensure!(file.agreed()?.as_deref() == Some(seal.as_str()));
        let (code, told) = file.run(&["seal", "client.json", "--paper", "a.pdf"])?;
        ensure!(code == 0 && told.contains("Written: agreement 1"), "{told}");
        let paper = words_of(&file.path("a.pdf"))?;
        ensure!(
            paper.contains(&seal) && !paper.contains("CHANGED SINCE"),
            "{paper}"
        );

        // The artist answers what she said: agreed no longer, anywhere.
        touch(desk, "place-show").await?;
        unfold(desk, "she-said").await?;
        desk.reads("heard-0", "Too thick").await?;
        desk.photograph("show-heard").await?;
        if desk.is_there("heard-go-on-0").await {
            // She said it of the first shape; the second is on the table.
            touch(desk, "heard-go-on-0").await?;
        }
        touch(desk, "heard-take-0").await?;
        desk.reads("heard-0", "Answered with a change").await?;
        desk.reads("agreed", "NOT AGREED: the shape").await?;
        ensure!(card(desk).await? == "no");
        ensure!(desk.state("place-show").await? == "needs a look");
        touch(desk, "place-shape").await?;
        desk.reads("standing", "NOT AGREED").await?;
        desk.photograph("shape-not-agreed").await?;
        let file = OnFile::saved(desk).await?;
        desk.reads("standing", "NOT AGREED").await?;
        desk.reads("table", "NOT AGREED").await?;
        ensure!(file.agreed()?.is_none());
        let (_, told) = file.run(&["seal", "client.json", "--paper", "b.pdf"])?;
        let paper = words_of(&file.path("b.pdf"))?;
        ensure!(paper.contains("CHANGED SINCE"), "{told}{paper}");
        Ok(())
    });
}

/// The words of a PDF, as a reader of another make finds them.
pub fn words_of(pdf: &Path) -> Result<String> {
    let reader = which::which("pdftotext").context("install poppler-utils")?;
    let read = Command::new(reader).arg(pdf).arg("-").output()?;
    Ok(String::from_utf8(read.stdout)?)
}

#[test]
fn what_she_takes_back_stays_to_be_seen_and_on_paper() {
    at_a_desk((1280, 800), "dark", async |desk| {
        desk.click("try-sample").await?;
        desk.click("demo-even").await?;
        desk.click("place-show").await?;
        // Cautions together first, and Spanish for her.
        unfold(desk, "her-text").await?;
        desk.click("language-es").await?;
        unfold(desk, "cautions-before").await?;
        desk.click("before-allergy-yes").await?;
        desk.reads("for-a-doctor", "alergia").await?;
        desk.photograph("show-cautions").await?;
        desk.click("hand-over").await?;
        desk.find("code-heading").await?;
        type_code(desk, CODE, "code").await?;
        desk.reads("code-heading", "once more").await?;
        type_code(desk, CODE, "code").await?;
        for _ in 0..2 {
            touch(desk, "go-on").await?;
        }
        desk.reads("signing-heading", "salud").await?;
        answer_everything(desk, &["alergia"]).await?;
        // Her name on a keyboard, where drawing is no way for her.
        desk.click("sign-other-way").await?;
        desk.find("signature-name")
            .await?
            .send_keys("Ana Ejemplo")
            .await?;
        desk.photograph("signing-typed").await?;
        desk.click("sign-agree").await?;
        desk.reads("signed", "Ha dado su acuerdo").await?;
        desk.click("sign-finish").await?;
        type_code(desk, CODE, "code").await?;
        desk.reads("agreed", "Agreed on").await?;

        // On paper, with her face: she let photos be kept.
        unfold(desk, "all-agreements").await?;
        let pdf = desk.save("save-agreement-1").await?;
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("agreement.pdf");
        fs::write(&file, &pdf)?;
        sound(&file)?;
        let words = words_of(&file)?;
        for part in [
            "Acuerdo sobre una forma exacta",
            "Ana Ejemplo",
            "SÍ",
            "Antes",
        ] {
            ensure!(words.contains(part), "no “{part}” in {words}");
        }
        ensure!(pictures_in(&file)? == 3, "not three pictures of her face");
        // The page to print shows the same.
        desk.click("print-agreement-1").await?;
        let script = "const f = document.getElementById('print-frame');
            return f ? f.srcdoc : '';";
        let page = desk
            .until("no page is printed", async || {
                let page = desk.driver.execute(script, vec![]).await?;
                let page: String = page.convert()?;
                Ok(page.contains("Ana Ejemplo").then_some(page))
            })
            .await?;
        ensure!(page.matches("data:image/jpeg").count() == 3 && page.contains("lang=\"es\""));
        // Left out where that is wished.
        desk.click("paper-face-1").await?;
        fs::write(&file, desk.save("save-agreement-1").await?)?;
        ensure!(pictures_in(&file)? == 0, "her face is there all the same");

        // Taken back, in two steps; it stays to be seen.
        desk.click("withdraw-1").await?;
        desk.reads("withdraw-really", "can’t be undone").await?;
        desk.click("withdraw-leave").await?;
        desk.click("withdraw-1").await?;
        desk.click("withdraw-now").await?;
        desk.reads("agreed", "NOT AGREED: she withdrew her agreement")
            .await?;
        desk.reads("agreement-1", "WITHDRAWN").await?;
        desk.photograph("show-withdrawn").await?;
        fs::write(&file, desk.save("save-agreement-1").await?)?;
        ensure!(
            words_of(&file)?.contains("RETIRADO el"),
            "not marked on paper"
        );
        // No undo brings it back.
        desk.click("undo").await?;
        desk.reads("agreement-1", "WITHDRAWN").await?;
        Ok(())
    });
}

/// A checker of another make finds nothing wrong, and every font is inside.
fn sound(pdf: &Path) -> Result<()> {
    let qpdf = which::which("qpdf").context("install qpdf")?;
    let done = Command::new(qpdf).arg("--check").arg(pdf).output()?;
    ensure!(
        done.status.success(),
        "{}",
        String::from_utf8_lossy(&done.stderr)
    );
    let fonts = Command::new(which::which("pdffonts")?).arg(pdf).output()?;
    let fonts = String::from_utf8(fonts.stdout)?;
    ensure!(fonts.lines().count() > 2, "no fonts");
    for row in fonts.lines().skip(2) {
        ensure!(row.contains("yes yes yes"), "not embedded: {row}");
    }
    Ok(())
}

fn pictures_in(pdf: &Path) -> Result<usize> {
    let listed = Command::new(which::which("pdfimages")?)
        .arg("-list")
        .arg(pdf)
        .output()?;
    let listed = String::from_utf8(listed.stdout)?;
    Ok(listed
        .lines()
        .skip(2)
        .filter(|l| l.contains("jpeg"))
        .count())
}

#[test]
fn an_own_text_is_edited_kept_asked_and_saved() {
    at_a_desk((1180, 820), "light", async |desk| {
        desk.click("try-sample").await?;
        desk.click("demo-even").await?;
        desk.click("place-show").await?;
        unfold(desk, "her-text").await?;
        desk.reads("text-now", "comes with Ophryon, version 2")
            .await?;
        desk.click("edit-text").await?;
        desk.photograph("show-text").await?;
        // A single figure is no range, and is refused in words.
        desk.enter("range-second-visit-weeks-to", "4").await?;
        desk.click("keep-text").await?;
        desk.reads("text-problem", "nobody knows this to the day")
            .await?;
        desk.enter("range-second-visit-weeks-to", "10").await?;
        let field = desk.find("text-caution-allergy").await?;
        field.send_keys(" Also latex.").await?;
        desk.click("keep-text").await?;
        desk.reads("text-now", "Your own text, version 3").await?;
        let saved = desk.save("save-text").await?;
        let saved: Value = serde_json::from_slice(&saved)?;
        ensure!(saved["version"] == json!(3));
        unfold(desk, "cautions-before").await?;
        desk.reads("cautions-before", "Also latex.").await?;
        // It is there for the next client too, and ours is one touch away.
        desk.driver.refresh().await?;
        desk.find("home").await?;
        desk.click("try-sample").await?;
        desk.click("demo-set").await?;
        desk.click("place-show").await?;
        unfold(desk, "her-text").await?;
        desk.reads("text-now", "Your own text, version 3").await?;
        desk.click("swap-text").await?;
        desk.reads("text-now", "comes with Ophryon, version 2")
            .await?;
        // What is no text is refused, and the text that is asked stays.
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("text.json");
        fs::write(&file, "{\"schema\": 7}")?;
        desk.choose("open-text", &file).await?;
        desk.reads("said", "newer Ophryon").await?;
        desk.reads("text-now", "comes with Ophryon, version 2")
            .await?;
        Ok(())
    });
}
