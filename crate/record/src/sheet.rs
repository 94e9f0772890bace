//! From a record to paper. The app and the command line both take this way,
//! so the same record gives the same bytes.

use ophryon_agreement::Day;
use ophryon_brow::Handle;
use ophryon_frames::{Side, Sided};
use ophryon_stencil::{
    Agreement, Caption, Correction, CorrectionError, Sheet, SheetContent, SheetError, SheetOptions,
    WrapSource, lay_out, lay_out_distances, most_copies, write_svg,
};

use crate::fingerprint::fingerprint;
use crate::{AgreedState, Drawn, Record, Report, ShapeSource, StudyError, WrapChoice};

/// Everything that is printed or saved of one shape.
#[derive(Debug, Clone, PartialEq)]
pub struct Papers {
    /// The stencil at true size.
    pub stencil: Sheet,
    /// The list of distances to check with a ruler.
    pub distances: Sheet,
    /// The same shape in numbers.
    pub report: Report,
}

/// Why there can be no papers.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PaperError {
    /// The shape can't be drawn yet.
    #[error("{0}")]
    Study(#[from] StudyError),
    /// The sheet doesn't fit the paper.
    #[error("{0}")]
    Sheet(#[from] SheetError),
    /// It can't be corrected for the printer.
    #[error("{0}")]
    Printer(#[from] CorrectionError),
}

impl Papers {
    /// The pages that are printed together, in the order they stand in the
    /// file `stencil.pdf`. The list is not among them where the stencil goes on
    /// a label: nobody wants it on the label printer.
    pub fn pages(&self) -> Vec<&Sheet> {
        let mut pages = vec![&self.stencil];
        if !self.is_list_apart() {
            pages.push(&self.distances);
        }
        pages
    }

    /// The list is for other paper than the stencil: the file `distances.pdf`.
    pub fn is_list_apart(&self) -> bool {
        self.stencil.paper() != self.distances.paper()
    }

    /// The same papers for one printer, which they then say; a list for other
    /// paper, and so for another printer, stays as it is.
    ///
    /// # Errors
    /// [`PaperError::Printer`], where there is no room to stretch.
    pub fn corrected(&self, correction: Correction, printer: &str) -> Result<Self, PaperError> {
        Ok(Self {
            stencil: self.stencil.corrected(correction, printer)?,
            distances: if self.is_list_apart() {
                self.distances.clone()
            } else {
                self.distances.corrected(correction, printer)?
            },
            report: self.report.clone(),
        })
    }

    /// The stencil as SVG: the file `stencil.svg`.
    pub fn stencil_svg(&self) -> String {
        write_svg(&self.stencil)
    }

    /// The report as JSON: the file `report.json`.
    pub fn report_json(&self) -> String {
        self.report.to_json()
    }
}

impl Record {
    /// Lays out the papers of the shape, or of the proposal while there is none.
    ///
    /// # Errors
    /// [`PaperError`]: as [`Record::drawn`], or a pair that doesn't fit.
    pub fn papers(&self, options: &SheetOptions) -> Result<Papers, PaperError> {
        self.papers_of(&self.drawn()?, options)
    }

    /// The same for a shape that is drawn already.
    ///
    /// # Errors
    /// [`PaperError::Sheet`].
    pub fn papers_of(&self, drawn: &Drawn, options: &SheetOptions) -> Result<Papers, PaperError> {
        self.papers_made(drawn, options, None)
    }

    /// The same with the day they were made on, where the shell knows it: its
    /// clock tells, or whoever asks for them.
    ///
    /// # Errors
    /// [`PaperError::Sheet`].
    pub fn papers_made(
        &self,
        drawn: &Drawn,
        options: &SheetOptions,
        day: Option<Day>,
    ) -> Result<Papers, PaperError> {
        let mut content = self.content(drawn, options);
        content.caption.made = day.map(Day::in_words);
        let stencil = lay_out(&content)?;
        Ok(Papers {
            stencil,
            distances: lay_out_distances(
                &drawn.distances(),
                &content.caption,
                options.paper.for_lists(),
            ),
            report: Report::of(self, drawn),
        })
    }

    /// How many copies fit on one page, whatever number is asked for; 0 where
    /// not even one does.
    ///
    /// # Errors
    /// [`PaperError::Sheet`], where an outline can't be printed.
    pub fn most_copies(&self, drawn: &Drawn, options: &SheetOptions) -> Result<u32, PaperError> {
        Ok(most_copies(&self.content(drawn, options))?)
    }

    pub(crate) fn content(&self, drawn: &Drawn, options: &SheetOptions) -> SheetContent {
        let mut caption = self.caption(drawn);
        caption.name = self.client.name.clone().filter(|_| options.with_name);
        SheetContent {
            outlines: drawn.on_skin.clone(),
            touch_up: Sided::default(),
            caption,
            options: *options,
        }
    }

    /// What the sheet says. The code, never the name.
    pub fn caption(&self, drawn: &Drawn) -> Caption {
        let proposed = drawn.source == ShapeSource::Proposal;
        Caption {
            code: self.client.code.clone(),
            name: None,
            version: self.version.to_string(),
            fingerprint: self.fingerprint_of(drawn),
            agreed: match self.agreed() {
                AgreedState::Agreed { seal, sealed } if !proposed => Agreement::Agreed {
                    when: Some(sealed.at.in_words()),
                    seal: Some(seal.short()),
                },
                _ => Agreement::NotAgreed,
            },
            wrap: drawn.measured.wrap.right,
            wrap_source: match self.wrap {
                WrapChoice::Tape(_) => WrapSource::Measured,
                WrapChoice::Cylinder { .. } => WrapSource::Chosen,
                WrapChoice::Estimate | WrapChoice::Flat => WrapSource::Estimated,
            },
            wrap_basis: match self.wrap {
                WrapChoice::Tape(_) => Some(self.wrap.words()),
                _ => None,
            },
            length_uncertainty_mm: drawn.length_uncertainty_mm(),
            made: None,
            remark: proposed
                .then(|| "Proposal from the mapping rules; nobody has changed it yet.".to_owned()),
        }
    }

    /// The mark of the drawn shape: eight hexadecimal digits.
    pub fn fingerprint_of(&self, drawn: &Drawn) -> String {
        fingerprint(&drawn.pair, &self.limits, &drawn.measured.wrap)
    }
}

impl Drawn {
    /// How far lengths along the brow may be off because of the curve of the
    /// skin, expanded (k = 2), mm: the larger of both sides. `None` where
    /// nothing is known of it.
    #[must_use]
    pub fn length_uncertainty_mm(&self) -> Option<f64> {
        let curve = &self.measured.curve;
        let each = Side::BOTH.map(|side| {
            let (wrap, longer) = (curve.wrap.get(side), curve.longer.get(side));
            let shift = |handle: Handle| {
                let seen = self.handle(side, handle)?.front;
                Some(longer.to_skin(seen).ok()?.x - wrap.to_skin(seen).ok()?.x)
            };
            Some(2.0 * (shift(Handle::Tail)? - shift(Handle::Start)?).abs())
        });
        let larger = each.into_iter().flatten().reduce(f64::max)?;
        (larger > 0.0).then_some(larger)
    }
}
