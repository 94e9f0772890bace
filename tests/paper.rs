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

use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail, ensure};
use ophryon_brow::{BrowPoints, Limits, Pair, SideMeasures};
use ophryon_frames::{Page, Point, Side, Sided, Skin, Wrap};
use ophryon_stencil::{
    Agreement, Caption, Facing, Mark, Paper, Sheet, SheetContent, WrapSource, distances, lay_out,
    lay_out_distances, print_page, print_pages, write_svg,
};
use resvg::{tiny_skia, usvg};

const MM_PER_INCH: f64 = 25.4;
const DPI: f64 = 600.0;

/// What the print may be off, mm.
const ALLOWED_MM: f64 = 0.1;

/// A browser that hasn't printed one page by then never will.
const PATIENCE: Duration = Duration::from_secs(120);

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

fn content(paper: Paper, facing: Facing) -> Result<SheetContent> {
    let pair = pair();
    let brows = pair.draw(&Limits::default())?;
    Ok(SheetContent {
        outlines: Sided::from_fn(|side| brows.get(side).placed(side, pair.offset.get(side))),
        caption: Caption {
            code: "K. M.".to_owned(),
            version: "3".to_owned(),
            fingerprint: "3f9a51c07be2d448".to_owned(),
            agreed: Agreement::NotAgreed,
            wrap: Wrap::cylinder(75.0)?,
            wrap_source: WrapSource::Estimated,
            made: Some("12 March 2025".to_owned()),
            remark: Some("Invented client".to_owned()),
        },
        paper,
        facing,
    })
}

/// An upright stretch of a page, mm.
#[derive(Debug, Clone, Copy)]
struct Area {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
}

impl Area {
    fn around(a: Point<Page>, b: Point<Page>, margin_mm: f64) -> Self {
        Self {
            left: a.x.min(b.x) - margin_mm,
            top: a.y.min(b.y) - margin_mm,
            right: a.x.max(b.x) + margin_mm,
            bottom: a.y.max(b.y) + margin_mm,
        }
    }

    /// Upper left corner and size in whole px.
    fn pixels(self) -> (u32, u32, u32, u32) {
        let px = |mm: f64| (mm / MM_PER_INCH * DPI).round() as u32;
        let (x, y) = (px(self.left), px(self.top));
        (x, y, px(self.right) - x, px(self.bottom) - y)
    }
}

/// A page as a scanner would see it.
trait Scan {
    /// Grey levels of a stretch of the page at 600 dpi.
    fn area(&self, area: Area) -> Result<image::GrayImage>;

    /// Where the ink within a stretch begins and ends, mm on the page. Fails
    /// when there is none, or when it runs on beyond the stretch.
    fn ink(&self, area: Area) -> Result<Area> {
        let (x, y, width, height) = area.pixels();
        let seen = self.area(area)?;
        let (mut low, mut high) = ((u32::MAX, u32::MAX), (0, 0));
        for (column, row, grey) in seen.enumerate_pixels() {
            if grey.0[0] < 128 {
                low = (low.0.min(column), low.1.min(row));
                high = (high.0.max(column), high.1.max(row));
            }
        }
        ensure!(low.0 <= high.0, "no ink in {area:?}");
        let inside = low.0 > 0 && low.1 > 0 && high.0 + 1 < width && high.1 + 1 < height;
        ensure!(inside, "ink runs on beyond {area:?}");
        let mm = |px: u32| f64::from(px) / DPI * MM_PER_INCH;
        Ok(Area {
            left: mm(x + low.0),
            top: mm(y + low.1),
            right: mm(x + high.0 + 1),
            bottom: mm(y + high.1 + 1),
        })
    }

    /// Every change between ink and white along a level line, mm on the page.
    fn changes(&self, from: Point<Page>, length_mm: f64) -> Result<Vec<f64>> {
        let area = Area::around(from, Point::new(from.x + length_mm, from.y), 0.5);
        let (x, _, _, height) = area.pixels();
        let seen = self.area(area)?;
        let dark = |column: u32| seen.get_pixel(column, height / 2).0[0] < 128;
        Ok((1..seen.width())
            .filter(|&column| dark(column) != dark(column - 1))
            .map(|column| f64::from(x + column) / DPI * MM_PER_INCH)
            .collect())
    }
}

/// Drawn by resvg. Its user unit is the px, 96 to an inch.
struct Drawn(usvg::Tree);

impl Drawn {
    fn of(sheet: &Sheet) -> Result<Self> {
        let options = usvg::Options::default();
        Ok(Self(usvg::Tree::from_str(&write_svg(sheet), &options)?))
    }
}

impl Scan for Drawn {
    fn area(&self, area: Area) -> Result<image::GrayImage> {
        let (x, y, width, height) = area.pixels();
        let mut seen = tiny_skia::Pixmap::new(width, height).context("an empty area")?;
        seen.fill(tiny_skia::Color::WHITE);
        let scale = DPI as f32 / 96.0;
        let shift = tiny_skia::Transform::from_translate(-(x as f32), -(y as f32));
        resvg::render(&self.0, shift.pre_scale(scale, scale), &mut seen.as_mut());
        // Black ink on white: red tells it all.
        Ok(image::GrayImage::from_fn(width, height, |column, row| {
            image::Luma([seen.pixel(column, row).map_or(255, |p| p.red())])
        }))
    }
}

/// Printed to PDF by a browser, drawn from it by poppler.
struct Printed {
    folder: tempfile::TempDir,
}

impl Printed {
    fn of(html: &str) -> Result<Self> {
        let folder = tempfile::tempdir()?;
        let page = folder.path().join("page.html");
        std::fs::write(&page, html)?;
        let mut browser = Command::new(chromium()?);
        browser
            .args([
                "--headless=new",
                "--disable-gpu",
                "--disable-background-networking",
                "--disable-component-update",
                "--disable-sync",
                "--disable-dev-shm-usage",
                "--no-first-run",
                "--no-pdf-header-footer",
            ])
            .args(is_root().then_some("--no-sandbox"))
            .arg(format!(
                "--user-data-dir={}",
                folder.path().join("profile").display()
            ))
            .arg(format!(
                "--print-to-pdf={}",
                folder.path().join("page.pdf").display()
            ))
            .arg(format!("file://{}", page.display()))
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        let mut running = browser.spawn().context("the browser doesn't start")?;
        let begun = Instant::now();
        while running.try_wait()?.is_none() {
            if begun.elapsed() > PATIENCE {
                running.kill()?;
                running.wait()?;
                bail!("the browser printed nothing within {PATIENCE:?}");
            }
            thread::sleep(Duration::from_millis(50));
        }
        let printed = Self { folder };
        ensure!(printed.pdf().is_file(), "the browser printed no page");
        Ok(printed)
    }

    fn pdf(&self) -> PathBuf {
        self.folder.path().join("page.pdf")
    }

    /// What a program of poppler-utils says about the PDF.
    fn asked(&self, program: &str, arguments: &[&str]) -> Result<String> {
        let mut command = Command::new(poppler(program)?);
        let told = command.args(arguments).arg(self.pdf()).arg("-").output()?;
        ensure!(
            told.status.success(),
            "{program} can't read the printed page"
        );
        Ok(String::from_utf8(told.stdout)?)
    }

    /// Number of pages, and width and height of the first in mm.
    fn pages(&self) -> Result<(u32, f64, f64)> {
        let mut command = Command::new(poppler("pdfinfo")?);
        let told = String::from_utf8(command.arg(self.pdf()).output()?.stdout)?;
        let line = |name: &str| {
            let found = told.lines().find_map(|l| l.strip_prefix(name));
            found.with_context(|| format!("pdfinfo says nothing of {name}"))
        };
        let size: Vec<&str> = line("Page size:")?.split_whitespace().collect();
        let [width, "x", height, ..] = size[..] else {
            bail!("pdfinfo gives the size as {size:?}");
        };
        let mm = |points: &str| points.parse().map(|p: f64| p / 72.0 * MM_PER_INCH);
        Ok((line("Pages:")?.trim().parse()?, mm(width)?, mm(height)?))
    }
}

impl Scan for Printed {
    fn area(&self, area: Area) -> Result<image::GrayImage> {
        let (x, y, width, height) = area.pixels();
        let out = self.folder.path().join("area");
        let done = Command::new(poppler("pdftoppm")?)
            .args([
                "-r",
                "600",
                "-f",
                "1",
                "-l",
                "1",
                "-singlefile",
                "-gray",
                "-png",
            ])
            .args(["-x", &x.to_string(), "-y", &y.to_string()])
            .args(["-W", &width.to_string(), "-H", &height.to_string()])
            .arg(self.pdf())
            .arg(&out)
            .status()?;
        ensure!(done.success(), "pdftoppm can't draw the printed page");
        Ok(image::open(out.with_extension("png"))?.into_luma8())
    }
}

/// `CHROMIUM`, or what PATH has. Never skipped: unmeasured paper is not done.
fn chromium() -> Result<PathBuf> {
    if let Some(path) = std::env::var_os("CHROMIUM").filter(|path| !path.is_empty()) {
        return Ok(path.into());
    }
    [
        "chromium",
        "chromium-browser",
        "google-chrome",
        "google-chrome-stable",
    ]
    .iter()
    .find_map(|name| which::which(name).ok())
    .context(
        "measuring a page printed by a browser needs Chromium: install chromium, or set \
             CHROMIUM to where it is",
    )
}

fn poppler(program: &str) -> Result<PathBuf> {
    which::which(program).with_context(|| {
        format!("measuring printed pages needs `{program}`: install poppler-utils")
    })
}

/// Root may not use Chromium's sandbox.
fn is_root() -> bool {
    let told = Command::new("id").arg("-u").output();
    told.is_ok_and(|told| told.stdout.trim_ascii() == b"0")
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
        let on_the_left = (side == Side::Right) == (content.facing == Facing::FaceUp);
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
    for paper in Paper::ALL {
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
    let list = lay_out_distances(&distances(&sides), &content.caption, Paper::A4);
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
