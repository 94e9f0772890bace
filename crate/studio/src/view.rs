//! What the artist is looking at: never part of the record, never undone.

use ophryon_frames::{Photo as Px, Point};
use ophryon_stencil::Facing;
use sycamore::reactive::{Signal, create_signal};

use crate::ask::UnderWay;
use crate::device::page;
use crate::places::Place;
use crate::stage::scene::Grip;
use crate::stage::sight::{Sight, Size, Spot};

/// Something being aimed at, for the magnifier.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// The place under the crosshair.
    pub at: Point<Px>,
    /// Where the finger is, to keep the magnifier away from it; `None` for
    /// the keyboard.
    pub finger: Option<Spot>,
}

impl Default for Aim {
    fn default() -> Self {
        Self {
            at: Point::new(0.0, 0.0),
            finger: None,
        }
    }
}

/// How much of an upright tablet the panel takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SheetSize {
    /// Only thread and tools.
    Small,
    /// Under half.
    #[default]
    Half,
    /// Most of it.
    Tall,
}

impl SheetSize {
    /// One step larger or smaller.
    #[must_use]
    pub const fn stepped(self, up: bool) -> Self {
        match (self, up) {
            (Self::Small, true) | (Self::Tall, false) => Self::Half,
            (_, true) => Self::Tall,
            (_, false) => Self::Small,
        }
    }
}

/// Which sheet lies on the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum OnTable {
    /// The stencil.
    #[default]
    Stencil,
    /// The list of distances.
    Distances,
}

/// The view, as a handle: there is one for as long as the app runs, and each
/// closure on the page carries no more than its address.
#[derive(Clone, Copy)]
pub struct View(&'static Signals);

impl std::ops::Deref for View {
    type Target = Signals;
    fn deref(&self) -> &Signals {
        self.0
    }
}

/// The signals of the view.
pub struct Signals {
    /// Where she works.
    pub place: Signal<Place>,
    /// What is under way besides the record.
    pub way: Signal<UnderWay>,
    /// What she took hold of last.
    pub chosen: Signal<Option<Grip>>,
    /// What is being aimed at.
    pub aim: Signal<Option<Aim>>,
    /// Everything drawn is hidden while this is held.
    pub peek: Signal<bool>,
    /// The mapping lines are shown.
    pub mapping: Signal<bool>,
    /// A mend she is looking at: path data in the photo's px.
    pub ghost: Signal<Option<String>>,
    /// What part of the photo is shown.
    pub sight: Signal<Sight>,
    /// Size of the stage, CSS px.
    pub stage: Signal<Size>,
    /// Size of the panel on an upright tablet.
    pub sheet: Signal<SheetSize>,
    /// Shape begins with the tape open.
    pub tape: Signal<bool>,
    /// Which sheet lies on the table.
    pub on_table: Signal<OnTable>,
    /// Which way the sheet lies on the skin.
    pub facing: Signal<Facing>,
    /// Counts the flights of the sight, so that a newer one ends an older.
    flight: Signal<u32>,
}

impl View {
    /// As at the opening of a client.
    pub fn new() -> Self {
        Self(Box::leak(Box::new(Signals {
            place: create_signal(Place::Face),
            way: create_signal(UnderWay::default()),
            chosen: create_signal(None),
            aim: create_signal(None),
            peek: create_signal(false),
            mapping: create_signal(true),
            ghost: create_signal(None),
            sight: create_signal(Sight::default()),
            stage: create_signal(Size::default()),
            sheet: create_signal(SheetSize::default()),
            tape: create_signal(false),
            on_table: create_signal(OnTable::default()),
            facing: create_signal(Facing::default()),
            flight: create_signal(0),
        })))
    }

    /// Forgets what belonged to the last client.
    pub fn clear(self) {
        self.place.set(Place::Face);
        self.way.set(UnderWay::default());
        self.let_go();
        self.mapping.set(true);
        self.sheet.set(SheetSize::default());
        self.on_table.set(OnTable::default());
        self.facing.set(Facing::default());
    }

    /// Nothing is held, aimed at or looked at.
    pub fn let_go(self) {
        self.chosen.set(None);
        self.aim.set(None);
        self.ghost.set(None);
        self.peek.set(false);
    }

    /// Goes to a place of the work.
    pub fn go(self, place: Place) {
        if self.place.get_untracked() != place {
            self.let_go();
            self.place.set(place);
        }
    }

    /// Shows another part of the photo at once, ending any flight.
    pub fn look(self, sight: Sight) {
        self.flight.update_silent(|n| *n = n.wrapping_add(1));
        self.sight.set(sight);
    }

    /// Goes there in a quarter of a second, or at once where the system asks
    /// for less motion.
    pub fn fly(self, to: Sight) {
        const SECONDS: f64 = 0.28;
        let from = self.sight.get_untracked();
        if page::wants_stillness() || from == to {
            return self.look(to);
        }
        self.flight.update_silent(|n| *n = n.wrapping_add(1));
        let (number, begun) = (self.flight.get_untracked(), js_sys::Date::now());
        self.fly_on(from, to, number, begun, SECONDS * 1000.0);
    }

    fn fly_on(self, from: Sight, to: Sight, number: u32, begun: f64, length: f64) {
        page::next_frame(move || {
            // A newer flight, a finger or the end of the client stops this one.
            if self.flight.get_untracked() != number {
                return;
            }
            let t = ((js_sys::Date::now() - begun) / length).clamp(0.0, 1.0);
            if t >= 1.0 {
                self.sight.set(to);
                return;
            }
            let eased = t * t * (3.0 - 2.0 * t);
            let stage = self.stage.get_untracked();
            self.sight.set(from.toward(to, eased, stage));
            self.fly_on(from, to, number, begun, length);
        });
    }
}

impl Default for View {
    fn default() -> Self {
        Self::new()
    }
}
