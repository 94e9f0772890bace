//! What is different from one state of a client's file to another, in words
//! and millimetres; and going back to an earlier state.

use ophryon_brow::Handle;
use ophryon_frames::{Side, Vector};

use crate::{Drawn, History, Photo, PhotoState, Record};

/// A point of the shape that moved by less is told as unmoved, mm: half of
/// what a number with one decimal shows.
const UNMOVED_MM: f64 = 0.05;

/// A tap that moved by less is told as unmoved, px: the finest step of a
/// nudge is more.
const UNMOVED_PX: f64 = 0.01;

impl Record {
    /// What is different here from an earlier state, each in a few words
    /// without a full stop, the shape first. Empty where nothing is.
    pub fn changes_since(&self, before: &Self) -> Vec<String> {
        let mut all = shape(self, before);
        photos(&mut all, self, before);
        let mut said = |is: bool, words: &str| {
            if is {
                all.push(words.to_owned());
            }
        };
        said(self.rules != before.rules, "mapping rules changed");
        said(self.limits != before.limits, "limits of the shape changed");
        said(
            self.wrap != before.wrap || self.ear_tape_mm != before.ear_tape_mm,
            "tape over the skin changed",
        );
        said(self.plan != before.plan, "plan changed");
        said(self.ruler != before.ruler, "ruler readings changed");
        said(self.shrink != before.shrink, "healed size changed");
        said(
            self.client.code != before.client.code || self.client.name != before.client.name,
            "code or name changed",
        );
        said(self.client.note != before.client.note, "note changed");
        let kept = (before.variants.len(), self.variants.len());
        said(
            self.variants != before.variants,
            &counted("kept shape", kept.0, kept.1),
        );
        let agreed = (
            before.consent.agreements.len(),
            self.consent.agreements.len(),
        );
        said(agreed.1 > agreed.0, "she agreed");
        said(
            agreed.1 <= agreed.0 && self.consent != before.consent,
            "what she was asked or said changed",
        );
        said(
            self.visits != before.visits,
            &counted("visit", before.visits.len(), self.visits.len()),
        );
        if all.is_empty() && self != before {
            all.push("a detail changed".to_owned());
        }
        all
    }

    /// This earlier state as it is to be gone back to from `now`: photos,
    /// measurements and shapes are those of then. What she was asked, said and
    /// agreed to, and the log of visits stay as they are now; a visit that is
    /// not in the log any more comes back.
    #[must_use]
    pub fn brought_back(&self, now: &Self) -> Self {
        let mut back = self.clone();
        back.id.clone_from(&now.id);
        let gone = back.visits.iter();
        let gone = gone.filter(|v| {
            !now.visits
                .iter()
                .any(|n| (n.day, n.kind) == (v.day, v.kind))
        });
        let mut visits = now.visits.clone();
        visits.extend(gone.cloned());
        // The photos of visits that stay must stay as well.
        let named = |p: &&Photo| {
            let is_missing = back.photo(&p.id).is_none();
            is_missing && !p.state.before_work()
        };
        let missing: Vec<Photo> = now.photos.iter().filter(named).cloned().collect();
        back.photos.extend(missing);
        back.visits = visits;
        back.keep_her_word(now);
        back
    }
}

impl History {
    /// Goes back to an earlier state as one step, which can be undone.
    /// `false` where that changes nothing.
    pub fn bring_back(&mut self, earlier: &Record, words: &str) -> bool {
        let back = earlier.brought_back(self.now());
        self.step_to(back, words.to_owned())
    }
}

/// "visit added", "2 visits taken out", "visit changed".
fn counted(what: &str, before: usize, now: usize) -> String {
    let many = |n: usize| match n {
        1 => what.to_owned(),
        n => format!("{n} {what}s"),
    };
    if now > before {
        format!("{} added", many(now - before))
    } else if now < before {
        format!("{} taken out", many(before - now))
    } else {
        format!("{what} changed")
    }
}

fn shape(now: &Record, before: &Record) -> Vec<String> {
    let (had, has) = (before.drawn().ok(), now.drawn().ok());
    match (had, has) {
        (None, None) => Vec::new(),
        (None, Some(_)) => vec!["a shape can be drawn now".to_owned()],
        (Some(_), None) => vec!["no shape can be drawn now".to_owned()],
        (Some(had), Some(has)) => {
            let mut all: Vec<String> = Side::BOTH
                .iter()
                .flat_map(|s| moved(*s, &had, &has))
                .collect();
            if all.is_empty() && now.pair != before.pair {
                all.push(
                    if before.pair.is_none() {
                        "proposed shape taken"
                    } else {
                        "curve of the shape changed"
                    }
                    .to_owned(),
                );
            }
            all
        }
    }
}

/// The points of a side that moved, by how much on the skin.
fn moved(side: Side, had: &Drawn, has: &Drawn) -> Option<String> {
    let by = |handle: &Handle| {
        let (from, to) = (had.handle(side, *handle)?, has.handle(side, *handle)?);
        let by: Vector<_> = to.lateral - from.lateral;
        let mm = libm::hypot(by.x, by.y);
        (mm >= UNMOVED_MM).then(|| format!("{} {mm:.1} mm", handle.name()))
    };
    let points: Vec<String> = Handle::ALL.iter().filter_map(by).collect();
    (!points.is_empty()).then(|| format!("{} moved: {}", whose(side), points.join(", ")))
}

const fn whose(side: Side) -> &'static str {
    match side {
        Side::Right => "client's right",
        Side::Left => "client's left",
    }
}

fn photos(all: &mut Vec<String>, now: &Record, before: &Record) {
    for photo in &now.photos {
        let what = named(photo.state);
        let Some(old) = before.photo(&photo.id) else {
            all.push(format!("photo {what} added"));
            continue;
        };
        if photo.erased != old.erased {
            all.push(format!("photo {what} erased"));
        }
        let taps = photo.landmarks.iter();
        let moved = taps.filter(|(landmark, at)| {
            let was = old.landmarks.get(*landmark);
            !was.is_some_and(|was| libm::hypot(was.x - at.x, was.y - at.y) < UNMOVED_PX)
        });
        match moved.count() {
            0 if photo.landmarks != old.landmarks => {
                all.push(format!("landmarks taken out {what}"))
            }
            0 => {}
            1 => all.push(format!("1 landmark set {what}")),
            n => all.push(format!("{n} landmarks set {what}")),
        }
        if photo.references != old.references {
            all.push(format!("scale changed {what}"));
        }
        if photo.hair != old.hair {
            all.push(format!("hair border changed {what}"));
        }
    }
    for photo in &before.photos {
        if now.photo(&photo.id).is_none() {
            all.push(format!("photo {} taken out", named(photo.state)));
        }
    }
}

const fn named(state: PhotoState) -> &'static str {
    match state {
        PhotoState::Relaxed => "at rest",
        PhotoState::EyesOpen => "with eyes open",
        PhotoState::Raised => "with brows raised",
        PhotoState::Healed => "healed",
        PhotoState::Visit => "of a visit",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Edit;

    fn sample() -> Record {
        let text = include_str!("../../../demo-data/demo-even/client.json");
        Record::from_json(text).unwrap()
    }

    fn peak_up(record: &Record, mm: f64) -> Record {
        let drawn = record.drawn().unwrap();
        let at = drawn.handle(Side::Right, Handle::Peak).unwrap().lateral;
        let edit = Edit::MoveHandle {
            side: Side::Right,
            handle: Handle::Peak,
            to: at + Vector::new(0.0, mm),
        };
        crate::apply(record, &edit).unwrap()
    }

    #[test]
    fn what_moved_is_told_with_its_millimetres() {
        let before = sample();
        let now = peak_up(&before, 1.0);
        let told = now.changes_since(&before).join("; ");
        assert!(told.contains("client's right moved: "), "{told}");
        assert!(told.contains("peak 1.0 mm"), "{told}");
        assert_eq!(before.changes_since(&before), Vec::<String>::new());
    }

    #[test]
    fn photos_notes_and_landmarks_are_told() {
        let before = sample();
        let mut now = before.clone();
        now.client.note = "Prefers a soft start.".to_owned();
        let taken = now.photos.pop().unwrap();
        let told = now.changes_since(&before).join("; ");
        assert!(told.contains("note changed"), "{told}");
        assert!(told.contains("taken out"), "{told}");
        now.photos.push(Photo {
            id: "another".to_owned(),
            ..taken
        });
        let told = now.changes_since(&before).join("; ");
        assert!(told.contains("added"), "{told}");
    }

    #[test]
    fn going_back_is_one_step_and_undo_takes_it_back() {
        let before = sample();
        let now = peak_up(&before, 1.0);
        let mut history = History::new(now.clone());
        assert!(history.bring_back(&before, "go back to an earlier version"));
        assert_eq!(history.now().pair, before.pair);
        assert_eq!(history.undo_words(), Some("go back to an earlier version"));
        assert!(history.undo());
        assert_eq!(history.now(), &now);
        assert!(!history.bring_back(&now, "go back"));
    }

    #[test]
    fn a_visit_logged_since_stays_when_an_earlier_version_comes_back() {
        let before = sample();
        let mut now = before.clone();
        let day = "2027-03-01".parse().unwrap();
        let kind = crate::VisitKind::FirstSession;
        let edit = crate::VisitEdit::Add(Box::new(crate::Visit::new(day, kind)));
        now = crate::apply(&now, &Edit::Visit(edit)).unwrap();
        let back = before.brought_back(&now);
        assert_eq!(back.visits, now.visits);
    }
}
