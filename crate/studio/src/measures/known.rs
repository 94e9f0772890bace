//! The photo at rest, measured once for all that look at it, with what makes
//! each number uncertain.

use std::cell::RefCell;
use std::rc::Rc;

use ophryon_face::Influences;
use ophryon_record::{Levelled, Photo};

use crate::studio::Studio;

/// A measured photo.
pub struct Known {
    /// Scale, level, pose.
    pub levelled: Levelled,
    /// For the budget of any number.
    pub influences: Option<Influences>,
}

thread_local! {
    static LAST: RefCell<Option<(Photo, Option<Rc<Known>>)>> = const { RefCell::new(None) };
}

/// As the record is now; `None` while the photo can't be measured.
pub fn now(studio: Studio) -> Option<Rc<Known>> {
    let record = studio.record()?;
    let photo = record.design_photo()?;
    let last = LAST.with_borrow(|last| {
        let (of, known) = last.as_ref()?;
        (of == photo).then(|| known.clone())
    });
    if let Some(known) = last {
        return known;
    }
    let known = record.levelled().ok().map(|levelled| {
        Rc::new(Known {
            influences: levelled.survey.influences().ok(),
            levelled,
        })
    });
    LAST.set(Some((photo.clone(), known.clone())));
    known
}
