//! Changing one value of a JSON text, wherever it stands.

use serde_json::{Number, Value};

use crate::lot::Lot;

/// Where every number, text, truth and null stands.
pub fn leaves(value: &Value) -> Vec<String> {
    let mut found = Vec::new();
    walk(value, String::new(), &mut found);
    found
}

fn walk(value: &Value, at: String, found: &mut Vec<String>) {
    match value {
        Value::Object(fields) => {
            for (name, value) in fields {
                walk(
                    value,
                    format!("{at}/{}", name.replace('~', "~0").replace('/', "~1")),
                    found,
                );
            }
        }
        Value::Array(list) => {
            for (n, value) in list.iter().enumerate() {
                walk(value, format!("{at}/{n}"), found);
            }
        }
        _ => found.push(at),
    }
}

/// Another value of the same kind, as near to it as can be.
pub fn changed(value: &Value, lot: &mut Lot) -> Value {
    match value {
        Value::Null => lot.of([0.5, 1.5]).into(),
        Value::Bool(truth) => Value::Bool(!truth),
        Value::Number(number) => another_number(number, lot),
        Value::String(text) => another_text(text, lot).into(),
        Value::Array(_) | Value::Object(_) => Value::Null,
    }
}

fn another_number(number: &Number, lot: &mut Lot) -> Value {
    if let Some(whole) = number.as_u64() {
        return (whole + 1 + lot.bits() % 3).into();
    }
    let value = number.as_f64().unwrap();
    // The very next double is another number.
    let (up, down) = (value.next_up(), value.next_down());
    lot.of([up, down, value + 0.001, -value - 1e-9]).into()
}

fn another_text(text: &str, lot: &mut Lot) -> String {
    let letters: Vec<char> = text.chars().collect();
    if letters.is_empty() {
        return "x".to_owned();
    }
    let at = (lot.bits() % letters.len() as u64) as usize;
    let mut other = letters.clone();
    match lot.bits() % 3 {
        0 => drop(other.remove(at)),
        1 => other.insert(at, 'x'),
        _ => other[at] = if letters[at] == 'a' { 'b' } else { 'a' },
    }
    other.into_iter().collect()
}

/// The same value with its fields in another order, at every depth.
pub fn shuffled(value: &Value, lot: &mut Lot) -> String {
    match value {
        Value::Object(fields) => {
            let mut all: Vec<_> = fields
                .iter()
                .map(|(name, value)| {
                    format!("{}: {}", Value::from(name.as_str()), shuffled(value, lot))
                })
                .collect();
            for n in (1..all.len()).rev() {
                all.swap(n, (lot.bits() % (n as u64 + 1)) as usize);
            }
            format!("{{ {} }}", all.join(" ,\n"))
        }
        Value::Array(list) => {
            let all: Vec<_> = list.iter().map(|value| shuffled(value, lot)).collect();
            format!("[{}]", all.join(", "))
        }
        other => other.to_string(),
    }
}
