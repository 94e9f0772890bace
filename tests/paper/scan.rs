//! Paper as a scanner sees it: drawn by a general renderer, or from a PDF.

use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail, ensure};
use ophryon_frames::{Page, Point};
use ophryon_stencil::{Sheet, write_svg};
use resvg::{tiny_skia, usvg};

pub const MM_PER_INCH: f64 = 25.4;
pub const DPI: f64 = 600.0;

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
    pub fn pixels(self) -> (u32, u32, u32, u32) {
        let px = |mm: f64| (mm / MM_PER_INCH * DPI).round() as u32;
        let (x, y) = (px(self.left), px(self.top));
        (x, y, px(self.right) - x, px(self.bottom) - y)
    }
}

/// A page as a scanner would see it.
pub trait Scan {
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
pub struct Drawn(pub usvg::Tree);

impl Drawn {
    pub fn of(sheet: &Sheet) -> Result<Self> {
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
pub struct Printed {
    folder: tempfile::TempDir,
}

impl Printed {
    pub fn of(html: &str) -> Result<Self> {
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

    pub fn pdf(&self) -> PathBuf {
        self.folder.path().join("page.pdf")
    }

    /// A PDF that is written already.
    pub fn file(bytes: &[u8]) -> Result<Self> {
        let folder = tempfile::tempdir()?;
        let printed = Self { folder };
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
