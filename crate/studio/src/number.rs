//! Numbers as a person types and reads them.

/// Reads a decimal number with a point or a comma, with or without a unit
/// behind it. `None` for anything else, also for infinities.
pub fn parse(text: &str) -> Option<f64> {
    let text = text.trim();
    let text = ["mm", "°"]
        .iter()
        .find_map(|unit| text.strip_suffix(unit))
        .unwrap_or(text)
        .trim();
    // The typographic minus is what this app itself shows.
    let plain = text.replace('\u{2212}', "-").replace(',', ".");
    let digits = plain.trim_start_matches(['-', '+']);
    // `f64` also reads "inf", "nan" and "1e9"; nobody means those.
    let is_number = digits.chars().any(|c| c.is_ascii_digit())
        && digits.chars().all(|c| c.is_ascii_digit() || c == '.');
    is_number.then(|| plain.parse().ok()).flatten()
}

/// One decimal, with a real minus and never "-0.0".
pub fn tenths(value: f64) -> String {
    decimals(value, 1)
}

/// So many decimals, with a real minus and never "-0.0".
pub fn decimals(value: f64, places: usize) -> String {
    let text = format!("{:.places$}", value.abs());
    let is_zero = text.chars().all(|c| c == '0' || c == '.');
    if value < 0.0 && !is_zero {
        format!("\u{2212}{text}")
    } else {
        text
    }
}

/// One decimal with its sign, as an amount by which something is moved.
pub fn signed(value: f64) -> String {
    let text = tenths(value);
    if value > 0.0 && text != "0.0" {
        format!("+{text}")
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comma_point_unit_and_both_minus_signs_are_read() {
        for (text, value) in [
            ("3.7", 3.7),
            ("3,7", 3.7),
            (" 52,5 mm ", 52.5),
            ("-1.5", -1.5),
            ("\u{2212}1,5", -1.5),
            ("+2°", 2.0),
            (".5", 0.5),
        ] {
            assert_eq!(parse(text), Some(value), "{text}");
        }
    }

    #[test]
    fn what_is_no_number_is_refused() {
        for text in [
            "", "-", ".", "abc", "1e9", "inf", "NaN", "1.2.3", "1 2", "--1",
        ] {
            assert_eq!(parse(text), None, "{text}");
        }
    }

    #[test]
    fn what_is_shown_is_read_back() {
        for value in [0.0, -0.04, 1.25, -12.3] {
            let read = parse(&tenths(value)).unwrap();
            assert!((read - value).abs() <= 0.05 + 1e-9);
        }
        assert_eq!(tenths(-0.04), "0.0");
        assert_eq!(signed(0.04), "0.0");
        assert_eq!(signed(1.0), "+1.0");
        assert_eq!(signed(-1.0), "\u{2212}1.0");
    }
}
