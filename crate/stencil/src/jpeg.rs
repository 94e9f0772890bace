//! A picture that goes on paper as it is: JPEG, which PDF and SVG both hold
//! without decoding it.

use std::rc::Rc;

/// Largest picture, bytes: a paper with three is still sent by mail.
const MOST_BYTES: usize = 4 * 1024 * 1024;

/// A JPEG (ITU-T T.81) in grey or in colours of three parts.
#[derive(Clone, PartialEq, Eq)]
pub struct Jpeg {
    bytes: Rc<[u8]>,
    width_px: u16,
    height_px: u16,
    is_grey: bool,
}

impl std::fmt::Debug for Jpeg {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Jpeg({} x {} px)", self.width_px, self.height_px)
    }
}

impl Jpeg {
    /// Reads its head; `None` for what is no JPEG, is for printers (four
    /// colours) or is larger than a picture on paper has to be.
    pub fn read(bytes: Vec<u8>) -> Option<Self> {
        if bytes.len() > MOST_BYTES || bytes.get(..2)? != [0xff, 0xd8] {
            return None;
        }
        let two = |at: usize| {
            let both = bytes.get(at..at + 2)?;
            Some(u16::from_be_bytes([both[0], both[1]]))
        };
        let mut at = 2;
        loop {
            let [mark, kind] = [*bytes.get(at)?, *bytes.get(at + 1)?];
            if mark != 0xff {
                return None;
            }
            match kind {
                // Fill bytes before a marker (B.1.1.2).
                0xff => at += 1,
                // Baseline, extended and progressive frames (table B.1).
                0xc0..=0xc2 => {
                    let (height_px, width_px) = (two(at + 5)?, two(at + 7)?);
                    let is_grey = match *bytes.get(at + 9)? {
                        1 => true,
                        3 => false,
                        _ => return None,
                    };
                    let sound = *bytes.get(at + 4)? == 8 && width_px > 0 && height_px > 0;
                    return sound.then(|| Self {
                        bytes: bytes.into(),
                        width_px,
                        height_px,
                        is_grey,
                    });
                }
                // The picture itself begins, or ends, without a frame.
                0xd9 | 0xda => return None,
                _ => at += 2 + usize::from(two(at + 2)?.max(2)),
            }
        }
    }

    /// The file.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Width and height, px.
    pub const fn size_px(&self) -> (u16, u16) {
        (self.width_px, self.height_px)
    }

    /// Width by height.
    pub fn aspect(&self) -> f64 {
        f64::from(self.width_px) / f64::from(self.height_px)
    }

    /// Without colours.
    pub const fn is_grey(&self) -> bool {
        self.is_grey
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A frame head as T.81, B.2.2 lays it out, after an APP0 segment.
    fn head(parts: u8) -> Vec<u8> {
        let mut bytes = vec![0xff, 0xd8, 0xff, 0xe0, 0, 4, 1, 2, 0xff, 0xff];
        bytes.extend([0xc0, 0, 17, 8, 0, 30, 0, 40, parts, 1, 0x11, 0]);
        bytes
    }

    #[test]
    fn the_head_tells_size_and_colours() {
        let grey = Jpeg::read(head(1)).unwrap();
        assert_eq!((grey.size_px(), grey.is_grey()), ((40, 30), true));
        assert!(!Jpeg::read(head(3)).unwrap().is_grey());
    }

    #[test]
    fn what_is_no_picture_is_none() {
        assert_eq!(Jpeg::read(vec![]), None);
        assert_eq!(Jpeg::read(b"\x89PNG\r\n".to_vec()), None);
        assert_eq!(Jpeg::read(head(4)), None);
        for cut in 0..head(3).len() - 3 {
            assert_eq!(Jpeg::read(head(3)[..cut].to_vec()), None, "{cut}");
        }
        // Segments that claim to be empty still lead on to an end.
        assert_eq!(
            Jpeg::read([[0xff, 0xd8], [0xff, 0xe0], [0, 0]].concat()),
            None
        );
        let mut large = head(3);
        large.resize(MOST_BYTES + 1, 0);
        assert_eq!(Jpeg::read(large), None);
    }
}
