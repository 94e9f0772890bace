//! What the artist chose for this device: the working hand, light or dark,
//! the paper. Kept in the browser's local storage; without it the defaults
//! serve.

use ophryon_stencil::{Facing, Paper, SheetOptions};
use sycamore::reactive::{Signal, create_effect, create_signal};

/// On which side the panel stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Hand {
    /// The panel stands on the right.
    #[default]
    Right,
    /// The panel stands on the left.
    Left,
}

/// Light or dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Light {
    /// As the device has it.
    #[default]
    AsDevice,
    /// Light, for day.
    Day,
    /// Dark, for a dim room.
    Dim,
}

/// The settings as signals; a change is kept at once.
#[derive(Clone, Copy)]
pub struct Settings {
    /// Working hand.
    pub hand: Signal<Hand>,
    /// Light or dark.
    pub light: Signal<Light>,
    /// How stencils are put on paper. Which brows, how often and whether with
    /// the name is asked anew for every client.
    pub sheet: Signal<SheetOptions>,
}

impl Settings {
    /// As they were kept, and kept from now on.
    pub fn restore() -> Self {
        let hand = match read("hand").as_deref() {
            Some("left") => Hand::Left,
            _ => Hand::Right,
        };
        let light = match read("light").as_deref() {
            Some("light") => Light::Day,
            Some("dark") => Light::Dim,
            _ => Light::AsDevice,
        };
        let paper = read("paper").and_then(|id| Paper::from_id(&id));
        let facing = match read("facing").as_deref() {
            Some("down") => Facing::FaceDown,
            _ => Facing::FaceUp,
        };
        let sheet = SheetOptions {
            paper: paper.unwrap_or_default(),
            facing,
            ..SheetOptions::default()
        };
        let settings = Self {
            hand: create_signal(hand),
            light: create_signal(light),
            sheet: create_signal(sheet),
        };
        settings.follow();
        settings
    }

    fn follow(self) {
        create_effect(move || {
            write(
                "hand",
                match self.hand.get() {
                    Hand::Right => "right",
                    Hand::Left => "left",
                },
            );
        });
        create_effect(move || {
            let SheetOptions { paper, facing, .. } = self.sheet.get();
            write("paper", paper.id());
            write(
                "facing",
                match facing {
                    Facing::FaceUp => "up",
                    Facing::FaceDown => "down",
                },
            );
        });
        create_effect(move || {
            let light = self.light.get();
            let root = super::page::document().and_then(|d| d.document_element());
            let mark = |name: &str, on: bool| {
                if let Some(root) = &root {
                    // Only a name that is no attribute's could fail.
                    let _ = if on {
                        root.set_attribute(name, "")
                    } else {
                        root.remove_attribute(name)
                    };
                }
            };
            mark("data-light", light == Light::Day);
            mark("data-dark", light == Light::Dim);
            write(
                "light",
                match light {
                    Light::AsDevice => "device",
                    Light::Day => "light",
                    Light::Dim => "dark",
                },
            );
        });
    }
}

/// What belongs to one client's sheet goes back to the usual.
pub fn usual_sheet(sheet: &mut SheetOptions) {
    *sheet = SheetOptions {
        paper: sheet.paper,
        facing: sheet.facing,
        ..SheetOptions::default()
    };
}

fn storage() -> Option<web_sys::Storage> {
    web_sys::window()?.local_storage().ok().flatten()
}

/// A kept word.
pub fn read(name: &str) -> Option<String> {
    storage()?
        .get_item(&format!("ophryon.{name}"))
        .ok()
        .flatten()
}

/// Keeps a word; a refused storage is no reason to stop work.
pub fn write(name: &str, word: &str) {
    if let Some(storage) = storage() {
        let _ = storage.set_item(&format!("ophryon.{name}"), word);
    }
}
