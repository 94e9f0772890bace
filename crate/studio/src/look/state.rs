//! How her face is looked at. Never part of the record.

use ophryon_powder::Tone;
use sycamore::reactive::{Signal, create_signal};

/// Nothing is drawn on her face.
pub const BEFORE: f64 = 0.0;
/// The outline is, as a thin soft line.
pub const DRAWN: f64 = 1.0;
/// The powder as it looks on the first days.
pub const FRESH: f64 = 2.0;
/// What stays of it.
pub const HEALED: f64 = 3.0;

/// The key of [`IMPRESSION`] among the messages.
pub const IMPRESSION_KEY: &str = "look-impression";

/// What every view of the powder says beside it, in English.
pub const IMPRESSION: &str = "Colour is an impression; the shape is what is agreed.";

/// Which way round she sees herself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Facing {
    /// As in a mirror.
    Mirror,
    /// As others see her, and as the photo is.
    #[default]
    Others,
}

/// How near.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Near {
    /// Both brows and the eyes.
    #[default]
    Brows,
    /// All of the face.
    Face,
}

/// How her face is looked at: a handle, the same for every view of it.
#[derive(Debug, Clone, Copy)]
pub struct LookState {
    /// Where the slider stands, from [`BEFORE`] to [`HEALED`]; between two
    /// stages one passes into the next.
    pub stage: Signal<f64>,
    /// Tone of the powder.
    pub tone: Signal<Tone>,
    /// A kept shape by its place among `record.variants`; `None` is the
    /// present one.
    pub variant: Signal<Option<usize>>,
    /// Which way round.
    pub facing: Signal<Facing>,
    /// How near.
    pub near: Signal<Near>,
}

impl LookState {
    /// The healed brow of the present shape: what stays, first.
    pub fn new() -> Self {
        Self {
            stage: create_signal(HEALED),
            tone: create_signal(Tone::default()),
            variant: create_signal(None),
            facing: create_signal(Facing::default()),
            near: create_signal(Near::default()),
        }
    }

    /// As for another client.
    pub fn clear(self) {
        self.stage.set(HEALED);
        self.tone.set(Tone::default());
        self.variant.set(None);
        self.facing.set(Facing::default());
        self.near.set(Near::default());
    }
}
