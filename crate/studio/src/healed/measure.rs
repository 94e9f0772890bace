//! Measures the healed brows in the photo's pixels, whenever the photo, its
//! taps or the shape it is measured against change.

use std::cell::OnceCell;
use std::rc::Rc;

use ophryon_frames::{Side, Sided};
use ophryon_photo::{Layout, Measured, NoPigment, Pixels, Size, measure_healed};
use ophryon_record::{HealedOutcome, Image, LaidOver, Photo, Record, SkinType};
use sycamore::reactive::{Signal, create_effect, create_signal};
use wasm_bindgen_futures::spawn_local;

use crate::device::{page, pictures};
use crate::markup::{glance, selector};
use crate::studio::Studio;
use crate::words;

/// What came of it.
#[derive(Debug, Clone, PartialEq)]
pub enum Found {
    /// Both sides, each measured or why not.
    Measured(Rc<HealedOutcome>),
    /// Nothing could be measured; the sentence says why.
    Not(String),
}

/// What is at hand while healed brows are looked at. None of it is in the
/// record. A handle: there is one for as long as the app runs.
#[derive(Clone, Copy)]
pub struct AtHand {
    /// What was measured last; `None` while it is under way.
    pub found: Signal<Option<Found>>,
    /// The pigment that was worked in, as she typed it.
    pub pigment: Signal<String>,
    /// The client's skin, as she told.
    pub skin_type: Signal<Option<SkinType>>,
    /// What was measured last, or is being measured.
    of: Signal<Option<Subject>>,
}

/// Everything that the numbers follow from.
#[derive(Debug, Clone, PartialEq)]
struct Subject {
    client: Option<String>,
    photo: Photo,
    laid: Rc<LaidOver>,
}

thread_local! {
    static AT_HAND: OnceCell<AtHand> = const { OnceCell::new() };
}

/// What is at hand.
pub fn at_hand(_studio: Studio) -> AtHand {
    AT_HAND.with(|hand| {
        *hand.get_or_init(|| {
            // In the scope of the app, for it outlasts every view.
            glance(|| AtHand {
                found: create_signal(None),
                pigment: create_signal(String::new()),
                skin_type: create_signal(None),
                of: create_signal(None),
            })
        })
    })
}

fn subject(studio: Studio) -> Option<Subject> {
    let record = studio.record()?;
    let laid = Rc::new(record.laid_over().ok()?);
    Some(Subject {
        client: studio.key_now(),
        photo: record.healed_photo()?.clone(),
        laid,
    })
}

/// What was told of an earlier check, else what the last session used.
fn usual(record: &Record) -> (String, Option<SkinType>) {
    let log = record.visit_log();
    let visits = || log.iter().rev().map(|(_, visit)| *visit);
    let checks = || visits().filter_map(|v| v.healed.as_deref());
    let told = checks().map(|c| c.pigment.clone()).find(|p| !p.is_empty());
    let used = || {
        let mut all = visits().filter_map(|v| v.pigments.first());
        all.next().map(|p| p.name.clone())
    };
    let pigment = told.or_else(used).unwrap_or_default();
    (pigment, checks().find_map(|c| c.skin_type))
}

impl AtHand {
    /// From now on what is shown is measured, each change once.
    pub fn follow(self, studio: Studio) {
        let now = selector(Box::new(move || subject(studio)));
        create_effect(move || {
            let Some(subject) = now.get_clone() else {
                return;
            };
            let before = self.of.get_clone_untracked();
            if before.as_ref() == Some(&subject) {
                return;
            }
            let is_other = before.is_none_or(|b| b.client != subject.client);
            if is_other && let Some(record) = glance(|| studio.record()) {
                let (pigment, skin_type) = usual(&record);
                self.pigment.set(pigment);
                self.skin_type.set(skin_type);
            }
            self.of.set(Some(subject.clone()));
            self.found.set(None);
            spawn_local(self.measure(studio, subject));
        });
    }

    async fn measure(self, studio: Studio, subject: Subject) {
        // So that it is seen that something is under way.
        page::breathe().await;
        let found = search(studio, &subject).await;
        if self.of.get_clone_untracked().as_ref() == Some(&subject) {
            self.found.set(Some(found));
        }
    }

    /// The outcome, once it is there.
    pub fn outcome(self) -> Option<Rc<HealedOutcome>> {
        match self.found.get_clone()? {
            Found::Measured(outcome) => Some(outcome),
            Found::Not(_) => None,
        }
    }
}

async fn search(studio: Studio, subject: &Subject) -> Found {
    let away = "The photo of the healed brows isn't on this device, so it can't be measured. Bring the same photo again.";
    let Image::File { name } = &subject.photo.image else {
        return Found::Not(away.to_owned());
    };
    let Some(blob) = studio.keeper.picture(name) else {
        return Found::Not(away.to_owned());
    };
    let mut sides = Vec::new();
    for side in Side::BOTH {
        match one(&blob, &subject.laid, side).await {
            Ok(one) => sides.push(one),
            Err(why) => return Found::Not(words::sentence(&why)),
        }
        page::breathe().await;
    }
    let (Some(left), Some(right)) = (sides.pop(), sides.pop()) else {
        return Found::Not(away.to_owned());
    };
    let laid = (*subject.laid).clone();
    let outcome = HealedOutcome::of(laid, &Sided { right, left });
    Found::Measured(Rc::new(outcome))
}

type One = Result<Measured, NoPigment>;

async fn one(blob: &web_sys::Blob, laid: &LaidOver, side: Side) -> Result<One, String> {
    let search = laid.search(side);
    let whole = Size::new(laid.size_px.0, laid.size_px.1);
    let Some(crop) = search.crop(whole) else {
        return Ok(Err(NoPigment::OutOfPhoto));
    };
    let rgba = pictures::pixels(blob, laid.size_px, crop.into()).await?;
    let Some(pixels) = Pixels::of_crop(crop, Layout::Rgba, &rgba) else {
        return Ok(Err(NoPigment::OutOfPhoto));
    };
    Ok(measure_healed(&pixels, &search, &laid.band(side)))
}
