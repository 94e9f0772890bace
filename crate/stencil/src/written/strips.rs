//! Blocks as strips of full width, the least that can stand on a page.

use ophryon_frames::Point;

use super::Block;
use crate::heading::RULE;
use crate::lettering::clean;
use crate::sheet::{Group, Letters, Mark};

/// From one base line to the next, as a share of the letters.
const LEADING: f64 = 1.38;

/// Letters of paragraphs and tables, mm.
const PLAIN: Letters = Letters::plain(3.2);

/// Letters of a table's heads and of what is read second, mm.
const SMALL: Letters = Letters::plain(2.7).quiet();

/// Width of what a fact is, mm.
const NAME_MM: f64 = 38.0;

/// White between two columns, mm.
const GUTTER_MM: f64 = 3.0;

/// Room to sign in, mm.
const SIGNING_MM: f64 = 17.0;

/// The least that can stand on a page.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Strip {
    pub(super) height_mm: f64,
    /// It stays on one page with the strip after it.
    pub(super) with_next: bool,
    /// x, base line from the strip's upper edge, letters, words.
    words: Vec<(f64, f64, Letters, String)>,
    /// From x to x, at a depth below the upper edge.
    rules: Vec<(f64, f64, f64)>,
}

impl PartialEq for Letters {
    fn eq(&self, other: &Self) -> bool {
        let of = |l: &Self| (l.size_mm, l.align, l.weight, l.quiet);
        of(self) == of(other)
    }
}

impl Strip {
    fn white(height_mm: f64) -> Self {
        Self {
            height_mm,
            with_next: false,
            words: vec![],
            rules: vec![],
        }
    }

    pub(super) fn draw(&self, top: f64, words: &mut Group, ruling: &mut Group) {
        for (x, base, letters, line) in &self.words {
            words.write(Point::new(*x, top + base), *letters, line.clone());
        }
        if !self.rules.is_empty() {
            let line = |(from, to, down): &(f64, f64, f64)| {
                [Point::new(*from, top + down), Point::new(*to, top + down)]
            };
            ruling.draw(Mark::Lines {
                lines: self.rules.iter().map(line).collect(),
                stroke: RULE,
            });
        }
    }
}

/// All blocks between these edges.
pub(super) fn strips(blocks: &[Block], left: f64, right: f64) -> Vec<Strip> {
    let mut all = vec![];
    for block in blocks {
        match block {
            Block::Head(words) => head(&mut all, words, left, right),
            Block::Words(words) => paragraph(&mut all, words, PLAIN, left, right),
            Block::Quiet(words) => paragraph(&mut all, words, SMALL, left, right),
            Block::Mind(words) => paragraph(&mut all, words, PLAIN.bold(), left, right),
            Block::Fact { name, words } => {
                let columns = [(left, NAME_MM, SMALL), (left + NAME_MM, right, PLAIN)];
                let columns = columns.map(|(x, end, set)| (x, end.min(right - x), set));
                row(&mut all, &columns, &[name.as_str(), words], 0.5);
            }
            Block::Table { columns, rows } => table(&mut all, columns, rows, left, right),
            Block::Signatures(who) => signatures(&mut all, who, left, right),
        }
    }
    all
}

fn head(all: &mut Vec<Strip>, words: &str, left: f64, right: f64) {
    let set = Letters::plain(3.6).bold();
    let white = if all.is_empty() { 1.0 } else { 4.5 };
    let lines = set.lines(words, right - left);
    let last = lines.len().saturating_sub(1);
    for (n, line) in lines.into_iter().enumerate() {
        let above = if n == 0 { white } else { 0.0 };
        let base = above + set.size_mm;
        let mut strip = Strip::white(base + set.size_mm * (LEADING - 1.0));
        strip.with_next = true;
        strip.words.push((left, base, set, line));
        if n == last {
            strip.rules.push((left, right, base + 1.6));
            strip.height_mm = base + 2.6;
        }
        all.push(strip);
    }
}

/// What was typed on several lines stays on several.
fn paragraph(all: &mut Vec<Strip>, words: &str, set: Letters, left: f64, right: f64) {
    let step = set.size_mm * LEADING;
    let before = all.len();
    for typed in words.lines() {
        for line in set.lines(typed, right - left) {
            let mut strip = Strip::white(step);
            strip.words.push((left, step - 0.3, set, line));
            all.push(strip);
        }
    }
    if all.len() > before {
        all.push(Strip::white(0.9));
    }
}

/// Cells beside each other, each broken into as many lines as it takes.
fn row(all: &mut Vec<Strip>, columns: &[(f64, f64, Letters)], cells: &[&str], white: f64) {
    let mut broken: Vec<Vec<String>> = vec![];
    for ((_, room, set), cell) in columns.iter().zip(cells) {
        let typed = cell.lines().flat_map(|line| set.lines(line, *room));
        broken.push(typed.collect());
    }
    let count = broken.iter().map(Vec::len).max().unwrap_or(0);
    let step = PLAIN.size_mm * LEADING;
    for n in 0..count {
        let mut strip = Strip::white(step);
        strip.with_next = n + 1 < count;
        for ((x, _, set), lines) in columns.iter().zip(&broken) {
            if let Some(line) = lines.get(n) {
                strip.words.push((*x, step - 0.3, *set, line.clone()));
            }
        }
        if n + 1 == count {
            strip.height_mm += white;
        }
        all.push(strip);
    }
}

fn table(
    all: &mut Vec<Strip>,
    columns: &[(f64, String)],
    rows: &[Vec<String>],
    left: f64,
    right: f64,
) {
    let shares: f64 = columns.iter().map(|c| c.0).sum();
    let mut x = left;
    let mut places = vec![];
    for (share, _) in columns {
        let width = (right - left) * share / shares.max(f64::MIN_POSITIVE);
        places.push((x, width - GUTTER_MM));
        x += width;
    }
    let set = |letters: Letters| -> Vec<_> {
        let place = |(x, room): &(f64, f64)| (*x, *room, letters);
        places.iter().map(place).collect()
    };
    let heads: Vec<&str> = columns.iter().map(|c| c.1.as_str()).collect();
    let from = all.len();
    row(all, &set(SMALL), &heads, 0.0);
    for strip in all.iter_mut().skip(from) {
        strip.with_next = true;
    }
    if let Some(last) = all.last_mut() {
        last.height_mm += 0.8;
    }
    for cells in rows {
        let cells: Vec<&str> = cells.iter().map(String::as_str).collect();
        if cells.iter().all(|cell| clean(cell).is_empty()) {
            continue;
        }
        let from = all.len();
        row(all, &set(PLAIN), &cells, 0.9);
        if let Some(first) = all.get_mut(from) {
            first.rules.push((left, right, 0.2));
            for (_, base, ..) in &mut first.words {
                *base += 0.7;
            }
            first.height_mm += 0.7;
        }
    }
    all.push(Strip::white(1.2));
}

fn signatures(all: &mut Vec<Strip>, who: &[String], left: f64, right: f64) {
    let count = who.len().max(1) as f64;
    let width = (right - left) / count;
    let lines: Vec<_> = who
        .iter()
        .map(|who| SMALL.lines(who, width - 2.0 * GUTTER_MM))
        .collect();
    let most = lines.iter().map(Vec::len).max().unwrap_or(0) as f64;
    let step = SMALL.size_mm * LEADING;
    let mut strip = Strip::white(SIGNING_MM + most * step + 1.5);
    for (n, lines) in lines.into_iter().enumerate() {
        let x = left + n as f64 * width;
        strip
            .rules
            .push((x, x + width - 2.0 * GUTTER_MM, SIGNING_MM));
        for (row, line) in lines.into_iter().enumerate() {
            let base = SIGNING_MM + 0.6 + (row + 1) as f64 * step;
            strip.words.push((x, base, SMALL, line));
        }
    }
    all.push(strip);
}
