//! Whether a photo is an image of the size that the client's file states.

use std::fs::File;
use std::io::{BufRead, BufReader, Cursor, Seek};
use std::path::Path;

use image::metadata::Orientation;
use image::{ImageDecoder, ImageError, ImageFormat, ImageReader};
use ophryon_record::{Image, Photo};

use crate::trouble::unreadable;

/// A field below the photo, and what is wrong with it.
type Fault = (&'static str, String);

/// Looks at the image's header; `beside` is the folder of the client's file.
pub fn check(photo: &Photo, beside: &Path) -> Result<(), Fault> {
    if photo.erased {
        return Ok(());
    }
    let (field, shown, size) = match &photo.image {
        Image::File { name } => {
            let fault = |error| {
                let why = unreadable(&error, "the photo, which belongs beside the client's file");
                ("image.name", format!("“{name}”: {why}"))
            };
            let path = beside.join(name);
            if path.is_dir() {
                let why = format!("“{name}” is a folder; put the photo beside the client's file");
                return Err(("image.name", why));
            }
            let file = File::open(path).map_err(fault)?;
            (
                "image.name",
                format!("“{name}”"),
                size(BufReader::new(file)),
            )
        }
        Image::Embedded { .. } => {
            let bytes = photo.image.bytes().ok_or_else(|| {
                let why = "this is not base64; it may be cut off, so save the client again";
                ("image.base64", why.to_owned())
            })?;
            let shown = format!("the photo “{}”", photo.id);
            ("image.base64", shown, size(Cursor::new(bytes)))
        }
    };
    let (width_px, height_px) = size.map_err(|_| {
        let why = format!("{shown} is no JPEG or PNG image; bring the photo again");
        (field, why)
    })?;
    if (width_px, height_px) == (photo.width_px, photo.height_px) {
        return Ok(());
    }
    let wrong = if width_px == photo.width_px {
        "height-px"
    } else {
        "width-px"
    };
    Err((
        wrong,
        format!(
            "{shown} is {width_px} x {height_px} px and the file says {} x {}; bring the photo the landmarks were tapped in",
            photo.width_px, photo.height_px
        ),
    ))
}

/// Width and height after EXIF orientation, from the header alone.
fn size(bytes: impl BufRead + Seek) -> Result<(u32, u32), ImageError> {
    let mut reader = ImageReader::new(bytes).with_guessed_format()?;
    if !matches!(reader.format(), Some(ImageFormat::Jpeg | ImageFormat::Png)) {
        reader.clear_format();
    }
    let mut decoder = reader.into_decoder()?;
    let turned = matches!(
        decoder.orientation()?,
        Orientation::Rotate90
            | Orientation::Rotate270
            | Orientation::Rotate90FlipH
            | Orientation::Rotate270FlipH
    );
    let (width, height) = decoder.dimensions();
    Ok(if turned {
        (height, width)
    } else {
        (width, height)
    })
}
