//! Parts of the app that are fetched when they are first used.
//!
//! The app is one program. The build takes out of it what only a part needs
//! and puts that in a file of its own (`later/NAME.….wasm`); what two parts
//! need and the rest doesn't becomes a file that both bring along. Memory and
//! state stay one: what is in a part takes and gives any value, follows
//! signals and builds views as if it had been there all the time. Parts come
//! quietly soon after the first screen, and the service worker keeps them, so
//! they are there without a network.
//!
//! # A place in a part
//! 1. A struct of function pointers, the views of the place, and a function
//!    that hands it out, marked `#[wasm_split(NAME, fallible)]`: see [`paper`].
//!    Nothing outside the part may call these views in another way, or they stay
//!    in the first load.
//! 2. A field of [`Parts`], made in [`Parts::new`] and fetched in
//!    [`Parts::come_quietly`].
//! 3. Where the place is shown: `studio.later.NAME.show(|views| (views.panel)(studio))`.
//!
//! # A heavy function in a part
//! The same, the struct beside the functions: see [`crate::client_files`]. One
//! that waits for something gives back a [`Work`]. Where it is used:
//!
//! ```ignore
//! let files = studio.later.files.get().await?;
//! let record = (files.read)(&text)?;
//! ```
//!
//! What went where and how large it is, `cargo xtask build` prints.

use std::cell::Cell;
use std::future::Future;
use std::pin::Pin;
use std::time::Duration;

use ophryon_archive::Passphrase;
use ophryon_record::Record;
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use wasm_split_helpers::{SplitLoaderError, wasm_split};

use crate::client_files::Files;
use crate::device::page;
use crate::device::pictures::Looks;
use crate::device::store::Entry;
use crate::home::Doing;
use crate::markup::{button, div, p, shows};
use crate::paper::agreement::PutOnPaper;
use crate::paper::press::Press;
use crate::places;
use crate::safe::backup::Whom;
use crate::safe::progress::Progress;
use crate::studio::Studio;

/// The first screen rests for this long before parts are fetched beside it.
const FIRST_SCREEN: Duration = Duration::from_secs(2);

/// All parts.
#[derive(Clone, Copy)]
pub struct Parts {
    /// The place Paper: layout, lettering, the sheets, printing, files to save.
    pub paper: Part<PaperViews>,
    /// The place Balance: both photos over each other, verdict, plan.
    pub balance: Part<BalanceViews>,
    /// Sketching and the hair: what is drawn on the face, and its panels.
    pub hands: Part<HandViews>,
    /// Keeping, opening and saving clients.
    pub files: Part<Files>,
    /// What is done with a shape beside drawing it: styles, what the client
    /// says, the healed size, kept shapes.
    pub shaping: Part<ShapingViews>,
    /// Looking at photos: files, sharpness, irises.
    pub photos: Part<Photos>,
    /// The place Show: handing over, what she said, what she agreed to.
    pub show: Part<ShowViews>,
    /// What the client sees while the device is in her hands.
    pub handed: Part<HandedViews>,
    /// The place Visits: the log, the healed check.
    pub visits: Part<VisitViews>,
    /// Finding, details, erasing, earlier versions: of the first screen and of a
    /// client.
    pub safe: Part<SafeViews>,
    /// Backups, and bringing clients back from one.
    pub backup: Part<BackupViews>,
    /// Sending a shape to a client's own device, and taking her answer.
    pub afar: Part<AfarViews>,
    /// What a client sees on a device of her own. Comes when a link or the
    /// studio's network brings her.
    pub guest: Part<GuestViews>,
    /// Writing PDF and DXF. Comes when it is used, never before.
    pub press: Part<Press>,
}

impl Parts {
    /// None of them here yet.
    pub fn new() -> Self {
        Self {
            paper: Part::new("Paper", || Box::pin(paper())),
            balance: Part::new("Balance", || Box::pin(balance())),
            hands: Part::new("What draws on the face", || Box::pin(hands())),
            files: Part::new("What keeps and opens clients", || Box::pin(files())),
            shaping: Part::new("What is done with a shape", || Box::pin(shaping())),
            photos: Part::new("The reader of photos", || Box::pin(photos())),
            show: Part::new("Show", || Box::pin(show())),
            handed: Part::new("What the client sees", || Box::pin(handed())),
            visits: Part::new("Visits", || Box::pin(visits())),
            backup: Part::new("Backup", || Box::pin(backup())),
            safe: Part::new("What keeps clients safe", || Box::pin(safe())),
            afar: Part::new("What goes to a client's own device", || Box::pin(afar())),
            guest: Part::new("The page to look at and sign", || Box::pin(guest())),
            press: Part::new("The writer of PDF", || Box::pin(press())),
        }
    }

    /// Fetches them in the background, one after the other: at once what keeps
    /// a client, the others once the first screen rests.
    pub fn come_quietly(self) {
        self.files.ask();
        page::later(FIRST_SCREEN, move || {
            spawn_local(async move {
                // One that doesn't come now is asked for again when it is used.
                let _ = self.files.get().await;
                let _ = self.photos.get().await;
                let _ = self.shaping.get().await;
                let _ = self.balance.get().await;
                let _ = self.hands.get().await;
                let _ = self.paper.get().await;
                let _ = self.show.get().await;
                let _ = self.afar.get().await;
                let _ = self.handed.get().await;
                let _ = self.visits.get().await;
                let _ = self.safe.get().await;
                let _ = self.backup.get().await;
            });
        });
    }
}

impl Default for Parts {
    fn default() -> Self {
        Self::new()
    }
}

/// What the place Paper shows, and whether it is done.
#[derive(Clone, Copy)]
pub struct PaperViews {
    /// The sheets, instead of the face.
    pub table: fn(Studio) -> View,
    /// What the panel asks and offers.
    pub panel: fn(Studio) -> View,
    /// The shape as it is was the last to be printed or saved.
    pub is_done: fn(Studio) -> bool,
    /// Prints an agreement, or saves it as PDF.
    pub agreement: PutOnPaper,
}

#[wasm_split(paper, fallible)]
fn paper() -> Result<PaperViews, Away> {
    Ok(PaperViews {
        table: crate::paper::table,
        panel: crate::paper::paper_panel,
        is_done: crate::paper::is_done,
        agreement: crate::paper::agreement::agreement,
    })
}

/// What the place Balance shows, how far it is, and every distance with its
/// uncertainty.
#[derive(Clone, Copy)]
pub struct BalanceViews {
    /// Both photos.
    pub table: fn(Studio) -> View,
    /// What the panel asks and offers.
    pub panel: fn(Studio) -> View,
    /// How far the place is.
    pub state: fn(&Record) -> places::State,
    /// What the photo that is looked at says in mm, for the panel of Face.
    pub measures: fn(Studio) -> View,
    /// The distances of the point in hand, drawn on the face.
    pub dimensions: fn(Studio) -> View,
}

#[wasm_split(balance, fallible)]
fn balance() -> Result<BalanceViews, Away> {
    Ok(BalanceViews {
        table: crate::balance::table,
        panel: crate::balance::balance_panel,
        state: crate::balance::state,
        measures: crate::measures::measures,
        dimensions: crate::measures::dimensions,
    })
}

/// What is done with a shape beside drawing it.
#[derive(Clone, Copy)]
pub struct ShapingViews {
    /// The sections of the panel.
    pub sections: fn(Studio) -> View,
    /// The panel while kept shapes are compared.
    pub compare_panel: fn(Studio) -> View,
    /// Kept shapes beside each other, instead of the face.
    pub table: fn(Studio) -> View,
}

#[wasm_split(shaping, fallible)]
fn shaping() -> Result<ShapingViews, Away> {
    Ok(ShapingViews {
        sections: crate::shaping::sections,
        compare_panel: crate::shaping::compare::panel,
        table: crate::shaping::compare::table,
    })
}

/// What the hands do on the face where the shape is made.
#[derive(Clone, Copy)]
pub struct HandViews {
    /// Strokes over the photo.
    pub sketch_over: fn(Studio) -> View,
    /// What the panel asks and offers for them.
    pub sketch: fn(Studio) -> View,
    /// The hair and the brush.
    pub hair_over: fn(Studio) -> View,
    /// What the panel asks and offers for it.
    pub hair: fn(Studio) -> View,
}

#[wasm_split(hands, fallible)]
fn hands() -> Result<HandViews, Away> {
    Ok(HandViews {
        sketch_over: crate::sketch::over,
        sketch: crate::sketch::panel,
        hair_over: crate::hair::over,
        hair: crate::hair::panel,
    })
}

/// The place Show.
#[derive(Clone, Copy)]
pub struct ShowViews {
    /// Her face as she will see it, instead of the stage.
    pub table: fn(Studio) -> View,
    /// What the panel asks and offers.
    pub panel: fn(Studio) -> View,
    /// How far the place is.
    pub state: fn(Studio) -> places::State,
    /// A word for other places: whether what she agreed to is what stands there.
    pub standing: fn(Studio) -> View,
    /// Whether undo would make another shape of the one that is agreed to.
    pub undo_leaves: fn(Studio) -> bool,
}

#[wasm_split(show, fallible)]
fn show() -> Result<ShowViews, Away> {
    Ok(ShowViews {
        table: crate::show::table,
        panel: crate::show::panel,
        state: crate::show::state,
        standing: crate::show::standing,
        undo_leaves: crate::show::undo_leaves,
    })
}

/// What goes on with a client's own device, in the place Show.
#[derive(Clone, Copy)]
pub struct AfarViews {
    /// Its section of the panel.
    pub section: fn(Studio) -> View,
    /// Takes a signed answer that a link brought to this device.
    pub land: fn(Studio, String),
}

#[wasm_split(afar, fallible)]
fn afar() -> Result<AfarViews, Away> {
    Ok(AfarViews {
        section: crate::show::afar::section,
        land: crate::show::afar::land,
    })
}

/// What the client sees while the device is in her hands.
#[derive(Clone, Copy)]
pub struct HandedViews {
    /// The whole page.
    pub whole: fn(Studio) -> View,
}

#[wasm_split(handed, fallible)]
fn handed() -> Result<HandedViews, Away> {
    Ok(HandedViews {
        whole: crate::handed::whole,
    })
}

/// The place Visits.
#[derive(Clone, Copy)]
pub struct VisitViews {
    /// What lies on the table: the visit in work, or the healed brows.
    pub table: fn(Studio) -> View,
    /// What the panel asks and offers.
    pub panel: fn(Studio) -> View,
}

#[wasm_split(visits, fallible)]
fn visits() -> Result<VisitViews, Away> {
    Ok(VisitViews {
        table: crate::visits::table,
        panel: crate::visits::panel,
    })
}

/// What a client sees on a device of her own.
#[derive(Clone, Copy)]
pub struct GuestViews {
    /// The whole page.
    pub whole: fn() -> View,
}

#[wasm_split(guest, fallible)]
fn guest() -> Result<GuestViews, Away> {
    Ok(GuestViews {
        whole: crate::guest::whole,
    })
}

/// Backups.
#[derive(Clone, Copy)]
pub struct BackupViews {
    /// Backup, bringing back and room, instead of the clients.
    pub page: fn(Doing) -> View,
    /// Makes one, shows how far it is and says what came of it.
    pub back_up: fn(Doing, Whom, Option<Passphrase>, Progress, Signal<Option<String>>),
}

#[wasm_split(backup, fallible)]
fn backup() -> Result<BackupViews, Away> {
    Ok(BackupViews {
        page: crate::safe::backup::page,
        back_up: crate::safe::backup::back_up,
    })
}

/// What keeps clients safe.
#[derive(Clone, Copy)]
pub struct SafeViews {
    /// How old the last backup is, on the first screen.
    pub card: fn(Doing) -> View,
    /// Finding a client among many.
    pub find: fn(Doing) -> View,
    /// Who a client of the list is, and what can be done with her file.
    pub details: fn(Doing, Entry) -> View,
    /// Who the client in work is.
    pub in_client: fn(Studio) -> View,
    /// What she wished for her photos, once it is time.
    pub wishes: fn(Studio) -> View,
    /// The same while that day lasts.
    pub wish_of_today: fn(Studio) -> View,
    /// Earlier versions of the client in work.
    pub versions: fn(Studio) -> View,
    /// Another window has the client in work.
    pub between_windows: fn(Studio) -> View,
}

#[wasm_split(safe, fallible)]
fn safe() -> Result<SafeViews, Away> {
    Ok(SafeViews {
        card: crate::safe::card,
        find: crate::safe::find,
        details: crate::safe::details,
        in_client: crate::safe::in_client,
        wishes: crate::safe::wishes,
        wish_of_today: crate::safe::wish_of_today,
        versions: crate::safe::versions,
        between_windows: crate::safe::between_windows,
    })
}

/// What looks at photos.
#[derive(Clone, Copy)]
pub struct Photos {
    /// At their files.
    pub looks: Looks,
    /// The photos that there are.
    pub strip: fn(Studio) -> View,
    /// What is asked of a photo that is there.
    pub panel: fn(Studio) -> View,
}

#[wasm_split(photos, fallible)]
fn photos() -> Result<Photos, Away> {
    Ok(Photos {
        looks: crate::face::looks::LOOKS,
        strip: crate::face::strip,
        panel: crate::face::of_a_photo,
    })
}

#[wasm_split(press, fallible)]
fn press() -> Result<Press, Away> {
    Ok(crate::paper::press::PRESS)
}

#[wasm_split(files, fallible)]
fn files() -> Result<Files, Away> {
    Ok(crate::client_files::FILES)
}

/// What a function of a part gives that waits for something.
pub type Work<T> = Pin<Box<dyn Future<Output = T>>>;

/// A part did not come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Away;

impl From<SplitLoaderError> for Away {
    fn from(_: SplitLoaderError) -> Self {
        Self
    }
}

/// A part of the app, and whether it is here. A handle.
pub struct Part<T: 'static>(&'static Held<T>);

impl<T> Clone for Part<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for Part<T> {}

struct Held<T> {
    name: &'static str,
    fetch: fn() -> Work<Result<T, Away>>,
    here: Cell<Option<T>>,
    state: Signal<State>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    Coming,
    Here,
    Away,
}

impl<T: Copy> Part<T> {
    /// Not here yet; `name` begins a sentence.
    fn new(name: &'static str, fetch: fn() -> Work<Result<T, Away>>) -> Self {
        Self(Box::leak(Box::new(Held {
            name,
            fetch,
            here: Cell::new(None),
            state: create_signal(State::Coming),
        })))
    }

    /// What is in it, fetched now if it isn't here.
    ///
    /// # Errors
    /// A sentence, where it can't be fetched; the next try begins anew.
    pub async fn get(self) -> Result<T, String> {
        if let Some(here) = self.0.here.get() {
            return Ok(here);
        }
        self.0.state.set(State::Coming);
        match (self.0.fetch)().await {
            Ok(here) => {
                self.0.here.set(Some(here));
                self.0.state.set(State::Here);
                Ok(here)
            }
            Err(Away) => {
                self.0.state.set(State::Away);
                Err(self.why_away())
            }
        }
    }

    fn ask(self) {
        if self.0.here.get().is_none() {
            spawn_local(async move {
                // Told by the state.
                let _ = self.get().await;
            });
        }
    }

    fn why_away(self) -> String {
        format!(
            "{} can't be fetched: the server can't be reached or has a newer version, and this device has no copy yet. Nothing of your work is lost. Try again, or go online and open the page again.",
            self.0.name
        )
    }

    /// What is in it, if it is here; followed.
    pub fn if_here(self) -> Option<T> {
        self.0.state.track();
        self.0.here.get()
    }

    /// A view of the part; until it is here, words about that.
    pub fn show(self, build: impl Fn(T) -> View + 'static) -> View {
        self.ask();
        shows(
            move || self.0.state.get(),
            move |state| match (state, self.0.here.get()) {
                (_, Some(here)) => build(here),
                (State::Away, None) => self.try_again(),
                // It shows only when it takes long; see the style.
                (State::Coming | State::Here, None) => div("coming quiet")
                    .at("role", "status")
                    .words(format!("Opening {} …", self.0.name))
                    .into(),
            },
        )
    }

    /// A view of the part; until it is here, nothing. For what stands beside
    /// another view that tells.
    pub fn show_when_here(self, build: impl Fn(T) -> View + 'static) -> View {
        self.ask();
        shows(
            move || self.0.state.get(),
            move |_| self.0.here.get().map_or_else(View::new, &build),
        )
    }

    fn try_again(self) -> View {
        div("word")
            .at("role", "alert")
            .id("part-away")
            .put(p(self.why_away()))
            .put(
                div("buttons").put(
                    button("button", "part-again")
                        .words("Try again")
                        .click(move || self.ask()),
                ),
            )
            .into()
    }
}
