//! Everything of known size in the photo: what each says, what they say
//! together, and the one that doesn't fit.

use ophryon_face::{Held, Reference, ReferenceReading};
use ophryon_record::Edit;
use sycamore::web::View;

use super::{known, with_error};
use crate::ask::OtherScale;
use crate::face::scale::{held_choice, held_name};
use crate::markup::{El, button, div, el, glance, p, shows};
use crate::parts;
use crate::shape::section;
use crate::studio::Studio;
use crate::words;

/// One of them, as it is shown.
#[derive(Debug, Clone, PartialEq)]
struct Row {
    index: usize,
    reading: ReferenceReading,
    /// The pupils' distance by it alone; or why it gives none.
    pupils: Result<String, String>,
}

fn rows(studio: Studio) -> Vec<Row> {
    let Some(known) = known::now(studio) else {
        return Vec::new();
    };
    let survey = &known.levelled.survey;
    let together = survey.scale.scale.mm_per_px();
    let row = |(index, reading): (usize, &ReferenceReading)| Row {
        index,
        reading: reading.clone(),
        pupils: match &reading.scale {
            Ok(scale) => {
                let mm = survey.pupils.mm * scale.mm_per_px() / together;
                Ok(with_error(mm, 2.0 * mm * scale.relative_sd(), "mm"))
            }
            Err(why) => Err(words::sentence(&why.to_string())),
        },
    };
    survey.scale.readings.iter().enumerate().map(row).collect()
}

/// The section.
pub fn scales(studio: Studio) -> El {
    let short = move || {
        known::now(studio).map_or_else(String::new, |k| {
            let by = k.levelled.references();
            if k.levelled
                .survey
                .scale
                .readings
                .iter()
                .any(ReferenceReading::disagrees)
            {
                format!("{by}: they don’t agree")
            } else {
                format!("by the {by}")
            }
        })
    };
    let said = move || {
        known::now(studio)
            .map(|k| k.levelled.survey.scale.sentences.clone())
            .unwrap_or_default()
    };
    let together = move || {
        let known = known::now(studio)?;
        let survey = &known.levelled.survey;
        (survey.scale.readings.len() > 1).then(|| {
            let pupils = with_error(survey.pupils.mm, survey.pupils.expanded(), "mm");
            format!("Together: pupils {pupils} apart.")
        })
    };
    let inside = div("inside")
        .put(el("ul").class("references").shows(
            move || rows(studio),
            move |rows| {
                let rows = rows.into_iter().map(|row| one(studio, row).into());
                View::from(rows.collect::<Vec<_>>())
            },
        ))
        .put(
            el("p")
                .class("strong")
                .id("together")
                .says(move || together().unwrap_or_default()),
        )
        .put(shows(said, |said| {
            let said = said.into_iter().map(|s| p(s).into());
            View::from(said.collect::<Vec<_>>())
        }))
        .put(
            button("button wide", "more-scale")
                .words("Add another thing of known size")
                .click(move || {
                    studio
                        .view
                        .way
                        .update(|w| w.other_scale = Some(OtherScale::More));
                }),
        );
    section("scales", "Scale", short, inside)
}

fn one(studio: Studio, row: Row) -> El {
    let Row {
        index,
        reading,
        pupils,
    } = row;
    let name = words::title(reading.reference.name());
    let fits = match (reading.disagrees(), reading.against_others_percent) {
        (true, Some(off)) => format!("Doesn’t fit: {off:+.1} % against the rest."),
        (false, Some(off)) => format!("Fits: {off:+.1} % against the rest."),
        _ => String::new(),
    };
    let (says, class) = match (&pupils, reading.disagrees()) {
        (Ok(pupils), false) => (format!("pupils {pupils} apart"), "reference"),
        (Ok(pupils), true) => (format!("pupils {pupils} apart"), "reference off"),
        (Err(why), _) => (why.clone(), "reference off"),
    };
    let held = reading.reference.held();
    let place = held.map_or_else(String::new, |h| {
        if h == Held::BrowPlane {
            String::new()
        } else {
            format!(", held: {}", held_name(h).to_ascii_lowercase())
        }
    });
    el("li").class(class).id(format!("reference-{index}")).put(
        el("details")
            .put(
                el("summary")
                    .put(el("strong").words(format!("{name}{place}")))
                    .put(el("span").words(says)),
            )
            .put(parts![
                if fits.is_empty() {
                    View::new()
                } else {
                    p(fits).class("quiet").into()
                },
                match held {
                    None => View::new(),
                    Some(_) => held_choice(
                        "held-now",
                        move || held_now(studio, index).unwrap_or_default(),
                        move |place| hold(studio, index, place),
                    )
                    .into(),
                },
                div("buttons")
                    .put(
                        button("button", format!("scale-again-{index}"))
                            .words("Tap it again")
                            .click(move || {
                                studio
                                    .view
                                    .way
                                    .update(|w| w.other_scale = Some(OtherScale::Instead(index)));
                            }),
                    )
                    .put(
                        button("button", format!("scale-out-{index}"))
                            .words("Take it out")
                            .click(move || take_out(studio, index)),
                    ),
            ]),
    )
}

fn reference(studio: Studio, index: usize) -> Option<(String, Reference)> {
    let photo = studio.photo()?;
    Some((photo.id, *photo.references.get(index)?))
}

fn held_now(studio: Studio, index: usize) -> Option<Held> {
    reference(studio, index)?.1.held()
}

fn hold(studio: Studio, index: usize, place: Held) {
    if let Some((photo, reference)) = glance(|| reference(studio, index)) {
        studio.apply(&Edit::ReplaceReference {
            photo,
            index,
            reference: reference.held_at(place),
        });
    }
}

fn take_out(studio: Studio, index: usize) {
    if let Some((photo, _)) = glance(|| reference(studio, index)) {
        studio.apply(&Edit::RemoveReference { photo, index });
    }
}
