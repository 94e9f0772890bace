//! `ophryon seal`: whether the client has agreed to the shape as it stands,
//! and whether every seal still fits.

use std::path::PathBuf;

use ophryon_record::{Agreement, Record, SealBroken, Sealed};
use serde_json::{Value, json};

use crate::Outcome;
use crate::client_file::ClientFile;
use crate::output;
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
}

/// Prints the state of the agreement.
pub fn run(options: &SealOptions) -> Result<Outcome, Trouble> {
    let record = ClientFile::open(&options.file)?.record;
    let text = if options.json {
        format!("{:#}\n", in_json(&record))
    } else {
        in_words(&record)
    };
    output::print(&text)?;
    Ok(if record.agreed().is_agreed() {
        Outcome::Done
    } else {
        Outcome::NotAgreed
    })
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
            caution.words
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
        "for-a-doctor": state.for_a_doctor().iter().map(|c| &c.words).collect::<Vec<_>>(),
        "agreements": agreements,
    })
}
