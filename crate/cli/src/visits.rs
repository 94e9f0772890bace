//! `ophryon visits`: the log of a client's visits, and what of it deserves a
//! second look.

use std::path::PathBuf;

use ophryon_frames::Sided;
use ophryon_record::{
    HealedCheck, MeasuredShare, NO_ADVICE, Record, STRETCHING, Supply, Visit, ZoneWork, Zones,
};
use serde_json::{Value, json};

use crate::Outcome;
use crate::client_file::ClientFile;
use crate::output;
use crate::trouble::Trouble;

/// What `ophryon visits` can be told.
#[derive(Debug, clap::Args)]
pub struct VisitsOptions {
    /// The client's file
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Print JSON instead of sentences
    #[arg(long)]
    json: bool,
}

/// Prints the visits by day. Warnings are those of each visit's own day.
pub fn run(options: &VisitsOptions) -> Result<Outcome, Trouble> {
    let record = ClientFile::open(&options.file)?.record;
    let text = if options.json {
        format!("{:#}\n", in_json(&record))
    } else {
        in_words(&record)
    };
    output::print(&text)?;
    Ok(Outcome::Done)
}

fn in_words(record: &Record) -> String {
    let log = record.visit_log();
    let counted = match log.len() {
        0 => "no visit was entered yet".to_owned(),
        1 => "1 visit".to_owned(),
        n => format!("{n} visits"),
    };
    let mut text = format!("Client {}: {counted}\n", record.client.code);
    for (number, visit) in &log {
        text.push_str(&format!(
            "\nVisit {}, {}, {}\n",
            number + 1,
            visit.day.in_words(),
            visit.kind.words()
        ));
        for line in lines(visit) {
            text.push_str(&format!("  {line}\n"));
        }
    }
    if let Some(proposed) = log.last().and_then(|(_, last)| match last.next {
        Some(_) => None,
        None => last.proposed_next(),
    }) {
        text.push_str(&format!("\nNot settled; common is: {}\n", proposed.words()));
    }
    text
}

/// Everything that was entered of a visit, and its warnings.
fn lines(visit: &Visit) -> Vec<String> {
    let mut all = Vec::new();
    for (what, supplies) in [("Tool", &visit.tools), ("Pigment", &visit.pigments)] {
        all.extend(supplies.iter().map(|s| format!("{what}: {}", supply(s))));
    }
    if !visit.needle_batch.is_empty() {
        all.push(format!("Needles: batch {}", visit.needle_batch));
    }
    all.extend(work(&visit.work));
    if !visit.photos.is_empty() {
        all.push(format!("Photos: {}", visit.photos.join(", ")));
    }
    if let Some(check) = &visit.healed {
        all.extend(healed(check));
    }
    // A note is anybody's text: what would steer a terminal is left out.
    let plain = |line: &str| line.replace(char::is_control, " ");
    all.extend(visit.notes.lines().map(|l| format!("Note: {}", plain(l))));
    if let Some(next) = visit.next {
        all.push(format!("Settled: {}", next.words()));
    }
    let warnings = visit.warnings(visit.day);
    all.extend(warnings.iter().map(|w| format!("Mind: {w}")));
    let answers = visit.skin_answers();
    all.extend(answers.iter().map(|a| format!("Mind: {}", a.caution())));
    if !answers.is_empty() {
        all.push(format!("{STRETCHING} {NO_ADVICE}"));
    }
    all
}

fn supply(supply: &Supply) -> String {
    let mut words = supply.name.clone();
    if !supply.maker.is_empty() {
        words.push_str(&format!(", by {}", supply.maker));
    }
    if !supply.batch.is_empty() {
        words.push_str(&format!(", batch {}", supply.batch));
    }
    if let Some(day) = supply.expires {
        words.push_str(&format!(", to be used until {}", day.in_words()));
    }
    words
}

/// A line for each zone on which anything was done or seen.
fn work(work: &Sided<Zones>) -> Vec<String> {
    let mut all = Vec::new();
    for (side, zones) in work.iter() {
        for (zone, one) in zones.iter() {
            if *one == ZoneWork::default() {
                continue;
            }
            let passes = match one.passes {
                1 => "1 pass".to_owned(),
                n => format!("{n} passes"),
            };
            let mut words = format!("Client's {}, {}: {passes}", side.name(), zone.name());
            if one.seconds > 0 {
                words.push_str(&format!(
                    ", {}:{:02} min",
                    one.seconds / 60,
                    one.seconds % 60
                ));
            }
            for answer in &one.skin {
                words.push_str(&format!(", {}", answer.words()));
            }
            all.push(words);
        }
    }
    all
}

fn healed(check: &HealedCheck) -> Vec<String> {
    let mut all = Vec::new();
    let percent = |m: MeasuredShare| {
        format!(
            "{:.0} % (standard uncertainty {:.0})",
            100.0 * m.share,
            100.0 * m.sd
        )
    };
    for (side, kept) in check.kept.iter() {
        let Some(kept) = kept else { continue };
        let mut words = format!(
            "Healed, client's {}: kept of the area {}, of the thickness {}",
            side.name(),
            percent(kept.area),
            percent(kept.thickness)
        );
        if let Some(lightening) = kept.lightening {
            words.push_str(&format!("; lighter by {}", percent(lightening)));
        }
        all.push(words);
    }
    let mut of = Vec::new();
    if !check.pigment.is_empty() {
        of.push(format!("pigment {}", check.pigment));
    }
    if let Some(skin) = check.skin_type {
        of.push(format!("skin type {} ({})", skin.numeral(), skin.words()));
    }
    if let Some(photo) = &check.photo {
        of.push(format!("measured in the photo {photo}"));
    }
    if !of.is_empty() {
        all.push(format!("Healed: {}", of.join(", ")));
    }
    all
}

fn in_json(record: &Record) -> Value {
    let visits: Vec<_> = record
        .visit_log()
        .into_iter()
        .map(|(number, visit)| {
            let warnings: Vec<_> = visit
                .warnings(visit.day)
                .iter()
                .map(|w| json!({ "warning": w.id(), "sentence": w.to_string() }))
                .collect();
            json!({
                "number": number + 1,
                "visit": visit,
                "seconds": visit.seconds(),
                "proposed-next": visit.proposed_next(),
                "warnings": warnings,
                "cautions": visit.skin_answers().iter().map(|a| a.caution()).collect::<Vec<_>>(),
            })
        })
        .collect();
    json!({ "code": record.client.code, "advice": NO_ADVICE, "visits": visits })
}
