//! `ophryon photo`: what a photo's file says, and whether its pixels will do.

use std::fmt::Write as _;
use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::str::FromStr;

use image::RgbImage;
use image::metadata::Orientation as Turn;
use ophryon_face::{IRIS_MM, IRIS_SD_MM, MEAN_PUPILS_MM, Scale};
use ophryon_frames::{Photo, Point, Sided};
use ophryon_photo::{
    AtLarge, BrowBand, FocalLength, Iris, Kind, Layout, PhotoFile, Pixels, Quality, RoughScale,
    SideQuality, Size, WeakEvidence, find_iris,
};
use serde_json::{Value, json};

use crate::Outcome;
use crate::output;
use crate::trouble::{Trouble, unreadable};

/// Larger files are no photos, bytes.
const LARGEST_PHOTO: u64 = 256 * 1024 * 1024;

/// How far a scale given in words is trusted, as a share.
const SCALE_SD: f64 = 0.02;

/// What `ophryon photo` can be told.
#[derive(Debug, clap::Args)]
pub struct PhotoOptions {
    /// Photos, each told of by itself
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,
    /// Where the middles of the pupils are, px from the upright photo's upper
    /// left corner, client's right first. Brows and eyes are judged then. One
    /// photo at a time
    #[arg(long, value_name = "X,Y,X,Y")]
    pupils: Option<Pupils>,
    /// The photo's scale, for the camera's distance and the brows' resolution;
    /// with --pupils alone they are taken to be 63 mm apart
    #[arg(long, value_name = "MM")]
    mm_per_px: Option<f64>,
    /// Print JSON instead of words
    #[arg(long)]
    json: bool,
}

/// Two places as given on the command line.
#[derive(Debug, Clone, Copy)]
struct Pupils(Sided<Point<Photo>>);

impl FromStr for Pupils {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let numbers: Vec<f64> = text
            .split(',')
            .map(|part| part.trim().parse::<f64>())
            .collect::<Result<_, _>>()
            .map_err(|_| "write four numbers of px, such as 685,800,1315,800")?;
        match numbers[..] {
            [rx, ry, lx, ly] if numbers.iter().all(|n| n.is_finite()) => Ok(Self(Sided {
                right: Point::new(rx, ry),
                left: Point::new(lx, ly),
            })),
            _ => Err("write four numbers of px, such as 685,800,1315,800".to_owned()),
        }
    }
}

/// What is known of one photo.
struct Seen {
    file: PhotoFile,
    pixels: Judged,
    mm_per_px: Option<f64>,
}

/// What brows and eyes said.
struct Brows {
    quality: Quality,
    irises: Sided<Result<Iris, WeakEvidence>>,
}

/// What the pixels said.
enum Judged {
    /// At brows and eyes.
    Brows(Box<Brows>),
    /// Somewhere in the middle, as nobody said where the brows are.
    Middle(AtLarge),
    /// Not judged, and why.
    No(&'static str),
}

/// Tells of each photo. What can't be used is said at the end, one sentence a
/// file; the others are told of all the same.
pub fn run(options: &PhotoOptions) -> Result<Outcome, Trouble> {
    if options.pupils.is_some() && options.files.len() > 1 {
        let why = "--pupils belongs to one photo; name one file at a time with it";
        return Err(Trouble::Options(why.to_owned()));
    }
    if let Some(mm) = options.mm_per_px
        && !(0.001..=10.0).contains(&mm)
    {
        let why = format!(
            "--mm-per-px {mm} is no scale of a face; a photo of one has 0.02 to 1 mm in a px"
        );
        return Err(Trouble::Options(why));
    }
    let mut text = String::new();
    let mut values = Vec::new();
    let mut refused = Vec::new();
    for path in &options.files {
        match look(path, options) {
            Ok(seen) if options.json => values.push(seen.json(path)),
            Ok(seen) => {
                if !text.is_empty() {
                    text.push('\n');
                }
                text.push_str(&seen.words(path));
            }
            Err(sentence) => refused.push(sentence),
        }
    }
    if options.json {
        text = format!("{:#}\n", Value::Array(values));
    }
    output::print(&text)?;
    if refused.is_empty() {
        Ok(Outcome::Done)
    } else {
        Err(Trouble::Photos(refused))
    }
}

fn look(path: &Path, options: &PhotoOptions) -> Result<Seen, String> {
    let named = |what: String| format!("{}: {what}", path.display());
    let bytes = read(path).map_err(named)?;
    let file = PhotoFile::read(&bytes)
        .map_err(|why| named(format!("this file {why}. {}", why.way_out())))?;
    let mut mm_per_px = options.mm_per_px;
    let pixels = match (decode(&file, &bytes).map_err(named)?, options.pupils) {
        (None, _) => Judged::No("this kind of photo is judged in the app only"),
        (Some(picture), Some(Pupils(pupils))) => {
            let apart = pupils.right.distance(pupils.left);
            let rough = options
                .mm_per_px
                .and_then(|mm| Scale::new(mm, SCALE_SD).ok())
                .map_or_else(
                    || RoughScale::by_pupils(pupils.right, pupils.left),
                    RoughScale::known,
                );
            let scale = *mm_per_px.get_or_insert(MEAN_PUPILS_MM / apart);
            let band = BrowBand::new(pupils, 1.0 / scale)
                .ok_or_else(|| named("these pupils are not a face's; give the middle of each in px of the upright photo".to_owned()))?;
            let whole = pixels(&picture)
                .ok_or_else(|| named("it has no pixels; choose another photo".to_owned()))?;
            let irises = pupils.map(|pupil| find_iris(&whole, pupil, rough));
            let quality = Quality::of(&whole, &band);
            Judged::Brows(Box::new(Brows { quality, irises }))
        }
        (Some(picture), None) => match pixels(&picture).as_ref().and_then(AtLarge::of) {
            Some(at_large) => Judged::Middle(at_large),
            None => Judged::No("it is too small for that"),
        },
    };
    Ok(Seen {
        file,
        pixels,
        mm_per_px,
    })
}

fn read(path: &Path) -> Result<Vec<u8>, String> {
    if path.is_dir() {
        return Err("this is a folder; name the photo in it".to_owned());
    }
    let unreadable = |error| unreadable(&error, "the photo");
    let file = File::open(path).map_err(unreadable)?;
    let length = fs::metadata(path).map(|m| m.len()).unwrap_or_default();
    let mut bytes = Vec::new();
    file.take(LARGEST_PHOTO + 1)
        .read_to_end(&mut bytes)
        .map_err(unreadable)?;
    if length > LARGEST_PHOTO || bytes.len() as u64 > LARGEST_PHOTO {
        return Err(format!(
            "this is larger than any photo (at most {} MB); choose the photo itself",
            LARGEST_PHOTO / 1024 / 1024
        ));
    }
    Ok(bytes)
}

/// The upright picture; `None` for kinds that only browsers decode.
pub(crate) fn decode(file: &PhotoFile, bytes: &[u8]) -> Result<Option<RgbImage>, String> {
    if matches!(file.kind, Kind::Heic | Kind::Avif) {
        return Ok(None);
    }
    let mut picture = image::load_from_memory(bytes).map_err(|_| {
        "its header is sound, but the picture can't be decoded; send or copy it again from where it was taken"
            .to_owned()
    })?;
    let decoded = Size::new(picture.width(), picture.height());
    let turn = file
        .still_to_turn(decoded)
        .map_err(|why| format!("this file {why}. {}", why.way_out()))?;
    // 1 to 8 always is one.
    let turn = Turn::from_exif(turn.exif() as u8).unwrap_or(Turn::NoTransforms);
    picture.apply_orientation(turn);
    Ok(Some(picture.into_rgb8()))
}

/// The picture of a client's photo, kept in her file or beside it; `None` for
/// a kind that only browsers decode.
pub(crate) fn picture_of(
    photo: &ophryon_record::Photo,
    file: &Path,
) -> Result<Option<RgbImage>, String> {
    let beside = |name: &String| fs::read(file.parent().unwrap_or(Path::new("")).join(name)).ok();
    let bytes = match &photo.image {
        ophryon_record::Image::File { name } => beside(name),
        ophryon_record::Image::Embedded { .. } => photo.image.bytes(),
    };
    let bytes =
        bytes.ok_or_else(|| format!("the photo “{}” can't be read; bring it again", photo.id))?;
    let stated = PhotoFile::read(&bytes)
        .map_err(|why| format!("the photo “{}” {why}. {}", photo.id, why.way_out()))?;
    decode(&stated, &bytes)
}

/// The whole of a picture.
pub(crate) fn pixels(picture: &RgbImage) -> Option<Pixels<'_>> {
    let size = Size::new(picture.width(), picture.height());
    Pixels::of_photo(size, Layout::Rgb, picture.as_raw())
}

/// Of the client's iris on one side.
fn in_words(iris: &Result<Iris, WeakEvidence>) -> String {
    match iris {
        Ok(iris) => format!(
            "{:.1} ± {:.1} px wide, its middle at {:.1}, {:.1} ± {:.1} px",
            2.0 * iris.radius_px,
            4.0 * iris.radius_sd_px,
            iris.centre.x,
            iris.centre.y,
            2.0 * iris.sd_px(),
        ),
        Err(weak) => weak.to_string(),
    }
}

/// How far apart the pupils are by the irises, which are alike on both sides
/// of a person but not from person to person.
fn apart(irises: &Sided<Result<Iris, WeakEvidence>>) -> String {
    match (&irises.right, &irises.left) {
        (Ok(right), Ok(left)) => {
            let iris_px = right.radius_px + left.radius_px;
            let mm = right.centre.distance(left.centre) * IRIS_MM / iris_px;
            format!(
                "{mm:.1} ± {:.1} mm apart by the irises, taken to be {IRIS_MM} mm wide",
                2.0 * mm * IRIS_SD_MM / IRIS_MM
            )
        }
        _ => "not measured, for that both irises are needed".to_owned(),
    }
}

/// The light on each brow that is in the photo, and what it hides.
fn light(quality: &Quality) -> Vec<String> {
    let percent = |share: f64| format!("{:.0} %", 100.0 * share);
    let sides = quality.sides.iter().filter_map(|(side, seen)| {
        let e = seen.as_ref()?.exposure;
        Some(format!(
            "client's {}: the brow at {} of the brightest, {} of it burnt out, {} black",
            side.name(),
            percent(e.median),
            percent(e.burnt),
            percent(e.black)
        ))
    });
    sides.collect()
}

fn iris_json(iris: &Result<Iris, WeakEvidence>) -> Value {
    match iris {
        Ok(iris) => json!({
            "middle-px": [iris.centre.x, iris.centre.y],
            "middle-sd-px": iris.sd_px(),
            "radius-px": iris.radius_px,
            "radius-sd-px": iris.radius_sd_px,
        }),
        Err(weak) => json!({ "left-alone": weak.to_string() }),
    }
}

fn light_json(side: Option<&SideQuality>) -> Value {
    side.map_or(Value::Null, |side| {
        json!({
            "median": side.exposure.median,
            "white": side.exposure.white,
            "burnt": side.exposure.burnt,
            "black": side.exposure.black,
        })
    })
}

impl Seen {
    fn words(&self, path: &Path) -> String {
        let mut text = String::new();
        let mut line = |name: &str, what: String| {
            // Writing to a string can't fail.
            let _ = writeln!(text, "  {name:<14}{what}");
        };
        let file = &self.file;
        line("kind", file.kind.name().to_owned());
        let size = file.size();
        line("size", format!("{size} upright{}", self.lies()));
        let kept = file.kept();
        line(
            "kept",
            if kept.is_smaller() {
                format!("at {}, because 24 megapixels are enough", kept.size)
            } else {
                "at its own size".to_owned()
            },
        );
        line("focal length", self.focal());
        match &self.pixels {
            Judged::Brows(brows) => {
                let Brows { quality, irises } = brows.as_ref();
                for (side, iris) in irises.iter() {
                    line(
                        "iris",
                        format!("client's {}: {}", side.name(), in_words(iris)),
                    );
                }
                line("pupils", apart(irises));
                line(
                    "resolution",
                    format!("{:.1} px per mm at the brows", quality.px_per_mm),
                );
                line(
                    "sharpness",
                    match quality.edge_mm() {
                        Some(mm) => format!("the sharpest edges there are {mm:.2} mm wide"),
                        None => "no edge stands out there".to_owned(),
                    },
                );
                for said in light(quality) {
                    line("light", said);
                }
                let remarks = &quality.remarks;
                if remarks.is_empty() {
                    line("brows", "good enough to work on.".to_owned());
                }
                for remark in remarks {
                    line("brows", remark.sentence.clone());
                }
            }
            Judged::Middle(at_large) => line(
                "sharpness",
                match at_large.blur_px {
                    Some(px) => format!(
                        "edges in the middle of the photo are blurred by {px:.1} px (1 SD; 0.6 is as sharp as a photo gets). Give --pupils to have the brows judged"
                    ),
                    None => "no edge stands out in the middle of the photo".to_owned(),
                },
            ),
            Judged::No(why) => line("sharpness", format!("not judged: {why}")),
        }
        format!("{}\n{text}", path.display())
    }

    fn lies(&self) -> String {
        let lies = self.file.orientation;
        let turned = match lies.quarter_turns() {
            0 => "",
            1 => "a quarter turn clockwise",
            2 => "half a turn",
            _ => "a quarter turn anticlockwise",
        };
        match (lies.is_mirrored(), turned) {
            (false, "") => String::new(),
            (false, turned) => format!(" (after {turned})"),
            (true, "") => " (after mirroring)".to_owned(),
            (true, turned) => format!(" (after mirroring and {turned})"),
        }
    }

    fn focal(&self) -> String {
        let Some(focal) = self.file.focal else {
            return "not in the file: the camera's distance stays unknown".to_owned();
        };
        let stated = match focal {
            FocalLength::Equivalent { mm } => format!("{mm:.0} mm (as on 36 x 24 mm)"),
            FocalLength::OnSensor { mm, .. } => format!("{mm:.1} mm on its sensor"),
        };
        let Some(optics) = self.file.optics(self.file.size().width) else {
            return format!(
                "{stated}, but the picture was cropped since: the camera's distance stays unknown"
            );
        };
        let far = match self.mm_per_px {
            Some(mm) => {
                let m = optics.distance_mm(mm) / 1000.0;
                let near = if m < 1.0 {
                    "; take it from 1 m or more"
                } else {
                    ""
                };
                format!(
                    "; at {mm:.3} mm per px the camera was {m:.2} ± {:.2} m away{near}",
                    2.0 * m * optics.relative_sd
                )
            }
            None => "; give --mm-per-px to have the camera's distance".to_owned(),
        };
        format!("{stated}, {:.0} px{far}", optics.focal_px)
    }

    fn json(&self, path: &Path) -> Value {
        let size = |s: Size| json!({ "width-px": s.width, "height-px": s.height });
        let file = &self.file;
        let optics = file.optics(file.size().width);
        let (brows, middle) = match &self.pixels {
            Judged::Brows(brows) => (
                json!({
                    "irises": {
                        "right": iris_json(&brows.irises.right),
                        "left": iris_json(&brows.irises.left),
                    },
                    "px-per-mm": brows.quality.px_per_mm,
                    "edge-mm": brows.quality.edge_mm(),
                    "light": {
                        "right": light_json(brows.quality.sides.right.as_ref()),
                        "left": light_json(brows.quality.sides.left.as_ref()),
                    },
                    "remarks": brows.quality.remarks.iter().map(|r| &r.sentence).collect::<Vec<_>>(),
                }),
                Value::Null,
            ),
            Judged::Middle(at_large) => (Value::Null, json!({ "blur-px": at_large.blur_px })),
            Judged::No(_) => (Value::Null, Value::Null),
        };
        json!({
            "file": path.display().to_string(),
            "kind": file.kind.name(),
            "upright": size(file.size()),
            "kept": size(file.kept().size),
            "orientation": file.orientation.exif(),
            "focal-px": optics.map(|o| o.focal_px),
            "camera-distance-mm": optics.zip(self.mm_per_px).map(|(o, mm)| o.distance_mm(mm)),
            "brows": brows,
            "middle": middle,
        })
    }
}
