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
    let digits = plain.strip_prefix(['-', '+']).unwrap_or(&plain);
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let all_digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    if !(all_digits(whole) && all_digits(part)) || whole.len() + part.len() == 0 {
        return None;
    }
    let value = decimal(whole, part);
    let value = if plain.starts_with('-') {
        -value
    } else {
        value
    };
    value.is_finite().then_some(value)
}

/// As many digits as an `f64` holds exactly, and the power of ten below them.
const EXACT_DIGITS: usize = 15;

/// The nearest `f64` to a decimal number: a whole number over a power of ten,
/// both exact. `str::parse` gives the same, and brings along a table of powers
/// that is the thirtieth part of all that the app loads at first.
fn decimal(whole: &str, part: &str) -> f64 {
    let whole = whole.trim_start_matches('0');
    let part = part
        .get(..EXACT_DIGITS.saturating_sub(whole.len()))
        .unwrap_or(part);
    let digits = |from: f64, text: &str| {
        text.bytes()
            .fold(from, |value, digit| 10.0 * value + f64::from(digit - b'0'))
    };
    let unit = part.bytes().fold(1.0, |unit, _| 10.0 * unit);
    digits(digits(0.0, whole), part) / unit
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
    fn a_number_is_read_to_its_last_bit() {
        for whole in ["", "0", "7", "00012", "149", "54210", "90071992"] {
            for part in ["0", "1", "05", "25", "333", "1415926", "000001", "99999"] {
                let text = format!("{whole}.{part}");
                assert_eq!(parse(&text), text.parse().ok(), "{text}");
            }
        }
        // More digits than anybody measures: as near as it matters.
        let read = parse("3.14159265358979323846").unwrap();
        assert!((read - std::f64::consts::PI).abs() < 1e-14);
    }

    #[test]
    fn what_is_no_number_is_refused() {
        for text in [
            "", "-", ".", "abc", "1e9", "inf", "NaN", "1.2.3", "1 2", "--1", "+-1", "é",
        ] {
            assert_eq!(parse(text), None, "{text}");
        }
        assert_eq!(parse(&"9".repeat(400)), None);
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
