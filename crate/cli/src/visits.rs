//! `ophryon visits`: the log of a client's visits, and what of it deserves a
//! second look.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use ophryon_agreement::Day;
use ophryon_frames::Sided;
use ophryon_record::{NO_ADVICE, Record, STRETCHING, Visit, VisitSheetOptions, Zones};
use ophryon_stencil::{Paper, Sheet, print_pages};
use serde_json::{Value, json};

use crate::Outcome;
use crate::client_file::ClientFile;
use crate::output;
use crate::paper::{Fonts, missing_letters, paper};
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
    /// Write one visit on paper: a .pdf, or a .html that a browser prints at
    /// true size
    #[arg(long, value_name = "OUT", conflicts_with = "json")]
    sheet: Option<PathBuf>,
    /// Which visit, by the number in the list; without it the latest
    #[arg(long, value_name = "N", requires = "sheet")]
    visit: Option<usize>,
    /// Paper to lay it out for
    #[arg(long, value_name = "PAPER", default_value = "a4", value_parser = paper(), requires = "sheet")]
    paper: Paper,
    /// Print the client's name beside her code
    #[arg(long, requires = "sheet")]
    with_name: bool,
    /// The day to print on it, such as 2025-03-14
    #[arg(long, value_name = "DATE", requires = "sheet")]
    made: Option<Day>,
    /// A font for letters that the built-in ones lack; can be given several
    /// times
    #[arg(long, value_name = "FILE", requires = "sheet")]
    font: Vec<PathBuf>,
    /// Write over a file that is there
    #[arg(long, requires = "sheet")]
    replace: bool,
}

/// Prints the visits by day. Warnings are those of each visit's own day.
pub fn run(options: &VisitsOptions) -> Result<Outcome, Trouble> {
    let record = ClientFile::open(&options.file)?.record;
    if let Some(out) = &options.sheet {
        return write_sheet(options, &record, out);
    }
    let text = if options.json {
        format!("{:#}\n", in_json(&record))
    } else {
        in_words(&record)
    };
    output::print(&text)?;
    Ok(Outcome::Done)
}

/// One visit on paper.
fn write_sheet(options: &VisitsOptions, record: &Record, out: &Path) -> Result<Outcome, Trouble> {
    let as_pdf = match out.extension().and_then(OsStr::to_str) {
        Some("pdf") => true,
        Some("html") => false,
        _ => {
            return Err(Trouble::Options(format!(
                "{}: a visit sheet is a .pdf or a .html; name one with --sheet",
                out.display()
            )));
        }
    };
    output::may_write(out, "--sheet", options.replace)?;
    let file = || options.file.display();
    let latest = record.visit_log().last().map(|(number, _)| *number);
    let visit = match options.visit {
        Some(number) => number.checked_sub(1),
        None => latest,
    };
    let made = VisitSheetOptions {
        paper: options.paper,
        with_name: options.with_name,
        made: options.made,
    };
    let sheets = visit.and_then(|visit| Some((visit, record.visit_sheet(visit, &made)?)));
    let Some((visit, sheets)) = sheets else {
        let sentence = match options.visit {
            Some(number) => {
                format!("there is no visit {number}; see the numbers with `ophryon visits`")
            }
            None => "no visit was entered yet, so there is nothing to write".to_owned(),
        };
        return Err(Trouble::Options(format!("{}: {sentence}", file())));
    };
    let pages: Vec<&Sheet> = sheets.iter().collect();
    let (bytes, missing) = if as_pdf {
        let pdf = Fonts::open(&options.font)?.pdf(&pages)?;
        (pdf.bytes, pdf.missing)
    } else {
        (print_pages(&pages).into_bytes(), vec![])
    };
    output::write_whole(out, &bytes).map_err(|source| Trouble::Unwritable {
        file: out.to_owned(),
        source,
    })?;
    let counted = match pages.len() {
        1 => "1 page".to_owned(),
        n => format!("{n} pages"),
    };
    let mut text = missing_letters(&missing);
    if options.with_name && record.client.name.is_none() {
        text.push_str("Mind: the file holds no name, so the code stands alone.\n");
    }
    text.push_str(&format!(
        "Written: {}, visit {}, {counted} of {} paper.\n",
        out.display(),
        visit + 1,
        options.paper.for_lists().name()
    ));
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
        all.extend(supplies.iter().map(|s| format!("{what}: {}", s.words())));
    }
    if !visit.needle_batch.is_empty() {
        all.push(format!("Needles: batch {}", visit.needle_batch));
    }
    all.extend(work(&visit.work));
    if !visit.photos.is_empty() {
        all.push(format!("Photos: {}", visit.photos.join(", ")));
    }
    if let Some(check) = &visit.healed {
        all.extend(check.lines());
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

/// A line for each zone on which anything was done or seen.
fn work(work: &Sided<Zones>) -> Vec<String> {
    let mut all = Vec::new();
    for (side, zones) in work.iter() {
        for (zone, one) in zones.iter() {
            let words = one.words();
            if !words.is_empty() {
                all.push(format!(
                    "Client's {}, {}: {words}",
                    side.name(),
                    zone.name()
                ));
            }
        }
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
