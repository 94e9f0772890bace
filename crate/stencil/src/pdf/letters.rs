//! Letters that travel with the sheet: shaped, and embedded as far as used.
//!
//! Two fonts are built in, and more can be handed in; every reader and printer
//! then shows the same letters. The built-in ones hold Latin, Greek, Cyrillic,
//! Armenian, Georgian, Hebrew, Arabic and Lao, and more; what no font holds is
//! reported, never dropped in silence.

use std::collections::{BTreeMap, BTreeSet};

use harfrust::{Buffer, Direction, Font, GlyphId, ShapeOptions, ShaperFont, shape};
use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Chunk, Filter, Finish, Name, Rect, Ref, Str};
use subsetter::GlyphRemapper;
use unicode_bidi::{BidiInfo, Level};

use super::{PACKING, PdfError};
use crate::Weight;

/// Number of the plain and of the bold built-in font.
const PLAIN: usize = 0;
const BOLD: usize = 1;

/// Roughly as in tables `head`, `hhea` and `OS/2` of most fonts; a reader only
/// uses them to make room.
const BOUNDS: [f32; 4] = [-1069.0, -463.0, 1975.0, 1232.0];
const ASCENT: f32 = 928.0;
const DESCENT: f32 = -236.0;
const CAPITALS: f32 = 729.0;

/// One font and what has been used of it.
struct Face<'a> {
    /// How it is known in the PDF: a tag of six capitals, then its name.
    name: String,
    font: Font,
    bytes: &'a [u8],
    used: GlyphRemapper,
    /// Words behind a letter, by its number in the PDF; for searching.
    words: BTreeMap<u16, String>,
    /// Advance by number in the PDF, thousandths of the size.
    widths: BTreeMap<u16, f32>,
}

/// A letter in its place.
pub(super) struct Letter {
    /// Number of the font.
    pub(super) face: usize,
    /// Number in the PDF.
    pub(super) cid: u16,
    /// Where its origin lies from the start of the line, in sizes.
    pub(super) across: f64,
    /// Above the base line, in sizes.
    pub(super) up: f64,
    /// What a reader advances by itself, in sizes.
    pub(super) width: f64,
}

/// A shaped line.
#[derive(Default)]
pub(super) struct Line {
    pub(super) letters: Vec<Letter>,
    /// Length, in sizes.
    pub(super) length: f64,
}

/// All fonts, the built-in ones first.
pub(super) struct Letters<'a> {
    faces: Vec<Face<'a>>,
    missing: BTreeSet<char>,
}

impl<'a> Face<'a> {
    fn new(name: &str, font: Font, bytes: &'a [u8], number: usize) -> Self {
        // The tag tells subsets apart (ISO 32000-1, 9.6.4).
        let tag = char::from(b'A' + (number % 26) as u8);
        Self {
            name: format!("OPHRY{tag}+{name}"),
            font,
            bytes,
            used: GlyphRemapper::new(),
            words: BTreeMap::new(),
            widths: BTreeMap::new(),
        }
    }

    fn has(&self, c: char) -> bool {
        ShaperFont::new(&self.font)
            .nominal_glyph(u32::from(c))
            .is_some()
    }
}

impl<'a> Letters<'a> {
    /// The built-in fonts, then those handed in.
    pub(super) fn new(more: &[&'a [u8]]) -> Result<Self, PdfError> {
        let built_in: [(&str, &'static [u8]); 2] = [
            ("DejaVuSans", include_bytes!("../../fonts/DejaVuSans.ttf")),
            (
                "DejaVuSans-Bold",
                include_bytes!("../../fonts/DejaVuSans-Bold.ttf"),
            ),
        ];
        let mut faces = vec![];
        for (number, (name, bytes)) in built_in.into_iter().enumerate() {
            let font = Font::new(bytes, 0).ok_or(PdfError::Letters)?;
            faces.push(Face::new(name, font, bytes, number));
        }
        for (number, bytes) in more.iter().enumerate() {
            let name = format!("Letters{}", number + 1);
            let font = Font::new(bytes.to_vec(), 0).ok_or(PdfError::Font { number })?;
            faces.push(Face::new(&name, font, bytes, number + 2));
        }
        Ok(Self {
            faces,
            missing: BTreeSet::new(),
        })
    }

    /// Letters asked for that no font holds.
    pub(super) fn missing(&self) -> Vec<char> {
        self.missing.iter().copied().collect()
    }

    /// Name of a font as the pages use it.
    pub(super) fn name(face: usize) -> String {
        format!("F{face}")
    }

    /// Shapes one line, running left to right as a whole as in the SVG; parts
    /// in scripts that run the other way do so.
    pub(super) fn line(&mut self, words: &str, weight: Weight) -> Result<Line, PdfError> {
        let mut line = Line::default();
        let bidi = BidiInfo::new(words, Some(Level::ltr()));
        for paragraph in &bidi.paragraphs {
            let (levels, runs) = bidi.visual_runs(paragraph, paragraph.range.clone());
            for run in runs {
                let backward = levels.get(run.start).is_some_and(Level::is_rtl);
                let Some(text) = words.get(run) else { continue };
                let mut pieces = self.pieces(text, weight);
                if backward {
                    pieces.reverse();
                }
                for (face, piece) in pieces {
                    self.shape(face, piece, backward, &mut line)?;
                }
            }
        }
        Ok(line)
    }

    /// Cut where the font must change: bold lacks a few scripts that plain has,
    /// and both lack those that other fonts are for.
    fn pieces<'t>(&self, text: &'t str, weight: Weight) -> Vec<(usize, &'t str)> {
        let wanted = match weight {
            Weight::Plain => [PLAIN, BOLD],
            Weight::Bold => [BOLD, PLAIN],
        };
        let order: Vec<usize> = wanted.into_iter().chain(2..self.faces.len()).collect();
        let mut cuts: Vec<(usize, usize)> = vec![];
        for (at, c) in text.char_indices() {
            let before = cuts.last().map(|cut| cut.1);
            let face = match before {
                // Joiners and selectors belong to the letters about them, and
                // so do marks that their font has.
                Some(before) if is_joiner(c) => before,
                _ => order
                    .iter()
                    .copied()
                    .find(|face| self.faces[*face].has(c))
                    .or(before)
                    .unwrap_or(wanted[0]),
            };
            if cuts.last().is_none_or(|cut| cut.1 != face) {
                cuts.push((at, face));
            }
        }
        let ends: Vec<usize> = cuts
            .iter()
            .skip(1)
            .map(|cut| cut.0)
            .chain([text.len()])
            .collect();
        cuts.into_iter()
            .zip(ends)
            .map(|((start, face), end)| (face, &text[start..end]))
            .collect()
    }

    fn shape(
        &mut self,
        number: usize,
        text: &str,
        backward: bool,
        line: &mut Line,
    ) -> Result<(), PdfError> {
        let face = &mut self.faces[number];
        let shaper = ShaperFont::new(&face.font);
        let em = f64::from(face.font.units_per_em());
        let mut buffer = Buffer::new();
        buffer.push_str(text);
        buffer.guess_segment_properties();
        buffer.set_direction(if backward {
            Direction::RightToLeft
        } else {
            Direction::LeftToRight
        });
        shape(&shaper, &mut buffer, ShapeOptions::new()).map_err(|_| PdfError::Letters)?;

        let mut starts: Vec<usize> = buffer
            .glyph_infos()
            .iter()
            .map(|g| g.cluster as usize)
            .collect();
        starts.sort_unstable();
        starts.dedup();
        let mut told = BTreeSet::new();
        for (info, place) in buffer.glyph_infos().iter().zip(buffer.glyph_positions()) {
            let glyph = u16::try_from(info.glyph_id).map_err(|_| PdfError::Letters)?;
            let start = info.cluster as usize;
            let end = starts
                .iter()
                .find(|s| **s > start)
                .copied()
                .unwrap_or(text.len());
            let behind = text.get(start..end).unwrap_or_default();
            if glyph == 0 {
                self.missing.extend(behind.chars().next());
            }
            let cid = face.used.remap(glyph);
            let advance = f64::from(shaper.glyph_h_advance(GlyphId::from(glyph))) / em;
            face.widths.insert(cid, (advance * 1000.0) as f32);
            if told.insert(start) && glyph != 0 {
                let words = face.words.entry(cid).or_default();
                if words.is_empty() {
                    behind.clone_into(words);
                }
            }
            line.letters.push(Letter {
                face: number,
                cid,
                across: line.length + f64::from(place.x_offset) / em,
                up: f64::from(place.y_offset) / em,
                width: advance,
            });
            line.length += f64::from(place.x_advance) / em;
        }
        Ok(())
    }

    /// Writes what was used of each font; where each can be found.
    pub(super) fn embed(
        &self,
        chunk: &mut Chunk,
        next: &mut impl FnMut() -> Ref,
    ) -> Result<Vec<(String, Ref)>, PdfError> {
        let mut embedded = vec![];
        for (number, face) in self.faces.iter().enumerate() {
            if face.widths.is_empty() {
                continue;
            }
            let id = next();
            face.embed(number == BOLD, id, chunk, next)
                .map_err(|why| match number {
                    PLAIN | BOLD => why,
                    other => PdfError::Font { number: other - 2 },
                })?;
            embedded.push((Self::name(number), id));
        }
        Ok(embedded)
    }
}

impl Face<'_> {
    /// A composite font with letters numbered as in the subset (ISO 32000-1,
    /// 9.7.4 and 9.9).
    fn embed(
        &self,
        bold: bool,
        id: Ref,
        chunk: &mut Chunk,
        next: &mut impl FnMut() -> Ref,
    ) -> Result<(), PdfError> {
        let system = SystemInfo {
            registry: Str(b"Adobe"),
            ordering: Str(b"Identity"),
            supplement: 0,
        };
        let subset = subsetter::subset(self.bytes, 0, &self.used).map_err(|_| PdfError::Letters)?;
        // Outlines of the one or the other kind (OpenType, `glyf` or `CFF `).
        let compact = table(&subset, b"CFF ");
        let (cid_font, descriptor, map, file) = (next(), next(), next(), next());
        let base = match compact {
            Some(_) => format!("{}-Identity-H", self.name),
            None => self.name.clone(),
        };
        chunk
            .type0_font(id)
            .base_font(Name(base.as_bytes()))
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(cid_font)
            .to_unicode(map);

        let name = Name(self.name.as_bytes());
        let mut font = chunk.cid_font(cid_font);
        font.base_font(name)
            .system_info(system)
            .font_descriptor(descriptor)
            .default_width(0.0);
        if compact.is_some() {
            font.subtype(CidFontType::Type0);
        } else {
            font.subtype(CidFontType::Type2)
                .cid_to_gid_map_predefined(Name(b"Identity"));
        }
        let mut widths = font.widths();
        for (cid, width) in &self.widths {
            widths.consecutive(*cid, [*width]);
        }
        widths.finish();
        font.finish();

        let [left, low, right, high] = BOUNDS;
        let mut described = chunk.font_descriptor(descriptor);
        described
            .name(name)
            .flags(FontFlags::NON_SYMBOLIC)
            .bbox(Rect::new(left, low, right, high))
            .italic_angle(0.0)
            .ascent(ASCENT)
            .descent(DESCENT)
            .cap_height(CAPITALS)
            .stem_v(if bold { 150.0 } else { 90.0 });
        if compact.is_some() {
            described.font_file3(file);
        } else {
            described.font_file2(file);
        }
        described.finish();

        let mut words = UnicodeCmap::<u16>::new(Name(b"Custom"), system);
        for (cid, behind) in &self.words {
            words.pair_with_multiple(*cid, behind.chars());
        }
        let words = compress_to_vec_zlib(words.finish().as_slice(), PACKING);
        chunk
            .cmap(map, &words)
            .name(Name(b"Custom"))
            .system_info(system)
            .filter(Filter::FlateDecode);

        let outlines = compact.unwrap_or(&subset);
        let packed = compress_to_vec_zlib(outlines, PACKING);
        let mut stream = chunk.stream(file, &packed);
        stream.filter(Filter::FlateDecode);
        if compact.is_some() {
            stream.pair(Name(b"Subtype"), Name(b"CIDFontType0C"));
        } else {
            stream.pair(
                Name(b"Length1"),
                i32::try_from(outlines.len()).map_err(|_| PdfError::Letters)?,
            );
        }
        Ok(())
    }
}

/// Zero width joiner and non-joiner, variation selectors.
fn is_joiner(c: char) -> bool {
    matches!(c, '\u{200C}' | '\u{200D}' | '\u{FE00}'..='\u{FE0F}')
}

/// A table of a font file (OpenType, "Organization of an OpenType font").
fn table<'a>(font: &'a [u8], tag: &[u8; 4]) -> Option<&'a [u8]> {
    let number = |at: usize, bytes: usize| -> Option<usize> {
        let all = font.get(at..at + bytes)?;
        Some(all.iter().fold(0, |n, b| (n << 8) | usize::from(*b)))
    };
    let count = number(4, 2)?;
    let record = (0..count)
        .map(|i| 12 + 16 * i)
        .find(|at| font.get(*at..*at + 4) == Some(tag))?;
    let (offset, length) = (number(record + 8, 4)?, number(record + 12, 4)?);
    font.get(offset..offset.checked_add(length)?)
}
