//! JSON for reading: numbers to a millionth, so that 21.499999999999996
//! stands as 21.5 and the browser and the command line write the same digits.

use std::io;

use serde::Serialize;
use serde_json::ser::{Formatter, PrettyFormatter, Serializer};

use crate::{CheckReport, MeasureReport, Report};

impl Report {
    /// As pretty JSON, numbers to a millionth; ends with a line break.
    pub fn to_json(&self) -> String {
        rounded(self)
    }
}

impl CheckReport<'_> {
    /// As pretty JSON, numbers to a millionth; ends with a line break.
    pub fn to_json(&self) -> String {
        rounded(self)
    }
}

impl MeasureReport<'_> {
    /// As pretty JSON, numbers to a millionth; ends with a line break.
    pub fn to_json(&self) -> String {
        rounded(self)
    }
}

fn rounded(value: &impl Serialize) -> String {
    let mut bytes = Vec::new();
    let mut json = Serializer::with_formatter(&mut bytes, Rounded::default());
    // Into memory, with text keys only: neither can fail.
    let _ = value.serialize(&mut json);
    bytes.push(b'\n');
    String::from_utf8(bytes).unwrap_or_default()
}

#[derive(Default)]
struct Rounded(PrettyFormatter<'static>);

impl Formatter for Rounded {
    fn write_f64<W: io::Write + ?Sized>(&mut self, to: &mut W, value: f64) -> io::Result<()> {
        // Adding 0 turns -0 into 0.
        let short = (value * 1e6).round() / 1e6 + 0.0;
        self.0.write_f64(to, short)
    }
    fn begin_array<W: io::Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.begin_array(to)
    }
    fn end_array<W: io::Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.end_array(to)
    }
    fn begin_array_value<W: io::Write + ?Sized>(
        &mut self,
        to: &mut W,
        first: bool,
    ) -> io::Result<()> {
        self.0.begin_array_value(to, first)
    }
    fn end_array_value<W: io::Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.end_array_value(to)
    }
    fn begin_object<W: io::Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.begin_object(to)
    }
    fn end_object<W: io::Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.end_object(to)
    }
    fn begin_object_key<W: io::Write + ?Sized>(
        &mut self,
        to: &mut W,
        first: bool,
    ) -> io::Result<()> {
        self.0.begin_object_key(to, first)
    }
    fn begin_object_value<W: io::Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.begin_object_value(to)
    }
    fn end_object_value<W: io::Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.end_object_value(to)
    }
}
