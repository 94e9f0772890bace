//! Her face with the powder on it: what the canvases hold and how they fade.

use anyhow::{Result, ensure};
use serde_json::{Value, json};

use crate::at_a_desk;
use crate::desk::Desk;
use crate::touch::unfold;

/// Of each stage's canvas: its size, a fingerprint of which pixels it hides,
/// how many those are, and their mean brightness, also of the photo below.
const READ: &str = "
    const look = document.querySelector('[data-testid=\"look\"]');
    if (!look || look.getAttribute('aria-busy') !== 'false') return null;
    const photo = look.querySelector('.look-photo');
    const stages = [...look.querySelectorAll('.look-stage')];
    if (!stages.every((s) => s.style.width)) return null;
    const box = photo.getBoundingClientRect();
    const dense = photo.width / parseFloat(photo.style.width);
    const mean = (data, where) => {
        let sum = 0;
        for (const i of where) sum += data[i] + data[i + 1] + data[i + 2];
        return sum / (3 * where.length);
    };
    const all = stages.map((stage) => {
        const { width, height } = stage;
        const data = stage.getContext('2d').getImageData(0, 0, width, height).data;
        const where = [];
        let mark = 7;
        for (let i = 0; i < data.length; i += 4) {
            if (data[i + 3] === 255) { where.push(i); mark = (mark * 31 + i) % 1000003; }
            else if (data[i + 3] !== 0) mark = -1;
        }
        const left = Math.round(parseFloat(stage.style.left) * dense);
        const top = Math.round(parseFloat(stage.style.top) * dense);
        const below = photo.getContext('2d').getImageData(left, top, width, height).data;
        return { width, height, mark, hidden: where.length, mean: mean(data, where), below: mean(below, where) };
    });
    return { all, photo: [photo.width, photo.height] };";

async fn read(desk: &Desk) -> Result<Value> {
    desk.until("the face is never painted", async || {
        let found = desk.driver.execute(READ, vec![]).await?;
        Ok(Some(found.json().clone()).filter(|v| !v.is_null()))
    })
    .await
}

/// Waits until what is painted is another than before.
async fn read_other(desk: &Desk, before: &Value) -> Result<Value> {
    desk.until("the face is not painted anew", async || {
        let now = read(desk).await?;
        Ok(Some(now.clone()).filter(|now| now != before))
    })
    .await
}

async fn slide(desk: &Desk, to: f64) -> Result<()> {
    let script = "const s = document.querySelector('[data-testid=\"show-stage\"]');
        s.value = arguments[0];
        s.dispatchEvent(new Event('input', { bubbles: true }));";
    desk.driver.execute(script, vec![json!(to)]).await?;
    Ok(())
}

/// How opaque each stage comes to rest.
async fn rests_at(desk: &Desk, wanted: [f64; 3]) -> Result<()> {
    let script = "return [...document.querySelectorAll('.look-layer')]
        .map((l) => Number(getComputedStyle(l).opacity));";
    desk.until(&format!("the stages never are {wanted:?}"), async || {
        let found = desk.driver.execute(script, vec![]).await?;
        let found: Vec<f64> = found.convert()?;
        let rests = found.len() == 3 && found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-6);
        Ok(rests.then_some(()))
    })
    .await
}

fn number(value: &Value, stage: usize, name: &str) -> f64 {
    value["all"][stage][name].as_f64().unwrap_or(f64::NAN)
}

#[test]
fn her_face_fades_from_before_to_healed() {
    at_a_desk((1280, 800), "light", async |desk| {
        desk.click("try-sample").await?;
        desk.click("demo-even").await?;
        desk.find("photo").await?;
        desk.click("place-show").await?;
        let first = read(desk).await?;
        for stage in 0..3 {
            // All hide the same pixels, whole or not at all, or what lies
            // below would shine through on the way from one to the next.
            for name in ["mark", "hidden", "width", "height", "below"] {
                ensure!(
                    number(&first, stage, name) == number(&first, 0, name),
                    "{name} differs: {first}"
                );
            }
            ensure!(number(&first, stage, "mark") >= 0.0, "half hidden: {first}");
            ensure!(number(&first, stage, "hidden") > 5000.0, "{first}");
        }
        let mean = |stage| number(&first, stage, "mean");
        let bare = number(&first, 0, "below");
        ensure!(
            mean(1) < mean(2) - 3.0,
            "fresh isn't darker than healed: {first}"
        );
        ensure!(
            mean(2) < bare - 3.0,
            "healed isn't darker than bare: {first}"
        );
        ensure!((mean(0) - bare).abs() > 1.0, "no line is drawn: {first}");

        for (to, wanted) in [
            (0.0, [0.0, 0.0, 0.0]),
            (1.0, [1.0, 0.0, 0.0]),
            (1.4, [1.0, 0.4, 0.0]),
            (2.75, [1.0, 1.0, 0.75]),
            (3.0, [1.0, 1.0, 1.0]),
        ] {
            slide(desk, to).await?;
            rests_at(desk, wanted).await?;
            if to.fract() == 0.0 {
                desk.photograph(&format!("look-{to:.0}")).await?;
            }
        }
        ensure!(read(desk).await? == first, "sliding paints nothing anew");

        unfold(desk, "look-options").await?;
        desk.click("tone-deep-peat").await?;
        let darker = read_other(desk, &first).await?;
        ensure!(number(&darker, 1, "mean") < mean(1), "{darker}");
        ensure!(
            number(&darker, 0, "mean") == mean(0),
            "the line has no tone"
        );

        desk.click("facing-as-mirror").await?;
        let script = "return getComputedStyle(document.querySelector('.look-face')).transform;";
        let turned: String = desk.driver.execute(script, vec![]).await?.convert()?;
        ensure!(turned.starts_with("matrix(-1,"), "not mirrored: {turned}");

        desk.click("near-the-face").await?;
        let whole = read_other(desk, &darker).await?;
        ensure!(
            number(&whole, 0, "width") < 0.8 * number(&darker, 0, "width"),
            "{whole}"
        );
        desk.photograph("look-whole-face").await?;
        Ok(())
    });
}
