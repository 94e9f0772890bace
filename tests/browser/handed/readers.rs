//! The screens by the rules of axe-core (Deque; WCAG 2.2 A and AA): nothing
//! serious or critical on what a client or an artist sees.

use std::fs;

use anyhow::{Context, Result, ensure};
use serde_json::Value;

use super::{CODE, at_show, hand_over, type_code};
use crate::at_a_desk;
use crate::desk::{Desk, given};

/// What the rules say of the page as it is: a line for each finding of that
/// weight.
async fn findings(desk: &Desk, screen: &str) -> Result<Vec<String>> {
    let path = given("OPHRYON_AXE").context(
        "the rules for accessible screens (axe-core) are not at hand, so nothing is known of them",
    )?;
    let rules = fs::read_to_string(&path).with_context(|| path.display().to_string())?;
    // The page's own rules forbid scripts from elsewhere; the driver's are none.
    desk.driver.execute(rules, Vec::<Value>::new()).await?;
    let script = "const done = arguments[arguments.length - 1];
        axe.run(document, { resultTypes: ['violations'] }).then((found) => done(
            found.violations.flatMap((v) => v.nodes.map((n) =>
                [v.impact, v.id, n.target.join(' '), n.any.map((a) => a.message).join('; ')]))
        ), (why) => done([['critical', 'axe', String(why), '']]));";
    let found = desk
        .driver
        .execute_async(script, Vec::<Value>::new())
        .await?;
    let found: Vec<[Option<String>; 4]> = found.convert()?;
    let lines = found.into_iter().map(|line| {
        let [impact, rule, place, why] = line.map(Option::unwrap_or_default);
        format!("{screen}: {impact}, {rule}, {place}: {why}")
    });
    Ok(lines.collect())
}

fn is_heavy(line: &str) -> bool {
    line.contains(": serious,") || line.contains(": critical,")
}

/// Adds what is found on a screen.
async fn look_at(desk: &Desk, screen: &str, all: &mut Vec<String>) -> Result<()> {
    // Nothing that is still fading in is judged by its colour.
    tokio::time::sleep(std::time::Duration::from_millis(400)).await;
    all.extend(findings(desk, screen).await?);
    Ok(())
}

fn no_heavy(all: &[String]) -> Result<()> {
    for line in all.iter().filter(|line| !is_heavy(line)) {
        println!("light: {line}");
    }
    let heavy: Vec<_> = all.iter().filter(|line| is_heavy(line)).collect();
    ensure!(heavy.is_empty(), "{} findings: {heavy:#?}", heavy.len());
    Ok(())
}

#[test]
fn the_clients_pages_have_no_serious_finding_in_light_and_dark() {
    for light in ["light", "dark"] {
        at_a_desk((820, 1180), light, async |desk| {
            at_show(desk).await?;
            let mut all = Vec::new();
            desk.click("hand-over").await?;
            desk.find("code-heading").await?;
            look_at(desk, "setting the code", &mut all).await?;
            desk.click("code-leave").await?;
            hand_over(desk).await?;
            look_at(desk, "look", &mut all).await?;
            desk.click("go-on").await?;
            look_at(desk, "say", &mut all).await?;
            desk.click("say-too-thick").await?;
            look_at(desk, "where", &mut all).await?;
            desk.click("say-keep").await?;
            desk.reads("said-so-far", "Too thick").await?;
            look_at(desk, "said", &mut all).await?;
            desk.click("go-on").await?;
            desk.reads("handed-heading", "Which").await?;
            look_at(desk, "choose", &mut all).await?;
            desk.click("go-on").await?;
            desk.find("signing").await?;
            look_at(desk, "sign", &mut all).await?;
            desk.click("give-back").await?;
            desk.find("code-dots").await?;
            look_at(desk, "give back", &mut all).await?;
            type_code(desk, CODE).await?;
            no_heavy(&all)
        });
    }
}

#[test]
fn the_artists_screens_have_no_serious_finding_in_light_and_dark() {
    for light in ["light", "dark"] {
        at_a_desk((1280, 800), light, async |desk| {
            let mut all = Vec::new();
            look_at(desk, "first screen", &mut all).await?;
            desk.click("try-sample").await?;
            look_at(desk, "samples", &mut all).await?;
            desk.click("demo-set").await?;
            desk.find("handle-right-peak").await?;
            look_at(desk, "Shape", &mut all).await?;
            for (place, there) in [
                ("face", "photo"),
                ("balance", "verdict"),
                ("show", "hand-over"),
                ("paper", "sheet-preview"),
                ("visits", "panel"),
            ] {
                desk.click(&format!("place-{place}")).await?;
                desk.find(there).await?;
                look_at(desk, place, &mut all).await?;
            }
            no_heavy(&all)
        });
    }
}
