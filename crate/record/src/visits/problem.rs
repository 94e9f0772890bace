//! What can't be kept of the visits.

use ophryon_frames::Sided;

use super::{HealedCheck, MOST_PASSES, MOST_SECONDS, NextVisit, Supply, Visit, Zones};
use crate::Record;
use crate::problem::{MOST_PHOTOS, Sieve, note};

/// Visits of one client (ours): one a month for sixteen years.
pub const MOST_VISITS: usize = 200;

/// Tools, and pigments, of one visit (ours).
pub const MOST_SUPPLIES: usize = 30;

/// Longest time until the next visit that is no slip, days: three years.
const LATEST_NEXT_DAYS: u32 = 3 * 365;

/// Everything in the visits that can't be used.
pub(crate) fn visits(s: &mut Sieve, record: &Record) {
    let count = record.visits.len();
    if count > MOST_VISITS {
        s.add(
            "visits",
            format!(
                "{count} visits are more than the {MOST_VISITS} that one client can have; remove what isn't hers"
            ),
        );
    }
    for (i, one) in record.visits.iter().take(MOST_VISITS).enumerate() {
        visit(s, &format!("visits[{i}]"), one, record);
    }
}

fn visit(s: &mut Sieve, at: &str, visit: &Visit, record: &Record) {
    for (field, supplies) in [("tools", &visit.tools), ("pigments", &visit.pigments)] {
        let field = format!("{at}.{field}");
        if supplies.len() > MOST_SUPPLIES {
            s.add(
                field.clone(),
                format!(
                    "{} are more than the {MOST_SUPPLIES} that one visit can have; remove some",
                    supplies.len()
                ),
            );
        }
        for (i, one) in supplies.iter().take(MOST_SUPPLIES).enumerate() {
            supply(s, &format!("{field}[{i}]"), one);
        }
    }
    name_or_empty(s, &format!("{at}.needle-batch"), &visit.needle_batch);
    work(s, &format!("{at}.work"), &visit.work);
    photos(s, &format!("{at}.photos"), &visit.photos, record);
    note(s, &format!("{at}.notes"), &visit.notes);
    if let Some(next) = &visit.next {
        next_visit(s, &format!("{at}.next"), *next, visit);
    }
    if let Some(check) = &visit.healed {
        healed(s, &format!("{at}.healed"), check, record);
    }
}

fn name_or_empty(s: &mut Sieve, field: &str, text: &str) {
    if !text.is_empty() {
        s.name(field, text);
    }
}

fn supply(s: &mut Sieve, at: &str, supply: &Supply) {
    s.name(&format!("{at}.name"), &supply.name);
    name_or_empty(s, &format!("{at}.maker"), &supply.maker);
    name_or_empty(s, &format!("{at}.batch"), &supply.batch);
}

fn work(s: &mut Sieve, at: &str, work: &Sided<Zones>) {
    for (side, zones) in work.iter() {
        for (zone, one) in zones.iter() {
            let field = |name| format!("{at}.{}.{}.{name}", side.name(), zone.name());
            if one.passes > MOST_PASSES {
                s.add(
                    field("passes"),
                    format!(
                        "{} passes can't be right; a zone has at most {MOST_PASSES}",
                        one.passes
                    ),
                );
            }
            if one.seconds > MOST_SECONDS {
                s.add(
                    field("seconds"),
                    format!(
                        "{} s can't be right; a zone has at most {MOST_SECONDS} s, which is {} hours",
                        one.seconds,
                        MOST_SECONDS / 3600
                    ),
                );
            }
            let twice = |i: usize| one.skin[..i].contains(&one.skin[i]);
            if (1..one.skin.len()).any(twice) {
                s.add(
                    field("skin"),
                    "an answer of the skin stands there twice; remove one",
                );
            }
        }
    }
}

fn photos(s: &mut Sieve, at: &str, photos: &[String], record: &Record) {
    if photos.len() > MOST_PHOTOS {
        s.add(
            at,
            format!(
                "{} photos are more than the {MOST_PHOTOS} that one client can have; remove some",
                photos.len()
            ),
        );
    }
    for (i, id) in photos.iter().take(MOST_PHOTOS).enumerate() {
        let field = format!("{at}[{i}]");
        photo(s, &field, id, record);
        if photos[..i].contains(id) {
            s.add(field, "the photo stands there twice; remove one");
        }
    }
}

fn photo(s: &mut Sieve, field: &str, id: &str, record: &Record) {
    if record.photo(id).is_none() {
        let shown: String = id.chars().filter(|c| !c.is_control()).take(40).collect();
        s.add(
            field,
            format!("there is no photo “{shown}”; choose one that is there"),
        );
    }
}

fn next_visit(s: &mut Sieve, at: &str, next: NextVisit, visit: &Visit) {
    if next.from > next.to {
        s.add(at, "it ends before it begins; enter the earlier day first");
    }
    if next.from <= visit.day {
        s.add(
            format!("{at}.from"),
            "it is not after this visit; enter a later day",
        );
    }
    if visit
        .day
        .later(LATEST_NEXT_DAYS)
        .is_some_and(|latest| next.to > latest)
    {
        s.add(
            format!("{at}.to"),
            "it is more than three years after this visit; enter an earlier day",
        );
    }
}

fn healed(s: &mut Sieve, at: &str, check: &HealedCheck, record: &Record) {
    if let Some(id) = &check.photo {
        photo(s, &format!("{at}.photo"), id, record);
    }
    name_or_empty(s, &format!("{at}.pigment"), &check.pigment);
    for (side, kept) in check.kept.iter() {
        for (field, words) in kept.iter().flat_map(super::Kept::problems) {
            s.add(format!("{at}.kept.{}.{field}", side.name()), words);
        }
    }
}
