//! The DXF as a cutter or a drawing program finds it: read back by ezdxf (an
//! independent library for Python), and by a plain reader of group codes.
//!
//! R12: group codes after the DXF Reference, "AC1009"; POLYLINE, VERTEX and
//! SEQEND of its ENTITIES section.

use std::collections::BTreeMap;
use std::io::Write as _;
use std::process::Command;

use anyhow::{Context, Result, bail, ensure};
use ophryon_frames::Side;
use ophryon_stencil::{Facing, Paper, SheetOptions, Sides, lay_out, write_dxf};

use crate::choices::Choice;
use crate::content;

/// What a reader found on one layer.
#[derive(Debug, Clone, Copy)]
struct Found {
    closed: bool,
    places: usize,
    low: [f64; 2],
    high: [f64; 2],
}

/// Prints layer, closed, number of places and extents of each polyline; fails
/// when ezdxf finds anything to mend.
const ASK_EZDXF: &str = r#"
import sys, ezdxf
doc = ezdxf.readfile(sys.argv[1])
assert doc.dxfversion == "AC1009", doc.dxfversion
found = doc.audit()
assert not found.errors and not found.fixes, [e.message for e in found.errors + found.fixes]
for line in doc.modelspace().query("POLYLINE"):
    places = [v.dxf.location for v in line.vertices]
    xs, ys = [p.x for p in places], [p.y for p in places]
    print(line.dxf.layer, int(line.is_closed), len(places), min(xs), min(ys), max(xs), max(ys))
"#;

type Layers = BTreeMap<String, Found>;

/// `None` where Python or ezdxf isn't there.
fn read_by_ezdxf(text: &str) -> Result<Option<Layers>> {
    let Ok(python) = which::which("python3") else {
        return Ok(None);
    };
    let there = Command::new(&python)
        .args(["-c", "import ezdxf"])
        .output()?;
    if !there.status.success() {
        return Ok(None);
    }
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("stencil.dxf");
    std::fs::write(&file, text)?;
    let told = Command::new(python)
        .args(["-c", ASK_EZDXF])
        .arg(&file)
        .output()?;
    ensure!(
        told.status.success(),
        "ezdxf: {}",
        String::from_utf8_lossy(&told.stderr)
    );
    let mut layers = Layers::new();
    for line in String::from_utf8(told.stdout)?.lines() {
        let words: Vec<_> = line.split(' ').collect();
        let [layer, closed, places, numbers @ ..] = &words[..] else {
            bail!("{line}");
        };
        let n: Vec<f64> = numbers
            .iter()
            .map(|n| n.parse())
            .collect::<Result<_, _>>()?;
        let found = Found {
            closed: *closed == "1",
            places: places.parse()?,
            low: [n[0], n[1]],
            high: [n[2], n[3]],
        };
        let twice = layers.insert((*layer).to_owned(), found);
        ensure!(twice.is_none(), "two polylines on {layer}");
    }
    Ok(Some(layers))
}

/// Group codes one by one.
fn read_plainly(text: &str) -> Result<Layers> {
    let lines: Vec<_> = text.lines().collect();
    let mut layers = Layers::new();
    let (mut entity, mut layer) = ("", "");
    let mut x = 0.0;
    for pair in lines.chunks(2) {
        let [code, value] = pair else {
            bail!("a code without a value");
        };
        match (code.trim(), entity) {
            ("0", _) => entity = value,
            ("8", _) => layer = value,
            ("70", "POLYLINE") => {
                let found = Found {
                    closed: *value == "1",
                    places: 0,
                    low: [f64::MAX; 2],
                    high: [f64::MIN; 2],
                };
                layers.insert(layer.to_owned(), found);
            }
            ("10", "VERTEX") => x = value.parse()?,
            ("20", "VERTEX") => {
                let found = layers.get_mut(layer).context("a place on no polyline")?;
                found.places += 1;
                for (axis, mm) in [x, value.parse()?].into_iter().enumerate() {
                    found.low[axis] = found.low[axis].min(mm);
                    found.high[axis] = found.high[axis].max(mm);
                }
            }
            _ => {}
        }
    }
    Ok(layers)
}

#[test]
fn a_cutter_finds_the_brows_in_mm_where_they_lie_on_the_skin() -> Result<()> {
    for facing in [Facing::FaceUp, Facing::FaceDown] {
        let content = content(Paper::A4, facing)?;
        let text = write_dxf(&lay_out(&content)?)?;
        let mut readings = vec![("plain reader", read_plainly(&text)?)];
        match read_by_ezdxf(&text)? {
            Some(found) => readings.push(("ezdxf", found)),
            // Past the test's own capture: nobody shall take it for done.
            None => writeln!(
                std::io::stderr(),
                "DXF: Python's ezdxf is not here, so only the plain reader has read it"
            )?,
        }
        for (reader, layers) in readings {
            let found = |layer: &str| {
                let found = layers.get(layer).copied();
                found.with_context(|| format!("{reader}: no {layer}"))
            };
            for (side, outline) in content.outlines.iter() {
                let layer = match side {
                    Side::Right => "BROW_RIGHT",
                    Side::Left => "BROW_LEFT",
                };
                let brow = found(layer)?;
                ensure!(brow.closed && brow.places > 20, "{reader}: {brow:?}");
                let (low, high) = outline.bounds();
                let (left, right) = match facing {
                    Facing::FaceUp => (low.x, high.x),
                    Facing::FaceDown => (-high.x, -low.x),
                };
                for (read, meant) in [
                    (brow.low[0], left),
                    (brow.high[0], right),
                    (brow.low[1], low.y),
                    (brow.high[1], high.y),
                ] {
                    ensure!(
                        (read - meant).abs() < 0.01,
                        "{reader}: {layer} at {read} mm, {meant} mm meant"
                    );
                }
            }
            for (cut, brow) in [("CUT_RIGHT", "BROW_RIGHT"), ("CUT_LEFT", "BROW_LEFT")] {
                let (cut, brow) = (found(cut)?, found(brow)?);
                ensure!(cut.closed, "{reader}: {cut:?}");
                for axis in 0..2 {
                    for margin in [
                        brow.low[axis] - cut.low[axis],
                        cut.high[axis] - brow.high[axis],
                    ] {
                        ensure!((margin - 4.0).abs() < 0.02, "{reader}: {margin} mm beside");
                    }
                }
            }
            let centre = found("CENTRE_LEFT")?;
            ensure!(!centre.closed && centre.places > 5, "{reader}: {centre:?}");
            let gauge = found("GAUGE")?;
            ensure!(gauge.closed && (gauge.high[0] - gauge.low[0] - 100.0).abs() < 0.001);
            let upright = found("GAUGE_UPRIGHT")?;
            ensure!((upright.high[1] - upright.low[1] - 100.0).abs() < 0.001);
            let midline = found("MIDLINE")?;
            ensure!(!midline.closed && midline.low[0] == 0.0 && midline.high[0] == 0.0);
            let level = found("LEVEL")?;
            ensure!(level.low[1] == 0.0 && level.high[1] == 0.0 && level.high[0] > 60.0);
        }
    }
    Ok(())
}

#[test]
fn the_same_stencil_is_the_same_dxf_and_says_its_unit() -> Result<()> {
    let content = content(Paper::Letter, Facing::FaceUp)?;
    let (one, two) = (
        write_dxf(&lay_out(&content)?)?,
        write_dxf(&lay_out(&content)?)?,
    );
    ensure!(one == two);
    ensure!(one.contains("NOT AGREED") && one.contains("1 drawing unit is 1 mm"));
    Ok(())
}

/// Copies of one brow: each whole, on shared layers, with the lines to cut them
/// apart on another; turned as the drawing lies on its page.
#[test]
fn copies_share_their_layers() -> Result<()> {
    let choice = Choice::of(SheetOptions {
        sides: Sides::Left,
        copies: 4,
        ..SheetOptions::default()
    })?;
    let text = write_dxf(&choice.sheet)?;
    let on = |layer: &str| {
        let wanted = format!("POLYLINE\r\n  8\r\n{layer}\r\n");
        text.matches(&wanted).count()
    };
    for layer in ["BROW_LEFT", "CUT_LEFT", "CENTRE_LEFT", "MIDLINE", "LEVEL"] {
        ensure!(on(layer) == 4, "{} on {layer}", on(layer));
    }
    // Two rows of two: one line between the rows, one between the columns.
    ensure!(on("CUT_APART") == 2, "{} to cut apart", on("CUT_APART"));
    ensure!(on("BROW_RIGHT") == 0 && on("GAUGE") == 1);
    Ok(())
}
