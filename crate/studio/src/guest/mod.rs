//! What a client sees on a device of her own: the design without her photo,
//! what she is asked, and the way back for her answer.
//!
//! No store is opened and no other client can be reached: what came with the
//! link, the file or the code is all that this page knows, in memory. What a
//! reload must not lose stands in the page's own address.

mod asking;
mod back;
pub mod called;
mod come;
mod face;
mod look;
pub mod qr;
pub mod wire;

use std::rc::Rc;

use ophryon_agreement::{LONGEST_LINK, PacketError, PacketKind};
use ophryon_record::{Invitation, InviteError};
use sycamore::reactive::{Signal, create_effect, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use web_sys::Url;

use crate::device::page;
use crate::handed::words::{Words, mark_page};
use crate::markup::{El, button, div, el, glance, p, shows};
use asking::{Invited, Signed};
use wire::{Said, Trouble};

pub use back::{Copying, copied};
pub use come::{packet_of, text_area};

/// Which page she is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Page {
    /// How the design comes here: code, file, link.
    Come,
    /// The shape.
    Look,
    /// Cautions, statements, signature.
    Sign,
    /// How her answer goes back.
    Back,
}

/// A sentence for her: its key, and what belongs into it.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Told {
    key: &'static str,
    values: Vec<(&'static str, String)>,
}

/// The page's state. A handle.
#[derive(Clone, Copy)]
struct Guest {
    words: Words,
    page: Signal<Page>,
    invitation: Signal<Option<Rc<Invitation>>>,
    /// What the studio's network gave for the code; empty where the design
    /// came in another way.
    ticket: Signal<String>,
    /// Her photo with the pair, where the artist sent it along.
    picture: Signal<Option<String>>,
    signed: Signal<Option<Signed>>,
    told: Signal<Option<Told>>,
    busy: Signal<bool>,
}

/// The whole page.
pub fn whole() -> View {
    let words = create_signal(None::<Result<Words, String>>);
    spawn_local(async move { words.set(Some(Words::fetch().await)) });
    called::begin_anew_by_link(None);
    shows(
        move || words.with(|w| w.as_ref().map(|w| w.as_ref().err().cloned())),
        move |state| match (state, words.get_clone()) {
            (Some(None), Some(Ok(words))) => Guest::new(words).open(),
            (Some(Some(why)), _) => div("guest").put(p(why).class("word")).into(),
            _ => div("coming quiet").at("role", "status").words("…").into(),
        },
    )
}

impl Guest {
    fn new(words: Words) -> Self {
        Self {
            words,
            page: create_signal(Page::Come),
            invitation: create_signal(None),
            ticket: create_signal(String::new()),
            picture: create_signal(None),
            signed: create_signal(None),
            told: create_signal(None),
            busy: create_signal(false),
        }
    }

    fn open(self) -> View {
        let words = self.words;
        create_effect(move || mark_page(&words.language()));
        self.begin();
        div("guest")
            .id("guest")
            .put(self.head())
            .put(el("main").class("guest-page").shows(
                move || self.page.get(),
                move |page| match page {
                    Page::Come => self.in_her_language(come::page),
                    Page::Look => self.in_her_language(look::page),
                    // Follows her language by itself, and holds her answers.
                    Page::Sign => self.signing(),
                    Page::Back => self.in_her_language(back::page),
                },
            ))
            .into()
    }

    fn in_her_language(self, page: fn(Self) -> View) -> View {
        let words = self.words;
        shows(move || words.language(), move |_| page(self))
    }

    /// Whose page it is, and her language.
    fn head(self) -> El {
        let words = self.words;
        let languages = words.languages().iter().map(|(code, name)| {
            let (said, now) = (code.clone(), code.clone());
            button("button bare", format!("speak-{code}"))
                .at("lang", code.clone())
                .pressed(move || words.language() == now)
                .words(name.clone())
                .click(move || words.speak(&said))
        });
        el("header")
            .class("guest-head")
            .put(el("strong").words("Ophryon"))
            .put(
                div("guest-languages")
                    .at("role", "group")
                    .label(move || words.say("guest-language"))
                    .all(languages.collect::<Vec<_>>()),
            )
    }

    /// What the address says.
    fn begin(self) {
        let fragment = called::fragment();
        if let Some(ticket) = fragment.strip_prefix(called::OWN[0]) {
            let ticket = ticket.to_owned();
            spawn_local(self.come_again(ticket));
        } else if let Some(signed) = fragment.strip_prefix(called::OWN[1]) {
            let [packet, ticket, language] = asking::from_fragment(signed);
            self.words.speak(language);
            self.ticket.set(ticket.to_owned());
            self.signed.set(Signed::read(packet));
            if self.signed.with(Option::is_some) {
                self.page.set(Page::Back);
            } else {
                self.tell("guest-damaged");
            }
        } else if called::is_guest() && fragment.contains('.') {
            self.read(&fragment, "");
        }
    }

    fn tell(self, key: &'static str) {
        let values = Vec::new();
        self.told.set(Some(Told { key, values }));
    }

    /// Takes a design to sign, as it came.
    fn read(self, packet: &str, ticket: &str) {
        let read = Invitation::read(packet).and_then(|i| Ok((i.asked()?, i)));
        match read {
            Ok((asked, invitation)) => {
                self.told.set(None);
                self.words.speak(&asked.language);
                self.ticket.set(ticket.to_owned());
                self.invitation.set(Some(Rc::new(invitation)));
                self.page.set(Page::Look);
                let packet = packet.trim().rsplit('#').next().unwrap_or_default();
                if !ticket.is_empty() {
                    called::put(&format!("{}{ticket}", called::OWN[0]));
                } else if packet.len() <= LONGEST_LINK {
                    called::put(packet);
                }
            }
            Err(why) => self.tell(why_not(&why)),
        }
    }

    /// Shows the code to the studio's network.
    async fn come_with(self, code: String) {
        self.busy.set(true);
        let come = wire::ask("come", "", Said::Text(&code)).await;
        self.busy.set(false);
        self.came(come).await;
    }

    /// The same page, loaded anew.
    async fn come_again(self, ticket: String) {
        self.busy.set(true);
        let come = wire::ask("again", &ticket, Said::Nothing).await;
        self.busy.set(false);
        self.came(come).await;
    }

    async fn came(self, come: Result<serde_json::Value, Trouble>) {
        let given = match come {
            Ok(given) => given,
            Err(why) => return self.told.set(Some(told(&why))),
        };
        let ticket = wire::text_in(&given, "ticket");
        self.read(&wire::text_in(&given, "packet"), &ticket);
        let has_picture = given.get("picture").and_then(serde_json::Value::as_bool);
        if has_picture == Some(true)
            && let Ok(blob) = wire::ask_for_picture("picture", &ticket).await
            && let Ok(url) = Url::create_object_url_with_blob(&blob)
        {
            self.picture.set(Some(url));
        }
    }

    fn signing(self) -> View {
        let invitation = self.invitation.get_clone_untracked();
        let asked = invitation
            .as_ref()
            .and_then(|i| Some((i.asked().ok()?, Rc::clone(i))));
        let Some((asked, invitation)) = asked else {
            return View::new();
        };
        let words = self.words;
        let label = move || glance(|| words.say("guest-picture"));
        let asking = Rc::new(Invited::new(invitation, asked, self.signed, label));
        crate::signing::pages(asking, words, move || self.page.set(Page::Back))
    }

    /// What was refused or went wrong, for her to read.
    fn said(self) -> El {
        let words = self.words;
        div("guest-told")
            .at("role", "status")
            .at("aria-live", "polite")
            .shows(
                move || (self.told.get_clone(), words.language()),
                move |(told, _)| match told {
                    None => View::new(),
                    Some(told) => {
                        let values: Vec<_> = told
                            .values
                            .iter()
                            .map(|(name, value)| (*name, value.as_str()))
                            .collect();
                        div("word")
                            .id("guest-told")
                            .put(p(glance(|| words.say_with(told.key, &values))))
                            .into()
                    }
                },
            )
    }
}

/// A heading that has the keyboard, so that readers begin there.
fn heading(words: String) -> El {
    el("h1")
        .at("tabindex", "-1")
        .id("guest-heading")
        .words(words)
        .raw(page::focus)
}

/// The key of the sentence.
const fn why_not(why: &InviteError) -> &'static str {
    match why {
        InviteError::Text(_) => "guest-other-text",
        InviteError::Packet(PacketError::Empty) => "guest-empty",
        InviteError::Packet(PacketError::Newer) => "guest-newer",
        InviteError::Packet(PacketError::OtherKind {
            found: PacketKind::Answer,
            ..
        }) => "guest-is-answer",
        InviteError::Packet(PacketError::NotOurs | PacketError::TooLarge) => "guest-not-ours",
        _ => "guest-damaged",
    }
}

/// What the studio's network said, for her.
fn told(why: &Trouble) -> Told {
    let Trouble::Refused { word, left, pause } = why else {
        return Told {
            key: "guest-away",
            values: Vec::new(),
        };
    };
    let key = match word.as_str() {
        "wrong-code" => "guest-wrong-code",
        "pause" => "guest-pause",
        "closed" => "guest-closed",
        "used" => "guest-used",
        "busy" => "guest-busy",
        "twice" => "guest-twice",
        "no-answer" | "other-answer" => "guest-not-taken",
        _ => "guest-nothing",
    };
    Told {
        key,
        values: vec![("left", left.to_string()), ("pause", pause.to_string())],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_design_is_told_apart() {
        for (text, key) in [
            ("", "guest-empty"),
            ("dear diary", "guest-not-ours"),
            ("yes1.a.b", "guest-is-answer"),
            ("ask2.a.b", "guest-newer"),
            ("ask1.a.b", "guest-damaged"),
        ] {
            let why = Invitation::read(text).expect_err("it is none");
            assert_eq!(why_not(&why), key, "{text}");
        }
    }

    #[test]
    fn a_wrong_code_says_how_long_to_wait() {
        let refused = |word: &str| Trouble::Refused {
            word: word.to_owned(),
            left: 2,
            pause: 8,
        };
        let wrong = told(&refused("wrong-code"));
        assert_eq!(wrong.key, "guest-wrong-code");
        assert!(wrong.values.contains(&("pause", "8".to_owned())));
        assert_eq!(told(&refused("something later")).key, "guest-nothing");
        assert_eq!(told(&Trouble::Away).key, "guest-away");
    }
}
