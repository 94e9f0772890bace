//! The shapes that are kept, side by side, as text.

use ophryon_frames::Side;
use ophryon_record::{ComparedSide, VariantNumbers};

use crate::table::{Column, number, table};

/// The section; empty while nothing is kept.
pub fn words(all: &[VariantNumbers]) -> String {
    if all.iter().all(|v| v.index.is_none()) {
        return String::new();
    }
    let mut text = "\nThe shapes that are kept, drawn and healed\n".to_owned();
    for side in Side::BOTH {
        let shown =
            |v: &'_ VariantNumbers| Some((v.name.clone(), v.sides.as_ref()?.get(side).clone()));
        let sides: Vec<(String, ComparedSide)> = all.iter().filter_map(shown).collect();
        let whose = format!("client's {}", side.name());
        let mut columns = vec![(whose.as_str(), Column::Words)];
        columns.extend(
            sides
                .iter()
                .map(|(name, _)| (name.as_str(), Column::Numbers)),
        );
        text.push_str(&table(&columns, &rows(&sides)));
        for (name, one) in &sides {
            for sentence in &one.failing {
                text.push_str(&format!("{name}: {sentence}\n"));
            }
        }
    }
    for one in all {
        let beside = [&one.note, one.problem.as_deref().unwrap_or_default()];
        for words in beside.into_iter().filter(|words| !words.is_empty()) {
            text.push_str(&format!("{}: {words}\n", one.name));
        }
        if one.present && one.index.is_some() {
            text.push_str(&format!("{} is the shape that is drawn now.\n", one.name));
        }
    }
    text
}

fn rows(sides: &[(String, ComparedSide)]) -> Vec<Vec<String>> {
    let Some((_, first)) = sides.first() else {
        return Vec::new();
    };
    let cell = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), number);
    let mut rows = Vec::new();
    for (i, (_, name, _)) in first.drawn.rows().into_iter().enumerate() {
        let mut row = vec![name.to_owned()];
        row.extend(sides.iter().map(|(_, one)| {
            let healed = one.healed.and_then(|h| h.rows()[i].2);
            format!("{}, {}", cell(one.drawn.rows()[i].2), cell(healed))
        }));
        rows.push(row);
    }
    let mut row = vec!["natural hair inside (%)".to_owned()];
    row.extend(
        sides
            .iter()
            .map(|(_, one)| cell(one.hair_inside.map(|share| 100.0 * share))),
    );
    rows.push(row);
    rows
}
