//! What all tasks that write pages share: papers as they are typed, and a word
//! on letters that no font holds.

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use ophryon_stencil::Paper;

/// A paper by its id: "a4".
pub fn paper() -> impl TypedValueParser<Value = Paper> {
    let known = Paper::ALL.map(|paper| PossibleValue::new(paper.id()).help(paper.about()));
    // Whatever the parser lets through is one of them.
    PossibleValuesParser::new(known).map(|id| Paper::from_id(&id).unwrap_or_default())
}

/// A line on letters that the PDF shows as boxes; nothing where there are none.
pub fn missing_letters(missing: &[char]) -> String {
    if missing.is_empty() {
        return String::new();
    }
    let named: Vec<_> = missing.iter().map(|c| format!("“{c}”")).collect();
    format!(
        "Mind: the letters of the PDF hold no {}; an empty box stands there. The SVG shows them \
         where the computer has them.\n",
        named.join(", ")
    )
}
