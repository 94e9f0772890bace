//! `ophryon sheet`: the stencil at true size and the report.

use std::path::PathBuf;

use clap::ValueEnum;
use ophryon_agreement::Day;
use ophryon_record::{PaperError, Papers};
use ophryon_stencil::{Correction, Facing, Paper, SheetOptions, Sides, write_dxf, write_svg};

use crate::Outcome;
use crate::client_file::{ClientFile, heading};
use crate::output;
use crate::paper::{Fonts, missing_letters, paper};
use crate::printers::PrintersFile;
use crate::trouble::Trouble;

/// What `ophryon sheet` can be told.
#[derive(Debug, clap::Args)]
pub struct SheetArguments {
    /// The client's file
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Folder for the sheet and report.json; made if it isn't there
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// What to write, one or several: --format svg,pdf,dxf
    #[arg(long, value_enum, value_delimiter = ',', default_values_t = [Format::Svg])]
    format: Vec<Format>,
    /// Paper or label to lay it out for
    #[arg(long, value_name = "PAPER", default_value = "a4", value_parser = paper())]
    paper: Paper,
    /// Which brows
    #[arg(long, value_enum, default_value_t = SidesName::Both)]
    sides: SidesName,
    /// How often the same on one page, with lines to cut it apart
    #[arg(long, value_name = "N", default_value_t = 1)]
    copies: u32,
    /// Mirror the drawing, for a sheet that is laid face down on the skin
    #[arg(long, visible_alias = "flip")]
    face_down: bool,
    /// Print the client's name beside her code
    #[arg(long)]
    with_name: bool,
    /// The day to print on it, such as 2025-03-14
    #[arg(long, value_name = "DATE")]
    made: Option<Day>,
    /// Correct SVG and PDF for this printer, as kept by `printer-check`
    #[arg(long, value_name = "NAME")]
    printer: Option<String>,
    /// File of printers; without it the one beside the user's settings
    #[arg(long, value_name = "FILE", requires = "printer")]
    printers: Option<PathBuf>,
    /// A font for letters that the built-in ones lack; can be given several
    /// times
    #[arg(long, value_name = "FILE")]
    font: Vec<PathBuf>,
    /// Print the report to standard output as well, as JSON
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// stencil.svg: 1 user unit is 1 mm
    Svg,
    /// stencil.pdf: the stencil, then the list of distances to check; for
    /// labels the list is distances.pdf
    Pdf,
    /// stencil.dxf: R12 polylines, 1 drawing unit is 1 mm, for cutters
    Dxf,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum SidesName {
    /// Both, as far apart as on the skin
    Both,
    /// The client's right alone: stencil-right.svg and so on
    Right,
    /// The client's left alone: stencil-left.svg and so on
    Left,
}

impl SheetArguments {
    fn options(&self) -> SheetOptions {
        SheetOptions {
            paper: self.paper,
            sides: match self.sides {
                SidesName::Both => Sides::Both,
                SidesName::Right => Sides::Right,
                SidesName::Left => Sides::Left,
            },
            copies: self.copies,
            facing: if self.face_down {
                Facing::FaceDown
            } else {
                Facing::FaceUp
            },
            with_name: self.with_name,
        }
    }
}

/// Writes the sheet.
pub fn run(arguments: &SheetArguments) -> Result<Outcome, Trouble> {
    let client = ClientFile::open(&arguments.file)?;
    let correction = match &arguments.printer {
        Some(name) => {
            let printers = PrintersFile::open(arguments.printers.as_deref())?;
            Some((printers.correction(name)?, name.trim()))
        }
        None => None,
    };
    let options = arguments.options();
    let plain = client
        .record
        .drawn()
        .map_err(PaperError::from)
        .and_then(|drawn| client.record.papers_made(&drawn, &options, arguments.made))
        .map_err(|why| client.paper_trouble(&why))?;
    let papers = match &correction {
        Some((correction, name)) => plain
            .corrected(*correction, name)
            .map_err(|why| client.paper_trouble(&why))?,
        None => plain.clone(),
    };
    // A cutter is no printer.
    let fonts = Fonts::open(&arguments.font)?;
    let (mut files, missing) = files(arguments, &papers, &plain, &fonts)?;
    let names: Vec<_> = files
        .iter()
        .map(|(name, _)| arguments.out.join(name).display().to_string())
        .collect();
    let report = papers.report_json();
    files.push(("report.json".to_owned(), report.clone().into_bytes()));
    output::write_all(&arguments.out, &client.path, &files)?;
    if arguments.json {
        output::print(&report)?;
        return Ok(Outcome::Done);
    }
    let mut text = cautions(&papers);
    text.push_str(&missing_letters(&missing));
    if options.with_name && client.record.client.name.is_none() {
        text.push_str("Mind: the file holds no name, so the code stands alone.\n");
    }
    if let Some((correction, name)) = &correction {
        text.push_str(&corrected(correction, name, arguments));
    }
    let across = if papers.stencil.is_turned() {
        ", laid across"
    } else {
        ""
    };
    let gauges = papers
        .stencil
        .gauges()
        .map_or_else(String::new, |gauges| format!(": {}", gauges.in_words()));
    text.push_str(&format!(
        "Written: {} and report.json, for {} paper{across}; print at 100 % and check both \
         gauges{gauges}.\n",
        names.join(", "),
        options.paper.name()
    ));
    output::print(&text)?;
    Ok(Outcome::Done)
}

type Files = Vec<(String, Vec<u8>)>;

/// Every file asked for, and letters that no font holds.
fn files(
    arguments: &SheetArguments,
    papers: &Papers,
    plain: &Papers,
    fonts: &Fonts,
) -> Result<(Files, Vec<char>), Trouble> {
    let stem = match arguments.sides {
        SidesName::Both => "stencil",
        SidesName::Right => "stencil-right",
        SidesName::Left => "stencil-left",
    };
    let mut files = vec![];
    let mut missing = vec![];
    if arguments.format.contains(&Format::Svg) {
        let svg = write_svg(&papers.stencil).into_bytes();
        files.push((format!("{stem}.svg"), svg));
    }
    if arguments.format.contains(&Format::Pdf) {
        let pdf = fonts.pdf(&papers.pages())?;
        files.push((format!("{stem}.pdf"), pdf.bytes));
        missing = pdf.missing;
        if papers.is_list_apart() {
            let list = fonts.pdf(&[&papers.distances])?;
            files.push(("distances.pdf".to_owned(), list.bytes));
        }
    }
    if arguments.format.contains(&Format::Dxf) {
        let dxf = write_dxf(&plain.stencil)?.into_bytes();
        files.push((format!("{stem}.dxf"), dxf));
    }
    Ok((files, missing))
}

/// Whose shape it is, what to mind, and what does not hold.
fn cautions(papers: &Papers) -> String {
    let mut text = heading(&papers.report);
    for caution in &papers.report.cautions {
        text.push_str(&format!("Mind: {caution}\n"));
    }
    for caution in &papers.report.head.for_a_doctor {
        text.push_str(&format!("Mind, flagged or not answered: {caution}\n"));
    }
    for (side, reading) in papers.report.failing() {
        text.push_str(&format!(
            "Does not hold on the client's {}: {}\n",
            side.name(),
            reading.sentence
        ));
    }
    text
}

fn corrected(correction: &Correction, name: &str, arguments: &SheetArguments) -> String {
    let dxf = if arguments.format.contains(&Format::Dxf) {
        " The DXF is of true size: a cutter is no printer."
    } else {
        ""
    };
    format!(
        "Corrected for the printer “{name}”: drawn at {}. Print on no other.{dxf}\n",
        correction.in_words()
    )
}
