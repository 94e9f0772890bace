//! A printer that prints 97.3 % along the short side of the paper and 98.9 %
//! along the long one, simulated: measured on the check page as an artist does,
//! and then taken out of the sheet.

use anyhow::{Context, Result, bail, ensure};
use ophryon_frames::Point;
use ophryon_stencil::{
    Correction, Facing, Mark, Paper, Sheet, lay_out, lay_out_printer_check, write_pdf, write_svg,
};
use resvg::{tiny_skia, usvg};

use crate::choices::{self, Choice};
use crate::content;
use crate::measure::{check, check_brows, check_gauges};
use crate::scan::{Area, DPI, MM_PER_INCH, Printed, Scan};

/// What this printer makes of 1 mm along the paper's short side.
const SHORT: f64 = 0.973;
/// The same along the long side.
const LONG: f64 = 0.989;

/// What may be left once it is corrected, mm.
const ALLOWED_MM: f64 = 0.1;

/// A page as it comes out of that printer: drawn by resvg, scaled about the
/// middle of the sheet.
struct FromPrinter {
    tree: usvg::Tree,
    size_mm: [f64; 2],
    /// Across the page and down it.
    share: [f64; 2],
    dpi: f64,
}

impl FromPrinter {
    fn of(sheet: &Sheet, dpi: f64) -> Result<Self> {
        // The page is turned in the printer, not its paper.
        let share = if sheet.is_turned() {
            [LONG, SHORT]
        } else {
            [SHORT, LONG]
        };
        Ok(Self {
            tree: usvg::Tree::from_str(&write_svg(sheet), &usvg::Options::default())?,
            size_mm: [sheet.width_mm(), sheet.height_mm()],
            share,
            dpi,
        })
    }
}

impl Scan for FromPrinter {
    fn dpi(&self) -> f64 {
        self.dpi
    }

    fn allowed_mm(&self) -> f64 {
        ALLOWED_MM
    }

    fn area(&self, area: Area) -> Result<image::GrayImage> {
        let (x, y, width, height) = area.pixels(self.dpi);
        let mut seen = tiny_skia::Pixmap::new(width, height).context("an empty area")?;
        seen.fill(tiny_skia::Color::WHITE);
        // page px = middle + (drawn px - middle) * share
        let moved = |axis: usize, from: u32| {
            let middle = self.size_mm[axis] / 2.0 / MM_PER_INCH * self.dpi;
            (middle * (1.0 - self.share[axis]) - f64::from(from)) as f32
        };
        let scale = self.dpi / 96.0;
        let placed = tiny_skia::Transform::from_row(
            (scale * self.share[0]) as f32,
            0.0,
            0.0,
            (scale * self.share[1]) as f32,
            moved(0, x),
            moved(1, y),
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
        let changes = scan.changes(row, drawn.right - drawn.left + 2.0)?;
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

/// What an artist finds with the check page on that paper.
fn measured(paper: Paper) -> Result<Correction> {
    let page = lay_out_printer_check(paper);
    let printed = FromPrinter::of(&page, DPI[0])?;
    let horizontal = ruler(&printed, &page, "gauge")?;
    let vertical = ruler(&printed, &page, "gauge-upright")?;
    let gauges = page.gauges().context("no gauges")?;
    if !paper.is_small() {
        ensure!(
            (horizontal, vertical) == (97.3, 98.9),
            "the ruler reads {horizontal} and {vertical} mm"
        );
    }
    let found = Correction::from_readings(gauges, horizontal, vertical)?;
    ensure!(found.question().is_none());
    Ok(found)
}

/// As it was meant with the correction, within a tenth of a mm; and not without.
fn take_out(choices: &[Choice]) -> Result<()> {
    for choice in choices {
        let correction = measured(choice.content.options.paper)?;
        let sheet = &choice.sheet;
        for dpi in DPI {
            let told = || format!("{} at {dpi} dpi", choice.name());
            let corrected = sheet.corrected(correction, "studio").with_context(told)?;
            let printed = FromPrinter::of(&corrected, dpi)?;
            check(&printed, sheet, &choice.content).with_context(told)?;
            let plain = FromPrinter::of(sheet, dpi)?;
            ensure!(check_gauges(&plain, sheet).is_err(), "{}", told());
            ensure!(
                check_brows(&plain, sheet, &choice.content).is_err(),
                "{}",
                told()
            );
        }
    }
    Ok(())
}

#[test]
fn what_the_printer_gets_wrong_is_taken_out() -> Result<()> {
    take_out(&choices::sample()?)
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn what_the_printer_gets_wrong_is_taken_out_of_every_sheet() -> Result<()> {
    take_out(&choices::all()?)
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
    let allowed = printed.allowed_mm();
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
