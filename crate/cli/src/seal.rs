//! `ophryon seal`: whether the client has agreed to the shape as it stands,
//! and whether every seal still fits.

use std::path::{Path, PathBuf};

use ophryon_record::{Agreement, Record, SealBroken, Sealed};
use ophryon_stencil::Paper;
use serde_json::{Value, json};

use crate::Outcome;
use crate::client_file::ClientFile;
use crate::face_pictures::face_pictures;
use crate::output;
use crate::paper::{Fonts, missing_letters};
use crate::trouble::Trouble;

/// What `ophryon seal` can be told.
#[derive(Debug, clap::Args)]
pub struct SealOptions {
    /// The client's file
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Print JSON instead of sentences
    #[arg(long)]
    json: bool,
    /// Write the agreement as PDF, in the client's language
    #[arg(long, value_name = "PDF")]
    paper: Option<PathBuf>,
    /// Which agreement goes on paper, from 1; without it the last
    #[arg(long, value_name = "N", requires = "paper")]
    agreement: Option<usize>,
    /// Office paper to lay it out for
    #[arg(long, value_name = "PAPER", default_value = "a4", value_parser = ["a4", "letter"])]
    size: String,
    /// Leave her face out, although she lets photos be kept
    #[arg(long, requires = "paper")]
    without_face: bool,
    /// Write over a file of that name
    #[arg(long, requires = "paper")]
    replace: bool,
    /// A font for letters that the built-in ones lack; can be given several
    /// times
    #[arg(long, value_name = "FILE", requires = "paper")]
    font: Vec<PathBuf>,
}

/// Prints the state of the agreement.
pub fn run(options: &SealOptions) -> Result<Outcome, Trouble> {
    let file = ClientFile::open(&options.file)?;
    let told = match &options.paper {
        Some(out) => on_paper(&file, options, out)?,
        None => String::new(),
    };
    let record = file.record;
    let mut text = if options.json {
        format!("{:#}\n", in_json(&record))
    } else {
        in_words(&record)
    };
    if !options.json {
        text.push_str(&told);
    }
    output::print(&text)?;
    Ok(if record.agreed().is_agreed() {
        Outcome::Done
    } else {
        Outcome::NotAgreed
    })
}

/// Writes one agreement as PDF, and says what it did.
fn on_paper(file: &ClientFile, options: &SealOptions, out: &Path) -> Result<String, Trouble> {
    let field = |sentence: String| Trouble::Field {
        file: file.path.clone(),
        field: "consent.agreements".to_owned(),
        sentence,
    };
    let record = &file.record;
    let count = record.consent.agreements.len();
    let number = options.agreement.unwrap_or(count);
    let index = number.checked_sub(1).filter(|n| *n < count);
    let index = index.ok_or_else(|| {
        field(if count == 0 {
            "the client has not agreed to anything, so there is nothing to put on paper".to_owned()
        } else {
            format!("there is no agreement {number}; choose one from 1 to {count}")
        })
    })?;
    output::may_write(out, "--paper", options.replace)?;
    let beside = file.path.parent().unwrap_or(Path::new(""));
    let (pictures, without) = match (options.without_face, record.with_agreement(index)) {
        (false, Some((sealed, as_agreed))) if sealed.keeps_photos() => {
            match face_pictures(&as_agreed, beside) {
                Ok(pictures) => (Some(pictures), String::new()),
                Err(why) => (None, format!(" without her face, because {why}")),
            }
        }
        (false, _) => (
            None,
            " without her face, because she does not let photos be kept".to_owned(),
        ),
        (true, _) => (None, " without her face".to_owned()),
    };
    let size = Paper::from_id(&options.size).unwrap_or_default();
    let pages = record.agreement_papers(index, size, pictures.as_ref());
    let pages = pages.map_err(|why| field(why.to_string()))?;
    let pdf = Fonts::open(&options.font)?.pdf(&pages.iter().collect::<Vec<_>>())?;
    output::write_whole(out, &pdf.bytes).map_err(|source| Trouble::Unwritable {
        file: out.to_owned(),
        source,
    })?;
    Ok(format!(
        "Written: agreement {number} as {}{without}.\n{}",
        out.display(),
        missing_letters(&pdf.missing)
    ))
}

/// An agreement as it was sealed, or why it can't be relied on.
type Kept<'r> = (&'r Agreement, Result<Sealed, SealBroken>);

fn kept(record: &Record) -> impl Iterator<Item = Kept<'_>> {
    record.consent.agreements.iter().map(|a| (a, a.read()))
}

fn in_words(record: &Record) -> String {
    let state = record.agreed();
    let mut text = format!(
        "Client {}, version {}. {}\n",
        record.client.code,
        record.version,
        state.sentence()
    );
    if let Some(seal) = state.seal() {
        text.push_str(&format!("Seal: {seal}\n"));
    }
    for caution in state.for_a_doctor() {
        text.push_str(&format!(
            "Mind, flagged or not answered: {}\n",
            caution.words_and_advice()
        ));
    }
    for (n, (agreement, read)) in kept(record).enumerate() {
        let number = n + 1;
        let version = agreement.version;
        let said = match read {
            Ok(sealed) => format!("{}, the seal fits", sealed.at.in_words()),
            Err(why) => format!("DAMAGED: {why}"),
        };
        let withdrawn = agreement
            .withdrawn
            .as_ref()
            .map_or_else(String::new, |at| format!(", withdrawn {}", at.in_words()));
        text.push_str(&format!(
            "Agreement {number}, to version {version}: {said}{withdrawn}\n  {}\n",
            agreement.seal
        ));
    }
    text
}

fn in_json(record: &Record) -> Value {
    let state = record.agreed();
    let agreements: Vec<_> = kept(record)
        .map(|(agreement, read)| {
            let mut one = json!({
                "version": agreement.version,
                "seal": agreement.seal,
                "withdrawn": agreement.withdrawn,
                "damaged": read.as_ref().err().map(ToString::to_string),
            });
            if let Ok(sealed) = read {
                one["at"] = json!(sealed.at);
                one["language"] = json!(sealed.asked.language);
                one["text"] = json!(sealed.asked.text);
            }
            one
        })
        .collect();
    json!({
        "code": record.client.code,
        "version": record.version,
        "agreed": state.is_agreed(),
        "seal": state.seal(),
        "agreement": state.sentence(),
        "for-a-doctor": state.for_a_doctor().iter().map(|c| c.words_and_advice()).collect::<Vec<_>>(),
        "agreements": agreements,
    })
}
