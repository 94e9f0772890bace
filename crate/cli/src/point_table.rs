//! Tables of points as CSV: a header that names the columns, wherever they
//! stand, and one point a line. What can't be used is named by its line.

use std::path::{Path, PathBuf};

use csv::{ReaderBuilder, StringRecord, Trim};
use ophryon_frames::{Frame, Point};

use crate::trouble::{Trouble, unreadable};

/// Most rows read of a table; a brow needs a few dozen.
const MOST_ROWS: usize = 1_000_000;

/// A table that has been read, its numbers not yet.
pub struct PointTable {
    file: PathBuf,
    header: StringRecord,
    rows: Vec<StringRecord>,
}

impl PointTable {
    /// Reads all of it.
    pub fn open(file: &Path) -> Result<Self, Trouble> {
        let trouble = |sentence: String| Trouble::table(file, sentence);
        let source =
            std::fs::File::open(file).map_err(|why| trouble(unreadable(&why, "the table")))?;
        let mut table = ReaderBuilder::new().trim(Trim::All).from_reader(source);
        let header = table
            .headers()
            .map_err(|why| trouble(format!("this is no CSV table ({why})")))?
            .clone();
        let mut rows = Vec::new();
        for (i, row) in table.records().enumerate() {
            let line = i + 2;
            rows.push(row.map_err(|why| trouble(format!("line {line} can't be read ({why})")))?);
            if rows.len() > MOST_ROWS {
                return Err(trouble(format!("more than {MOST_ROWS} rows; thin it out")));
            }
        }
        if rows.is_empty() {
            return Err(trouble("it has no points below its header".to_owned()));
        }
        Ok(Self {
            file: file.to_owned(),
            header,
            rows,
        })
    }

    /// Whether the header names a column.
    pub fn has(&self, column: &str) -> bool {
        self.header.iter().any(|h| h == column)
    }

    /// A column's text, row by row; `None` without such a column.
    pub fn texts(&self, column: &str) -> Option<impl Iterator<Item = &str>> {
        let at = self.header.iter().position(|h| h == column)?;
        Some(
            self.rows
                .iter()
                .map(move |row| row.get(at).unwrap_or_default()),
        )
    }

    /// The points of two columns, which hold numbers of `unit`.
    pub fn points<F: Frame>(
        &self,
        [x, y]: [&str; 2],
        unit: &str,
    ) -> Result<Vec<Point<F>>, Trouble> {
        let numbers = |column: &str| -> Result<Vec<f64>, Trouble> {
            let texts = self.texts(column).ok_or_else(|| {
                self.trouble(format!(
                    "there is no column {column}; its first line must be {x},{y}"
                ))
            })?;
            texts
                .enumerate()
                .map(|(i, text)| {
                    let value = text.parse::<f64>().ok().filter(|v| v.is_finite());
                    value.ok_or_else(|| {
                        self.trouble(format!(
                            "line {}: {column} is “{text}”, not a number of {unit}",
                            i + 2
                        ))
                    })
                })
                .collect()
        };
        let (xs, ys) = (numbers(x)?, numbers(y)?);
        Ok(xs
            .into_iter()
            .zip(ys)
            .map(|(x, y)| Point::new(x, y))
            .collect())
    }

    /// Something about this table.
    pub fn trouble(&self, sentence: String) -> Trouble {
        Trouble::table(&self.file, sentence)
    }
}
