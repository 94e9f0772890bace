//! The PDF as readers of other makers find it: page box, size of what is
//! drawn, words, structure.

use std::process::Command;

use anyhow::{Context, Result, ensure};
use ophryon_brow::{Limits, SideMeasures};
use ophryon_frames::Sided;
use ophryon_stencil::{
    Facing, Paper, ScriptFont, distances, lay_out, lay_out_distances, scripts_needed, write_pdf,
    write_pdf_with,
};

use crate::choices::{self, Choice};
use crate::measure::check;
use crate::scan::{DPI, MM_PER_INCH, Printed, poppler};
use crate::{basis, content, page_mm, pair};

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

/// Boxes, drawing and structure. A4 is 595.276 x 841.890 pt, Letter 612 x 792
/// (ISO 32000-1, 8.3.2.3).
fn write_true(choices: &[Choice]) -> Result<()> {
    for choice in choices {
        let told = || choice.name();
        let mut written = Printed::file(&write_pdf(&[&choice.sheet])?.bytes)?;
        let points = |mm: f64| mm / MM_PER_INCH * 72.0;
        let (width_mm, height_mm) = page_mm(choice);
        for name in ["MediaBox", "TrimBox"] {
            let [left, low, right, high] = page_box(&written, name)?;
            ensure!(left == 0.0 && low == 0.0, "{}", told());
            // pdfinfo rounds to a hundredth of a point.
            ensure!((right - points(width_mm)).abs() <= 0.006, "{right}");
            ensure!((high - points(height_mm)).abs() <= 0.006, "{high}");
        }
        nothing_wrong(&written).with_context(told)?;
        for dpi in DPI {
            written = written.at(dpi);
            check(&written, &choice.sheet, &choice.content)
                .with_context(|| format!("{} at {dpi} dpi", told()))?;
        }
    }
    Ok(())
}

/// qpdf finds nothing to mend, and every font travels with the file.
fn nothing_wrong(written: &Printed) -> Result<()> {
    let qpdf = which::which("qpdf").context("checking a PDF needs `qpdf`: install qpdf")?;
    let done = Command::new(qpdf)
        .arg("--check")
        .arg(written.pdf())
        .output()?;
    ensure!(
        done.status.success(),
        "{}{}",
        String::from_utf8_lossy(&done.stdout),
        String::from_utf8_lossy(&done.stderr)
    );
    let fonts = Command::new(poppler("pdffonts")?)
        .arg(written.pdf())
        .output()?;
    let fonts = String::from_utf8(fonts.stdout)?;
    let rows: Vec<_> = fonts.lines().skip(2).collect();
    ensure!(!rows.is_empty(), "no fonts");
    for row in rows {
        // Columns: name, type, encoding, emb, sub, uni, object.
        ensure!(row.contains("yes yes yes"), "not embedded: {row}");
    }
    Ok(())
}

#[test]
fn pages_and_drawing_are_of_true_size() -> Result<()> {
    write_true(&choices::sample()?)
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn every_page_and_drawing_is_of_true_size() -> Result<()> {
    write_true(&choices::all()?)
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
        nothing_wrong(&printed)?;
        ensure!(printed.pages()?.0 == 2);
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

/// A client's code in her own script is found again by an independent reader,
/// and all its letters travel with the file.
#[test]
fn codes_in_many_scripts_can_be_read_back() -> Result<()> {
    for code in [
        "Žofie",
        "Ελένη",
        "Наталія",
        "Անի",
        "ნინო",
        "王小美",
        "やまだ",
        "김민지",
        "กานดา",
        "கமலா",
        "ሰላም",
    ] {
        let mut content = content(Paper::A4, Facing::FaceUp)?;
        content.caption.code = code.to_owned();
        let sheet = lay_out(&content)?;
        let scripts = scripts_needed(&[&sheet]);
        let fonts: Vec<_> = scripts.into_iter().map(ScriptFont::bytes).collect();
        let pdf = write_pdf_with(&[&sheet], &fonts)?;
        ensure!(pdf.missing.is_empty(), "{code}: {:?}", pdf.missing);
        let written = Printed::file(&pdf.bytes)?;
        nothing_wrong(&written).with_context(|| code.to_owned())?;
        let read = written.asked("pdftotext", &["-layout"])?;
        ensure!(read.contains(code), "{code} is missing from:\n{read}");
    }
    Ok(())
}
