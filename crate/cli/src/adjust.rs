//! `ophryon adjust`: what the client says of the shape, answered in millimetres.

use std::path::PathBuf;

use ophryon_brow::{Change, NothingLeft, Phrase, Proposal, Shrink, healed};
use ophryon_frames::Side;
use ophryon_record::{Drawn, FeedbackError, Record, ShapeSource, StudyError, apply, feedback_edit};
use serde_json::{Value, json};

use crate::Outcome;
use crate::client_file::ClientFile;
use crate::output;
use crate::table::{Column, number, signed, table};
use crate::trouble::Trouble;

/// What `ophryon adjust` can be told.
#[derive(Debug, clap::Args)]
pub struct AdjustOptions {
    /// The client's file
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// What she says: too thick, too thin, too arched, too flat, too long, too
    /// short, too close together, too far apart, ends too low, looks surprised
    /// or looks stern
    #[arg(long, value_name = "WORDS")]
    say: String,
    /// Write the client's file with the changed shape here
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Write over a file that is there already
    #[arg(long, requires = "out")]
    replace: bool,
    /// Print JSON instead of tables
    #[arg(long)]
    json: bool,
}

/// Answers, prints the changes and, if told where, writes the new file.
pub fn run(options: &AdjustOptions) -> Result<Outcome, Trouble> {
    let phrase =
        Phrase::parse(&options.say).map_err(|why| Trouble::Options(format!("--say: {why}")))?;
    let file = ClientFile::open(&options.file)?;
    if let Some(out) = &options.out {
        output::may_write(out, "--out", options.replace)?;
    }
    let study = |why: &StudyError| file.study_trouble(why);
    let before = file.record.drawn().map_err(|why| study(&why))?;
    let proposal = match file.record.feedback(phrase) {
        Ok(proposal) => proposal,
        Err(FeedbackError::NothingLeft(nothing)) => {
            return nothing_left(&file.record, &nothing, options);
        }
        Err(FeedbackError::Study(why)) => return Err(study(&why)),
        Err(why) => return Err(Trouble::Options(why.to_string())),
    };
    let changed = apply(&file.record, &feedback_edit(&proposal))
        .map_err(|why| Trouble::Options(why.to_string()))?;
    let after = changed.drawn().map_err(|why| study(&why))?;
    if let Some(out) = &options.out {
        file.write_changed(&changed, out)?;
    }
    let shrink = file.record.shrink;
    let heals = [&before, &after].map(|drawn| stays(drawn, &shrink));
    let text = if options.json {
        format!("{:#}\n", in_json(&file.record, &proposal, &heals, options))
    } else {
        in_words(&file.record, &before, &proposal, &heals, options)
    };
    output::print(&text)?;
    Ok(Outcome::Done)
}

/// Nothing changes and nothing is written; the sentence says why.
fn nothing_left(
    record: &Record,
    nothing: &NothingLeft,
    options: &AdjustOptions,
) -> Result<Outcome, Trouble> {
    let text = if options.json {
        let all = json!({
            "code": record.client.code,
            "version": record.version,
            "phrase": nothing.phrase.id(),
            "nothing-left": nothing.in_the_way.to_string(),
            "written-to": null,
        });
        format!("{all:#}\n")
    } else {
        let unwritten = match options.out {
            Some(_) => " No file was written.",
            None => "",
        };
        format!(
            "Client {}, version {}: {nothing}.{unwritten}\n",
            record.client.code, record.version
        )
    };
    output::print(&text)?;
    Ok(Outcome::NothingLeft)
}

/// What stays of one side: area in mm², thickness of body and tail in mm; `None`
/// where it is too thin to say.
type Stays = Option<[f64; 3]>;

fn stays(drawn: &Drawn, shrink: &Shrink) -> [Stays; 2] {
    [Side::Right, Side::Left].map(|side| {
        let healing = healed(drawn.brows.get(side), shrink).ok()?.healed;
        let thickness = &healing.thickness;
        Some([thickness.body_mm, thickness.tail_mm, healing.area_mm2])
    })
}

const HEALED: [&str; 3] = [
    "healed, thickness of the body (mm)",
    "healed, thickness of the tail (mm)",
    "healed, area (mm²)",
];

fn in_words(
    record: &Record,
    before: &Drawn,
    proposal: &Proposal,
    heals: &[[Stays; 2]; 2],
    options: &AdjustOptions,
) -> String {
    let mut text = format!(
        "Client {}, version {}: answer to “{}”\n",
        record.client.code,
        record.version,
        proposal.phrase.words()
    );
    if before.source == ShapeSource::Proposal {
        text.push_str(
            "The file holds no shape yet: this is the proposal from the mapping rules.\n",
        );
    }
    let three = |was: f64, is: f64| [number(was), number(is), signed(is - was)];
    let row = |name: String, right: [String; 3], left: [String; 3]| -> Vec<String> {
        std::iter::once(name).chain(right).chain(left).collect()
    };
    let mut rows: Vec<_> = proposal
        .changes
        .iter()
        .map(|c: &Change| {
            row(
                format!("{} (mm)", c.parameter.name()),
                three(c.from_mm.right, c.to_mm.right),
                three(c.from_mm.left, c.to_mm.left),
            )
        })
        .collect();
    let [was, is] = heals;
    for (i, name) in HEALED.iter().enumerate() {
        let of = |side: usize| match (was[side], is[side]) {
            (Some(was), Some(is)) => three(was[i], is[i]),
            _ => ["-", "-", "-"].map(str::to_owned),
        };
        rows.push(row((*name).to_owned(), of(0), of(1)));
    }
    let columns = [
        ("", Column::Words),
        ("right now", Column::Numbers),
        ("then", Column::Numbers),
        ("change", Column::Numbers),
        ("left now", Column::Numbers),
        ("then", Column::Numbers),
        ("change", Column::Numbers),
    ];
    text.push_str(&format!("\n{}\n", table(&columns, &rows)));
    text.push_str(&format!(
        "{}\n{}\n",
        proposal.reason,
        proposal.still_possible()
    ));
    text.push_str(
        "What a phrase is about is common practice without a source; the steps are ours.\n",
    );
    match &options.out {
        Some(out) => text.push_str(&format!("Written to {}.\n", out.display())),
        None => text.push_str("Nothing is changed yet; --out writes a file with it.\n"),
    }
    text
}

fn in_json(
    record: &Record,
    proposal: &Proposal,
    [was, is]: &[[Stays; 2]; 2],
    options: &AdjustOptions,
) -> Value {
    let stays = |side: usize| {
        let one = |stays: &Stays| {
            stays.map(
                |[body, tail, area]| json!({ "body-mm": body, "tail-mm": tail, "area-mm2": area }),
            )
        };
        json!({ "from": one(&was[side]), "to": one(&is[side]) })
    };
    json!({
        "code": record.client.code,
        "version": record.version,
        "phrase": proposal.phrase.id(),
        "changes": proposal.changes,
        "reason": proposal.reason,
        "held-back": proposal.held_back.as_ref().map(ToString::to_string),
        "still-possible-mm": proposal.still_possible_mm,
        "from-first-shown-mm": proposal.from_first_mm,
        "most-from-first-shown-mm": proposal.most_from_first_mm,
        "healed": { "right": stays(0), "left": stays(1) },
        "points": proposal.points,
        "written-to": options.out.as_ref().map(|p| p.display().to_string()),
    })
}
