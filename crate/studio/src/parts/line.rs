//! A line of a list that says how something stands: a sign and a sentence.

use crate::markup::{El, el, svg};

/// How it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// As it should.
    Well,
    /// It wants a look.
    Off,
    /// Only told.
    Told,
}

impl Stands {
    const fn class(self) -> (&'static str, &'static str) {
        match self {
            Self::Well => ("holds", "sign holds"),
            Self::Off => ("fails", "sign fails"),
            Self::Told => ("shown", "sign shown"),
        }
    }

    const fn shape(self) -> &'static str {
        match self {
            Self::Well => "M3 9.5 7 13.5 15 4.5",
            Self::Off => "M9 2 16 9 9 16 2 9Z",
            Self::Told => "M9 6.5a2.5 2.5 0 1 1 0 5 2.5 2.5 0 0 1 0-5Z",
        }
    }
}

/// The line; `sign` is what its sign says to those who don't see it.
pub fn line(stands: Stands, sign: &'static str, words: impl Into<String>) -> El {
    let (class, sign_class) = stands.class();
    el("li")
        .class(class)
        .put(
            svg("svg")
                .at("class", sign_class)
                .at("viewBox", "0 0 18 18")
                .at("role", "img")
                .label(sign)
                .put(svg("path").at("d", stands.shape())),
        )
        .put(el("span").words(words.into()))
}
