//! What a ruler read on skin, kept with the shape it was read on.

use ophryon_frames::{Side, Sided};
use ophryon_stencil::{Distance, DistanceId, ListBasis, RulerCheck, RulerReading, RulerReadings};

use crate::{CurveBasis, Drawn, Record, StudyError};

impl Drawn {
    /// What the list rests on, and how sure that is.
    pub fn list_basis(&self) -> ListBasis {
        let curve = &self.measured.curve;
        let own = |side| *curve.basis.get(side) == CurveBasis::OwnTape;
        ListBasis {
            scale_relative_sd: self.measured.levelled.scale().relative_sd(),
            wrap: curve.wrap,
            longer: curve.longer,
            is_by_tape: Side::BOTH.into_iter().any(own),
            is_shared: !Side::BOTH.into_iter().all(own),
        }
    }

    /// What a ruler must read on skin, with its tolerances.
    pub fn distances(&self) -> Vec<Distance> {
        ophryon_stencil::distances(&self.measures, &self.list_basis())
    }
}

impl Record {
    /// The readings held against the list of a shape that is drawn already.
    pub fn ruler_check(&self, drawn: &Drawn) -> RulerCheck {
        ophryon_stencil::check_readings(&drawn.distances(), &drawn.list_basis(), &self.ruler)
    }

    /// The record with one reading set, or taken away. It remembers what the
    /// list said, so that it is not compared with another shape later.
    pub(crate) fn with_reading(
        &self,
        side: Side,
        distance: DistanceId,
        read_mm: Option<f64>,
    ) -> Result<Sided<RulerReadings>, StudyError> {
        let mut all = self.ruler.clone();
        let readings = all.get_mut(side);
        match read_mm {
            None => {
                readings.remove(&distance);
            }
            Some(read_mm) => {
                let drawn = self.drawn()?;
                let expected_mm = distance.of(drawn.measures.get(side));
                readings.insert(
                    distance,
                    RulerReading {
                        read_mm,
                        expected_mm,
                    },
                );
            }
        }
        Ok(all)
    }
}

/// Nothing was read on either side.
pub(crate) fn nothing_read(ruler: &Sided<RulerReadings>) -> bool {
    ruler.right.is_empty() && ruler.left.is_empty()
}
