//! What makes a record unusable: numbers that are none, or that no face has.
//!
//! Only what no work can go on with. Taps and points that contradict each
//! other are told when they are measured or drawn, so that a file with such
//! can still be opened and mended.

use std::fmt;

use ophryon_brow::{BrowPoints, Limits, Pair, PointError};
use ophryon_face::{Held, LONGEST_REFERENCE_MM, MOST_NEARER_MM, Reference};
use ophryon_frames::{Photo as Px, Point, Side, Wrap};

use crate::photo::mean_of;
use crate::{
    Client, Image, MOST_VARIANTS, Optics, Photo, PlanChoice, Record, SCHEMA, TapeLine, Variant,
    WrapChoice, visits,
};

/// Smallest and largest photo, px. Below, no eye corner can be told; above,
/// no camera.
const PHOTO_PX: (u32, u32) = (100, 20_000);
/// Photos of one client, those of all her visits among them; more is a
/// mistake in a file.
pub(crate) const MOST_PHOTOS: usize = 200;
/// References in one photo; there is no more than this to hold beside a face.
const MOST_REFERENCES: usize = 10;
/// Taps of one landmark; the spread is known after a few.
const MOST_TAPS: usize = 20;
/// Furthest that a landmark may lie from the mean of its taps, px: rounding.
const MEAN_PX: f64 = 0.01;
/// Shortest and longest focal length on 36 x 24 mm film, mm, and in px: from
/// the widest lens of a telephone to a telescope's.
const FOCAL_MM: (f64, f64) = (5.0, 2_000.0);
const FOCAL_PX: (f64, f64) = (50.0, 1_000_000.0);
/// Least certain and surest that the assistance may be, px.
const SNAP_SD_PX: (f64, f64) = (0.001, 100.0);
/// Largest cap, and furthest beyond the hair, mm: the largest offset.
const LARGEST_CAP_MM: f64 = ophryon_brow::LARGEST_OFFSET;
/// Points of one traced border: one per 0.1 mm round a brow.
const MOST_BORDER: usize = 2_000;
/// Characters of a code, a name, an id or a file name.
const LONGEST_NAME: usize = 100;
/// Characters of a note.
const LONGEST_NOTE: usize = 20_000;
/// Furthest that a start may be set off its line, mm.
const MOST_START_OFFSET_MM: f64 = 15.0;
/// Shortest and longest tape along a brow, mm.
const TAPE_MM: (f64, f64) = (20.0, 110.0);
/// Nearest and furthest middle of an ear over the skin, mm: half the arc from
/// ear to ear over the brow (Gordon et al. 1989, about 287 mm in women, from
/// memory) with room for every head.
const EAR_MM: (f64, f64) = (90.0, 200.0);
/// Least and most that a ruler can read along or above a brow, mm; a tail may
/// lie below the pupil line.
const READING_MM: (f64, f64) = (-50.0, 200.0);
/// Largest limit in mm or degrees that still asks for anything.
const LARGEST_LIMIT: f64 = 50.0;

/// Something in the file that can't be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Where in the file: `photos[0].landmarks.right.pupil`.
    pub field: String,
    /// What is wrong and the way out, in one sentence without a full stop.
    pub sentence: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.field, self.sentence)
    }
}

/// Collects problems under a path.
pub(crate) struct Sieve {
    found: Vec<Problem>,
}

impl Sieve {
    pub(crate) fn add(&mut self, field: impl Into<String>, sentence: impl Into<String>) {
        self.found.push(Problem {
            field: field.into(),
            sentence: sentence.into(),
        });
    }

    fn range(&mut self, field: &str, value: f64, (least, most): (f64, f64), unit: &str) {
        if !(least..=most).contains(&value) {
            self.add(
                field,
                format!("{value} {unit} can't be right; it lies between {least} and {most} {unit}"),
            );
        }
    }

    pub(crate) fn name(&mut self, field: &str, text: &str) {
        if text.trim().is_empty() {
            self.add(field, "it is empty; enter something short");
        } else if text.chars().count() > LONGEST_NAME {
            self.add(
                field,
                format!("it is longer than {LONGEST_NAME} characters; shorten it"),
            );
        } else if text.chars().any(char::is_control) {
            self.add(
                field,
                "it holds a line break or another control character; write it on one line",
            );
        }
    }

    fn tap(&mut self, field: &str, p: Point<Px>, photo: &Photo) {
        let (width, height) = (f64::from(photo.width_px), f64::from(photo.height_px));
        if !p.is_finite() {
            self.add(field, "it is not a number; tap it again");
        } else if !(0.0..=width).contains(&p.x) || !(0.0..=height).contains(&p.y) {
            self.add(
                field,
                format!(
                    "{:.1}, {:.1} lies outside the photo of {width} x {height} px; tap it again inside",
                    p.x, p.y
                ),
            );
        }
    }
}

impl Record {
    /// Everything in it that can't be used; empty for whatever was read or
    /// edited.
    pub fn problems(&self) -> Vec<Problem> {
        let mut sieve = Sieve { found: Vec::new() };
        let s = &mut sieve;
        if self.schema != SCHEMA {
            s.add("schema", format!("it must be {SCHEMA}"));
        }
        if self.version == 0 {
            s.add("version", "versions count from 1; set it to 1");
        }
        if let Some(words) = self.id.as_deref().and_then(crate::identity::flaw) {
            s.add("id", words);
        }
        client(s, &self.client);
        if self.photos.len() > MOST_PHOTOS {
            s.add(
                "photos",
                format!(
                    "{} photos are more than the {MOST_PHOTOS} that one client can have; remove some",
                    self.photos.len()
                ),
            );
        }
        for (i, one) in self.photos.iter().take(MOST_PHOTOS).enumerate() {
            let at = format!("photos[{i}]");
            photo(s, &at, one);
            if self.photos[..i].iter().any(|p| p.id == one.id) {
                s.add(
                    format!("{at}.id"),
                    format!("“{}” is another photo's id too; give it its own", one.id),
                );
            }
        }
        let most = MOST_START_OFFSET_MM;
        s.range(
            "rules.start-offset-mm",
            self.rules.start_offset_mm,
            (-most, most),
            "mm",
        );
        limits(s, "limits", &self.limits);
        wrap(s, &self.wrap);
        for (side, tape) in self.ear_tape_mm.iter() {
            if let Some(mm) = *tape {
                s.range(&format!("ear-tape-mm.{}", side.name()), mm, EAR_MM, "mm");
            }
        }
        plan(s, &self.plan);
        ruler(s, self);
        if let Some(one) = &self.pair {
            pair(s, "pair", one);
        }
        variants(s, &self.variants);
        if let Some(why) = self.shrink.problem() {
            s.add("shrink", why.to_string());
        }
        if let Some((field, words)) = self.consent.problem() {
            s.add(field, words);
        }
        visits::problems(s, self);
        sieve.found.extend(self.answer_problems());
        sieve.found
    }
}

fn client(s: &mut Sieve, client: &Client) {
    s.name("client.code", &client.code);
    if let Some(name) = &client.name {
        s.name("client.name", name);
    }
    note(s, "client.note", &client.note);
}

pub(crate) fn note(s: &mut Sieve, field: &str, text: &str) {
    if text.chars().count() > LONGEST_NOTE {
        s.add(
            field,
            format!("it is longer than {LONGEST_NOTE} characters; shorten it"),
        );
    }
}

fn photo(s: &mut Sieve, at: &str, photo: &Photo) {
    s.name(&format!("{at}.id"), &photo.id);
    let (least, most) = PHOTO_PX;
    for (field, px) in [("width-px", photo.width_px), ("height-px", photo.height_px)] {
        if !(least..=most).contains(&px) {
            s.add(
                format!("{at}.{field}"),
                format!("{px} px is no photo's size; it lies between {least} and {most} px"),
            );
        }
    }
    match &photo.image {
        Image::File { name } => {
            let field = format!("{at}.image.name");
            s.name(&field, name);
            if name.contains(['/', '\\', ':']) || name == ".." || name == "." {
                s.add(
                    field,
                    "it must be a plain file name; put the photo beside the client's file",
                );
            }
        }
        Image::Embedded { media_type, base64 } => {
            if !matches!(media_type.as_str(), "image/jpeg" | "image/png") {
                s.add(
                    format!("{at}.image.media-type"),
                    "only image/jpeg and image/png can be used; save the photo as JPEG or PNG",
                );
            }
            if base64.is_empty() {
                s.add(
                    format!("{at}.image.base64"),
                    "the photo is empty; bring it again",
                );
            }
        }
    }
    for (landmark, p) in photo.landmarks.iter() {
        let field = format!("{at}.landmarks.{}", landmark.id().replace('/', "."));
        s.tap(&field, p, photo);
    }
    taps_and_snaps(s, at, photo);
    match photo.optics {
        Some(Optics::Equivalent { focal_mm }) => {
            s.range(&format!("{at}.optics.focal-mm"), focal_mm, FOCAL_MM, "mm");
        }
        Some(Optics::Pixels { focal_px }) => {
            s.range(&format!("{at}.optics.focal-px"), focal_px, FOCAL_PX, "px");
        }
        None => {}
    }
    if photo.references.len() > MOST_REFERENCES {
        s.add(
            format!("{at}.references"),
            format!(
                "{} references are more than the {MOST_REFERENCES} that a photo can have; remove some",
                photo.references.len()
            ),
        );
    }
    for (i, one) in photo.references.iter().take(MOST_REFERENCES).enumerate() {
        reference(s, &format!("{at}.references[{i}]"), one, photo);
    }
    for side in Side::BOTH {
        let (border, field) = (photo.hair.get(side), format!("{at}.hair.{}", side.name()));
        match border.len() {
            0 => {}
            1 | 2 => s.add(
                field,
                "a border needs at least three points; trace it again",
            ),
            n if n > MOST_BORDER => s.add(
                field,
                format!(
                    "{n} points are more than the {MOST_BORDER} a border can have; trace it again"
                ),
            ),
            _ => {
                for (i, p) in border.iter().enumerate() {
                    s.tap(&format!("{field}[{i}]"), *p, photo);
                }
            }
        }
    }
}

/// How landmarks came to where they are.
fn taps_and_snaps(s: &mut Sieve, at: &str, photo: &Photo) {
    for (landmark, taps) in &photo.repeated_taps {
        let field = format!("{at}.repeated-taps.{}", landmark.id());
        if !(2..=MOST_TAPS).contains(&taps.len()) {
            s.add(
                field,
                format!(
                    "{} taps of one landmark can't be kept, only 2 to {MOST_TAPS}; tap it anew",
                    taps.len()
                ),
            );
            continue;
        }
        for (i, p) in taps.iter().enumerate() {
            s.tap(&format!("{field}[{i}]"), *p, photo);
        }
        let mean = mean_of(taps);
        let lies = photo.landmarks.get(*landmark);
        if mean.is_finite() && !lies.is_some_and(|p| p.distance(mean) <= MEAN_PX) {
            s.add(
                field,
                "the landmark does not lie at the mean of its taps; tap it anew",
            );
        }
    }
    for (landmark, snap) in &photo.snapped {
        let field = format!("{at}.snapped.{}", landmark.id());
        s.tap(&format!("{field}.tapped"), snap.tapped, photo);
        if let Some(sd) = snap.sd_px {
            s.range(&format!("{field}.sd-px"), sd, SNAP_SD_PX, "px");
        }
        if photo.landmarks.get(*landmark).is_none() {
            s.add(field, "the landmark itself is missing; tap it anew");
        }
    }
}

fn plan(s: &mut Sieve, plan: &PlanChoice) {
    if !(0.0..=1.0).contains(&plan.share) {
        s.add(
            "plan.share",
            format!("{} is no share; it lies between 0 and 1", plan.share),
        );
    }
    let most = (0.0, LARGEST_CAP_MM);
    for (side, cap) in plan.cap_mm.iter() {
        if let Some(mm) = *cap {
            s.range(&format!("plan.cap-mm.{}", side.name()), mm, most, "mm");
        }
    }
    if let Some(mm) = plan.beyond_hair_mm {
        s.range("plan.beyond-hair-mm", mm, most, "mm");
    }
}

fn reference(s: &mut Sieve, at: &str, reference: &Reference, photo: &Photo) {
    let mut taps = |name: &str, taps: &[Point<Px>]| {
        for (i, p) in taps.iter().enumerate() {
            s.tap(&format!("{at}.{name}[{i}]"), *p, photo);
        }
    };
    let length = match reference {
        Reference::Card { long, short, .. } => {
            taps("long", long);
            if let Some(short) = short {
                taps("short", short);
            }
            None
        }
        Reference::Ruler {
            ends, length_mm, ..
        } => {
            taps("ends", ends);
            Some(("length-mm", *length_mm))
        }
        Reference::Sticker {
            rim, diameter_mm, ..
        } => {
            taps("rim", rim);
            Some(("diameter-mm", *diameter_mm))
        }
        Reference::Coin { rim, .. } => {
            taps("rim", rim);
            None
        }
        Reference::Caliper { distance_mm, .. } => Some(("distance-mm", *distance_mm)),
        Reference::Iris { rim, .. } => {
            taps("rim", rim);
            None
        }
    };
    if let Some(Held::Nearer { mm }) = reference.held() {
        let most = (-MOST_NEARER_MM, MOST_NEARER_MM);
        s.range(&format!("{at}.held.mm"), mm, most, "mm");
    }
    if let Some((name, mm)) = length {
        // A millimetre is the least that can be tapped at both ends.
        s.range(
            &format!("{at}.{name}"),
            mm,
            (1.0, LONGEST_REFERENCE_MM),
            "mm",
        );
    }
}

fn limits(s: &mut Sieve, at: &str, limits: &Limits) {
    if let Some(words) = limits.problem() {
        s.add(at, words);
    }
    for (name, value) in [
        ("straight-mm", limits.straight_mm),
        ("peak-radius-mm", limits.peak_radius_mm),
        ("arch-behind-most-mm", limits.arch_behind_most_mm),
        ("aim-degrees", limits.aim_degrees),
        ("inflections", f64::from(limits.inflections)),
        ("hair-step-most-mm", limits.hair_step_most_mm.unwrap_or(1.0)),
    ] {
        if value > LARGEST_LIMIT {
            s.add(
                format!("{at}.{name}"),
                format!("{value} is no limit any more; it is at most {LARGEST_LIMIT}"),
            );
        }
    }
}

fn wrap(s: &mut Sieve, choice: &WrapChoice) {
    match *choice {
        WrapChoice::Tape(tapes) => {
            for (side, tapes) in tapes.iter() {
                for (line, mm) in tapes.iter() {
                    let line = match line {
                        TapeLine::StartToTail => "start-to-tail-mm",
                        TapeLine::MidlineToTail => "midline-to-tail-mm",
                    };
                    s.range(&format!("wrap.{}.{line}", side.name()), mm, TAPE_MM, "mm");
                }
            }
            if tapes.iter().all(|(_, tapes)| tapes.is_empty()) {
                s.add(
                    "wrap",
                    "no tape is given; enter one, or choose the estimate",
                );
            }
        }
        WrapChoice::Cylinder { radius_mm } => {
            if let Err(why) = Wrap::cylinder(radius_mm) {
                s.add("wrap.radius-mm", why.to_string());
            }
        }
        WrapChoice::Estimate | WrapChoice::Flat => {}
    }
}

fn ruler(s: &mut Sieve, record: &Record) {
    for (side, readings) in record.ruler.iter() {
        for (distance, one) in readings {
            let field = |name| format!("ruler.{}.{distance}.{name}", side.name());
            s.range(&field("read-mm"), one.read_mm, READING_MM, "mm");
            s.range(&field("expected-mm"), one.expected_mm, READING_MM, "mm");
        }
    }
}

fn pair(s: &mut Sieve, at: &str, pair: &Pair) {
    points(s, &format!("{at}.points"), &pair.points);
    if let Some(own) = &pair.unlinked {
        points(s, &format!("{at}.unlinked"), own);
    }
    for (field, form) in [("form", &pair.form), ("unlinked-form", &pair.unlinked_form)] {
        if let Some(words) = form.problem() {
            s.add(format!("{at}.{field}"), words);
        }
    }
    for (side, offset) in pair.offset.iter() {
        if !offset.is_plausible() {
            let most = ophryon_brow::LARGEST_OFFSET;
            s.add(
                format!("{at}.offset.{}", side.name()),
                format!("an offset is at most {most} mm or degrees; enter a smaller one"),
            );
        }
    }
}

fn variants(s: &mut Sieve, variants: &[Variant]) {
    if variants.len() > MOST_VARIANTS {
        s.add(
            "variants",
            format!(
                "{} kept shapes are more than the {MOST_VARIANTS} that can be; remove some",
                variants.len()
            ),
        );
    }
    for (i, one) in variants.iter().take(MOST_VARIANTS).enumerate() {
        let at = format!("variants[{i}]");
        s.name(&format!("{at}.name"), &one.name);
        if variants[..i].iter().any(|v| v.name == one.name) {
            s.add(
                format!("{at}.name"),
                format!(
                    "“{}” is another kept shape's name too; give it its own",
                    one.name
                ),
            );
        }
        if let Some(style) = &one.style {
            s.name(&format!("{at}.style"), style);
        }
        note(s, &format!("{at}.note"), &one.note);
        pair(s, &format!("{at}.pair"), &one.pair);
        limits(s, &format!("{at}.limits"), &one.limits);
    }
}

fn points(s: &mut Sieve, at: &str, points: &BrowPoints) {
    for problem in points.problems() {
        if let PointError::NotFinite { handle } | PointError::OffTheFace { handle, .. } = problem {
            let field = format!("{at}.{}", handle.name().replace(' ', "-"));
            s.add(field, problem.to_string());
        }
    }
}
