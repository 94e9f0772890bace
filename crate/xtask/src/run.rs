//! Running other programs, with a sentence when they can't be run or fail.

use std::io::ErrorKind;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};

/// Runs `command` with this terminal as its own.
///
/// # Errors
/// When the program is missing or ends with anything but success.
pub fn run(command: &mut Command) -> Result<()> {
    let line = shown(command);
    let status = command.status().map_err(|error| missing(command, error))?;
    if !status.success() {
        bail!("`{line}` failed ({status}).");
    }
    Ok(())
}

/// Runs `command` and returns what it printed; its complaints go to the terminal.
pub fn output(command: &mut Command) -> Result<String> {
    let line = shown(command);
    let output = command
        .stderr(Stdio::inherit())
        .output()
        .map_err(|error| missing(command, error))?;
    if !output.status.success() {
        bail!("`{line}` failed ({}).", output.status);
    }
    String::from_utf8(output.stdout).with_context(|| format!("`{line}` printed no UTF-8"))
}

/// Whether `command` succeeds; silent either way.
pub fn succeeds(command: &mut Command) -> bool {
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}

/// Like [`run`], but gives up after `limit`: a server out of reach may never answer.
pub fn run_within(command: &mut Command, limit: Duration) -> Result<()> {
    let line = shown(command);
    let mut child = command.spawn().map_err(|error| missing(command, error))?;
    let start = Instant::now();
    loop {
        if let Some(status) = child.try_wait()? {
            if status.success() {
                return Ok(());
            }
            bail!("`{line}` failed ({status}).");
        }
        if start.elapsed() > limit {
            // It may have ended meanwhile; then there is nothing to stop.
            let _ = child.kill();
            child.wait()?;
            bail!("`{line}` had no answer within {} s.", limit.as_secs());
        }
        sleep(Duration::from_millis(50));
    }
}

/// The command as one would type it.
fn shown(command: &Command) -> String {
    let mut line = command.get_program().to_string_lossy().into_owned();
    for argument in command.get_args() {
        line.push(' ');
        line.push_str(&argument.to_string_lossy());
    }
    line
}

fn missing(command: &Command, error: std::io::Error) -> anyhow::Error {
    let program = command.get_program().to_string_lossy();
    if error.kind() == ErrorKind::NotFound {
        anyhow::anyhow!("`{program}` is not installed, or not in PATH.")
    } else {
        anyhow::anyhow!("`{program}` can't be run: {error}.")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_program_is_named() {
        let trouble = run(&mut Command::new("no-such-program-here")).unwrap_err();
        assert!(trouble.to_string().contains("no-such-program-here"));
        assert!(trouble.to_string().contains("not installed"));
    }

    #[cfg(unix)]
    #[test]
    fn a_silent_server_is_given_up() {
        let start = Instant::now();
        let trouble =
            run_within(Command::new("sleep").arg("60"), Duration::from_millis(200)).unwrap_err();
        assert!(trouble.to_string().contains("no answer"));
        assert!(start.elapsed() < Duration::from_secs(30));
    }

    #[cfg(unix)]
    #[test]
    fn failure_is_an_error_and_names_the_command() {
        let trouble = run(&mut Command::new("false")).unwrap_err();
        assert!(trouble.to_string().contains("`false` failed"));
    }
}
