//! What a photo's bytes and pixels say. In a part of its own; see
//! [`crate::later`].

use ophryon_face::Scale;
use ophryon_photo::{
    Crop, FocalLength, Layout, PhotoError, PhotoFile, Pixels, RoughScale, Size, WeakEvidence,
    find_iris,
};
use ophryon_record::Optics;

use super::snap::FoundIris;
use crate::device::pictures::{FileSays, Looks, Piece, PupilTap, PxSize, Turn};

/// All of it.
pub const LOOKS: Looks = Looks {
    read,
    turn,
    eye,
    iris,
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
    Ok(Piece {
        left: crop.left,
        top: crop.top,
        width: crop.size.width,
        height: crop.size.height,
    })
}

fn iris(rgba: &[u8], piece: Piece, tap: PupilTap) -> Result<FoundIris, String> {
    let crop = Crop {
        left: piece.left,
        top: piece.top,
        size: Size::new(piece.width, piece.height),
    };
    let pixels = Pixels::of_crop(crop, Layout::Rgba, rgba)
        .ok_or_else(|| WeakEvidence::Outside.to_string())?;
    let found = find_iris(&pixels, tap.at, rough(tap.scale)).map_err(|weak| weak.to_string())?;
    Ok(FoundIris {
        centre: found.centre,
        radius_px: found.radius_px,
        sd_px: found.sd_px(),
    })
}
