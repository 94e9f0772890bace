//! What a backup would change, in words, and what can be done about each
//! client.

use std::collections::BTreeMap;

use ophryon_archive::{Choice, Row, Standing};
use sycamore::web::View;

use super::compare::Compared;
use super::restore::Brought;
use crate::device::clock;
use crate::markup::{div, el, p};
use crate::safe::own::count;

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

/// When she was changed, there and here.
pub fn dates(row: &Row) -> String {
    let date = |at: Option<i64>| {
        at.map_or_else(
            || "at an unknown time".to_owned(),
            |s| clock::date(s as f64 * 1000.0),
        )
    };
    match row.present {
        None => format!("Changed {}", date(row.changed.0)),
        Some(_) => format!(
            "In the backup changed {}, here {}",
            date(row.changed.0),
            date(row.changed.1)
        ),
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
    let made = made.map_or_else(String::new, |at| {
        format!(", made {}", at.replace('T', ", ").trim_end_matches('Z'))
    });
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
            "Not everything in this file can be read. What can is brought all the same:",
        ))
        .put(
            el("ul")
                .class("faults")
                .all(lines.map(|line| el("li").at("dir", "auto").words(line.clone())))
                .all(rest),
        )
        .into()
}
