//! Sheets as PDF of exact size, one to a page.
//!
//! Everything is vector. Each page's coordinates are mm from the upper left
//! corner, as on the [`Sheet`], carried to points of 1/72 in by one matrix
//! (ISO 32000-1, 8.3.2.3). The print dialog is asked for 100 % (12.2,
//! `PrintScaling`); not every reader obeys, hence the gauges. No date, no
//! random id: the same sheets are the same bytes.

mod letters;
#[cfg(test)]
mod tests;

use miniz_oxide::deflate::compress_to_vec_zlib;
use ophryon_frames::{Page, Point};
use pdf_writer::types::LineJoinStyle;
use pdf_writer::{Chunk, Content, Filter, Finish, Name, Pdf as Writer, Rect, Ref, Str, TextStr};

use crate::sheet::ENGLISH;
use crate::{Align, Jpeg, Mark, Sheet, Stroke};
use letters::{Letters, Line};

/// Points in a mm.
const POINTS: f64 = 72.0 / 25.4;

/// Darkness of what is read second: #555 as in the SVG.
const QUIET: f32 = 1.0 / 3.0;

/// Effort of packing, 0 to 10.
const PACKING: u8 = 8;

/// Sheets as one PDF file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pdf {
    /// The file.
    pub bytes: Vec<u8>,
    /// Letters asked for that no font holds: an empty box
    /// stands in place of each. Sorted.
    pub missing: Vec<char>,
}

/// Why there can be no PDF.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PdfError {
    /// The fonts that this program carries don't work.
    #[error("the letters that come with Ophryon can't be used; install it again, or print the SVG")]
    Letters,
    /// A font that was handed in is none.
    #[error("font {} can't be used: this is no TrueType or OpenType font; choose another", .number + 1)]
    Font {
        /// Which one, from 0.
        number: usize,
    },
}

/// Writes these sheets as one PDF, a page each, of exactly the paper's size,
/// with the built-in letters.
///
/// # Errors
/// [`PdfError`], when the built-in fonts are damaged.
pub fn write_pdf(sheets: &[&Sheet]) -> Result<Pdf, PdfError> {
    write_pdf_with(sheets, &[])
}

/// The same with more fonts, as the bytes of TrueType or OpenType files: each
/// letter comes from the first font that has it, the built-in ones before all
/// others. [`scripts_needed`](crate::scripts_needed) tells which of the
/// project's own are worth handing in.
///
/// # Errors
/// [`PdfError`], when a font is damaged.
pub fn write_pdf_with(sheets: &[&Sheet], fonts: &[&[u8]]) -> Result<Pdf, PdfError> {
    let mut last = 0;
    let mut next = || {
        last += 1;
        Ref::new(last)
    };
    let (catalog, tree, info) = (next(), next(), next());
    let pages: Vec<_> = sheets
        .iter()
        .map(|sheet| (*sheet, next(), next()))
        .collect();

    // Letters are known only when all pages are written.
    let mut letters = Letters::new(fonts)?;
    let mut drawn = vec![];
    for (sheet, ..) in &pages {
        drawn.push(compress_to_vec_zlib(&draw(sheet, &mut letters)?, PACKING));
    }
    let mut embedded = Chunk::new();
    let named = letters.embed(&mut embedded, &mut next)?;
    let mut pictured = vec![];
    for (sheet, ..) in &pages {
        let all = sheet.pictures().map(|picture| {
            let id = next();
            embed(picture, id, &mut embedded);
            id
        });
        pictured.push(all.collect::<Vec<_>>());
    }

    let mut pdf = Writer::new();
    let mut root = pdf.catalog(catalog);
    root.pages(tree)
        .lang(TextStr(sheets.first().map_or(ENGLISH, |s| s.language())));
    let mut wish = root.viewer_preferences();
    wish.display_doc_title(true);
    wish.pair(Name(b"PrintScaling"), Name(b"None"));
    wish.pair(Name(b"PickTrayByPDFSize"), true);
    wish.finish();
    root.finish();
    pdf.document_info(info)
        .title(TextStr(sheets.first().map_or("", |s| s.title())))
        .producer(TextStr("Ophryon"));
    pdf.pages(tree)
        .kids(pages.iter().map(|page| page.1))
        .count(i32::try_from(pages.len()).unwrap_or(i32::MAX));
    for (((sheet, page, content), drawn), pictured) in pages.iter().zip(&drawn).zip(&pictured) {
        let whole = Rect::new(
            0.0,
            0.0,
            (sheet.width_mm() * POINTS) as f32,
            (sheet.height_mm() * POINTS) as f32,
        );
        let mut written = pdf.page(*page);
        written
            .parent(tree)
            .media_box(whole)
            .trim_box(whole)
            .contents(*content);
        let mut resources = written.resources();
        let mut listed = resources.fonts();
        for (name, id) in &named {
            listed.pair(Name(name.as_bytes()), *id);
        }
        listed.finish();
        if !pictured.is_empty() {
            let mut listed = resources.x_objects();
            for (number, id) in pictured.iter().enumerate() {
                listed.pair(Name(picture_name(number).as_bytes()), *id);
            }
            listed.finish();
        }
        resources.finish();
        written.finish();
        pdf.stream(*content, drawn).filter(Filter::FlateDecode);
    }
    pdf.extend(&embedded);
    Ok(Pdf {
        bytes: pdf.finish(),
        missing: letters.missing(),
    })
}

/// A tenth of a micrometre, as in the SVG.
fn number(mm: f64) -> f32 {
    ((mm * 1e4).round() / 1e4) as f32
}

fn place(p: Point<Page>) -> (f32, f32) {
    (number(p.x), number(p.y))
}

fn draw(sheet: &Sheet, letters: &mut Letters) -> Result<Vec<u8>, PdfError> {
    let mut page = Content::new();
    let mut pictures = 0;
    let (k, top) = (POINTS as f32, (sheet.height_mm() * POINTS) as f32);
    page.save_state();
    page.transform([k, 0.0, 0.0, -k, 0.0, top]);
    // A pointed tail's mitre would stand out beyond the outline.
    page.set_line_join(LineJoinStyle::RoundJoin);
    for item in sheet.groups().iter().flat_map(|group| &group.items) {
        if let Mark::Picture { corners, .. } = &item.mark {
            place_picture(*corners, &picture_name(pictures), &mut page);
            pictures += 1;
        }
        draw_mark(&item.mark, &mut page, letters)?;
    }
    page.restore_state();
    Ok(page.finish().to_vec())
}

fn draw_mark(mark: &Mark, page: &mut Content, letters: &mut Letters) -> Result<(), PdfError> {
    match mark {
        Mark::Outline {
            start,
            cubics,
            stroke,
        } => {
            take(page, *stroke);
            let (x, y) = place(*start);
            page.move_to(x, y);
            for [b, c, d] in cubics {
                let ((bx, by), (cx, cy), (dx, dy)) = (place(*b), place(*c), place(*d));
                page.cubic_to(bx, by, cx, cy, dx, dy);
            }
            page.close_and_stroke();
        }
        Mark::Polyline {
            places,
            closed,
            stroke,
        } => {
            take(page, *stroke);
            for (index, p) in places.iter().enumerate() {
                let (x, y) = place(*p);
                if index == 0 {
                    page.move_to(x, y);
                } else {
                    page.line_to(x, y);
                }
            }
            if *closed {
                page.close_and_stroke();
            } else {
                page.stroke();
            }
        }
        Mark::Lines { lines, stroke } => {
            take(page, *stroke);
            for [from, to] in lines {
                let ((x, y), (to_x, to_y)) = (place(*from), place(*to));
                page.move_to(x, y).line_to(to_x, to_y);
            }
            page.stroke();
        }
        Mark::Bars { bars } => {
            page.set_fill_gray(0.0);
            for corners in bars {
                corner_to_corner(page, *corners);
            }
            page.fill_nonzero();
        }
        Mark::Frame { corners, stroke } => {
            take(page, *stroke);
            corner_to_corner(page, *corners);
            page.stroke();
        }
        // Where it lies depends on its number; see `draw`.
        Mark::Picture { .. } => {}
        Mark::Words {
            at,
            align,
            size_mm,
            weight,
            quiet,
            words,
        } => {
            let line = letters.line(words, *weight)?;
            let from = match align {
                Align::Start => at.x,
                Align::Middle => at.x - line.length * size_mm / 2.0,
                Align::End => at.x - line.length * size_mm,
            };
            page.set_fill_gray(if *quiet { QUIET } else { 0.0 });
            set(page, &line, Point::new(from, at.y), *size_mm);
        }
    }
    Ok(())
}

/// A picture's name on its page.
fn picture_name(number: usize) -> String {
    format!("P{number}")
}

/// A picture fills the unit square with y up (ISO 32000-1, 8.9.5).
fn place_picture([near, far]: [Point<Page>; 2], name: &str, page: &mut Content) {
    let ((left, top), (right, bottom)) = (place(near), place(far));
    page.save_state();
    page.transform([right - left, 0.0, 0.0, top - bottom, left, bottom]);
    page.x_object(Name(name.as_bytes()));
    page.restore_state();
}

/// The JPEG as it is.
fn embed(picture: &Jpeg, id: Ref, into: &mut Chunk) {
    let (width, height) = picture.size_px();
    let mut image = into.image_xobject(id, picture.bytes());
    image.filter(Filter::DctDecode);
    image.width(width.into());
    image.height(height.into());
    image.bits_per_component(8);
    if picture.is_grey() {
        image.color_space().device_gray();
    } else {
        image.color_space().device_rgb();
    }
}

fn take(page: &mut Content, stroke: Stroke) {
    page.set_line_width(number(stroke.width_mm));
    page.set_dash_pattern(stroke.dashes.iter().map(|mm| number(*mm)), 0.0);
}

/// By its corners: a width would be rounded apart from them.
fn corner_to_corner(page: &mut Content, [near, far]: [Point<Page>; 2]) {
    let ((left, top), (right, bottom)) = (place(near), place(far));
    page.move_to(left, top)
        .line_to(right, top)
        .line_to(right, bottom)
        .line_to(left, bottom)
        .close_path();
}

/// Sets a line from its left end. A run goes on as long as a reader's own
/// advance, with small corrections, leads to the next letter.
fn set(page: &mut Content, line: &Line, from: Point<Page>, size_mm: f64) {
    page.begin_text();
    let mut rest = line.letters.as_slice();
    while let Some(first) = rest.first() {
        let together = rest
            .iter()
            .take_while(|l| l.face == first.face && l.up == first.up)
            .count();
        let (run, after) = rest.split_at(together);
        rest = after;
        let font = Letters::name(first.face);
        page.set_font(Name(font.as_bytes()), number(size_mm));
        // Letters stand upright although y runs down.
        let x = number(from.x + first.across * size_mm);
        let y = number(from.y - first.up * size_mm);
        page.set_text_matrix([1.0, 0.0, 0.0, -1.0, x, y]);
        let mut shown = page.show_positioned();
        let mut items = shown.items();
        let mut reached = first.across;
        let mut codes = vec![];
        for letter in run {
            let off = (letter.across - reached) * 1000.0;
            if off.abs() > 0.5 {
                if !codes.is_empty() {
                    items.show(Str(&codes));
                    codes.clear();
                }
                items.adjust(-(off.round() as f32));
            }
            codes.extend(letter.cid.to_be_bytes());
            reached = letter.across + letter.width;
        }
        items.show(Str(&codes));
        items.finish();
        shown.finish();
    }
    page.end_text();
}
