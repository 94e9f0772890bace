//! Steps with a heading and a time each, and a list of them at the end.

use std::time::{Duration, Instant};

use anyhow::{Result, bail};

/// What was run so far.
#[derive(Default)]
pub struct Report {
    steps: Vec<Step>,
}

struct Step {
    name: &'static str,
    took: Duration,
    trouble: Option<String>,
}

impl Report {
    /// Runs one step. A failure is kept for the end, so that one run shows all.
    pub fn step(&mut self, name: &'static str, step: impl FnOnce() -> Result<()>) {
        eprintln!("\n── {name} ──");
        let start = Instant::now();
        let trouble = step().err().map(|trouble| format!("{trouble:#}"));
        let took = start.elapsed();
        if let Some(trouble) = &trouble {
            eprintln!("{trouble}");
        }
        let step = Step {
            name,
            took,
            trouble,
        };
        eprintln!("{}", step.line());
        self.steps.push(step);
    }

    /// # Errors
    /// When a step failed.
    pub fn finish(&self) -> Result<()> {
        eprintln!("\n── Summary ──");
        for step in &self.steps {
            eprintln!("{}", step.line());
            if let Some(trouble) = &step.trouble {
                eprintln!("  {trouble}");
            }
        }
        let failed = self
            .steps
            .iter()
            .filter(|step| step.trouble.is_some())
            .count();
        if failed > 0 {
            bail!("{failed} of {} steps failed.", self.steps.len());
        }
        Ok(())
    }
}

impl Step {
    fn line(&self) -> String {
        let verdict = if self.trouble.is_some() {
            "FAILED"
        } else {
            "passed"
        };
        format!(
            "{}: {verdict} in {:.1} s",
            self.name,
            self.took.as_secs_f64()
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_failure_does_not_hide_the_next_and_the_whole_fails() {
        let mut report = Report::default();
        let mut ran = 0;
        report.step("first", || bail!("nothing came out"));
        report.step("second", || {
            ran += 1;
            Ok(())
        });
        assert_eq!(ran, 1);
        assert_eq!(
            report.finish().unwrap_err().to_string(),
            "1 of 2 steps failed."
        );
    }

    #[test]
    fn all_passed_is_success() {
        let mut report = Report::default();
        report.step("only", || Ok(()));
        assert!(report.finish().is_ok());
    }
}
