//! From the top of the first page to the foot of the last.

use ophryon_frames::{Page, Point};

use super::{AgreementPage, Paragraph, Section, Tone, file_title, pictured};
use crate::heading::RULE;
use crate::lettering::{clean, fit};
use crate::page::MARGIN_MM;
use crate::sheet::{Align, Group, Letters, Mark, Stroke};
use crate::{Paper, Sheet};

/// Room at the lower edge for the foot, mm.
const FOOT_MM: f64 = 7.0;

/// Letters of sentences, and from one line to the next, mm.
const SIZE_MM: f64 = 3.0;
const LINE_MM: f64 = 4.1;

/// Where a sentence begins, after its answer, mm.
const ANSWER_MM: f64 = 27.0;

/// The field of a signature, mm.
const SIGNATURE_MM: (f64, f64) = (76.0, 27.4);

/// A signature with its title, mm.
const SIGNED_MM: f64 = 6.5 + SIGNATURE_MM.1 + 2.0;

/// A row of the table, mm.
const ROW_MM: f64 = 4.4;

/// Round an answer that is to be looked at.
const MARK: Stroke = Stroke {
    width_mm: 0.4,
    dashes: &[],
};

struct Flow<'a> {
    page: &'a AgreementPage,
    paper: Paper,
    done: Vec<[Group; 2]>,
    words: Group,
    ruling: Group,
    /// Where the next thing begins, mm from the upper edge.
    y: f64,
}

pub(super) fn lay_out(page: &AgreementPage) -> Vec<Sheet> {
    let paper = page.paper.for_lists();
    let mut flow = Flow {
        page,
        paper,
        done: vec![],
        words: Group::new("agreement-words"),
        ruling: Group::new("agreement-ruling"),
        y: MARGIN_MM,
    };
    flow.head();
    flow.pictures();
    flow.numbers();
    for (n, section) in page.sections.iter().enumerate() {
        // A signature stands on one page with something that it is under.
        let is_last = n + 1 == page.sections.len();
        let high = flow.section_mm(section) + if is_last { SIGNED_MM } else { 0.0 };
        if is_last && flow.y + high > flow.end() && high < flow.end() - MARGIN_MM {
            flow.turn();
        }
        flow.section(section);
    }
    flow.signed();
    flow.sheets()
}

impl Flow<'_> {
    fn left(&self) -> f64 {
        MARGIN_MM
    }

    fn right(&self) -> f64 {
        self.paper.width_mm() - MARGIN_MM
    }

    fn width(&self) -> f64 {
        self.right() - self.left()
    }

    fn end(&self) -> f64 {
        self.paper.height_mm() - MARGIN_MM - FOOT_MM
    }

    /// A new page where so much doesn't fit on this one any more.
    fn need(&mut self, mm: f64) {
        if self.y + mm > self.end() {
            self.turn();
        }
    }

    fn turn(&mut self) {
        let words = std::mem::replace(&mut self.words, Group::new("agreement-words"));
        let ruling = std::mem::replace(&mut self.ruling, Group::new("agreement-ruling"));
        self.done.push([ruling, words]);
        self.y = MARGIN_MM;
    }

    fn write(&mut self, x: f64, y: f64, letters: Letters, words: impl Into<String>) {
        self.words.write(Point::new(x, y), letters, words);
    }

    fn head(&mut self) {
        let page = self.page;
        let title = Letters::plain(6.0).bold();
        for line in title.lines(&page.title, self.width()) {
            self.y += 6.6;
            self.write(self.left(), self.y - 1.0, title, line);
        }
        if let Some(remark) = &page.remark {
            let letters = Letters::plain(4.0).bold();
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
        self.y += 2.5;
        let count = page.fields.len().max(1) as f64;
        let each = self.width() / count;
        let (top, base) = (self.y, self.y + 9.0);
        for (n, field) in page.fields.iter().enumerate() {
            let x = self.left() + n as f64 * each;
            let name = Letters::plain(2.5).quiet();
            self.write(x, top + 3.6, name, name.fit(&field.name, each - 2.0));
            // Set smaller before it is cut.
            let sizes = [3.6, 3.0, 2.5, 2.0];
            let fits =
                |size: &f64| Letters::plain(*size).width_mm(&clean(&field.value)) <= each - 2.0;
            let value = Letters::plain(sizes.into_iter().find(fits).unwrap_or(2.0));
            self.write(x, base, value, value.fit(&field.value, each - 2.0));
        }
        let rules =
            [top, base + 2.2].map(|y| [Point::new(self.left(), y), Point::new(self.right(), y)]);
        self.ruling.draw(Mark::Lines {
            lines: rules.to_vec(),
            stroke: RULE,
        });
        self.y = base + 6.0;
    }

    fn pictures(&mut self) {
        let all = &self.page.pictures;
        if !all.is_empty() {
            let high = pictured::row_mm(all, self.width());
            self.need(high);
            let corner = Point::<Page>::new(self.left(), self.y);
            let width = self.width();
            pictured::row(all, corner, width, &mut self.words);
            self.y += high;
        }
        for line in &self.page.below_pictures {
            self.lines(line, self.left(), self.width());
        }
        self.y += 1.5;
    }

    fn numbers(&mut self) {
        let numbers = &self.page.numbers;
        if numbers.rows.is_empty() {
            return;
        }
        self.title(&numbers.title, 3.0 * ROW_MM);
        let column = 30.0_f64.min(self.width() / (numbers.heads.len() as f64 + 2.0));
        let ends = |n: usize, of: usize| self.right() - (of - 1 - n) as f64 * column;
        let of = numbers.heads.len();
        let at: Vec<f64> = (0..of).map(|n| ends(n, of)).collect();
        let head = Letters::plain(2.6).quiet().aligned(Align::End);
        let note = Letters::plain(2.6).quiet();
        let room = self.width() - of as f64 * column;
        let words = note.fit(&numbers.note, room);
        self.write(self.left(), self.y + 2.6, note, words);
        for (words, x) in numbers.heads.iter().zip(&at) {
            self.write(*x, self.y + 2.6, head, head.fit(words, column - 1.5));
        }
        self.y += 4.2;
        for (name, values) in &numbers.rows {
            self.need(ROW_MM);
            let base = self.y + 3.3;
            let plain = Letters::plain(SIZE_MM);
            let room = self.width() - of as f64 * column;
            self.write(self.left(), base, plain, plain.fit(name, room));
            for (value, x) in values.iter().zip(&at) {
                self.write(
                    *x,
                    base,
                    plain.aligned(Align::End),
                    fit(value, SIZE_MM, column),
                );
            }
            self.y += ROW_MM;
            self.ruling.draw(Mark::Lines {
                lines: vec![[
                    Point::new(self.left(), self.y),
                    Point::new(self.right(), self.y),
                ]],
                stroke: Stroke {
                    width_mm: 0.1,
                    dashes: &[],
                },
            });
        }
        self.y += 3.5;
    }

    /// A title, with room for the beginning of what follows it.
    fn title(&mut self, words: &str, then_mm: f64) {
        self.need(6.5 + then_mm);
        let letters = Letters::plain(3.7).bold();
        self.y += 4.6;
        self.write(
            self.left(),
            self.y,
            letters,
            letters.fit(words, self.width()),
        );
        self.y += 1.9;
    }

    /// Sentences from `x` on.
    fn lines(&mut self, words: &str, x: f64, room_mm: f64) {
        let letters = Letters::plain(SIZE_MM);
        for line in letters.lines(words, room_mm) {
            self.need(LINE_MM);
            self.y += LINE_MM;
            self.write(x, self.y - 1.0, letters, line);
        }
    }

    fn section(&mut self, section: &Section) {
        self.title(&section.title, 2.0 * LINE_MM + 2.0);
        if let Some(lead) = &section.lead {
            self.lines(lead, self.left(), self.width());
            self.y += 1.2;
        }
        for paragraph in &section.paragraphs {
            self.paragraph(paragraph);
        }
        self.y += 2.0;
    }

    /// How high a section is.
    fn section_mm(&self, section: &Section) -> f64 {
        let letters = Letters::plain(SIZE_MM);
        let count = |words: &str, room: f64| letters.lines(words, room).len() as f64;
        let lead = section.lead.as_ref();
        let lead = lead.map_or(0.0, |l| count(l, self.width()) * LINE_MM + 1.2);
        let room = self.width() - ANSWER_MM;
        let each = section.paragraphs.iter();
        let each = each.map(|p| count(&p.words, room) * LINE_MM + 1.2);
        6.5 + lead + each.sum::<f64>() + 2.0
    }

    fn paragraph(&mut self, paragraph: &Paragraph) {
        let letters = Letters::plain(SIZE_MM);
        let room = self.width() - ANSWER_MM;
        let count = letters.lines(&paragraph.words, room).len();
        // A sentence stays with its answer, unless it is longer than a page.
        self.need((count as f64 * LINE_MM + 1.0).min(120.0));
        let top = self.y;
        let room_mm = ANSWER_MM - 4.5;
        let sizes = [2.8, 2.5, 2.2].map(|size| Letters::plain(size).bold());
        let fits = |set: &Letters| set.width_mm(&clean(&paragraph.answer)) <= room_mm;
        let bold = sizes.into_iter().find(fits).unwrap_or(sizes[2]);
        let answer = bold.fit(&paragraph.answer, room_mm);
        self.write(self.left() + 1.2, top + LINE_MM - 1.0, bold, answer);
        if paragraph.tone == Tone::Marked {
            self.ruling.draw(Mark::Frame {
                corners: [
                    Point::new(self.left(), top - 0.2),
                    Point::new(self.left() + ANSWER_MM - 2.0, top + LINE_MM + 0.4),
                ],
                stroke: MARK,
            });
        }
        self.lines(&paragraph.words, self.left() + ANSWER_MM, room);
        self.y += 1.2;
    }

    fn signed(&mut self) {
        let signed = &self.page.signed;
        let (wide, high) = SIGNATURE_MM;
        self.title(&signed.title, high);
        let near = Point::<Page>::new(self.left(), self.y);
        let far = Point::new(near.x + wide, near.y + high);
        self.ruling.draw(Mark::Frame {
            corners: [near, far],
            stroke: RULE,
        });
        // As high as the field on a screen: a third and a little of its width.
        pictured::signature(&signed.strokes, [near, far], &mut self.words);
        if let Some(name) = &signed.typed {
            let room = wide - 6.0;
            let fits = |size: &f64| Letters::plain(*size).width_mm(&clean(name)) <= room;
            let size = [6.0, 5.0, 4.0, 3.0].into_iter().find(fits);
            let letters = Letters::plain(size.unwrap_or(2.4));
            let base = near.y + high / 2.0 + 2.0;
            self.write(near.x + 3.0, base, letters, letters.fit(name, room));
        }
        let (x, room) = (far.x + 5.0, self.right() - far.x - 5.0);
        let top = self.y;
        for line in &signed.lines {
            self.lines(line, x, room);
        }
        let digits = Letters::plain(2.9);
        for line in &signed.seal {
            self.need(LINE_MM);
            self.y += LINE_MM;
            self.write(x, self.y - 1.0, digits, digits.fit(line, room));
        }
        self.y = self.y.max(top + high) + 2.0;
    }

    fn sheets(mut self) -> Vec<Sheet> {
        self.turn();
        let count = self.done.len();
        let foot = Letters::plain(2.6).quiet();
        let base = self.paper.height_mm() - MARGIN_MM;
        let (left, room) = (self.left(), self.width());
        let pages = self.done.into_iter().enumerate();
        pages
            .map(|(n, [ruling, mut words])| {
                let said = self.page.foot.replace("{page}", &(n + 1).to_string());
                let said = said.replace("{pages}", &count.to_string());
                words.write(Point::new(left, base), foot, foot.fit(&said, room));
                let title = file_title(self.page);
                let mut sheet =
                    Sheet::of_words("agreement", title, self.paper, vec![ruling, words]);
                sheet.language = clean(&self.page.language);
                sheet
            })
            .collect()
    }
}
