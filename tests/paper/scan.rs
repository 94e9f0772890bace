//! Paper as a scanner sees it: drawn by a general renderer, or from a PDF.

use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail, ensure};
use ophryon_frames::{Page, Point};
use ophryon_stencil::{Sheet, print_page, write_svg};
use resvg::{tiny_skia, usvg};

pub const MM_PER_INCH: f64 = 25.4;

/// Finenesses to measure at, pixels per inch: what office printers put on paper,
/// and what the best transfer and label printers do.
pub const DPI: [f64; 2] = [600.0, 1200.0];

/// A browser that hasn't printed one page by then never will.
const PATIENCE: Duration = Duration::from_secs(120);

/// An upright stretch of a page, mm.
#[derive(Debug, Clone, Copy)]
pub struct Area {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Area {
    pub fn around(a: Point<Page>, b: Point<Page>, margin_mm: f64) -> Self {
        Self {
            left: a.x.min(b.x) - margin_mm,
            top: a.y.min(b.y) - margin_mm,
            right: a.x.max(b.x) + margin_mm,
            bottom: a.y.max(b.y) + margin_mm,
        }
    }

    /// Upper left corner and size in whole px.
    pub fn pixels(self, dpi: f64) -> (u32, u32, u32, u32) {
        let px = |mm: f64| (mm / MM_PER_INCH * dpi).round() as u32;
        let (x, y) = (px(self.left), px(self.top));
        (x, y, px(self.right) - x, px(self.bottom) - y)
    }
}

/// A page as a scanner would see it.
pub trait Scan {
    /// How finely, pixels per inch.
    fn dpi(&self) -> f64;

    /// Grey levels of a stretch of the page. Never the whole page: at 1200 dpi
    /// A4 has 140 million pixels.
    fn area(&self, area: Area) -> Result<image::GrayImage>;

    /// What a length may be off, mm: 0.05, and what half a pixel hides.
    fn allowed_mm(&self) -> f64 {
        0.05 + MM_PER_INCH / self.dpi() / 2.0
    }

    /// Pixels as mm on the page.
    fn mm(&self, px: u32) -> f64 {
        f64::from(px) / self.dpi() * MM_PER_INCH
    }

    /// Where the ink within a stretch begins and ends, mm on the page. Fails
    /// when there is none, or when it runs on beyond the stretch.
    fn ink(&self, area: Area) -> Result<Area> {
        let (x, y, width, height) = area.pixels(self.dpi());
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
        Ok(Area {
            left: self.mm(x + low.0),
            top: self.mm(y + low.1),
            right: self.mm(x + high.0 + 1),
            bottom: self.mm(y + high.1 + 1),
        })
    }

    /// Every change between ink and white along a level line, mm on the page.
    fn changes(&self, from: Point<Page>, length_mm: f64) -> Result<Vec<f64>> {
        let area = Area::around(from, Point::new(from.x + length_mm, from.y), 0.5);
        let (x, _, _, height) = area.pixels(self.dpi());
        let seen = self.area(area)?;
        let dark = |column: u32| seen.get_pixel(column, height / 2).0[0] < 128;
        Ok((1..seen.width())
            .filter(|&column| dark(column) != dark(column - 1))
            .map(|column| self.mm(x + column))
            .collect())
    }
}

/// Drawn by resvg. Its user unit is the px, 96 to an inch.
pub struct Drawn {
    tree: usvg::Tree,
    dpi: f64,
}

impl Drawn {
    pub fn of(sheet: &Sheet, dpi: f64) -> Result<Self> {
        Self::svg(&write_svg(sheet), dpi)
    }

    pub fn svg(svg: &str, dpi: f64) -> Result<Self> {
        let tree = usvg::Tree::from_str(svg, &usvg::Options::default())?;
        Ok(Self { tree, dpi })
    }
}

impl Scan for Drawn {
    fn dpi(&self) -> f64 {
        self.dpi
    }

    fn area(&self, area: Area) -> Result<image::GrayImage> {
        let (x, y, width, height) = area.pixels(self.dpi);
        let mut seen = tiny_skia::Pixmap::new(width, height).context("an empty area")?;
        seen.fill(tiny_skia::Color::WHITE);
        let scale = self.dpi as f32 / 96.0;
        let shift = tiny_skia::Transform::from_translate(-(x as f32), -(y as f32));
        resvg::render(
            &self.tree,
            shift.pre_scale(scale, scale),
            &mut seen.as_mut(),
        );
        // Black ink on white: red tells it all.
        Ok(image::GrayImage::from_fn(width, height, |column, row| {
            image::Luma([seen.pixel(column, row).map_or(255, |p| p.red())])
        }))
    }
}

/// Printed to PDF by a browser, or written as one; drawn from it by poppler.
pub struct Printed {
    folder: tempfile::TempDir,
    dpi: f64,
}

impl Printed {
    /// One sheet printed by a browser.
    pub fn of(sheet: &Sheet) -> Result<Self> {
        Self::page(&print_page(sheet))
    }

    /// The same paper, scanned more finely or less so.
    pub fn at(self, dpi: f64) -> Self {
        Self { dpi, ..self }
    }

    /// A page printed by a browser.
    pub fn page(html: &str) -> Result<Self> {
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
        let printed = Self {
            folder,
            dpi: DPI[0],
        };
        ensure!(printed.pdf().is_file(), "the browser printed no page");
        Ok(printed)
    }

    pub fn pdf(&self) -> PathBuf {
        self.folder.path().join("page.pdf")
    }

    /// A PDF that is written already.
    pub fn file(bytes: &[u8]) -> Result<Self> {
        let folder = tempfile::tempdir()?;
        let printed = Self {
            folder,
            dpi: DPI[0],
        };
        std::fs::write(printed.pdf(), bytes)?;
        Ok(printed)
    }

    /// What a program of poppler-utils says about the PDF.
    pub fn asked(&self, program: &str, arguments: &[&str]) -> Result<String> {
        let mut command = Command::new(poppler(program)?);
        let told = command.args(arguments).arg(self.pdf()).arg("-").output()?;
        ensure!(
            told.status.success(),
            "{program} can't read the printed page"
        );
        Ok(String::from_utf8(told.stdout)?)
    }

    /// Number of pages, and width and height of the first in mm.
    pub fn pages(&self) -> Result<(u32, f64, f64)> {
        let sizes = self.sizes()?;
        let (width, height) = sizes.first().context("no pages")?;
        Ok((u32::try_from(sizes.len())?, *width, *height))
    }

    /// Width and height of each page, mm.
    pub fn sizes(&self) -> Result<Vec<(f64, f64)>> {
        let mut command = Command::new(poppler("pdfinfo")?);
        command.args(["-l", "-1"]);
        let told = String::from_utf8(command.arg(self.pdf()).output()?.stdout)?;
        let mm = |points: &str| points.parse().map(|p: f64| p / 72.0 * MM_PER_INCH);
        // "Page    1 size:  595.276 x 841.89 pts (A4)"
        let pages = told.lines().filter_map(|line| {
            let rest = line.strip_prefix("Page ")?.trim_start();
            rest.split_once(" size:").map(|(_, size)| size)
        });
        pages
            .map(
                |size| match size.split_whitespace().collect::<Vec<_>>()[..] {
                    [width, "x", height, ..] => Ok((mm(width)?, mm(height)?)),
                    _ => bail!("pdfinfo gives a size as {size}"),
                },
            )
            .collect()
    }
}

impl Scan for Printed {
    fn dpi(&self) -> f64 {
        self.dpi
    }

    fn area(&self, area: Area) -> Result<image::GrayImage> {
        let (x, y, width, height) = area.pixels(self.dpi);
        let out = self.folder.path().join("area");
        let done = Command::new(poppler("pdftoppm")?)
            .args(["-r", &self.dpi.to_string()])
            .args(["-f", "1", "-l", "1", "-singlefile", "-gray", "-png"])
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

pub fn poppler(program: &str) -> Result<PathBuf> {
    which::which(program).with_context(|| {
        format!("measuring printed pages needs `{program}`: install poppler-utils")
    })
}

/// Root may not use Chromium's sandbox.
fn is_root() -> bool {
    let told = Command::new("id").arg("-u").output();
    told.is_ok_and(|told| told.stdout.trim_ascii() == b"0")
}
