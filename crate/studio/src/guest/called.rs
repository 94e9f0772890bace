//! What the address asks for. This is all of the second device that the first
//! load holds.

use std::cell::RefCell;

use sycamore::reactive::create_effect;
use wasm_bindgen_futures::spawn_local;

use crate::device::page;
use crate::studio::Studio;

thread_local! {
    /// What this page itself put behind the `#`.
    static PUT: RefCell<String> = const { RefCell::new(String::new()) };
}

/// What a link begins with that holds a design to sign.
const ASKED: &str = "ask";
/// And one that holds a signed answer.
const ANSWERED: &str = "yes";
/// And one that a guest's own page made of its address, to stand a reload.
pub const OWN: [&str; 2] = ["ticket-", "signed-"];

/// Who comes to the studio's own network is a guest.
const GUESTS: &str = "?come";

/// What stands behind the `#` of the address.
pub fn fragment() -> String {
    let hash = web_sys::window().and_then(|w| w.location().hash().ok());
    let hash = hash.unwrap_or_default();
    hash.strip_prefix('#').unwrap_or_default().to_owned()
}

/// The address asks for the guest's page: nothing of this device's clients is
/// read for it.
pub fn is_guest() -> bool {
    is_studios() || is_guests(&fragment())
}

/// This page came as a guest's, so no client's file is kept at its address and
/// no link to it brings an answer home.
pub fn is_studios() -> bool {
    let search = web_sys::window().and_then(|w| w.location().search().ok());
    search.as_deref() == Some(GUESTS)
}

fn is_guests(fragment: &str) -> bool {
    is_packet(fragment, ASKED) || OWN.iter().any(|own| fragment.starts_with(own))
}

/// The signed answer that came with the address, which forgets it.
fn take_answer() -> Option<String> {
    let answer = Some(fragment()).filter(|f| is_packet(f, ANSWERED))?;
    put("");
    Some(answer)
}

/// Puts something behind the `#` without beginning anew.
pub fn put(fragment: &str) {
    PUT.with_borrow_mut(|put| fragment.clone_into(put));
    if let Some(window) = web_sys::window() {
        // An address that can't be changed only loses a reload's memory.
        let _ = window.location().set_hash(fragment);
    }
}

/// A word, a number, a dot.
fn is_packet(fragment: &str, word: &str) -> bool {
    let rest = fragment.strip_prefix(word).unwrap_or_default();
    let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
    digits > 0 && rest.as_bytes().get(digits) == Some(&b'.')
}

/// A link was opened in a page that is open already: the page begins anew with
/// it, once the client in work is kept. Not while a client has the device.
pub fn begin_anew_by_link(studio: Option<Studio>) {
    page::listen::<web_sys::Event>("hashchange", move |_| {
        let now = fragment();
        let is_own = PUT.with_borrow(|put| *put == now);
        let is_locked = studio.is_some_and(|s| s.handed.get_untracked());
        if is_own || is_locked || !(is_guests(&now) || is_packet(&now, ANSWERED)) {
            return;
        }
        spawn_local(async move {
            if let Some(studio) = studio {
                studio.finish();
                studio.keep_now().await;
            }
            if let Some(window) = web_sys::window() {
                // Only a page that is going away could refuse.
                let _ = window.location().reload();
            }
        });
    });
}

impl Studio {
    /// Takes the signed answer that a link brought, for whichever client of
    /// this device it is; no link leads past the lock.
    pub fn take_landed(self) {
        create_effect(move || {
            if !self.lock.is_known.get() || self.handed.get_untracked() {
                return;
            }
            let Some(packet) = take_answer() else {
                return;
            };
            spawn_local(async move {
                match self.later.afar.get().await {
                    Ok(views) => (views.land)(self, packet),
                    Err(why) => self.said.set(Some(why)),
                }
            });
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn links_are_told_from_other_fragments() {
        for guest in ["ask1.abc.def", "ask12.a", "ticket-0f", "signed-yes1.a.b"] {
            assert!(is_guests(guest), "{guest}");
        }
        for other in ["", "ask", "ask1", "ask.a", "asking1.a", "yes1.a.b", "main"] {
            assert!(!is_guests(other), "{other}");
        }
        assert!(is_packet("yes1.a.b", ANSWERED) && !is_packet("yes1", ANSWERED));
    }
}
