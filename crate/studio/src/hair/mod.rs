//! The natural hair: found in the photo, corrected with a brush, and what the
//! outline has of it.
//!
//! The border is kept in the record as one line round each brow; see
//! [`border`].

mod border;
mod bring;
mod find;
mod layers;
mod limits;
mod over;
mod panel;

use std::rc::Rc;

use ophryon_frames::{Photo as Px, Point, Side};
use ophryon_photo::{Brush, brushed};
use ophryon_record::Edit;
use sycamore::reactive::{Signal, create_signal};

pub use bring::Brought;
pub use over::over;
pub use panel::panel;

use crate::markup::glance;
use crate::stage::stroke::Fingers;
use crate::studio::Studio;
use crate::words;

/// Sizes of the brush, mm, with their names.
const SIZES: [(f64, &str); 3] = [(1.0, "Fine"), (2.5, "Medium"), (5.0, "Broad")];

/// Looking for hair, and the brush.
#[derive(Clone, Copy)]
pub struct Hairing {
    /// It is looked for now.
    pub is_busy: Signal<bool>,
    /// What is to be known of what was found, and in which photo.
    pub remarks: Signal<Vec<String>>,
    /// What the brush does.
    pub brush: Signal<Adds>,
    /// How broad it is, mm.
    pub size_mm: Signal<f64>,
    /// Where it is.
    pub at: Signal<Option<Point<Px>>>,
    /// What it has gone over.
    pub stroke: Signal<Vec<Point<Px>>>,
    /// What a finger does.
    pub fingers: Signal<Fingers>,
    /// Whose hair the shape is brought to.
    pub side: Signal<Side>,
    /// A shape brought to it, to be looked at.
    pub brought: Signal<Option<Rc<Brought>>>,
    /// Hair outside of the brows is shown.
    pub shows_outside: Signal<bool>,
    /// Bare skin inside is shown.
    pub shows_bare: Signal<bool>,
}

/// Whether the brush adds hair or takes it away.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Adds {
    /// Hair grows here too.
    #[default]
    Hair,
    /// No hair here.
    Skin,
}

impl Hairing {
    /// Nothing looked for yet.
    pub fn new() -> Self {
        Self {
            is_busy: create_signal(false),
            remarks: create_signal(Vec::new()),
            brush: create_signal(Adds::default()),
            size_mm: create_signal(SIZES[1].0),
            at: create_signal(None),
            stroke: create_signal(Vec::new()),
            fingers: create_signal(Fingers::default()),
            side: create_signal(Side::Right),
            brought: create_signal(None),
            shows_outside: create_signal(true),
            shows_bare: create_signal(true),
        }
    }

    /// Forgets what belonged to the last client.
    pub fn clear(self) {
        self.is_busy.set(false);
        self.remarks.set(Vec::new());
        self.at.set(None);
        self.stroke.set(Vec::new());
        self.fingers.set(Fingers::default());
        self.side.set(Side::Right);
        self.brought.set(None);
        self.shows_outside.set(true);
        self.shows_bare.set(true);
    }
}

impl Default for Hairing {
    fn default() -> Self {
        Self::new()
    }
}

/// The border of one side as it is kept; empty where there is none.
fn kept(studio: Studio, side: Side) -> Vec<Point<Px>> {
    let record = studio.record();
    let photo = record.as_ref().and_then(|r| r.design_photo());
    photo.map(|p| p.hair.get(side).clone()).unwrap_or_default()
}

/// Some hair was found or brushed.
fn is_there(studio: Studio) -> bool {
    Side::BOTH
        .into_iter()
        .any(|side| !kept(studio, side).is_empty())
}

/// Px of the photo to a millimetre.
fn px_per_mm(studio: Studio) -> Option<f64> {
    studio.of_shape(|d| 1.0 / d.measured.levelled.scale().mm_per_px())
}

/// What the brush has gone over becomes hair or skin, as one step.
fn end_stroke(studio: Studio) {
    let hairing = studio.view.hairing;
    let stroke = hairing.stroke.get_clone_untracked();
    hairing.stroke.set(Vec::new());
    if stroke.is_empty() {
        return;
    }
    if let Err(why) = glance(|| brush(studio, &stroke)) {
        studio.said.set(Some(words::sentence(&why)));
    }
}

fn brush(studio: Studio, stroke: &[Point<Px>]) -> Result<(), String> {
    let hairing = studio.view.hairing;
    let (Some(photo), Some(px_per_mm)) = (studio.photo(), px_per_mm(studio)) else {
        return Ok(());
    };
    let Some(side) = studio.of_shape(|d| d.side_of_stroke(stroke)) else {
        return Ok(());
    };
    let (brush, verb) = match hairing.brush.get() {
        Adds::Hair => (Brush::Add, "brush hair onto"),
        Adds::Skin => (Brush::Remove, "brush hair off"),
    };
    let before = border::parted(&kept(studio, side));
    if before.is_empty() && brush == Brush::Remove {
        return Err(format!(
            "there is no hair on {} brow to take away",
            words::side_of(side)
        ));
    }
    let rings = brushed(&before, stroke, brush, hairing.size_mm.get(), px_per_mm)
        .map_err(|e| e.to_string())?;
    let edit = Edit::TraceHair {
        photo: photo.id,
        side,
        border: border::joined(&rings),
    };
    studio.apply_all(
        &[edit],
        &format!("{verb} the client's {} brow", side.name()),
    );
    Ok(())
}

/// The hair of both brows is taken away, as one step.
fn remove(studio: Studio) {
    let Some(photo) = glance(|| studio.photo()) else {
        return;
    };
    studio.view.hairing.remarks.set(Vec::new());
    let edits = Side::BOTH.map(|side| Edit::TraceHair {
        photo: photo.id.clone(),
        side,
        border: Vec::new(),
    });
    studio.apply_all(&edits, "remove the hair of both brows");
}
