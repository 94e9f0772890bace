//! Sketching: strokes drawn over the photo, and the outline that follows them.
//!
//! Strokes are kept in the photo's px, so they stay where they were drawn
//! whatever is done to the view. They are no part of the record; what comes of
//! them is, as one step.

mod over;
mod panel;

use std::rc::Rc;

use ophryon_frames::{Photo as Px, Point, Side};
use ophryon_record::{Broken, SketchedOver, apply};
use sycamore::reactive::{Signal, create_signal};

pub use over::over;
pub use panel::panel;

use crate::markup::glance;
use crate::stage::stroke::Fingers;
use crate::studio::Studio;
use crate::words;

/// One stroke, px of the photo.
pub type Stroke = Vec<Point<Px>>;

/// How strokes are made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Way {
    /// By drawing.
    #[default]
    Drawn,
    /// By tapping one place after another.
    Tapped,
}

/// What the strokes came to, to be looked at before it is taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The shapes with their distances and reasons.
    pub over: SketchedOver,
    /// What held before and doesn't on it.
    pub broken: Vec<Broken>,
    /// Both outlines as path data in the photo's px.
    pub paths: [String; 2],
}

/// The strokes and what became of them.
#[derive(Clone, Copy)]
pub struct Sketching {
    /// The photo that they are drawn on.
    pub photo: Signal<Option<String>>,
    /// Those that are done.
    pub strokes: Signal<Vec<Stroke>>,
    /// The one that is being drawn or tapped.
    pub under_way: Signal<Stroke>,
    /// Those that were cleared or taken into the shape last.
    pub put_away: Signal<Vec<Stroke>>,
    /// How strokes are made.
    pub way: Signal<Way>,
    /// What a finger does.
    pub fingers: Signal<Fingers>,
    /// What they came to.
    pub found: Signal<Option<Rc<Found>>>,
}

impl Sketching {
    /// Nothing drawn yet.
    pub fn new() -> Self {
        Self {
            photo: create_signal(None),
            strokes: create_signal(Vec::new()),
            under_way: create_signal(Vec::new()),
            put_away: create_signal(Vec::new()),
            way: create_signal(Way::default()),
            fingers: create_signal(Fingers::default()),
            found: create_signal(None),
        }
    }

    /// Forgets everything.
    pub fn clear(self) {
        self.photo.set(None);
        self.strokes.set(Vec::new());
        self.under_way.set(Vec::new());
        self.put_away.set(Vec::new());
        self.way.set(Way::default());
        self.fingers.set(Fingers::default());
        self.found.set(None);
    }

    /// Whether there is a stroke or a part of one to take back.
    pub fn has_last(self) -> bool {
        self.strokes.with(|s| !s.is_empty()) || self.under_way.with(|s| !s.is_empty())
    }

    /// What taking back the last takes back.
    pub fn last_words(self) -> &'static str {
        let is_tapping = self.way.get() == Way::Tapped && self.under_way.with(|s| !s.is_empty());
        if is_tapping {
            "last point"
        } else {
            "last stroke"
        }
    }

    /// Takes back the last stroke; while one is tapped, its last place.
    pub fn take_back(self) {
        self.found.set(None);
        if self.under_way.with_untracked(|s| !s.is_empty()) {
            self.under_way.update(|s| {
                s.pop();
            });
        } else {
            self.strokes.update(|s| {
                s.pop();
            });
        }
    }

    /// Puts all strokes away; they can be brought back.
    pub fn put_all_away(self) {
        self.end_stroke();
        let all = self.strokes.get_clone_untracked();
        if !all.is_empty() {
            self.put_away.set(all);
            self.strokes.set(Vec::new());
        }
        self.found.set(None);
    }

    /// Brings back what was put away last, beside what was drawn since.
    pub fn bring_back(self) {
        let mut all = self.put_away.get_clone_untracked();
        self.put_away.set(Vec::new());
        self.strokes.update(|s| {
            all.append(s);
            *s = all;
        });
        self.found.set(None);
    }

    /// The stroke under way is done; one without length never was.
    pub fn end_stroke(self) {
        let stroke = self.under_way.get_clone_untracked();
        if stroke.is_empty() {
            return;
        }
        self.under_way.set(Vec::new());
        if stroke.len() > 1 {
            self.strokes.update(|s| s.push(stroke));
        }
    }
}

impl Default for Sketching {
    fn default() -> Self {
        Self::new()
    }
}

/// Looks for the outline closest to the strokes and shows it; says why there
/// is none.
pub fn make_shape(studio: Studio) {
    let sketch = studio.view.sketch;
    sketch.end_stroke();
    let strokes = sketch.strokes.get_clone_untracked();
    let found = glance(|| find(studio, &strokes));
    match found {
        Ok(found) => {
            studio.said.set(None);
            sketch.found.set(Some(Rc::new(found)));
        }
        Err(why) => studio.said.set(Some(format!(
            "{} Your strokes and the shape are as they were.",
            words::sentence(&why)
        ))),
    }
}

fn find(studio: Studio, strokes: &[Stroke]) -> Result<Found, String> {
    let missing = || "there is no shape to sketch over yet".to_owned();
    let record = studio.record().ok_or_else(missing)?;
    let study = studio.study().ok_or_else(missing)?;
    let drawn = study.as_ref().as_ref().map_err(words::study)?;
    let over = drawn
        .sketched_over(&record, strokes)
        .map_err(|e| e.to_string())?;
    let mut taken = (*record).clone();
    for edit in over.edits() {
        taken = apply(&taken, &edit).map_err(|e| e.to_string())?;
    }
    let taken = taken.drawn().map_err(|e| words::study(&e))?;
    Ok(Found {
        over,
        broken: drawn.broken_by(&taken),
        paths: Side::BOTH.map(|side| taken.photo_path(side)),
    })
}

/// Takes the outline that is shown as the shape, as one step.
pub fn take(studio: Studio) {
    let sketch = studio.view.sketch;
    let Some(found) = sketch.found.get_clone_untracked() else {
        return;
    };
    if studio.apply_all(&found.over.edits(), &found.over.words()) {
        sketch.put_all_away();
    }
}
