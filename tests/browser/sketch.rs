//! A brow sketched over the photo by real pointers: mouse, finger with a palm
//! beside it, and taps.

use anyhow::{Context, Result, ensure};
use ophryon_face::{Landmark, SidedLandmark};
use ophryon_frames::Side;
use serde_json::json;
use thirtyfour::common::command::{Actions, Command};

use crate::at_a_desk;
use crate::desk::Desk;
use crate::truth::Invented;

type Line = Vec<[f64; 2]>;

/// A hand trembles by so many px of the screen.
const TREMBLE: f64 = 1.2;

/// Opens a sample's shape and takes up the sketch.
async fn sketching(desk: &Desk, client: &str) -> Result<()> {
    desk.click("try-sample").await?;
    desk.click(client).await?;
    desk.find("handle-right-peak").await?;
    desk.click("hand-sketch").await?;
    desk.find("sketch-ground").await?;
    Ok(())
}

/// Both outlines as they lie on the photo, px: the client's right first.
async fn outlines(desk: &Desk) -> Result<Vec<Line>> {
    let script = "return [...document.querySelectorAll('[data-testid=drawing] .brow > .core')]
        .map(path => { const all = path.getTotalLength();
            return [...Array(240).keys()].map(i => {
                const p = path.getPointAtLength(all * i / 240); return [p.x, p.y]; }); });";
    let found = desk.driver.execute(script, vec![]).await?;
    Ok(found.convert()?)
}

/// Draws along places of the photo with the mouse, as a trembling hand does.
async fn draw(desk: &Desk, line: &[[f64; 2]], seed: u64) -> Result<()> {
    let mut chain = desk.driver.action_chain();
    let mut state = seed;
    let mut tremble = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        2.0 * TREMBLE * ((state >> 33) as f64 / f64::from(u32::MAX >> 1) - 0.5)
    };
    for (i, px) in line.iter().enumerate() {
        let [x, y] = desk.on_screen(*px).await?;
        let (x, y) = (x + tremble(), y + tremble());
        chain = chain.move_to(x.round() as i64, y.round() as i64);
        if i == 0 {
            chain = chain.click_and_hold();
        }
    }
    chain.release().perform().await?;
    Ok(())
}

fn px_per_mm(client: &Invented) -> Result<f64> {
    let [right, left] = [Side::Right, Side::Left]
        .map(|side| client.landmark(Landmark::Sided(side, SidedLandmark::Pupil)));
    let ([x, y], [u, v]) = (right?, left?);
    // The invented eyes are some 63 mm apart; a few percent don't matter here.
    Ok(libm::hypot(x - u, y - v) / 63.0)
}

/// Largest distance of places from a closed line.
fn farthest(places: &[[f64; 2]], line: &Line) -> f64 {
    let to = |[x, y]: [f64; 2]| {
        let next = line.iter().cycle().skip(1);
        line.iter()
            .zip(next)
            .map(|(a, b)| {
                let (u, v) = (b[0] - a[0], b[1] - a[1]);
                let square = (u * u + v * v).max(1e-12);
                let t = (((x - a[0]) * u + (y - a[1]) * v) / square).clamp(0.0, 1.0);
                libm::hypot(x - a[0] - t * u, y - a[1] - t * v)
            })
            .fold(f64::INFINITY, f64::min)
    };
    places.iter().map(|p| to(*p)).fold(0.0, f64::max)
}

#[test]
fn a_trembling_sketch_becomes_the_outline_and_can_be_undone() {
    at_a_desk((1280, 800), "light", async |desk| {
        let client = Invented::read("demo-set")?;
        sketching(desk, "demo-set").await?;
        let before = outlines(desk).await?;
        let right = before.first().context("an outline")?;
        // The same brow a good millimetre higher, thus a shape that can be drawn.
        let k = px_per_mm(&client)?;
        let meant: Line = right.iter().map(|[x, y]| [*x, y - 1.4 * k]).collect();
        // Two strokes, the second against the first's way.
        let every: Line = meant.iter().step_by(4).copied().collect();
        let (first, second) = every.split_at(every.len() / 2);
        draw(desk, first, 1).await?;
        desk.reads("question", "One stroke on the client's right")
            .await?;
        let mut back: Line = first[first.len() - 1..]
            .iter()
            .chain(second)
            .copied()
            .collect();
        back.reverse();
        draw(desk, &back, 2).await?;
        desk.reads("question", "2 strokes").await?;
        // The last one back by the word that undoes, and drawn again.
        desk.reads("undo", "last stroke").await?;
        desk.click("undo").await?;
        desk.reads("question", "One stroke").await?;
        draw(desk, &back, 3).await?;
        desk.photograph("sketch-strokes").await?;
        ensure!(
            outlines(desk).await? == before,
            "strokes alone changed the shape"
        );

        desk.click("make-shape").await?;
        let said = desk.reads("sketch-found", "followed to").await?;
        let off: f64 = said
            .split_whitespace()
            .find_map(|word| word.parse().ok())
            .with_context(|| said.clone())?;
        ensure!(off < 0.7, "“{said}”");
        desk.photograph("sketch-found").await?;
        ensure!(
            outlines(desk).await? == before,
            "it was taken before it was asked for"
        );
        desk.click("sketch-take").await?;
        desk.reads("undo", "sketch the client's right brow").await?;
        let after = outlines(desk).await?;
        let off_mm = farthest(&after[0], &meant) / k;
        ensure!(off_mm < 0.45, "{off_mm:.2} mm from what was meant");
        // The other side follows, being linked.
        ensure!(farthest(&after[1], &before[1]) / k > 0.8);
        desk.photograph("sketch-taken").await?;
        desk.click("undo").await?;
        desk.no_longer_reads("undo", "Undo: sketch the client's right brow")
            .await?;
        ensure!(outlines(desk).await? == before, "undo left something");
        // Nothing drawn is lost by it.
        desk.click("bring-strokes-back").await?;
        desk.reads("question", "2 strokes").await?;
        Ok(())
    });
}

/// Several pointers at once, step by step: for each its kind and its places on
/// the screen, `None` before it comes down and after it went up.
pub async fn fingers(desk: &Desk, kinds: &[&str], steps: &[Vec<Option<[f64; 2]>>]) -> Result<()> {
    let sources: Vec<_> = kinds
        .iter()
        .enumerate()
        .map(|(which, kind)| {
            let mut is_down = false;
            let mut actions = Vec::new();
            for step in steps {
                let mut action = json!({ "type": "pause", "duration": 20 });
                match (step[which], is_down) {
                    (Some([x, y]), true) => {
                        action = json!({ "type": "pointerMove", "duration": 20,
                            "x": x.round() as i64, "y": y.round() as i64 });
                    }
                    (Some([x, y]), false) => {
                        // It comes down where it is moved to.
                        actions.push(json!({ "type": "pointerMove", "duration": 0,
                            "x": x.round() as i64, "y": y.round() as i64 }));
                        action = json!({ "type": "pointerDown", "button": 0 });
                        is_down = true;
                    }
                    (None, true) => {
                        action = json!({ "type": "pointerUp", "button": 0 });
                        is_down = false;
                    }
                    (None, false) => {}
                }
                if step[which].is_none() || actions.len() % 2 == 0 {
                    actions.push(json!({ "type": "pause", "duration": 0 }));
                }
                actions.push(action);
            }
            json!({ "type": "pointer", "id": format!("pointer-{which}"),
                "parameters": { "pointerType": kind }, "actions": actions })
        })
        .collect();
    let all = Actions::from(json!(sources));
    desk.driver
        .handle()
        .cmd(Command::PerformActions(all))
        .await?;
    Ok(())
}

#[test]
fn a_palm_spoils_no_stroke_and_two_fingers_enlarge_the_photo() {
    at_a_desk((820, 1180), "light", async |desk| {
        sketching(desk, "demo-even").await?;
        let outlines = outlines(desk).await?;
        let mut edge = Vec::new();
        for px in outlines[1].iter().take(100).step_by(5) {
            edge.push(desk.on_screen(*px).await?);
        }
        // A finger draws; after a while a palm comes down, slides and leaves.
        let palm = [edge[0][0] + 60.0, edge[0][1] + 120.0];
        let mut steps: Vec<Vec<Option<[f64; 2]>>> = edge
            .iter()
            .enumerate()
            .map(|(i, at)| {
                let down = (6..14).contains(&i);
                vec![Some(*at), down.then_some([palm[0] + i as f64, palm[1]])]
            })
            .collect();
        steps.push(vec![None, None]);
        fingers(desk, &["touch", "touch"], &steps).await?;
        desk.reads("question", "One stroke on the client's left")
            .await?;
        // Two fingers that come down together leave no stroke.
        let wide = |desk: &Desk| {
            let driver = desk.driver.clone();
            async move {
                let script = "return document.querySelector('[data-testid=photo]')
                    .getBoundingClientRect().width;";
                anyhow::Ok(driver.execute(script, vec![]).await?.convert::<f64>()?)
            }
        };
        let before = wide(desk).await?;
        let apart = |by: f64| vec![Some([380.0 - by, 300.0]), Some([440.0 + by, 300.0])];
        let mut pinch: Vec<_> = (0..10).map(|i| apart(8.0 * f64::from(i))).collect();
        pinch.push(vec![None, None]);
        fingers(desk, &["touch", "touch"], &pinch).await?;
        let after = wide(desk).await?;
        ensure!(after > 1.5 * before, "{before} px wide became {after}");
        ensure!(desk.text("question").await?.starts_with("One stroke"));
        desk.photograph("sketch-upright").await?;
        // The stroke stayed where it was drawn on the photo.
        let script =
            "const d = document.querySelector('[data-testid=sketch-drawing] .stroke .core')
            .getAttribute('d'); return d.match(/-?[0-9.]+/g).map(Number);";
        let numbers: Vec<f64> = desk.driver.execute(script, vec![]).await?.convert()?;
        let drawn: Line = numbers.chunks_exact(2).map(|c| [c[0], c[1]]).collect();
        let off = farthest(&drawn, &outlines[1]);
        ensure!(
            drawn.len() > 10 && off < 12.0,
            "{} places, {off:.1} px off",
            drawn.len()
        );
        Ok(())
    });
}

#[test]
fn an_edge_is_tapped_point_by_point_and_by_keys() {
    at_a_desk((1180, 820), "dark", async |desk| {
        sketching(desk, "demo-even").await?;
        let outlines = outlines(desk).await?;
        desk.click("by-tapping").await?;
        for px in outlines[0].iter().take(110).step_by(18) {
            desk.tap([px[0], px[1] - 6.0]).await?;
        }
        desk.reads("undo", "last point").await?;
        desk.photograph("sketch-tapped").await?;
        // One more by the keyboard.
        let ground = desk.find("sketch-ground").await?;
        ground.focus().await?;
        ground
            .send_keys(thirtyfour::Key::Right + thirtyfour::Key::Enter)
            .await?;
        desk.click("end-line").await?;
        desk.reads("undo", "last stroke").await?;
        desk.click("make-shape").await?;
        desk.reads("sketch-found", "followed to").await?;
        desk.click("sketch-leave").await?;
        // Back at the points, the shape as it was.
        desk.find("handle-right-peak").await?;
        desk.reads("undo", "Nothing to undo").await?;
        Ok(())
    });
}

#[test]
fn what_a_sketch_breaks_is_said_before_it_is_taken() {
    at_a_desk((1280, 800), "light", async |desk| {
        let client = Invented::read("demo-even")?;
        sketching(desk, "demo-even").await?;
        let outlines = outlines(desk).await?;
        let k = px_per_mm(&client)?;
        let edge = |side: usize| -> Line {
            let mut all = outlines[side].clone();
            all.sort_by(|a, b| a[0].total_cmp(&b[0]));
            all
        };
        // The tail of the client's left brow, drawn level and not down.
        let left = edge(1);
        let tip = left[left.len() - 1];
        let level: Line = (0..=12)
            .map(|i| [tip[0] - (18.0 - 1.5 * f64::from(i)) * k, tip[1] - 6.0 * k])
            .collect();
        draw(desk, &level, 5).await?;
        desk.click("make-shape").await?;
        desk.reads("sketch-breaks", "tail aim: tail points").await?;
        desk.reads("sketch-take", "Take it all the same").await?;
        desk.photograph("sketch-breaks").await?;
        desk.click("sketch-again").await?;

        // One stroke along both upper edges, over the nose.
        let top = |side: usize| -> Line {
            let all = edge(side);
            let run = all.chunk_by(|a, b| (a[0] / (3.0 * k)).floor() == (b[0] / (3.0 * k)).floor());
            let highest = |c: &[[f64; 2]]| c.iter().copied().min_by(|a, b| a[1].total_cmp(&b[1]));
            run.filter_map(highest).collect()
        };
        draw(desk, &[top(0), top(1)].concat(), 6).await?;
        desk.reads("question", "One stroke over both brows").await?;
        desk.click("make-shape").await?;
        desk.reads("sketch-found", "followed to").await?;
        desk.photograph("sketch-over-both").await?;
        desk.click("sketch-again").await?;

        // On the cheek.
        let cheek: Line = (0..=12)
            .map(|i| [tip[0] - 2.5 * k * f64::from(i), tip[1] + 42.0 * k])
            .collect();
        draw(desk, &cheek, 7).await?;
        desk.click("make-shape").await?;
        desk.reads("said", "no sketch of a brow").await?;
        desk.reads("question", "One stroke").await?;
        desk.photograph("sketch-elsewhere").await?;
        Ok(())
    });
}
