//! What tells one client's file from every other, wherever it travels.

use std::fmt::Write;

use crate::Record;

/// Characters of an identity: 128 bits in hexadecimal digits, so that two
/// devices never give the same one by chance.
const DIGITS: usize = 32;

impl Record {
    /// Gives the file its lasting identity, from sixteen random bytes that the
    /// shell hands in. One that has an identity keeps it.
    pub fn identify(&mut self, random: [u8; 16]) {
        if self.id.is_none() {
            self.id = Some(random.iter().fold(String::new(), |mut text, byte| {
                // Into memory: can't fail.
                let _ = write!(text, "{byte:02x}");
                text
            }));
        }
    }
}

/// What is wrong with an identity that a file states.
pub(crate) fn flaw(id: &str) -> Option<String> {
    let digit = |b: u8| b.is_ascii_digit() || (b'a'..=b'f').contains(&b);
    let sound = id.len() == DIGITS && id.bytes().all(digit);
    (!sound).then(|| {
        format!("it is no identity of {DIGITS} hexadecimal digits; leave it out, and the file gets a new one")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_identity_is_given_once() {
        let mut record = Record::new("K7");
        record.identify([0xA0; 16]);
        record.identify([7; 16]);
        assert_eq!(record.id.as_deref(), Some("a0".repeat(16).as_str()));
        let text = record.to_json().unwrap();
        assert_eq!(Record::from_json(&text).unwrap(), record);
    }

    #[test]
    fn another_identity_is_named_as_a_problem() {
        for wrong in [
            "",
            "a0",
            &"A0".repeat(16),
            "../../../../../../../etc/passwd..",
        ] {
            let record = Record {
                id: Some(wrong.to_owned()),
                ..Record::new("K7")
            };
            assert_eq!(record.problems()[0].field, "id");
        }
    }
}
