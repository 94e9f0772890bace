//! What lies between the artist's page and her client's device: one
//! invitation, and one answer to it. In memory only, for a while, once.
//!
//! Pure: the time is handed in as what passed since the server began, tokens
//! and codes as they were drawn by chance.

use std::fmt;
use std::time::Duration;

use ophryon_agreement::{Hex, Nonce, PacketKind, unpack};
use ophryon_record::{Answer, Invitation};
use serde::Serialize;

/// What a page shows to prove that it is the one; 128 bits by chance.
pub type Token = Hex<16>;

/// A code that isn't used within this time is void: long enough to read it out
/// and to get past the browser's warning.
pub const CODE_LIFE: Duration = Duration::from_secs(10 * 60);

/// Once the code was used, this long for reading, thinking and signing.
pub const ANSWER_LIFE: Duration = Duration::from_secs(60 * 60);

/// Wrong codes until the offer is closed: five guesses at a million codes.
pub const MOST_TRIES: u32 = 5;

/// After the first wrong code; each further one doubles it.
const FIRST_PAUSE: Duration = Duration::from_secs(2);

/// Answers that can't be taken, until nothing more is listened to.
const MOST_ANSWERS: u32 = 10;

/// Largest picture that may lie here, bytes.
pub const LARGEST_PICTURE: usize = 1_500_000;

/// Calls from the network within [`WINDOW`]; a device needs some ten in all.
const MOST_CALLS: u32 = 40;
const WINDOW: Duration = Duration::from_secs(10);

/// How every JPEG begins (ITU-T T.81, B.1.1.3: SOI, then another marker).
const JPEG: [u8; 3] = [0xff, 0xd8, 0xff];

/// Six digits that are read out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Code(u32);

impl Code {
    /// From bytes by chance. Four bytes over a million leave a bias of one in
    /// four thousand, which no five guesses find.
    pub fn of(bytes: [u8; 4]) -> Self {
        Self(u32::from_le_bytes(bytes) % 1_000_000)
    }

    /// As typed: digits, with blanks or hyphens between.
    fn read(text: &str) -> Option<Self> {
        let digits: String = text
            .chars()
            .filter(|c| !c.is_whitespace() && *c != '-')
            .collect();
        let sound = digits.len() == 6 && digits.bytes().all(|b| b.is_ascii_digit());
        sound.then(|| digits.parse().ok().map(Self)).flatten()
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:06}", self.0)
    }
}

/// Why something was not taken or given. The word is what a page goes by; it
/// has the sentence in the reader's own language.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, thiserror::Error)]
#[serde(tag = "refused", rename_all = "kebab-case")]
pub enum Refusal {
    /// No offer, or not any more.
    #[error("nothing is waiting here; ask the artist for a new code")]
    Nothing,
    /// Another code.
    #[error("that is another code; {left} more tries, the next in {pause} s")]
    WrongCode {
        /// Tries that are left.
        left: u32,
        /// Seconds until the next one counts.
        pause: u64,
    },
    /// Too soon after a wrong one. Not looked at.
    #[error("too soon; the next try counts in {pause} s")]
    Pause {
        /// Seconds until the next one counts.
        pause: u64,
    },
    /// That one was wrong, and it was the last.
    #[error("too many wrong codes; the offer is closed, ask the artist for a new code")]
    Closed,
    /// The code was used before.
    #[error("this code was used already; a code counts once")]
    Used,
    /// Too many calls at once.
    #[error("too much at once; wait some seconds")]
    Busy,
    /// No sound invitation.
    #[error("this is no invitation to sign; nothing was taken")]
    NoInvitation,
    /// No sound answer.
    #[error("this is no signed answer; nothing was taken")]
    NoAnswer,
    /// An answer to something else.
    #[error("this answers another question than the one that was asked here; nothing was taken")]
    OtherAnswer,
    /// No JPEG, or too large.
    #[error("a picture is a JPEG of at most 1.5 MB; nothing was taken")]
    NoPicture,
    /// The answer is here already.
    #[error("an answer is here already; nothing was taken")]
    Twice,
    /// The system gives no random numbers.
    #[error(
        "this computer gives no random numbers, so nothing secret can be made; nothing was done"
    )]
    NoChance,
    /// Another page's request.
    #[error("only Ophryon's own page may ask that; nothing was done")]
    Stranger,
    /// No such thing can be asked.
    #[error("there is nothing of that name to ask for; nothing was done")]
    Unknown,
}

/// How far an offer is, for the artist's page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(tag = "stage", rename_all = "kebab-case")]
pub enum Stage {
    /// The code waits to be used.
    Waiting {
        /// Seconds that the code is still good for.
        seconds: u64,
        /// Wrong codes so far.
        wrong: u32,
    },
    /// A device has it.
    Taken {
        /// Seconds that an answer is still waited for.
        seconds: u64,
    },
    /// The answer is here.
    Answered,
    /// Too many wrong codes.
    Closed,
    /// Its time is over, or another offer took its place.
    Gone,
}

/// What a device gets for the right code.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Given {
    /// To be shown with everything further.
    pub ticket: Token,
    /// The invitation.
    pub packet: String,
    /// A picture lies beside it.
    pub picture: bool,
}

/// The tray.
#[derive(Debug, Default)]
pub struct Tray {
    offer: Option<Offer>,
    /// When the window of calls began, and how many came in it.
    calls: (Duration, u32),
}

#[derive(Debug)]
struct Offer {
    key: Token,
    code: Code,
    packet: String,
    nonce: Nonce,
    picture: Option<Vec<u8>>,
    /// When it is over.
    until: Duration,
    wrong: u32,
    /// No code is looked at before.
    pause_until: Duration,
    way: Way,
}

#[derive(Debug)]
enum Way {
    Waiting,
    Closed,
    Taken { ticket: Token, refused: u32 },
    Answered { ticket: Token, answer: String },
}

/// Whole seconds, rounded up: what is said must not be too short.
fn seconds(until: Duration, now: Duration) -> u64 {
    let left = until.saturating_sub(now);
    left.as_secs() + u64::from(left.subsec_nanos() > 0)
}

impl Tray {
    /// Lays an invitation down, in place of any before. `key` is the artist's
    /// page's, `code` the client's.
    ///
    /// # Errors
    /// [`Refusal::NoInvitation`]; what lay there stays.
    pub fn offer(
        &mut self,
        now: Duration,
        packet: &str,
        (key, code): (Token, Code),
    ) -> Result<(), Refusal> {
        let read = Invitation::read(packet).map_err(|_| Refusal::NoInvitation)?;
        self.offer = Some(Offer {
            key,
            code,
            packet: packet.trim().to_owned(),
            nonce: read.nonce,
            picture: None,
            until: now + CODE_LIFE,
            wrong: 0,
            pause_until: now,
            way: Way::Waiting,
        });
        Ok(())
    }

    /// Lays a picture beside it.
    ///
    /// # Errors
    /// No such offer, no JPEG, or too large.
    pub fn add_picture(
        &mut self,
        now: Duration,
        key: Token,
        picture: &[u8],
    ) -> Result<(), Refusal> {
        let offer = self.offered(now, key).ok_or(Refusal::Nothing)?;
        if picture.len() > LARGEST_PICTURE || !picture.starts_with(&JPEG) {
            return Err(Refusal::NoPicture);
        }
        offer.picture = Some(picture.to_vec());
        Ok(())
    }

    /// How far it is.
    pub fn look(&mut self, now: Duration, key: Token) -> Stage {
        match self.offered(now, key) {
            None => Stage::Gone,
            Some(offer) => match offer.way {
                Way::Waiting => Stage::Waiting {
                    seconds: seconds(offer.until, now),
                    wrong: offer.wrong,
                },
                Way::Taken { .. } => Stage::Taken {
                    seconds: seconds(offer.until, now),
                },
                Way::Answered { .. } => Stage::Answered,
                Way::Closed => Stage::Closed,
            },
        }
    }

    /// The answer, for the artist's page. It stays until [`Tray::end`]: what
    /// is lost on the way can be asked for again.
    ///
    /// # Errors
    /// There is none.
    pub fn answer_of(&mut self, now: Duration, key: Token) -> Result<&str, Refusal> {
        match self.offered(now, key).map(|o| &o.way) {
            Some(Way::Answered { answer, .. }) => Ok(answer),
            _ => Err(Refusal::Nothing),
        }
    }

    /// Clears the tray.
    pub fn end(&mut self, now: Duration, key: Token) {
        if self.offered(now, key).is_some() {
            self.offer = None;
        }
    }

    /// Counts a call from the network.
    ///
    /// # Errors
    /// [`Refusal::Busy`].
    pub fn call(&mut self, now: Duration) -> Result<(), Refusal> {
        let (begun, count) = &mut self.calls;
        if now.saturating_sub(*begun) >= WINDOW {
            self.calls = (now, 1);
            return Ok(());
        }
        *count = count.saturating_add(1);
        if *count > MOST_CALLS {
            return Err(Refusal::Busy);
        }
        Ok(())
    }

    /// A device shows a code.
    ///
    /// # Errors
    /// Another code, too soon, or nothing that waits for one.
    pub fn come(&mut self, now: Duration, typed: &str, ticket: Token) -> Result<Given, Refusal> {
        let offer = self.live(now).ok_or(Refusal::Nothing)?;
        match offer.way {
            Way::Waiting => {}
            Way::Closed => return Err(Refusal::Closed),
            Way::Taken { .. } | Way::Answered { .. } => return Err(Refusal::Used),
        }
        if now < offer.pause_until {
            return Err(Refusal::Pause {
                pause: seconds(offer.pause_until, now),
            });
        }
        if Code::read(typed) != Some(offer.code) {
            return Err(offer.wrong_code(now));
        }
        offer.until = now + ANSWER_LIFE;
        offer.way = Way::Taken { ticket, refused: 0 };
        Ok(Given {
            ticket,
            packet: offer.packet.clone(),
            picture: offer.picture.is_some(),
        })
    }

    /// The same device once more, as after its page was loaded anew.
    ///
    /// # Errors
    /// Nothing is there for that ticket.
    pub fn again(&mut self, now: Duration, shown: Token) -> Result<Given, Refusal> {
        let offer = self.of_ticket(now, shown)?;
        Ok(Given {
            ticket: shown,
            packet: offer.packet.clone(),
            picture: offer.picture.is_some(),
        })
    }

    /// Hands out the picture, once.
    ///
    /// # Errors
    /// There is none any more.
    pub fn take_picture(&mut self, now: Duration, shown: Token) -> Result<Vec<u8>, Refusal> {
        let offer = self.of_ticket(now, shown)?;
        offer.picture.take().ok_or(Refusal::Nothing)
    }

    /// A device brings its answer.
    ///
    /// # Errors
    /// No sound answer to what was asked, or one is here.
    pub fn bring(&mut self, now: Duration, shown: Token, packet: &str) -> Result<(), Refusal> {
        let offer = self.of_ticket(now, shown)?;
        let Way::Taken { refused, .. } = &mut offer.way else {
            return Err(Refusal::Twice);
        };
        if *refused >= MOST_ANSWERS {
            return Err(Refusal::Closed);
        }
        let read: Result<Answer, _> = unpack(PacketKind::Answer, packet);
        let why = match read {
            Ok(answer) if answer.nonce == offer.nonce => None,
            Ok(_) => Some(Refusal::OtherAnswer),
            Err(_) => Some(Refusal::NoAnswer),
        };
        if let Some(why) = why {
            *refused += 1;
            return Err(why);
        }
        offer.picture = None;
        offer.way = Way::Answered {
            ticket: shown,
            answer: packet.trim().to_owned(),
        };
        Ok(())
    }

    /// The offer, while its time lasts; then it is gone from memory as well.
    fn live(&mut self, now: Duration) -> Option<&mut Offer> {
        self.sweep(now);
        self.offer.as_mut()
    }

    /// Lets go of what is past its time.
    pub fn sweep(&mut self, now: Duration) {
        self.offer.take_if(|offer| now >= offer.until);
    }

    fn offered(&mut self, now: Duration, key: Token) -> Option<&mut Offer> {
        self.live(now).filter(|offer| offer.key == key)
    }

    fn of_ticket(&mut self, now: Duration, shown: Token) -> Result<&mut Offer, Refusal> {
        let mine = |offer: &&mut Offer| match &offer.way {
            Way::Taken { ticket, .. } | Way::Answered { ticket, .. } => *ticket == shown,
            Way::Waiting | Way::Closed => false,
        };
        self.live(now).filter(mine).ok_or(Refusal::Nothing)
    }
}

impl Offer {
    fn wrong_code(&mut self, now: Duration) -> Refusal {
        self.wrong += 1;
        if self.wrong >= MOST_TRIES {
            self.way = Way::Closed;
            self.picture = None;
            return Refusal::Closed;
        }
        let pause = FIRST_PAUSE * 2_u32.pow(self.wrong - 1);
        self.pause_until = now + pause;
        Refusal::WrongCode {
            left: MOST_TRIES - self.wrong,
            pause: pause.as_secs(),
        }
    }
}

#[cfg(test)]
mod tests;
