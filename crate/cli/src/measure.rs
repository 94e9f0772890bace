//! `ophryon measure`: what a ruler must read on skin, and how the sides differ.

mod certainty;
mod standing;
mod states;
mod variants;

use std::path::PathBuf;

use ophryon_record::{Record, Report};

use crate::Outcome;
use crate::client_file::{ClientFile, heading};
use crate::hair;
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
        let drawn = file.record.drawn();
        let drawn = drawn.map_err(|why| file.study_trouble(&why))?;
        format!(
            "{}{}{}\n{states}",
            words(&report, &file.record),
            standing::words(&drawn),
            variants::words(&report.variants)
        )
    };
    output::print(&text)?;
    Ok(Outcome::Done)
}

fn words(report: &Report, record: &Record) -> String {
    let mut text = heading(report);
    // Pose and camera are said below, with the photo.
    let said = |c: &&String| !report.certainty.sentences.contains(*c);
    for caution in report.cautions.iter().filter(said) {
        text.push_str(&format!("Mind: {caution}\n"));
    }
    text.push_str(&format!("\n{}", certainty::photo(report)));
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
    text.push_str(&hair::of_report(report, record));
    text.push_str(&certainty::natural(&report.certainty));
    text
}
