//! The places of the work, in its order, and how far each is.

use ophryon_record::{Drawn, Record, StudyError};

/// A place of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Place {
    /// Photo, scale, landmarks.
    #[default]
    Face,
    /// Evenness at rest and in use, and the plan.
    Balance,
    /// Draw and pair.
    Shape,
    /// What the client sees, says and agrees to.
    Show,
    /// Sheets and the ruler list.
    Paper,
    /// The log, and how the brows healed.
    Visits,
}

/// How far a place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Nothing there yet.
    Empty,
    /// Something there wants a look.
    Look,
    /// Done.
    Done,
}

impl Place {
    /// All places that there are, in the order of the work.
    pub const ALL: [Self; 6] = [
        Self::Face,
        Self::Balance,
        Self::Shape,
        Self::Show,
        Self::Paper,
        Self::Visits,
    ];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Face => "Face",
            Self::Balance => "Balance",
            Self::Shape => "Shape",
            Self::Show => "Show",
            Self::Paper => "Paper",
            Self::Visits => "Visits",
        }
    }

    /// A word for ids.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Face => "face",
            Self::Balance => "balance",
            Self::Shape => "shape",
            Self::Show => "show",
            Self::Paper => "paper",
            Self::Visits => "visits",
        }
    }

    /// How far it is.
    pub fn state(
        self,
        record: &Record,
        drawn: Option<&Result<Drawn, StudyError>>,
        on_paper: bool,
    ) -> State {
        let drawn = drawn.and_then(|d| d.as_ref().ok());
        match self {
            Self::Face => match record.design_photo() {
                None => State::Empty,
                Some(_) if drawn.is_some() && !record.is_healed_to_tap() => State::Done,
                Some(_) => State::Look,
            },
            // What the photos say is known where they are compared; see
            // `balance::state`.
            Self::Balance => match record.before_work().count() {
                0 | 1 => State::Empty,
                _ => State::Look,
            },
            Self::Shape => match drawn {
                None => State::Empty,
                Some(d) if d.failing().next().is_some() => State::Look,
                Some(_) => State::Done,
            },
            // Whether her word still holds is known where it is asked for.
            Self::Show if record.consent.agreements.is_empty() => match drawn {
                None => State::Empty,
                Some(_) => State::Look,
            },
            Self::Show => State::Look,
            Self::Visits => match record.visits.last() {
                None => State::Empty,
                Some(last) if last.healed.is_some() || last.next.is_some() => State::Done,
                Some(_) => State::Look,
            },
            Self::Paper => match drawn {
                None => State::Empty,
                Some(_) if on_paper => State::Done,
                Some(_) => State::Look,
            },
        }
    }
}

impl State {
    /// In words, for those who don't see the knot.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Empty => "empty",
            Self::Look => "needs a look",
            Self::Done => "done",
        }
    }
}

/// Where the work stands, for the list of clients.
pub fn stands(record: &Record, drawn: Option<&Result<Drawn, StudyError>>) -> String {
    if let Some((_, last)) = record.visit_log().last() {
        let visited = format!("{} {}", last.kind.words(), last.day.in_words());
        return match last.next {
            None => visited,
            Some(next) => format!("{visited}; next due from {}", next.from.in_words()),
        };
    }
    match (record.design_photo(), drawn) {
        (None, _) => "no photo yet",
        (Some(_), Some(Ok(_))) if record.pair.is_some() => "shape drawn",
        (Some(_), Some(Ok(_))) => "shape proposed",
        (Some(_), _) => "landmarks to tap",
    }
    .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_record::{Visit, VisitKind};

    #[test]
    fn a_new_client_is_empty_everywhere() {
        let record = Record::new("A");
        let drawn = Some(record.drawn());
        for place in Place::ALL {
            assert_eq!(place.state(&record, drawn.as_ref(), false), State::Empty);
        }
        assert_eq!(stands(&record, drawn.as_ref()), "no photo yet");
    }

    #[test]
    fn the_list_tells_the_last_visit_and_when_she_is_due() {
        let mut record = Record::new("A");
        let visit = |day: &str, kind| Visit::new(day.parse().unwrap(), kind);
        record.visits = vec![
            visit("2026-11-28", VisitKind::SecondSession),
            visit("2026-10-01", VisitKind::FirstSession),
        ];
        let last = "second session 28 November 2026";
        assert_eq!(stands(&record, None), last);
        record.visits[0].next = record.visits[0].proposed_next();
        let due = format!("{last}; next due from 26 December 2026");
        assert_eq!(stands(&record, None), due);
    }
}
