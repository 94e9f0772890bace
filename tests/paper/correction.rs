//! A printer that prints 97.3 % across and 98.9 % down, simulated: measured on
//! the check page as an artist does, and then taken out of the sheet.

use anyhow::{Context, Result, bail, ensure};
use ophryon_frames::Point;
use ophryon_stencil::{
    Correction, Facing, Mark, Paper, Sheet, lay_out, lay_out_printer_check, write_pdf, write_svg,
};
use resvg::{tiny_skia, usvg};

use crate::scan::{Area, DPI, MM_PER_INCH, Printed, Scan};
use crate::{check_brows, check_gauges, content};

/// What this printer makes of 1 mm.
const ACROSS: f64 = 0.973;
const DOWN: f64 = 0.989;

/// A page as it comes out of that printer: drawn by resvg, scaled about the
/// middle of the sheet.
struct FromPrinter {
    tree: usvg::Tree,
    paper: Paper,
}

impl FromPrinter {
    fn of(sheet: &Sheet) -> Result<Self> {
        Ok(Self {
            tree: usvg::Tree::from_str(&write_svg(sheet), &usvg::Options::default())?,
            paper: sheet.paper(),
        })
    }
}

impl Scan for FromPrinter {
    fn area(&self, area: Area) -> Result<image::GrayImage> {
        let (x, y, width, height) = area.pixels();
        let mut seen = tiny_skia::Pixmap::new(width, height).context("an empty area")?;
        seen.fill(tiny_skia::Color::WHITE);
        let px = |mm: f64| mm / MM_PER_INCH * DPI;
        // page px = middle + (drawn px - middle) * share
        let left = px(self.paper.width_mm() / 2.0) * (1.0 - ACROSS) - f64::from(x);
        let top = px(self.paper.height_mm() / 2.0) * (1.0 - DOWN) - f64::from(y);
        let scale = DPI / 96.0;
        let placed = tiny_skia::Transform::from_row(
            (scale * ACROSS) as f32,
            0.0,
            0.0,
            (scale * DOWN) as f32,
            left as f32,
            top as f32,
        );
        resvg::render(&self.tree, placed, &mut seen.as_mut());
        Ok(image::GrayImage::from_fn(width, height, |column, row| {
            image::Luma([seen.pixel(column, row).map_or(255, |p| p.red())])
        }))
    }
}

/// Corners of a gauge as laid out.
fn gauge(sheet: &Sheet, id: &str) -> Result<Area> {
    let Some(Mark::Bars { bars }) = sheet.mark(id) else {
        bail!("{id} is no bar");
    };
    let all = bars.iter().flatten();
    let (mut low, mut high) = ((f64::MAX, f64::MAX), (f64::MIN, f64::MIN));
    for p in all {
        low = (low.0.min(p.x), low.1.min(p.y));
        high = (high.0.max(p.x), high.1.max(p.y));
    }
    Ok(Area::around(
        Point::new(low.0, low.1),
        Point::new(high.0, high.1),
        0.0,
    ))
}

/// A gauge's length as a ruler reads it: to a tenth of a mm.
fn ruler(scan: &impl Scan, sheet: &Sheet, id: &str) -> Result<f64> {
    let drawn = gauge(sheet, id)?;
    // The print lies a little farther in; the bar's middle line crosses no number.
    let ink = if id == "gauge" {
        let row = Point::new(drawn.left - 1.0, (drawn.top + drawn.bottom) / 2.0);
        let changes = scan.changes(row, 102.0)?;
        let ends = changes.first().zip(changes.last()).context("no gauge")?;
        ends.1 - ends.0
    } else {
        let ink = scan.ink(Area {
            left: drawn.left - 0.5,
            right: drawn.right + 4.0,
            top: drawn.top - 3.0,
            bottom: drawn.bottom + 3.0,
        })?;
        ink.bottom - ink.top
    };
    Ok((ink * 10.0).round() / 10.0)
}

#[test]
fn what_the_printer_gets_wrong_is_taken_out() -> Result<()> {
    for paper in Paper::LARGE {
        let page = lay_out_printer_check(paper);
        let printed = FromPrinter::of(&page)?;
        let horizontal = ruler(&printed, &page, "gauge")?;
        let vertical = ruler(&printed, &page, "gauge-upright")?;
        ensure!(
            (horizontal, vertical) == (97.3, 98.9),
            "the ruler reads {horizontal} and {vertical} mm"
        );
        let correction = Correction::from_gauges(horizontal, vertical)?;
        ensure!(correction.question().is_none());
        for facing in [Facing::FaceUp, Facing::FaceDown] {
            let content = content(paper, facing)?;
            let sheet = lay_out(&content)?;
            let told = || format!("{} {facing:?}", paper.name());
            // As it was meant, from gauges to brows, within 0.07 mm.
            let corrected = FromPrinter::of(&sheet.corrected(correction, "studio")?)?;
            check_gauges(&corrected, &sheet).with_context(told)?;
            check_brows(&corrected, &sheet, &content).with_context(told)?;
            // And without the correction it is not.
            let plain = FromPrinter::of(&sheet)?;
            ensure!(check_gauges(&plain, &sheet).is_err(), "{}", told());
            ensure!(check_brows(&plain, &sheet, &content).is_err(), "{}", told());
        }
    }
    Ok(())
}

/// The PDF is stretched alike: 100 mm become 100 / 0.973 = 102.775 across and
/// 100 / 0.989 = 101.112 down, on a page that is still the paper.
#[test]
fn the_pdf_is_stretched_by_the_factors_and_its_page_is_not() -> Result<()> {
    let sheet = lay_out(&content(Paper::A4, Facing::FaceUp)?)?;
    let corrected = sheet.corrected(Correction::from_gauges(97.3, 98.9)?, "studio")?;
    let printed = Printed::file(&write_pdf(&[&corrected])?.bytes)?;
    let (_, width, height) = printed.pages()?;
    ensure!((width - 210.0).abs() < 0.01 && (height - 297.0).abs() < 0.01);
    let allowed = 0.05 + MM_PER_INCH / DPI / 2.0;
    let across = gauge(&corrected, "gauge")?;
    let row = Point::new(across.left - 1.5, (across.top + across.bottom) / 2.0);
    let changes = printed.changes(row, 106.0)?;
    let ends = changes.first().zip(changes.last()).context("no gauge")?;
    ensure!((ends.1 - ends.0 - 102.775).abs() < allowed, "{ends:?}");
    let down = gauge(&corrected, "gauge-upright")?;
    let ink = printed.ink(Area {
        left: down.left - 0.5,
        top: down.top - 0.5,
        right: down.right + 0.5,
        bottom: down.bottom + 0.5,
    })?;
    ensure!((ink.bottom - ink.top - 101.112).abs() < allowed, "{ink:?}");
    let said = printed.asked("pdftotext", &["-layout"])?;
    ensure!(
        said.contains("CORRECTED for “studio” (102.8 % across, 101.1 % down)"),
        "{said}"
    );
    Ok(())
}
