//! What a backup would change, in words, and what can be done about each
//! client.

use std::collections::BTreeMap;

use ophryon_archive::{Choice, Row, Standing};
use ophryon_record::Record;
use sycamore::web::View;

use super::compare::Compared;
use super::restore::Brought;
use crate::device::clock;
use crate::markup::{div, el, p};
use crate::safe::own::count;
use crate::words;

/// What is done with her: as was chosen, else the usual.
pub fn choice(chosen: &BTreeMap<usize, Choice>, row: &Row) -> Choice {
    chosen
        .get(&row.client)
        .copied()
        .unwrap_or_else(|| row.usual())
}

/// How she stands, as the rest of a sentence about her.
pub fn standing(row: &Row) -> &'static str {
    use ophryon_archive::Basis::{Dates, Known};
    match row.standing {
        Standing::New => "not here yet",
        Standing::Same => "the same here",
        Standing::PhotosOnlyThere => "the same here, but some of her photos are only in the backup",
        Standing::NewerHere(Known) => "changed here since the backup",
        Standing::NewerHere(Dates) => "newer here, by version and date",
        Standing::NewerThere(Known) => "newer in the backup",
        Standing::NewerThere(Dates) => "newer in the backup, by version and date",
        Standing::BothChanged => "changed here and in the backup",
    }
}

/// What can be done with her, the usual first.
pub fn ways(row: &Row) -> impl Iterator<Item = (Choice, &'static str)> {
    let here = if row.photos_there.is_empty() {
        (Choice::KeepHere, "Keep the one here")
    } else {
        (Choice::KeepHereAddPhotos, "Keep the one here, add photos")
    };
    let ways: Vec<(Choice, &'static str)> = match row.standing {
        Standing::New => vec![(Choice::Take, "Bring"), (Choice::KeepHere, "Leave out")],
        Standing::Same => Vec::new(),
        Standing::PhotosOnlyThere => vec![
            (Choice::KeepHereAddPhotos, "Bring the photos"),
            (Choice::KeepHere, "Leave out"),
        ],
        _ => vec![
            here,
            (Choice::Take, "Take the backup's"),
            (Choice::KeepBoth, "Keep both"),
        ],
    };
    ways.into_iter()
}

/// What differs of a client who is another here, from the one that is older as
/// far as is known; `None` where words can't tell.
pub fn differs(standing: Standing, here: &Record, there: &Record) -> Option<String> {
    let (from, changes) = match standing {
        Standing::NewerHere(_) => (
            "From the backup’s to the one here",
            here.changes_since(there),
        ),
        _ => (
            "From the one here to the backup’s",
            there.changes_since(here),
        ),
    };
    (!changes.is_empty()).then(|| format!("{from}: {}.", words::in_short(changes)))
}

/// When she was changed, there and here.
pub fn dates(row: &Row) -> String {
    let ms = |at: Option<i64>| at.map(|s| s as f64 * 1000.0);
    let (there, here) = (ms(row.changed.0), ms(row.changed.1));
    said_dates(
        there,
        row.present.map(|_| here),
        clock::date,
        clock::exact_date,
    )
}

/// In minutes, or exactly where minutes don't tell the two apart.
fn said_dates(
    there: Option<f64>,
    here: Option<Option<f64>>,
    date: fn(f64) -> String,
    exactly: fn(f64) -> String,
) -> String {
    let say = |at: Option<f64>, how: fn(f64) -> String| {
        at.map_or_else(|| "at an unknown time".to_owned(), how)
    };
    let Some(here) = here else {
        return format!("Changed {}", say(there, date));
    };
    let reads_the_same = there != here && say(there, date) == say(here, date);
    let how = if reads_the_same { exactly } else { date };
    format!(
        "In the backup changed {}, here {}",
        say(there, how),
        say(here, how)
    )
}

/// When a backup was made, as it says of itself: RFC 3339.
fn made_at(at: &str) -> String {
    let ms = js_sys::Date::parse(at);
    if ms.is_nan() {
        String::new()
    } else {
        format!(", made {}", clock::date(ms))
    }
}

/// What the file holds, in a sentence.
pub fn summary(compared: &Compared) -> String {
    let rows = &compared.preview.rows;
    let of = |is: fn(&Row) -> bool| rows.iter().filter(|r| is(r)).count();
    let new = of(|r| r.standing == Standing::New);
    let same = of(|r| r.standing == Standing::Same);
    let other = rows.len() - new - same;
    let made = compared.made.as_ref().filter(|at| !at.is_empty());
    let made = made.map_or_else(String::new, |at| made_at(at));
    let mut parts = Vec::new();
    for (n, one, many) in [
        (new, "is not here yet", "are not here yet"),
        (other, "differs from the one here", "differ from those here"),
        (same, "is the same here", "are the same here"),
    ] {
        if n > 0 {
            parts.push(format!("{n} {}", if n == 1 { one } else { many }));
        }
    }
    let holds = count(rows.len(), "client");
    let about = if parts.is_empty() {
        String::new()
    } else {
        format!(": {}", parts.join(", "))
    };
    format!("“{}”{made} holds {holds}{about}.", compared.name)
}

/// What was done, in a sentence.
pub fn said(brought: &Brought) -> String {
    let mut parts = Vec::new();
    for (n, words) in [
        (brought.new, "new here"),
        (brought.replaced, "as in the backup now"),
        (brought.beside, "beside the one that was here"),
        (brought.photos, "with photos added"),
    ] {
        if n > 0 {
            parts.push(format!("{} {words}", count(n, "client")));
        }
    }
    if parts.is_empty() {
        return "Nothing was brought; everything here is as it was.".to_owned();
    }
    format!("Brought back: {}.", parts.join(", "))
}

/// Faults that are shown at once; the others are counted.
const SHOWN: usize = 12;

/// What couldn't be read.
pub fn faults(faults: &[String]) -> View {
    if faults.is_empty() {
        return View::new();
    }
    let more = faults.len().saturating_sub(SHOWN);
    let rest = (more > 0).then(|| el("li").words(format!("{more} more like these")));
    let lines = faults.iter().take(SHOWN);
    div("word")
        .id("bring-faults")
        .put(p(
            "Not everything in this file can be read. What can be read is brought all the same:",
        ))
        .put(
            el("ul")
                .class("faults")
                .all(lines.map(|line| el("li").at("dir", "auto").words(line.clone())))
                .all(rest),
        )
        .into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_archive::Basis;

    #[test]
    fn what_differs_is_told_from_the_older_to_the_newer() {
        let (mut here, there) = (Record::new("A"), Record::new("A"));
        here.client.note = "soft start".to_owned();
        let known = Basis::Known;
        let said = differs(Standing::NewerHere(known), &here, &there).expect("words");
        assert!(
            said.starts_with("From the backup’s to the one here: "),
            "{said}"
        );
        let said = differs(Standing::NewerThere(known), &there, &here).expect("words");
        assert!(
            said.starts_with("From the one here to the backup’s: "),
            "{said}"
        );
        assert_eq!(differs(Standing::BothChanged, &here, &here), None);
    }

    #[test]
    fn two_times_of_one_minute_are_told_apart_by_their_seconds() {
        let minutes = |ms: f64| format!("{:.0} min", (ms / 60_000.0).floor());
        let seconds = |ms: f64| format!("{:.0} s", ms / 1000.0);
        let said = |there, here| said_dates(Some(there), here, minutes, seconds);
        assert_eq!(said(61e3, None), "Changed 1 min");
        assert_eq!(
            said(61e3, Some(Some(65e3))),
            "In the backup changed 61 s, here 65 s"
        );
        assert_eq!(
            said(61e3, Some(Some(125e3))),
            "In the backup changed 1 min, here 2 min"
        );
        assert_eq!(
            said(61e3, Some(Some(61e3))),
            "In the backup changed 1 min, here 1 min"
        );
    }
}
