//! Letters that travel with the sheet: shaped, and embedded as far as used.
//!
//! The fonts lie beside this crate, so every reader and printer shows the same
//! letters. They hold Latin, Greek, Cyrillic, Armenian, Georgian, Hebrew and
//! Arabic, and more; what they don't hold is reported, never dropped in silence.

use std::collections::{BTreeMap, BTreeSet};

use harfrust::{Buffer, Direction, Font, GlyphId, ShapeOptions, ShaperFont, shape};
use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Chunk, Filter, Finish, Name, Rect, Ref, Str};
use subsetter::GlyphRemapper;
use unicode_bidi::{BidiInfo, Level};

use super::{PACKING, PdfError};
use crate::Weight;

/// How a font is known inside the PDF.
const NAMES: [(&str, &[u8]); 2] = [
    ("OPHRYA+DejaVuSans", b"F0"),
    ("OPHRYB+DejaVuSans-Bold", b"F1"),
];

/// From tables `head`, `hhea` and `OS/2` of both fonts: the larger of each, as
/// a reader only uses them to make room.
const BOUNDS: [f32; 4] = [-1069.0, -463.0, 1975.0, 1232.0];
const ASCENT: f32 = 928.0;
const DESCENT: f32 = -236.0;
const CAPITALS: f32 = 729.0;

/// One font and what has been used of it.
struct Face {
    font: Font,
    bytes: &'static [u8],
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

/// Both fonts.
pub(super) struct Letters {
    faces: [Face; 2],
    missing: BTreeSet<char>,
}

impl Face {
    fn new(bytes: &'static [u8]) -> Result<Self, PdfError> {
        Ok(Self {
            font: Font::new(bytes, 0).ok_or(PdfError::Letters)?,
            bytes,
            used: GlyphRemapper::new(),
            words: BTreeMap::new(),
            widths: BTreeMap::new(),
        })
    }

    fn has(&self, c: char) -> bool {
        ShaperFont::new(&self.font)
            .nominal_glyph(u32::from(c))
            .is_some()
    }
}

impl Letters {
    pub(super) fn new() -> Result<Self, PdfError> {
        Ok(Self {
            faces: [
                Face::new(include_bytes!("../../fonts/DejaVuSans.ttf"))?,
                Face::new(include_bytes!("../../fonts/DejaVuSans-Bold.ttf"))?,
            ],
            missing: BTreeSet::new(),
        })
    }

    /// Letters asked for that no font holds.
    pub(super) fn missing(&self) -> Vec<char> {
        self.missing.iter().copied().collect()
    }

    /// Name of a font as the pages use it.
    pub(super) fn name(face: usize) -> Name<'static> {
        Name(NAMES[face.min(1)].1)
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

    /// Cut where the font must change: bold lacks a few scripts that plain has.
    fn pieces<'a>(&self, text: &'a str, weight: Weight) -> Vec<(usize, &'a str)> {
        let (wanted, other) = match weight {
            Weight::Plain => (0, 1),
            Weight::Bold => (1, 0),
        };
        let mut cuts: Vec<(usize, usize)> = vec![];
        for (at, c) in text.char_indices() {
            let face = if self.faces[wanted].has(c) {
                wanted
            } else if self.faces[other].has(c) {
                other
            } else {
                // Marks without a shape of their own stay with their letter.
                cuts.last().map_or(wanted, |cut| cut.1)
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
    ) -> Result<Vec<(Name<'static>, Ref)>, PdfError> {
        let mut embedded = vec![];
        for (number, face) in self.faces.iter().enumerate() {
            if face.widths.is_empty() {
                continue;
            }
            let id = next();
            face.embed(NAMES[number].0, number == 1, id, chunk, next)?;
            embedded.push((Self::name(number), id));
        }
        Ok(embedded)
    }
}

impl Face {
    /// A composite font with letters numbered as in the subset (ISO 32000-1,
    /// 9.7.4 and 9.9).
    fn embed(
        &self,
        name: &str,
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
        let (cid_font, descriptor, map, file) = (next(), next(), next(), next());
        chunk
            .type0_font(id)
            .base_font(Name(name.as_bytes()))
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(cid_font)
            .to_unicode(map);

        let mut font = chunk.cid_font(cid_font);
        font.subtype(CidFontType::Type2)
            .base_font(Name(name.as_bytes()))
            .system_info(system)
            .font_descriptor(descriptor)
            .default_width(0.0)
            .cid_to_gid_map_predefined(Name(b"Identity"));
        let mut widths = font.widths();
        for (cid, width) in &self.widths {
            widths.consecutive(*cid, [*width]);
        }
        widths.finish();
        font.finish();

        let [left, low, right, high] = BOUNDS;
        chunk
            .font_descriptor(descriptor)
            .name(Name(name.as_bytes()))
            .flags(FontFlags::NON_SYMBOLIC)
            .bbox(Rect::new(left, low, right, high))
            .italic_angle(0.0)
            .ascent(ASCENT)
            .descent(DESCENT)
            .cap_height(CAPITALS)
            .stem_v(if bold { 150.0 } else { 90.0 })
            .font_file2(file);

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

        let subset = subsetter::subset(self.bytes, 0, &self.used).map_err(|_| PdfError::Letters)?;
        let packed = compress_to_vec_zlib(&subset, PACKING);
        let mut stream = chunk.stream(file, &packed);
        stream.filter(Filter::FlateDecode);
        stream.pair(
            Name(b"Length1"),
            i32::try_from(subset.len()).map_err(|_| PdfError::Letters)?,
        );
        Ok(())
    }
}
