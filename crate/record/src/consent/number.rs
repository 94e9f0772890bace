//! A version's number, once it was agreed to, belongs to that shape for good.

use crate::Record;

impl Record {
    /// The number after the largest that was ever agreed to.
    fn next_version(&self) -> u32 {
        let agreed = self.consent.agreements.iter().map(|a| a.version).max();
        agreed
            .unwrap_or_default()
            .max(self.version)
            .saturating_add(1)
    }

    fn is_agreed_number(&self) -> bool {
        let all = &self.consent.agreements;
        all.iter().any(|a| a.version == self.version)
    }

    /// All that an agreement is about is the same in both.
    fn is_same_subject(&self, other: &Self) -> bool {
        self.pair == other.pair
            && self.limits == other.limits
            && self.wrap == other.wrap
            && self.plan == other.plan
            && self.shrink == other.shrink
            && self.consent.asked == other.consent.asked
    }

    /// Takes a new number where an edit changed what was agreed to.
    pub(crate) fn renumber_after(&mut self, before: &Self) {
        if self.is_agreed_number() && !self.is_same_subject(before) {
            self.version = self.next_version();
        }
    }

    /// Takes over what the client was asked and said from the record as it is
    /// now. For a step back or forth: it concerns the drawing, never her word.
    pub(crate) fn keep_her_word(&mut self, now: &Self) {
        let was_agreed = self.is_agreed_number();
        let asked_since = self.consent.asked != now.consent.asked;
        let then = std::mem::replace(&mut self.consent, now.consent.clone());
        super::remark::after_a_step(&mut self.consent.remarks, &then.remarks);
        if self.is_same_subject(now) {
            self.version = now.version;
        } else if self.is_agreed_number() && (!was_agreed || asked_since) {
            // Drawn before that number was agreed to: the number is another's.
            self.version = self.next_version();
        }
    }

    /// Nothing but what the client was asked and said is different.
    pub(crate) fn differs_in_her_word_only(&self, other: &Self) -> bool {
        let with = Self {
            consent: other.consent.clone(),
            version: other.version,
            ..self.clone()
        };
        with == *other
    }
}
