//! What the artist is looking at: never part of the record, never undone.

use std::collections::BTreeSet;

use ophryon_face::Landmark;
use ophryon_frames::{Photo as Px, Point, Side};
use ophryon_record::{BrowPlace, PhotoState};
use ophryon_stencil::DistanceId;
use sycamore::reactive::{Signal, create_signal};

use crate::ask::UnderWay;
use crate::device::page;
use crate::device::pictures::Picture;
use crate::face::quality::JudgedPhoto;
use crate::hair::Hairing;
use crate::look::LookState;
use crate::places::Place;
use crate::sketch::Sketching;
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

/// The rim of an iris, and in which photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoundRim {
    /// Of the face in that state.
    pub state: PhotoState,
    /// Which pupil lies in it.
    pub landmark: Landmark,
    /// Its middle.
    pub centre: Point<Px>,
    /// Its radius, px.
    pub radius_px: f64,
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

/// What lies on the table of the last place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum OnTable {
    /// The sheets as they will be printed.
    #[default]
    Sheets,
    /// The list that the ruler's readings go into.
    Ruler,
    /// The check page of a printer.
    Printer,
}

/// What the hands do on the face where the shape is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Hand {
    /// They take hold of the brow's points.
    #[default]
    Points,
    /// They draw lines.
    Sketch,
    /// They say where hair is.
    Hair,
}

/// How the two photos are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Compare {
    /// Both at once.
    #[default]
    Both,
    /// The one at rest.
    AtRest,
    /// The one in use, where it lies on the other.
    InUse,
    /// One after the other.
    Blink,
}

/// What is looked at where the brows are compared.
#[derive(Clone, Copy)]
pub struct BalanceView {
    /// How.
    pub how: Signal<Compare>,
    /// While they blink, the one in use is seen.
    pub blinked: Signal<bool>,
    /// One place of the brows only.
    pub only: Signal<Option<BrowPlace>>,
    /// Which photo the one at rest is compared with.
    pub against: Signal<PhotoState>,
    /// The photo at rest has to do.
    pub alone: Signal<bool>,
}

impl BalanceView {
    fn new() -> Self {
        Self {
            how: create_signal(Compare::default()),
            blinked: create_signal(false),
            only: create_signal(None),
            against: create_signal(PhotoState::EyesOpen),
            alone: create_signal(false),
        }
    }

    fn clear(self) {
        self.how.set(Compare::default());
        self.only.set(None);
        self.against.set(PhotoState::EyesOpen);
        self.alone.set(false);
    }
}

/// How kept shapes are laid out to be compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lay {
    /// All at once.
    SideBySide,
    /// One after the other on the same spot.
    InTurn,
}

/// What is looked at beside the present shape.
#[derive(Clone, Copy)]
pub struct BesideView {
    /// What stays of both brows is shown on the face.
    pub shows_healed: Signal<bool>,
    /// What would have to be drawn to keep this shape is shown there.
    pub shows_larger: Signal<bool>,
    /// Both: path data in the photo's px.
    pub healed: Signal<Option<String>>,
    /// Kept shapes are compared, and how.
    pub compared: Signal<Option<Lay>>,
    /// Which of them has its turn, from 0.
    pub turn: Signal<usize>,
}

impl BesideView {
    fn new() -> Self {
        Self {
            shows_healed: create_signal(false),
            shows_larger: create_signal(false),
            healed: create_signal(None),
            compared: create_signal(None),
            turn: create_signal(0),
        }
    }

    fn clear(self) {
        self.shows_healed.set(false);
        self.shows_larger.set(false);
        self.healed.set(None);
        self.compared.set(None);
        self.turn.set(0);
    }
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
    /// Which photo she looks at there: the one of the face in that state.
    pub on_photo: Signal<PhotoState>,
    /// A photo that was brought, until it is known what the face is doing.
    pub coming: Signal<Option<Picture>>,
    /// The rim of an iris that was just found.
    pub found: Signal<Option<FoundRim>>,
    /// What the pixels of a photo say of it.
    pub judged: Signal<Option<JudgedPhoto>>,
    /// What is under way besides the record.
    pub way: Signal<UnderWay>,
    /// What she took hold of last.
    pub chosen: Signal<Option<Grip>>,
    /// What is being aimed at.
    pub aim: Signal<Option<Aim>>,
    /// Everything drawn is hidden while this is held.
    pub peek: Signal<bool>,
    /// What the hands do there.
    pub hand: Signal<Hand>,
    /// Strokes over the photo.
    pub sketch: Sketching,
    /// The hair and its brush.
    pub hairing: Hairing,
    /// The mapping lines are shown.
    pub mapping: Signal<bool>,
    /// A mend she is looking at: path data in the photo's px.
    pub ghost: Signal<Option<String>>,
    /// What part of the photo is shown.
    pub sight: Signal<Sight>,
    /// Size of the stage, CSS px.
    pub stage: Signal<Size>,
    /// What is looked at where the brows are compared.
    pub balance: BalanceView,
    /// What is looked at beside the present shape.
    pub beside: BesideView,
    /// How her face is looked at with the powder on it.
    pub look: LookState,
    /// Who she is stands open above the panel's own.
    pub details: Signal<bool>,
    /// Size of the panel on an upright tablet.
    pub sheet: Signal<SheetSize>,
    /// What lies on the table.
    pub on_table: Signal<OnTable>,
    /// Which of the pages on the table, from 0.
    pub page: Signal<usize>,
    /// How many times larger than to be seen whole.
    pub nearer: Signal<f64>,
    /// The reading that is asked for; else the first that wasn't read.
    pub reading: Signal<Option<(DistanceId, Side)>>,
    /// Readings left out for now.
    pub left_out: Signal<BTreeSet<(DistanceId, Side)>>,
    /// The check page on the table is corrected for this printer.
    pub check_for: Signal<Option<String>>,
    /// The undo that would leave what she agreed to, in words, while it is asked
    /// whether it is meant.
    pub undo_asked: Signal<Option<String>>,
    /// Counts the flights of the sight, so that a newer one ends an older.
    flight: Signal<u32>,
}

impl View {
    /// As at the opening of a client.
    pub fn new() -> Self {
        Self(Box::leak(Box::new(Signals {
            place: create_signal(Place::Face),
            on_photo: create_signal(PhotoState::default()),
            coming: create_signal(None),
            found: create_signal(None),
            judged: create_signal(None),
            way: create_signal(UnderWay::default()),
            chosen: create_signal(None),
            aim: create_signal(None),
            peek: create_signal(false),
            hand: create_signal(Hand::default()),
            sketch: Sketching::new(),
            hairing: Hairing::new(),
            mapping: create_signal(true),
            ghost: create_signal(None),
            sight: create_signal(Sight::default()),
            stage: create_signal(Size::default()),
            balance: BalanceView::new(),
            beside: BesideView::new(),
            look: LookState::new(),
            details: create_signal(false),
            sheet: create_signal(SheetSize::default()),
            on_table: create_signal(OnTable::default()),
            page: create_signal(0),
            nearer: create_signal(1.0),
            reading: create_signal(None),
            left_out: create_signal(BTreeSet::new()),
            check_for: create_signal(None),
            undo_asked: create_signal(None),
            flight: create_signal(0),
        })))
    }

    /// Forgets what belonged to the last client.
    pub fn clear(self) {
        self.place.set(Place::Face);
        self.details.set(false);
        self.on_photo.set(PhotoState::default());
        self.coming.set(None);
        self.judged.set(None);
        self.balance.clear();
        self.beside.clear();
        self.look.clear();
        self.way.set(UnderWay::default());
        self.let_go();
        self.hand.set(Hand::default());
        self.sketch.clear();
        self.hairing.clear();
        self.mapping.set(true);
        self.sheet.set(SheetSize::default());
        self.lay_out(OnTable::default());
        self.left_out.set(BTreeSet::new());
        self.undo_asked.set(None);
    }

    /// Lays something else on the table of the last place.
    pub fn lay_out(self, on_table: OnTable) {
        self.page.set(0);
        self.nearer.set(1.0);
        self.check_for.set(None);
        self.reading.set(None);
        self.on_table.set(on_table);
    }

    /// Looks at the photo of the face in another state.
    pub fn look_at_photo(self, state: PhotoState) {
        self.coming.set(None);
        self.way.update(|w| {
            // What was left out stays left out.
            *w = UnderWay {
                skipped: std::mem::take(&mut w.skipped),
                tape: w.tape,
                ..UnderWay::default()
            };
        });
        self.let_go();
        self.on_photo.set(state);
    }

    /// Nothing is held, aimed at or looked at.
    pub fn let_go(self) {
        self.found.set(None);
        self.chosen.set(None);
        self.aim.set(None);
        self.ghost.set(None);
        self.peek.set(false);
    }

    /// Takes up something else on the face.
    pub fn take_up(self, hand: Hand) {
        if self.hand.get_untracked() != hand {
            self.let_go();
            self.hand.set(hand);
        }
    }

    /// Goes to a place of the work.
    pub fn go(self, place: Place) {
        if self.place.get_untracked() != place {
            self.let_go();
            self.beside.compared.set(None);
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
