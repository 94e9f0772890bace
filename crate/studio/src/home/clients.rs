//! Going on with a client, and beginning with a new one.

use leptos::prelude::*;
use leptos::task::spawn_local;

use super::{Doing, Known};
use crate::device::clock;
use crate::device::store::Entry;
use crate::parts::icon::{Drawing, Icon};

/// Clients shown before "all" is asked for.
const AT_FIRST: usize = 2;

/// The clients on this device, the last one first, and a new one.
#[component]
pub fn Clients(
    /// Shows what takes a moment.
    doing: Doing,
    /// What is known of them.
    known: RwSignal<Known>,
    /// Reads the list again.
    reread: Callback<()>,
) -> impl IntoView {
    view! {
        <section class="card">
            <h2>"Who is in the chair?"</h2>
            <NewClient doing=doing />
            {move || match known.get() {
                Known::Reading => {
                    view! { <p class="busy" role="status">"Looking for clients on this device"</p> }
                        .into_any()
                }
                Known::Trouble(why) => view! { <NoStore why=why reread=reread /> }.into_any(),
                Known::Clients(list) if list.is_empty() => {
                    view! { <p class="quiet" data-testid="no-clients">"No clients on this device yet."</p> }
                        .into_any()
                }
                Known::Clients(list) => {
                    view! { <List doing=doing list=list reread=reread /> }.into_any()
                }
            }}
        </section>
    }
}

#[component]
fn NoStore(why: String, reread: Callback<()>) -> impl IntoView {
    view! {
        <div class="word" role="alert" data-testid="no-store">
            <p>{why}</p>
            <p>
                "You can still work; save each client's file before you close the page. A private window keeps nothing."
            </p>
            <div class="buttons">
                <button type="button" class="button" on:click=move |_| reread.run(())>
                    "Try again"
                </button>
            </div>
        </div>
    }
}

#[component]
fn NewClient(doing: Doing) -> impl IntoView {
    let code = RwSignal::new(String::new());
    let begin = move || {
        let code = code.get_untracked();
        let code = code.trim();
        if code.is_empty() {
            doing
                .trouble
                .set(Some("Type a short code for her first, such as initials.".to_owned()));
        } else if code.chars().count() > 40 {
            doing
                .trouble
                .set(Some("That is longer than 40 letters. A short code is enough.".to_owned()));
        } else {
            doing.studio.begin(code);
            spawn_local(clock::ask_to_keep());
        }
    };
    view! {
        <div class="begin">
            <label class="field">
                <span>"Initials or code"</span>
                <input
                    type="text"
                    autocomplete="off"
                    autocapitalize="characters"
                    spellcheck="false"
                    data-testid="new-code"
                    prop:value=move || code.get()
                    on:input=move |e| code.set(event_target_value(&e))
                    on:keydown=move |e| {
                        if e.key() == "Enter" {
                            begin();
                        }
                    }
                />
            </label>
            <button
                type="button"
                class="button main"
                data-testid="new-client"
                on:click=move |_| begin()
            >
                "New client"
            </button>
        </div>
    }
}

#[component]
fn List(doing: Doing, list: Vec<Entry>, reread: Callback<()>) -> impl IntoView {
    let more = list.len().saturating_sub(AT_FIRST);
    let all = RwSignal::new(false);
    let list = StoredValue::new(list);
    let rows = move || {
        let count = if all.get() { usize::MAX } else { AT_FIRST };
        list.get_value()
            .into_iter()
            .take(count)
            .enumerate()
            .map(|(i, entry)| view! { <Line doing=doing entry=entry newest=i == 0 reread=reread /> })
            .collect_view()
    };
    view! {
        <ul class="choices" aria-label="Clients on this device">
            {rows}
        </ul>
        {(more > 0)
            .then(|| {
                view! {
                    <button
                        type="button"
                        class="button bare"
                        data-testid="all-clients"
                        aria-pressed=move || all.get().to_string()
                        on:click=move |_| all.update(|a| *a = !*a)
                    >
                        {move || {
                            if all.get() {
                                "Fewer".to_owned()
                            } else {
                                format!("{more} more on this device")
                            }
                        }}
                    </button>
                }
            })}
    }
}

#[component]
fn Line(doing: Doing, entry: Entry, newest: bool, reread: Callback<()>) -> impl IntoView {
    let studio = doing.studio;
    let erasing = RwSignal::new(false);
    let when = clock::ago(entry.changed_ms, clock::now_ms());
    let about = format!("{}, {when}", entry.stands);
    let title = if newest {
        format!("Go on with {}", entry.code)
    } else {
        entry.code.clone()
    };
    let key = StoredValue::new(entry.key);
    let code = StoredValue::new(entry.code);
    let open = move |_| {
        doing.run("Opening the client", async move {
            studio.open(&key.get_value()).await
        });
    };
    view! {
        <li>
            <div class="client-line">
                <button type="button" class="choice" data-testid="client" on:click=open>
                    <strong>{title}</strong>
                    <small>{about}</small>
                </button>
                <button
                    type="button"
                    class="button bare"
                    data-testid="erase"
                    aria-label=format!("Erase {}", code.get_value())
                    aria-expanded=move || erasing.get().to_string()
                    on:click=move |_| erasing.update(|e| *e = !*e)
                >
                    "Erase"
                </button>
            </div>
            {move || {
                erasing
                    .get()
                    .then(|| {
                        view! { <Erase doing=doing key=key code=code erasing=erasing reread=reread /> }
                    })
            }}
        </li>
    }
}

/// What can't be undone needs a typed word.
#[component]
fn Erase(
    doing: Doing,
    key: StoredValue<String>,
    code: StoredValue<String>,
    erasing: RwSignal<bool>,
    reread: Callback<()>,
) -> impl IntoView {
    let typed = RwSignal::new(String::new());
    let matches = move || typed.get().trim() == code.get_value();
    let icon = view! { <Icon of=Drawing::Clients /> };
    let erase = move |_| {
        doing.run("Erasing the client", async move {
            doing
                .studio
                .keeper
                .store()
                .await?
                .erase(&key.get_value())
                .await?;
            reread.run(());
            Ok(())
        });
    };
    view! {
        <div class="word">
            <p>
                {format!(
                    "Photo, landmarks and shape of {0} go from this device for good. To do it, type {0}.",
                    code.get_value(),
                )}
            </p>
            <div class="begin">
                <input
                    class="plain-input"
                    type="text"
                    autocomplete="off"
                    aria-label="Her code, to erase"
                    data-testid="erase-word"
                    prop:value=move || typed.get()
                    on:input=move |e| typed.set(event_target_value(&e))
                />
                <button
                    type="button"
                    class="button"
                    data-testid="erase-now"
                    disabled=move || !matches()
                    on:click=erase
                >
                    "Erase for good"
                </button>
            </div>
            <div class="buttons">
                <button type="button" class="button" on:click=move |_| erasing.set(false)>
                    {icon}
                    <span>"Keep her"</span>
                </button>
            </div>
        </div>
    }
}
