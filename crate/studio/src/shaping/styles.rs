//! Styles to begin with: each as it would lie on this face, and the artist's
//! own.

use ophryon_brow::Style;
use ophryon_record::{Record, Styles, built_in_styles};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use web_sys::{Event, KeyboardEvent};

use crate::device::{files, settings};
use crate::markup::{El, button, div, el, glance, p, svg, value_of};
use crate::shape;
use crate::studio::Studio;
use crate::words;

/// Where the artist's own styles are kept on this device.
const KEPT: &str = "styles";

/// Room around a brow in its little picture, mm.
const MARGIN_MM: f64 = 1.5;

/// The artist's own styles, and what was last said of them.
#[derive(Clone, Copy)]
struct Own {
    styles: Signal<Styles>,
    said: Signal<Vec<String>>,
}

impl Own {
    fn restore() -> Self {
        let (styles, said) = match settings::read(KEPT).map(|text| Styles::from_json(&text)) {
            None => (Styles::default(), Vec::new()),
            Some(Ok((styles, left_out))) => {
                let said = left_out
                    .iter()
                    .map(|l| format!("Left out {}.", l.sentence()));
                (styles, said.collect())
            }
            Some(Err(why)) => (
                Styles::default(),
                vec![format!(
                    "Your own styles on this device can't be read: {}",
                    words::sentence(&why.to_string())
                )],
            ),
        };
        Self {
            styles: create_signal(styles),
            said: create_signal(said),
        }
    }

    /// Changes the list and keeps it; a refusal is said and changes nothing.
    fn change(self, with: impl FnOnce(&mut Styles) -> Result<Vec<String>, String>) -> bool {
        let mut next = self.styles.get_clone_untracked();
        match with(&mut next) {
            Ok(said) => {
                settings::write(KEPT, &next.to_json());
                self.said.set(said);
                self.styles.set(next);
                true
            }
            Err(why) => {
                self.said.set(vec![words::sentence(&why)]);
                false
            }
        }
    }
}

/// The section.
pub fn section(studio: Studio) -> El {
    let own = Own::restore();
    let in_short = move || {
        let record = studio.record();
        let begun = record.and_then(|r| r.style.clone());
        begun.unwrap_or_else(|| "none taken".to_owned())
    };
    let all = move || {
        let own = own.styles.get_clone();
        own.all().cloned().collect::<Vec<_>>()
    };
    let inside = div("inside")
        .put(
            p("Each is drawn on this face from its own landmarks. None is better than another.")
                .class("quiet"),
        )
        .put(div("style-rows").shows(
            move || (all(), studio.record()),
            move |(all, record)| {
                let rows = all
                    .iter()
                    .map(|style| row(studio, own, style, record.as_deref()).into());
                View::from(rows.collect::<Vec<_>>())
            },
        ))
        .put(make(studio, own))
        .put(to_and_fro(studio, own))
        .put(
            div("styles-said")
                .at("role", "status")
                .id("styles-said")
                .shows(
                    move || own.said.get_clone(),
                    |said| {
                        let lines = said.into_iter().map(|s| p(s).into());
                        View::from(lines.collect::<Vec<_>>())
                    },
                ),
        );
    shape::section("styles", "Style", in_short, inside)
}

/// One style: a press draws it, and says what gave way.
fn row(studio: Studio, own: Own, style: &Style, record: Option<&Record>) -> El {
    let id = id_of(&style.name);
    let styled = record.map(|r| r.styled(style));
    let begun = record.is_some_and(|r| r.style.as_deref() == Some(&*style.name));
    let (drawing, why) = match &styled {
        Some(Ok(shape)) => (little_picture(&shape.styled.brow), None),
        Some(Err(why)) => (View::new(), Some(words::sentence(&why.to_string()))),
        None => (View::new(), None),
    };
    let gave_way = match &styled {
        Some(Ok(shape)) if !shape.styled.gave_way.is_empty() => {
            let all = shape.styled.gave_way.iter().map(|g| g.sentence());
            format!("On this face: {}.", all.collect::<Vec<_>>().join(", "))
        }
        _ => String::new(),
    };
    let about = why.clone().unwrap_or_else(|| style.about.clone());
    let edit = styled.and_then(Result::ok).map(|shape| shape.edit());
    let take = el("button")
        .at("type", "button")
        .class(if begun {
            "choice style chosen"
        } else {
            "choice style"
        })
        .pressed(move || begun)
        .flag("disabled", edit.is_none())
        .id(format!("style-{id}"))
        .put(drawing)
        .put(el("strong").words(style.name.clone()))
        .put(el("small").words(about))
        .click(move || {
            if let Some(edit) = &edit {
                studio.apply(edit);
            }
        });
    let row = div("style-row").put(take);
    let row = if begun && !gave_way.is_empty() {
        row.put(p(gave_way).class("quiet").id("style-gave-way"))
    } else {
        row
    };
    let is_own = !built_in_styles().iter().any(|s| s.name == style.name);
    if !is_own {
        return row;
    }
    let name = style.name.clone();
    row.put(
        button("button bare", format!("style-remove-{id}"))
            .words("Remove this style of yours")
            .click(move || {
                own.change(|styles| {
                    styles.remove(&name).map_err(|e| e.to_string())?;
                    Ok(vec![format!("“{name}” was removed from this device.")])
                });
            }),
    )
}

/// A word for ids.
fn id_of(name: &str) -> String {
    let letters = name.chars().map(|c| {
        if c.is_alphanumeric() {
            c.to_ascii_lowercase()
        } else {
            '-'
        }
    });
    letters.collect()
}

/// The brow itself, the client's left, small.
fn little_picture(brow: &ophryon_brow::Brow) -> View {
    let (low, high) = brow.outline().bounds();
    let (width, height) = (
        high.x - low.x + 2.0 * MARGIN_MM,
        high.y - low.y + 2.0 * MARGIN_MM,
    );
    svg("svg")
        .at("class", "little-brow")
        .decoration()
        .at(
            "viewBox",
            format!(
                "{:.2} {:.2} {width:.2} {height:.2}",
                low.x - MARGIN_MM,
                -high.y - MARGIN_MM
            ),
        )
        .put(
            svg("path")
                .at("transform", "scale(1 -1)")
                .at("d", brow.outline().path().to_svg()),
        )
        .into()
}

/// The present shape becomes a style of her own.
fn make(studio: Studio, own: Own) -> El {
    let name = create_signal(String::new());
    let take = move || {
        let Some(record) = glance(|| studio.record()) else {
            return;
        };
        let named = name.get_clone_untracked();
        let kept = own.change(|styles| {
            let style = record.as_style(&named).map_err(|e| e.to_string())?;
            styles.keep(style).map_err(|e| e.to_string())?;
            Ok(vec![format!(
                "“{}” is kept on this device as a style of yours.",
                named.trim()
            )])
        });
        if kept {
            name.set(String::new());
        }
    };
    div("field")
        .put(
            el("span")
                .decoration()
                .words("Make this shape a style of your own"),
        )
        .put(
            div("name-and-take")
                .put(
                    el("input")
                        .at("type", "text")
                        .at("maxlength", "40")
                        .at("autocomplete", "off")
                        .at("placeholder", "its name")
                        .label("Name of a style of your own")
                        .id("style-name")
                        .value(move || name.get_clone())
                        .on::<Event>("input", move |e| name.set(value_of(e)))
                        .on::<KeyboardEvent>("keydown", move |e| {
                            if e.key() == "Enter" && name.with_untracked(|n| !n.trim().is_empty()) {
                                take();
                            }
                        }),
                )
                .put(
                    button("button", "style-make")
                        .flag("disabled", move || name.with(|n| n.trim().is_empty()))
                        .words("Make it")
                        .click(take),
                ),
        )
}

/// Files of styles, out and in.
fn to_and_fro(studio: Studio, own: Own) -> El {
    let has_own = move || own.styles.with(|s| !s.own().is_empty());
    let save = move || {
        let text = own.styles.with_untracked(Styles::to_json);
        let saved = files::save_text("ophryon-styles.json", "application/json", &text);
        studio.tell(saved);
    };
    let open = move |event: &Event| {
        let Some(file) = files::chosen(event) else {
            return;
        };
        spawn_local(async move {
            match files::read_text(&file).await {
                Ok(text) => {
                    own.change(|styles| {
                        let done = styles.import(&text).map_err(|e| e.to_string())?;
                        Ok(done.sentences())
                    });
                }
                Err(why) => own.said.set(vec![why]),
            }
        });
    };
    div("buttons")
        .put(
            el("label")
                .class("button")
                .words("Open a file of styles")
                .put(
                    el("input")
                        .class("for-readers")
                        .at("type", "file")
                        .at("accept", ".json,application/json")
                        .id("styles-file")
                        .on::<Event>("change", open),
                ),
        )
        .put(
            button("button", "styles-save")
                .flag("disabled", move || !has_own())
                .words("Save mine as a file")
                .click(save),
        )
}
