//! What a printer gets wrong, taken out of the sheet before it is printed.

use ophryon_frames::{Page, Point};

use crate::lettering::{clean, fit};
use crate::sheet::{Group, Letters};
use crate::{GaugeLengths, Mark, Paper, Sheet};

/// Beyond this share of 100 mm it is the print dialog that scaled, as a rule,
/// and not the printer (common practice, no source).
const DOUBTFUL: f64 = 0.03;

/// Beyond this share no printer that was told 100 % can be; and a sheet
/// stretched by more would leave its paper.
const ABSURD: f64 = 0.08;

/// Nothing is drawn nearer to the edge of a corrected page than this, mm.
const EDGE_MM: f64 = 0.5;

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
    #[error("the {} gauge can't read {read_mm} mm; lay a ruler along it and give what it reads, about {drawn_mm:.0} mm", .axis.name())]
    NoLength {
        /// The gauge.
        axis: Axis,
        /// Its length as drawn, mm.
        drawn_mm: f64,
        /// As given.
        read_mm: f64,
    },
    /// Farther off than a printer can be.
    #[error("the {} gauge of {drawn_mm:.0} mm reads {read_mm}, farther off than any printer told to print at 100 %; switch off “fit to page”, print the check page again, and give the reading in mm", .axis.name())]
    Absurd {
        /// The gauge.
        axis: Axis,
        /// Its length as drawn, mm.
        drawn_mm: f64,
        /// As given.
        read_mm: f64,
    },
    /// No room to stretch.
    #[error("corrected for that printer ({percent:.1} %), the drawing would run off {} paper; use larger paper, or find out why the printer is so far off", .paper.name())]
    OffThePaper {
        /// The paper.
        paper: Paper,
        /// Stretched to that share, per cent.
        percent: f64,
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
    /// From what a ruler reads on both gauges of an uncorrected print, mm,
    /// where both are 100 mm long.
    ///
    /// # Errors
    /// [`CorrectionError`], when a reading can't come from a printer.
    pub fn from_gauges(horizontal_mm: f64, vertical_mm: f64) -> Result<Self, CorrectionError> {
        Self::from_readings(GaugeLengths::FULL, horizontal_mm, vertical_mm)
    }

    /// The same with gauges of other lengths, as on small paper:
    /// [`Sheet::gauges`].
    ///
    /// # Errors
    /// [`CorrectionError`], when a reading can't come from a printer.
    pub fn from_readings(
        drawn: GaugeLengths,
        horizontal_mm: f64,
        vertical_mm: f64,
    ) -> Result<Self, CorrectionError> {
        let factor = |axis: Axis, drawn_mm: f64, read_mm: f64| {
            if !read_mm.is_finite() || read_mm <= 0.0 {
                Err(CorrectionError::NoLength {
                    axis,
                    drawn_mm,
                    read_mm,
                })
            } else if off(read_mm / drawn_mm) > ABSURD + 1e-9 {
                Err(CorrectionError::Absurd {
                    axis,
                    drawn_mm,
                    read_mm,
                })
            } else {
                Ok(drawn_mm / read_mm)
            }
        };
        Ok(Self {
            x: factor(Axis::Horizontal, drawn.across_mm, horizontal_mm)?,
            y: factor(Axis::Vertical, drawn.down_mm, vertical_mm)?,
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
        let shares = [
            (Axis::Horizontal, 1.0 / self.x),
            (Axis::Vertical, 1.0 / self.y),
        ];
        let (axis, share) = shares
            .into_iter()
            .filter(|(_, share)| off(*share) > DOUBTFUL + 1e-9)
            .max_by(|a, b| off(a.1).total_cmp(&off(b.1)))?;
        Some(format!(
            "the {} gauge reads {:.1} % off: was “fit to page” on? Switch it off, print the \
             check page again at 100 % and measure again",
            axis.name(),
            off(share) * 100.0
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

/// How far off a share of what should have been read is.
fn off(share: f64) -> f64 {
    (share - 1.0).abs()
}

impl Sheet {
    /// The same sheet for one printer: stretched about the middle of the page
    /// so that it comes out of that printer at true size, and saying so. A page
    /// that lies across is stretched by the factors of the paper's own sides.
    ///
    /// Such a sheet is not of true size itself: it has no
    /// [`placing`](Sheet::placing), and can't be cut or corrected once more.
    ///
    /// # Errors
    /// [`CorrectionError::OffThePaper`], where there is no room to stretch.
    pub fn corrected(
        &self,
        correction: Correction,
        printer: &str,
    ) -> Result<Self, CorrectionError> {
        let correction = if self.turned {
            Correction {
                x: correction.y,
                y: correction.x,
            }
        } else {
            correction
        };
        let mut sheet = self.clone();
        let printer = fit(&clean(printer), 1.0, LONGEST_NAME);
        sheet.groups.push(self.note(correction, &printer));
        sheet.title = format!("{}, corrected for {printer}", sheet.title);
        sheet.placings.clear();

        let (width, height) = (sheet.width_mm(), sheet.height_mm());
        let middle = Point::<Page>::new(width / 2.0, height / 2.0);
        let mut is_on_paper = true;
        let mut stretch = |p: &mut Point<Page>| {
            *p = Point::new(
                middle.x + (p.x - middle.x) * correction.x,
                middle.y + (p.y - middle.y) * correction.y,
            );
            is_on_paper &= (EDGE_MM..=width - EDGE_MM).contains(&p.x)
                && (EDGE_MM..=height - EDGE_MM).contains(&p.y);
        };
        for item in sheet.groups.iter_mut().flat_map(|group| &mut group.items) {
            match &mut item.mark {
                Mark::Outline { start, cubics, .. } => {
                    stretch(start);
                    cubics.iter_mut().flatten().for_each(&mut stretch);
                }
                Mark::Polyline { places, .. } => places.iter_mut().for_each(&mut stretch),
                Mark::Lines { lines, .. } => lines.iter_mut().flatten().for_each(&mut stretch),
                Mark::Bars { bars } => bars.iter_mut().flatten().for_each(&mut stretch),
                Mark::Frame { corners, .. } | Mark::Picture { corners, .. } => {
                    corners.iter_mut().for_each(&mut stretch);
                }
                Mark::Words { at, .. } => stretch(at),
            }
        }
        if is_on_paper {
            Ok(sheet)
        } else {
            Err(CorrectionError::OffThePaper {
                paper: self.paper,
                percent: correction.x.max(correction.y) * 100.0,
            })
        }
    }

    /// In the lines that were kept free for it: the words get fewer, then
    /// smaller, and a long name is cut before anything else is.
    fn note(&self, correction: Correction, printer: &str) -> Group {
        let spot = self.spot;
        let at_length = format!(
            "CORRECTED for “{printer}” ({}): print on no other printer",
            correction.in_words()
        );
        let in_short = |printer: &str| {
            format!(
                "CORRECTED for “{printer}” ({:.1} x {:.1} %), no other",
                correction.x * 100.0,
                correction.y * 100.0
            )
        };
        let words = [
            at_length,
            in_short(printer),
            in_short(&fit(printer, 1.0, LONGEST_NAME / 2.0)),
            in_short("…"),
        ];
        let sizes = [1.0, 0.9, 0.8, 0.7, 0.6].map(|share| spot.size_mm * share);
        let tried = words.iter().flat_map(|words| {
            sizes.iter().map(|size| {
                let letters = Letters::plain(*size).bold();
                (letters, letters.lines(words, spot.room_mm))
            })
        });
        let mut note = Group::new("correction");
        let fitting = tried
            .into_iter()
            .find(|(_, lines)| lines.len() <= spot.lines);
        // The last form is short enough for any page.
        if let Some((letters, lines)) = fitting {
            let mut at = spot.at;
            for line in lines {
                note.write(at, letters, line);
                at.y += spot.size_mm * 1.3;
            }
        }
        note
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Sides, example, lay_out, lay_out_printer_check};

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
        assert!(said(97.3, 3.9).contains("vertical gauge of 100 mm reads 3.9, farther off"));
        assert!(said(91.9, 100.0).contains("fit to page"));
        assert!(Correction::from_gauges(92.0, 108.0).is_ok());
    }

    #[test]
    fn more_than_three_percent_off_asks_about_fit_to_page() {
        let asked = |h, v| Correction::from_gauges(h, v).unwrap().question();
        assert_eq!(asked(97.0, 103.0), None);
        let question = asked(96.9, 94.0).unwrap();
        assert!(question.starts_with("the vertical gauge reads 6.0 % off: was “fit"));
        assert!(asked(103.1, 100.0).unwrap().contains("horizontal"));
    }

    #[test]
    fn the_longest_name_leaves_the_note_on_one_line_with_its_warning() {
        let sheet = lay_out(&example::content()).unwrap();
        let most = Correction::from_gauges(92.0, 92.0).unwrap();
        let stretched = sheet.corrected(most, &"W".repeat(300)).unwrap();
        let note = stretched.groups().last().unwrap();
        let Mark::Words { words, size_mm, .. } = &note.items[0].mark else {
            panic!("no words");
        };
        assert!(words.contains('…') && words.ends_with("print on no other printer"));
        assert!(Letters::plain(*size_mm).bold().width_mm(words) <= 184.0);
    }

    /// 3 % is what is asked about; that much every paper has room for. Up to
    /// 8 % is believed where the artist insists, and a label may be too small.
    #[test]
    fn a_stretched_sheet_stays_on_its_paper_and_says_what_it_is() {
        for paper in Paper::ALL {
            for sides in [Sides::Both, Sides::Right] {
                let mut content = example::on(paper);
                content.options.sides = sides;
                let Ok(sheet) = lay_out(&content) else {
                    continue;
                };
                let check = lay_out_printer_check(paper);
                for (sheet, read) in [(&sheet, 97.0), (&sheet, 92.0), (&check, 92.0)] {
                    let found = Correction::from_gauges(read, read).unwrap();
                    match sheet.corrected(found, "the copier\nin the hall") {
                        Ok(stretched) => stays_on_paper(&stretched),
                        Err(why) => {
                            assert!(read < 95.0 && paper.is_small(), "{}", paper.name());
                            assert!(why.to_string().contains("use larger paper"), "{why}");
                        }
                    }
                }
            }
        }
    }

    fn stays_on_paper(stretched: &Sheet) {
        let (width, height) = (stretched.width_mm(), stretched.height_mm());
        for item in stretched.groups().iter().flat_map(|g| &g.items) {
            let places: Vec<Point<Page>> = match &item.mark {
                Mark::Outline { start, cubics, .. } => std::iter::once(*start)
                    .chain(cubics.iter().flatten().copied())
                    .collect(),
                Mark::Polyline { places, .. } => places.clone(),
                Mark::Lines { lines: pairs, .. } | Mark::Bars { bars: pairs } => {
                    pairs.iter().flatten().copied().collect()
                }
                Mark::Frame { corners, .. } | Mark::Picture { corners, .. } => corners.to_vec(),
                Mark::Words { at, .. } => vec![*at],
            };
            for p in places {
                assert!(p.x >= 0.5 && p.x <= width - 0.5, "{p:?}");
                assert!(p.y >= 0.5 && p.y <= height - 0.5, "{p:?}");
            }
        }
        let said: Vec<_> = stretched.words().collect();
        let note = said.iter().find(|w| w.starts_with("CORRECTED")).unwrap();
        assert!(note.contains("“the copier"), "{note}");
        assert!(said.join(" ").contains("no other"), "{note}");
        assert!(stretched.placing().is_none());
        assert!(stretched.title().contains("corrected for the copier"));
    }

    /// The factors belong to the paper's sides: on a page that lies across, what
    /// the printer does along the paper's long side happens across the page.
    #[test]
    fn a_page_that_lies_across_is_stretched_by_the_papers_own_sides() {
        let sheet = lay_out(&example::on(Paper::Label100x150)).unwrap();
        assert!(sheet.is_turned());
        let found = Correction::from_gauges(98.0, 99.5).unwrap();
        let stretched = sheet.corrected(found, "labels").unwrap();
        let length = |sheet: &Sheet, id: &str, along_x: bool| {
            let Some(Mark::Bars { bars }) = sheet.mark(id) else {
                panic!("no {id}");
            };
            let along = bars
                .iter()
                .flatten()
                .map(|p| if along_x { p.x } else { p.y });
            let (low, high) = along.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
            high - low
        };
        for (id, along_x, read) in [("gauge", true, 0.995), ("gauge-upright", false, 0.98)] {
            let (before, after) = (length(&sheet, id, along_x), length(&stretched, id, along_x));
            assert!((after * read - before).abs() < 1e-9, "{id}");
        }
        assert!(
            stretched
                .words()
                .any(|w| w.contains("100.5") && w.contains("102.0"))
        );
    }
}
