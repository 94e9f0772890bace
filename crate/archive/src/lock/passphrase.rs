//! What the artist keeps in her head, or on paper in a safe place.

use std::fmt;

use zeroize::Zeroizing;

/// Characters of the shortest passphrase that locks: below, guessing is a
/// matter of hours however slow each guess is made (ours).
pub const SHORTEST_PASSPHRASE: usize = 10;

/// A passphrase. Wiped from memory when it is done with, and never shown.
#[derive(Clone, PartialEq, Eq)]
pub struct Passphrase(Zeroizing<String>);

impl Passphrase {
    /// Any text; a line break at its end, as a file or a terminal adds it, is
    /// no part of it.
    pub fn new(text: impl Into<String>) -> Self {
        let mut text = Zeroizing::new(text.into());
        while text.ends_with(['\n', '\r']) {
            text.pop();
        }
        Self(text)
    }

    /// Why nothing should be locked with it, in a sentence; `None` for a good
    /// one.
    pub fn weakness(&self) -> Option<String> {
        let count = self.0.trim().chars().count();
        (count < SHORTEST_PASSPHRASE).then(|| {
            format!(
                "a passphrase of {count} characters is soon guessed; take at least {SHORTEST_PASSPHRASE}, such as four or five words that don't belong together"
            )
        })
    }

    pub(super) fn bytes(&self) -> &[u8] {
        self.0.as_bytes()
    }
}

impl fmt::Debug for Passphrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Passphrase")
    }
}
