//! `ophryon`: the brow designer without a screen, and the server that ships the app.
//!
//! | exit code | meaning |
//! |---|---|
//! | 0 | done |
//! | 1 | `check`: a constraint fails; `seal`: the shape is not agreed to; `adjust`: nothing is left to give; `backup`: something is missing or damaged, or was left as it is |
//! | 2 | nothing was done; one sentence on standard error says why |

mod adjust;
mod backup;
mod check;
mod client_file;
mod face_pictures;
mod fit;
mod hair;
mod heal;
mod healed;
mod inspect_photo;
mod measure;
mod output;
mod paper;
mod photo;
mod point_table;
mod printer_check;
mod printers;
mod readings;
mod restore;
mod seal;
mod serve;
mod sheet;
mod table;
mod trouble;
mod visits;
mod wrap;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use trouble::Trouble;

/// The brow designer without a screen.
#[derive(Parser)]
#[command(name = "ophryon", version)]
struct Arguments {
    #[command(subcommand)]
    task: Task,
}

#[derive(Subcommand)]
enum Task {
    /// Write the stencil at true size and the report
    Sheet(sheet::SheetArguments),
    /// Write a page to check a printer with, or keep what a ruler read on it
    PrinterCheck(printer_check::PrinterCheckOptions),
    /// Print every constraint; exit 1 where one fails
    Check(check::CheckOptions),
    /// Print the distances that a ruler must read on skin
    Measure(measure::MeasureOptions),
    /// Print what stays of the brows once healed, and what to draw instead
    Heal(heal::HealOptions),
    /// Fit the brow closest to points from a file
    Fit(fit::FitOptions),
    /// Answer what the client says of the shape; exit 1 where nothing is left to give
    Adjust(adjust::AdjustOptions),
    /// Find the brow hair in the client's photo, and say how the shape sits on it
    Hair(hair::HairOptions),
    /// Measure the healed brows in the later photo against what was agreed
    Healed(healed::HealedOptions),
    /// Say what a photo's file tells, and whether it is sharp and light enough
    Photo(inspect_photo::PhotoOptions),
    /// Hold what a ruler read on skin against the list
    Readings(readings::ReadingsOptions),
    /// Say whether the client has agreed, and check every seal; exit 1 where not
    Seal(seal::SealOptions),
    /// Print the log of the client's visits, and what deserves a second look
    Visits(visits::VisitsOptions),
    /// Put frontal points on the skin by one tape length
    Wrap(wrap::WrapOptions),
    /// Keep clients and photos in one file, locked or not, and get them back
    Backup(backup::BackupOptions),
    /// Serve the app to this computer's browser
    Serve(serve::ServeOptions),
}

/// How a task that could be done ended.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Outcome {
    Done,
    ConstraintFails,
    NotAgreed,
    /// Feedback has no answer any more.
    NothingLeft,
    /// A backup lacks something, or not all of it was written.
    Incomplete,
}

fn main() -> ExitCode {
    let done = match Arguments::parse().task {
        Task::Sheet(options) => sheet::run(&options),
        Task::PrinterCheck(options) => printer_check::run(&options),
        Task::Check(options) => check::run(&options),
        Task::Measure(options) => measure::run(&options),
        Task::Heal(options) => heal::run(&options),
        Task::Fit(options) => fit::run(&options),
        Task::Adjust(options) => adjust::run(&options),
        Task::Hair(options) => hair::run(&options),
        Task::Healed(options) => healed::run(&options),
        Task::Photo(options) => inspect_photo::run(&options),
        Task::Readings(options) => readings::run(&options),
        Task::Seal(options) => seal::run(&options),
        Task::Visits(options) => visits::run(&options),
        Task::Wrap(options) => wrap::run(&options),
        Task::Backup(options) => backup::run(&options),
        Task::Serve(options) => serve::run(options)
            .map(|()| Outcome::Done)
            .map_err(Trouble::from),
    };
    match done {
        Ok(Outcome::Done) => ExitCode::SUCCESS,
        Ok(
            Outcome::ConstraintFails
            | Outcome::NotAgreed
            | Outcome::NothingLeft
            | Outcome::Incomplete,
        ) => ExitCode::from(1),
        Err(trouble) => {
            eprintln!("ophryon: {trouble}");
            ExitCode::from(2)
        }
    }
}
