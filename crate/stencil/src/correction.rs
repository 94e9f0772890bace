//! What a printer gets wrong, taken out of the sheet before it is printed.

use ophryon_frames::{Page, Point};

use crate::gauge::GAUGE_MM;
use crate::heading::HEAD_END_MM;
use crate::lettering::{clean, fit, width_mm};
use crate::page::MARGIN_MM;
use crate::sheet::{Group, Letters};
use crate::{Mark, Sheet};

/// Beyond this share of 100 mm it is the print dialog that scaled, as a rule,
/// and not the printer (common practice, no source).
const DOUBTFUL: f64 = 0.03;

/// Beyond this share no printer that was told 100 % can be; and a sheet
/// stretched by more would leave its paper.
const ABSURD: f64 = 0.08;

/// Most letters of a printer's name on a sheet, in sizes.
const LONGEST_NAME: f64 = 20.0;

/// Factors that the drawing is stretched by so that a printer's own error
/// brings it back to true size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correction {
    x: f64,
    y: f64,
}

/// One of the two gauges of a check page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Axis {
    /// Across the page.
    Horizontal,
    /// Down the page.
    Vertical,
}

/// Why readings can't be used.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CorrectionError {
    /// Zero, negative or no number.
    #[error("the {} gauge can't read {read_mm} mm; lay a ruler along it and give what it reads, about 100 mm", .axis.name())]
    NoLength {
        /// The gauge.
        axis: Axis,
        /// As given.
        read_mm: f64,
    },
    /// Farther off than a printer can be.
    #[error("a {} gauge of {read_mm} mm is farther off than any printer told to print at 100 %; switch off “fit to page”, print the check page again, and give the reading in mm", .axis.name())]
    Absurd {
        /// The gauge.
        axis: Axis,
        /// As given.
        read_mm: f64,
    },
}

impl Axis {
    /// "horizontal" or "vertical".
    pub const fn name(self) -> &'static str {
        match self {
            Self::Horizontal => "horizontal",
            Self::Vertical => "vertical",
        }
    }
}

impl Correction {
    /// From what a ruler reads on both gauges of an uncorrected print, mm.
    ///
    /// # Errors
    /// [`CorrectionError`], when a reading can't come from a printer.
    pub fn from_gauges(horizontal_mm: f64, vertical_mm: f64) -> Result<Self, CorrectionError> {
        let factor = |axis: Axis, read_mm: f64| {
            if !read_mm.is_finite() || read_mm <= 0.0 {
                Err(CorrectionError::NoLength { axis, read_mm })
            } else if off(read_mm) > ABSURD + 1e-9 {
                Err(CorrectionError::Absurd { axis, read_mm })
            } else {
                Ok(GAUGE_MM / read_mm)
            }
        };
        Ok(Self {
            x: factor(Axis::Horizontal, horizontal_mm)?,
            y: factor(Axis::Vertical, vertical_mm)?,
        })
    }

    /// Factor across the page.
    pub const fn x(&self) -> f64 {
        self.x
    }

    /// Factor down the page.
    pub const fn y(&self) -> f64 {
        self.y
    }

    /// What to ask before such readings are believed: more than 3 % off is
    /// "fit to page" more often than it is the printer.
    pub fn question(&self) -> Option<String> {
        let readings = [
            (Axis::Horizontal, GAUGE_MM / self.x),
            (Axis::Vertical, GAUGE_MM / self.y),
        ];
        let (axis, read_mm) = readings
            .into_iter()
            .filter(|(_, read_mm)| off(*read_mm) > DOUBTFUL + 1e-9)
            .max_by(|a, b| off(a.1).total_cmp(&off(b.1)))?;
        Some(format!(
            "the {} gauge reads {read_mm:.1} mm, {:.1} % off: was “fit to page” on? Switch it \
             off, print the check page again at 100 % and measure again",
            axis.name(),
            off(read_mm) * 100.0
        ))
    }

    /// "102.8 % across, 101.1 % down".
    pub fn in_words(&self) -> String {
        format!(
            "{:.1} % across, {:.1} % down",
            self.x * 100.0,
            self.y * 100.0
        )
    }
}

/// How far off a reading is, as a share of what it should be.
fn off(read_mm: f64) -> f64 {
    (read_mm / GAUGE_MM - 1.0).abs()
}

impl Sheet {
    /// The same sheet for one printer: stretched about the middle of the page
    /// so that it comes out of that printer at true size, and saying so.
    ///
    /// Such a sheet is not of true size itself: it has no
    /// [`placing`](Sheet::placing), and can't be cut or corrected once more.
    pub fn corrected(&self, correction: Correction, printer: &str) -> Self {
        let mut sheet = self.clone();
        let printer = fit(&clean(printer), 1.0, LONGEST_NAME);
        let words = format!(
            "CORRECTED for “{printer}” ({}): print on no other printer",
            correction.in_words()
        );
        let mut note = Group::new("correction");
        // Bold letters are about a tenth wider; a long name makes them smaller.
        let room_mm = (sheet.paper.width_mm() - 2.0 * MARGIN_MM) / 1.1;
        let size_mm = [3.2, 2.8, 2.4]
            .into_iter()
            .find(|size| width_mm(&words, *size) <= room_mm)
            .unwrap_or(2.1);
        let set = Letters::plain(size_mm).bold();
        note.write(
            Point::new(MARGIN_MM, HEAD_END_MM + 2.0),
            set,
            fit(&words, size_mm, room_mm),
        );
        sheet.groups.push(note);
        sheet.title = format!("{}, corrected for {printer}", sheet.title);
        sheet.placing = None;

        let (width, height) = (sheet.paper.width_mm(), sheet.paper.height_mm());
        let middle = Point::<Page>::new(width / 2.0, height / 2.0);
        let stretch = |p: &mut Point<Page>| {
            *p = Point::new(
                middle.x + (p.x - middle.x) * correction.x,
                middle.y + (p.y - middle.y) * correction.y,
            );
        };
        for item in sheet.groups.iter_mut().flat_map(|group| &mut group.items) {
            match &mut item.mark {
                Mark::Outline { start, cubics, .. } => {
                    stretch(start);
                    cubics.iter_mut().flatten().for_each(stretch);
                }
                Mark::Lines { lines, .. } => lines.iter_mut().flatten().for_each(stretch),
                Mark::Bars { bars } => bars.iter_mut().flatten().for_each(stretch),
                Mark::Frame { corners, .. } => corners.iter_mut().for_each(stretch),
                Mark::Words { at, .. } => stretch(at),
            }
        }
        sheet
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Paper, SheetContent, distances, example, lay_out, lay_out_distances};

    /// 1 / 0.973 = 1.027749 and 1 / 0.989 = 1.011122.
    #[test]
    fn factors_undo_what_the_ruler_read() {
        let found = Correction::from_gauges(97.3, 98.9).unwrap();
        assert!((found.x() - 1.027_749).abs() < 1e-6 && (found.y() - 1.011_122).abs() < 1e-6);
        assert_eq!(found.question(), None);
        assert_eq!(found.in_words(), "102.8 % across, 101.1 % down");
    }

    #[test]
    fn readings_no_printer_makes_are_refused_in_words() {
        let said = |h, v| Correction::from_gauges(h, v).unwrap_err().to_string();
        assert!(said(0.0, 100.0).contains("the horizontal gauge can't read 0 mm"));
        assert!(said(100.0, -3.0).contains("the vertical gauge can't read -3 mm"));
        assert!(said(f64::NAN, 100.0).contains("can't read NaN mm"));
        assert!(said(100.0, f64::INFINITY).contains("can't read inf mm"));
        // In cm, and from a ruler in inches.
        assert!(said(9.73, 98.9).contains("give the reading in mm"));
        assert!(said(97.3, 3.9).contains("vertical gauge of 3.9 mm is farther off"));
        assert!(said(91.9, 100.0).contains("fit to page"));
        assert!(Correction::from_gauges(92.0, 108.0).is_ok());
    }

    #[test]
    fn more_than_three_percent_off_asks_about_fit_to_page() {
        let asked = |h, v| Correction::from_gauges(h, v).unwrap().question();
        assert_eq!(asked(97.0, 103.0), None);
        let question = asked(96.9, 94.0).unwrap();
        assert!(question.starts_with("the vertical gauge reads 94.0 mm, 6.0 % off: was “fit"));
        assert!(asked(103.1, 100.0).unwrap().contains("horizontal"));
    }

    #[test]
    fn the_longest_name_leaves_the_note_on_one_line_with_its_warning() {
        let sheet = lay_out(&example::content()).unwrap();
        let most = Correction::from_gauges(92.0, 92.0).unwrap();
        let stretched = sheet.corrected(most, &"W".repeat(300));
        let note = stretched.groups().last().unwrap();
        let Mark::Words { words, size_mm, .. } = &note.items[0].mark else {
            panic!("no words");
        };
        assert!(words.contains('…') && words.ends_with("print on no other printer"));
        assert!(width_mm(words, *size_mm) * 1.1 <= 184.0);
    }

    #[test]
    fn the_most_stretched_sheet_stays_on_its_paper_and_says_what_it_is() {
        let most = Correction::from_gauges(92.0, 92.0).unwrap();
        for paper in Paper::LARGE {
            let content = example::on(paper);
            let measures = distances(&example::measures());
            for sheet in [
                lay_out(&content).unwrap(),
                lay_out_distances(&measures, &content.caption, paper),
            ] {
                let stretched = sheet.corrected(most, "the copier\nin the hall");
                let items = stretched.groups().iter().flat_map(|g| &g.items);
                for item in items {
                    let places: Vec<Point<Page>> = match &item.mark {
                        Mark::Outline { start, cubics, .. } => std::iter::once(*start)
                            .chain(cubics.iter().flatten().copied())
                            .collect(),
                        Mark::Lines { lines: pairs, .. } | Mark::Bars { bars: pairs } => {
                            pairs.iter().flatten().copied().collect()
                        }
                        Mark::Frame { corners, .. } => corners.to_vec(),
                        Mark::Words { at, .. } => vec![*at],
                    };
                    for p in places {
                        assert!(p.x > 1.0 && p.x < paper.width_mm() - 1.0, "{p:?}");
                        assert!(p.y > 1.0 && p.y < paper.height_mm() - 1.0, "{p:?}");
                    }
                }
                let said: Vec<_> = stretched.words().collect();
                let note = said.iter().find(|w| w.starts_with("CORRECTED")).unwrap();
                assert!(note.contains("“the copier in the hall”") && note.ends_with("printer"));
                assert!(stretched.placing().is_none());
                assert!(stretched.title().contains("corrected for the copier"));
            }
        }
    }
}
