//! A shape's numbers as they stand in a table: one where both sides are alike,
//! else the client's right and left.

use ophryon_record::StageNumbers;

use crate::number::tenths;
use crate::words;

/// Below this a ruler shows no difference, mm.
const SEEN_MM: f64 = 0.05;

/// Nothing is left of it, or it can't be told.
const NONE: &str = "\u{2013}";

/// One number of both sides: "7.4", or "29.5 / 28.9" for right and left.
pub fn both(right: Option<f64>, left: Option<f64>) -> String {
    match (right, left) {
        (None, None) => NONE.to_owned(),
        (Some(r), Some(l)) if (r - l).abs() < SEEN_MM => tenths(r),
        (r, l) => {
            let one = |v: Option<f64>| v.map_or_else(|| NONE.to_owned(), tenths);
            format!("{} / {}", one(r), one(l))
        }
    }
}

/// A row: its id, its name, its number for each of the shapes given by their
/// two sides.
pub struct Row {
    /// An id.
    pub id: &'static str,
    /// What it is.
    pub name: String,
    /// One text for each shape.
    pub cells: Vec<String>,
}

/// A side of a shape, where there is one.
type Side<'a> = Option<&'a StageNumbers>;

/// All rows for some shapes, each with its client's right and left.
pub fn rows(shapes: &[(Side<'_>, Side<'_>)]) -> Vec<Row> {
    let names = shapes
        .iter()
        .flat_map(|(r, l)| [*r, *l])
        .flatten()
        .next()
        .map(StageNumbers::rows);
    let Some(names) = names else {
        return Vec::new();
    };
    names
        .iter()
        .enumerate()
        .map(|(i, (id, name, _))| Row {
            id,
            name: words::title(name),
            cells: shapes
                .iter()
                .map(|(right, left)| {
                    let value = |side: Side<'_>| side.and_then(|n| n.rows()[i].2);
                    both(value(*right), value(*left))
                })
                .collect(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sides_that_a_ruler_finds_alike_stand_once() {
        assert_eq!(both(Some(7.41), Some(7.44)), "7.4");
        assert_eq!(both(Some(29.5), Some(28.9)), "29.5 / 28.9");
        assert_eq!(both(Some(29.5), None), "29.5 / –");
        assert_eq!(both(None, None), "–");
    }
}
