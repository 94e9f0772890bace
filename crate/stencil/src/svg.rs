//! A sheet as SVG of exact size.
//!
//! One user unit is 1 mm: `width` and `height` in mm equal the `viewBox`
//! (SVG 2, section 8.2: the view box is scaled to the size given). Numbers
//! have four decimals, so the same sheet is the same bytes everywhere; a tenth
//! of a micrometre is far below anything that can be printed or cut. Nothing
//! outside the file is asked for, fonts included.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use ophryon_frames::{Page, Point};
use svg::node::Text;
use svg::node::element::Element;
use svg::node::{Node, Value};

use crate::sheet::ENGLISH;
use crate::{Align, Mark, Sheet, Stroke, Weight};

/// Ink, and the paler ink of what is read second; dark enough for any printer.
const INK: &str = "#000";
const QUIET_INK: &str = "#555";

/// The sheet as an SVG document of its own.
pub fn write_svg(sheet: &Sheet) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}\n",
        root(sheet)
    )
}

/// The root element, to stand alone or inside a page.
pub(crate) fn root(sheet: &Sheet) -> Element {
    let (width, height) = (sheet.width_mm(), sheet.height_mm());
    let mut root = element(
        "svg",
        [
            ("xmlns", "http://www.w3.org/2000/svg".to_owned()),
            ("id", sheet.id().to_owned()),
            ("width", format!("{width}mm")),
            ("height", format!("{height}mm")),
            ("viewBox", format!("0 0 {width} {height}")),
            ("font-family", "Helvetica, Arial, sans-serif".to_owned()),
            // Black ink on white paper, also where a viewer's own ground is dark.
            ("style", "background:#fff".to_owned()),
        ],
    );
    if sheet.language() != ENGLISH {
        root.assign("lang", sheet.language());
    }
    let mut title = Element::new("title");
    title.append(Text::new(sheet.title()));
    root.append(title);
    for group in sheet.groups() {
        let mut g = element("g", [("id", group.id.to_owned())]);
        for item in &group.items {
            let mut drawn = spell(&item.mark);
            if let Some(id) = &item.id {
                drawn.assign("id", id.as_str());
            }
            g.append(drawn);
        }
        root.append(g);
    }
    root
}

fn spell(mark: &Mark) -> Element {
    match mark {
        Mark::Outline {
            start,
            cubics,
            stroke,
        } => {
            let mut d = format!("M{}", place(*start));
            for [b, c, end] in cubics {
                d += &format!(" C{} {} {}", place(*b), place(*c), place(*end));
            }
            d += " Z";
            lined(path(d), *stroke)
        }
        Mark::Polyline {
            places,
            closed,
            stroke,
        } => {
            let mut d = String::new();
            for (index, p) in places.iter().enumerate() {
                d += match index {
                    0 => "M",
                    1 => " L",
                    _ => " ",
                };
                d += &place(*p);
            }
            if *closed {
                d += " Z";
            }
            lined(path(d), *stroke)
        }
        Mark::Lines { lines, stroke } => {
            let d: Vec<_> = lines
                .iter()
                .map(|[from, to]| format!("M{} L{}", place(*from), place(*to)))
                .collect();
            lined(path(d.join(" ")), *stroke)
        }
        Mark::Bars { bars } => {
            let d: Vec<_> = bars
                .iter()
                .map(|[near, far]| {
                    let (x, y) = (number(far.x), number(far.y));
                    format!("M{} H{x} V{y} H{} Z", place(*near), number(near.x))
                })
                .collect();
            let mut bars = path(d.join(" "));
            bars.assign("fill", INK);
            bars
        }
        Mark::Frame {
            corners: [near, far],
            stroke,
        } => lined(
            element(
                "rect",
                [
                    ("x", number(near.x)),
                    ("y", number(near.y)),
                    ("width", number(far.x - near.x)),
                    ("height", number(far.y - near.y)),
                ],
            ),
            *stroke,
        ),
        Mark::Picture {
            corners: [near, far],
            picture,
        } => element(
            "image",
            [
                ("x", number(near.x)),
                ("y", number(near.y)),
                ("width", number(far.x - near.x)),
                ("height", number(far.y - near.y)),
                ("preserveAspectRatio", "none".to_owned()),
                (
                    "href",
                    format!(
                        "data:image/jpeg;base64,{}",
                        STANDARD.encode(picture.bytes())
                    ),
                ),
            ],
        ),
        Mark::Words {
            at,
            align,
            size_mm,
            weight,
            quiet,
            words,
        } => {
            let mut text = element(
                "text",
                [
                    ("x", number(at.x)),
                    ("y", number(at.y)),
                    ("font-size", format!("{size_mm}")),
                    ("fill", if *quiet { QUIET_INK } else { INK }.to_owned()),
                ],
            );
            match align {
                Align::Start => {}
                Align::Middle => text.assign("text-anchor", "middle"),
                Align::End => text.assign("text-anchor", "end"),
            }
            if *weight == Weight::Bold {
                text.assign("font-weight", "bold");
            }
            text.append(Text::new(words.as_str()));
            text
        }
    }
}

fn element<const N: usize>(name: &str, attributes: [(&str, String); N]) -> Element {
    let mut element = Element::new(name);
    for (name, value) in attributes {
        element.assign(name, Value::from(value));
    }
    element
}

fn path(d: String) -> Element {
    element("path", [("d", d)])
}

/// Round joins: a pointed tail's mitre would stand out beyond the outline.
fn lined(mut element: Element, stroke: Stroke) -> Element {
    element.assign("fill", "none");
    element.assign("stroke", INK);
    element.assign("stroke-width", format!("{}", stroke.width_mm));
    element.assign("stroke-linejoin", "round");
    if !stroke.dashes.is_empty() {
        let dashes: Vec<_> = stroke.dashes.iter().map(ToString::to_string).collect();
        element.assign("stroke-dasharray", dashes.join(" "));
    }
    element
}

fn place(p: Point<Page>) -> String {
    format!("{},{}", number(p.x), number(p.y))
}

/// Four decimals, and no "-0.0000".
pub(crate) fn number(mm: f64) -> String {
    let text = format!("{mm:.4}");
    if text == "-0.0000" {
        "0.0000".to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Caption, Facing, Paper, distances, example, lay_out};
    use proptest::prelude::*;
    use roxmltree::{Document, Node as XmlNode};

    fn by_id<'a>(document: &'a Document, id: &str) -> XmlNode<'a, 'a> {
        let found = document
            .descendants()
            .find(|n| n.attribute("id") == Some(id));
        found.unwrap_or_else(|| panic!("no {id}"))
    }

    fn written(paper: Paper) -> String {
        let content = example::on(paper);
        write_svg(&lay_out(&content).unwrap())
    }

    /// SVG 2, section 8.2, and CSS Values 4, section 6.2 (1in = 25.4mm = 96px):
    /// a box of W user units shown W mm wide makes the unit 1 mm. A4 is 210 x
    /// 297 mm (ISO 216), Letter 8.5 x 11 in (ANSI/ASME Y14.1).
    #[test]
    fn one_user_unit_is_one_millimetre() {
        let inch = 25.4;
        for (paper, width, height) in [
            (Paper::A4, 210.0, 297.0),
            (Paper::Letter, 8.5 * inch, 11.0 * inch),
        ] {
            let svg = written(paper);
            let document = Document::parse(&svg).unwrap();
            let root = document.root_element();
            assert_eq!(root.attribute("id"), Some("sheet"));
            let mm = |name| {
                let text = root.attribute(name).unwrap();
                text.strip_suffix("mm").unwrap().parse::<f64>().unwrap()
            };
            assert!((mm("width") - width).abs() < 1e-9 && (mm("height") - height).abs() < 1e-9);
            let view_box: Vec<f64> = root
                .attribute("viewBox")
                .unwrap()
                .split(' ')
                .map(|n| n.parse().unwrap())
                .collect();
            assert_eq!(view_box, [0.0, 0.0, mm("width"), mm("height")]);
            // A second reader, which works at 96 px per inch.
            let tree = usvg::Tree::from_str(&svg, &usvg::Options::default()).unwrap();
            let seen = |px: f32| f64::from(px) / 96.0 * inch;
            assert!((seen(tree.size().width()) - width).abs() < 0.001);
            assert!((seen(tree.size().height()) - height).abs() < 0.001);
        }
    }

    /// 100 mm are 377.953 px at 96 px per inch.
    #[test]
    fn a_second_reader_sees_gauges_of_100_mm_and_brows_of_their_own_size() {
        let content = example::content();
        let svg = write_svg(&lay_out(&content).unwrap());
        let tree = usvg::Tree::from_str(&svg, &usvg::Options::default()).unwrap();
        let size_mm = |id: &str| {
            let seen = tree.node_by_id(id).unwrap().abs_bounding_box();
            [seen.width(), seen.height()].map(|px| f64::from(px) / 96.0 * 25.4)
        };
        assert!((size_mm("gauge")[0] - 100.0).abs() < 0.001);
        assert!((size_mm("gauge-upright")[1] - 100.0).abs() < 0.001);
        for (side, outline) in content.outlines.iter() {
            let (low, high) = outline.bounds();
            let [width, height] = size_mm(&format!("brow-{}", side.name()));
            assert!((width - (high.x - low.x)).abs() < 0.001);
            assert!((height - (high.y - low.y)).abs() < 0.001);
        }
    }

    #[test]
    fn each_brow_is_one_closed_path_of_cubics() {
        let svg = written(Paper::A4);
        let document = Document::parse(&svg).unwrap();
        for id in ["brow-right", "brow-left"] {
            let path = by_id(&document, id);
            assert_eq!(path.tag_name().name(), "path");
            let d = path.attribute("d").unwrap();
            let commands: String = d.chars().filter(|c| c.is_alphabetic()).collect();
            let cubics = commands.len() - 2;
            assert_eq!(commands, format!("M{}Z", "C".repeat(cubics)));
            assert!(cubics >= 4);
            // It ends where it began: Z adds no line.
            let places: Vec<_> = d.trim_end_matches(" Z").split(' ').collect();
            assert_eq!(places[0].trim_start_matches('M'), places[places.len() - 1]);
        }
    }

    #[test]
    fn the_stable_ids_are_there_once() {
        let svg = written(Paper::Letter);
        let document = Document::parse(&svg).unwrap();
        let named: Vec<_> = document
            .descendants()
            .filter_map(|n| n.attribute("id"))
            .collect();
        for id in [
            "sheet",
            "brow-right",
            "brow-left",
            "midline",
            "level",
            "gauge",
            "caption",
        ] {
            assert_eq!(named.iter().filter(|n| **n == id).count(), 1, "{id}");
        }
        let caption: String = by_id(&document, "caption")
            .descendants()
            .filter_map(|n| n.text())
            .collect();
        assert!(caption.contains("NOT AGREED") && caption.contains("3f9a51c07be2d448"));
    }

    #[test]
    fn numbers_have_four_decimals_and_zero_has_no_sign() {
        assert_eq!(number(1.0 / 3.0), "0.3333");
        assert_eq!(number(-0.00001), "0.0000");
        assert_eq!(number(-2.5), "-2.5000");
    }

    #[test]
    fn nothing_is_fetched_from_elsewhere() {
        let list = crate::lay_out_distances(
            &distances(&example::measures(), &example::basis()),
            &example::caption(),
            Paper::A4,
        );
        for svg in [written(Paper::A4), write_svg(&list)] {
            let addresses = svg.matches("://").count();
            assert_eq!(addresses, 1, "only the name space itself");
            assert!(!svg.contains("href") && !svg.contains("url(") && !svg.contains("@import"));
        }
    }

    proptest! {
        /// Whatever the words: XML that a strict reader takes, and the same
        /// bytes again.
        #[test]
        fn any_words_give_valid_xml(code in any::<String>(), remark in ".{0,60}") {
            let mut content = example::content();
            content.options.facing = Facing::FaceDown;
            content.caption = Caption { code, remark: Some(remark), ..example::caption() };
            let sheet = lay_out(&content).unwrap();
            let svg = write_svg(&sheet);
            let document = Document::parse(&svg);
            prop_assert!(document.is_ok(), "{:?}", document.err());
            prop_assert_eq!(svg, write_svg(&sheet));
        }
    }

    #[test]
    fn marks_of_xml_in_a_code_are_shown_as_they_are() {
        let mut content = example::content();
        content.caption.code = "<b>&\"'\u{0}\u{7}x".to_owned();
        let svg = write_svg(&lay_out(&content).unwrap());
        let document = Document::parse(&svg).unwrap();
        let shown = document.descendants().any(|n| n.text() == Some("<b>&\"'x"));
        assert!(shown);
    }
}
