//! By hand: a link, shown to be scanned or copied, and a file.

use ophryon_agreement::LONGEST_LINK;
use sycamore::reactive::create_signal;
use sycamore::web::View;

use super::network::Network;
use super::{Afar, packet, way_of};
use crate::device::files;
use crate::guest::{Copying, copied, qr};
use crate::markup::{El, button, div, p, shows};
use crate::studio::Studio;

/// Where a link leads: to the studio's network while it is open, else to where
/// this page came from.
fn address(network: &Network) -> (String, Reach) {
    if let Some(open) = network.address() {
        return (format!("{open}?come"), Reach::Studio);
    }
    let here = web_sys::window().and_then(|w| {
        let at = w.location();
        Some((at.origin().ok()?, at.pathname().ok()?, at.hostname().ok()?))
    });
    let (origin, path, host) = here.unwrap_or_default();
    let reach = if is_this_computer(&host) {
        Reach::Here
    } else {
        Reach::Anywhere
    };
    (format!("{origin}{path}"), reach)
}

/// Which devices can open a link.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Reach {
    /// This one alone.
    Here,
    /// Those in the studio's network.
    Studio,
    /// Those that can reach where this page came from.
    Anywhere,
}

fn is_this_computer(host: &str) -> bool {
    host == "localhost" || host == "[::1]" || host.starts_with("127.")
}

const fn reach_words(reach: Reach) -> &'static str {
    match reach {
        Reach::Here => {
            "This page is served to this computer alone, so no other device can open the link. Start the program with --studio for devices in this room, or use the file."
        }
        Reach::Studio => "Devices in this studio's network can open it while the program runs.",
        Reach::Anywhere => "Any device that can open this page can open it.",
    }
}

/// The second and the third way.
pub fn way(studio: Studio) -> View {
    crate::parts![link(studio), file(studio)]
}

fn link(studio: Studio) -> View {
    let afar = Afar::get();
    let shown = create_signal(None::<String>);
    way_of(
        "afar-link",
        "2. By a link",
        "The shape, the text with what she has answered so far, and her code in your studio stand in the link itself; no photo, no name. Opening it tells no server of it. Whoever gets the link can read it.",
    )
    .put(
        button("button wide", "afar-link-make")
            .words("Show a link to scan or copy")
            .click(move || match packet(studio) {
                Ok(packet) => shown.set(Some(packet)),
                Err(why) => afar.tell(Err(why)),
            }),
    )
    .put(shows(
        move || (shown.get_clone(), afar.network.with(address)),
        move |(packet, (address, reach))| {
            let Some(packet) = packet else {
                return View::new();
            };
            if packet.len() > LONGEST_LINK {
                return p("With these words the shape is too long for a link. Use the studio's network or a file.")
                    .class("word")
                    .id("afar-too-long")
                    .into();
            }
            let line = format!("{address}#{packet}");
            let picture = match qr::picture(&line, "The link, to be scanned by her camera".to_owned()) {
                Some(picture) => framed(picture),
                None => p("The link is too long to be scanned; copy it.").class("quiet").into(),
            };
            let words = Copying {
                copy: "Copy the link".to_owned(),
                copied: "Copied.".to_owned(),
                by_hand: "This browser doesn't copy by itself here. Choose all of the text and copy it.".to_owned(),
            };
            div("afar-made")
                .put(p(reach_words(reach)).class(if reach == Reach::Here { "word" } else { "quiet" }).id("afar-reach"))
                .put(picture)
                .put(copied(words, line, "The link".to_owned()))
                .into()
        },
    ))
    .into()
}

/// A picture to scan, which fills the screen when it is touched.
pub fn framed(picture: El) -> View {
    let large = create_signal(false);
    button("", "qr-large")
        .class(move || {
            if large.get() {
                "qr-frame large"
            } else {
                "qr-frame"
            }
        })
        .label("Show it large, or small again")
        .put(picture)
        .click(move || large.set(!large.get_untracked()))
        .into()
}

fn file(studio: Studio) -> View {
    let afar = Afar::get();
    way_of(
        "afar-as-file",
        "3. By a file",
        "The same as in the link. She opens it in Ophryon on her device, under “A shape was sent to me”.",
    )
    .put(
        button("button wide", "afar-save").words("Save the file").click(move || {
            let outcome = packet(studio)
                .and_then(|packet| files::save_text("shape-to-sign.txt", "text/plain", &packet));
            if let Err(why) = outcome {
                afar.tell(Err(why));
            }
        }),
    )
    .into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_link_to_this_computer_is_told_from_one_that_others_can_open() {
        for here in ["localhost", "127.0.0.1", "127.0.0.2", "[::1]"] {
            assert!(is_this_computer(here), "{here}");
        }
        for there in ["192.168.0.7", "studio.example", "128.0.0.1"] {
            assert!(!is_this_computer(there), "{there}");
        }
    }
}
