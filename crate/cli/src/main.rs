//! `ophryon`: the brow designer without a screen, and the server that ships the app.

mod serve;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// The brow designer without a screen.
#[derive(Parser)]
#[command(name = "ophryon", version)]
struct Arguments {
    #[command(subcommand)]
    task: Task,
}

#[derive(Subcommand)]
enum Task {
    /// Serve the app to this computer's browser
    Serve(serve::ServeOptions),
}

fn main() -> ExitCode {
    let done = match Arguments::parse().task {
        Task::Serve(options) => serve::run(options),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            eprintln!("ophryon: {trouble}");
            ExitCode::from(2)
        }
    }
}
