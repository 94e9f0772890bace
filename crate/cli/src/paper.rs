//! What all tasks that write pages share: names of papers, and a word on
//! letters that no font holds.

use clap::ValueEnum;
use ophryon_stencil::Paper;

/// A size of paper as it is typed.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum PaperName {
    /// 210 x 297 mm
    A4,
    /// 8.5 x 11 in
    Letter,
}

impl PaperName {
    /// The paper.
    pub const fn paper(self) -> Paper {
        match self {
            Self::A4 => Paper::A4,
            Self::Letter => Paper::Letter,
        }
    }
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
