//! Bringing the shape to the hair: looked at first, then taken as one step.

use std::rc::Rc;

use ophryon_brow::HairFit;
use ophryon_frames::Side;
use ophryon_record::{ToHair, apply};
use sycamore::web::View;

use crate::face::question;
use crate::markup::{El, button, div, glance, p, shows};
use crate::number::{signed, tenths};
use crate::parts;
use crate::studio::Studio;
use crate::words;

/// What is proposed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bring {
    /// Raise the top to the hair, and the underside by as much.
    Lift,
    /// Stay close to its border.
    Follow,
    /// No longer.
    Leave,
}

impl Bring {
    const fn asks(self) -> &'static str {
        match self {
            Self::Lift => "Lift the brow to its hair?",
            Self::Follow => "Follow the border of the hair?",
            Self::Leave => "Follow the hair no longer?",
        }
    }

    /// To follow "Undo:".
    fn words(self, side: Side) -> String {
        let side = side.name();
        match self {
            Self::Lift => format!("lift the client's {side} brow to its hair"),
            Self::Follow => format!("let the client's {side} brow follow its hair"),
            Self::Leave => format!("let the client's {side} brow leave its hair"),
        }
    }
}

/// A shape brought to the hair, to be looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct Brought {
    bring: Bring,
    to_hair: ToHair,
    /// On that side before and after.
    fits: [Option<HairFit>; 2],
    /// On the other side, where that follows.
    other: Option<[Option<HairFit>; 2]>,
    path: String,
}

/// The side whose hair is meant, and the three ways.
pub fn ways(studio: Studio) -> El {
    let hairing = studio.view.hairing;
    let side_button = |side: Side| {
        button("button", format!("hair-side-{}", side.name()))
            .pressed(move || hairing.side.get() == side)
            .words(words::side_title(side))
            .click(move || hairing.side.set(side))
    };
    let way = move |bring: Bring, id: &'static str, name: &'static str| {
        button("button wide", id)
            .words(name)
            .click(move || propose(studio, bring))
    };
    let follows = move || {
        let side = hairing.side.get();
        studio
            .of_shape(|d| d.leaving_hair(side).is_some())
            .unwrap_or(false)
    };
    div("question")
        .put(p("Bring the brow to the hair of").class("quiet"))
        .put(
            div("sides")
                .at("role", "group")
                .label("Bring the brow to the hair of")
                .all(Side::BOTH.map(side_button)),
        )
        .put(way(Bring::Lift, "lift-to-hair", "Lift without thickening"))
        .shows(follows, move |follows| match follows {
            true => way(Bring::Leave, "leave-hair", "Follow the hair no longer").into(),
            false => way(Bring::Follow, "follow-hair", "Follow the hair").into(),
        })
}

fn propose(studio: Studio, bring: Bring) {
    match glance(|| brought(studio, bring)) {
        Ok(brought) => {
            studio.said.set(None);
            studio.view.ghost.set(Some(brought.path.clone()));
            studio.view.hairing.brought.set(Some(Rc::new(brought)));
        }
        Err(why) => studio.said.set(Some(words::sentence(&why))),
    }
}

fn brought(studio: Studio, bring: Bring) -> Result<Brought, String> {
    let missing = || "there is no shape yet".to_owned();
    let side = studio.view.hairing.side.get();
    let record = studio.record().ok_or_else(missing)?;
    let study = studio.study().ok_or_else(missing)?;
    let drawn = study.as_ref().as_ref().map_err(words::study)?;
    let to_hair = match bring {
        Bring::Lift => drawn
            .lifted_to_hair(&record, side)
            .map_err(|e| e.to_string())?,
        Bring::Follow => drawn
            .following_hair(&record, side)
            .map_err(|e| e.to_string())?,
        Bring::Leave => drawn.leaving_hair(side).ok_or_else(missing)?,
    };
    let after = apply(&record, &to_hair.edit()).map_err(|e| e.to_string())?;
    let after = after.drawn().map_err(|e| words::study(&e))?;
    Ok(Brought {
        bring,
        to_hair,
        fits: [*drawn.hair_fit.get(side), *after.hair_fit.get(side)],
        other: drawn.pair.is_linked().then(|| {
            let other = side.other();
            [*drawn.hair_fit.get(other), *after.hair_fit.get(other)]
        }),
        path: Side::BOTH.map(|side| after.photo_path(side)).concat(),
    })
}

/// The question about what is proposed.
pub fn asked(studio: Studio, brought: &Brought) -> View {
    let hairing = studio.view.hairing;
    let brought = Rc::new(brought.clone());
    let other = brought.other.map(|fits| p(follows(&fits)).class("quiet"));
    let fits = match brought.fits {
        [Some(before), Some(after)] => Some(p(changed(&before, &after)).id("hair-changed")),
        _ => None,
    };
    let let_go = move || {
        hairing.brought.set(None);
        studio.view.ghost.set(None);
    };
    let taken = Rc::clone(&brought);
    parts![
        question(
            words::side_title(brought.to_hair.side),
            brought.bring.asks(),
            "The dashed outline on the face is how it would be.",
        ),
        div("word calm")
            .id("hair-brought")
            .put(p(brought.to_hair.sentence.clone()))
            .all(fits)
            .all(other),
        button("button main wide", "hair-take")
            .words("Take it")
            .click(move || {
                let words = taken.bring.words(taken.to_hair.side);
                if studio.apply_all(&[taken.to_hair.edit()], &words) {
                    let_go();
                }
            }),
        button("button wide", "hair-leave")
            .words("Leave it as it was")
            .click(let_go),
    ]
}

/// What becomes of the other side.
fn follows(fits: &[Option<HairFit>; 2]) -> String {
    match fits {
        [Some(before), Some(after)] => format!(
            "The brows are linked, so the other side follows: hair inside there {:.0} % instead of {:.0} %.",
            share(after),
            share(before)
        ),
        _ => "The brows are linked, so the other side follows.".to_owned(),
    }
}

/// Of the hair inside, percent.
fn share(fit: &HairFit) -> f64 {
    100.0 * fit.share_inside().unwrap_or_default()
}

fn changed(before: &HairFit, after: &HairFit) -> String {
    format!(
        "Hair inside {:.0} % instead of {:.0} %, to clean {} mm², to fill {} mm², largest step {} mm.",
        share(after),
        share(before),
        signed_whole(after.outside_mm2 - before.outside_mm2),
        signed_whole(after.bare_mm2 - before.bare_mm2),
        tenths(after.largest_step_mm),
    )
}

/// A change without decimals.
fn signed_whole(change: f64) -> String {
    let text = signed(change.round());
    text.trim_end_matches(".0").to_owned()
}

/// The proposal, else what else there is; it goes with the shape it was for.
pub fn or_asked(studio: Studio, rest: fn(Studio) -> View) -> View {
    let hairing = studio.view.hairing;
    shows(
        move || hairing.brought.get_clone(),
        move |brought| match brought {
            Some(brought) => asked(studio, &brought),
            None => rest(studio),
        },
    )
}
