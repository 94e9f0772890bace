//! The artist's code: how it is kept, and what it opens.
//!
//! Kept as a salted slow hash, scrypt (RFC 7914) with N = 2^15, r = 8, p = 1:
//! 32 MB and a good tenth of a second for each try. Four to eight digits are
//! few all the same: who has the device and can read the browser's own files
//! finds a code by trying them all. The code is a lock on the screen.

use scrypt::{Params, scrypt};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};

use crate::device::page;
use crate::lock::Kept;
use crate::places::Place;
use crate::studio::Studio;

/// Fewest and most digits.
pub const DIGITS: std::ops::RangeInclusive<usize> = 4..=8;

const LOG_N: u8 = 15;
const BLOCK: u32 = 8;
const LANES: u32 = 1;

/// What is kept of a code.
fn hashed(code: &str, salt: &[u8], log_n: u8) -> Option<String> {
    let params = Params::new(log_n, BLOCK, LANES).ok()?;
    let mut hash = [0; 32];
    scrypt(code.as_bytes(), salt, &params, &mut hash).ok()?;
    Some(format!(
        "scrypt {log_n} {BLOCK} {LANES} {} {}",
        hex(salt),
        hex(&hash)
    ))
}

/// Whether it is the code that is kept.
fn fits(code: &str, kept: &str) -> bool {
    let mut words = kept.split(' ');
    let (Some("scrypt"), Some(log_n), _, _, Some(salt)) = (
        words.next(),
        words.next().and_then(|n| n.parse().ok()),
        words.next(),
        words.next(),
        words.next().and_then(unhex),
    ) else {
        return false;
    };
    // A damaged text must not ask for more memory than there is.
    log_n <= LOG_N && hashed(code, &salt, log_n).as_deref() == Some(kept)
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

fn unhex(text: &str) -> Option<Vec<u8>> {
    let digit = |b: u8| char::from(b).to_digit(16);
    text.as_bytes()
        .chunks(2)
        .map(|pair| match pair {
            [high, low] => u8::try_from(16 * digit(*high)? + digit(*low)?).ok(),
            _ => None,
        })
        .collect()
}

/// Why a code can't be set; `None` where it can.
pub fn complaint(code: &str) -> Option<&'static str> {
    let is_digits = code.bytes().all(|b| b.is_ascii_digit());
    (!is_digits || !DIGITS.contains(&code.len())).then_some("A code has 4 to 8 digits.")
}

/// Sets the artist's code.
///
/// # Errors
/// A sentence; the code before stays.
pub async fn set(studio: Studio, code: &str) -> Result<(), String> {
    if let Some(why) = complaint(code) {
        return Err(why.to_owned());
    }
    let salt = page::random()
        .ok_or("This browser hands out no random numbers, so no code can be kept safely.")?;
    let kept = hashed(code, &salt, LOG_N).ok_or("The code could not be kept. Try again.")?;
    let keep = |lock: &mut Kept| {
        lock.code = Some(kept);
        lock.wrong = 0;
        lock.pause_s = 0;
    };
    if studio.change_lock(keep).await {
        Ok(())
    } else {
        Err(NOT_KEPT.to_owned())
    }
}

const NOT_KEPT: &str = "This browser keeps nothing for this page, so a lock would be gone as soon as the page is loaded again. Allow the page to keep data, or leave the private window, and try again.";

/// Her pages fill the screen where the browser lets them, so that no address
/// invites to be edited; leaving that leads nowhere else.
fn fill_screen(fill: bool) {
    let Some(document) = page::document() else {
        return;
    };
    let root = document.document_element().map(JsValue::from);
    let (on, name) = if fill {
        (root.unwrap_or_default(), "requestFullscreen")
    } else if document.fullscreen_element().is_some() {
        (JsValue::from(document), "exitFullscreen")
    } else {
        return;
    };
    let asked = js_sys::Reflect::get(&on, &name.into()).and_then(|ask| {
        let ask: js_sys::Function = ask.dyn_into()?;
        ask.call0(&on)?.dyn_into::<js_sys::Promise>()
    });
    if let Ok(asked) = asked {
        // Refused, her pages stand in the window.
        spawn_local(async move {
            let _ = JsFuture::from(asked).await;
        });
    }
}

/// Hands the device over.
///
/// # Errors
/// A sentence; the artist's tools stay.
pub async fn hand_over(studio: Studio) -> Result<(), String> {
    let Some(key) = studio.key_now() else {
        return Err("No client is open.".to_owned());
    };
    if crate::markup::glance(|| studio.of_shape(|_| ())).is_none() {
        return Err("There is no shape to show yet: draw one, or take the proposal.".to_owned());
    }
    if !studio.lock.kept.with_untracked(|k| k.code.is_some()) {
        return Err("Set your code first: it takes the tablet back.".to_owned());
    }
    // All that she will see must be here before the way back is closed.
    studio.later.handed.get().await?;
    studio.finish();
    studio.keep_now().await;
    fill_screen(true);
    studio.lock.work_here();
    let lock = |lock: &mut Kept| {
        lock.handed = Some(key);
        lock.page.clear();
    };
    if !studio.change_lock(lock).await {
        return Err(NOT_KEPT.to_owned());
    }
    studio.view.let_go();
    studio.said.set(None);
    studio.handed.set(true);
    Ok(())
}

/// Why a code opened nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    /// There is a pause, with so many seconds to go.
    Paused(u32),
    /// It is not the code; so many tries are left before a pause.
    Wrong(u32),
}

impl Refused {
    /// For the artist.
    pub fn words(self) -> String {
        match self {
            Self::Paused(seconds) => {
                format!("Too many wrong codes. The next try is possible in {seconds} seconds.")
            }
            Self::Wrong(1) => "That is not the code. One more try before a pause.".to_owned(),
            Self::Wrong(left) => {
                format!("That is not the code. {left} more tries before a pause.")
            }
        }
    }
}

/// Whether it is the artist's code; a wrong one is counted.
///
/// # Errors
/// [`Refused`].
pub async fn check(studio: Studio, code: &str) -> Result<(), Refused> {
    let kept = studio.lock.kept.get_clone_untracked();
    if kept.pause_s > 0 {
        return Err(Refused::Paused(kept.pause_s));
    }
    // Counted before it is tried: who stops the app meanwhile gains no try.
    studio.change_lock(Kept::count_wrong).await;
    if kept.code.as_deref().is_some_and(|kept| fits(code, kept)) {
        let right = |lock: &mut Kept| {
            lock.wrong = 0;
            lock.pause_s = 0;
        };
        studio.change_lock(right).await;
        return Ok(());
    }
    let kept = studio.lock.kept.get_clone_untracked();
    Err(match kept.pause_s {
        0 => Refused::Wrong(kept.tries_left()),
        seconds => Refused::Paused(seconds),
    })
}

/// Takes the device back.
///
/// # Errors
/// [`Refused`]; it stays locked.
pub async fn take_back(studio: Studio, code: &str) -> Result<(), Refused> {
    check(studio, code).await?;
    studio.keep_now().await;
    let unlock = |lock: &mut Kept| {
        lock.handed = None;
        lock.page.clear();
    };
    studio.change_lock(unlock).await;
    fill_screen(false);
    studio.view.go(Place::Show);
    studio.handed.set(false);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hash_is_scrypt_as_published() {
        // RFC 7914, section 12: P = "pleaseletmein", S = "SodiumChloride",
        // N = 16384, r = 8, p = 1, 64 octets; the first half is what a shorter
        // derived key has, because PBKDF2 gives its blocks in turn.
        let kept = hashed("pleaseletmein", b"SodiumChloride", 14).expect("a hash");
        assert!(
            kept.ends_with("7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2"),
            "{kept}"
        );
    }

    #[test]
    fn only_the_code_that_was_set_fits() {
        let kept = hashed("2580", &[7; 16], 4).expect("a hash");
        assert!(fits("2580", &kept));
        for other in ["2581", "258", "25800", "", "2580 "] {
            assert!(!fits(other, &kept), "{other} fits");
        }
        for damaged in ["", "scrypt", "scrypt 4 8 1 07", "scrypt 60 8 1 07 00"] {
            assert!(!fits("2580", damaged), "{damaged}");
        }
        let other_salt = hashed("2580", &[8; 16], 4).expect("a hash");
        assert_ne!(kept, other_salt, "two devices must not show the same");
    }

    #[test]
    fn a_code_is_four_to_eight_digits() {
        for good in ["0000", "12345678"] {
            assert_eq!(complaint(good), None);
        }
        for bad in [
            "",
            "123",
            "123456789",
            "12a4",
            "\u{661}\u{662}\u{663}\u{664}",
        ] {
            assert!(complaint(bad).is_some(), "{bad}");
        }
    }
}
