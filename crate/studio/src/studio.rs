//! The state of the app and what can be done with it. Everything shown is a
//! function of one record and one view; everything done to the record is an
//! edit.

use std::rc::Rc;

use ophryon_brow::Handle;
use ophryon_face::{Landmark, Reference, check_photo_width};
use ophryon_frames::{Front, Lateral, Photo as Px, Point, Side, Vector};
use ophryon_record::{Drawn, Edit, History, Photo, Record, StudyError};
use sycamore::reactive::{ReadSignal, Signal, create_memo, create_signal};

use crate::ask::{self, Ask, KnownSize, ScaleKind, ScaleTry};
use crate::device::settings::Settings;
use crate::keeper::Keeper;
use crate::later::Parts;
use crate::lock::Lock;
use crate::markup::{glance, selector};
use crate::places::Place;
use crate::stage::scene::{Grip, Looking, Scene, scene};
use crate::stage::sight::Size;
use crate::view::View;
use crate::words;

/// The client in work.
#[derive(Clone)]
pub struct Work {
    /// Key in the store.
    pub key: String,
    /// The record with its past.
    pub history: History,
}

/// The state of the app.
///
/// What is read from a signal is taken out of it (records and drawings are
/// shared) before anything else is read: a signal must not be set while it is
/// being looked into.
///
/// A handle: there is one for as long as the app runs, and each closure on the
/// page carries no more than its address.
#[derive(Clone, Copy)]
pub struct Studio(&'static State);

impl std::ops::Deref for Studio {
    type Target = State;
    fn deref(&self) -> &State {
        self.0
    }
}

/// The signals of the app.
pub struct State {
    /// The client in work; `None` on the first screen.
    pub work: Signal<Option<Work>>,
    /// The device is in the client's hands: nothing but her own face is shown
    /// until the artist's code takes it back.
    pub handed: Signal<bool>,
    /// The lock that holds it there.
    pub lock: Lock,
    /// What the artist is looking at.
    pub view: View,
    /// What she chose for this device.
    pub settings: Settings,
    /// Pictures, and keeping the client.
    pub keeper: Keeper,
    /// What is fetched when it is first used.
    pub later: Parts,
    /// The last refusal or remark, one sentence.
    pub said: Signal<Option<String>>,
    /// The shape last printed or saved, by its mark.
    pub on_paper: Signal<Option<String>>,
    /// The record as shown, with an unfinished gesture.
    shown: ReadSignal<Option<Rc<Record>>>,
    /// What follows from it.
    drawn: ReadSignal<Option<Rc<Study>>>,
    /// What is asked for.
    pub ask: ReadSignal<Ask>,
    /// What is drawn over the face.
    pub scene: ReadSignal<Rc<Scene>>,
}

/// What follows from a record, or why nothing does.
pub type Study = Result<Drawn, StudyError>;

impl Studio {
    /// Nothing open yet.
    pub fn new() -> Self {
        let work = create_signal(None::<Work>);
        let view = View::new();
        let shown = selector(Box::new(move || {
            work.with(|w| w.as_ref().map(|w| Rc::new(w.history.shown().clone())))
        }));
        let drawn = create_memo(move || shown.get_clone().map(|r| Rc::new(r.drawn())));
        let ask = selector(Box::new(move || match shown.get_clone() {
            Some(record) => ask::next(&record, view.on_photo.get(), &view.way.get_clone()),
            None => Ask::Nothing,
        }));
        let scene = selector(Box::new(move || {
            let way = view.way.get_clone();
            let looking = Looking {
                place: view.place.get(),
                state: view.on_photo.get(),
                found: view.found.get(),
                ask: ask.get_clone(),
                chosen: view.chosen.get(),
                hand: view.hand.get(),
                is_before: view.sketch.found.with(Option::is_some),
                mapping: view.mapping.get(),
                ghost: view.ghost.get_clone(),
                healed: view.beside.healed.get_clone(),
                scale_taps: way.scale.map(|s| s.taps).unwrap_or_default(),
            };
            let drawn = drawn.get_clone();
            let drawn = drawn.as_ref().and_then(|d| d.as_ref().as_ref().ok());
            Rc::new(match shown.get_clone() {
                Some(record) => scene(&record, drawn, &looking),
                None => Scene::default(),
            })
        }));
        Self(Box::leak(Box::new(State {
            work,
            handed: create_signal(false),
            lock: Lock::restore(),
            view,
            settings: Settings::restore(),
            keeper: Keeper::new(),
            later: Parts::new(),
            said: create_signal(None),
            on_paper: create_signal(None),
            shown,
            drawn,
            ask,
            scene,
        })))
    }

    /// The record as shown.
    pub fn record(self) -> Option<Rc<Record>> {
        self.shown.get_clone()
    }

    /// What follows from it.
    pub fn study(self) -> Option<Rc<Study>> {
        self.drawn.get_clone()
    }

    /// Something of the shape, while there is one.
    pub fn of_shape<T>(self, read: impl FnOnce(&Drawn) -> T) -> Option<T> {
        let study = self.drawn.get_clone()?;
        study.as_ref().as_ref().ok().map(read)
    }

    /// Why there is no shape, in words.
    pub fn hindrance(self) -> Option<String> {
        let study = self.drawn.get_clone()?;
        study.as_ref().as_ref().err().map(words::study)
    }

    /// Whether a client is open, and changes only then.
    pub fn key_now(self) -> Option<String> {
        self.work
            .with_untracked(|w| w.as_ref().map(|w| w.key.clone()))
    }

    /// The record without an unfinished gesture.
    pub fn settled(self) -> Option<Record> {
        self.work
            .with_untracked(|w| w.as_ref().map(|w| w.history.now().clone()))
    }

    /// The photo that is worked on: the one that is looked at among the
    /// photos, else the one that the brows are designed on.
    pub fn photo(self) -> Option<Photo> {
        let record = self.record()?;
        self.photo_of(&record).cloned()
    }

    fn photo_of(self, record: &Record) -> Option<&Photo> {
        match self.view.place.get() {
            Place::Face => ask::photo_in(record, self.view.on_photo.get()),
            _ => record.design_photo(),
        }
    }

    /// Its size in px.
    pub fn photo_size(self) -> Size {
        let record = self.record();
        let photo = record.as_ref().and_then(|r| self.photo_of(r));
        photo.map_or(Size::default(), |p| {
            Size::new(f64::from(p.width_px), f64::from(p.height_px))
        })
    }

    /// The same without following it.
    pub fn photo_size_now(self) -> Size {
        glance(|| self.photo_size())
    }

    /// Says why something was not done; what was said before is done with.
    pub fn tell(self, outcome: Result<(), String>) -> bool {
        let is_done = outcome.is_ok();
        self.said.set(outcome.err());
        is_done
    }

    /// Makes an edit as one step of the history.
    pub fn apply(self, edit: &Edit) -> bool {
        self.change(|history| history.apply(edit).map_err(|e| e.to_string()))
    }

    /// Makes several edits as one step.
    pub fn apply_all(self, edits: &[Edit], what: &str) -> bool {
        self.change(|history| history.apply_all(edits, what).map_err(|e| e.to_string()))
    }

    fn change(self, make: impl FnOnce(&mut History) -> Result<bool, String>) -> bool {
        self.view.ghost.set(None);
        if let Err(why) = self.keeper.may_change() {
            return self.tell(Err(why));
        }
        let outcome = self
            .work
            .update(|work| work.as_mut().map(|work| make(&mut work.history)));
        match outcome {
            Some(Ok(_)) => {
                self.said.set(None);
                true
            }
            Some(Err(why)) => {
                self.said.set(Some(words::sentence(&why)));
                false
            }
            None => false,
        }
    }

    /// Makes an edit of words that are being written; see
    /// [`History::write_on`].
    pub fn write_on(self, edit: &Edit) -> bool {
        self.change(|history| history.write_on(edit).map_err(|e| e.to_string()))
    }

    /// A field is entered or left: what is written next is another step.
    pub fn written(self) {
        self.work.update_silent(|work| {
            if let Some(work) = work {
                work.history.written();
            }
        });
    }

    /// Shows an edit of an unfinished gesture; what can't be drawn is said and
    /// the last good shape stays.
    pub fn preview(self, edit: &Edit) {
        if let Err(why) = self.keeper.may_change() {
            self.tell(Err(why));
            return;
        }
        let refused = self
            .work
            .update(|work| work.as_mut()?.history.preview(edit).err());
        let said = refused.map(|why| {
            let why = words::sentence(&why.to_string());
            format!("{why} The last shape that can be drawn stays.")
        });
        if self.said.with_untracked(|s| *s != said) {
            self.said.set(said);
        }
    }

    /// Ends a gesture as one step.
    pub fn finish(self) {
        if self.is_previewing() {
            self.work.update(|w| {
                if let Some(work) = w {
                    work.history.finish();
                }
            });
        }
    }

    /// Drops a gesture.
    pub fn abandon(self) {
        if self.is_previewing() {
            self.work.update(|w| {
                if let Some(work) = w {
                    work.history.abandon();
                }
            });
        }
    }

    /// Whether a gesture is unfinished.
    pub fn is_previewing(self) -> bool {
        self.work
            .with_untracked(|w| w.as_ref().is_some_and(|w| w.history.is_previewing()))
    }

    /// Takes back the last step. Where she agreed to the shape as it is, and
    /// it would be another afterwards, only the second time.
    pub fn undo(self) {
        let asked = self.view.undo_asked;
        if let Some(words) = self.undo_leaves_agreed()
            && asked.with_untracked(|a| a.as_ref() != Some(&words))
        {
            asked.set(Some(words));
            return;
        }
        asked.set(None);
        self.change(|history| Ok(history.undo()));
    }

    /// What undo would take back, where she agreed to it; followed by who is
    /// followed.
    pub fn undo_leaves_agreed(self) -> Option<String> {
        let show = self.later.show.if_here()?;
        let words = self.work.with(|w| {
            let history = w.as_ref().map(|w| &w.history);
            history.and_then(|h| h.undo_words().map(str::to_owned))
        })?;
        (show.undo_leaves)(self).then_some(words)
    }

    /// Brings it again.
    pub fn redo(self) {
        self.change(|history| Ok(history.redo()));
    }

    /// A place of the photo answers what is asked for.
    pub fn answer(self, at: Point<Px>) {
        let Some(photo) = glance(|| self.photo()) else {
            return;
        };
        match self.ask.get_clone_untracked() {
            Ask::Landmark(landmark) => self.answer_landmark(photo.id, landmark, at),
            Ask::ScaleTap { .. } => {
                self.said.set(None);
                let tried = self.view.way.update(|w| {
                    let scale = w.scale.as_mut()?;
                    scale.taps.push(at);
                    Some(scale.clone())
                });
                if let Some(tried) = &tried {
                    let last = Grip::Scale(tried.taps.len().saturating_sub(1));
                    self.view.chosen.set(Some(last));
                }
                if let Some(tried) = tried
                    && tried.taps.len() == tried.kind.taps()
                    && !tried.kind.has_length()
                {
                    self.set_scale(&tried, KnownSize::Given);
                }
            }
            _ => {}
        }
    }

    fn answer_landmark(self, photo: String, landmark: Landmark, at: Point<Px>) {
        let once_more = self.view.way.with_untracked(|w| w.once_more);
        let edit = if once_more {
            Edit::TapAgain {
                photo,
                landmark,
                at,
            }
        } else {
            Edit::SetLandmark {
                photo,
                landmark,
                at,
            }
        };
        if !self.apply(&edit) {
            return;
        }
        self.view.found.set(None);
        self.view.chosen.set(Some(Grip::Landmark(landmark)));
        self.view.way.update(|w| {
            w.again = None;
            w.once_more = false;
        });
        if !once_more {
            self.snap(landmark, at);
        }
    }

    /// Takes a finished reference, or says why not and asks for it again.
    pub fn set_scale(self, tried: &ScaleTry, size: KnownSize) -> bool {
        match ask::reference(tried, size) {
            Some(reference) => self.set_reference(reference, tried),
            None => false,
        }
    }

    /// Takes a reference; one that gives no scale is said and not taken.
    pub fn set_reference(self, reference: Reference, tried: &ScaleTry) -> bool {
        let Some(photo) = glance(|| self.photo()) else {
            return false;
        };
        // A caliper's landmarks are asked for next, so it may be early.
        let is_caliper = tried.kind == ScaleKind::Caliper;
        if let Err(why) = reference.scale(&photo.landmarks)
            && !is_caliper
        {
            self.said.set(Some(words::sentence(&why.to_string())));
            self.view.way.update(|w| {
                if let Some(scale) = &mut w.scale {
                    // The card's length stands; only its height is asked again.
                    let keep = if tried.taps.len() > 2 { 2 } else { 0 };
                    if !tried.kind.has_length() {
                        scale.taps.truncate(keep);
                    }
                }
            });
            return false;
        }
        let doubt = reference
            .scale(&photo.landmarks)
            .ok()
            .and_then(|s| check_photo_width(photo.width_px.into(), s.mm_per_px()));
        let id = photo.id;
        let edit = match tried.instead {
            Some(index) if index < photo.references.len() => Edit::ReplaceReference {
                photo: id,
                index,
                reference,
            },
            _ => Edit::AddReference {
                photo: id,
                reference,
            },
        };
        let taken = self.apply(&edit);
        if taken {
            self.said.set(doubt);
            self.view.chosen.set(None);
            self.view.way.update(|w| {
                w.scale = None;
                w.other_scale = None;
            });
        }
        taken
    }

    /// The edit that puts a grip on a place of the photo.
    fn edit_to(self, grip: Grip, at: Point<Px>) -> Result<Option<Edit>, String> {
        let Some(photo) = glance(|| self.photo()) else {
            return Ok(None);
        };
        Ok(match grip {
            Grip::Landmark(landmark) => Some(Edit::SetLandmark {
                photo: photo.id,
                landmark,
                at,
            }),
            Grip::Scale(_) => None,
            Grip::Reference(index, tap) => {
                let reference = photo.references.get(index).copied();
                reference.map(|r| Edit::ReplaceReference {
                    photo: photo.id,
                    index,
                    reference: ask::with_tap(r, tap, at),
                })
            }
            Grip::Handle(side, handle) => {
                let place = glance(|| self.of_shape(|d| d.measured.place_on_skin(side, at)));
                match place {
                    Some(Ok(to)) => Some(Edit::MoveHandle { side, handle, to }),
                    Some(Err(why)) => return Err(words::study(&why)),
                    None => None,
                }
            }
        })
    }

    /// A grip is dragged over a place of the photo.
    pub fn drag(self, grip: Grip, at: Point<Px>) {
        if let Grip::Scale(index) = grip {
            self.view.way.update(|w| {
                if let Some(tap) = w.scale.as_mut().and_then(|s| s.taps.get_mut(index)) {
                    *tap = at;
                }
            });
            return;
        }
        match self.edit_to(grip, at) {
            Ok(Some(edit)) => self.preview(&edit),
            Ok(None) => {}
            Err(why) => self.said.set(Some(why)),
        }
    }

    /// Moves a grip by mm on the screen: to the right and up.
    pub fn nudge(self, grip: Grip, right_mm: f64, up_mm: f64) {
        if let Grip::Handle(side, handle) = grip {
            if let Some(place) = glance(|| self.handle_place(side, handle)) {
                let to = place + Vector::new(side.sign() * right_mm, up_mm);
                self.preview(&Edit::MoveHandle { side, handle, to });
            }
            return;
        }
        if let Some(at) = self.place_of(grip) {
            self.drag(grip, self.beside(at, right_mm, up_mm));
        }
    }

    /// A place of the photo so many mm beside another; px while there is no
    /// scale yet.
    pub fn beside(self, at: Point<Px>, right_mm: f64, up_mm: f64) -> Point<Px> {
        let by = Vector::<Front>::new(right_mm, up_mm);
        let level = glance(|| self.record()).and_then(|r| r.levelled().ok());
        match level {
            Some(level) => level
                .survey
                .frame
                .to_photo(level.survey.frame.to_front(at) + by),
            // Ten steps are a millimetre, which a photo has in some 6 px.
            None => at + Vector::new(6.0 * right_mm, -6.0 * up_mm),
        }
    }

    /// Where a handle is on the skin, side-neutral.
    pub fn handle_place(self, side: Side, handle: Handle) -> Option<Point<Lateral>> {
        self.of_shape(|d| d.handle(side, handle).map(|h| h.lateral))
            .flatten()
    }

    /// Where a grip is in the photo now.
    pub fn place_of(self, grip: Grip) -> Option<Point<Px>> {
        let scene = self.scene.get_clone_untracked();
        scene.marks.iter().find(|m| m.grip == grip).map(|m| m.at)
    }

    /// Goes back to the landmark before the one asked for.
    pub fn previous_landmark(self) {
        let record = glance(|| self.record());
        let state = self.view.on_photo.get_untracked();
        let all = record
            .map(|r| ask::asked_for(&r, state))
            .unwrap_or_default();
        let at = match self.ask.get_clone_untracked() {
            Ask::Landmark(now) => all.iter().position(|l| *l == now).unwrap_or(0),
            _ => all.len(),
        };
        if let Some(landmark) = at.checked_sub(1).and_then(|i| all.get(i)) {
            self.ask_again(*landmark);
        }
    }

    /// Asks for a landmark that is there already.
    pub fn ask_again(self, landmark: Landmark) {
        self.view.go(Place::Face);
        self.view.chosen.set(Some(Grip::Landmark(landmark)));
        self.view.way.update(|w| {
            w.again = Some(landmark);
            w.once_more = false;
            w.skipped.retain(|(_, l)| *l != landmark);
        });
    }

    /// Asks for one more tap on a landmark that is there, to measure the
    /// spread of the taps.
    pub fn ask_once_more(self, landmark: Landmark) {
        self.ask_again(landmark);
        self.view.way.update(|w| w.once_more = true);
    }
}

impl Default for Studio {
    fn default() -> Self {
        Self::new()
    }
}
