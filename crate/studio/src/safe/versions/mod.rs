//! Earlier versions of the client in work: a list with pictures, two of them
//! beside each other, one gone back to.

mod beside;
mod seat;
mod states;

use sycamore::reactive::{Signal, create_effect, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use crate::device::store::Cause;
use crate::markup::{El, button, div, el, p, shows};
use crate::parts::icon::{Drawing, icon};
use crate::studio::Studio;

pub use seat::between_windows;
use states::{Line, State, Urls, Which};

/// What the screen knows.
#[derive(Clone)]
struct Back {
    studio: Studio,
    urls: Urls,
    /// The versions, once they are read.
    lines: Signal<Option<Result<Vec<Line>, String>>>,
    /// The one that was chosen.
    chosen: Signal<Which>,
    /// The one beside it.
    beside: Signal<Which>,
    /// Both as they are read.
    states: [Signal<Option<Result<State, String>>>; 2],
}

/// The screen.
pub fn versions(studio: Studio) -> View {
    let back = Back {
        studio,
        urls: Urls::new(),
        lines: create_signal(None),
        chosen: create_signal(Which::Now),
        beside: create_signal(Which::Now),
        states: [create_signal(None), create_signal(None)],
    };
    back.read();
    back.follow();
    let code = studio.settled().map(|r| r.client.code).unwrap_or_default();
    let listed = back.clone();
    let compared = back.clone();
    el("main")
        .class("earlier")
        .id("earlier")
        .put(
            el("header")
                .class("earlier-top")
                .put(
                    button("button bare", "back-to-work")
                        .put(icon(Drawing::Left))
                        .put(el("span").words("Back to work"))
                        .click(move || studio.keeper.looks_back.set(false)),
                )
                .put(el("h1").words(format!("Earlier versions of {code}"))),
        )
        .put(div("earlier-list").shows(
            move || listed.lines.get_clone(),
            move |lines| list(&back, lines),
        ))
        .put(beside::beside(compared))
        .into()
}

impl Back {
    /// Reads the list; pictures that are not there yet are drawn one after the
    /// other.
    fn read(&self) {
        let back = self.clone();
        spawn_local(async move {
            let read = states::lines(back.studio, &back.urls).await;
            if !back.lines.is_alive() {
                return;
            }
            if let Ok(lines) = &read
                && let Some(first) = lines.first()
            {
                back.chosen.set(Which::Version(first.version.number));
            }
            let bare: Vec<u32> = read.as_deref().map_or_else(
                |_| Vec::new(),
                |lines| {
                    let bare = lines.iter().filter(|l| l.look.is_none());
                    bare.map(|l| l.version.number).collect()
                },
            );
            back.lines.set(Some(read));
            for number in bare {
                let look = states::look(back.studio, &back.urls, number).await;
                if !back.lines.is_alive() {
                    return;
                }
                if let Some(url) = look {
                    back.lines.update(|lines| {
                        if let Some(Ok(lines)) = lines
                            && let Some(line) =
                                lines.iter_mut().find(|l| l.version.number == number)
                        {
                            line.look = Some(url);
                        }
                    });
                }
            }
        });
    }

    /// Reads what is chosen.
    fn follow(&self) {
        for (which, state) in [self.chosen, self.beside].into_iter().zip(self.states) {
            let back = self.clone();
            create_effect(move || {
                let which = which.get();
                let back = back.clone();
                spawn_local(async move {
                    let read = states::read(back.studio, &back.urls, which).await;
                    if state.is_alive() {
                        state.set(Some(read));
                    }
                });
            });
        }
    }

    fn name(&self, which: Which) -> String {
        match which {
            Which::Now => "Now".to_owned(),
            Which::Version(number) => {
                let found = self.lines.with_untracked(|lines| {
                    let lines = lines.as_ref()?.as_ref().ok()?;
                    let line = lines.iter().find(|l| l.version.number == number)?;
                    Some(line.name.clone())
                });
                found.unwrap_or_else(|| "Earlier".to_owned())
            }
        }
    }
}

fn list(back: &Back, lines: Option<Result<Vec<Line>, String>>) -> View {
    match lines {
        None => p("Looking for earlier versions")
            .class("busy")
            .at("role", "status")
            .into(),
        Some(Err(why)) => div("word").at("role", "alert").put(p(why)).into(),
        Some(Ok(lines)) if lines.is_empty() => p("No earlier version is kept yet. One is kept when you leave a client, when she agrees, when a sheet is printed or saved, and every few minutes of work.")
            .class("quiet")
            .id("no-versions")
            .into(),
        Some(Ok(lines)) => el("ul")
            .class("earlier-cards")
            .label("Earlier versions, the newest first")
            .all(lines.into_iter().map(|line| card(back, line)))
            .into(),
    }
}

fn card(back: &Back, line: Line) -> El {
    let number = line.version.number;
    let chosen = back.chosen;
    let picture = match line.look {
        Some(url) => el("img").at("src", url).at("alt", "").decoration(),
        None => el("span").class("no-look").decoration(),
    };
    let says = match (line.version.says.as_str(), line.is_first) {
        ("", true) => "The first one that is kept.".to_owned(),
        ("", false) => String::new(),
        (says, _) => crate::words::sentence(says),
    };
    el("li").put(
        button("version", format!("version-{number}"))
            .pressed(move || chosen.get() == Which::Version(number))
            .put(picture)
            .put(el("strong").words(line.name))
            .put(el("span").class("why").words(why(line.version.cause)))
            .put(el("small").words(says))
            .click(move || chosen.set(Which::Version(number))),
    )
}

/// Why it was kept, in words.
const fn why(cause: Cause) -> &'static str {
    match cause {
        Cause::Work => "in the middle of work",
        Cause::Left => "when the client was left",
        Cause::Agreed => "when she agreed",
        Cause::OnPaper => "when it was printed or saved",
        Cause::BeforeRestore => "before a backup came in its place",
        Cause::BeforeGoingBack => "before going back to an earlier version",
        Cause::BeforeTakeover => "before another window went on",
        Cause::OtherWindow => "what a second window had not kept",
    }
}

/// Something that follows a state as it is read.
fn of_state(
    state: Signal<Option<Result<State, String>>>,
    build: impl Fn(State) -> View + 'static,
) -> View {
    shows(
        move || state.get_clone(),
        move |state| match state {
            None => p("Reading this version")
                .class("busy")
                .at("role", "status")
                .into(),
            Some(Err(why)) => div("word").at("role", "alert").put(p(why)).into(),
            Some(Ok(state)) => build(state),
        },
    )
}
