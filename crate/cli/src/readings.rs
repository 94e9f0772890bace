//! `ophryon readings`: what a ruler read on skin against the list, and what
//! readings that are off are likely to come from.

use std::path::PathBuf;
use std::str::FromStr;

use ophryon_frames::Side;
use ophryon_record::{Edit, Report, apply};
use ophryon_stencil::{CheckedDistance, DistanceId, DistanceKind, RulerCheck, RulerVerdict};

use crate::Outcome;
use crate::client_file::{ClientFile, heading};
use crate::output;
use crate::table::{Column, table};
use crate::trouble::Trouble;

/// What `ophryon readings` can be told.
#[derive(Debug, clap::Args)]
pub struct ReadingsOptions {
    /// The client's file
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// What a ruler read, such as right/tail=56.5; may be given again. It
    /// counts beside the readings kept in the file, which stays as it is
    #[arg(long, value_name = "SIDE/DISTANCE=MM")]
    read: Vec<OneReading>,
    /// Print JSON instead of tables
    #[arg(long)]
    json: bool,
}

/// One reading as given on the command line.
#[derive(Debug, Clone, Copy, PartialEq)]
struct OneReading {
    side: Side,
    distance: DistanceId,
    mm: f64,
}

impl FromStr for OneReading {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (place, mm) = text
            .split_once('=')
            .ok_or("write it as SIDE/DISTANCE=MM, such as right/tail=56.5")?;
        let (side, distance) = place
            .split_once('/')
            .ok_or("write it as SIDE/DISTANCE=MM, such as right/tail=56.5")?;
        let side = Side::BOTH
            .into_iter()
            .find(|s| s.name() == side)
            .ok_or_else(|| format!("“{side}” is no side; it is right or left"))?;
        let distance = DistanceId::by_id(distance).ok_or_else(|| {
            let all: Vec<_> = DistanceId::ALL.iter().map(|d| d.id()).collect();
            format!(
                "“{distance}” is no distance of the list; they are {}",
                all.join(", ")
            )
        })?;
        let number = mm.parse::<f64>().ok().filter(|v| v.is_finite());
        let mm = number.ok_or_else(|| format!("“{mm}” is not a number of mm"))?;
        Ok(Self { side, distance, mm })
    }
}

/// Prints the readings as they stand against the list.
pub fn run(options: &ReadingsOptions) -> Result<Outcome, Trouble> {
    let mut file = ClientFile::open(&options.file)?;
    for one in &options.read {
        let edit = Edit::SetReading {
            side: one.side,
            distance: one.distance,
            read_mm: Some(one.mm),
        };
        file.record =
            apply(&file.record, &edit).map_err(|why| Trouble::Options(why.to_string()))?;
    }
    let drawn = file
        .record
        .drawn()
        .map_err(|why| file.study_trouble(&why))?;
    let report = Report::of(&file.record, &drawn);
    let check = file.record.ruler_check(&drawn);
    let text = if options.json {
        report.readings(&check).to_json()
    } else {
        words(&report, &check)
    };
    output::print(&text)?;
    Ok(Outcome::Done)
}

fn words(report: &Report, check: &RulerCheck) -> String {
    let mut text = heading(report);
    text.push_str(&format!("{}\n\n{}\n", report.wrap_words, check.sentence));
    for cause in &check.causes {
        text.push_str(&format!("Likely: {}\n", cause.sentence));
    }
    for kind in DistanceKind::ALL {
        let rows: Vec<_> = check
            .rows
            .iter()
            .filter(|r| r.kind == kind)
            .map(cells)
            .collect();
        text.push_str(&format!("\n{} (mm)\n", kind.how()));
        text.push_str(&table(
            &[
                ("", Column::Words),
                ("client's", Column::Words),
                ("must read", Column::Numbers),
                ("±", Column::Numbers),
                ("read", Column::Numbers),
                ("", Column::Words),
            ],
            &rows,
        ));
    }
    text
}

fn cells(row: &CheckedDistance) -> Vec<String> {
    let tenths = |mm: f64| format!("{:.1}", (10.0 * mm).round() / 10.0 + 0.0);
    let off = row.off_mm.unwrap_or_default();
    let verdict = match row.verdict {
        RulerVerdict::NotRead => String::new(),
        RulerVerdict::Agrees => "agrees".to_owned(),
        RulerVerdict::Off => format!("off by {off:+.1}"),
        RulerVerdict::Earlier => "of an earlier shape; read again".to_owned(),
    };
    vec![
        row.name.to_owned(),
        row.side.name().to_owned(),
        tenths(row.expected_mm),
        tenths(row.tolerance_mm),
        row.read_mm.map_or_else(String::new, tenths),
        verdict,
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_is_a_side_a_distance_and_millimetres() {
        let one: OneReading = "left/peak-height=23.5".parse().unwrap();
        let expected = OneReading {
            side: Side::Left,
            distance: DistanceId::PeakHeight,
            mm: 23.5,
        };
        assert_eq!(one, expected);
        let says = |text: &str| text.parse::<OneReading>().unwrap_err();
        assert!(says("tail").contains("such as right/tail=56.5"));
        assert!(says("rihgt/tail=5").contains("“rihgt” is no side"));
        assert!(says("right/nose=5").contains("front-top-height"));
        assert!(says("right/tail=many").contains("“many” is not a number"));
        assert!(says("right/tail=NaN").contains("not a number"));
    }
}
