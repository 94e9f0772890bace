//! Choosing a backup, seeing what it would change, and bringing it back.

use std::collections::BTreeMap;
use std::rc::Rc;

use ophryon_archive::{Choice, Passphrase, Row, Standing};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use web_sys::File;

use super::changes::{choice, dates, faults, said, standing, summary, ways};
use super::compare::{Compared, Shut, compare};
use super::page::passphrase_field;
use super::restore::{Brought, bring};
use crate::home::Doing;
use crate::markup::{El, button, div, el, p, shows};
use crate::parts;
use crate::parts::icon::Drawing;
use crate::safe::own::count;
use crate::safe::pages;
use crate::safe::progress::Progress;
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
        let differs = compared.differs.clone();
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
            shows(
                move || page.get(),
                move |page| {
                    let shown = open.get(pages::rows(page, open.len())).unwrap_or_default();
                    el("ul")
                        .class("choices")
                        .label("What would change")
                        .all(
                            shown
                                .iter()
                                .map(|row| self.row(row, differs.get(&row.client))),
                        )
                        .into()
                },
            ),
            pages::turn(page, move || count_open),
        ]
    }

    /// One client of the backup, with what can be done.
    fn row(self, row: &Row, differs: Option<&String>) -> El {
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
            .all(differs.map(|words| p(words.clone()).at("dir", "auto").id("row-differs")))
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
