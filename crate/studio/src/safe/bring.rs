//! Choosing a backup, seeing what it would change, and bringing it back.

use std::collections::BTreeMap;
use std::rc::Rc;

use ophryon_archive::{Choice, Passphrase, Row, Standing};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use web_sys::File;

use super::keeping::passphrase_field;
use super::own::count;
use super::pages;
use super::progress::Progress;
use super::restore::{Brought, Compared, Shut, bring, compare};
use crate::device::clock;
use crate::home::Doing;
use crate::markup::{El, button, div, el, p, shows};
use crate::parts;
use crate::parts::icon::Drawing;
use crate::stage::bring::FileButton;
use crate::words;

/// How far it is.
#[derive(Clone)]
enum Stage {
    /// A file is to be chosen.
    Choose,
    /// It wants a passphrase.
    Locked(Option<String>),
    /// It is open and compared.
    Open(Rc<Compared>),
    /// It is done.
    Done(Brought),
    /// It isn't; a sentence says why.
    Trouble(String),
}

impl PartialEq for Stage {
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Choose, Self::Choose) => true,
            (Self::Open(a), Self::Open(b)) => Rc::ptr_eq(a, b),
            (Self::Done(a), Self::Done(b)) => a == b,
            (Self::Trouble(a), Self::Trouble(b)) => a == b,
            // Asked for once more, it is asked for anew.
            _ => false,
        }
    }
}

/// What the card works with. A handle.
#[derive(Clone, Copy)]
struct Bringing {
    doing: Doing,
    progress: Progress,
    stage: Signal<Stage>,
    file: Signal<Option<File>>,
    passphrase: Signal<String>,
    chosen: Signal<BTreeMap<usize, Choice>>,
}

/// The card; `after` is told when something was brought.
pub fn bring_back(doing: Doing, progress: Progress, after: impl Fn() + Copy + 'static) -> El {
    let own = Progress::new();
    let it = Bringing {
        doing,
        progress: own,
        stage: create_signal(Stage::Choose),
        file: create_signal(None),
        passphrase: create_signal(String::new()),
        chosen: create_signal(BTreeMap::new()),
    };
    el("section")
        .class("card")
        .put(el("h2").words("Bring back"))
        .shows(
            move || (own.is_busy(), progress.is_busy()),
            move |busy| match busy {
                (true, _) | (_, true) => View::new(),
                _ => it.stage_view(after),
            },
        )
        .put(own.view())
}

impl Bringing {
    fn stage_view(self, after: impl Fn() + Copy + 'static) -> View {
        shows(
            move || self.stage.get_clone(),
            move |stage| {
                match stage {
                Stage::Choose => parts![
                    p("Choose a backup, locked or not, or a single client's file. You see what would change before anything does.")
                        .class("quiet"),
                    self.choose("Choose a file"),
                ],
                Stage::Locked(said) => self.locked(said),
                Stage::Open(compared) => self.open(&compared, after),
                Stage::Done(brought) => self.done(&brought),
                Stage::Trouble(why) => parts![
                    p(why).class("word").at("role", "alert").id("bring-trouble"),
                    self.choose("Choose another file"),
                ],
            }
            },
        )
    }

    fn choose(self, words: &'static str) -> El {
        let button = FileButton {
            words,
            of: Drawing::File,
            accept: ".zip,.age,.json,application/zip,application/json",
            id: "bring-file".to_owned(),
            camera: false,
            main: false,
        };
        div("buttons").put(button.view(move |file| {
            self.file.set(Some(file));
            self.passphrase.set(String::new());
            self.look(None);
        }))
    }

    /// Opens the chosen file and compares.
    fn look(self, passphrase: Option<Passphrase>) {
        let Some(file) = self.file.get_clone_untracked() else {
            return;
        };
        self.progress.begin("Reading the file");
        spawn_local(async move {
            let found = compare(self.doing.studio, &file, passphrase, self.progress).await;
            if !self.stage.is_alive() {
                return;
            }
            self.chosen.set(BTreeMap::new());
            self.stage.set(match found {
                Ok(compared) => Stage::Open(Rc::new(compared)),
                Err(Shut::Locked(said)) => Stage::Locked(said),
                Err(Shut::Not(why)) => Stage::Trouble(why),
                Err(Shut::Stopped) => Stage::Choose,
            });
            self.progress.end();
        });
    }

    fn locked(self, said: Option<String>) -> View {
        let unlock = move || {
            let passphrase = Passphrase::new(self.passphrase.get_clone_untracked());
            self.look(Some(passphrase));
        };
        let said = said.map(|why| p(why).class("word").at("role", "alert").id("unlock-said"));
        parts![
            div("").all(said),
            p(format!("{} is locked.", self.file_name())),
            passphrase_field("Passphrase", "unlock-passphrase", self.passphrase),
            div("buttons")
                .put(
                    button("button main", "unlock")
                        .words("Unlock")
                        .click(unlock)
                )
                .put(self.give_up("Not now")),
        ]
    }

    fn give_up(self, words: &'static str) -> El {
        button("button", "bring-not")
            .words(words)
            .click(move || self.stage.set(Stage::Choose))
    }

    fn file_name(self) -> String {
        let file = self.file.get_clone_untracked();
        file.map_or_else(String::new, |f| format!("“{}”", f.name()))
    }

    fn open(self, compared: &Rc<Compared>, after: impl Fn() + Copy + 'static) -> View {
        let rows = Rc::new(compared.preview.rows.clone());
        let open: Rc<Vec<Row>> = Rc::new(
            rows.iter()
                .filter(|r| r.standing != Standing::Same)
                .cloned()
                .collect(),
        );
        let page = create_signal(0);
        let count_open = open.len();
        let plan = {
            let compared = Rc::clone(compared);
            move || {
                self.chosen
                    .with(|chosen| compared.preview.plan(|row| choice(chosen, row)).len())
            }
        };
        let now = {
            let compared = Rc::clone(compared);
            move || self.now(Rc::clone(&compared), after)
        };
        parts![
            p(summary(compared)).id("bring-summary"),
            faults(&compared.faults),
            shows(
                move || page.get(),
                move |page| {
                    let shown = open.get(pages::rows(page, open.len())).unwrap_or_default();
                    el("ul")
                        .class("choices")
                        .label("What would change")
                        .all(shown.iter().map(|row| self.row(row)))
                        .into()
                },
            ),
            pages::turn(page, move || count_open),
            div("buttons")
                .put(
                    el("button")
                        .at("type", "button")
                        .class("button main")
                        .id("bring-now")
                        .flag("disabled", {
                            let plan = plan.clone();
                            move || plan() == 0
                        })
                        .says(move || match plan() {
                            0 => "Nothing to bring".to_owned(),
                            n => format!("Bring back {}", count(n, "client")),
                        })
                        .click(now),
                )
                .put(self.give_up("Leave everything as it is")),
        ]
    }

    /// One client of the backup, with what can be done.
    fn row(self, row: &Row) -> El {
        let client = row.client;
        let usual = row.usual();
        let ways = ways(row).map(|(to, words)| {
            el("button")
                .at("type", "button")
                .class("button")
                .pressed(move || {
                    self.chosen
                        .with(|c| c.get(&client).copied().unwrap_or(usual) == to)
                })
                .words(words)
                .click(move || {
                    self.chosen.update(|c| {
                        c.insert(client, to);
                    });
                })
        });
        el("li")
            .class("bring-row")
            .id("bring-row")
            .put(el("strong").put(el("bdi").words(row.code.clone())))
            .put(p(words::sentence(standing(row))))
            .put(p(dates(row)).class("quiet"))
            .put(
                div("buttons")
                    .at("role", "group")
                    .label("What to do")
                    .all(ways),
            )
    }

    fn now(self, compared: Rc<Compared>, after: impl Fn() + Copy + 'static) {
        self.progress.begin("Bringing clients back");
        let chosen = self.chosen.get_clone_untracked();
        spawn_local(async move {
            let choose = |row: &Row| choice(&chosen, row);
            let outcome = bring(self.doing.studio, &compared, choose, self.progress).await;
            if !self.stage.is_alive() {
                return;
            }
            self.stage.set(match outcome {
                Ok(Some(brought)) => Stage::Done(brought),
                Ok(None) => {
                    Stage::Trouble("Stopped. Every client is as she was before.".to_owned())
                }
                Err(why) => Stage::Trouble(why),
            });
            self.progress.end();
            after();
        });
    }

    fn done(self, brought: &Brought) -> View {
        parts![
            p(said(brought))
                .class("word calm")
                .at("role", "status")
                .id("brought"),
            faults(&brought.faults),
            self.choose("Choose another file"),
        ]
    }
}

fn choice(chosen: &BTreeMap<usize, Choice>, row: &Row) -> Choice {
    chosen
        .get(&row.client)
        .copied()
        .unwrap_or_else(|| row.usual())
}

/// How she stands, as the rest of a sentence about her.
fn standing(row: &Row) -> &'static str {
    use ophryon_archive::Basis::{Dates, Known};
    match row.standing {
        Standing::New => "not here yet",
        Standing::Same => "the same here",
        Standing::PhotosOnlyThere => "the same here, but some of her photos are only in the backup",
        Standing::NewerHere(Known) => "changed here since the backup",
        Standing::NewerHere(Dates) => "newer here, by version and date",
        Standing::NewerThere(Known) => "newer in the backup",
        Standing::NewerThere(Dates) => "newer in the backup, by version and date",
        Standing::BothChanged => "changed here and in the backup",
    }
}

/// What can be done with her, the usual first.
fn ways(row: &Row) -> impl Iterator<Item = (Choice, &'static str)> {
    let here = if row.photos_there.is_empty() {
        (Choice::KeepHere, "Keep the one here")
    } else {
        (Choice::KeepHereAddPhotos, "Keep the one here, add photos")
    };
    let ways: Vec<(Choice, &'static str)> = match row.standing {
        Standing::New => vec![(Choice::Take, "Bring"), (Choice::KeepHere, "Leave out")],
        Standing::Same => Vec::new(),
        Standing::PhotosOnlyThere => vec![
            (Choice::KeepHereAddPhotos, "Bring the photos"),
            (Choice::KeepHere, "Leave out"),
        ],
        _ => vec![
            here,
            (Choice::Take, "Take the backup's"),
            (Choice::KeepBoth, "Keep both"),
        ],
    };
    ways.into_iter()
}

fn dates(row: &Row) -> String {
    let date = |at: Option<i64>| {
        at.map_or_else(
            || "at an unknown time".to_owned(),
            |s| clock::date(s as f64 * 1000.0),
        )
    };
    match row.present {
        None => format!("Changed {}", date(row.changed.0)),
        Some(_) => format!(
            "In the backup changed {}, here {}",
            date(row.changed.0),
            date(row.changed.1)
        ),
    }
}

fn summary(compared: &Compared) -> String {
    let rows = &compared.preview.rows;
    let of = |is: fn(&Row) -> bool| rows.iter().filter(|r| is(r)).count();
    let new = of(|r| r.standing == Standing::New);
    let same = of(|r| r.standing == Standing::Same);
    let other = rows.len() - new - same;
    let made = compared.made.as_ref().filter(|at| !at.is_empty());
    let made = made.map_or_else(String::new, |at| {
        format!(", made {}", at.replace('T', ", ").trim_end_matches('Z'))
    });
    let holds = count(rows.len(), "client");
    let mut words = format!(
        "“{}”{made} holds {holds}: {new} not here yet",
        compared.name
    );
    if other > 0 {
        words.push_str(&format!(", {other} that differ from the one here"));
    }
    if same > 0 {
        words.push_str(&format!(", {same} the same as here"));
    }
    words.push('.');
    words
}

fn said(brought: &Brought) -> String {
    let mut parts = Vec::new();
    for (n, words) in [
        (brought.new, "new here"),
        (brought.replaced, "as in the backup now"),
        (brought.beside, "beside the one that was here"),
        (brought.photos, "with photos added"),
    ] {
        if n > 0 {
            parts.push(format!("{} {words}", count(n, "client")));
        }
    }
    if parts.is_empty() {
        return "Nothing was brought; everything here is as it was.".to_owned();
    }
    format!("Brought back: {}.", parts.join(", "))
}

/// Faults that are shown at once; the others are counted.
const SHOWN: usize = 12;

/// What couldn't be read.
fn faults(faults: &[String]) -> View {
    if faults.is_empty() {
        return View::new();
    }
    let more = faults.len().saturating_sub(SHOWN);
    let rest = (more > 0).then(|| el("li").words(format!("{more} more like these")));
    let lines = faults.iter().take(SHOWN);
    div("word")
        .id("bring-faults")
        .put(p(
            "Not everything in this file can be read. What can is brought all the same:",
        ))
        .put(
            el("ul")
                .class("faults")
                .all(lines.map(|line| el("li").at("dir", "auto").words(line.clone())))
                .all(rest),
        )
        .into()
}
