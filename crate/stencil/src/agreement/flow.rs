//! From the top of the first page to the foot of the last.

use ophryon_frames::{Page, Point};

use super::{AgreementPage, Paragraph, Section, Tone, file_title, pictured};
use crate::heading::RULE;
use crate::lettering::clean;
use crate::page::MARGIN_MM;
use crate::sheet::{Group, Letters, Mark, Stroke};
use crate::{Paper, Sheet};

/// Room at the lower edge for the foot, of two lines where a name is long, mm.
const FOOT_MM: f64 = 9.0;

/// Letters of sentences, 10.5 points, and from one line to the next, mm.
pub(super) const SIZE_MM: f64 = 3.7;
pub(super) const LINE_MM: f64 = 4.9;

/// Letters of heads, 10 points, mm.
pub(super) const HEAD_MM: f64 = 3.53;

/// Where a sentence begins, after its answer: as the answers need it, mm.
const ANSWER_MM: (f64, f64) = (15.0, 40.0);

/// The field of a signature, mm.
const SIGNATURE_MM: (f64, f64) = (100.0, 36.0);

/// Letters of the fine print, and from one line to the next, mm.
const FINE_MM: (f64, f64) = (3.0, 4.0);

/// A title, and from one of its lines to the next.
const TITLE: Letters = Letters::plain(4.4).bold();
const TITLE_LINE_MM: f64 = 5.6;

/// Kept about an answer, mm.
const ANSWER_EDGE_MM: f64 = 4.5;

/// Round an answer that is to be looked at.
const MARK: Stroke = Stroke {
    width_mm: 0.4,
    dashes: &[],
};

pub(super) struct Flow<'a> {
    pub(super) page: &'a AgreementPage,
    paper: Paper,
    done: Vec<[Group; 2]>,
    pub(super) words: Group,
    pub(super) ruling: Group,
    /// Where the next thing begins, mm from the upper edge.
    pub(super) y: f64,
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
        let under = if is_last { flow.signed_mm() } else { 0.0 };
        let high = flow.section_mm(section) + under;
        if is_last && flow.y + high > flow.end() && high < flow.end() - MARGIN_MM {
            flow.turn();
        }
        flow.section(section);
    }
    flow.signed();
    flow.sheets()
}

impl Flow<'_> {
    pub(super) fn left(&self) -> f64 {
        MARGIN_MM
    }

    pub(super) fn right(&self) -> f64 {
        self.paper.width_mm() - MARGIN_MM
    }

    pub(super) fn width(&self) -> f64 {
        self.right() - self.left()
    }

    pub(super) fn end(&self) -> f64 {
        self.paper.height_mm() - MARGIN_MM - FOOT_MM
    }

    /// A new page where so much doesn't fit on this one any more.
    pub(super) fn need(&mut self, mm: f64) {
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

    pub(super) fn write(&mut self, x: f64, y: f64, letters: Letters, words: impl Into<String>) {
        self.words.write(Point::new(x, y), letters, words);
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

    /// A title, with room for the beginning of what follows it.
    pub(super) fn title(&mut self, words: &str, then_mm: f64) {
        let lines = TITLE.lines(words, self.width());
        self.need(lines.len() as f64 * TITLE_LINE_MM + 1.9 + then_mm);
        for line in lines {
            self.y += TITLE_LINE_MM;
            self.write(self.left(), self.y, TITLE, line);
        }
        self.y += 1.9;
    }

    /// Sentences from `x` on.
    pub(super) fn lines(&mut self, words: &str, x: f64, room_mm: f64) {
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
        let answer_mm = answer_mm(section);
        for paragraph in &section.paragraphs {
            self.paragraph(paragraph, answer_mm);
        }
        self.y += 2.0;
    }

    /// How high a section is.
    fn section_mm(&self, section: &Section) -> f64 {
        let letters = Letters::plain(SIZE_MM);
        let count = |words: &str, room: f64| letters.lines(words, room).len() as f64;
        let lead = section.lead.as_ref();
        let lead = lead.map_or(0.0, |l| count(l, self.width()) * LINE_MM + 1.2);
        let room = self.width() - answer_mm(section);
        let each = section.paragraphs.iter();
        let each = each.map(|p| count(&p.words, room) * LINE_MM + 1.2);
        self.title_mm(&section.title) + lead + each.sum::<f64>() + 2.0
    }

    fn title_mm(&self, words: &str) -> f64 {
        TITLE.lines(words, self.width()).len() as f64 * TITLE_LINE_MM + 1.9
    }

    /// How high the signature is with all that stands under it.
    fn signed_mm(&self) -> f64 {
        let signed = &self.page.signed;
        let fine = Letters::plain(FINE_MM.0);
        let lines = signed.fine.iter();
        let lines = lines.map(|line| fine.lines(line, self.width()).len());
        let fine_mm = lines.sum::<usize>() as f64 * FINE_MM.1;
        self.title_mm(&signed.title) + SIGNATURE_MM.1 + 2.0 + fine_mm + 2.0
    }

    fn paragraph(&mut self, paragraph: &Paragraph, answer_mm: f64) {
        let letters = Letters::plain(SIZE_MM);
        let room = self.width() - answer_mm;
        let count = letters.lines(&paragraph.words, room).len();
        // A sentence stays with its answer, unless it is longer than a page.
        self.need((count as f64 * LINE_MM + 1.0).min(120.0));
        let top = self.y;
        let room_mm = answer_mm - ANSWER_EDGE_MM;
        let sizes = [HEAD_MM, 3.2, 2.9].map(|size| Letters::plain(size).bold());
        let fits = |set: &Letters| set.width_mm(&clean(&paragraph.answer)) <= room_mm;
        let bold = sizes.into_iter().find(fits).unwrap_or(sizes[2]);
        let answer = bold.fit(&paragraph.answer, room_mm);
        self.write(self.left() + 1.2, top + LINE_MM - 1.0, bold, answer);
        if paragraph.tone == Tone::Marked {
            self.ruling.draw(Mark::Frame {
                corners: [
                    Point::new(self.left(), top - 0.2),
                    Point::new(self.left() + answer_mm - 2.0, top + LINE_MM + 0.4),
                ],
                stroke: MARK,
            });
        }
        self.lines(&paragraph.words, self.left() + answer_mm, room);
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
            // Set smaller, and in lines, before it is cut.
            let set = |size: f64| (size, Letters::plain(size).lines(name, wide - 6.0));
            let fits = |(size, lines): &(f64, Vec<String>)| {
                lines.len() as f64 * 1.3 * size <= high - 6.0 && (*size < 5.0 || lines.len() == 1)
            };
            let sizes = [7.0, 6.0, 5.0, 4.0, 3.4, 2.8].map(set);
            let [.., smallest] = &sizes;
            let (size, lines) = sizes.iter().find(|s| fits(s)).unwrap_or(smallest);
            let middle = near.y + high / 2.0 + 0.35 * size;
            let first = middle - (lines.len().saturating_sub(1)) as f64 * 0.65 * size;
            for (n, line) in lines.iter().enumerate() {
                let base = first + n as f64 * 1.3 * size;
                self.write(near.x + 3.0, base, Letters::plain(*size), line.clone());
            }
        }
        let (x, room) = (far.x + 5.0, self.right() - far.x - 5.0);
        let top = self.y;
        for line in &signed.lines {
            self.lines(line, x, room);
        }
        self.y = self.y.max(top + high) + 2.0;
        let fine = Letters::plain(FINE_MM.0);
        for said in &signed.fine {
            for line in fine.lines(said, self.width()) {
                self.need(FINE_MM.1);
                self.y += FINE_MM.1;
                self.write(self.left(), self.y - 1.0, fine, line);
            }
        }
    }

    fn sheets(mut self) -> Vec<Sheet> {
        self.turn();
        let count = self.done.len();
        let foot = Letters::plain(2.9);
        let base = self.paper.height_mm() - MARGIN_MM;
        let (left, room) = (self.left(), self.width());
        let pages = self.done.into_iter().enumerate();
        pages
            .map(|(n, [ruling, mut words])| {
                let said = self.page.foot.replace("{page}", &(n + 1).to_string());
                let said = said.replace("{pages}", &count.to_string());
                let lines = foot.lines(&said, room);
                for (n, line) in lines.iter().rev().take(2).enumerate() {
                    let y = base - n as f64 * 3.8;
                    words.write(Point::new(left, y), foot, line.clone());
                }
                let title = file_title(self.page);
                let mut sheet =
                    Sheet::of_words("agreement", title, self.paper, vec![ruling, words]);
                sheet.language = clean(&self.page.language);
                sheet
            })
            .collect()
    }
}

/// As wide as the widest answer of a section.
fn answer_mm(section: &Section) -> f64 {
    let bold = Letters::plain(HEAD_MM).bold();
    let wide = section.paragraphs.iter();
    let wide = wide.map(|p| bold.width_mm(&clean(&p.answer)));
    (wide.fold(0.0, f64::max) + ANSWER_EDGE_MM).clamp(ANSWER_MM.0, ANSWER_MM.1)
}
