//! The balance of a record, worked out once for all that look at it.

use std::cell::RefCell;
use std::rc::Rc;

use ophryon_brow::{Limits, Pair};
use ophryon_record::{Balance, BalanceAsk, Photo, PhotoState, PlanChoice, Record};

use crate::ask;
use crate::studio::Studio;

/// What the photos say together, or what is missing.
pub type Found = Rc<Result<Balance, BalanceAsk>>;

/// What a balance follows from.
#[derive(Clone, PartialEq)]
struct From {
    photos: Vec<Photo>,
    against: PhotoState,
    plan: PlanChoice,
    limits: Limits,
    pair: Option<Pair>,
}

thread_local! {
    static LAST: RefCell<Option<(From, Found)>> = const { RefCell::new(None) };
}

/// Of a record, with the photo that was chosen to compare with.
pub fn of(studio: Studio, record: &Record) -> Found {
    worked_out(record, studio.view.balance.against.get(), true)
}

/// Of a record as far as its state goes, whatever is done to the shape: this
/// is looked at in every step of dragging a point.
pub fn roughly(record: &Record) -> Found {
    worked_out(record, PhotoState::EyesOpen, false)
}

fn worked_out(record: &Record, against: PhotoState, exactly: bool) -> Found {
    let is_last = |from: &From| {
        from.photos == record.photos
            && from.plan == record.plan
            && (!exactly
                || (from.against == against
                    && from.limits == record.limits
                    && from.pair == record.pair))
    };
    let last = LAST.with_borrow(|last| {
        let (from, found) = last.as_ref()?;
        is_last(from).then(|| Rc::clone(found))
    });
    if let Some(found) = last {
        return found;
    }
    // Another plan or shape changes nothing of what the photos say.
    let replanned = LAST.with_borrow(|last| {
        let (from, found) = last.as_ref()?;
        let same = from.photos == record.photos && from.against == against;
        let balance = found.as_ref().as_ref().ok().filter(|_| same)?;
        record.replanned(balance)
    });
    let raised = match against {
        PhotoState::Raised => ask::photo_in(record, PhotoState::Raised),
        _ => None,
    };
    let found = Rc::new(match (replanned, raised) {
        (Some(balance), _) => Ok(balance),
        (None, Some(photo)) => record.balance_with(&photo.id),
        (None, None) => record.balance(),
    });
    let from = From {
        photos: record.photos.clone(),
        against,
        plan: record.plan,
        limits: record.limits,
        pair: record.pair.clone(),
    };
    LAST.set(Some((from, Rc::clone(&found))));
    found
}
