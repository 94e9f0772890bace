//! Words in lines, without a font at hand.
//!
//! Which font a sheet is printed in is up to the machine, so widths are
//! estimated on the wide side (about DejaVu Sans, the widest of the usual
//! sans-serif fonts): a line may end early, it doesn't run into its neighbour.

/// Free of what XML 1.0 can't hold (section 2.2 "Characters": control
/// characters, U+FFFE, U+FFFF) and of invisible marks that reorder the words
/// after them; every run of white space becomes one space.
pub(crate) fn clean(words: &str) -> String {
    let kept: String = words
        .chars()
        .map(|c| if c.is_whitespace() { ' ' } else { c })
        .filter(|&c| !c.is_control() && !is_unprintable(c))
        .collect();
    kept.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn is_unprintable(c: char) -> bool {
    matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FFFE}' | '\u{FFFF}')
}

/// Estimated width of a line in mm, on the wide side.
pub(crate) fn width_mm(words: &str, size_mm: f64) -> f64 {
    words.chars().map(advance).sum::<f64>() * size_mm
}

/// Width of one letter as a share of its size.
fn advance(c: char) -> f64 {
    match c {
        '\u{300}'..='\u{36F}' | '\u{200B}'..='\u{200F}' => 0.0,
        ' ' | '.' | ',' | ':' | ';' | '\'' | '|' | 'i' | 'j' | 'l' | 'I' => 0.34,
        'f' | 'r' | 't' | '(' | ')' | '[' | ']' | '/' | '-' => 0.42,
        'm' | 'w' | 'M' | 'W' | '@' | '%' => 0.98,
        'a'..='z' | '0'..='9' => 0.63,
        'A'..='Z' => 0.74,
        // Indian, Burmese, Khmer and Ethiopic letters are broad, or become so
        // together.
        '\u{900}'..='\u{DFF}' | '\u{1000}'..='\u{109F}' | '\u{1200}'..='\u{17FF}' => 1.2,
        '\u{1100}'.. => 1.0,
        _ => 0.75,
    }
}

/// The words on one line of that width, cut with "…" where they are too long.
pub(crate) fn fit(words: &str, size_mm: f64, room_mm: f64) -> String {
    let words = clean(words);
    if width_mm(&words, size_mm) <= room_mm {
        return words;
    }
    let mut cut = String::new();
    let mut used_mm = size_mm; // the ellipsis
    for c in words.chars() {
        used_mm += advance(c) * size_mm;
        if used_mm > room_mm {
            break;
        }
        cut.push(c);
    }
    format!("{}…", cut.trim_end())
}

/// The words in lines of at most that width, broken between words but never
/// between a number and its unit; a single word longer than a line is broken
/// inside.
pub(crate) fn lines(words: &str, size_mm: f64, room_mm: f64) -> Vec<String> {
    let mut lines = vec![];
    let mut line = String::new();
    for word in unbroken(&clean(words)) {
        let word = word.as_str();
        let gap = if line.is_empty() { "" } else { " " };
        if width_mm(&line, size_mm) + width_mm(gap, size_mm) + width_mm(word, size_mm) <= room_mm {
            line = line + gap + word;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            let full = width_mm(&line, size_mm) + advance(c) * size_mm > room_mm;
            if full && !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line.push(c);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// The words, each unit and each ± with its number.
fn unbroken(words: &str) -> Vec<String> {
    let mut kept: Vec<String> = vec![];
    for word in words.split(' ') {
        let is_unit = ["mm", "%"].contains(&word.trim_end_matches(['.', ',', ':', ';', ')']));
        match kept.last_mut() {
            Some(number) if is_unit && number.ends_with(|c: char| c.is_ascii_digit()) => {
                *number = format!("{number} {word}");
            }
            Some(sign) if sign.ends_with('±') => *sign = format!("{sign} {word}"),
            _ => kept.push(word.to_owned()),
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn no_line_is_wider_than_its_room_and_no_letter_is_lost(words in "\\PC{0,120}") {
            let broken = lines(&words, 3.0, 40.0);
            for line in &broken {
                prop_assert!(width_mm(line, 3.0) <= 40.0 + 1e-9, "{line}");
            }
            let letters = |s: &str| s.chars().filter(|c| *c != ' ').collect::<String>();
            prop_assert_eq!(letters(&broken.concat()), letters(&clean(&words)));
        }

        #[test]
        fn what_is_cut_fits(words in "\\PC{0,120}") {
            prop_assert!(width_mm(&fit(&words, 3.0, 20.0), 3.0) <= 20.0 + 1e-9);
        }
    }

    #[test]
    fn a_number_keeps_its_unit_beside_it() {
        let broken = lines("a reading within 0.5 mm agrees", 3.0, 38.0);
        assert_eq!(broken, ["a reading within", "0.5 mm agrees"]);
        assert_eq!(unbroken("read ± 1.1 mm."), ["read", "± 1.1 mm."]);
    }

    #[test]
    fn control_characters_are_dropped_and_lines_joined() {
        assert_eq!(
            clean("  K.\u{0}M.\u{7}\n\t v2 \u{202E}x\u{FFFF} "),
            "K.M. v2 x"
        );
        assert_eq!(fit("short", 3.0, 40.0), "short");
        assert!(fit("a very long code of a client", 3.0, 20.0).ends_with('…'));
    }
}
