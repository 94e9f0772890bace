//! How sure the photo is, as text: scale, taps, pose, camera, and the natural
//! face with what makes each number uncertain.

use ophryon_record::{Certainty, Measure, NumberReport, Report};

use crate::table::{Column, number, signed, table};

/// What gave the scale and how the head and the camera stood.
pub fn photo(report: &Report) -> String {
    let (face, sure) = (&report.face, &report.certainty);
    let mut text = format!(
        "From the photo “{}” (every ± is for k = 2, about 95 %)\nScale by the {}: {:.5} mm per px ± {:.1} %\n",
        report.photo, face.reference, face.mm_per_px, face.scale_plus_minus_percent,
    );
    if sure.references.len() > 1 {
        text.push_str(&references(sure));
    }
    text.push_str(&format!("{}\n", sure.taps));
    for sentence in &sure.sentences {
        text.push_str(&format!("{sentence}\n"));
    }
    text.push_str(&format!(
        "Roll: {} degrees; midline {} degrees off the upright of the pupils\n",
        signed(face.roll_degrees),
        signed(face.midline_tilt_degrees),
    ));
    text
}

fn references(sure: &Certainty) -> String {
    let rows: Vec<Vec<String>> = sure
        .references
        .iter()
        .map(|r| {
            let percent = |of: Option<f64>| of.map_or(String::new(), |p| format!("{p:.1} %"));
            vec![
                format!("- {}", r.name),
                r.mm_per_px
                    .map_or("left out".to_owned(), |k| format!("{k:.5}")),
                percent(r.plus_minus_percent),
                format!("{:.0} %", 100.0 * r.weight),
                r.against_others_percent
                    .map_or(String::new(), |p| format!("{} %", signed(p))),
                percent(r.allowed_percent),
                if r.disagrees { "disagrees" } else { "" }.to_owned(),
            ]
        })
        .collect();
    table(
        &[
            ("", Column::Words),
            ("mm per px", Column::Numbers),
            ("±", Column::Numbers),
            ("weight", Column::Numbers),
            ("against the others", Column::Numbers),
            ("allowed", Column::Numbers),
            ("", Column::Words),
        ],
        &rows,
    )
}

/// The natural face in numbers.
pub fn natural(sure: &Certainty) -> String {
    let mut text = String::new();
    let sided = |of: Measure| matches!(of, Measure::Right | Measure::Left | Measure::Difference);
    let mut names: Vec<&str> = Vec::new();
    for n in sure.numbers.iter().filter(|n| sided(n.of)) {
        if !names.contains(&n.name.as_str()) {
            names.push(&n.name);
        }
    }
    let of = |name: &str, of| sure.numbers.iter().find(|n| n.name == name && n.of == of);
    let rows: Vec<Vec<String>> = names
        .into_iter()
        .map(|name| {
            let difference = of(name, Measure::Difference);
            let last = difference.or_else(|| of(name, Measure::Right));
            vec![
                name.to_owned(),
                of(name, Measure::Right).map_or(String::new(), cell),
                of(name, Measure::Left).map_or(String::new(), cell),
                difference.map_or(String::new(), difference_cell),
                last.map_or(String::new(), mostly),
            ]
        })
        .collect();
    if !rows.is_empty() {
        text.push_str("\nThe natural face as seen from the front (mm; slants in degrees)\n");
        text.push_str(&table(
            &[
                ("", Column::Words),
                ("client's right", Column::Words),
                ("client's left", Column::Words),
                ("right less left", Column::Words),
                ("uncertain mostly by", Column::Words),
            ],
            &rows,
        ));
    }
    let across: Vec<Vec<String>> = sure
        .numbers
        .iter()
        .filter(|n| n.of == Measure::Across)
        .map(|n| vec![n.name.clone(), cell(n), mostly(n)])
        .collect();
    if !across.is_empty() {
        text.push_str("\nAcross the face (mm)\n");
        let columns = [
            ("", Column::Words),
            ("distance", Column::Words),
            ("uncertain mostly by", Column::Words),
        ];
        text.push_str(&table(&columns, &across));
    }
    text
}

fn cell(n: &NumberReport) -> String {
    format!("{} ± {}", number(n.value), number(n.plus_minus))
}

fn difference_cell(n: &NumberReport) -> String {
    let even = match n.distinguishable {
        Some(false) => ", not distinguishable from even",
        _ => "",
    };
    format!("{} ± {}{even}", signed(n.value), number(n.plus_minus))
}

fn mostly(n: &NumberReport) -> String {
    n.mostly_words.unwrap_or_default().to_owned()
}
