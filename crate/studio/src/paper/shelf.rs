//! The printers of the shop, kept on this device, and the one in use.

use std::cell::OnceCell;

use ophryon_record::{Gauges, PrinterError, Printers};
use ophryon_stencil::Correction;
use sycamore::reactive::{Signal, create_signal};

use crate::device::settings::{read, write};
use crate::markup::glance;

/// Under these names they are kept in the browser's local storage: the list as
/// the command line writes it, and the name of the one in use.
const LIST: &str = "printers";
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
    chosen: Signal<Option<String>>,
}

/// The printers, read at first use.
pub fn shelf() -> Shelf {
    SHELF.with(|shelf| {
        *shelf.get_or_init(|| {
            let printers = kept();
            let chosen = read(CHOSEN).filter(|name| printers.gauges(name).is_some());
            // In the scope of the app, for they outlast every view.
            glance(|| Shelf {
                printers: create_signal(printers),
                chosen: create_signal(chosen),
            })
        })
    })
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

    /// The name of the one in use.
    pub fn chosen(self) -> Option<String> {
        self.chosen.get_clone()
    }

    /// What a printer needs.
    ///
    /// # Errors
    /// There is no such printer.
    pub fn correction(self, name: &str) -> Result<Correction, PrinterError> {
        self.printers.with(|p| p.correction(name))
    }

    /// Uses a printer, or none in particular.
    pub fn choose(self, name: Option<String>) {
        write(CHOSEN, name.as_deref().unwrap_or_default());
        self.chosen.set(name);
    }

    /// Keeps what was read and uses that printer from now on.
    ///
    /// # Errors
    /// A name or readings that can't be used; nothing is changed.
    pub fn keep(self, name: &str, gauges: Gauges) -> Result<String, PrinterError> {
        let name = self.printers.update(|p| p.keep(name, gauges))?;
        write(LIST, &self.printers.with_untracked(Printers::to_json));
        self.choose(Some(name.clone()));
        Ok(name)
    }

    /// Forgets a printer; hands back what was read, so that it can be kept
    /// again.
    pub fn forget(self, name: &str) -> Option<Gauges> {
        if self.chosen.with_untracked(|c| c.as_deref() == Some(name)) {
            self.choose(None);
        }
        let gauges = self.printers.update(|p| p.forget(name));
        write(LIST, &self.printers.with_untracked(Printers::to_json));
        gauges
    }
}
