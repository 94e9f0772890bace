//! The few tags of EXIF that the work needs: how the picture lies, the focal
//! length, when it was taken. Nothing else is read, and so nothing else can be
//! kept or shown: no place, no owner, no camera.
//!
//! Read here rather than by a crate: kamadak-exif adds 20 kB compressed to the
//! app, and it is the walk through the container, needed anyway, that is most
//! of the work. The tests read the same files with it.
//!
//! Source: CIPA DC-008 (Exif 2.32); TIFF 6.0, section 2.

use crate::bytes::Order;
use crate::orientation::Orientation;
use crate::taken::Taken;
use crate::{FocalLength, Size};

/// What was found; all of it may be missing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Tags {
    pub orientation: Option<Orientation>,
    pub focal: Option<FocalLength>,
    pub taken: Option<Taken>,
    /// Size that the camera wrote: another one means cropped or scaled later.
    pub written_as: Option<Size>,
}

/// Entries looked at in one directory; cameras write some 60.
const MOST_ENTRIES: u16 = 1000;

/// Equivalent focal lengths that exist, mm.
const EQUIVALENT_MM: std::ops::RangeInclusive<f64> = 5.0..=3000.0;
/// Focal lengths that exist, mm: from a phone's to a large camera's.
const REAL_MM: std::ops::RangeInclusive<f64> = 0.5..=3000.0;

/// One entry of a directory.
struct Entry {
    tag: u16,
    kind: u16,
    count: u32,
    /// Where the value, or its offset, stands.
    at: usize,
}

struct Tiff<'a> {
    bytes: &'a [u8],
    order: Order,
}

impl Tags {
    /// From a TIFF block, as EXIF is stored. What can't be read counts as
    /// missing: a photo with damaged EXIF is still a photo.
    pub fn read(bytes: &[u8]) -> Self {
        Self::try_read(bytes).unwrap_or_default()
    }

    fn try_read(bytes: &[u8]) -> Option<Self> {
        let order = match bytes.get(..2)? {
            b"MM" => Order::Big,
            b"II" => Order::Little,
            _ => return None,
        };
        let tiff = Tiff { bytes, order };
        if order.u16(bytes, 2)? != 42 {
            return None;
        }
        let mut tags = Self::default();
        let mut written_later = None;
        let mut inner = None;
        tiff.each(order.u32(bytes, 4)?, |e| match e.tag {
            0x0112 => {
                let number = tiff.whole(e).and_then(|n| u16::try_from(n).ok());
                tags.orientation = number.and_then(Orientation::from_exif);
            }
            0x0132 => written_later = tiff.text(e).and_then(Taken::read),
            0x8769 => inner = tiff.whole(e),
            _ => {}
        });
        let mut exif = Shot::default();
        if let Some(at) = inner {
            tiff.each(at, |e| exif.look(&tiff, e));
        }
        tags.taken = exif.taken.or(written_later);
        tags.written_as = match (exif.width, exif.height) {
            (Some(w), Some(h)) if w > 0 && h > 0 => Some(Size::new(w, h)),
            _ => None,
        };
        tags.focal = exif.focal();
        Some(tags)
    }
}

/// What the inner directory says of the shot.
#[derive(Default)]
struct Shot {
    taken: Option<Taken>,
    equivalent: Option<u32>,
    length: Option<f64>,
    per_unit: Option<f64>,
    unit: Option<u32>,
    width: Option<u32>,
    height: Option<u32>,
}

impl Shot {
    fn look(&mut self, tiff: &Tiff<'_>, e: &Entry) {
        match e.tag {
            0x9003 => self.taken = tiff.text(e).and_then(Taken::read),
            0xA405 => self.equivalent = tiff.whole(e),
            0x920A => self.length = tiff.ratio(e),
            0xA20E => self.per_unit = tiff.ratio(e),
            0xA210 => self.unit = tiff.whole(e),
            0xA002 => self.width = tiff.whole(e),
            0xA003 => self.height = tiff.whole(e),
            _ => {}
        }
    }

    fn focal(&self) -> Option<FocalLength> {
        if let Some(mm) = self.equivalent.map(f64::from)
            && EQUIVALENT_MM.contains(&mm)
        {
            return Some(FocalLength::Equivalent { mm });
        }
        let mm = self.length.filter(|mm| REAL_MM.contains(mm))?;
        // Inch, the default, and cm are the standard's; mm and µm are found too.
        let unit_mm = match self.unit {
            None | Some(2) => 25.4,
            Some(3) => 10.0,
            Some(4) => 1.0,
            Some(5) => 0.001,
            Some(_) => return None,
        };
        let px_per_mm = self.per_unit? / unit_mm;
        // From 50 µm to 0.3 µm a pixel: no sensor lies outside.
        (20.0..=3300.0)
            .contains(&px_per_mm)
            .then_some(FocalLength::OnSensor { mm, px_per_mm })
    }
}

impl<'a> Tiff<'a> {
    /// Each entry of the directory at a place.
    fn each(&self, at: u32, mut look: impl FnMut(&Entry)) {
        let at = at as usize;
        let Some(count) = self.order.u16(self.bytes, at) else {
            return;
        };
        for i in 0..usize::from(count.min(MOST_ENTRIES)) {
            let at = at.saturating_add(2 + 12 * i);
            let found = (|| {
                Some(Entry {
                    tag: self.order.u16(self.bytes, at)?,
                    kind: self.order.u16(self.bytes, at + 2)?,
                    count: self.order.u32(self.bytes, at + 4)?,
                    at: at + 8,
                })
            })();
            match found {
                Some(entry) => look(&entry),
                None => return,
            }
        }
    }

    /// A whole number: SHORT or LONG.
    fn whole(&self, e: &Entry) -> Option<u32> {
        match (e.kind, e.count) {
            (3, 1) => self.order.u16(self.bytes, e.at).map(u32::from),
            (4, 1) => self.order.u32(self.bytes, e.at),
            _ => None,
        }
    }

    /// The first RATIONAL.
    fn ratio(&self, e: &Entry) -> Option<f64> {
        if e.kind != 5 || e.count == 0 {
            return None;
        }
        let at = self.order.u32(self.bytes, e.at)? as usize;
        let over = self.order.u32(self.bytes, at)?;
        let under = self.order.u32(self.bytes, at.checked_add(4)?)?;
        (under > 0).then(|| f64::from(over) / f64::from(under))
    }

    /// ASCII up to its end.
    fn text(&self, e: &Entry) -> Option<&'a [u8]> {
        let count = e.count as usize;
        if e.kind != 2 || !(5..=64).contains(&count) {
            return None;
        }
        let at = self.order.u32(self.bytes, e.at)? as usize;
        self.bytes.get(at..at.checked_add(count)?)
    }
}
