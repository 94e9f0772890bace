//! Coins as things of known size: round, hard, in every purse.
//!
//! Only round coins are here: of a many-sided one nobody can say which
//! breadth was tapped. Diameters in mm, as their mints publish them:
//!
//! - euro: Council Regulation (EU) No 729/2014, Annex I (2 and 1 euro and
//!   50 cent read in the summary of EUR-Lex, the others on pages that quote
//!   it);
//! - United States: the Mint's page of coin specifications;
//! - United Kingdom: the Royal Mint's figures, read on pages that quote them.

use serde::{Deserialize, Serialize};

/// A coin of known diameter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Coin {
    /// 2 euro.
    Euro2,
    /// 1 euro.
    Euro1,
    /// 50 euro cent.
    Cent50,
    /// 10 euro cent.
    Cent10,
    /// 5 euro cent.
    Cent5,
    /// 2 euro cent.
    Cent2,
    /// 1 euro cent.
    Cent1,
    /// Quarter dollar.
    UsQuarter,
    /// Dime.
    UsDime,
    /// Nickel.
    UsNickel,
    /// One cent.
    UsCent,
    /// Half dollar.
    UsHalfDollar,
    /// One dollar.
    UsDollar,
    /// 2 pounds.
    Pounds2,
    /// 10 pence.
    Pence10,
    /// 5 pence.
    Pence5,
    /// 2 pence.
    Pence2,
    /// 1 penny.
    Penny1,
}

/// Standard uncertainty of a coin's diameter, mm: mints keep to a few
/// hundredths, wear and a dirty rim take as much. Ours.
pub(crate) const COIN_SD_MM: f64 = 0.05;

impl Coin {
    /// All, by currency and then by value.
    pub const ALL: [Self; 18] = [
        Self::Euro2,
        Self::Euro1,
        Self::Cent50,
        Self::Cent10,
        Self::Cent5,
        Self::Cent2,
        Self::Cent1,
        Self::UsDollar,
        Self::UsHalfDollar,
        Self::UsQuarter,
        Self::UsDime,
        Self::UsNickel,
        Self::UsCent,
        Self::Pounds2,
        Self::Pence10,
        Self::Pence5,
        Self::Pence2,
        Self::Penny1,
    ];

    /// Its diameter, mm.
    pub const fn diameter_mm(self) -> f64 {
        match self {
            Self::Euro2 => 25.75,
            Self::Euro1 => 23.25,
            Self::Cent50 => 24.25,
            Self::Cent10 => 19.75,
            Self::Cent5 => 21.25,
            Self::Cent2 => 18.75,
            Self::Cent1 => 16.25,
            Self::UsQuarter => 24.26,
            Self::UsDime => 17.91,
            Self::UsNickel => 21.21,
            Self::UsCent => 19.05,
            Self::UsHalfDollar => 30.61,
            Self::UsDollar => 26.49,
            Self::Pounds2 => 28.4,
            Self::Pence10 => 24.5,
            Self::Pence5 => 18.0,
            Self::Pence2 => 25.9,
            Self::Penny1 => 20.3,
        }
    }

    /// What it is called in a list: "1 euro", "US quarter".
    pub const fn name(self) -> &'static str {
        match self {
            Self::Euro2 => "2 euro",
            Self::Euro1 => "1 euro",
            Self::Cent50 => "50 euro cent",
            Self::Cent10 => "10 euro cent",
            Self::Cent5 => "5 euro cent",
            Self::Cent2 => "2 euro cent",
            Self::Cent1 => "1 euro cent",
            Self::UsQuarter => "US quarter",
            Self::UsDime => "US dime",
            Self::UsNickel => "US nickel",
            Self::UsCent => "US cent",
            Self::UsHalfDollar => "US half dollar",
            Self::UsDollar => "US dollar",
            Self::Pounds2 => "2 pounds",
            Self::Pence10 => "10 pence",
            Self::Pence5 => "5 pence",
            Self::Pence2 => "2 pence",
            Self::Penny1 => "1 penny",
        }
    }
}
