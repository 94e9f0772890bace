//! The second place: how uneven the brows are at rest and in use, what that
//! is, and what is done about it.
//!
//! Everything said here comes from [`ophryon_record::Balance`]. All of it is
//! in a part that is fetched when it is first used; nothing outside names it
//! but [`crate::later`].

mod alone;
mod found;
mod numbers;
mod over;
mod picture;
mod plan;
mod second;
mod verdict;

use ophryon_record::{Balance, BalanceAsk, PlanDecision, Record};
use sycamore::web::View;

use self::found::Found;
use crate::markup::shows;
use crate::places::{Place, State};
use crate::shape::not_yet;
use crate::studio::Studio;

pub use self::over::table;

/// How far the place is.
pub fn state(record: &Record) -> State {
    match &*found::roughly(record) {
        Err(BalanceAsk::Photo { .. }) => State::Empty,
        // Nothing was brought for it yet.
        Err(_) if record.photos.len() < 2 => State::Empty,
        Err(_) => State::Look,
        Ok(balance) if balance.plan.nothing.is_some() => State::Done,
        Ok(balance) if balance.plan.decision == PlanDecision::Taken => State::Done,
        Ok(_) => State::Look,
    }
}

/// What is seen, as far as it decides what is asked.
#[derive(Debug, Clone, PartialEq)]
enum Step {
    /// The face at rest isn't measured yet.
    FaceFirst,
    /// There is no second photo, or something is missing in it.
    Ask(BalanceAsk),
    /// One photo has to do.
    Alone,
    /// Both are there.
    Seen,
}

fn step(studio: Studio) -> Step {
    let Some(record) = studio.record() else {
        return Step::FaceFirst;
    };
    let at_rest_is_missing = |ask: &BalanceAsk| match ask {
        BalanceAsk::Photo { state } | BalanceAsk::Tap { state, .. } => {
            *state == ophryon_record::PhotoState::Relaxed
        }
        BalanceAsk::Scale { .. } => true,
        BalanceAsk::Mend { photo, .. } => record.design_photo().is_some_and(|p| p.id == *photo),
    };
    match &*found::of(studio, &record) {
        Ok(_) => Step::Seen,
        Err(ask) if at_rest_is_missing(ask) => Step::FaceFirst,
        Err(BalanceAsk::Photo { .. }) if studio.view.balance.alone.get() => Step::Alone,
        Err(ask) => Step::Ask(ask.clone()),
    }
}

/// The panel.
pub fn balance_panel(studio: Studio) -> View {
    shows(
        move || step(studio),
        move |step| match step {
            Step::FaceFirst => not_yet(studio, Place::Balance),
            Step::Ask(ask) => second::ask(studio, &ask),
            Step::Alone => alone::alone(studio),
            Step::Seen => verdict::verdict(studio),
        },
    )
}

/// Something of the balance, while there is one.
fn of_balance<T>(studio: Studio, read: impl FnOnce(&Balance) -> T) -> Option<T> {
    let record = studio.record()?;
    let found: Found = found::of(studio, &record);
    found.as_ref().as_ref().ok().map(read)
}
