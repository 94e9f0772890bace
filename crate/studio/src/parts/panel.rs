//! The one panel beside the face.

use leptos::prelude::*;
use leptos::task::spawn_local;

use super::icon::{Drawing, Icon};
use super::said::Said;
use super::thread::Thread;
use super::tools::Tools;
use crate::keeper::Keeping;
use crate::places::Place;
use crate::studio::Studio;
use crate::view::SheetSize;
use crate::{face, paper, shape};

/// Thread, question, tools.
#[component]
pub fn Panel(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let class = move || match studio.view.sheet.get() {
        SheetSize::Small => "panel small",
        SheetSize::Half => "panel",
        SheetSize::Tall => "panel tall",
    };
    let body = move || match studio.view.place.get() {
        Place::Face => view! { <face::FacePanel studio=studio /> }.into_any(),
        Place::Shape => view! { <shape::ShapePanel studio=studio /> }.into_any(),
        Place::Paper => view! { <paper::PaperPanel studio=studio /> }.into_any(),
    };
    view! {
        <aside class=class aria-label="Work" data-testid="panel">
            <header class="panel-top">
                <Whose studio=studio />
                <Thread studio=studio />
            </header>
            <div class="panel-body">
                <Trouble studio=studio />
                <Said studio=studio />
                {body}
            </div>
            <Tools studio=studio />
        </aside>
    }
}

#[component]
fn Whose(studio: Studio) -> impl IntoView {
    let code = move || {
        studio
            .shown
            .with(|r| r.as_ref().map(|r| r.client.code.clone()).unwrap_or_default())
    };
    let kept = move || match studio.keeper.keeping.get() {
        Keeping::Kept => "Kept",
        Keeping::Soon => "Keeping",
        Keeping::Trouble(_) => "Not kept",
    };
    let troubled = move || matches!(studio.keeper.keeping.get(), Keeping::Trouble(_));
    let sheet = studio.view.sheet;
    let step = move |up: bool| {
        sheet.update(|s| {
            *s = match (*s, up) {
                (SheetSize::Small, true) | (SheetSize::Tall, false) => SheetSize::Half,
                (_, true) => SheetSize::Tall,
                (_, false) => SheetSize::Small,
            };
        });
    };
    view! {
        <div class="whose">
            <button
                type="button"
                class="button bare"
                data-testid="to-clients"
                on:click=move |_| spawn_local(studio.close())
            >
                <Icon of=Drawing::Clients />
                <span>"Clients"</span>
            </button>
            <strong class="code" data-testid="client-code">{code}</strong>
            <span class="kept" class:trouble=troubled data-testid="kept">{kept}</span>
            <button
                type="button"
                class="button bare sheet-size"
                aria-label="Smaller panel"
                data-testid="sheet-smaller"
                disabled=move || sheet.get() == SheetSize::Small
                on:click=move |_| step(false)
            >
                <Icon of=Drawing::Smaller />
            </button>
            <button
                type="button"
                class="button bare sheet-size"
                aria-label="Larger panel"
                data-testid="sheet-larger"
                disabled=move || sheet.get() == SheetSize::Tall
                on:click=move |_| step(true)
            >
                <Icon of=Drawing::Taller />
            </button>
        </div>
    }
}

#[component]
fn Trouble(studio: Studio) -> impl IntoView {
    move || match studio.keeper.keeping.get() {
        Keeping::Trouble(why) => Some(view! {
            <div class="word" role="alert" data-testid="not-kept">
                <p>{why}</p>
                <div class="buttons">
                    <button
                        type="button"
                        class="button"
                        on:click=move |_| spawn_local(studio.keep_now())
                    >
                        "Try again"
                    </button>
                    <button
                        type="button"
                        class="button"
                        on:click=move |_| paper::save_client(studio)
                    >
                        "Save the client's file"
                    </button>
                </div>
            </div>
        }),
        _ => None,
    }
}
