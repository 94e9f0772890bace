//! The last place: the sheet as it will be printed, and the files.

mod files_out;
mod list;
mod table;

use leptos::prelude::*;
use leptos::task::spawn_local;
use ophryon_record::Papers;
use ophryon_stencil::{Facing, Paper};

pub use files_out::save_client;
pub use table::Table;

use crate::face::Question;
use crate::parts::icon::{Drawing, Icon};
use crate::shape::NotYet;
use crate::stage::bring::FileButton;
use crate::studio::Studio;
use crate::view::OnTable;
use crate::words;

/// The papers of the shape as it is; the sentence why there are none; nothing
/// while there is no shape.
fn papers(studio: Studio) -> Option<Result<Papers, String>> {
    let (paper, facing) = (studio.settings.paper.get(), studio.view.facing.get());
    studio.shown.with(|r| {
        let record = r.as_ref()?;
        studio.drawn.with(|d| {
            let drawn = d.as_ref()?.as_ref().ok()?;
            let made = record.papers_of(drawn, paper, facing);
            Some(made.map_err(|e| words::sentence(&e.to_string())))
        })
    })
}

/// The panel.
#[component]
pub fn PaperPanel(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let made = Memo::new(move |_| papers(studio));
    let state = Memo::new(move |_| made.with(|m| m.as_ref().map(Result::is_ok)));
    move || match state.get() {
        None => view! {
            <NotYet studio=studio />
            <ClientFile studio=studio />
        }
        .into_any(),
        Some(false) => {
            let why = made.with_untracked(|m| match m {
                Some(Err(why)) => why.clone(),
                _ => String::new(),
            });
            view! {
                <Question step="Paper" text="The pair doesn't fit this paper." />
                <div class="word"><p>{why}</p></div>
                <WhichPaper studio=studio />
                <ClientFile studio=studio />
            }
            .into_any()
        }
        Some(true) => view! { <Sheets studio=studio made=made /> }.into_any(),
    }
}

#[component]
fn Sheets(studio: Studio, made: Memo<Option<Result<Papers, String>>>) -> impl IntoView {
    let on_table = studio.view.on_table;
    let which = move |sheet: OnTable, words: &'static str, id: &'static str| {
        view! {
            <button
                type="button"
                class="button"
                data-testid=id
                aria-pressed=move || (on_table.get() == sheet).to_string()
                on:click=move |_| on_table.set(sheet)
            >
                {words}
            </button>
        }
    };
    let print = move |_| {
        made.with_untracked(|m| {
            if let Some(Ok(papers)) = m {
                files_out::print(studio, papers);
            }
        });
    };
    let cautions = move || {
        studio
            .drawn
            .with(|d| match d {
                Some(Ok(drawn)) => drawn.measured.cautions.clone(),
                _ => Vec::new(),
            })
    };
    view! {
        <Question
            step="Paper"
            text="This is what will be printed."
            hint="Print at 100 %, not fitted to the page. Then lay a ruler on the printed bar: it must read 100 mm."
        />
        <div class="sides" role="group" aria-label="On the table">
            {which(OnTable::Stencil, "Stencil", "show-stencil")}
            {which(OnTable::Distances, "Ruler list", "show-distances")}
        </div>
        <button type="button" class="button main wide" data-testid="print" on:click=print>
            <Icon of=Drawing::Sheet />
            <span>"Print both sheets"</span>
        </button>
        <ul class="says">
            {move || {
                cautions()
                    .into_iter()
                    .map(|c| {
                        view! {
                            <li class="fails">
                                <svg class="sign fails" viewBox="0 0 18 18" role="img" aria-label="needs a look">
                                    <path d="M9 2 16 9 9 16 2 9Z" />
                                </svg>
                                <span>{c}</span>
                            </li>
                        }
                    })
                    .collect_view()
            }}
        </ul>
        <div>
            <details class="more" data-testid="ruler-list">
                <summary>"Distances to check with a ruler"</summary>
                <list::RulerList made=made />
            </details>
            <details class="more" data-testid="paper-choice">
                <summary>
                    "Paper"
                    <span class="beside">{move || studio.settings.paper.get().name()}</span>
                </summary>
                <div class="inside">
                    <WhichPaper studio=studio />
                    <WhichWay studio=studio />
                </div>
            </details>
            <details class="more" data-testid="files">
                <summary>"Files"</summary>
                <div class="inside">
                    <button
                        type="button"
                        class="button start"
                        data-testid="save-stencil"
                        on:click=move |_| files_out::save_stencil(studio, made)
                    >
                        <Icon of=Drawing::File />
                        <span>"Save the stencil, stencil.svg"</span>
                    </button>
                    <button
                        type="button"
                        class="button start"
                        data-testid="save-report"
                        on:click=move |_| files_out::save_report(studio, made)
                    >
                        <Icon of=Drawing::File />
                        <span>"Save all numbers, report.json"</span>
                    </button>
                    <ClientFile studio=studio />
                </div>
            </details>
        </div>
    }
}

#[component]
fn WhichPaper(studio: Studio) -> impl IntoView {
    let paper = studio.settings.paper;
    view! {
        <div class="sides" role="group" aria-label="Paper">
            {Paper::ALL
                .into_iter()
                .map(|p| {
                    view! {
                        <button
                            type="button"
                            class="button"
                            data-testid=format!("paper-{}", p.name().to_lowercase())
                            aria-pressed=move || (paper.get() == p).to_string()
                            on:click=move |_| paper.set(p)
                        >
                            {p.name()}
                        </button>
                    }
                })
                .collect_view()}
        </div>
    }
}

#[component]
fn WhichWay(studio: Studio) -> impl IntoView {
    let facing = studio.view.facing;
    let choice = move |to: Facing, name: &'static str, about: &'static str, id: &'static str| {
        view! {
            <button
                type="button"
                class="choice"
                class:chosen=move || facing.get() == to
                aria-pressed=move || (facing.get() == to).to_string()
                data-testid=id
                on:click=move |_| facing.set(to)
            >
                <strong>{name}</strong>
                <small>{about}</small>
            </button>
        }
    };
    view! {
        <div class="choices" role="group" aria-label="How the sheet lies on the skin">
            {choice(Facing::FaceUp, "Print side up", "To cut out and draw round.", "face-up")}
            {choice(
                Facing::FaceDown,
                "Print side on the skin",
                "For transfer: the drawing is mirrored, the words stay readable.",
                "face-down",
            )}
        </div>
    }
}

/// Saving and opening the client's file.
#[component]
fn ClientFile(studio: Studio) -> impl IntoView {
    let open = Callback::new(move |file: web_sys::File| {
        spawn_local(async move {
            studio.finish();
            studio.keep_now().await;
            if let Err(why) = studio.open_file(&file).await {
                studio.said.set(Some(why));
            }
        });
    });
    view! {
        <button
            type="button"
            class="button start"
            data-testid="save-client"
            on:click=move |_| save_client(studio)
        >
            <Icon of=Drawing::File />
            <span>"Save the client's file, photo included"</span>
        </button>
        <FileButton
            words="Open a client's file"
            of=Drawing::File
            accept=".json,application/json"
            testid="open-client"
            on_file=open
        />
    }
}
