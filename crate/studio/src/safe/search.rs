//! Finding a client by what somebody remembers of her.
//!
//! Capitals and accents don't count: the browser's own Unicode tables take
//! letters apart (NFKD, Unicode Standard Annex 15), and what is left of marks
//! is dropped here. A few letters of Latin scripts have no mark to drop; they
//! are written as those do who lack the key. Days are in the list as
//! `2026-11-28` and may be asked for as people write them, see [`super::days`].

use super::days;
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
            let changed = clock::day(entry.changed_ms).map_or_else(String::new, |d| d.to_string());
            for text in [
                &entry.code,
                &entry.name,
                &entry.note,
                &entry.dates,
                &changed,
            ] {
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
        let asked = Asked::of(asked);
        let holds = |line: &String| {
            let as_typed = asked.words.iter().all(|word| line.contains(word));
            as_typed || asked.in_days.as_ref().is_some_and(|a| a.is_in(line))
        };
        let lines = self.lines.iter().enumerate();
        lines
            .filter_map(|(i, line)| holds(line).then_some(i))
            .collect()
    }
}

/// What is asked for.
struct Asked {
    /// The words as they are typed.
    words: Vec<String>,
    /// The same with days as the list has them, where there are any.
    in_days: Option<days::Asked>,
}

impl Asked {
    fn of(asked: &str) -> Self {
        let asked = fold(asked);
        let words: Vec<String> = asked.split_whitespace().map(str::to_owned).collect();
        Self {
            in_days: days::Asked::of(&words),
            words,
        }
    }
}

/// Longest piece of a name or note that says why somebody was found,
/// characters.
const SHOWN: usize = 60;

/// By what a client of the list was found, where her code doesn't show it: the
/// pieces of her name and note that hold what was asked for.
pub fn why(entry: &Entry, asked: &str) -> Option<String> {
    let asked = Asked::of(asked);
    let code = fold(&entry.code);
    let mut pieces: Vec<String> = Vec::new();
    for word in asked.words.iter().filter(|word| !code.contains(*word)) {
        let mut texts = [&entry.name, &entry.note].into_iter();
        if let Some(piece) = texts.find_map(|text| piece(text, word))
            && !pieces.contains(&piece)
        {
            pieces.push(piece);
        }
    }
    (!pieces.is_empty()).then(|| pieces.join("; "))
}

/// The words of a text around the first that holds the one asked for, whole
/// where it is short.
fn piece(text: &str, asked: &str) -> Option<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let at = words.iter().position(|word| fold(word).contains(asked))?;
    let (mut from, mut to) = (at, at + 1);
    let length = |from: usize, to: usize| {
        let words = words.get(from..to).unwrap_or_default();
        words.iter().map(|w| w.chars().count() + 1).sum::<usize>()
    };
    // What follows says more than what comes before.
    while to < words.len() && length(from, to + 1) <= SHOWN {
        to += 1;
    }
    while from > 0 && length(from - 1, to) <= SHOWN {
        from -= 1;
    }
    let shown = words.get(from..to)?.join(" ");
    let mut piece = String::from(if from > 0 { "…" } else { "" });
    piece.extend(shown.chars().take(SHOWN));
    if to < words.len() || shown.chars().count() > SHOWN {
        piece.push('…');
    }
    Some(piece)
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

    #[test]
    fn a_day_is_found_however_it_is_written() {
        let lines = ["K7\n2026-11-28 2027-01-05", "May 5\n2028-11-02", "28"];
        for (asked, expected) in [
            ("2026-11-28", vec![0]),
            ("28 november 2026", vec![0]),
            ("28 Nov. 2026", vec![0]),
            ("November 28, 2026", vec![0]),
            ("28.11.2026", vec![0]),
            ("11/28/2026", vec![0]),
            ("28/11/2026", vec![0]),
            ("28-11-2026", vec![0]),
            ("5.1.2027", vec![0]),
            ("5/1/27", vec![0]),
            ("k7 28 november", vec![0]),
            ("november", vec![0, 1]),
            ("november 2028", vec![1]),
            ("28.11.", vec![0]),
            ("28.11.20", vec![0]),
            // A code that reads like a day is still a code.
            ("may 5", vec![1]),
            ("28", vec![0, 1, 2]),
            ("29 november 2026", vec![]),
            ("11/28/2027", vec![]),
        ] {
            assert_eq!(found(&lines, asked), expected, "{asked}");
        }
    }

    #[test]
    fn who_is_found_by_name_or_note_shows_what_it_was() {
        let entry = Entry {
            code: "C0017".to_owned(),
            name: "Renée Invented".to_owned(),
            note: format!(
                "{} crème soft start {}",
                "word ".repeat(30),
                "more ".repeat(30)
            ),
            ..Entry::default()
        };
        assert_eq!(why(&entry, "c00"), None);
        assert_eq!(why(&entry, "2026-11-28"), None);
        assert_eq!(why(&entry, "renee").as_deref(), Some("Renée Invented"));
        assert_eq!(why(&entry, "inv REN").as_deref(), Some("Renée Invented"));
        let said = why(&entry, "soft").expect("a piece of the note");
        assert!(said.starts_with('…') && said.ends_with('…'), "{said}");
        assert!(said.contains("soft start"), "{said}");
        assert!(said.chars().count() <= SHOWN + 2, "{said}");
        let said = why(&entry, "renee soft").expect("both");
        assert!(said.starts_with("Renée Invented; …"), "{said}");
        // One word without an end.
        let endless = Entry {
            note: "x".repeat(500),
            ..Entry::default()
        };
        let said = why(&endless, "xx").expect("a piece");
        assert_eq!(said.chars().count(), SHOWN + 1);
    }
}
