//! Her own device: a shape goes to it by the studio's network, by a link or by
//! a file, and her signed answer comes back by any of them.

mod answer;
mod hand_on;
mod land;
mod network;

use std::cell::OnceCell;

use ophryon_agreement::{Asked, Nonce};
use ophryon_record::{AgreedShape, ConsentEdit, Edit, Record};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;

use crate::device::{clock, page};
use crate::markup::{El, button, div, el, glance, p, selector, shows};
use crate::signing::texts;
use crate::studio::Studio;
use crate::words::sentence;
use network::Network;

pub use land::land;

/// What was sent last, and of what.
#[derive(Clone, PartialEq)]
struct Sent {
    client: String,
    packet: String,
    shape: AgreedShape,
    asked: Asked,
    agreements: usize,
}

/// What goes on with a second device. A handle; there is one for as long as
/// the app runs, so that an answer arrives whatever else is looked at.
#[derive(Clone, Copy)]
pub struct Afar {
    sent: Signal<Option<Sent>>,
    network: Signal<Network>,
    /// Her photo goes along in the studio's network.
    with_photo: Signal<bool>,
    /// What became of an answer, or what went wrong.
    told: Signal<Option<(Tone, String)>>,
    busy: Signal<bool>,
    pasted: Signal<String>,
    /// Whose section it is, by her key.
    client: Signal<Option<String>>,
}

/// How something is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Tone {
    Calm,
    Off,
}

thread_local! {
    static AFAR: OnceCell<Afar> = const { OnceCell::new() };
}

impl Afar {
    fn get() -> Self {
        AFAR.with(|held| {
            *held.get_or_init(|| {
                glance(|| Self {
                    sent: create_signal(None),
                    network: create_signal(Network::Unknown),
                    with_photo: create_signal(false),
                    told: create_signal(None),
                    busy: create_signal(false),
                    pasted: create_signal(String::new()),
                    client: create_signal(None),
                })
            })
        })
    }

    /// What was chosen, pasted or told for one client is nothing to the next.
    fn is_about(self, client: Option<String>) {
        if self.client.with_untracked(|c| *c != client) {
            self.with_photo.set(false);
            self.told.set(None);
            self.pasted.set(String::new());
            self.client.set(client);
        }
    }

    fn tell(self, outcome: Result<String, String>) {
        self.told.set(Some(match outcome {
            Ok(words) => (Tone::Calm, words),
            Err(why) => (Tone::Off, sentence(&why)),
        }));
    }
}

/// What to send: the packet that was made of this very shape before, or a new
/// one, which the record remembers.
fn packet(studio: Studio) -> Result<String, String> {
    let afar = Afar::get();
    let client = studio.key_now().ok_or("No client is open.")?;
    studio.finish();
    let mut record = studio.settled().ok_or("No client is open.")?;
    if record.pair.is_none() {
        if !studio.apply(&Edit::Propose) {
            return Err(said(studio));
        }
        record = studio.settled().ok_or("No client is open.")?;
    }
    let shape = AgreedShape::of(&record).ok_or("There is no shape to send yet.")?;
    let asked = record.consent.asked.clone();
    let asked = asked.ok_or("Choose first which language she reads.")?;
    let agreements = record.consent.agreements.len();
    let is_same = |s: &Sent| {
        s.client == client && s.shape == shape && s.asked == asked && s.agreements == agreements
    };
    if let Some(sent) = afar.sent.get_clone_untracked().filter(is_same) {
        return Ok(sent.packet);
    }
    let nonce = page::random().map(Nonce::from_bytes);
    let nonce =
        nonce.ok_or("This browser gives no random numbers, so nothing can be sent safely.")?;
    let at = clock::moment().ok_or("This device tells no time.")?;
    let (edit, packet) = record.invite(nonce, at).map_err(|why| why.to_string())?;
    if !studio.apply(&Edit::Consent(edit)) {
        return Err(said(studio));
    }
    afar.sent.set(Some(Sent {
        client,
        packet: packet.clone(),
        shape,
        asked,
        agreements,
    }));
    Ok(packet)
}

fn said(studio: Studio) -> String {
    studio.said.get_clone_untracked().unwrap_or_default()
}

/// The section.
pub fn section(studio: Studio) -> View {
    let afar = Afar::get();
    afar.is_about(studio.key_now());
    let in_short = move || match afar.network.with(Network::in_short) {
        Some(words) => words,
        None => {
            let record = studio.record();
            let waiting = record.map_or(0, |r| r.consent.invitations.len());
            match waiting {
                0 => String::new(),
                1 => "one answer awaited".to_owned(),
                n => format!("{n} answers awaited"),
            }
        }
    };
    let can = selector(Box::new(move || {
        let record = studio.record();
        record
            .as_deref()
            .map(|r| can_send(r, glance(|| studio.of_shape(|_| ()).is_some())))
    }));
    let inside = div("inside afar")
        .put(p("She can look at the shape and sign it on her own phone. Three ways, the easiest first; each brings her answer back.").class("quiet"))
        .put(told(afar))
        .put(shows(
            move || can.get(),
            move |can| match can {
                None | Some(Hindrance::NoShape) => {
                    p("There is no shape to send yet: take the proposal, or draw one.").class("word calm").into()
                }
                Some(Hindrance::NoText) => language(studio),
                Some(Hindrance::None) => crate::parts![
                    network::way(studio),
                    hand_on::way(studio),
                ],
            },
        ))
        .put(answer::way(studio));
    crate::shape::section("afar", "Her own device", in_short, inside).into()
}

/// Why nothing can be sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Hindrance {
    NoShape,
    NoText,
    None,
}

fn can_send(record: &Record, is_drawn: bool) -> Hindrance {
    if record.pair.is_none() && !is_drawn {
        Hindrance::NoShape
    } else if record.consent.asked.is_none() {
        Hindrance::NoText
    } else {
        Hindrance::None
    }
}

/// What she reads, where nothing was chosen yet.
fn language(studio: Studio) -> View {
    let choices = texts::languages().into_iter().map(|(code, name)| {
        button("button", format!("afar-{code}"))
            .words(name)
            .click(move || {
                if let Some(asked) = texts::asked_in(&code) {
                    studio.apply(&Edit::Consent(ConsentEdit::Ask(Box::new(asked))));
                }
            })
    });
    crate::parts![
        p("Which language does she read?"),
        div("buttons")
            .id("afar-language")
            .all(choices.collect::<Vec<_>>()),
    ]
}

fn told(afar: Afar) -> El {
    div("afar-told")
        .at("role", "status")
        .at("aria-live", "polite")
        .shows(
            move || afar.told.get_clone(),
            move |told| match told {
                None => View::new(),
                Some((tone, words)) => div(match tone {
                    Tone::Calm => "word calm",
                    Tone::Off => "word",
                })
                .id("afar-told")
                .raw(in_sight)
                .put(p(words))
                .put(
                    div("buttons").put(
                        button("button", "afar-told-close")
                            .words("All right")
                            .click(move || afar.told.set(None)),
                    ),
                )
                .into(),
            },
        )
}

/// Brings it in sight once it stands: it may come while something else is
/// looked at.
fn in_sight(element: web_sys::Element) {
    page::next_frame(move || element.scroll_into_view_with_bool(false));
}

/// One of the ways, with its number in the order of ease.
fn way_of(id: &'static str, title: &'static str, what: &'static str) -> El {
    el("section")
        .class("afar-way")
        .id(id)
        .put(el("h3").words(title))
        .put(p(what).class("quiet"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_record::apply;

    #[test]
    fn a_shape_can_be_sent_once_there_is_one_and_a_language() {
        let client = include_str!("../../../../../demo-data/demo-even/client.json");
        let record = Record::from_json(client).expect("the demo client");
        assert_eq!(can_send(&record, false), Hindrance::NoShape);
        assert_eq!(can_send(&record, true), Hindrance::NoText);
        let record = apply(&record, &Edit::Propose).expect("a proposal");
        let asked = texts::languages();
        assert!(asked.len() >= 2);
        let asked = ophryon_agreement::text_for("es").expect("a text").asked();
        let ask = Edit::Consent(ConsentEdit::Ask(Box::new(asked)));
        let record = apply(&record, &ask).expect("it is asked");
        assert_eq!(can_send(&record, false), Hindrance::None);
    }
}
