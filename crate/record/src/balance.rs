//! The brows at rest and in use, side by side: everything that the screen and
//! the command line show of it.

use ophryon_face::{
    Alignment, BrowPlace, BrowStates, Distance, FaceState, InUse, Judged, Landmark, Notice,
    StateDifference, StateError, StateVerdict, brow_states,
};
use ophryon_frames::{Photo as Px, Point, Side, Sided};
use serde::Serialize;

use crate::balance_ask::clients;
use crate::{
    BalanceAsk, Edit, HeightLine, Length, Levelled, Photo, PhotoState, PlanReport, Record,
};

/// Everything there is to show of the brows at rest and in use. Lengths in mm
/// on the relaxed photo's levelled face, ± with k = 2.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Balance {
    /// Id of the relaxed photo.
    pub at_rest: String,
    /// Id of the photo it is compared with.
    pub in_use: String,
    /// What the face is doing there.
    pub in_use_state: PhotoState,
    /// How the two fit.
    pub alignment: AlignmentReport,
    /// Start, peak, tail, and the whole brow.
    pub rows: Vec<BalanceRow>,
    /// What the difference is.
    pub verdict: StateVerdict,
    /// In use the brows differ, but it can't be told whether they do at rest.
    pub in_use_only: bool,
    /// For the artist to read to the client.
    pub aloud: String,
    /// What the verdict rests on, with numbers, one sentence each.
    pub sentences: Vec<String>,
    /// Whether others would notice the difference, at rest and in use.
    pub notice: String,
    /// What is done about it.
    pub plan: PlanReport,
    /// What to bear in mind, one sentence each.
    pub cautions: Vec<String>,
    /// Where the brows' heights are drawn over both photos.
    #[serde(skip)]
    pub lines: Vec<HeightLine>,
    /// From the px of the photo in use to those of the relaxed one, so that
    /// the two can be laid over each other: a, b, c, d, e, f of an SVG or CSS
    /// matrix.
    #[serde(skip)]
    pub overlay: [f64; 6],
    /// The measurement itself.
    #[serde(skip)]
    pub states: BrowStates,
    /// The judgement itself.
    #[serde(skip)]
    pub judged: Judged,
}

/// How the two photos fit.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct AlignmentReport {
    /// Root mean square distance of eye corners and nose after alignment, mm.
    pub rms_mm: f64,
    /// The landmark that fits worst.
    pub worst: Landmark,
    /// How far it lies from where the others put it, mm.
    pub worst_mm: f64,
    /// How many landmarks took part.
    pub landmarks: usize,
    /// All of it in a sentence.
    pub sentence: String,
}

/// One line of the table of heights.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct BalanceRow {
    /// Where; `None` for the whole brow.
    pub place: Option<BrowPlace>,
    /// "start", "peak", "tail", "whole brow".
    pub name: &'static str,
    /// Heights above the pupil line at rest; of the whole brow, the mean.
    pub at_rest: Sided<Length>,
    /// The same in use.
    pub in_use: Sided<Length>,
    /// How far each brow goes up.
    pub rise: Sided<Length>,
    /// Right less left at rest.
    pub difference_at_rest: Length,
    /// Right less left in use.
    pub difference_in_use: Length,
    /// The latter less the former.
    pub change: Length,
    /// What the difference is here.
    pub verdict: StateVerdict,
    /// Whether others would notice it at rest.
    pub notice_at_rest: Notice,
    /// And in use.
    pub notice_in_use: Notice,
}

impl Record {
    /// Compares the brows at rest and in use.
    ///
    /// # Errors
    /// [`BalanceAsk`]: the first thing that is missing.
    pub fn balance(&self) -> Result<Balance, BalanceAsk> {
        let pair = self.state_pair();
        self.balance_between(pair.at_rest, pair.in_use)
    }

    /// The edit that takes the plan into the shape.
    ///
    /// # Errors
    /// [`BalanceAsk`]: the first thing that is missing for a plan.
    pub fn take_plan(&self) -> Result<Edit, BalanceAsk> {
        Ok(Edit::TakePlan(self.balance()?.plan.offset))
    }

    /// The same comparison with another plan: for a slider that is dragged.
    /// The photos are not measured again.
    #[must_use]
    pub fn replanned(&self, balance: &Balance) -> Option<Balance> {
        let photo = self.photo(&balance.at_rest)?;
        let levelled = self.levelled_in(photo).ok()?;
        Some(Balance {
            plan: self.plan_report(photo, &levelled, &balance.states, &balance.judged),
            ..balance.clone()
        })
    }

    /// The same with a photo chosen to compare with, such as the one with the
    /// brows raised.
    ///
    /// # Errors
    /// [`BalanceAsk`]: the first thing that is missing.
    pub fn balance_with(&self, in_use: &str) -> Result<Balance, BalanceAsk> {
        let in_use = self.photo(in_use).filter(|p| p.state.in_use());
        self.balance_between(self.state_pair().at_rest, in_use)
    }

    fn balance_between(
        &self,
        at_rest: Option<&Photo>,
        in_use: Option<&Photo>,
    ) -> Result<Balance, BalanceAsk> {
        let missing = self.asks_between(at_rest, in_use);
        if let Some(first) = missing.into_iter().find(BalanceAsk::is_needed) {
            return Err(first);
        }
        let ask = |state| BalanceAsk::Photo { state };
        let at_rest = at_rest.ok_or(ask(PhotoState::Relaxed))?;
        let in_use = in_use.ok_or(ask(PhotoState::EyesOpen))?;
        let mend = |photo: &Photo, why: &dyn std::fmt::Display| BalanceAsk::Mend {
            photo: photo.id.clone(),
            sentence: format!("In the photo “{}”, {why}.", photo.id),
        };
        let levelled = self
            .levelled_in(at_rest)
            .map_err(|why| mend(at_rest, &why))?;
        let states = brow_states(&levelled.survey, &in_use.taps(), in_use.lens()).map_err(
            |StateError { state, why }| match state {
                FaceState::AtRest => mend(at_rest, &why),
                FaceState::InUse => mend(in_use, &why),
            },
        )?;
        let judged = states.judged();
        let plan = self.plan_report(at_rest, &levelled, &states, &judged);
        Ok(Balance {
            at_rest: at_rest.id.clone(),
            in_use: in_use.id.clone(),
            in_use_state: in_use.state,
            alignment: AlignmentReport::of(&states.alignment),
            rows: rows(&states, &judged),
            verdict: judged.whole,
            in_use_only: judged.in_use_only,
            aloud: states.aloud(
                &judged,
                match in_use.state {
                    PhotoState::Raised => InUse::BrowsRaised,
                    _ => InUse::EyesWideOpen,
                },
            ),
            sentences: sentences(&states, &judged),
            notice: format!(
                "At rest: {} In use: {}",
                Notice::sentence(states.headline(|d| d.at_rest).1),
                Notice::sentence(states.headline(|d| d.in_use).1)
            ),
            plan,
            cautions: cautions(&levelled, in_use, &states, &judged),
            lines: HeightLine::all(&states, &levelled, at_rest, in_use),
            overlay: overlay(&states.alignment, &levelled),
            states,
            judged,
        })
    }
}

impl AlignmentReport {
    fn of(alignment: &Alignment) -> Self {
        Self {
            rms_mm: alignment.rms_mm,
            worst: alignment.worst,
            worst_mm: alignment.worst_mm,
            landmarks: alignment.landmarks,
            sentence: alignment.caution().unwrap_or_else(|| {
                format!(
                    "The two photos fit to {:.1} mm at eye corners and nose.",
                    alignment.rms_mm
                )
            }),
        }
    }
}

fn rows(states: &BrowStates, judged: &Judged) -> Vec<BalanceRow> {
    let row = |place, name, heights: [Sided<Distance>; 3], d: &StateDifference, verdict| {
        let [at_rest, in_use, rise] = heights.map(|h| h.map(Length::from));
        BalanceRow {
            place,
            name,
            at_rest,
            in_use,
            rise,
            difference_at_rest: d.at_rest.into(),
            difference_in_use: d.in_use.into(),
            change: d.change.into(),
            verdict,
            notice_at_rest: Notice::of(d.at_rest.mm),
            notice_in_use: Notice::of(d.in_use.mm),
        }
    };
    let mut all: Vec<_> = states
        .places
        .iter()
        .zip(judged.places)
        .map(|(p, verdict)| {
            row(
                Some(p.place),
                p.place.name(),
                [p.at_rest, p.in_use, p.rise],
                &p.difference,
                verdict,
            )
        })
        .collect();
    let whole = &states.whole;
    all.push(row(
        None,
        "whole brow",
        [states.mean.at_rest, states.mean.in_use, states.mean.rise],
        whole,
        judged.whole,
    ));
    all
}

/// The numbers behind the verdict, for the artist.
fn sentences(states: &BrowStates, judged: &Judged) -> Vec<String> {
    let at = |place: Option<BrowPlace>| {
        place.map_or_else(String::new, |p| format!(" at the {}", p.name()))
    };
    let higher = |d: Distance| clients(if d.mm > 0.0 { Side::Right } else { Side::Left });
    let size = |d: Distance| format!("{:.1} ± {:.1} mm", d.mm.abs(), d.expanded());
    let mut all = Vec::with_capacity(3);
    all.push(if judged.whole.is_there_at_rest() {
        let (place, d) = states.headline(|d| d.at_rest);
        format!(
            "At rest the {} brow is {} higher{}.",
            higher(d),
            size(d),
            at(place)
        )
    } else {
        format!(
            "At rest the brows are not distinguishable from even ({}).",
            size(states.whole.at_rest)
        )
    });
    all.push(if judged.whole.moves() {
        let (place, d) = states.headline(|d| d.change);
        format!(
            "From rest to use the {} brow goes up {} further{}.",
            higher(d),
            size(d),
            at(place)
        )
    } else {
        format!(
            "From rest to use the difference does not change by more than was measured ({}).",
            size(states.whole.change)
        )
    });
    if judged.in_use_only {
        let (place, d) = states.headline(|d| d.in_use);
        all.push(format!(
            "In use the {} brow is {} higher{}, and it is not sure how much of that is there at rest. Tap the brows again in both photos, or take both again.",
            higher(d),
            size(d),
            at(place)
        ));
    }
    all
}

/// Said where a difference is large enough for others to see, or moves.
const NEW_DIFFERENCE: &str = "If the difference is new to the client or came suddenly, don't work on it: ask the client to see a doctor first.";

/// Two scales that disagree by more than this many standard uncertainties.
const SCALES_K: f64 = 3.0;

fn cautions(
    levelled: &Levelled,
    in_use: &Photo,
    states: &BrowStates,
    judged: &Judged,
) -> Vec<String> {
    let mut all = Vec::new();
    all.extend(states.alignment.caution());
    all.extend(levelled.survey.cautions());
    let pose = states.pose_in_use;
    if pose.turned() {
        all.push(format!(
            "In the photo in use the head is turned by {:.0} ± {:.0} degrees and tipped by {:.0} ± {:.0}. That is in the uncertainties; a photo taken straight toward the camera makes them smaller.",
            pose.yaw.degrees.abs(),
            2.0 * pose.yaw.sd,
            pose.pitch.degrees.abs(),
            2.0 * pose.pitch.sd
        ));
    }
    if states.distance_in_use.too_near() {
        all.push(format!(
            "The photo in use was taken from {}; 1.2 to 1.5 m would be better.",
            states.distance_in_use
        ));
    }
    if let Some(own) = in_use
        .first_reference()
        .and_then(|r| r.scale(&in_use.landmarks).ok())
    {
        let by_alignment = states.alignment.mm_per_px();
        let off = own.mm_per_px() / by_alignment - 1.0;
        let sd = libm::hypot(own.relative_sd(), levelled.scale().relative_sd());
        if off.abs() > SCALES_K * sd {
            all.push(format!(
                "The scales of the two photos differ by {:.1} %. The relaxed photo's is used for both; look at what gives the scale in each.",
                100.0 * off.abs()
            ));
        }
    }
    let (_, at_rest) = states.headline(|d| d.at_rest);
    let (_, now) = states.headline(|d| d.in_use);
    if judged.whole != StateVerdict::Even
        && Notice::of(at_rest.mm).max(Notice::of(now.mm)) >= Notice::Some
    {
        all.push(NEW_DIFFERENCE.to_owned());
    }
    all
}

/// The matrix from one photo to the other, from where three places go.
fn overlay(alignment: &Alignment, levelled: &Levelled) -> [f64; 6] {
    let to = |x: f64, y: f64| -> Point<Px> {
        levelled
            .survey
            .frame
            .to_photo(alignment.to_front(Point::new(x, y)))
    };
    let (origin, x, y) = (to(0.0, 0.0), to(1.0, 0.0), to(0.0, 1.0));
    let (along, down) = (x - origin, y - origin);
    [along.x, along.y, down.x, down.y, origin.x, origin.y]
}
