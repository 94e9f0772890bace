//! Pages of words: a head, facts, tables, room for signatures, on as many
//! pages of office paper as it takes. No word is cut.

mod strips;
#[cfg(test)]
mod tests;

use ophryon_frames::{Page, Point};

use crate::heading::RULE;
use crate::lettering::clean;
use crate::page::MARGIN_MM;
use crate::sheet::{Align, Group, Letters, Mark};
use crate::{Paper, Sheet};
use strips::{Strip, strips};

/// Base line of the heading, of what stands under it, the rule under both, and
/// where the words of a page begin, mm from the top edge.
const HEADING_MM: f64 = 19.5;
const ABOUT_MM: f64 = 25.5;
const HEAD_END_MM: f64 = 29.0;
const BEGIN_MM: f64 = 30.5;

/// Kept free above the lower margin for the page's number, mm.
const FOOT_MM: f64 = 6.0;

/// What is written.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// Stable id of every page.
    pub id: &'static str,
    /// For a window or a file.
    pub title: String,
    /// Large, at the head of every page.
    pub heading: String,
    /// Under it: whose it is, and of when.
    pub about: String,
    /// From top to bottom.
    pub blocks: Vec<Block>,
}

/// A piece of it.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A head over what follows; never alone at the foot of a page.
    Head(String),
    /// A paragraph.
    Words(String),
    /// A paragraph that is read second.
    Quiet(String),
    /// A paragraph that must not be overlooked.
    Mind(String),
    /// What something is, and beside it what it says.
    Fact {
        /// What it is.
        name: String,
        /// What it says.
        words: String,
    },
    /// Rows under heads.
    Table {
        /// Each column's share of the width, and its head.
        columns: Vec<(f64, String)>,
        /// A cell for each column.
        rows: Vec<Vec<String>>,
    },
    /// Lines to sign on, beside each other, and who signs on each.
    Signatures(Vec<String>),
}

/// Lays it out on as many pages as it takes. Small paper has no room for lists:
/// office paper is taken in its place.
pub fn lay_out_written(written: &Written, paper: Paper) -> Vec<Sheet> {
    let paper = paper.for_lists();
    let (left, right) = (MARGIN_MM, paper.width_mm() - MARGIN_MM);
    let room_mm = paper.height_mm() - MARGIN_MM - FOOT_MM - BEGIN_MM;
    let strips = strips(&written.blocks, left, right);
    let pages = shared_out(&strips, room_mm);
    let count = pages.len();
    let mut sheets = vec![];
    for (number, strips) in (1..).zip(pages) {
        let mut words = Group::new("caption");
        let mut ruling = Group::new("ruling");
        head(written, left, right, &mut words, &mut ruling);
        let mut y = BEGIN_MM;
        for strip in strips {
            strip.draw(y, &mut words, &mut ruling);
            y += strip.height_mm;
        }
        if count > 1 {
            let at = Point::new(right, paper.height_mm() - MARGIN_MM);
            let set = Letters::plain(2.8).quiet().aligned(Align::End);
            words.write(at, set, format!("page {number} of {count}"));
        }
        let title = if count > 1 {
            format!("{}, page {number} of {count}", written.title)
        } else {
            written.title.clone()
        };
        sheets.push(Sheet::of_words(
            written.id,
            clean(&title),
            paper,
            vec![ruling, words],
        ));
    }
    sheets
}

fn head(written: &Written, left: f64, right: f64, words: &mut Group, ruling: &mut Group) {
    let at = |y| Point::<Page>::new(left, y);
    let large = Letters::plain(6.2).bold();
    let heading = large.fit(&written.heading, right - left);
    words.write(at(HEADING_MM), large, heading);
    let plain = Letters::plain(3.4);
    words.write(at(ABOUT_MM), plain, plain.fit(&written.about, right - left));
    ruling.draw(Mark::Lines {
        lines: vec![[at(HEAD_END_MM), Point::new(right, HEAD_END_MM)]],
        stroke: RULE,
    });
}

/// The strips of each page. Strips that belong together stay so, unless they
/// alone are higher than a page.
fn shared_out(strips: &[Strip], room_mm: f64) -> Vec<Vec<&Strip>> {
    let mut pages = vec![vec![]];
    let mut used_mm = 0.0;
    let mut rest = strips;
    while !rest.is_empty() {
        let bound = rest.iter().take_while(|s| s.with_next).count() + 1;
        let (piece, after) = rest.split_at(bound.min(rest.len()));
        rest = after;
        let height_mm: f64 = piece.iter().map(|s| s.height_mm).sum();
        if used_mm + height_mm > room_mm && used_mm > 0.0 && height_mm <= room_mm {
            pages.push(vec![]);
            used_mm = 0.0;
        }
        for strip in piece {
            if used_mm + strip.height_mm > room_mm && used_mm > 0.0 {
                pages.push(vec![]);
                used_mm = 0.0;
            }
            used_mm += strip.height_mm;
            if let Some(page) = pages.last_mut() {
                page.push(strip);
            }
        }
    }
    pages
}
