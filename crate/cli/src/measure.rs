//! `ophryon measure`: what a ruler must read on skin, and how the sides differ.

mod states;

use std::path::PathBuf;

use ophryon_record::{BrowPlace, Length, NaturalDifference, Report};

use crate::Outcome;
use crate::client_file::{ClientFile, heading};
use crate::output;
use crate::table::{Column, number, signed, table};
use crate::trouble::Trouble;

/// What `ophryon measure` can be told.
#[derive(Debug, clap::Args)]
pub struct MeasureOptions {
    /// The client's file
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Print JSON instead of tables
    #[arg(long)]
    json: bool,
}

/// Prints the distances.
pub fn run(options: &MeasureOptions) -> Result<Outcome, Trouble> {
    let file = ClientFile::open(&options.file)?;
    let report = file.report()?;
    let balance = file.record.balance();
    let missing = file.record.balance_asks();
    let text = if options.json {
        let balance = balance.as_ref().map_err(|_| missing.as_slice());
        report.measure(balance).to_json()
    } else {
        let states = match &balance {
            Ok(balance) => states::words(balance),
            Err(_) => states::missing(&missing),
        };
        format!("{}\n{states}", words(&report))
    };
    output::print(&text)?;
    Ok(Outcome::Done)
}

fn words(report: &Report) -> String {
    let mut text = heading(report);
    for caution in &report.cautions {
        text.push_str(&format!("Mind: {caution}\n"));
    }
    let face = &report.face;
    text.push_str(&format!(
        "\nFrom the photo “{}”\nScale by the {}: {:.5} mm per px ± {:.1} %\nPupil to pupil: {:.1} ± {:.1} mm\nRoll: {} degrees\n",
        report.photo,
        face.reference,
        face.mm_per_px,
        face.scale_plus_minus_percent,
        face.pupils.mm,
        face.pupils.plus_minus_mm,
        signed(face.roll_degrees),
    ));
    text.push_str("\nThe shape, on skin (mm)\n");
    let rows: Vec<Vec<String>> = report
        .differences
        .iter()
        .map(|d| {
            vec![
                d.name.to_owned(),
                number(d.right_mm),
                number(d.left_mm),
                signed(d.difference_mm),
            ]
        })
        .collect();
    text.push_str(&table(
        &[
            ("", Column::Words),
            ("client's right", Column::Numbers),
            ("client's left", Column::Numbers),
            ("right less left", Column::Numbers),
        ],
        &rows,
    ));
    if !report.natural_differences.is_empty() {
        text.push_str("\nThe natural brows, right less left as seen from the front (mm)\n");
        text.push_str(&natural(&report.natural_differences));
    }
    text
}

fn natural(found: &[NaturalDifference]) -> String {
    let cell = |length: Length, distinguishable: bool| {
        let even = if distinguishable {
            ""
        } else {
            ", not distinguishable from even"
        };
        format!(
            "{} ± {}{even}",
            signed(length.mm),
            number(length.plus_minus_mm)
        )
    };
    let rows: Vec<Vec<String>> = found
        .iter()
        .map(|d| {
            let place = match d.place {
                BrowPlace::Start => "start",
                BrowPlace::Peak => "peak",
                BrowPlace::Tail => "tail",
            };
            vec![
                place.to_owned(),
                cell(d.height, d.height_distinguishable),
                cell(d.from_midline, d.from_midline_distinguishable),
            ]
        })
        .collect();
    table(
        &[
            ("", Column::Words),
            ("height", Column::Words),
            ("distance from the midline", Column::Words),
        ],
        &rows,
    )
}
