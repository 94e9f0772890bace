//! `ophryon check`: every constraint, and whether it holds.

use std::path::PathBuf;

use ophryon_brow::{Reading, Tolerance, Unit, Verdict};
use ophryon_record::Report;

use crate::Outcome;
use crate::client_file::{ClientFile, heading};
use crate::output;
use crate::table::{Column, number, table};
use crate::trouble::Trouble;

/// What `ophryon check` can be told.
#[derive(Debug, clap::Args)]
pub struct CheckOptions {
    /// The client's file
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Print JSON instead of a table
    #[arg(long)]
    json: bool,
}

/// Prints the constraints.
pub fn run(options: &CheckOptions) -> Result<Outcome, Trouble> {
    let report = ClientFile::open(&options.file)?.report()?;
    let text = if options.json {
        report.check().to_json()
    } else {
        words(&report)
    };
    output::print(&text)?;
    Ok(if report.holds {
        Outcome::Done
    } else {
        Outcome::ConstraintFails
    })
}

fn words(report: &Report) -> String {
    let columns = [
        ("side", Column::Words),
        ("constraint", Column::Words),
        ("value", Column::Numbers),
        ("", Column::Words),
        ("asked", Column::Words),
        ("holds", Column::Words),
    ];
    let rows: Vec<Vec<String>> = report
        .constraints
        .iter()
        .flat_map(|(side, readings)| {
            readings.iter().map(move |r| {
                vec![
                    side.name().to_owned(),
                    r.constraint.name().to_owned(),
                    r.value.map_or_else(|| "-".to_owned(), |v| shown(v, r.unit)),
                    r.value.map_or("", |_| unit(r.unit)).to_owned(),
                    asked(r),
                    match r.verdict {
                        Verdict::Holds => "yes",
                        Verdict::Fails => "NO",
                        Verdict::Shown => "only shown",
                    }
                    .to_owned(),
                ]
            })
        })
        .collect();
    let mut text = format!("{}\n{}\n", heading(report), table(&columns, &rows));
    let mut failing = 0;
    for (side, reading) in report.failing() {
        failing += 1;
        let mend = match &reading.mend {
            Some(mend) => format!(" ({})", mend.sentence),
            None => String::new(),
        };
        text.push_str(&format!(
            "Client's {}, {}: {}{mend}\n",
            side.name(),
            reading.constraint.name().to_owned(),
            reading.sentence
        ));
    }
    text.push_str(match failing {
        0 => "Every constraint holds.\n",
        1 => "One constraint does not hold.\n",
        _ => "Some constraints do not hold.\n",
    });
    text
}

fn asked(reading: &Reading) -> String {
    let shown = |v| format!("{} {}", shown(v, reading.unit), unit(reading.unit));
    let text = match reading.tolerance {
        Tolerance::AtMost { most } => format!("at most {}", shown(most)),
        Tolerance::AtLeast { least } => format!("at least {}", shown(least)),
        Tolerance::Within { least, most } => {
            format!("{} to {}", shown(least).trim_end(), shown(most))
        }
        Tolerance::Shown => "no limit".to_owned(),
    };
    text.trim_end().to_owned()
}

fn shown(value: f64, unit: Unit) -> String {
    match unit {
        Unit::Mm | Unit::Degrees => number(value),
        Unit::Percent => format!("{value:.1}"),
        Unit::Count => format!("{value:.0}"),
    }
}

const fn unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Mm => "mm",
        Unit::Degrees => "degrees",
        Unit::Percent => "%",
        Unit::Count => "",
    }
}
