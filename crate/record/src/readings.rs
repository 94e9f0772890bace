//! What a ruler read on skin, kept with the shape it was read on.

use ophryon_frames::{Side, Sided};
use ophryon_stencil::{Distance, DistanceId, RulerCheck, RulerReading, RulerReadings};

use crate::{Drawn, Record, StudyError};

impl Drawn {
    /// What a ruler must read on skin, with its tolerances.
    pub fn distances(&self) -> Vec<Distance> {
        ophryon_stencil::distances(&self.measures)
    }
}

impl Record {
    /// The readings held against the list of a shape that is drawn already.
    pub fn ruler_check(&self, drawn: &Drawn) -> RulerCheck {
        ophryon_stencil::check_readings(&drawn.distances(), &self.ruler)
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
