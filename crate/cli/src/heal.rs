//! `ophryon heal`: what stays of the drawn brows, and what to draw so that
//! these brows are what stays.

use std::path::PathBuf;

use ophryon_brow::{Brow, Healing, Shrink, ShrinkBy, healed, to_draw};
use ophryon_frames::Side;
use ophryon_record::{Drawn, ShapeSource};
use serde_json::{Value, json};

use crate::Outcome;
use crate::client_file::ClientFile;
use crate::output;
use crate::table::{Column, number, signed, table};
use crate::trouble::Trouble;

/// What `ophryon heal` can be told.
#[derive(Debug, clap::Args)]
pub struct HealOptions {
    /// The client's file
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// How much smaller a brow heals, percent; as the file says, where it is left out
    #[arg(long, value_name = "PERCENT", value_parser = percent, allow_hyphen_values = true)]
    shrink: Option<f64>,
    /// Percent of what; as the file says, where it is left out
    #[arg(long, value_enum)]
    by: Option<By>,
    /// Print JSON instead of tables
    #[arg(long)]
    json: bool,
}

/// What the percentage is taken of.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
enum By {
    /// The area
    Area,
    /// The thickness of the body
    Thickness,
}

/// A number, with a decimal point or comma, with its sign or without.
fn percent(text: &str) -> Result<f64, String> {
    let number = text.trim().trim_end_matches('%').trim_end();
    number
        .replace(',', ".")
        .parse()
        .map_err(|_| "this is no number of percent, such as 10".to_owned())
}

/// The two ways, or why there is none.
type Ways = [(&'static str, Result<Healing, String>); 2];

/// Prints both ways.
pub fn run(options: &HealOptions) -> Result<Outcome, Trouble> {
    // What can't be used is said before anything is read.
    let asked = options.shrink.map(|percent| percent / 100.0);
    let problem = asked.and_then(|share| {
        let by = ShrinkBy::default();
        Shrink { share, by }.problem()
    });
    if let Some(problem) = problem {
        return Err(Trouble::Options(format!("--shrink: {problem}")));
    }
    let file = ClientFile::open(&options.file)?;
    let kept = file.record.shrink;
    let shrink = Shrink {
        share: asked.unwrap_or(kept.share),
        by: match options.by {
            Some(By::Area) => ShrinkBy::Area,
            Some(By::Thickness) => ShrinkBy::Thickness,
            None => kept.by,
        },
    };
    let drawn = file.record.drawn();
    let drawn = drawn.map_err(|why| file.study_trouble(&why))?;
    let brows = brows(&drawn);
    let text = if options.json {
        let sides = brows
            .iter()
            .map(|(side, brow)| in_json(side, &ways(brow, &shrink)));
        let all = json!({
            "code": file.record.client.code,
            "version": file.record.version,
            "shrink": shrink,
            "brows": sides.collect::<Vec<_>>(),
        });
        format!("{all:#}\n")
    } else {
        let mut text = format!(
            "Client {}, version {}: healed {} % smaller in {}{}\n",
            file.record.client.code,
            file.record.version,
            // Rounded, so that a share such as 0.07 is no 7.000000000000001 %.
            (shrink.share * 1e8).round() / 1e6,
            shrink.by.name(),
            match shrink {
                _ if shrink == Shrink::default() => " (common practice)",
                _ if shrink == kept => " (as the file says)",
                _ => "",
            },
        );
        if drawn.source == ShapeSource::Proposal {
            text.push_str(
                "The file holds no shape yet: this is the proposal from the mapping rules.\n",
            );
        }
        for (side, brow) in &brows {
            text.push_str(&in_words(side, &ways(brow, &shrink)));
        }
        text.push_str("\nAn estimate: skin heals as it will, and by other amounts on each client. Your own healed brows, measured, are the better figure for --shrink.\n");
        text
    };
    output::print(&text)?;
    Ok(Outcome::Done)
}

/// One brow where the sides are linked, else each.
fn brows(drawn: &Drawn) -> Vec<(&'static str, &Brow)> {
    let (right, left) = (drawn.brows.get(Side::Right), drawn.brows.get(Side::Left));
    if right == left {
        vec![("both", right)]
    } else {
        vec![("right", right), ("left", left)]
    }
}

fn ways(brow: &Brow, shrink: &Shrink) -> Ways {
    let said =
        |way: Result<Healing, _>| way.map_err(|why: ophryon_brow::HealError| why.to_string());
    [
        ("as-drawn", said(healed(brow, shrink))),
        ("to-heal-to-this", said(to_draw(brow, shrink))),
    ]
}

fn in_words(side: &str, [as_drawn, to_heal]: &Ways) -> String {
    let whose = match side {
        "both" => "Both brows".to_owned(),
        one => format!("Client's {one} brow"),
    };
    let mut text = format!("\n{whose}, drawn as it is\n");
    text.push_str(&one_way(&as_drawn.1, ["drawn", "healed"]));
    text.push_str(&format!("\n{whose}, if this is what shall stay\n"));
    text.push_str(&one_way(&to_heal.1, ["to draw", "healed"]));
    text
}

fn one_way(way: &Result<Healing, String>, [first, second]: [&str; 2]) -> String {
    let healing = match way {
        Ok(healing) => healing,
        Err(why) => return format!("Not possible: {why}.\n"),
    };
    let (before, after) = (&healing.drawn, &healing.healed);
    let row = |name: String, a: f64, b: f64| vec![name, number(a), number(b), signed(b - a)];
    let mut rows: Vec<Vec<String>> = before
        .thickness
        .rows()
        .into_iter()
        .zip(after.thickness.rows())
        .map(|((name, a), (_, b))| row(format!("thickness, {name} (mm)"), a, b))
        .collect();
    rows.push(row(
        "tip to midline (mm)".to_owned(),
        before.reach_mm,
        after.reach_mm,
    ));
    rows.push(row(
        "area (mm²)".to_owned(),
        before.area_mm2,
        after.area_mm2,
    ));
    let columns = [
        ("", Column::Words),
        (first, Column::Numbers),
        (second, Column::Numbers),
        ("change", Column::Numbers),
    ];
    let mut text = table(&columns, &rows);
    for sentence in healing.sentences() {
        text.push_str(&format!("{sentence}\n"));
    }
    text
}

fn in_json(side: &str, ways: &Ways) -> Value {
    let mut all = json!({ "side": side });
    for (name, way) in ways {
        all[*name] = match way {
            Err(why) => json!({ "not-possible": why }),
            Ok(h) => {
                let stage = |s: &ophryon_brow::Stage| {
                    let cubics = |o: &ophryon_brow::Outline<_>| -> Vec<Value> {
                        o.segments()
                            .iter()
                            .map(|s| json!({ "part": s.part, "lateral-mm": s.controls }))
                            .collect()
                    };
                    json!({
                        "area-mm2": s.area_mm2,
                        "thickness": s.thickness,
                        "tip-to-midline-mm": s.reach_mm,
                        "outlines": s.outlines.iter().map(cubics).collect::<Vec<_>>(),
                    })
                };
                json!({
                    "distance-mm": h.distance_mm,
                    "within-mm": h.within_mm,
                    "tail-shorter-mm": h.tail_shorter_mm,
                    "drawn": stage(&h.drawn),
                    "healed": stage(&h.healed),
                    "sentences": h.sentences(),
                })
            }
        };
    }
    all
}
