//! `ophryon healed`: the healed brows in the client's later photo against what
//! was agreed.

use std::path::{Path, PathBuf};

use ophryon_agreement::Day;
use ophryon_frames::{Side, Sided};
use ophryon_photo::{NoPigment, measure_healed};
use ophryon_record::{HealedOutcome, LaidOver, MeasuredShare, NotLaid, Photo};
use ophryon_stencil::{SheetOptions, print_page, write_svg};
use serde_json::{Value, json};

use crate::Outcome;
use crate::client_file::{ClientFile, heading};
use crate::inspect_photo::{picture_of, pixels};
use crate::output;
use crate::trouble::Trouble;

/// What `ophryon healed` can be told.
#[derive(Debug, clap::Args)]
pub struct HealedOptions {
    /// The client's file, its photos beside it
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Print JSON instead of words
    #[arg(long)]
    json: bool,
    /// Write what is to be filled again at true size: .svg, or .html to print
    #[arg(long, value_name = "OUT")]
    touch_up: Option<PathBuf>,
    /// Write over a file of that name
    #[arg(long, requires = "touch_up")]
    replace: bool,
    /// The day that stands on it, such as 2027-05-03
    #[arg(long, value_name = "DAY")]
    made: Option<Day>,
}

/// Measures the healed brows.
pub fn run(options: &HealedOptions) -> Result<Outcome, Trouble> {
    let file = ClientFile::open(&options.file)?;
    let in_photos = |sentence: String| Trouble::Field {
        file: options.file.clone(),
        field: "photos".to_owned(),
        sentence,
    };
    let photo = file.record.healed_photo();
    let photo = photo.ok_or_else(|| in_photos(NotLaid::NoPhoto.to_string()))?;
    let laid = file.record.laid_over();
    let laid = laid.map_err(|why| in_photos(why.to_string()))?;
    let outcome = look(photo, &options.file, laid).map_err(in_photos)?;
    if let Some(out) = &options.touch_up {
        if !outcome.any_missing() {
            return Err(in_photos(
                "nothing larger than 1 mm² is missing, so there is no touch-up to write".to_owned(),
            ));
        }
        let sheet = file
            .record
            .touch_up_sheet(&outcome, &SheetOptions::default(), options.made)
            .map_err(|why| in_photos(why.to_string()))?;
        let is_page = out.extension().is_some_and(|e| e == "html");
        let text = if is_page {
            print_page(&sheet)
        } else {
            write_svg(&sheet)
        };
        output::may_write(out, "--touch-up", options.replace)?;
        output::write_whole(out, text.as_bytes()).map_err(|source| Trouble::Unwritable {
            file: out.clone(),
            source,
        })?;
    }
    let text = if options.json {
        format!("{:#}\n", in_json(&file, &outcome))
    } else {
        words(&file, &outcome)?
    };
    output::print(&text)?;
    Ok(Outcome::Done)
}

fn look(photo: &Photo, file: &Path, laid: LaidOver) -> Result<HealedOutcome, String> {
    let picture = picture_of(photo, file)?;
    let all = picture.as_ref().and_then(pixels);
    let all = all.ok_or("this kind of photo is looked at in the app only")?;
    let found = Sided::from_fn(|side| measure_healed(&all, &laid.search(side), &laid.band(side)));
    Ok(HealedOutcome::of(laid, &found))
}

fn words(file: &ClientFile, outcome: &HealedOutcome) -> Result<String, Trouble> {
    let mut text = heading(&file.report()?);
    text.push_str(&format!(
        "{}\n{}\n\n",
        outcome.headline(),
        outcome.fit_words()
    ));
    for (_, sentence) in outcome.sentences() {
        text.push_str(&sentence);
        text.push('\n');
    }
    Ok(text)
}

fn in_json(file: &ClientFile, outcome: &HealedOutcome) -> Value {
    let share = |s: MeasuredShare| json!({ "share": s.share, "sd": s.sd });
    let side = |side: Side| match outcome.sides.get(side) {
        Err(why) => json!({ "not-measured": NoPigment::to_string(why) }),
        Ok(one) => json!({
            "area": share(one.area),
            "thickness": share(one.thickness),
            "fifths": one.fifths.map(share),
            "darkness": share(one.darkness),
            "drawn-mm2": one.drawn_mm2,
            "spill-mm2": one.spill_mm2,
            "under-hair": one.under_hair,
            "missing": one.missing.iter().map(|m| json!({
                "part": m.part.name(),
                "patch": m.is_patch,
                "area-mm2": m.area_mm2,
                "place-sure": m.is_sure,
                "left": m.left,
            })).collect::<Vec<_>>(),
        }),
    };
    json!({
        "code": file.record.client.code,
        "photo": outcome.laid.photo,
        "against": outcome.laid.shape.words(),
        "residual-mm": outcome.laid.alignment.rms_mm,
        "right": side(Side::Right),
        "left": side(Side::Left),
        "evenness": outcome.evenness.iter().map(|row| json!({
            "place": row.place.name(),
            "planned-mm": row.planned_mm,
            "now-mm": row.now.mm,
            "sd-mm": row.now.sd,
        })).collect::<Vec<_>>(),
        "cautions": outcome.laid.cautions,
    })
}
