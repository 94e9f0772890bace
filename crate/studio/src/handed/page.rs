//! The pages of the client view, and where she is, as it is kept.

use std::str::FromStr;

use ophryon_powder::Tone;

use crate::look::{Facing, LookState, Near};

/// A page: one thing at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Page {
    /// Her face, before to healed.
    #[default]
    Look,
    /// What she thinks of it.
    Say,
    /// Which shape, where there are several.
    Choose,
    /// What she reads, answers and signs.
    Sign,
    /// The artist's code.
    Back,
}

impl Page {
    /// All, in their order.
    pub const ALL: [Self; 5] = [Self::Look, Self::Say, Self::Choose, Self::Sign, Self::Back];

    /// A word for ids, messages and what is kept.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Look => "look",
            Self::Say => "say",
            Self::Choose => "choose",
            Self::Sign => "sign",
            Self::Back => "back",
        }
    }

    /// Her face is on it.
    pub const fn has_face(self) -> bool {
        matches!(self, Self::Look | Self::Say | Self::Choose)
    }

    /// The one before or after, where a choice is only asked for among several
    /// shapes.
    pub fn beside(self, forth: bool, shapes: usize) -> Option<Self> {
        let there: Vec<_> = Self::ALL
            .into_iter()
            .filter(|page| *page != Self::Choose || shapes > 1)
            .collect();
        let at = there.iter().position(|page| *page == self)?;
        let to = if forth { at + 1 } else { at.checked_sub(1)? };
        there.get(to).copied()
    }
}

/// Where she is: page, language, and how she looks at her face.
#[derive(Debug, Clone, PartialEq)]
pub struct Stand {
    /// The page.
    pub page: Page,
    /// The language's code; empty until one is chosen.
    pub language: String,
    /// The shape she looks at: a kept one, else the present.
    pub variant: Option<usize>,
    /// Which way round.
    pub facing: Facing,
    /// How near.
    pub near: Near,
    /// The tone, the artist's choice.
    pub tone: Tone,
}

impl Stand {
    /// At the beginning: as in a mirror, and whatever tone was chosen.
    pub fn beginning(tone: Tone) -> Self {
        Self {
            page: Page::Look,
            language: String::new(),
            variant: None,
            facing: Facing::Mirror,
            near: Near::Face,
            tone,
        }
    }

    /// One line.
    pub fn to_text(&self) -> String {
        let facing = match self.facing {
            Facing::Mirror => "mirror",
            Facing::Others => "others",
        };
        let near = match self.near {
            Near::Brows => "brows",
            Near::Face => "face",
        };
        let variant = self.variant.map_or("-".to_owned(), |n| n.to_string());
        let language = if self.language.is_empty() {
            "-"
        } else {
            &self.language
        };
        let (page, tone) = (self.page.id(), self.tone.id());
        format!("{page} {language} {variant} {facing} {near} {tone}")
    }

    /// Shows her face that way.
    pub fn set(&self, look: LookState) {
        look.variant.set(self.variant);
        look.facing.set(self.facing);
        look.near.set(self.near);
        look.tone.set(self.tone);
    }
}

impl FromStr for Stand {
    type Err = ();

    fn from_str(text: &str) -> Result<Self, ()> {
        let mut words = text.split(' ');
        let mut next = || words.next().ok_or(());
        let page = next()?;
        let page = Page::ALL.into_iter().find(|p| p.id() == page).ok_or(())?;
        let language = next()?;
        let variant = next()?.parse().ok();
        let facing = match next()? {
            "others" => Facing::Others,
            _ => Facing::Mirror,
        };
        let near = match next()? {
            "brows" => Near::Brows,
            _ => Near::Face,
        };
        let tone = Tone::from_id(next()?).unwrap_or_default();
        Ok(Self {
            page,
            language: if language == "-" { "" } else { language }.to_owned(),
            variant,
            facing,
            near,
            tone,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn where_she_is_comes_back_as_it_was() {
        let stand = Stand {
            page: Page::Say,
            language: "es".to_owned(),
            variant: Some(1),
            facing: Facing::Others,
            near: Near::Brows,
            tone: Tone::FoxCoat,
        };
        assert_eq!(stand.to_text().parse(), Ok(stand));
        let fresh = Stand::beginning(Tone::default());
        assert_eq!(fresh.to_text().parse(), Ok(fresh));
        assert_eq!("".parse::<Stand>(), Err(()));
        assert_eq!("shape en - mirror face x".parse::<Stand>(), Err(()));
    }

    #[test]
    fn one_shape_needs_no_choice() {
        assert_eq!(Page::Say.beside(true, 1), Some(Page::Sign));
        assert_eq!(Page::Sign.beside(false, 1), Some(Page::Say));
        assert_eq!(Page::Say.beside(true, 2), Some(Page::Choose));
        assert_eq!(Page::Look.beside(false, 2), None);
        assert_eq!(Page::Back.beside(true, 2), None);
    }
}
