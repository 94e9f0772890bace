//! What stands above the sentences: whose it is, and the numbers.

use ophryon_frames::Point;

use super::Field;
use super::flow::{Flow, HEAD_MM, LINE_MM, SIZE_MM};
use crate::heading::RULE;
use crate::lettering::clean;
use crate::sheet::{Align, Letters, Mark, Stroke};

/// Between two fields or columns, mm.
const GAP_MM: f64 = 3.0;

/// No field asks for more, mm: longer ones go on in a second line.
const WIDEST_MM: f64 = 56.0;

/// A column of numbers, mm.
const COLUMN_MM: f64 = 25.0;

/// A row of the table over the height of its letters, mm.
const BETWEEN_ROWS_MM: f64 = 0.5;

const HEAD: Letters = Letters::plain(HEAD_MM);
const PLAIN: Letters = Letters::plain(SIZE_MM);

impl Flow<'_> {
    pub(super) fn head(&mut self) {
        let page = self.page;
        let title = Letters::plain(6.0).bold();
        for line in title.lines(&page.title, self.width()) {
            self.y += 6.8;
            self.write(self.left(), self.y - 1.0, title, line);
        }
        if let Some(remark) = &page.remark {
            self.remark(remark);
        }
        self.y += 2.5;
        self.fields();
    }

    fn remark(&mut self, remark: &str) {
        let letters = Letters::plain(4.2).bold();
        let lines = letters.lines(remark, self.width() - 6.0);
        let high = lines.len() as f64 * 5.6 + 3.0;
        self.y += 2.0;
        self.ruling.draw(Mark::Frame {
            corners: [
                Point::new(self.left(), self.y),
                Point::new(self.right(), self.y + high),
            ],
            stroke: Stroke {
                width_mm: 0.6,
                dashes: &[],
            },
        });
        for (n, line) in lines.into_iter().enumerate() {
            let base = self.y + 5.4 + n as f64 * 5.6;
            self.write(self.left() + 3.0, base, letters, line);
        }
        self.y += high;
    }

    /// Beside each other, each as wide as it needs to be.
    fn fields(&mut self) {
        let fields = &self.page.fields;
        let own = |field: &Field| {
            let (name, value) = (clean(&field.name), clean(&field.value));
            let wide = HEAD.width_mm(&name).max(PLAIN.width_mm(&value));
            wide.min(WIDEST_MM) + GAP_MM
        };
        let all: f64 = fields.iter().map(own).sum();
        let share = self.width() / all.max(1.0);
        let top = self.y;
        let (mut x, mut end) = (self.left(), top);
        for field in fields {
            let each = own(field) * share;
            let mut y = top;
            for (letters, words) in [(HEAD, &field.name), (PLAIN.bold(), &field.value)] {
                for line in letters.lines(words, each - GAP_MM + 0.1) {
                    y += LINE_MM;
                    self.write(x, y - 0.6, letters, line);
                }
                y += 0.3;
            }
            x += each;
            end = end.max(y);
        }
        let rules =
            [top, end + 1.0].map(|y| [Point::new(self.left(), y), Point::new(self.right(), y)]);
        self.ruling.draw(Mark::Lines {
            lines: rules.to_vec(),
            stroke: RULE,
        });
        self.y = end + 4.0;
    }

    pub(super) fn numbers(&mut self) {
        let numbers = &self.page.numbers;
        if numbers.rows.is_empty() {
            return;
        }
        self.title(&numbers.title, 4.0 * LINE_MM);
        let of = numbers.heads.len();
        let column = COLUMN_MM.min(self.width() / (of as f64 + 2.0));
        let room = self.width() - of as f64 * column - GAP_MM;
        let ends = |n: usize| self.right() - (of - 1 - n) as f64 * column;
        let at: Vec<f64> = (0..of).map(ends).collect();
        let note = HEAD.lines(&numbers.note, room);
        let heads = numbers.heads.iter();
        let heads: Vec<_> = heads.map(|h| HEAD.lines(h, column - GAP_MM)).collect();
        let rows = heads.iter().map(Vec::len).chain([note.len()]).max();
        let rows = rows.unwrap_or_default();
        let top = self.y;
        let above = |lines: usize| top + (rows - lines) as f64 * LINE_MM;
        self.column(self.left(), above(note.len()), HEAD, note);
        for (lines, x) in heads.into_iter().zip(&at) {
            let y = above(lines.len());
            self.column(*x, y, HEAD.aligned(Align::End), lines);
        }
        self.y = top + rows as f64 * LINE_MM;
        self.rule();
        for (name, values) in &numbers.rows {
            let name = PLAIN.lines(name, room);
            let high = name.len().max(1) as f64 * LINE_MM + BETWEEN_ROWS_MM;
            self.need(high);
            let top = self.y + 0.3;
            self.column(self.left(), top, PLAIN, name);
            for (value, x) in values.iter().zip(&at) {
                let end = PLAIN.aligned(Align::End);
                self.column(*x, top, end, vec![end.fit(value, column - GAP_MM)]);
            }
            self.y += high;
            self.rule();
        }
        self.y += 2.5;
    }

    fn column(&mut self, x: f64, top: f64, letters: Letters, lines: Vec<String>) {
        for (n, line) in lines.into_iter().enumerate() {
            let base = top + (n + 1) as f64 * LINE_MM - 1.2;
            self.write(x, base, letters, line);
        }
    }

    fn rule(&mut self) {
        let ends = [self.left(), self.right()].map(|x| Point::new(x, self.y));
        self.ruling.draw(Mark::Lines {
            lines: vec![ends],
            stroke: Stroke {
                width_mm: 0.1,
                dashes: &[],
            },
        });
    }
}
