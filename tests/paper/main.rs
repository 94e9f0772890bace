//! Paper, measured: the sheet drawn at 600 dpi by a general renderer, and
//! printed to PDF by a browser and drawn from that, then read like a scan.
//!
//! What a ruler must find is taken from the points the brow was placed
//! through, not from the code that lays out the sheet.
//!
//! | fact | value | source |
//! |---|---|---|
//! | A4 | 210 x 297 mm | ISO 216 |
//! | Letter | 8.5 x 11 in | ANSI/ASME Y14.1 |
//! | px in SVG and CSS | 96 per inch | W3C CSS Values 4, absolute lengths |
//! | point of a PDF | 1/72 in | ISO 32000-1, 8.3.2.3 |

mod correction;
mod dxf;
mod pdf;
mod scan;

use anyhow::{Context, Result, bail, ensure};
use ophryon_brow::{BrowPoints, Limits, Pair, SideMeasures};
use ophryon_frames::{Page, Point, Side, Sided, Skin, Wrap};
use ophryon_stencil::{
    Agreement, Caption, Facing, ListBasis, Mark, Paper, Sheet, SheetContent, SheetOptions,
    WrapSource, distances, lay_out, lay_out_distances, print_page, print_pages, write_svg,
};
use resvg::usvg;

use scan::{Area, DPI, Drawn, MM_PER_INCH, Printed, Scan};

/// What the print may be off, mm: 0.05, and what half a pixel hides.
const ALLOWED_MM: f64 = 0.05 + MM_PER_INCH / DPI / 2.0;

/// An invented pair; the client's left lies 1.2 mm higher and 0.7 mm farther out.
fn pair() -> Pair {
    let mut pair = Pair::even(BrowPoints {
        front_top: Point::new(14.0, 25.0),
        front_bottom: Point::new(14.0, 17.5),
        peak: Point::new(43.0, 31.0),
        lower_arch: Point::new(44.5, 24.5),
        tail: Point::new(61.0, 18.0),
    });
    pair.offset.left.height_mm = 1.2;
    pair.offset.left.lateral_mm = 0.7;
    pair
}

/// A tape on each side.
fn basis() -> ListBasis {
    let wrap = |depth| Sided::from_fn(|_| Wrap::Profile { depth });
    ListBasis {
        scale_relative_sd: 0.005,
        wrap: wrap(0.095),
        longer: wrap(0.101),
        is_by_tape: true,
        is_shared: false,
    }
}

fn content(paper: Paper, facing: Facing) -> Result<SheetContent> {
    let pair = pair();
    let brows = pair.draw(&Limits::default())?;
    Ok(SheetContent {
        outlines: Sided::from_fn(|side| brows.get(side).placed(side, pair.offset.get(side))),
        caption: Caption {
            code: "K. M.".to_owned(),
            name: None,
            version: "3".to_owned(),
            fingerprint: "3f9a51c07be2d448".to_owned(),
            agreed: Agreement::NotAgreed,
            wrap: Wrap::cylinder(75.0)?,
            wrap_source: WrapSource::Estimated,
            wrap_basis: None,
            length_uncertainty_mm: None,
            made: Some("12 March 2025".to_owned()),
            remark: Some("Invented client".to_owned()),
        },
        options: SheetOptions {
            paper,
            facing,
            ..SheetOptions::default()
        },
    })
}

/// Half the width of a mark's line: ink reaches so far beyond what is meant.
fn half_line(sheet: &Sheet, id: &str) -> Result<f64> {
    match sheet.mark(id) {
        Some(Mark::Outline { stroke, .. } | Mark::Lines { stroke, .. }) => {
            Ok(stroke.width_mm / 2.0)
        }
        _ => bail!("{id} is not drawn as a line"),
    }
}

fn near(what: &str, read_mm: f64, meant_mm: f64) -> Result<()> {
    ensure!(
        (read_mm - meant_mm).abs() <= ALLOWED_MM,
        "{what}: {read_mm:.3} mm on paper, {meant_mm:.3} mm meant"
    );
    Ok(())
}

/// The gauge is 100 mm from end to end, and each of its fields 10 mm.
fn check_gauges(scan: &impl Scan, sheet: &Sheet) -> Result<()> {
    let corners = |id: &str| match sheet.mark(id) {
        Some(Mark::Bars { bars }) => bars.first().map(|bar| bar[0]).context("no bar"),
        _ => bail!("{id} is no bar"),
    };
    let across = corners("gauge")?;
    // A row through the filled half of the bar, away from the numbers above.
    let row = Point::new(across.x - 3.0, across.y + 1.5);
    let changes = scan.changes(row, 106.0)?;
    let (first, last) = (
        *changes.first().context("no gauge")?,
        *changes.last().context("no gauge")?,
    );
    near("gauge", last - first, 100.0)?;
    for field in 0..=10 {
        let meant = first + f64::from(field) * 10.0;
        let nearest = changes
            .iter()
            .map(|x| (x - meant).abs())
            .fold(f64::MAX, f64::min);
        ensure!(nearest <= ALLOWED_MM, "no mark {field}0 mm along the gauge");
    }
    let down = corners("gauge-upright")?;
    let bar = Area::around(down, Point::new(down.x + 3.0, down.y + 100.0), 0.6);
    let ink = scan.ink(bar)?;
    near("upright gauge", ink.bottom - ink.top, 100.0)
}

/// The brows lie as far from midline and level line, and are as large, as the
/// points they were placed through say.
fn check_brows(scan: &impl Scan, sheet: &Sheet, content: &SheetContent) -> Result<()> {
    let placing = sheet.placing().context("a list")?;
    let page = |s: f64, h: f64| placing.to_page(Point::<Skin>::new(s, h));
    // Between two marks and their numbers, long enough for a dash.
    let midline = band(scan, page(0.0, 11.2), page(0.0, 18.8))?;
    let level = band(scan, page(11.2, 0.0), page(18.8, 0.0))?;
    let midline_x = (midline.left + midline.right) / 2.0;
    let level_y = (level.top + level.bottom) / 2.0;

    for (side, outline) in content.outlines.iter() {
        let id = format!("brow-{}", side.name());
        let half = half_line(sheet, &id)?;
        let (low, high) = outline.bounds();
        let around = Area::around(placing.to_page(low), placing.to_page(high), 1.5);
        let ink = scan.ink(around)?;
        near(
            &format!("{id}, width"),
            ink.right - ink.left - 2.0 * half,
            high.x - low.x,
        )?;
        near(
            &format!("{id}, height"),
            ink.bottom - ink.top - 2.0 * half,
            high.y - low.y,
        )?;

        // As a ruler finds it: from the midline to start and tip, and from the
        // level line up to the peak.
        let points = pair().points_on(side);
        let on_the_left = (side == Side::Right) == (content.options.facing == Facing::FaceUp);
        let (start, tip) = if on_the_left {
            (midline_x - ink.right, midline_x - ink.left)
        } else {
            (ink.left - midline_x, ink.right - midline_x)
        };
        near(
            &format!("{id}, start to midline"),
            start + half,
            points.front_top.x,
        )?;
        near(&format!("{id}, tip to midline"), tip - half, points.tail.x)?;
        let peak = level_y - ink.top - half;
        near(&format!("{id}, height of the peak"), peak, points.peak.y)?;
    }
    Ok(())
}

/// Ink of a line that runs on in both directions: only across it does it end.
fn band(scan: &impl Scan, from: Point<Page>, to: Point<Page>) -> Result<Area> {
    let area = Area::around(from, to, 0.6);
    let (x, y, width, height) = area.pixels();
    let seen = scan.area(area)?;
    let along_x = width > height;
    let inked: Vec<u32> = seen
        .enumerate_pixels()
        .filter(|(_, _, grey)| grey.0[0] < 128)
        .map(|(column, row, _)| if along_x { y + row } else { x + column })
        .collect();
    let low = *inked.iter().min().context("no line where one should be")?;
    let high = *inked.iter().max().context("no line where one should be")? + 1;
    let mm = |px: u32| f64::from(px) / DPI * MM_PER_INCH;
    Ok(Area {
        left: mm(low),
        right: mm(high),
        top: mm(low),
        bottom: mm(high),
    })
}

#[test]
fn the_drawing_is_of_true_size_at_600_dpi() -> Result<()> {
    for paper in Paper::LARGE {
        for facing in [Facing::FaceUp, Facing::FaceDown] {
            let content = content(paper, facing)?;
            let sheet = lay_out(&content)?;
            let drawn = Drawn::of(&sheet)?;
            let told = || format!("{} {facing:?}", paper.name());
            check_gauges(&drawn, &sheet).with_context(told)?;
            check_brows(&drawn, &sheet, &content).with_context(told)?;
        }
    }
    Ok(())
}

#[test]
fn a_browser_prints_it_at_true_size() -> Result<()> {
    let inch = MM_PER_INCH;
    for (paper, facing, width_mm, height_mm) in [
        (Paper::A4, Facing::FaceUp, 210.0, 297.0),
        (Paper::Letter, Facing::FaceDown, 8.5 * inch, 11.0 * inch),
    ] {
        let content = content(paper, facing)?;
        let sheet = lay_out(&content)?;
        let printed = Printed::of(&print_page(&sheet))?;
        let (pages, width, height) = printed.pages()?;
        ensure!(pages == 1, "{pages} pages for one sheet");
        // Chromium rounds a page to whole px: up to half of 1/96 in.
        ensure!((width - width_mm).abs() < 0.14 && (height - height_mm).abs() < 0.14);
        let told = || format!("{} {facing:?}", paper.name());
        check_gauges(&printed, &sheet).with_context(told)?;
        check_brows(&printed, &sheet, &content).with_context(told)?;
    }
    Ok(())
}

#[test]
fn sheet_and_list_print_one_to_a_page_with_readable_words() -> Result<()> {
    let content = content(Paper::A4, Facing::FaceDown)?;
    let sheet = lay_out(&content)?;
    let pair = pair();
    let brows = pair.draw(&Limits::default())?;
    let sides = Sided::from_fn(|s| SideMeasures::of(brows.get(s), pair.offset.get(s)));
    let list = lay_out_distances(&distances(&sides, &basis()), &content.caption, Paper::A4);
    let printed = Printed::of(&print_pages(&[&sheet, &list]))?;
    ensure!(printed.pages()?.0 == 2);
    // A mirrored caption would not come out as these words.
    let first = printed.asked("pdftotext", &["-l", "1", "-layout"])?;
    for words in [
        "FACE DOWN",
        "NOT AGREED",
        "WRAP ESTIMATED",
        "3f9a51c07be2d448",
    ] {
        ensure!(first.contains(words), "{words} is missing from:\n{first}");
    }
    let second = printed.asked("pdftotext", &["-f", "2", "-layout"])?;
    // The tips were placed at 61 mm, and on the client's left 0.7 mm farther out.
    let tail = second
        .lines()
        .find(|line| line.trim_start().starts_with("tail"));
    let tail = tail.context("no row for the tail")?;
    ensure!(tail.contains("61.0") && tail.contains("61.7"), "{tail}");
    Ok(())
}

/// The measuring itself can tell: a print two tenths of a percent too small,
/// as a printer does that fits a page to slightly narrower paper, is refused.
#[test]
fn a_print_slightly_too_small_is_noticed() -> Result<()> {
    let sheet = lay_out(&content(Paper::A4, Facing::FaceUp)?)?;
    let svg = write_svg(&sheet).replacen("0 0 210 297", "0 0 210.42 297.6", 1);
    let drawn = Drawn(usvg::Tree::from_str(&svg, &usvg::Options::default())?);
    let said = check_gauges(&drawn, &sheet)
        .err()
        .context("taken for true")?;
    ensure!(said.to_string().contains("100.000 mm meant"), "{said}");
    Ok(())
}
