//! What a photo's bytes and pixels say. In a part of its own; see
//! [`crate::later`].

use ophryon_photo::{FocalLength, PhotoError, PhotoFile, Size};
use ophryon_record::Optics;

use crate::device::pictures::{FileSays, Looks, Turn};

/// All of it.
pub const LOOKS: Looks = Looks { read, turn };

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

fn turn(bytes: &[u8], (width, height): (u32, u32), name: &str) -> Result<Turn, String> {
    let told = |e: PhotoError| e.sentence(name);
    let file = PhotoFile::read(bytes).map_err(told)?;
    let still = file.still_to_turn(Size::new(width, height)).map_err(told)?;
    Ok((still.is_mirrored(), still.quarter_turns()))
}
