//! The PDF as readers of other makers find it: page box, size of what is
//! drawn, words, structure.

use std::process::Command;

use anyhow::{Context, Result, ensure};
use ophryon_brow::{Limits, SideMeasures};
use ophryon_frames::Sided;
use ophryon_stencil::{
    Facing, Paper, SheetContent, distances, lay_out, lay_out_distances, write_pdf,
};

use crate::scan::{MM_PER_INCH, Printed, poppler};
use crate::{basis, check_brows, check_gauges, content, pair};

/// Points as pdfinfo gives them, by name of the box.
fn page_box(printed: &Printed, name: &str) -> Result<[f64; 4]> {
    let mut command = Command::new(poppler("pdfinfo")?);
    let told = command.arg("-box").arg(printed.pdf()).output()?;
    let told = String::from_utf8(told.stdout)?;
    let line = told
        .lines()
        .find_map(|line| line.strip_prefix(name)?.strip_prefix(':'));
    let numbers: Vec<f64> = line
        .with_context(|| format!("no {name} in:\n{told}"))?
        .split_whitespace()
        .map(str::parse)
        .collect::<Result<_, _>>()?;
    numbers.try_into().ok().context("a box has four numbers")
}

/// A4 is 595.276 x 841.890 pt, Letter 612 x 792 (ISO 32000-1, 8.3.2.3).
#[test]
fn pages_and_drawing_are_of_true_size_at_600_dpi() -> Result<()> {
    for (paper, width_mm, height_mm) in [
        (Paper::A4, 210.0, 297.0),
        (Paper::Letter, 8.5 * MM_PER_INCH, 11.0 * MM_PER_INCH),
    ] {
        for facing in [Facing::FaceUp, Facing::FaceDown] {
            let content = content(paper, facing)?;
            let sheet = lay_out(&content)?;
            let printed = Printed::file(&write_pdf(&[&sheet])?.bytes)?;
            let told = || format!("{} {facing:?}", paper.name());
            let points = |mm: f64| mm / MM_PER_INCH * 72.0;
            for name in ["MediaBox", "TrimBox"] {
                let [left, low, right, high] = page_box(&printed, name)?;
                ensure!(left == 0.0 && low == 0.0, "{}", told());
                // pdfinfo rounds to a hundredth of a point.
                ensure!((right - points(width_mm)).abs() <= 0.006, "{right}");
                ensure!((high - points(height_mm)).abs() <= 0.006, "{high}");
            }
            check_gauges(&printed, &sheet).with_context(told)?;
            check_brows(&printed, &sheet, &content).with_context(told)?;
        }
    }
    Ok(())
}

#[test]
fn two_readers_of_other_makers_find_nothing_wrong() -> Result<()> {
    let pair = pair();
    let brows = pair.draw(&Limits::default())?;
    let sides = Sided::from_fn(|s| SideMeasures::of(brows.get(s), pair.offset.get(s)));
    for paper in Paper::LARGE {
        let content = content(paper, Facing::FaceDown)?;
        let sheet = lay_out(&content)?;
        let list = lay_out_distances(&distances(&sides, &basis()), &content.caption, paper);
        let pdf = write_pdf(&[&sheet, &list])?;
        ensure!(pdf.missing.is_empty(), "{:?}", pdf.missing);
        let printed = Printed::file(&pdf.bytes)?;
        let qpdf = which::which("qpdf").context("checking a PDF needs `qpdf`: install qpdf")?;
        let done = Command::new(qpdf)
            .arg("--check")
            .arg(printed.pdf())
            .output()?;
        ensure!(
            done.status.success(),
            "{}{}",
            String::from_utf8_lossy(&done.stdout),
            String::from_utf8_lossy(&done.stderr)
        );
        ensure!(printed.pages()?.0 == 2);
        // Every font travels with the file.
        let fonts = Command::new(poppler("pdffonts")?)
            .arg(printed.pdf())
            .output()?;
        let fonts = String::from_utf8(fonts.stdout)?;
        let rows: Vec<_> = fonts.lines().skip(2).collect();
        ensure!(!rows.is_empty(), "no fonts");
        for row in rows {
            // Columns: name, type, encoding, emb, sub, uni, object.
            ensure!(row.contains("yes yes yes"), "not embedded: {row}");
        }
        let first = printed.asked("pdftotext", &["-l", "1", "-layout"])?;
        for words in ["FACE DOWN", "NOT AGREED", "WRAP ESTIMATED", "client's left"] {
            ensure!(first.contains(words), "{words} is missing from:\n{first}");
        }
        let second = printed.asked("pdftotext", &["-f", "2", "-layout"])?;
        let tail = second
            .lines()
            .find(|line| line.trim_start().starts_with("tail"));
        let tail = tail.context("no row for the tail")?;
        ensure!(tail.contains("61.0") && tail.contains("61.7"), "{tail}");
    }
    Ok(())
}

/// A client's code in her own script is found again by an independent reader.
#[test]
fn codes_in_many_scripts_can_be_read_back() -> Result<()> {
    for code in ["Žofie", "Ελένη", "Наталія", "Անի", "ნინო"] {
        let mut content: SheetContent = content(Paper::A4, Facing::FaceUp)?;
        content.caption.code = code.to_owned();
        let printed = Printed::file(&write_pdf(&[&lay_out(&content)?])?.bytes)?;
        let read = printed.asked("pdftotext", &["-layout"])?;
        ensure!(read.contains(code), "{code} is missing from:\n{read}");
    }
    Ok(())
}
