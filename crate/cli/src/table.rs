//! Plain text tables for a terminal: columns aligned, numbers to the right.

/// How a column is set.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Column {
    /// Words, to the left.
    Words,
    /// Numbers, to the right.
    Numbers,
}

/// The heading and rows as lines of equal columns.
pub fn table(columns: &[(&str, Column)], rows: &[Vec<String>]) -> String {
    let wide = |text: &str| text.chars().count();
    let width = |i: usize| {
        let cells = rows.iter().filter_map(|row| row.get(i)).map(|t| wide(t));
        cells
            .chain(columns.get(i).map(|c| wide(c.0)))
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = (0..columns.len()).map(width).collect();
    let line = |cells: &mut dyn Iterator<Item = &str>| {
        let mut text = String::new();
        for ((cell, (_, set)), width) in cells.zip(columns).zip(&widths) {
            let gap = " ".repeat(width.saturating_sub(wide(cell)));
            if !text.is_empty() {
                text.push_str("  ");
            }
            match set {
                Column::Words => text.extend([cell, &gap]),
                Column::Numbers => text.extend([gap.as_str(), cell]),
            }
        }
        format!("{}\n", text.trim_end())
    };
    let mut text = line(&mut columns.iter().map(|c| c.0));
    for row in rows {
        text.push_str(&line(&mut row.iter().map(String::as_str)));
    }
    text
}

/// A length or another number with two places.
pub fn number(value: f64) -> String {
    // Adding 0 turns -0 into 0.
    format!("{:.2}", (value * 100.0).round() / 100.0 + 0.0)
}

/// The same with its sign, for differences.
pub fn signed(value: f64) -> String {
    let short = (value * 100.0).round() / 100.0 + 0.0;
    if short == 0.0 {
        "0.00".to_owned()
    } else {
        format!("{short:+.2}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up_and_lines_have_no_trailing_blanks() {
        let columns = [
            ("what", Column::Words),
            ("mm", Column::Numbers),
            ("", Column::Words),
        ];
        let rows = vec![
            vec!["start".to_owned(), number(7.5), String::new()],
            vec!["peak".to_owned(), number(45.25), "±".to_owned()],
        ];
        let expected = "what      mm\nstart   7.50\npeak   45.25  ±\n";
        assert_eq!(table(&columns, &rows), expected);
    }

    #[test]
    fn no_difference_has_no_sign() {
        assert_eq!(signed(-0.001), "0.00");
        assert_eq!(signed(-1.5), "-1.50");
        assert_eq!(signed(0.25), "+0.25");
        assert_eq!(number(-0.004), "0.00");
    }
}
