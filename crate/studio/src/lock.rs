//! The lock on the screen while the device is in a client's hands.
//!
//! It is a lock on the screen, not encryption: it keeps whoever holds the
//! tablet from other clients and from the artist's tools in this app. What is
//! kept on the device is as readable to other programs as before.
//!
//! What is locked is kept on the device and read before anything is shown, so
//! that a page that is loaded anew, a second window or a device that was
//! started anew begin locked. All of it is one short text, see [`Kept`], and
//! is kept twice: among the browser's kept words, which are there at once and
//! of which every window hears, and in the store, because a browser that is
//! killed loses the words of its last seconds. The later of the two counts.
//!
//! Only what every start needs is here; the code's arithmetic is in
//! [`crate::handed::code`], which only parts call.

use sycamore::reactive::{Signal, create_signal};
use web_sys::Event;

use crate::device::{page, settings};
use crate::studio::Studio;

/// The name of the text among the browser's kept words.
const NAME: &str = "lock";

/// The window that the client works in, where there are several.
const WINDOW: &str = "lock-window";

/// Wrong codes in a row before there is a pause.
const FREE_TRIES: u32 = 5;

/// The first pause, s; each further wrong code doubles it.
const FIRST_PAUSE_S: u32 = 30;

/// No pause is longer than this, s: the artist may have mistyped too.
const LONGEST_PAUSE_S: u32 = 15 * 60;

/// What is locked, and by what.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Kept {
    /// Counts the changes.
    pub changes: u64,
    /// The artist's code, as a salted slow hash; `None` until she has set one.
    pub code: Option<String>,
    /// The client whose hands the device is in, by her key.
    pub handed: Option<String>,
    /// Where she is, in the words of the client view.
    pub page: String,
    /// Wrong codes since the last right one.
    pub wrong: u32,
    /// What is left of the pause, s. Counted down while the app is open, so
    /// that no clock can shorten it.
    pub pause_s: u32,
}

impl Kept {
    /// A line for each thing that is there; none of them holds a line break.
    fn to_text(&self) -> String {
        let mut text = String::new();
        let mut line = |name: &str, value: &str| {
            text.push_str(name);
            text.push(' ');
            text.push_str(value);
            text.push('\n');
        };
        line("changes", &self.changes.to_string());
        if let Some(code) = &self.code {
            line("code", code);
        }
        if let Some(key) = &self.handed {
            line("handed", key);
            line("page", &self.page);
        }
        if self.wrong > 0 {
            line("wrong", &self.wrong.to_string());
            line("pause", &self.pause_s.to_string());
        }
        text
    }

    fn from_text(text: &str) -> Self {
        let mut kept = Self::default();
        for line in text.lines() {
            let Some((name, value)) = line.split_once(' ') else {
                continue;
            };
            match name {
                "changes" => kept.changes = value.parse().unwrap_or(0),
                "code" => kept.code = Some(value.to_owned()),
                "handed" => kept.handed = Some(value.to_owned()),
                "page" => kept.page = value.to_owned(),
                // What can't be read counts as much as it can: a damaged text
                // is no way to more tries.
                "wrong" => kept.wrong = value.parse().unwrap_or(FREE_TRIES),
                "pause" => kept.pause_s = value.parse().unwrap_or(LONGEST_PAUSE_S),
                _ => {}
            }
        }
        kept.pause_s = kept.pause_s.min(LONGEST_PAUSE_S);
        kept
    }

    /// One more wrong code.
    pub fn count_wrong(&mut self) {
        self.wrong = self.wrong.saturating_add(1);
        if let Some(past) = self.wrong.checked_sub(FREE_TRIES) {
            let pause = FIRST_PAUSE_S.saturating_mul(1 << past.min(10));
            self.pause_s = pause.min(LONGEST_PAUSE_S);
        }
    }

    /// Wrong codes that are left before a pause.
    pub const fn tries_left(&self) -> u32 {
        FREE_TRIES.saturating_sub(self.wrong)
    }
}

/// The lock, as signals.
#[derive(Clone, Copy)]
pub struct Lock {
    /// What is kept on the device.
    pub kept: Signal<Kept>,
    /// It is known what is kept; nothing is shown before.
    pub is_known: Signal<bool>,
    /// The client works in this window; `false` where another has her.
    pub is_here: Signal<bool>,
    /// This window, by chance.
    window: Signal<String>,
}

impl Lock {
    /// As it is kept.
    pub fn restore() -> Self {
        Self {
            kept: create_signal(read()),
            is_known: create_signal(false),
            is_here: create_signal(true),
            window: create_signal(format!("{:.0}", js_sys::Math::random() * 1e15)),
        }
    }

    /// Keeps a change among the words; `false` where nothing is kept.
    pub fn change(self, change: impl FnOnce(&mut Kept)) -> bool {
        // Another window may have changed it.
        let mut kept = later_of(read(), self.kept.get_clone_untracked());
        change(&mut kept);
        kept.changes += 1;
        let text = kept.to_text();
        settings::write(NAME, &text);
        let is_kept = settings::read(NAME).as_deref() == Some(text.as_str());
        self.kept.set(kept);
        is_kept
    }

    /// From now on the client works in this window.
    pub fn work_here(self) {
        settings::write(WINDOW, &self.window.get_clone_untracked());
        self.is_here.set(true);
    }

    fn look_again(self) {
        let kept = later_of(read(), self.kept.get_clone_untracked());
        if self.kept.with_untracked(|k| *k != kept) {
            self.kept.set(kept);
        }
        let here = settings::read(WINDOW);
        let is_here = here.is_none_or(|w| w == self.window.get_clone_untracked());
        if self.is_here.get_untracked() != is_here {
            self.is_here.set(is_here);
        }
    }
}

/// The one that was changed later.
fn later_of(one: Kept, other: Kept) -> Kept {
    if one.changes >= other.changes {
        one
    } else {
        other
    }
}

fn read() -> Kept {
    settings::read(NAME).map_or_else(Kept::default, |text| Kept::from_text(&text))
}

impl Studio {
    /// Follows the lock from the start: what another window locks is locked
    /// here, and a page that the browser brings back from its past as well.
    pub fn follow_lock(self) {
        if self.lock.kept.with_untracked(|k| k.handed.is_some()) {
            self.begin_locked();
        } else {
            wasm_bindgen_futures::spawn_local(self.ask_store());
        }
        for told in ["storage", "focus", "visibilitychange"] {
            page::listen::<Event>(told, move |_| self.look_at_lock());
        }
        page::listen::<Event>("pageshow", move |event| {
            let from_past = js_sys::Reflect::get(event, &"persisted".into());
            let is_locked = read().handed.is_some();
            // A page that the browser brings back from its past knows neither
            // of the lock nor of what she did since.
            if is_locked
                && from_past.is_ok_and(|p| p.is_truthy())
                && let Some(window) = web_sys::window()
            {
                let _ = window.location().reload();
            } else {
                self.look_at_lock();
            }
        });
    }

    fn begin_locked(self) {
        self.lock.work_here();
        self.handed.set(true);
        self.lock.is_known.set(true);
    }

    /// The words of a browser that was killed may be of before.
    async fn ask_store(self) {
        let asked = async || self.keeper.store().await?.fact(NAME).await;
        if let Ok(Some(text)) = asked().await {
            let stored = Kept::from_text(&text);
            if stored.changes > self.lock.kept.with_untracked(|k| k.changes) {
                settings::write(NAME, &text);
                self.lock.kept.set(stored);
            }
        }
        if self.lock.kept.with_untracked(|k| k.handed.is_some()) {
            self.begin_locked();
        } else {
            self.lock.is_known.set(true);
        }
    }

    /// Keeps a change in both places; `false` where neither took it.
    pub async fn change_lock(self, change: impl FnOnce(&mut Kept)) -> bool {
        let is_said = self.lock.change(change);
        let text = self.lock.kept.with_untracked(Kept::to_text);
        let store = async || self.keeper.store().await?.set_fact(NAME, &text).await;
        store().await.is_ok() || is_said
    }

    fn look_at_lock(self) {
        self.lock.look_again();
        let is_handed = self.lock.kept.with_untracked(|k| k.handed.is_some());
        if is_handed != self.handed.get_untracked() {
            // Whatever was open here is kept and closed before: it is another
            // client's, or hers and older than what she does elsewhere.
            self.handed.set(true);
            wasm_bindgen_futures::spawn_local(async move {
                self.close().await;
                self.handed.set(is_handed);
            });
        }
    }

    /// Whether the artist has set her code; followed.
    pub fn is_code_set(self) -> bool {
        self.lock.kept.with(|k| k.code.is_some())
    }

    /// Sets the artist's code, 4 to 8 digits, in place of any before.
    ///
    /// # Errors
    /// A sentence; the code before stays.
    pub async fn set_code(self, code: &str) -> Result<(), String> {
        crate::handed::code::set(self, code).await
    }

    /// Hands the device to the client who is open: from now on it shows
    /// nothing but her own pages.
    ///
    /// # Errors
    /// A sentence; the artist's tools stay.
    pub async fn hand_over(self) -> Result<(), String> {
        crate::handed::code::hand_over(self).await
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_comes_back_as_it_was() {
        let kept = Kept {
            changes: 7,
            code: Some("scrypt 15 8 1 00 11".to_owned()),
            handed: Some("1764057600000-12".to_owned()),
            page: "say es".to_owned(),
            wrong: 6,
            pause_s: 60,
        };
        assert_eq!(Kept::from_text(&kept.to_text()), kept);
        assert_eq!(Kept::from_text(&Kept::default().to_text()), Kept::default());
    }

    #[test]
    fn the_fifth_wrong_code_is_followed_by_a_pause_that_grows() {
        let mut kept = Kept::default();
        let mut pauses = Vec::new();
        for _ in 0..11 {
            kept.count_wrong();
            pauses.push(kept.pause_s);
        }
        assert_eq!(pauses, [0, 0, 0, 0, 30, 60, 120, 240, 480, 900, 900]);
    }

    #[test]
    fn a_damaged_text_is_no_way_to_more_tries() {
        let kept = Kept::from_text("wrong many\npause soon\nhanded \u{0}\nnonsense");
        assert_eq!(kept.tries_left(), 0);
        assert_eq!(kept.pause_s, LONGEST_PAUSE_S);
        assert!(kept.handed.is_some(), "locked stays locked");
    }
}
