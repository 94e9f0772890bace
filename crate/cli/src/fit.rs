//! `ophryon fit`: the brow closest to points from a file.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use ophryon_brow::{BrowPoints, Handle, Sketched};
use ophryon_frames::{Frame, Lateral, Photo, Point, Side, Skin};
use ophryon_record::{
    Broken, Drawn, Image, Record, ShapeSource, SketchedError, SketchedShape, Strokes, apply,
};
use serde_json::{Value, json};

use crate::Outcome;
use crate::client_file::ClientFile;
use crate::output;
use crate::point_table::PointTable;
use crate::table::{Column, number, signed, table};
use crate::trouble::Trouble;

/// Points that lie farther than this beyond the midline lie on the other side,
/// mm; a front edge may cross it by less.
const OTHER_SIDE_MM: f64 = 10.0;

/// What `ophryon fit` can be told.
#[derive(Debug, clap::Args)]
pub struct FitOptions {
    /// The client's file
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// CSV of points along the edges of one brow. Its header names the columns
    /// and by them the frame: x_px,y_px in the relaxed photo; s_mm,h_mm on the
    /// skin (from the midline, positive toward the client's left; above the
    /// pupils); lateral_mm,height_mm without a side, as the shape is kept. A
    /// column stroke keeps strokes apart
    #[arg(long, value_name = "CSV")]
    to: PathBuf,
    /// The client's side that the points lie on; else where they lie
    #[arg(long, value_enum)]
    side: Option<OneSide>,
    /// The frame of the columns x,y, for a table that doesn't name it
    #[arg(long, value_enum)]
    frame: Option<PointFrame>,
    /// Write the client's file with the new shape here
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Write over a file that is there already
    #[arg(long, requires = "out")]
    replace: bool,
    /// Print JSON instead of tables
    #[arg(long)]
    json: bool,
}

/// A side as given on the command line.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
enum OneSide {
    /// The client's right
    Right,
    /// The client's left
    Left,
}

/// Where the points were taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum PointFrame {
    /// In the relaxed photo, px
    Photo,
    /// On the skin, mm
    Skin,
    /// On the skin without a side, mm
    Lateral,
}

impl PointFrame {
    const ALL: [Self; 3] = [Self::Photo, Self::Skin, Self::Lateral];

    const fn columns(self) -> [&'static str; 2] {
        match self {
            Self::Photo => ["x_px", "y_px"],
            Self::Skin => ["s_mm", "h_mm"],
            Self::Lateral => ["lateral_mm", "height_mm"],
        }
    }

    const fn unit(self) -> &'static str {
        match self {
            Self::Photo => "px",
            Self::Skin | Self::Lateral => "mm",
        }
    }
}

/// Fits, prints the distances and, if told where, writes the new file.
pub fn run(options: &FitOptions) -> Result<Outcome, Trouble> {
    let file = ClientFile::open(&options.file)?;
    if let Some(out) = &options.out {
        output::may_write(out, "--out", options.replace)?;
    }
    let given = PointTable::open(&options.to)?;
    let strokes = strokes(&given, options.frame)?;
    let drawn = file.record.drawn();
    let drawn = drawn.map_err(|why| file.study_trouble(&why))?;
    let side = match options.side {
        Some(OneSide::Right) => Side::Right,
        Some(OneSide::Left) => Side::Left,
        None => side_of(&strokes, &drawn).map_err(|why| given.trouble(why))?,
    };
    let shape = drawn
        .sketched(&file.record, side, &strokes)
        .map_err(|why| match why {
            SketchedError::Study(why) => file.study_trouble(&why),
            why => given.trouble(why.to_string()),
        })?;
    let fitted =
        apply(&file.record, &shape.edit()).map_err(|why| given.trouble(why.to_string()))?;
    let after = fitted.drawn();
    let broken = drawn.broken_by(&after.map_err(|why| file.study_trouble(&why))?);
    if let Some(out) = &options.out {
        file.write_changed(&fitted, out)?;
    }
    let text = if options.json {
        format!("{:#}\n", in_json(&file.record, &shape, &broken, options))
    } else {
        in_words(&file.record, &drawn, &shape, &broken, options)
    };
    output::print(&text)?;
    Ok(Outcome::Done)
}

/// The points of a table, stroke by stroke.
fn strokes(given: &PointTable, frame: Option<PointFrame>) -> Result<Strokes, Trouble> {
    let named = |f: &PointFrame| f.columns().iter().all(|c| given.has(c));
    let frame = match (frame, PointFrame::ALL.into_iter().find(named)) {
        (Some(frame), _) | (None, Some(frame)) => frame,
        (None, None) => {
            let all = PointFrame::ALL.map(|f| f.columns().join(","));
            return Err(given.trouble(format!(
                "its first line must name the columns {}; for x,y say --frame photo, skin or lateral",
                all.join(" or ")
            )));
        }
    };
    let columns = match named(&frame) || !given.has("x") {
        true => frame.columns(),
        false => ["x", "y"],
    };
    fn apart<F: Frame>(
        given: &PointTable,
        columns: [&str; 2],
        unit: &str,
    ) -> Result<Vec<Vec<Point<F>>>, Trouble> {
        let points = given.points(columns, unit)?;
        let Some(names) = given.texts("stroke") else {
            return Ok(vec![points]);
        };
        let mut place = HashMap::new();
        let mut strokes: Vec<Vec<Point<F>>> = Vec::new();
        for (name, p) in names.zip(points) {
            let at = *place.entry(name).or_insert(strokes.len());
            if at == strokes.len() {
                strokes.push(Vec::new());
            }
            strokes[at].push(p);
        }
        Ok(strokes)
    }
    Ok(match frame {
        PointFrame::Photo => Strokes::Photo(apart::<Photo>(given, columns, frame.unit())?),
        PointFrame::Skin => Strokes::Skin(apart::<Skin>(given, columns, frame.unit())?),
        PointFrame::Lateral => Strokes::Lateral(apart::<Lateral>(given, columns, frame.unit())?),
    })
}

/// The side that the points lie on, where they tell.
fn side_of(strokes: &Strokes, drawn: &Drawn) -> Result<Side, String> {
    let x: Vec<f64> = match strokes {
        Strokes::Photo(all) => {
            let frame = &drawn.measured.levelled.survey.frame;
            all.iter().flatten().map(|p| frame.to_front(*p).x).collect()
        }
        Strokes::Skin(all) => all.iter().flatten().map(|p| p.x).collect(),
        Strokes::Lateral(_) if drawn.pair.is_linked() => return Ok(drawn.pair.master),
        Strokes::Lateral(_) => {
            return Err(
                "the brows are unlinked and these points have no side; say --side right or --side left"
                    .to_owned(),
            );
        }
    };
    let mean = x.iter().sum::<f64>() / x.len().max(1) as f64;
    let side = Side::of_x(mean);
    match x.iter().any(|x| x * side.sign() < -OTHER_SIDE_MM) {
        true => Err(
            "its points lie on both sides of the midline; keep one side's, or say which with --side"
                .to_owned(),
        ),
        false => Ok(side),
    }
}

fn in_words(
    record: &Record,
    drawn: &Drawn,
    shape: &SketchedShape,
    broken: &[Broken],
    options: &FitOptions,
) -> String {
    let Sketched { followed, .. } = &shape.sketched;
    let side = shape.side.name();
    let whose = match drawn.pair.is_linked() {
        true => format!("both brows, by the client's {side} one"),
        false => format!("the client's {side} brow"),
    };
    let mut text = format!(
        "Client {}, version {}: {whose}, fitted to {}\n",
        record.client.code,
        record.version,
        options.to.display()
    );
    if drawn.source == ShapeSource::Proposal {
        text.push_str(
            "The file holds no shape yet: what the points don't show is from the mapping rules.\n",
        );
    }
    text.push_str(&format!("\n{}\n", shape.sketched.sentence()));
    text.push_str(&format!(
        "Farthest off {} mm from the midline and {} mm above the pupils: {} mm.\n",
        number(followed.farthest.x),
        number(followed.farthest.y),
        number(followed.largest_mm)
    ));
    for remark in shape.sketched.remarks() {
        text.push_str(&format!("{remark}\n"));
    }
    if !broken.is_empty() {
        text.push_str("\nThis shape breaks what held before:\n");
    }
    for one in broken {
        text.push_str(&format!("- {}\n", one.words()));
    }
    text.push_str("\nThe points, before the side's offset (mm)\n");
    text.push_str(&moves(drawn.pair.points(shape.side), &shape.points));
    match &options.out {
        Some(out) => {
            text.push_str(&format!("\nWritten to {}.\n", out.display()));
            text.push_str(&photos_elsewhere(record, &options.file, out));
        }
        None => text.push_str("\nNothing is written; say where with --out to keep this shape.\n"),
    }
    text
}

/// Each point as it was and as it is now.
fn moves(before: &BrowPoints, after: &BrowPoints) -> String {
    let rows: Vec<Vec<String>> = Handle::ALL
        .into_iter()
        .filter(|h| *h != Handle::Start)
        .map(|h| {
            let (a, b) = (before.at(h), after.at(h));
            vec![
                h.name().to_owned(),
                number(b.x),
                number(b.y),
                signed(b.x - a.x),
                signed(b.y - a.y),
            ]
        })
        .collect();
    table(
        &[
            ("", Column::Words),
            ("from midline", Column::Numbers),
            ("above pupils", Column::Numbers),
            ("moved out", Column::Numbers),
            ("moved up", Column::Numbers),
        ],
        &rows,
    )
}

/// A client's file looks for its photos beside it.
fn photos_elsewhere(record: &Record, file: &Path, out: &Path) -> String {
    let folder = |path: &Path| {
        let parent = path.parent().filter(|p| !p.as_os_str().is_empty());
        parent.unwrap_or(Path::new(".")).canonicalize().ok()
    };
    let names: Vec<&str> = record
        .photos
        .iter()
        .filter_map(|p| match &p.image {
            Image::File { name } => Some(name.as_str()),
            Image::Embedded { .. } => None,
        })
        .collect();
    if names.is_empty() || folder(file) == folder(out) {
        return String::new();
    }
    format!("Copy its photos beside it: {}.\n", names.join(", "))
}

fn in_json(
    record: &Record,
    shape: &SketchedShape,
    broken: &[Broken],
    options: &FitOptions,
) -> Value {
    let sketched = &shape.sketched;
    let mut sentences = vec![sketched.sentence()];
    sentences.extend(sketched.remarks());
    json!({
        "code": record.client.code,
        "version": record.version,
        "side": shape.side,
        "points": shape.points,
        "form": shape.form,
        "followed": sketched.followed,
        "spread-mm": sketched.spread_mm,
        "shown": sketched.shown,
        "why": sketched.why,
        "left-out": sketched.left_out,
        "farthest-px": shape.farthest,
        "nearest-px": shape.nearest,
        "sentences": sentences,
        "breaks": broken.iter().map(|one| json!({
            "side": one.side,
            "reading": one.reading,
            "sentence": one.words(),
        })).collect::<Vec<_>>(),
        "written": options.out.as_ref().map(|p| p.display().to_string()),
    })
}
