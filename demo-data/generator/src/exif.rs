//! What a camera writes into its files: EXIF, as a TIFF block, least
//! significant byte first.
//!
//! Source: CIPA DC-008 (Exif 2.32); TIFF 6.0.

use crate::camera::Camera;

/// Diagonal of a frame of 36 x 24 mm, which equivalent focal lengths are for.
const FRAME_DIAGONAL: f64 = 43.266_615;

/// How a picture is stored, and what is told of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exif {
    /// 1 to 8: how it lies.
    pub orientation: u16,
    /// For the same view on a frame of 36 x 24 mm, by the diagonal, whole mm.
    pub focal_35mm: u16,
    /// By the camera's clock, `YYYY:MM:DD HH:MM:SS`.
    pub taken: &'static str,
}

impl Exif {
    /// What is true of a camera, for an upright picture.
    pub fn of(camera: &Camera, taken: &'static str) -> Self {
        let (w, h) = camera.size;
        let diagonal = libm::hypot(f64::from(w), f64::from(h));
        Self {
            orientation: 1,
            focal_35mm: (camera.focal / diagonal * FRAME_DIAGONAL + 0.5) as u16,
            taken,
        }
    }

    /// The TIFF block for a picture stored in this size.
    pub fn tiff(&self, (width, height): (u32, u32)) -> Vec<u8> {
        const SHORT: u16 = 3;
        const LONG: u16 = 4;
        const ASCII: u16 = 2;
        const UNDEFINED: u16 = 7;
        let short = |v: u16| u32::from(v);
        let inner_at = 8 + 2 + 2 * 12 + 4;
        let text_at = inner_at + 2 + 5 * 12 + 4;
        let version = u32::from_le_bytes(*b"0232");
        let directory = |entries: &[(u16, u16, u32, u32)]| {
            let mut out = (entries.len() as u16).to_le_bytes().to_vec();
            for (tag, kind, count, value) in entries {
                out.extend(tag.to_le_bytes());
                out.extend(kind.to_le_bytes());
                out.extend(count.to_le_bytes());
                out.extend(value.to_le_bytes());
            }
            out.extend([0; 4]);
            out
        };
        let mut out = b"II\x2A\0\x08\0\0\0".to_vec();
        out.extend(directory(&[
            (0x0112, SHORT, 1, short(self.orientation)),
            (0x8769, LONG, 1, inner_at),
        ]));
        out.extend(directory(&[
            (0x9000, UNDEFINED, 4, version),
            (0x9003, ASCII, 20, text_at),
            (0xA002, LONG, 1, width),
            (0xA003, LONG, 1, height),
            (0xA405, SHORT, 1, short(self.focal_35mm)),
        ]));
        out.extend(self.taken.as_bytes());
        out.push(0);
        out
    }
}
