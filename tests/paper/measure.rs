//! What a ruler finds on paper, held against what was meant: the points that
//! the brow was placed through, and the lengths that the gauges say they have.

use anyhow::{Context, Result, bail, ensure};
use ophryon_brow::Outline;
use ophryon_frames::{Page, Point, Side, Skin};
use ophryon_stencil::{CUT_MARGIN_MM, Facing, Mark, Placing, Sheet, SheetContent};

use crate::pair;
use crate::scan::{Area, Scan};

/// All of a sheet: gauges, and the first and the last copy of its brows.
pub fn check(scan: &impl Scan, sheet: &Sheet, content: &SheetContent) -> Result<()> {
    check_gauges(scan, sheet)?;
    check_brows(scan, sheet, content)
}

fn near(scan: &impl Scan, what: &str, read_mm: f64, meant_mm: f64) -> Result<()> {
    ensure!(
        (read_mm - meant_mm).abs() <= scan.allowed_mm(),
        "{what}: {read_mm:.3} mm on paper, {meant_mm:.3} mm meant"
    );
    Ok(())
}

/// Both gauges are as long as they say from end to end, and each of the lying
/// one's fields is 10 mm.
pub fn check_gauges(scan: &impl Scan, sheet: &Sheet) -> Result<()> {
    let corner = |id: &str| match sheet.mark(id) {
        Some(Mark::Bars { bars }) => bars.first().map(|bar| bar[0]).context("no bar"),
        _ => bail!("{id} is no bar"),
    };
    let gauges = sheet.gauges().context("a sheet without gauges")?;
    let across = corner("gauge")?;
    // A row through the bar's filled half, away from the numbers above.
    let row = Point::new(across.x - 1.0, across.y + 1.5);
    let changes = scan.changes(row, gauges.across_mm + 2.0)?;
    let (first, last) = (
        *changes.first().context("no gauge")?,
        *changes.last().context("no gauge")?,
    );
    near(scan, "gauge", last - first, gauges.across_mm)?;
    let mut meant = first;
    while meant <= first + gauges.across_mm {
        let nearest = changes
            .iter()
            .map(|x| (x - meant).abs())
            .fold(f64::MAX, f64::min);
        ensure!(
            nearest <= scan.allowed_mm(),
            "no mark {:.0} mm along the gauge",
            meant - first
        );
        meant += 10.0;
    }
    let down = corner("gauge-upright")?;
    let end = Point::new(down.x + 3.0, down.y + gauges.down_mm);
    let ink = scan.ink(Area::around(down, end, 0.6))?;
    near(scan, "upright gauge", ink.bottom - ink.top, gauges.down_mm)
}

/// The brows lie as far from midline and level line, and are as large, as the
/// points they were placed through say.
pub fn check_brows(scan: &impl Scan, sheet: &Sheet, content: &SheetContent) -> Result<()> {
    let placings = sheet.placings();
    let last = placings.len();
    ensure!(last > 0, "a list");
    for (copy, placing) in (1..).zip(placings) {
        if copy == 1 || copy == last {
            let one = Copy { copy, placing };
            one.check(scan, sheet, content)
                .with_context(|| format!("copy {copy}"))?;
        }
    }
    Ok(())
}

/// One copy on a sheet.
struct Copy<'a> {
    copy: usize,
    placing: &'a Placing,
}

impl Copy<'_> {
    fn id(&self, name: &str, side: Side) -> String {
        match self.copy {
            1 => format!("{name}-{}", side.name()),
            copy => format!("{name}-{}-{copy}", side.name()),
        }
    }

    fn check(&self, scan: &impl Scan, sheet: &Sheet, content: &SheetContent) -> Result<()> {
        let page = |s: f64, h: f64| self.placing.to_page(Point::<Skin>::new(s, h));
        let sides = content.options.sides;
        let way = sides.drawn().next().context("no side")?.sign();
        // Between two marks and their numbers, long enough for a dash.
        let midline = band(scan, page(0.0, 11.2), page(0.0, 18.8))?;
        let level = band(scan, page(way * 11.2, 0.0), page(way * 18.8, 0.0))?;
        let midline_x = (midline.left + midline.right) / 2.0;
        let level_y = (level.top + level.bottom) / 2.0;
        for side in sides.drawn() {
            let id = self.id("brow", side);
            let half = half_line(sheet, &id)?;
            let outline = content.outlines.get(side);
            let (low, high) = outline.bounds();
            let ink = extremes(scan, outline, self.placing)?;
            let (width, height) = (ink.right - ink.left, ink.bottom - ink.top);
            let told = |what: &str| format!("{id}, {what}");
            near(scan, &told("width"), width - 2.0 * half, high.x - low.x)?;
            near(scan, &told("height"), height - 2.0 * half, high.y - low.y)?;

            // As a ruler finds it: from the midline to start and tip, and from
            // the level line up to the peak.
            let points = pair().points_on(side);
            let is_face_up = content.options.facing == Facing::FaceUp;
            let (start, tip) = if (side == Side::Right) == is_face_up {
                (midline_x - ink.right, midline_x - ink.left)
            } else {
                (ink.left - midline_x, ink.right - midline_x)
            };
            let (start_mm, tip_mm) = (points.front_top.x, points.tail.x);
            near(scan, &told("start to midline"), start + half, start_mm)?;
            near(scan, &told("tip to midline"), tip - half, tip_mm)?;
            let peak = level_y - ink.top - half;
            near(scan, &told("height of the peak"), peak, points.peak.y)?;
        }
        Ok(())
    }
}

/// Where the ink of an outline reaches farthest on the page, each way: looked
/// for about the places that lie farthest, nearer to them than the cut line is.
fn extremes(scan: &impl Scan, outline: &Outline<Skin>, placing: &Placing) -> Result<Area> {
    let places: Vec<_> = outline
        .sampled(200)
        .into_iter()
        .map(|p| placing.to_page(p))
        .collect();
    let reach = |toward: fn(Point<Page>) -> f64| -> Result<f64> {
        let farthest = places
            .iter()
            .copied()
            .max_by(|a, b| toward(*a).total_cmp(&toward(*b)));
        let at = farthest.context("an empty outline")?;
        let area = Area::around(at, at, 1.5);
        let (x, y, width, height) = area.pixels(scan.dpi());
        let seen = scan.area(area)?;
        let mut found = f64::MIN;
        for (column, row, grey) in seen.enumerate_pixels() {
            // Both edges of a pixel, so that its outer one counts.
            for (dx, dy) in [(0, 0), (1, 1)] {
                let place = Point::new(scan.mm(x + column + dx), scan.mm(y + row + dy));
                if grey.0[0] < 128 {
                    found = found.max(toward(place));
                }
            }
        }
        let corners = [
            Point::new(scan.mm(x), scan.mm(y)),
            Point::new(scan.mm(x + width), scan.mm(y + height)),
        ];
        let end = corners.map(toward).into_iter().fold(f64::MIN, f64::max);
        ensure!(found > f64::MIN, "no ink about {at:?}");
        ensure!(found < end - 0.5, "ink runs on beyond {at:?}");
        Ok(found)
    };
    Ok(Area {
        left: -reach(|p| -p.x)?,
        top: -reach(|p| -p.y)?,
        right: reach(|p| p.x)?,
        bottom: reach(|p| p.y)?,
    })
}

/// The cut line reaches its margin beyond the brow on all four sides. Only where
/// no words are drawn: they may stand close by.
pub fn check_cut_line(scan: &impl Scan, sheet: &Sheet, content: &SheetContent) -> Result<()> {
    let placing = sheet.placing().context("a list")?;
    for side in content.options.sides.drawn() {
        let id = format!("cut-{}", side.name());
        let Some(Mark::Polyline { stroke, .. }) = sheet.mark(&id) else {
            bail!("no {id}");
        };
        let (low, high) = content.outlines.get(side).bounds();
        let corners = (placing.to_page(low), placing.to_page(high));
        let ink = scan.ink(Area::around(corners.0, corners.1, CUT_MARGIN_MM + 0.6))?;
        let beyond = 2.0 * (CUT_MARGIN_MM + stroke.width_mm / 2.0);
        for (what, read, meant) in [
            ("width", ink.right - ink.left, high.x - low.x + beyond),
            ("height", ink.bottom - ink.top, high.y - low.y + beyond),
        ] {
            // A dash may end beside the very place that reaches farthest.
            let short = meant - read;
            ensure!(
                short < scan.allowed_mm() + 0.1 && short > -scan.allowed_mm(),
                "{id}, {what}: {read:.3} mm on paper, {meant:.3} mm meant"
            );
        }
    }
    Ok(())
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

/// Ink of a line that runs on in both directions: only across it does it end.
fn band(scan: &impl Scan, from: Point<Page>, to: Point<Page>) -> Result<Area> {
    let area = Area::around(from, to, 0.6);
    let (x, y, width, height) = area.pixels(scan.dpi());
    let seen = scan.area(area)?;
    let along_x = width > height;
    let inked: Vec<u32> = seen
        .enumerate_pixels()
        .filter(|(_, _, grey)| grey.0[0] < 128)
        .map(|(column, row, _)| if along_x { y + row } else { x + column })
        .collect();
    let low = *inked.iter().min().context("no line where one should be")?;
    let high = *inked.iter().max().context("no line where one should be")? + 1;
    Ok(Area {
        left: scan.mm(low),
        right: scan.mm(high),
        top: scan.mm(low),
        bottom: scan.mm(high),
    })
}
