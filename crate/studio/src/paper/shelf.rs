//! The printers of the shop, kept on this device, and which one is in use for
//! which paper: labels come from another machine than letters.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use ophryon_record::{Gauges, PrinterError, Printers};
use ophryon_stencil::{Correction, Paper};
use sycamore::reactive::{Signal, create_signal};

use crate::device::settings::{read, write};
use crate::markup::glance;

/// Under this name they are kept in the browser's local storage, as the command
/// line writes them.
const LIST: &str = "printers";

/// Under this, and the paper's id, the name of the one in use.
const CHOSEN: &str = "printer";

/// A list that could not be read is put aside here and not written over: a
/// newer Ophryon may have made it.
const UNREAD: &str = "printers-unread";

thread_local! {
    static SHELF: OnceCell<Shelf> = const { OnceCell::new() };
}

/// The printers as signals. A handle: there is one for as long as the app runs.
#[derive(Clone, Copy)]
pub struct Shelf {
    printers: Signal<Printers>,
    chosen: Signal<BTreeMap<&'static str, String>>,
}

/// The printers, read at first use.
pub fn shelf() -> Shelf {
    SHELF.with(|shelf| {
        *shelf.get_or_init(|| {
            let printers = kept();
            let chosen = Paper::ALL.into_iter().filter_map(|paper| {
                let name = read(&key(paper))?;
                printers.gauges(&name)?;
                Some((paper.id(), name))
            });
            let chosen = chosen.collect();
            // In the scope of the app, for they outlast every view.
            glance(|| Shelf {
                printers: create_signal(printers),
                chosen: create_signal(chosen),
            })
        })
    })
}

fn key(paper: Paper) -> String {
    format!("{CHOSEN}.{}", paper.id())
}

fn kept() -> Printers {
    let Some(text) = read(LIST) else {
        return Printers::default();
    };
    Printers::from_json(&text).unwrap_or_else(|_| {
        write(UNREAD, &text);
        Printers::default()
    })
}

impl Shelf {
    /// All of them with what was read.
    pub fn all(self) -> Vec<(String, Gauges)> {
        self.printers.with(|p| {
            let gauges = |name: &str| Some((name.to_owned(), p.gauges(name)?));
            p.names().filter_map(gauges).collect()
        })
    }

    /// The name of the one in use for that paper.
    pub fn chosen(self, paper: Paper) -> Option<String> {
        self.chosen.with(|c| c.get(paper.id()).cloned())
    }

    /// What a printer needs.
    ///
    /// # Errors
    /// There is no such printer.
    pub fn correction(self, name: &str) -> Result<Correction, PrinterError> {
        self.printers.with(|p| p.correction(name))
    }

    /// Uses a printer for that paper, or none in particular.
    pub fn choose(self, paper: Paper, name: Option<String>) {
        write(&key(paper), name.as_deref().unwrap_or_default());
        self.chosen.update(|c| match name {
            Some(name) => c.insert(paper.id(), name),
            None => c.remove(paper.id()),
        });
    }

    /// Keeps what was read and uses that printer for that paper from now on.
    ///
    /// # Errors
    /// A name or readings that can't be used; nothing is changed.
    pub fn keep(self, name: &str, gauges: Gauges, paper: Paper) -> Result<String, PrinterError> {
        let name = self.printers.update(|p| p.keep(name, gauges))?;
        write(LIST, &self.printers.with_untracked(Printers::to_json));
        self.choose(paper, Some(name.clone()));
        Ok(name)
    }

    /// Forgets a printer; hands back what was read, so that it can be kept
    /// again.
    pub fn forget(self, name: &str) -> Option<Gauges> {
        for paper in Paper::ALL {
            let is_it = self
                .chosen
                .with_untracked(|c| c.get(paper.id()).is_some_and(|n| n == name));
            if is_it {
                self.choose(paper, None);
            }
        }
        let gauges = self.printers.update(|p| p.forget(name));
        write(LIST, &self.printers.with_untracked(Printers::to_json));
        gauges
    }
}
