//! A flat list of labelled figures.

/// One figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Value {
    /// A number, in whatever unit.
    Number(f64),
    /// A mark of some words: [`mark_of`].
    Words(u64),
}

/// All figures in the order they were found, one or several to a label.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Figures {
    pub(crate) all: Vec<(String, Vec<Value>)>,
    place: String,
}

impl Figures {
    /// What the next labels begin with.
    pub fn at(&mut self, place: impl Into<String>) {
        self.place = place.into();
    }

    /// Adds a number.
    pub fn number(&mut self, label: &str, value: f64) {
        self.numbers(label, [value]);
    }

    /// Adds numbers that belong together.
    pub fn numbers(&mut self, label: &str, values: impl IntoIterator<Item = f64>) {
        self.add(label, values.into_iter().map(Value::Number).collect());
    }

    /// Adds the mark of some words.
    pub fn words(&mut self, label: &str, words: &str) {
        self.add(label, vec![Value::Words(mark_of(words))]);
    }

    fn add(&mut self, label: &str, values: Vec<Value>) {
        self.all.push((format!("{} {label}", self.place), values));
    }

    /// A mark of all labels with what stands under each, then eight bytes for
    /// each figure, lowest first.
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut bytes = self.mark_of_labels().to_le_bytes().to_vec();
        for value in self.all.iter().flat_map(|(_, values)| values) {
            bytes.extend(match value {
                Value::Number(number) => number.to_bits().to_le_bytes(),
                Value::Words(mark) => mark.to_le_bytes(),
            });
        }
        bytes
    }

    pub(crate) fn mark_of_labels(&self) -> u64 {
        let kinds = self.all.iter().map(|(label, values)| {
            let words = values.iter().any(|v| matches!(v, Value::Words(_)));
            format!("{label}: {} {words}\n", values.len())
        });
        mark_of(&kinds.collect::<String>())
    }
}

/// FNV-1a, 64 bits (draft-eastlake-fnv; constants from memory): tells
/// two texts apart, no more.
pub fn mark_of(words: &str) -> u64 {
    words.bytes().fold(0xcbf2_9ce4_8422_2325, |mark, byte| {
        (mark ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}
