//! `ophryon hair`: the brow hair that is found in the client's photo, and how
//! the shape sits on it.

use std::path::{Path, PathBuf};

use ophryon_brow::HairFit;
use ophryon_frames::{Side, Sided, signed_area};
use ophryon_photo::{FoundHair, HairSearch, find_hair};
use ophryon_record::{Photo, Record, Report};
use serde_json::{Value, json};

use crate::Outcome;
use crate::client_file::{ClientFile, heading};
use crate::inspect_photo::{picture_of, pixels};
use crate::output;
use crate::table::{Column, number, table};
use crate::trouble::Trouble;

/// What `ophryon hair` can be told.
#[derive(Debug, clap::Args)]
pub struct HairOptions {
    /// The client's file, its photo beside it
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Print JSON instead of words
    #[arg(long)]
    json: bool,
}

/// Found, or why not.
type Hairs = Sided<Result<FoundHair, String>>;

/// Finds the hair of both brows in the design photo.
pub fn run(options: &HairOptions) -> Result<Outcome, Trouble> {
    let file = ClientFile::open(&options.file)?;
    let levelled = file.record.levelled();
    let levelled = levelled.map_err(|why| file.study_trouble(&why))?;
    let px_per_mm = 1.0 / levelled.scale().mm_per_px();
    let found = match file.record.design_photo() {
        Some(photo) => look(photo, &options.file, px_per_mm)?,
        None => Sided::from_fn(|_| Err("there is no photo".to_owned())),
    };
    // Drawn on the hair that was found here; the file stays as it is.
    let record = with_borders(&file.record, &found);
    let drawn = record.drawn();
    let fits = drawn.map_or_else(|_| Sided::default(), |drawn| drawn.hair_fit);
    let text = if options.json {
        let sides = found.iter().map(|(side, hair)| {
            (
                side.name().to_owned(),
                in_json(hair, px_per_mm, fits.get(side).as_ref()),
            )
        });
        let all = json!({
            "code": file.record.client.code,
            "px-per-mm": px_per_mm,
            "brows": sides.collect::<serde_json::Map<String, Value>>(),
        });
        format!("{all:#}\n")
    } else {
        words(&file, &found, &fits)?
    };
    output::print(&text)?;
    Ok(Outcome::Done)
}

fn look(photo: &Photo, file: &Path, px_per_mm: f64) -> Result<Hairs, Trouble> {
    let trouble = |sentence: String| Trouble::Field {
        file: file.to_owned(),
        field: "photos".to_owned(),
        sentence,
    };
    let picture = picture_of(photo, file).map_err(trouble)?;
    let Some(all) = picture.as_ref().and_then(pixels) else {
        let why = "this kind of photo is looked at in the app only";
        return Ok(Sided::from_fn(|_| Err(why.to_owned())));
    };
    Ok(Sided::from_fn(|side| {
        let search = HairSearch::of_landmarks(&photo.landmarks, side, px_per_mm);
        let search = search.map_err(|why| why.to_string())?;
        find_hair(&all, &search).map_err(|why| why.to_string())
    }))
}

/// With the largest piece of hair of each brow as its border.
fn with_borders(record: &Record, found: &Hairs) -> Record {
    let mut record = record.clone();
    let design = record.design_photo().map(|p| p.id.clone());
    let photo = record
        .photos
        .iter_mut()
        .find(|p| Some(&p.id) == design.as_ref());
    if let Some(photo) = photo {
        for (side, hair) in found.iter() {
            if let Some(ring) = hair.as_ref().ok().and_then(|h| h.border.first()) {
                photo.hair.get_mut(side).clone_from(ring);
            }
        }
    }
    record
}

/// What the camera sees of it, mm².
fn seen_mm2(hair: &FoundHair, px_per_mm: f64) -> f64 {
    let all: f64 = hair.border.iter().map(|ring| signed_area(ring)).sum();
    all.abs() / (px_per_mm * px_per_mm)
}

fn words(
    file: &ClientFile,
    found: &Hairs,
    fits: &Sided<Option<HairFit>>,
) -> Result<String, Trouble> {
    let mut text = match file.report() {
        Ok(report) => heading(&report),
        Err(_) => format!("Client {}\n", file.record.client.code),
    };
    for (side, hair) in found.iter() {
        let said = match hair {
            Ok(hair) => {
                let sure = hair.remark.map_or("It stands out well.", |r| r.sentence());
                let pieces = match hair.border.len() {
                    1 => "found in one piece".to_owned(),
                    n => format!("found, its border in {n} lines"),
                };
                format!("{pieces}. {sure}")
            }
            Err(why) => format!("not found: {why}."),
        };
        text.push_str(&format!(
            "Hair of the client's {} brow: {said}\n",
            side.name()
        ));
    }
    text.push_str(&areas(fits, ""));
    Ok(text)
}

fn in_json(hair: &Result<FoundHair, String>, px_per_mm: f64, fit: Option<&HairFit>) -> Value {
    match hair {
        Ok(hair) => json!({
            "border-px": hair.border,
            "seen-mm2": seen_mm2(hair, px_per_mm),
            "standard-deviations-from-skin": hair.apart,
            "remark": hair.remark.map(|r| r.sentence()),
            "on-skin": fit,
        }),
        Err(why) => json!({ "not-found": why }),
    }
}

/// The table of a report's natural hair; empty where nothing is known of it.
/// Where no border was traced it is the tapped points that were joined, which
/// is said.
pub fn of_report(report: &Report, record: &Record) -> String {
    let photo = record.design_photo();
    let rough = |side: Side| {
        report.hair.get(side).is_some() && photo.is_none_or(|p| p.hair.get(side).is_empty())
    };
    let basis = match (rough(Side::Right), rough(Side::Left)) {
        (false, false) => "",
        (true, true) => " (from the tapped points, rough; ophryon hair finds it)",
        (true, false) => {
            " (the client's right from the tapped points, rough; ophryon hair finds it)"
        }
        (false, true) => {
            " (the client's left from the tapped points, rough; ophryon hair finds it)"
        }
    };
    areas(&report.hair, basis)
}

fn areas(fits: &Sided<Option<HairFit>>, basis: &str) -> String {
    if Side::BOTH.into_iter().all(|side| fits.get(side).is_none()) {
        return String::new();
    }
    let row = |name: &str, read: fn(&HairFit) -> f64| {
        let cell = |side: Side| {
            let fit = fits.get(side).as_ref();
            fit.map_or_else(|| "not known".to_owned(), |fit| number(read(fit)))
        };
        vec![name.to_owned(), cell(Side::Right), cell(Side::Left)]
    };
    let rows = [
        row("hair in all, mm²", |f| f.inside_mm2 + f.outside_mm2),
        row("hair inside the shape, mm²", |f| f.inside_mm2),
        row("hair outside, to clean, mm²", |f| f.outside_mm2),
        row("bare skin inside, to fill, mm²", |f| f.bare_mm2),
        row("largest step beyond the hair, mm", |f| f.largest_step_mm),
    ];
    let columns = [
        ("", Column::Words),
        ("client's right", Column::Numbers),
        ("client's left", Column::Numbers),
    ];
    format!(
        "\nThe natural hair, on skin{basis}\n{}",
        table(&columns, &rows)
    )
}
