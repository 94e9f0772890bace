//! `ophryon wrap`: frontal points onto the skin by one tape length, so that
//! anybody can check the wrap against a head of their own.

use std::path::{Path, PathBuf};

use ophryon_frames::{Front, Point, Skin, Wrap, WrapKind};

use crate::Outcome;
use crate::output;
use crate::trouble::Trouble;

/// Most rows read of a table; a brow needs a few dozen.
const MOST_ROWS: usize = 1_000_000;

/// What `ophryon wrap` can be told.
#[derive(Debug, clap::Args)]
pub struct WrapOptions {
    /// CSV of front-frame points (header x_mm,y_mm) that the tape lay along
    #[arg(long, value_name = "FILE")]
    along: PathBuf,
    /// What the tape read over the skin, mm
    #[arg(long, value_name = "MM")]
    tape: f64,
    /// CSV of front-frame points (header x_mm,y_mm) to put on the skin
    #[arg(long, value_name = "FILE")]
    points: PathBuf,
    /// How the head is curved
    #[arg(long, value_enum, default_value_t = Kind::Profile)]
    wrap: Kind,
}

/// The wraps that a tape can settle.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
enum Kind {
    /// An upright cylinder
    Cylinder,
    /// A head's usual horizontal section, scaled in depth
    Profile,
}

/// Prints the points on the skin as CSV (s_mm,h_mm) in the same order; what
/// the fit found goes to standard error.
pub fn run(options: &WrapOptions) -> Result<Outcome, Trouble> {
    let along = read(&options.along)?;
    let points = read(&options.points)?;
    let kind = match options.wrap {
        Kind::Cylinder => WrapKind::Cylinder,
        Kind::Profile => WrapKind::Profile,
    };
    let wrap = Wrap::from_tape(kind, &along, options.tape)
        .map_err(|why| Trouble::table(&options.along, why.to_string()))?;
    let on_skin: Vec<Point<Skin>> = points
        .iter()
        .enumerate()
        .map(|(i, p)| {
            wrap.to_skin(*p)
                .map_err(|why| Trouble::table(&options.points, format!("point {}: {why}", i + 1)))
        })
        .collect::<Result<_, _>>()?;
    let mut text = String::from("s_mm,h_mm\n");
    for p in on_skin {
        text.push_str(&format!("{:.6},{:.6}\n", p.x, p.y));
    }
    eprintln!("ophryon: {wrap}, from a tape of {:.1} mm", options.tape);
    output::print(&text)?;
    Ok(Outcome::Done)
}

/// The columns x_mm and y_mm of a CSV file with a header, wherever they stand.
fn read(file: &Path) -> Result<Vec<Point<Front>>, Trouble> {
    let trouble = |sentence: String| Trouble::table(file, sentence);
    let source = std::fs::File::open(file).map_err(|source| Trouble::Unreadable {
        file: file.to_owned(),
        source,
    })?;
    let mut table = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .from_reader(source);
    let header = table
        .headers()
        .map_err(|why| trouble(format!("this is no CSV table ({why})")))?
        .clone();
    let column = |name: &str| {
        header.iter().position(|h| h == name).ok_or_else(|| {
            trouble(format!(
                "there is no column {name}; its first line must be x_mm,y_mm"
            ))
        })
    };
    let (x, y) = (column("x_mm")?, column("y_mm")?);
    let mut points = Vec::new();
    for (i, row) in table.records().enumerate() {
        let line = i + 2;
        let row = row.map_err(|why| trouble(format!("line {line} can't be read ({why})")))?;
        let number = |at: usize, name: &str| {
            let text = row.get(at).unwrap_or_default();
            let value = text.parse::<f64>().ok().filter(|v| v.is_finite());
            value.ok_or_else(|| {
                trouble(format!(
                    "line {line}: {name} is “{text}”, not a number of mm"
                ))
            })
        };
        points.push(Point::new(number(x, "x_mm")?, number(y, "y_mm")?));
        if points.len() > MOST_ROWS {
            return Err(trouble(format!("more than {MOST_ROWS} rows; thin it out")));
        }
    }
    if points.is_empty() {
        return Err(trouble("it has no points below its header".to_owned()));
    }
    Ok(points)
}
