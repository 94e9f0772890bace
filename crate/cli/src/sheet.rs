//! `ophryon sheet`: the stencil at true size and the report.

use std::path::PathBuf;

use clap::ValueEnum;
use ophryon_stencil::{Facing, Sheet, SheetOptions as Options, write_dxf, write_pdf, write_svg};

use crate::Outcome;
use crate::client_file::{ClientFile, heading};
use crate::output;
use crate::paper::{PaperName, missing_letters};
use crate::printers::PrintersFile;
use crate::trouble::Trouble;

/// What `ophryon sheet` can be told.
#[derive(Debug, clap::Args)]
pub struct SheetOptions {
    /// The client's file
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Folder for the sheet and report.json; made if it isn't there
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// What to write, one or several: --format svg,pdf,dxf
    #[arg(long, value_enum, value_delimiter = ',', default_values_t = [Format::Svg])]
    format: Vec<Format>,
    /// Paper to lay it out for
    #[arg(long, value_enum, default_value_t = PaperName::A4)]
    paper: PaperName,
    /// Mirror the drawing, for a sheet that is laid face down on the skin
    #[arg(long, visible_alias = "flip")]
    face_down: bool,
    /// Correct SVG and PDF for this printer, as kept by `printer-check`
    #[arg(long, value_name = "NAME")]
    printer: Option<String>,
    /// File of printers; without it the one beside the user's settings
    #[arg(long, value_name = "FILE", requires = "printer")]
    printers: Option<PathBuf>,
    /// Print the report to standard output as well, as JSON
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// stencil.svg: 1 user unit is 1 mm
    Svg,
    /// stencil.pdf: the stencil, then the list of distances to check
    Pdf,
    /// stencil.dxf: R12 polylines, 1 drawing unit is 1 mm, for cutters
    Dxf,
}

/// Writes the sheet.
pub fn run(options: &SheetOptions) -> Result<Outcome, Trouble> {
    let client = ClientFile::open(&options.file)?;
    let paper = options.paper.paper();
    let correction = match &options.printer {
        Some(name) => {
            let printers = PrintersFile::open(options.printers.as_deref())?;
            Some((printers.correction(name)?, name))
        }
        None => None,
    };
    let wanted = Options {
        paper,
        facing: if options.face_down {
            Facing::FaceDown
        } else {
            Facing::FaceUp
        },
        ..Options::default()
    };
    let papers = client
        .record
        .papers(&wanted)
        .map_err(|why| client.paper_trouble(&why))?;
    let report = papers.report_json();
    let for_printer = |sheet: &Sheet| match &correction {
        Some((correction, name)) => sheet.corrected(*correction, name),
        None => sheet.clone(),
    };
    let stencil = for_printer(&papers.stencil);
    let mut files = vec![];
    let mut missing = vec![];
    if options.format.contains(&Format::Svg) {
        files.push(("stencil.svg", write_svg(&stencil).into_bytes()));
    }
    if options.format.contains(&Format::Pdf) {
        let pdf = write_pdf(&[&stencil, &for_printer(&papers.distances)])?;
        files.push(("stencil.pdf", pdf.bytes));
        missing = pdf.missing;
    }
    if options.format.contains(&Format::Dxf) {
        files.push(("stencil.dxf", write_dxf(&papers.stencil)?.into_bytes()));
    }
    let names: Vec<_> = files
        .iter()
        .map(|(name, _)| options.out.join(name).display().to_string())
        .collect();
    files.push(("report.json", report.clone().into_bytes()));
    output::write_all(&options.out, &client.path, &files)?;
    if options.json {
        output::print(&report)?;
        return Ok(Outcome::Done);
    }
    let mut text = heading(&papers.report);
    for caution in &papers.report.cautions {
        text.push_str(&format!("Mind: {caution}\n"));
    }
    for (side, reading) in papers.report.failing() {
        text.push_str(&format!(
            "Does not hold on the client's {}: {}\n",
            side.name(),
            reading.sentence
        ));
    }
    text.push_str(&missing_letters(&missing));
    if let Some((correction, name)) = &correction {
        text.push_str(&format!(
            "Corrected for the printer “{name}”: drawn at {}. Print on no other.{}\n",
            correction.in_words(),
            if options.format.contains(&Format::Dxf) {
                " The DXF is of true size: a cutter is no printer."
            } else {
                ""
            }
        ));
    }
    text.push_str(&format!(
        "Written: {} and report.json, for {} paper; print at 100 % and check the 100 mm bar.\n",
        names.join(", "),
        paper.name()
    ));
    output::print(&text)?;
    Ok(Outcome::Done)
}
