//! `ophryon wrap`: frontal points onto the skin by one tape length, so that
//! anybody can check the wrap against a head of their own.

use std::path::{Path, PathBuf};

use ophryon_frames::{Front, Point, Skin, Wrap, WrapKind};

use crate::Outcome;
use crate::output;
use crate::point_table::PointTable;
use crate::trouble::Trouble;

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

/// The columns x_mm and y_mm of a CSV file.
fn read(file: &Path) -> Result<Vec<Point<Front>>, Trouble> {
    PointTable::open(file)?.points(["x_mm", "y_mm"], "mm")
}
