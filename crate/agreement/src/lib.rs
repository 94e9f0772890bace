//! What a client is asked before she agrees, how she signs, and how that is
//! sealed and sent. Knows nothing of brows: what exactly she agrees to is
//! handed in by `ophryon-record`.
//!
//! Pure: no clock, no chance, no files. Times and one-time numbers are handed
//! in by the shells.
//!
//! | to | use |
//! |---|---|
//! | find what to ask in a language | [`texts`], [`text_for`], [`Text::asked`] |
//! | keep what she said | [`Asked`] |
//! | keep how she signed | [`Signature`] |
//! | give a value its one spelling, and its seal | [`canonical`], [`Seal`] |
//! | send it to another device and take it back | [`pack`], [`unpack`], [`Slim`] |

mod asked;
mod canonical;
mod hex;
mod packet;
mod signature;
mod slim;
mod text;
mod when;

pub use asked::{
    Answer, AskError, Asked, Caution, Kind, LONGEST_WORDS, MOST_SENTENCES, Said, Statement, TextBy,
    TextMark,
};
pub use canonical::{NoCanonicalForm, canonical, respelled};
pub use hex::{Hex, NoHex, Nonce, Seal};
pub use packet::{LONGEST_LINK, LONGEST_PACKET, PacketError, PacketKind, pack, unpack};
pub use signature::{FIELD, Signature, SignatureError, Touch};
pub use slim::{Slim, UnknownText};
pub use text::{CautionText, NEEDED_IDS, Range, StatementText, Text, TextError, text_for, texts};
pub use when::{Day, MONTHS, NoDay, NoTime, When};
