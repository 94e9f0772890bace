//! How JSON is laid out: one field to a line, lists on one line, so that a
//! point reads `[395.0, 635.0]`.

use std::io;

use serde::Serialize;
use serde_json::ser::{Formatter, Serializer};

use crate::{CheckReport, MeasureReport, Printers, ReadingsReport, Record, Report};

impl Report {
    /// As JSON, numbers to a millionth; ends with a line break.
    pub fn to_json(&self) -> String {
        written(self, Digits::Millionths)
    }
}

impl CheckReport<'_> {
    /// As JSON, numbers to a millionth; ends with a line break.
    pub fn to_json(&self) -> String {
        written(self, Digits::Millionths)
    }
}

impl MeasureReport<'_> {
    /// As JSON, numbers to a millionth; ends with a line break.
    pub fn to_json(&self) -> String {
        written(self, Digits::Millionths)
    }
}

impl ReadingsReport<'_> {
    /// As JSON, numbers to a millionth; ends with a line break.
    pub fn to_json(&self) -> String {
        written(self, Digits::Millionths)
    }
}

/// The client's file: every number with all its digits.
pub(crate) fn of_record(record: &Record) -> String {
    written(record, Digits::All)
}

/// The list of printers: readings as they were given.
pub(crate) fn of_printers(printers: &Printers) -> String {
    written(printers, Digits::All)
}

/// A list of styles: numbers as they were given.
pub(crate) fn of_styles(styles: &crate::styles::StylesFile) -> String {
    written(styles, Digits::All)
}

/// How many digits a number is written with.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Digits {
    /// As many as bring back the same number.
    All,
    /// For reading: 21.499999999999996 stands as 21.5, and the browser and
    /// the command line write the same.
    Millionths,
}

fn written(value: &impl Serialize, digits: Digits) -> String {
    let mut bytes = Vec::new();
    let layout = Layout {
        digits,
        depth: 0,
        has_fields: false,
    };
    // Into memory, with text keys only: neither can fail.
    let _ = value.serialize(&mut Serializer::with_formatter(&mut bytes, layout));
    bytes.push(b'\n');
    String::from_utf8(bytes).unwrap_or_default()
}

struct Layout {
    digits: Digits,
    depth: usize,
    /// The object being written has at least one field.
    has_fields: bool,
}

impl Layout {
    fn new_line<W: io::Write + ?Sized>(&self, to: &mut W) -> io::Result<()> {
        to.write_all(b"\n")?;
        (0..self.depth).try_for_each(|_| to.write_all(b"  "))
    }
}

impl Formatter for Layout {
    fn write_f64<W: io::Write + ?Sized>(&mut self, to: &mut W, value: f64) -> io::Result<()> {
        let shown = match self.digits {
            Digits::All => value,
            // Adding 0 turns -0 into 0.
            Digits::Millionths => (value * 1e6).round() / 1e6 + 0.0,
        };
        serde_json::ser::CompactFormatter.write_f64(to, shown)
    }

    fn begin_array_value<W: io::Write + ?Sized>(
        &mut self,
        to: &mut W,
        first: bool,
    ) -> io::Result<()> {
        to.write_all(if first { b"" } else { b", " })
    }

    fn begin_object<W: io::Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        self.depth += 1;
        self.has_fields = false;
        to.write_all(b"{")
    }

    fn end_object<W: io::Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        self.depth = self.depth.saturating_sub(1);
        if self.has_fields {
            self.new_line(to)?;
        }
        to.write_all(b"}")
    }

    fn begin_object_key<W: io::Write + ?Sized>(
        &mut self,
        to: &mut W,
        first: bool,
    ) -> io::Result<()> {
        to.write_all(if first { b"" } else { b"," })?;
        self.new_line(to)
    }

    fn begin_object_value<W: io::Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        to.write_all(b": ")
    }

    fn end_object_value<W: io::Write + ?Sized>(&mut self, _: &mut W) -> io::Result<()> {
        self.has_fields = true;
        Ok(())
    }
}
