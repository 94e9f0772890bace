//! A stencil for cutting machines and drawing programs: DXF R12 (`AC1009`),
//! polylines in mm.
//!
//! R12 is what every cutter reads, and it has no splines: curves are cut into
//! chords that stay within 0.005 mm of them. It has no field for the unit
//! either, so one drawing unit is 1 mm and a remark says so.
//!
//! Written here and not by a library: the kept one for Rust stamps each
//! drawing with the clock and random marks, and the same sheet must be the same
//! bytes.

use kurbo::{PathEl, flatten};
use ophryon_frames::{Page, Point};

use crate::svg::number;
use crate::{Mark, Placing, Sheet};

/// How far a chord may lie from its curve, mm: below what any cutter repeats.
pub const CHORD_MM: f64 = 0.005;

/// Why there can be no DXF.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum DxfError {
    /// A list, or a sheet stretched for a printer.
    #[error("only a stencil of true size can be cut; write the DXF from the uncorrected stencil")]
    NoStencil,
}

/// A polyline on a layer.
struct Polyline {
    layer: String,
    closed: bool,
    places: Vec<(f64, f64)>,
}

/// Writes brows, midline, level line and gauges of a stencil as DXF. Layers are
/// named as the stable ids are: `BROW_RIGHT`, `BROW_LEFT`, `MIDLINE`, `LEVEL`,
/// `GAUGE`, `GAUGE_UPRIGHT`. Origin where midline and pupil line meet, y up, x
/// to the right of the page; turned as the sheet is (face up or face down).
///
/// # Errors
/// [`DxfError`], when the sheet is no stencil of true size.
pub fn write_dxf(sheet: &Sheet) -> Result<String, DxfError> {
    let placing = sheet.placing().ok_or(DxfError::NoStencil)?;
    let items = sheet.groups().iter().flat_map(|group| &group.items);
    let polylines: Vec<_> = items
        .filter_map(|item| Some((item.id.as_deref()?, &item.mark)))
        .flat_map(|(id, mark)| polylines(&layer(id), mark, &placing))
        .collect();
    let mut layers: Vec<&str> = vec![];
    for polyline in &polylines {
        if !layers.contains(&polyline.layer.as_str()) {
            layers.push(&polyline.layer);
        }
    }

    let mut file = Groups::default();
    file.put(999, &ascii(sheet.title()));
    file.put(999, "1 drawing unit is 1 mm");
    if sheet.words().any(|words| words == "NOT AGREED") {
        file.put(999, "NOT AGREED");
    }
    header(&mut file, &polylines);
    tables(&mut file, &layers);
    file.put(0, "SECTION");
    file.put(2, "ENTITIES");
    for polyline in &polylines {
        polyline.write(&mut file);
    }
    file.put(0, "ENDSEC");
    file.put(0, "EOF");
    Ok(file.text)
}

/// Copies share their layers.
fn layer(id: &str) -> String {
    let base = id.trim_end_matches(|c: char| c.is_ascii_digit());
    let base = base.strip_suffix('-').filter(|_| base != id).unwrap_or(id);
    base.replace('-', "_").to_ascii_uppercase()
}

fn polylines(layer: &str, mark: &Mark, placing: &Placing) -> Vec<Polyline> {
    let place = |p: Point<Page>| (p.x - placing.origin.x, placing.origin.y - p.y);
    let polyline = |closed: bool, places: Vec<(f64, f64)>| Polyline {
        layer: layer.to_owned(),
        closed,
        places,
    };
    match mark {
        Mark::Outline { start, cubics, .. } => {
            let point = |p: Point<Page>| kurbo::Point::from(place(p));
            let curve = std::iter::once(PathEl::MoveTo(point(*start))).chain(
                cubics
                    .iter()
                    .map(|[b, c, d]| PathEl::CurveTo(point(*b), point(*c), point(*d))),
            );
            let mut places: Vec<(f64, f64)> = vec![];
            flatten(curve, CHORD_MM, |element| {
                if let PathEl::MoveTo(p) | PathEl::LineTo(p) = element {
                    places.push((p.x, p.y));
                }
            });
            // Closed by the flag: the last place must not lie on the first.
            let written = |p: &(f64, f64)| (number(p.0), number(p.1));
            places.dedup_by_key(|p| written(p));
            if places.len() > 1 && places.first().map(written) == places.last().map(written) {
                places.pop();
            }
            vec![polyline(true, places)]
        }
        Mark::Polyline { places, closed, .. } => {
            let places = places.iter().map(|p| place(*p)).collect();
            vec![polyline(*closed, places)]
        }
        Mark::Lines { lines, .. } => lines
            .iter()
            .map(|ends| polyline(false, ends.iter().map(|p| place(*p)).collect()))
            .collect(),
        // Bars together are one gauge: what counts is its outer edge.
        Mark::Bars { bars } => {
            let corners = bars.iter().flatten().map(|p| place(*p));
            let Some((low, high)) = bounds(corners) else {
                return vec![];
            };
            let edge = vec![low, (high.0, low.1), high, (low.0, high.1)];
            vec![polyline(true, edge)]
        }
        Mark::Frame { .. } | Mark::Picture { .. } | Mark::Words { .. } => vec![],
    }
}

fn bounds(places: impl Iterator<Item = (f64, f64)>) -> Option<((f64, f64), (f64, f64))> {
    places.fold(None, |found, (x, y)| {
        let ((left, low), (right, high)) = found.unwrap_or(((x, y), (x, y)));
        Some(((left.min(x), low.min(y)), (right.max(x), high.max(y))))
    })
}

fn header(file: &mut Groups, polylines: &[Polyline]) {
    let all = polylines.iter().flat_map(|p| p.places.iter().copied());
    let (low, high) = bounds(all).unwrap_or_default();
    file.put(0, "SECTION");
    file.put(2, "HEADER");
    file.put(9, "$ACADVER");
    file.put(1, "AC1009");
    for (name, place) in [("$EXTMIN", low), ("$EXTMAX", high)] {
        file.put(9, name);
        file.place(place);
    }
    // Lengths in decimals, four of them.
    file.put(9, "$LUNITS");
    file.put(70, "2");
    file.put(9, "$LUPREC");
    file.put(70, "4");
    file.put(0, "ENDSEC");
}

fn tables(file: &mut Groups, layers: &[&str]) {
    file.put(0, "SECTION");
    file.put(2, "TABLES");
    file.put(0, "TABLE");
    file.put(2, "LTYPE");
    file.put(70, "1");
    file.put(0, "LTYPE");
    file.put(2, "CONTINUOUS");
    file.put(70, "0");
    file.put(3, "Solid line");
    file.put(72, "65");
    file.put(73, "0");
    file.put(40, "0.0");
    file.put(0, "ENDTAB");
    file.put(0, "TABLE");
    file.put(2, "LAYER");
    file.put(70, &layers.len().to_string());
    for layer in layers {
        file.put(0, "LAYER");
        file.put(2, layer);
        file.put(70, "0");
        // Colour 7 is black on white, 8 grey: brows stand out.
        file.put(62, if layer.starts_with("BROW") { "7" } else { "8" });
        file.put(6, "CONTINUOUS");
    }
    file.put(0, "ENDTAB");
    file.put(0, "ENDSEC");
}

impl Polyline {
    fn write(&self, file: &mut Groups) {
        file.put(0, "POLYLINE");
        file.put(8, &self.layer);
        file.put(66, "1");
        file.place((0.0, 0.0));
        file.put(70, if self.closed { "1" } else { "0" });
        for place in &self.places {
            file.put(0, "VERTEX");
            file.put(8, &self.layer);
            file.place(*place);
        }
        file.put(0, "SEQEND");
        file.put(8, &self.layer);
    }
}

/// Group codes and values, a line each.
#[derive(Default)]
struct Groups {
    text: String,
}

impl Groups {
    fn put(&mut self, code: u16, value: &str) {
        self.text += &format!("{code:>3}\r\n{value}\r\n");
    }

    fn place(&mut self, (x, y): (f64, f64)) {
        for (code, mm) in [(10, x), (20, y), (30, 0.0)] {
            self.put(code, &number(mm));
        }
    }
}

/// R12 is ASCII; other letters are written by number.
fn ascii(words: &str) -> String {
    words
        .chars()
        .map(|c| match c {
            ' '..='~' => c.to_string(),
            other => format!("\\U+{:04X}", u32::from(other)),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Caption, Paper, SheetContent, distances, example, lay_out, lay_out_distances};

    #[test]
    fn a_list_is_no_stencil() {
        let list = lay_out_distances(
            &distances(&example::measures(), &example::basis()),
            &example::caption(),
            Paper::A4,
        );
        assert_eq!(write_dxf(&list), Err(DxfError::NoStencil));
    }

    #[test]
    fn the_paper_makes_no_difference_to_what_is_cut() {
        let on = |paper| {
            let content = example::on(paper);
            write_dxf(&lay_out(&content).unwrap()).unwrap()
        };
        let brows = |text: &str| -> Vec<String> {
            let cut = text
                .split("POLYLINE")
                .filter(|p| p.contains("BROW_") && p.contains("VERTEX"));
            cut.map(|p| p.split("SEQEND").next().unwrap().to_owned())
                .collect()
        };
        let (a4, letter) = (on(Paper::A4), on(Paper::Letter));
        assert_eq!(brows(&a4).len(), 2);
        assert_eq!(brows(&a4), brows(&letter));
    }

    #[test]
    fn chords_stay_by_their_curve() {
        use kurbo::ParamCurveNearest as _;
        let content = example::content();
        let sheet = lay_out(&content).unwrap();
        let placing = sheet.placing().unwrap();
        for (id, outline) in [
            ("brow-right", &content.outlines.right),
            ("brow-left", &content.outlines.left),
        ] {
            let cut = polylines("", sheet.mark(id).unwrap(), &placing);
            let places = &cut[0].places;
            let ends = places.iter().zip(places.iter().cycle().skip(1));
            for (a, b) in ends {
                let middle = kurbo::Point::new((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
                let off = outline.segments().iter().map(|s| {
                    let [a, b, c, d] = s.controls.map(|p| kurbo::Point::new(p.x, p.y));
                    let nearest = kurbo::CubicBez::new(a, b, c, d).nearest(middle, 1e-9);
                    nearest.distance_sq.sqrt()
                });
                let off = off.fold(f64::MAX, f64::min);
                assert!(off <= CHORD_MM * 1.01, "{off} mm beside the curve");
            }
        }
    }

    #[test]
    fn any_code_leaves_a_file_of_pairs_in_ascii() {
        let content = SheetContent {
            caption: Caption {
                code: "Žofie\n0\nEOF".to_owned(),
                ..example::caption()
            },
            ..example::content()
        };
        let text = write_dxf(&lay_out(&content).unwrap()).unwrap();
        assert!(text.is_ascii() && text.contains("\\U+017Dofie 0 EOF"));
        let lines: Vec<_> = text.lines().collect();
        assert_eq!(lines.len() % 2, 0);
        for pair in lines.chunks(2) {
            assert!(pair[0].trim().parse::<u16>().is_ok(), "{pair:?}");
        }
        assert_eq!(lines.last(), Some(&"EOF"));
    }
}
