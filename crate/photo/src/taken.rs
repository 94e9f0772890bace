//! When a photo was taken, by the camera's own clock.

use std::fmt;

/// Date and time as the camera's clock had them, without a time zone.
/// Displayed as ISO 8601: `2026-03-14T09:30:00`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Taken {
    /// 1900 to 2999.
    pub year: u16,
    /// 1 to 12.
    pub month: u8,
    /// 1 to 31.
    pub day: u8,
    /// 0 to 23.
    pub hour: u8,
    /// 0 to 59.
    pub minute: u8,
    /// 0 to 60, which a leap second has.
    pub second: u8,
}

impl Taken {
    /// From EXIF's `YYYY:MM:DD HH:MM:SS`; cameras without a set clock write
    /// blanks or zeros, which are no date.
    pub fn read(text: &[u8]) -> Option<Self> {
        let part = |from: usize, to: usize| -> Option<u16> {
            let digits = text.get(from..to)?;
            digits.iter().try_fold(0_u16, |n, d| {
                d.is_ascii_digit().then(|| n * 10 + u16::from(d - b'0'))
            })
        };
        let small = |from, least, most| {
            let n = u8::try_from(part(from, from + 2)?).ok()?;
            (least..=most).contains(&n).then_some(n)
        };
        let year = part(0, 4).filter(|y| (1900..3000).contains(y))?;
        Some(Self {
            year,
            month: small(5, 1, 12)?,
            day: small(8, 1, 31)?,
            hour: small(11, 0, 23)?,
            minute: small(14, 0, 59)?,
            second: small(17, 0, 60)?,
        })
    }
}

impl fmt::Display for Taken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:04}-{:02}-{:02}T{:02}:{:02}:{:02}",
            self.year, self.month, self.day, self.hour, self.minute, self.second
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_that_was_never_set_gives_no_date() {
        let read = |t: &str| Taken::read(t.as_bytes()).map(|t| t.to_string());
        let good = read("2026:03:14 09:30:05\0");
        assert_eq!(good.as_deref(), Some("2026-03-14T09:30:05"));
        assert_eq!(read("0000:00:00 00:00:00\0"), None);
        assert_eq!(read("    :  :     :  :  \0"), None);
        assert_eq!(read("2026:03:14"), None);
    }
}
