//! A laid-out sheet: lines, outlines and words in the page frame, mm.

use ophryon_frames::{Page, Point};

use crate::heading::HEAD_END_MM;
use crate::lettering::{fit, lines, width_mm};
use crate::page::MARGIN_MM;
use crate::{GaugeLengths, Jpeg, Paper, Placing};

/// The language of a sheet that is the artist's own.
pub(crate) const ENGLISH: &str = "en";

/// A line's width and pattern.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Width in mm; the centre of the stroke is the line meant.
    pub width_mm: f64,
    /// Lengths of dashes and gaps in turn, mm; empty for a full line.
    pub dashes: &'static [f64],
}

/// Which end of a line of words its place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Words run to the right of the place.
    Start,
    /// Words are centred on the place.
    Middle,
    /// Words end at the place.
    End,
}

/// Thickness of letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// For reading.
    Plain,
    /// For what must not be overlooked.
    Bold,
}

/// Something drawn. All places in the page frame, mm.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// One closed outline of cubic Béziers.
    Outline {
        /// Where it begins and ends.
        start: Point<Page>,
        /// Two control points and the end of each cubic.
        cubics: Vec<[Point<Page>; 3]>,
        /// Its line.
        stroke: Stroke,
    },
    /// Straight chords one after the other.
    Polyline {
        /// Every place, each once.
        places: Vec<Point<Page>>,
        /// The last is joined to the first.
        closed: bool,
        /// Its line.
        stroke: Stroke,
    },
    /// Straight lines, drawn as one.
    Lines {
        /// Both ends of each.
        lines: Vec<[Point<Page>; 2]>,
        /// Their line.
        stroke: Stroke,
    },
    /// Filled upright rectangles, drawn as one: their edges are exact.
    Bars {
        /// Upper left and lower right corner of each.
        bars: Vec<[Point<Page>; 2]>,
    },
    /// An empty upright rectangle.
    Frame {
        /// Upper left and lower right corner.
        corners: [Point<Page>; 2],
        /// Its line.
        stroke: Stroke,
    },
    /// A picture that fills an upright rectangle.
    Picture {
        /// Upper left and lower right corner.
        corners: [Point<Page>; 2],
        /// The picture.
        picture: Jpeg,
    },
    /// One line of words.
    Words {
        /// On the base line of the letters.
        at: Point<Page>,
        /// Which end of the words that is.
        align: Align,
        /// Size of the letters (em), mm.
        size_mm: f64,
        /// Thickness of the letters.
        weight: Weight,
        /// Paler, for what is read second.
        quiet: bool,
        /// The words, free of control characters.
        words: String,
    },
}

/// A mark with its stable id, if it has one.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Stable id; copies after the first have theirs with "-2", "-3" and so on.
    pub id: Option<String>,
    /// What is drawn.
    pub mark: Mark,
}

/// Marks that belong together.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// Stable id.
    pub id: &'static str,
    /// In drawing order.
    pub items: Vec<Item>,
}

/// One page of exact size.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    pub(crate) id: &'static str,
    pub(crate) title: String,
    pub(crate) language: String,
    pub(crate) paper: Paper,
    pub(crate) turned: bool,
    pub(crate) placings: Vec<Placing>,
    pub(crate) gauges: Option<GaugeLengths>,
    pub(crate) spot: Spot,
    pub(crate) groups: Vec<Group>,
}

impl Sheet {
    /// An upright page of words, without a drawing.
    pub(crate) fn of_words(
        id: &'static str,
        title: String,
        paper: Paper,
        groups: Vec<Group>,
    ) -> Self {
        Self {
            id,
            title,
            language: ENGLISH.to_owned(),
            paper,
            turned: false,
            placings: vec![],
            gauges: None,
            spot: Spot::under_head(paper, false),
            groups,
        }
    }

    /// Stable id of the whole: "sheet", "distances" for the list,
    /// "printer-check", or "agreement".
    pub fn id(&self) -> &'static str {
        self.id
    }

    /// What it is, for a window or a file: "Brow stencil, client K. M., version 3".
    pub fn title(&self) -> &str {
        &self.title
    }

    /// The language of its words (BCP 47).
    pub fn language(&self) -> &str {
        &self.language
    }

    /// The paper it is laid out for.
    pub fn paper(&self) -> Paper {
        self.paper
    }

    /// The paper lies across: its long side is the page's width.
    pub fn is_turned(&self) -> bool {
        self.turned
    }

    /// Width of the page, mm.
    pub fn width_mm(&self) -> f64 {
        page_size(self.paper, self.turned).0
    }

    /// Height of the page, mm.
    pub fn height_mm(&self) -> f64 {
        page_size(self.paper, self.turned).1
    }

    /// What its gauges must read once printed; `None` for a list.
    pub fn gauges(&self) -> Option<GaugeLengths> {
        self.gauges
    }

    /// How skin lies on this page; `None` for a list, and for a sheet that is
    /// corrected for a printer and so is of true size only on its paper.
    pub fn placing(&self) -> Option<Placing> {
        self.placings.first().copied()
    }

    /// The same for every copy on the page, in the order of their ids.
    pub fn placings(&self) -> &[Placing] {
        &self.placings
    }

    /// Everything drawn, in drawing order.
    pub fn groups(&self) -> &[Group] {
        &self.groups
    }

    /// The mark with that id.
    pub fn mark(&self, id: &str) -> Option<&Mark> {
        self.groups
            .iter()
            .flat_map(|g| &g.items)
            .find(|item| item.id.as_deref() == Some(id))
            .map(|item| &item.mark)
    }

    /// All pictures in drawing order.
    pub fn pictures(&self) -> impl Iterator<Item = &Jpeg> {
        self.groups
            .iter()
            .flat_map(|g| &g.items)
            .filter_map(|item| match &item.mark {
                Mark::Picture { picture, .. } => Some(picture),
                _ => None,
            })
    }

    /// All words in reading order, one line each.
    pub fn words(&self) -> impl Iterator<Item = &str> {
        self.groups
            .iter()
            .flat_map(|g| &g.items)
            .filter_map(|item| match &item.mark {
                Mark::Words { words, .. } => Some(words.as_str()),
                _ => None,
            })
    }
}

impl Group {
    pub(crate) fn new(id: &'static str) -> Self {
        Self { id, items: vec![] }
    }

    pub(crate) fn draw(&mut self, mark: Mark) {
        self.items.push(Item { id: None, mark });
    }

    pub(crate) fn draw_as(&mut self, id: impl Into<String>, mark: Mark) {
        let id = Some(id.into());
        self.items.push(Item { id, mark });
    }

    /// One line of words; `words` must be clean already.
    pub(crate) fn write(&mut self, at: Point<Page>, letters: Letters, words: impl Into<String>) {
        let words = words.into();
        if !words.is_empty() {
            self.draw(Mark::Words {
                at,
                align: letters.align,
                size_mm: letters.size_mm,
                weight: letters.weight,
                quiet: letters.quiet,
                words,
            });
        }
    }
}

/// Width and height of a page, mm.
pub(crate) fn page_size(paper: Paper, turned: bool) -> (f64, f64) {
    let upright = (paper.width_mm(), paper.height_mm());
    if turned {
        (upright.1, upright.0)
    } else {
        upright
    }
}

/// Lines kept free for the note that a sheet is corrected for a printer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spot {
    /// On the first base line.
    pub(crate) at: Point<Page>,
    /// How long they may be, mm.
    pub(crate) room_mm: f64,
    /// Largest letters, mm.
    pub(crate) size_mm: f64,
    /// How many there are.
    pub(crate) lines: usize,
}

impl Spot {
    /// Under the head of a large page.
    pub(crate) fn under_head(paper: Paper, turned: bool) -> Self {
        Self {
            at: Point::new(MARGIN_MM, HEAD_END_MM + 1.2),
            room_mm: page_size(paper, turned).0 - 2.0 * MARGIN_MM,
            size_mm: 3.2,
            lines: 1,
        }
    }
}

/// How words are set.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Letters {
    pub(crate) size_mm: f64,
    pub(crate) align: Align,
    pub(crate) weight: Weight,
    pub(crate) quiet: bool,
}

impl Letters {
    pub(crate) const fn plain(size_mm: f64) -> Self {
        Self {
            size_mm,
            align: Align::Start,
            weight: Weight::Plain,
            quiet: false,
        }
    }

    pub(crate) const fn bold(self) -> Self {
        Self {
            weight: Weight::Bold,
            ..self
        }
    }

    pub(crate) const fn quiet(self) -> Self {
        Self {
            quiet: true,
            ..self
        }
    }

    pub(crate) const fn aligned(self, align: Align) -> Self {
        Self { align, ..self }
    }

    /// Bold letters are about a tenth wider.
    const fn breadth(self) -> f64 {
        match self.weight {
            Weight::Plain => 1.0,
            Weight::Bold => 1.1,
        }
    }

    /// How long those words are at most, mm.
    pub(crate) fn width_mm(self, words: &str) -> f64 {
        width_mm(words, self.size_mm) * self.breadth()
    }

    /// The words on one line of that length, cut with "…" where too long.
    pub(crate) fn fit(self, words: &str, room_mm: f64) -> String {
        fit(words, self.size_mm, room_mm / self.breadth())
    }

    /// The words in lines of at most that length.
    pub(crate) fn lines(self, words: &str, room_mm: f64) -> Vec<String> {
        lines(words, self.size_mm, room_mm / self.breadth())
    }
}
