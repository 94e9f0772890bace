//! One spelling for each value: JSON in the canonical form of RFC 8785.
//!
//! No blanks; fields in the order of their names' UTF-16 units; numbers as
//! ECMAScript writes a double (shortest digits that bring it back; -0 as 0);
//! text in UTF-8, with no more escapes than JSON needs. The same value gives
//! the same bytes natively, in the browser, and in whatever order its fields
//! were written.

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

/// A value that has no canonical form: a number that is none.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("this can't be sealed: {why}")]
pub struct NoCanonicalForm {
    /// What stands in the way.
    pub why: String,
}

/// The canonical form; reading it gives the value back.
///
/// # Errors
/// A value that doesn't come back: JSON has no NaN and no infinity.
pub fn canonical<T>(value: &T) -> Result<String, NoCanonicalForm>
where
    T: Serialize + DeserializeOwned + PartialEq,
{
    let json = written(value)?;
    // Deep inside lists and fields the writer makes null of what is no number.
    match serde_json::from_str::<T>(&json) {
        Ok(again) if again == *value => Ok(json),
        _ => Err(failed("a number in it is none")),
    }
}

/// The canonical form of what a JSON text says, whatever its spelling.
///
/// # Errors
/// Text that is no JSON.
pub fn respelled(json: &str) -> Result<String, NoCanonicalForm> {
    let value: Value = serde_json::from_str(json).map_err(failed)?;
    written(&value)
}

fn written(value: &impl Serialize) -> Result<String, NoCanonicalForm> {
    let bytes = serde_json_canonicalizer::to_vec(value).map_err(failed)?;
    String::from_utf8(bytes).map_err(failed)
}

fn failed(why: impl ToString) -> NoCanonicalForm {
    NoCanonicalForm {
        why: why.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(json: &str) -> String {
        respelled(json).unwrap()
    }

    /// Names and text: RFC 8785, sections 3.2.2 to 3.2.3, and the test data
    /// of its authors (cyberphone/json-canonicalization, folder `testdata`:
    /// values, structures, french, weird). Its numbers are in tests/seal.
    #[test]
    fn the_published_examples_come_out_as_published() {
        let values = r#"{"numbers": [1E30, 4.50, 333333333.33333329, 2e-3, 0.000000000000000000000000001],
            "escaping": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
            "literals": [null, true, false]}"#;
        assert_eq!(
            of(values),
            "{\"escaping\":\"€$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\",\"literals\":[null,true,false],\
             \"numbers\":[1e+30,4.5,333333333.3333333,0.002,1e-27]}"
        );
        let structures = r#"{"1": {"f": {"f": "hi","F": 5} ,"\n": 56.0}, "10": { }, "": "empty",
            "a": { }, "111": [ { } ], "A": { }}"#;
        assert_eq!(
            of(structures),
            r#"{"":"empty","1":{"\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{}],"A":{},"a":{}}"#
        );
        let french = r#"{"peach": "This sorting order", "péché": "is wrong according to French",
            "pêche": "but canonicalization MUST", "sin":   "ingnore locale"}"#;
        assert_eq!(
            of(french),
            "{\"peach\":\"This sorting order\",\"péché\":\"is wrong according to French\",\
             \"pêche\":\"but canonicalization MUST\",\"sin\":\"ingnore locale\"}"
        );
        // UTF-16 units, not code points: the smiley before the Hebrew letter.
        let weird = r#"{"\u20ac": "Euro Sign", "1": "One", "\u0080": "Control\u007f",
            "\ud83d\ude02": "Smiley", "\u00f6": "Latin Small Letter O With Diaeresis",
            "\ufb33": "Hebrew Letter Dalet With Dagesh", "</script>": "Browser Challenge"}"#;
        assert_eq!(
            of(weird),
            "{\"1\":\"One\",\"</script>\":\"Browser Challenge\",\"\u{80}\":\"Control\u{7f}\",\
             \"ö\":\"Latin Small Letter O With Diaeresis\",\"€\":\"Euro Sign\",\
             \"😂\":\"Smiley\",\"\u{fb33}\":\"Hebrew Letter Dalet With Dagesh\"}"
        );
    }

    #[test]
    fn what_is_no_number_is_refused_and_minus_zero_is_zero() {
        for none in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(canonical(&none).is_err());
            assert!(canonical(&[1.0, none]).is_err());
            assert!(canonical(&Some(none)).is_err());
        }
        assert_eq!(canonical(&[-0.0, 0.0]).unwrap(), "[0,0]");
    }
}
