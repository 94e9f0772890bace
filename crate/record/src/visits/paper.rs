//! The visit sheet: one visit on paper, for the file that local rules may ask
//! for.

use ophryon_agreement::{Answer, Day};
use ophryon_frames::Side;
use ophryon_stencil::{Block, Paper, Sheet, Written, lay_out_written};

use super::{NO_ADVICE, STRETCHING, SupplyKind, Visit, Zone, ZoneWork, clock_words};
use crate::{AgreedState, Image, Record};

/// What the sheet is no replacement of.
const LOCAL_RULES: &str = "Local rules decide what has to be written down, for how long it is kept and who may see it. Where they prescribe a form, that form comes first; this sheet holds what was entered in Ophryon.";

/// How it is put on paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct VisitSheetOptions {
    /// Office paper; small paper gives way to it.
    pub paper: Paper,
    /// With the client's name beside her code.
    pub with_name: bool,
    /// The day it is made on, where the shell knows it.
    pub made: Option<Day>,
}

impl Record {
    /// One visit on paper, by its number in [`Record::visits`]; `None` where
    /// there is no such visit.
    pub fn visit_sheet(&self, visit: usize, options: &VisitSheetOptions) -> Option<Vec<Sheet>> {
        let one = self.visits.get(visit)?;
        let mut blocks = vec![];
        self.whose(visit, one, options, &mut blocks);
        self.before_the_needle(&mut blocks);
        supplies(one, &mut blocks);
        work(one, &mut blocks);
        skin(one, &mut blocks);
        if let Some(check) = &one.healed {
            blocks.push(Block::Head("What had healed".to_owned()));
            blocks.extend(check.lines().into_iter().map(Block::Words));
        }
        self.photos_and_notes(one, &mut blocks);
        next(one, &mut blocks);
        blocks.push(Block::Quiet(LOCAL_RULES.to_owned()));
        blocks.push(Block::Signatures(vec![
            "artist: name, signature, day".to_owned(),
            "client: signature, day".to_owned(),
        ]));
        let code = &self.client.code;
        let made = options.made.map(Day::in_words);
        let made = made.map_or_else(String::new, |day| format!(", printed on {day}"));
        let written = Written {
            id: "visit-sheet",
            title: format!("Visit sheet, client {code}, {}", one.words()),
            heading: "Visit sheet".to_owned(),
            about: format!("Client {code}, {}{made}", one.words()),
            blocks,
        };
        Some(lay_out_written(&written, options.paper))
    }

    fn whose(&self, visit: usize, one: &Visit, options: &VisitSheetOptions, to: &mut Vec<Block>) {
        to.push(fact("client", self.client.code.clone()));
        if let Some(name) = self.client.name.as_ref().filter(|_| options.with_name) {
            to.push(fact("name", name.clone()));
        }
        let log = self.visit_log();
        let place = log.iter().position(|(number, _)| *number == visit);
        let place = place.map_or(0, |n| n + 1);
        to.push(fact(
            "visit",
            format!("{}, number {place} of {}", one.words(), log.len()),
        ));
        let agreed = self.agreed();
        let mut shape = match self.pair {
            Some(_) => format!("version {}. {}", self.version, agreed.sentence()),
            None => "none is drawn in this file".to_owned(),
        };
        if let AgreedState::Agreed { seal, .. } = &agreed {
            shape.push_str(&format!(" The whole seal: {seal}"));
        }
        to.push(fact("shape, as the file stands", shape));
    }

    /// Cautions that she flagged or left open.
    fn before_the_needle(&self, to: &mut Vec<Block>) {
        to.push(Block::Head(
            "Cautions flagged, not sure or not answered".to_owned(),
        ));
        let Some(asked) = &self.consent.asked else {
            let words = "The client was not asked about cautions in Ophryon.";
            to.push(Block::Words(words.to_owned()));
            return;
        };
        let before = to.len();
        for caution in asked.for_a_doctor() {
            let words = caution.words_and_advice();
            to.push(match caution.answer {
                Answer::DoctorFirst => Block::Mind(format!("Flagged: {words}")),
                Answer::NotSure => Block::Mind(format!("She isn’t sure: {words}")),
                Answer::NotMe | Answer::Unanswered => {
                    Block::Words(format!("Not answered: {words}"))
                }
            });
        }
        if to.len() == before {
            let words = "None: the client was asked, and flagged nothing.";
            to.push(Block::Words(words.to_owned()));
        }
    }

    fn photos_and_notes(&self, one: &Visit, to: &mut Vec<Block>) {
        if !one.photos.is_empty() {
            to.push(Block::Head("Photos kept with the client's file".to_owned()));
            let names: Vec<_> = one.photos.iter().map(|id| self.photo_words(id)).collect();
            to.push(Block::Words(names.join(", ")));
        }
        if !one.notes.trim().is_empty() {
            to.push(Block::Head("Notes".to_owned()));
            to.push(Block::Words(one.notes.clone()));
        }
    }

    fn photo_words(&self, id: &str) -> String {
        match self.photo(id) {
            Some(photo) if photo.erased => format!("{id} (erased)"),
            Some(photo) => match &photo.image {
                Image::File { name } => name.clone(),
                Image::Embedded { .. } => id.to_owned(),
            },
            None => id.to_owned(),
        }
    }
}

fn fact(name: &str, words: String) -> Block {
    let name = name.to_owned();
    Block::Fact { name, words }
}

/// What was used, and what of it deserved a second look on that day.
fn supplies(one: &Visit, to: &mut Vec<Block>) {
    to.push(Block::Head("Tools, pigments, needles".to_owned()));
    let mut rows = vec![];
    for (what, kind) in [("tool", SupplyKind::Tool), ("pigment", SupplyKind::Pigment)] {
        for supply in one.supplies(kind) {
            let expires = supply.expires.map(Day::in_words);
            rows.push(vec![
                what.to_owned(),
                supply.name.clone(),
                or_dash(&supply.maker),
                or_dash(&supply.batch),
                expires.unwrap_or_else(|| DASH.to_owned()),
            ]);
        }
    }
    let needles = one.needle_batch.trim();
    if !needles.is_empty() {
        let dash = || DASH.to_owned();
        let name = String::new();
        rows.push(vec![
            "needles".to_owned(),
            name,
            dash(),
            needles.to_owned(),
            dash(),
        ]);
    }
    if rows.is_empty() {
        to.push(Block::Words("Nothing was entered.".to_owned()));
    } else {
        let columns = [
            (1.0, "what"),
            (2.6, "name"),
            (2.2, "maker"),
            (2.2, "batch"),
            (2.2, "to be used until"),
        ];
        let columns = columns.map(|(share, head)| (share, head.to_owned()));
        to.push(Block::Table {
            columns: columns.to_vec(),
            rows,
        });
    }
    for warning in one.warnings(one.day) {
        to.push(Block::Mind(format!("Mind: {warning}.")));
    }
}

const DASH: &str = "–";

fn or_dash(text: &str) -> String {
    if text.trim().is_empty() {
        DASH.to_owned()
    } else {
        text.to_owned()
    }
}

/// Passes, time and the skin's answer, zone by zone.
fn work(one: &Visit, to: &mut Vec<Block>) {
    to.push(Block::Head("Passes and time, zone by zone".to_owned()));
    let sum = |side: Side, of: fn(&ZoneWork) -> u32| -> u32 {
        let zones = one.work.get(side).iter();
        zones.fold(0, |sum, (_, work)| sum.saturating_add(of(work)))
    };
    let is_done = |work: &ZoneWork| *work != ZoneWork::default();
    if !Side::BOTH
        .into_iter()
        .any(|side| one.work.get(side).iter().any(|(_, work)| is_done(work)))
    {
        to.push(Block::Words("Nothing was counted.".to_owned()));
        return;
    }
    let cells = |passes: u32, seconds: u32, skin: String| {
        let passes = match passes {
            0 => DASH.to_owned(),
            n => n.to_string(),
        };
        let time = match seconds {
            0 => DASH.to_owned(),
            n => clock_words(n),
        };
        [passes, time, or_dash(&skin)]
    };
    let mut rows = vec![];
    for zone in Zone::ALL {
        let mut row = vec![zone.name().to_owned()];
        for side in Side::BOTH {
            let work = one.work.get(side).get(zone);
            let skin: Vec<_> = work.skin.iter().map(|answer| answer.words()).collect();
            row.extend(cells(work.passes, work.seconds, skin.join(", ")));
        }
        rows.push(row);
    }
    let mut row = vec!["in all".to_owned()];
    for side in Side::BOTH {
        let passes = sum(side, |work| work.passes);
        let [passes, time, _] = cells(passes, sum(side, |work| work.seconds), String::new());
        row.extend([passes, time, String::new()]);
    }
    rows.push(row);
    let columns = [
        (1.0, "zone"),
        (1.4, "client's right: passes"),
        (1.0, "time"),
        (1.6, "skin"),
        (1.4, "client's left: passes"),
        (1.0, "time"),
        (1.6, "skin"),
    ];
    let columns = columns.map(|(share, head)| (share, head.to_owned()));
    to.push(Block::Table {
        columns: columns.to_vec(),
        rows,
    });
}

/// How the skin answered, and what was advised.
fn skin(one: &Visit, to: &mut Vec<Block>) {
    let answers = one.skin_answers();
    if answers.is_empty() {
        return;
    }
    to.push(Block::Head(
        "How the skin answered, and what Ophryon advised".to_owned(),
    ));
    for answer in answers {
        to.push(Block::Words(answer.caution().to_owned()));
    }
    to.push(Block::Words(STRETCHING.to_owned()));
    to.push(Block::Quiet(NO_ADVICE.to_owned()));
}

fn next(one: &Visit, to: &mut Vec<Block>) {
    to.push(Block::Head("Next visit".to_owned()));
    let words = match (one.next, one.proposed_next()) {
        (Some(next), _) => format!("Settled: {}.", next.words()),
        (None, Some(proposed)) => format!("Not settled. Common is: {}.", proposed.words()),
        (None, None) => "Not settled.".to_owned(),
    };
    to.push(Block::Words(words));
}
