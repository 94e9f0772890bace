//! The table: the pages that will be printed, in their own proportions, one at
//! a time, to be looked at from near.

use std::rc::Rc;

use ophryon_stencil::{Sheet, write_svg};
use sycamore::reactive::{ReadSignal, Signal, create_memo, create_signal};
use sycamore::web::View;
use web_sys::{Element, KeyboardEvent, MouseEvent};

use super::made;
use crate::device::page;
use crate::markup::{El, button, div, el, glance, selector};
use crate::parts::icon::{Drawing, icon};
use crate::studio::Studio;
use crate::view::View as Looking;

/// One press of nearer or farther.
const STEP: f64 = 1.5;

/// As near as it goes: the lines of an outline are then some 10 px apart.
const NEAREST: f64 = 6.0;

/// A tap on the page goes this near.
const TAPPED: f64 = 2.5;

/// A page on the table.
#[derive(Clone, PartialEq)]
struct Page {
    /// The drawing that is printed.
    svg: String,
    /// For those who can't see it.
    title: String,
    /// Width by height.
    aspect: f64,
}

impl Page {
    fn of(sheet: &Sheet) -> Self {
        let svg = write_svg(sheet);
        // An XML declaration means nothing inside a page.
        let from = svg.find("<svg").unwrap_or(0);
        Self {
            svg: svg[from..].to_owned(),
            title: sheet.title().to_owned(),
            aspect: sheet.width_mm() / sheet.height_mm(),
        }
    }
}

/// The sheets of the shape.
pub fn sheets(studio: Studio) -> View {
    pages(studio.view, move || {
        let papers = made::made(studio).and_then(Result::ok);
        let pages = papers.map(|p| p.pages().into_iter().map(Page::of).collect());
        pages.unwrap_or_default()
    })
}

/// A printer's check page.
pub fn check_page(studio: Studio) -> View {
    pages(studio.view, move || {
        let printer = studio.view.check_for.get_clone();
        vec![Page::of(&made::check_page(studio, printer.as_deref()))]
    })
}

fn pages(view: Looking, from: impl Fn() -> Vec<Page> + 'static) -> View {
    let pages = create_memo(move || Rc::new(from()));
    let count = selector(Box::new(move || pages.with(|p| p.len())));
    let at = move || view.page.get().min(count.get().saturating_sub(1));
    let shown = move || pages.get_clone().get(at()).cloned();
    let room = create_signal(None::<Element>);
    el("section")
        .class("table")
        .label("The sheet")
        .id("table")
        .put(
            div("room")
                .at("tabindex", "0")
                .at("role", "group")
                .label("Page. Plus and minus look nearer and farther, arrow keys turn the page.")
                .on::<KeyboardEvent>("keydown", move |e| keys(view, count, e))
                .raw(move |element| room.set(Some(element)))
                .shows(shown, move |page| match page {
                    None => View::new(),
                    Some(page) => sheet(view, room, page).into(),
                }),
        )
        .shows(
            move || count.get(),
            move |count| {
                if count == 0 {
                    View::new()
                } else {
                    div("table-tools")
                        .put(turning(view, count, shown))
                        .put(looking(view))
                        .into()
                }
            },
        )
        .into()
}

fn sheet(view: Looking, room: Signal<Option<Element>>, page: Page) -> El {
    let aspect = page.aspect;
    div("paper")
        .at("role", "img")
        .label(page.title)
        .at("style", move || {
            format!("--aspect: {aspect:.4}; --nearer: {:.3}", view.nearer.get())
        })
        .class(move || {
            if view.nearer.get() > 1.0 {
                "paper near"
            } else {
                "paper"
            }
        })
        .id("sheet-preview")
        .on::<MouseEvent>("click", move |e| tapped(view, room, e))
        .markup(page.svg)
}

/// A tap looks at that place from near, another at the whole again.
fn tapped(view: Looking, room: Signal<Option<Element>>, event: &MouseEvent) {
    let target = event.current_target();
    let (Some(sheet), Some(room)) = (
        target.and_then(|t| wasm_bindgen::JsCast::dyn_into::<Element>(t).ok()),
        room.get_clone_untracked(),
    ) else {
        return;
    };
    if view.nearer.get_untracked() > 1.0 {
        view.nearer.set(1.0);
        return;
    }
    let seen = sheet.get_bounding_client_rect();
    let share = |at: i32, from: f64, length: f64| (f64::from(at) - from) / length.max(1.0);
    let across = share(event.client_x(), seen.left(), seen.width());
    let down = share(event.client_y(), seen.top(), seen.height());
    view.nearer.set(TAPPED);
    page::next_frame(move || {
        // The tapped place comes to lie in the middle.
        let to = |share: f64, all: i32, shown: i32| {
            (share * f64::from(all) - 0.5 * f64::from(shown)).round() as i32
        };
        room.set_scroll_left(to(across, room.scroll_width(), room.client_width()));
        room.set_scroll_top(to(down, room.scroll_height(), room.client_height()));
    });
}

fn nearer(view: Looking, factor: f64) {
    let now = view.nearer.get_untracked();
    view.nearer.set((now * factor).clamp(1.0, NEAREST));
}

fn turn(view: Looking, count: usize, onward: bool) {
    let last = count.saturating_sub(1);
    let at = view.page.get_untracked().min(last);
    let to = if onward {
        (at + 1).min(last)
    } else {
        at.saturating_sub(1)
    };
    view.page.set(to);
}

fn keys(view: Looking, count: ReadSignal<usize>, event: &KeyboardEvent) {
    let whole = view.nearer.get_untracked() <= 1.0;
    let count = glance(|| count.get());
    match event.key().as_str() {
        "+" | "=" => nearer(view, STEP),
        "-" => nearer(view, 1.0 / STEP),
        "0" | "Escape" => view.nearer.set(1.0),
        // From near, the arrows move over the page.
        "ArrowRight" | "PageDown" if whole => turn(view, count, true),
        "ArrowLeft" | "PageUp" if whole => turn(view, count, false),
        _ => return,
    }
    event.prevent_default();
}

/// Which page it is, and on to the others.
fn turning(view: Looking, count: usize, shown: impl Fn() -> Option<Page> + Clone + 'static) -> El {
    let at = move || view.page.get().min(count.saturating_sub(1));
    let name = move || {
        let title = shown().map(|p| p.title).unwrap_or_default();
        // "Brow stencil, client K. M., version 3": what it is comes first.
        let what = title.split(',').next().unwrap_or_default().to_owned();
        if count > 1 {
            format!("{} of {count}: {what}", at() + 1)
        } else {
            what
        }
    };
    let words = el("span")
        .class("which")
        .at("aria-live", "polite")
        .id("page-shown")
        .says(name);
    let turning = div("turning").at("role", "group").label("Pages");
    if count < 2 {
        return turning.put(words);
    }
    turning
        .put(
            button("button bare", "page-before")
                .label("Page before")
                .flag("disabled", move || at() == 0)
                .put(icon(Drawing::Left))
                .click(move || turn(view, count, false)),
        )
        .put(words)
        .put(
            button("button bare", "page-next")
                .label("Next page")
                .flag("disabled", move || at() + 1 == count)
                .put(icon(Drawing::Right))
                .click(move || turn(view, count, true)),
        )
}

fn looking(view: Looking) -> El {
    let look = |id: &'static str, name: &'static str, of: Drawing| {
        button("button bare", id)
            .label(name)
            .at("title", name)
            .put(icon(of))
    };
    let is_whole = move || view.nearer.get() <= 1.0;
    div("looking")
        .at("role", "group")
        .label("Looking")
        .put(
            look("sheet-farther", "Farther", Drawing::Farther)
                .flag("disabled", is_whole)
                .click(move || nearer(view, 1.0 / STEP)),
        )
        .put(
            look("sheet-whole", "Whole page", Drawing::Whole)
                .flag("disabled", is_whole)
                .click(move || view.nearer.set(1.0)),
        )
        .put(
            look("sheet-nearer", "Nearer", Drawing::Nearer)
                .flag("disabled", move || view.nearer.get() >= NEAREST)
                .click(move || nearer(view, STEP)),
        )
}
