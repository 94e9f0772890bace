//! From a record to paper. The app and the command line both take this way,
//! so the same record gives the same bytes.

use ophryon_stencil::{
    Agreement, Caption, Sheet, SheetContent, SheetError, SheetOptions, WrapSource, distances,
    lay_out, lay_out_distances, write_svg,
};

use crate::fingerprint::fingerprint;
use crate::{Drawn, Record, Report, ShapeSource, StudyError, WrapChoice};

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
    /// The pair doesn't fit the paper.
    #[error("{0}")]
    Sheet(#[from] SheetError),
}

impl Papers {
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
        let caption = self.caption(drawn);
        let stencil = lay_out(&SheetContent {
            outlines: drawn.on_skin.clone(),
            caption: caption.clone(),
            options: *options,
        })?;
        Ok(Papers {
            stencil,
            distances: lay_out_distances(
                &distances(&drawn.measures),
                &caption,
                options.paper.for_lists(),
            ),
            report: Report::of(self, drawn),
        })
    }

    /// What the sheet says. The code, never the name.
    pub fn caption(&self, drawn: &Drawn) -> Caption {
        let proposed = drawn.source == ShapeSource::Proposal;
        Caption {
            code: self.client.code.clone(),
            version: self.version.to_string(),
            fingerprint: self.fingerprint_of(drawn),
            agreed: Agreement::NotAgreed,
            wrap: drawn.measured.wrap.right,
            wrap_source: match self.wrap {
                WrapChoice::Tape(_) => WrapSource::Measured,
                WrapChoice::Cylinder { .. } => WrapSource::Chosen,
                WrapChoice::Estimate | WrapChoice::Flat => WrapSource::Estimated,
            },
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
