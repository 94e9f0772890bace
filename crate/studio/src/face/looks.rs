//! What a photo's bytes and pixels say. In a part of its own; see
//! [`crate::later`].

use ophryon_face::Scale;
use ophryon_photo::{
    BrowBand, Crop, FocalLength, Layout, PhotoError, PhotoFile, Pixels, Quality, RoughScale, Size,
    WeakEvidence, Weight, find_iris,
};
use ophryon_record::Optics;

use super::quality::{BrowsAt, Judged};
use super::snap::FoundIris;
use crate::device::pictures::{FileSays, Looks, Piece, PupilTap, PxSize, Turn};

/// All of it.
pub const LOOKS: Looks = Looks {
    read,
    turn,
    eye,
    iris,
    brows,
    judge,
};

fn read(bytes: &[u8], name: &str) -> Result<FileSays, String> {
    let file = PhotoFile::read(bytes).map_err(|e| e.sentence(name))?;
    let kept = file.kept();
    let stays = file.kind.stays() && !kept.is_smaller();
    Ok(FileSays {
        kept_as: stays.then(|| (file.kind.media_type(), file.plain(bytes))),
        width: kept.size.width,
        height: kept.size.height,
        is_larger: kept.is_smaller(),
        optics: optics(&file, kept.size.width),
        cannot_show: PhotoError::CannotShow { kind: file.kind }.sentence(name),
    })
}

/// As the record keeps it, for the kept size.
fn optics(file: &PhotoFile, width_px: u32) -> Option<Optics> {
    let known = file.optics(width_px)?;
    Some(match file.focal? {
        FocalLength::Equivalent { mm } => Optics::Equivalent { focal_mm: mm },
        FocalLength::OnSensor { .. } => Optics::Pixels {
            focal_px: known.focal_px,
        },
    })
}

fn turn(bytes: &[u8], (width, height): PxSize, name: &str) -> Result<Turn, String> {
    let told = |e: PhotoError| e.sentence(name);
    let file = PhotoFile::read(bytes).map_err(told)?;
    let still = file.still_to_turn(Size::new(width, height)).map_err(told)?;
    Ok((still.is_mirrored(), still.quarter_turns()))
}

fn rough(scale: Option<Scale>) -> RoughScale {
    scale.map_or(RoughScale::UNKNOWN, RoughScale::known)
}

fn eye(tap: PupilTap) -> Result<Piece, String> {
    let (width, height) = tap.photo;
    let crop = rough(tap.scale).crop(tap.at, Size::new(width, height));
    let crop = crop.ok_or_else(|| WeakEvidence::Outside.to_string())?;
    Ok(crop.into())
}

fn band(at: BrowsAt) -> Option<BrowBand> {
    BrowBand::new(at.pupils, at.px_per_mm)
}

fn brows(at: BrowsAt) -> Option<Piece> {
    let (width, height) = at.photo;
    Some(band(at)?.crop(Size::new(width, height))?.into())
}

fn judge(rgba: &[u8], piece: Piece, at: BrowsAt) -> Option<Judged> {
    let pixels = Pixels::of_crop(crop(piece), Layout::Rgba, rgba)?;
    let quality = Quality::of(&pixels, &band(at)?);
    let mut sentences: Vec<String> = quality
        .remarks
        .iter()
        .map(|remark| remark.sentence.clone())
        .collect();
    let take_again = quality
        .remarks
        .iter()
        .any(|remark| remark.weight == Weight::TakeAgain);
    if sentences.is_empty() {
        sentences.push(format!(
            "Sharp and well lit at the brows, {:.1} px a mm.",
            quality.px_per_mm
        ));
    }
    Some(Judged {
        take_again,
        sentences,
    })
}

fn crop(piece: Piece) -> Crop {
    Crop {
        left: piece.left,
        top: piece.top,
        size: Size::new(piece.width, piece.height),
    }
}

fn iris(rgba: &[u8], piece: Piece, tap: PupilTap) -> Result<FoundIris, String> {
    let pixels = Pixels::of_crop(crop(piece), Layout::Rgba, rgba)
        .ok_or_else(|| WeakEvidence::Outside.to_string())?;
    let found = find_iris(&pixels, tap.at, rough(tap.scale)).map_err(|weak| weak.to_string())?;
    Ok(FoundIris {
        centre: found.centre,
        radius_px: found.radius_px,
        sd_px: found.sd_px(),
    })
}
