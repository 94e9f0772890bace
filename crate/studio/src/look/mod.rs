//! The powder on her face, drawn.
//!
//! [`look()`] is a view that fills what it is put into; how her face is looked
//! at stands in `studio.view.look`, a [`LookState`] whose signals any view may
//! set.
//!
//! The photo is drawn once, in the screen's own pixels, and over it one canvas
//! for each stage with the same brows in them. Sliding from stage to stage
//! changes nothing but how opaque each canvas is, so it costs the same with
//! any photo.

mod brows;
mod canvas;
mod framing;
mod sent;
mod state;

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use ophryon_powder::Stage;
use ophryon_record::Record;
use sycamore::reactive::{Signal, create_effect, create_signal, on_cleanup};
use sycamore::web::View;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::spawn_local;
use web_sys::HtmlCanvasElement;

use self::brows::Brows;
use self::canvas::{Made, Wanted};
use crate::markup::{El, div, el, glance, p, selector};
use crate::stage::measure;
use crate::stage::sight::{Sight, Size};
use crate::studio::Studio;

pub use canvas::picture::face_pictures;
pub use sent::to_send;
pub use state::{
    BEFORE, DRAWN, FRESH, Facing, HEALED, IMPRESSION, IMPRESSION_KEY, LookState, Near,
};

/// What is painted over the photo, from below up.
const STAGES: [Stage; 3] = [Stage::Drawn, Stage::Fresh, Stage::Healed];

/// What the view says in the language of whoever looks.
#[derive(Clone)]
pub struct LookWords {
    /// What is seen, for those who can't see it.
    pub seen: Rc<dyn Fn() -> String>,
    /// While the photo is brought; only shown when that takes long.
    pub coming: Rc<dyn Fn() -> String>,
}

impl LookWords {
    /// The artist's.
    pub fn plain(studio: Studio) -> Self {
        let stage = studio.view.look.stage;
        Self {
            seen: Rc::new(move || {
                let now = match stage.get() {
                    s if s < 0.5 => "before",
                    s if s < 1.5 => "with the outline drawn",
                    s if s < 2.5 => "with the fresh brows",
                    _ => "with the healed brows",
                };
                format!("The client's face {now}")
            }),
            coming: Rc::new(|| "Painting the brows …".to_owned()),
        }
    }
}

/// Her face, as it is chosen to be seen, for the artist.
pub fn look(studio: Studio) -> View {
    look_in_words(studio, LookWords::plain(studio))
}

/// The same with other words.
pub fn look_in_words(studio: Studio, words: LookWords) -> View {
    let state = studio.view.look;
    let size = create_signal(Size::default());
    let trouble = create_signal(None::<String>);
    let busy = create_signal(false);
    let canvases = Rc::new(RefCell::new(Vec::<HtmlCanvasElement>::new()));
    let layer = |class: &'static str| {
        let canvases = Rc::clone(&canvases);
        el("canvas").class(class).raw(move |element| {
            canvases.borrow_mut().push(element.unchecked_into());
        })
    };
    let face = div("look-face")
        .at("role", "img")
        .label({
            let seen = Rc::clone(&words.seen);
            move || seen()
        })
        .id("look-face")
        .at("data-facing", move || match state.facing.get() {
            Facing::Mirror => "mirror",
            Facing::Others => "others",
        })
        .put(layer("look-photo"))
        .all((0..STAGES.len()).map(|i| {
            div("look-layer")
                .at("style", move || {
                    format!("opacity:{:.3}", share(i, state.stage.get()))
                })
                .put(layer("look-stage"))
        }));
    follow(
        studio,
        size,
        Hands {
            canvases,
            trouble,
            busy,
        },
    );
    let coming = Rc::clone(&words.coming);
    div("look")
        .id("look")
        .at(
            "aria-busy",
            move || if busy.get() { "true" } else { "false" },
        )
        .put(face)
        .shows(
            move || (busy.get(), trouble.get_clone()),
            move |(is_busy, trouble)| said(is_busy, trouble, &*coming),
        )
        .raw(move |element| measure(size, element))
        .into()
}

/// Where the photo lies in a view of that size, CSS px, as others see her: for
/// what is drawn over it. `None` while the photo isn't measured.
pub fn sight_in(record: &Record, near: Near, view: Size) -> Option<Sight> {
    let photo = record.design_photo()?;
    let size = Size::new(f64::from(photo.width_px), f64::from(photo.height_px));
    let frame = record.levelled().ok()?.survey.frame;
    let dense = canvas::density(view);
    let px = Size::new((view.width * dense).round(), (view.height * dense).round());
    let sight = framing::sight(&frame, near, size, px);
    Some(Sight {
        scale: sight.scale / dense,
        left: sight.left / dense,
        top: sight.top / dense,
    })
}

fn said(is_busy: bool, trouble: Option<String>, coming: &dyn Fn() -> String) -> View {
    let told: Option<El> = match (trouble, is_busy) {
        (Some(why), _) => Some(div("look-said word").id("look-trouble").put(p(why))),
        // It shows only when it takes long; see the style.
        (None, true) => Some(
            div("look-said coming quiet")
                .at("role", "status")
                .words(coming()),
        ),
        (None, false) => None,
    };
    told.map_or_else(View::new, Into::into)
}

/// How opaque a stage's canvas is; those below the one that comes stay as they are.
fn share(layer: usize, slider: f64) -> f64 {
    (slider - layer as f64).clamp(0.0, 1.0)
}

#[derive(Clone)]
struct Hands {
    canvases: Rc<RefCell<Vec<HtmlCanvasElement>>>,
    trouble: Signal<Option<String>>,
    busy: Signal<bool>,
}

/// Paints anew whenever something else is wanted.
fn follow(studio: Studio, size: Signal<Size>, hands: Hands) {
    let state = studio.view.look;
    let brows = selector(Box::new(move || {
        let record = studio.record()?;
        let of = match state.variant.get() {
            Some(index) => Brows::of_kept(&record, index),
            None => studio.of_shape(|drawn| Brows::of(&record, drawn)).flatten(),
        };
        of.map(Rc::new)
    }));
    let wanted = selector(Box::new(move || {
        Some(Wanted {
            brows: brows.get_clone()?,
            tone: state.tone.get(),
            near: state.near.get(),
            view: Some(size.get()).filter(|s| s.is_some())?,
        })
    }));
    let made = Rc::new(Made::default());
    let turn = Rc::new(Cell::new(0_u32));
    {
        // What is on its way when the view goes, comes to nothing.
        let turn = Rc::clone(&turn);
        on_cleanup(move || turn.set(u32::MAX));
    }
    create_effect(move || {
        let now = wanted.get_clone();
        let hindrance = match brows.with(Option::is_none) {
            true => Some(glance(|| studio.hindrance()).unwrap_or_else(nothing_yet)),
            false => None,
        };
        let mine = turn.get().wrapping_add(1);
        turn.set(mine);
        hands.trouble.set(hindrance);
        let Some(now) = now else {
            hands.busy.set(false);
            return;
        };
        let Some(blob) = studio.keeper.picture(&now.brows.photo) else {
            hands.busy.set(false);
            hands.trouble.set(Some(
                "The photo isn't on this device, so her face can't be shown.".to_owned(),
            ));
            return;
        };
        hands.busy.set(true);
        let (made, turn, hands) = (Rc::clone(&made), Rc::clone(&turn), hands.clone());
        spawn_local(async move {
            let is_stale = || turn.get() != mine;
            let painted = made.paint(&now, &blob, is_stale).await;
            if is_stale() {
                return;
            }
            hands.busy.set(false);
            let shown = painted.and_then(|painted| {
                let Some(painted) = painted else {
                    return Ok(());
                };
                let canvases = hands.canvases.borrow();
                match canvases.split_first() {
                    Some((photo, stages)) => painted.show(photo, stages).map_err(|e| {
                        format!("The face can't be shown ({}).", crate::device::said_by(&e))
                    }),
                    None => Ok(()),
                }
            });
            hands.trouble.set(shown.err());
        });
    });
}

fn nothing_yet() -> String {
    "There is no shape to show yet. Bring a photo and tap its places under Face.".to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_two_stages_only_the_later_one_fades() {
        let shares = |slider| [0, 1, 2].map(|layer| share(layer, slider));
        assert_eq!(shares(BEFORE), [0.0, 0.0, 0.0]);
        assert_eq!(shares(DRAWN), [1.0, 0.0, 0.0]);
        assert_eq!(shares(1.25), [1.0, 0.25, 0.0]);
        assert_eq!(shares(HEALED), [1.0, 1.0, 1.0]);
    }
}
