//! Finding a client by what somebody remembers of her.
//!
//! Capitals and accents don't count: the browser's own Unicode tables take
//! letters apart (NFKD, Unicode Standard Annex 15), and what is left of marks
//! is dropped here. A few letters of Latin scripts have no mark to drop; they
//! are written as those do who lack the key.

use crate::device::clock;
use crate::device::store::Entry;

/// Letters that Unicode doesn't take apart, and how they are typed without
/// them.
const PLAIN: [(char, &str); 12] = [
    ('ł', "l"),
    ('ø', "o"),
    ('đ', "d"),
    ('ð', "d"),
    ('ħ', "h"),
    ('ı', "i"),
    ('ŧ', "t"),
    ('ß', "ss"),
    ('æ', "ae"),
    ('œ', "oe"),
    ('þ', "th"),
    ('ŋ', "n"),
];

/// The clients of a list, ready to be searched.
pub struct Index {
    /// For each, in the list's order, everything that she is found by.
    lines: Vec<String>,
}

/// Stands between clients while all are folded in one go; no text of a
/// client's holds it.
const BETWEEN: char = '\u{1}';

impl Index {
    /// Of a list.
    pub fn of(entries: &[Entry]) -> Self {
        let mut all = String::new();
        for (i, entry) in entries.iter().enumerate() {
            if i > 0 {
                all.push(BETWEEN);
            }
            let date = clock::date(entry.changed_ms);
            for text in [&entry.code, &entry.name, &entry.note, &entry.dates, &date] {
                all.extend(text.chars().filter(|c| *c != BETWEEN));
                all.push('\n');
            }
        }
        Self {
            lines: fold(&all).split(BETWEEN).map(str::to_owned).collect(),
        }
    }

    /// Which clients hold every word that is asked for, by their place in the
    /// list.
    pub fn find(&self, asked: &str) -> Vec<usize> {
        let asked = fold(asked);
        let words: Vec<&str> = asked.split_whitespace().collect();
        let holds = |line: &String| words.iter().all(|word| line.contains(word));
        let lines = self.lines.iter().enumerate();
        lines
            .filter_map(|(i, line)| holds(line).then_some(i))
            .collect()
    }
}

/// Without capitals and accents.
fn fold(text: &str) -> String {
    plain(&apart(text))
}

/// Letters and their marks apart, in small letters.
#[cfg(target_arch = "wasm32")]
fn apart(text: &str) -> String {
    let text = js_sys::JsString::from(text).normalize("NFKD");
    String::from(text.to_lower_case())
}

/// In tests, where there is no browser: the letters that they use.
#[cfg(not(target_arch = "wasm32"))]
fn apart(text: &str) -> String {
    let text = text.to_lowercase();
    text.replace('é', "e\u{301}").replace('å', "a\u{30a}")
}

fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for c in text.chars() {
        if is_mark(c) {
            continue;
        }
        match PLAIN.iter().find(|(letter, _)| *letter == c) {
            Some((_, letters)) => plain.push_str(letters),
            None => plain.push(c),
        }
    }
    plain
}

/// Marks over and under letters of Latin, Greek, Cyrillic, Hebrew and Arabic,
/// and marks that turn the direction of a line, which nobody types.
const fn is_mark(c: char) -> bool {
    matches!(c,
        '\u{300}'..='\u{36f}'
        | '\u{483}'..='\u{489}'
        | '\u{591}'..='\u{5bd}' | '\u{5bf}' | '\u{5c1}'..='\u{5c2}' | '\u{5c4}'..='\u{5c5}' | '\u{5c7}'
        | '\u{610}'..='\u{61a}' | '\u{64b}'..='\u{65f}' | '\u{670}'
        | '\u{1ab0}'..='\u{1aff}' | '\u{1dc0}'..='\u{1dff}' | '\u{20d0}'..='\u{20ff}' | '\u{fe20}'..='\u{fe2f}'
        | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(lines: &[&str], asked: &str) -> Vec<usize> {
        let lines = lines.iter().map(|l| fold(l)).collect();
        Index { lines }.find(asked)
    }

    #[test]
    fn accents_and_capitals_are_no_hindrance() {
        let lines = ["Åsa K.", "Renée", "Łucja Weiß", "mona"];
        for (asked, expected) in [
            ("asa", vec![0]),
            ("ÅSA", vec![0]),
            ("renee", vec![1]),
            ("Renée", vec![1]),
            ("lucja", vec![2]),
            ("WEISS", vec![2]),
            ("ona", vec![3]),
            ("k asa", vec![0]),
            ("asa mona", vec![]),
            ("  ", vec![0, 1, 2, 3]),
            ("r\u{202e}enee", vec![1]),
        ] {
            assert_eq!(found(&lines, asked), expected, "{asked}");
        }
    }
}
