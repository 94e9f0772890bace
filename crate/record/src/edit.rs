//! Every change to a record, as a value.

use ophryon_brow::{BrowPoints, Form, Handle, Limits, Offset, Pair, Phrase, Rules, Shrink};
use ophryon_face::{Landmark, Landmarks, Reference};
use ophryon_frames::{Lateral, Photo as Px, Point, Side, Sided};
use ophryon_stencil::DistanceId;
use serde::{Deserialize, Serialize};

use crate::{
    Client, ConsentEdit, EditError, Optics, Photo, PhotoState, PlanChoice, PlanDecision, Record,
    Snap, StudyError, TapeLine, VariantEdit, VisitEdit, WrapChoice, consent, variants, visits,
};

/// One change. Undo, autosave, tests and replay all speak it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "kebab-case")]
pub enum Edit {
    /// Code, name and note.
    SetClient(Client),
    /// Adds a photo at the end.
    AddPhoto(Photo),
    /// Takes a photo away, with everything tapped in it.
    RemovePhoto {
        /// Its id.
        photo: String,
    },
    /// Says what the face was doing.
    SetState {
        /// The photo's id.
        photo: String,
        /// At rest or in use.
        state: PhotoState,
    },
    /// Says what is known of the lens; `None` takes it away.
    SetOptics {
        /// The photo's id.
        photo: String,
        /// Its focal length.
        optics: Option<Optics>,
    },
    /// Puts a landmark on a place by hand. Taps and snaps before it go.
    SetLandmark {
        /// The photo's id.
        photo: String,
        /// Which one.
        landmark: Landmark,
        /// Where.
        at: Point<Px>,
    },
    /// Puts a landmark where the assistance found it.
    SnapLandmark {
        /// The photo's id.
        photo: String,
        /// Which one.
        landmark: Landmark,
        /// Where it was found.
        at: Point<Px>,
        /// Where it was tapped, and how sure the place is.
        snap: Snap,
    },
    /// Taps a landmark once more; it comes to lie at the mean of its taps.
    TapAgain {
        /// The photo's id.
        photo: String,
        /// Which one.
        landmark: Landmark,
        /// Where it was tapped this time.
        at: Point<Px>,
    },
    /// Takes a landmark away.
    RemoveLandmark {
        /// The photo's id.
        photo: String,
        /// Which one.
        landmark: Landmark,
    },
    /// Replaces all landmarks of a photo, as when sides were exchanged.
    SetLandmarks {
        /// The photo's id.
        photo: String,
        /// All of them.
        landmarks: Landmarks,
    },
    /// Adds something of known size to the photo.
    AddReference {
        /// The photo's id.
        photo: String,
        /// The reference.
        reference: Reference,
    },
    /// Puts one reference in another's place.
    ReplaceReference {
        /// The photo's id.
        photo: String,
        /// Which one, from 0.
        index: usize,
        /// What takes its place.
        reference: Reference,
    },
    /// Takes a reference away.
    RemoveReference {
        /// The photo's id.
        photo: String,
        /// Which one, from 0.
        index: usize,
    },
    /// Traces the border of the natural hair; an empty one takes it away.
    TraceHair {
        /// The photo's id.
        photo: String,
        /// Which brow.
        side: Side,
        /// In order round the brow.
        border: Vec<Point<Px>>,
    },
    /// Chooses the mapping rules. The shape stays; [`Edit::Propose`] redraws it.
    SetRules(Rules),
    /// Sets what the outline must keep to.
    SetLimits(Limits),
    /// Sets how the frontal view lies on the skin.
    SetWrap(WrapChoice),
    /// Sets what one tape over the skin read.
    SetTape {
        /// The side it was laid on.
        side: Side,
        /// Where it was laid.
        line: TapeLine,
        /// What it read, mm; `None` takes it away.
        length_mm: Option<f64>,
    },
    /// Sets the tape from the midline to the middle of an ear.
    SetEarTape {
        /// Which ear.
        side: Side,
        /// What it read, mm; `None` takes it away.
        length_mm: Option<f64>,
    },
    /// Chooses how a difference is to be evened out. It is open again until
    /// it is taken.
    SetPlan(PlanChoice),
    /// Keeps what a ruler read on skin.
    SetReading {
        /// On which side.
        side: Side,
        /// Which distance of the list.
        distance: DistanceId,
        /// What it read, mm; `None` takes it away.
        read_mm: Option<f64>,
    },
    /// Takes all readings of the ruler away.
    ClearReadings,
    /// Takes a plan into the shape: each side's height and turn, as
    /// [`crate::PlanReport::offset`] has them. See [`Record::take_plan`].
    TakePlan(Sided<Offset>),
    /// Takes the proposal from the mapping lines as the shape, with the heights
    /// and turns of a plan that was taken.
    Propose,
    /// Moves a point of one side; the other follows while they are linked.
    MoveHandle {
        /// The side that is touched.
        side: Side,
        /// The point.
        handle: Handle,
        /// Where on the skin, offset included, side-neutral.
        to: Point<Lateral>,
    },
    /// Replaces all points of one side, as a mend does.
    SetPoints {
        /// The side.
        side: Side,
        /// Before its offset.
        points: BrowPoints,
    },
    /// Takes what a sketch came to; see [`Record::sketched`].
    Sketch {
        /// The side that was drawn on; the other follows while they are linked.
        side: Side,
        /// Before its offset.
        points: BrowPoints,
        /// What is wished of the curve between them.
        form: Box<Form>,
    },
    /// Takes a style as it was drawn on this face; see [`Record::styled`].
    ApplyStyle {
        /// The style's name.
        style: String,
        /// Both sides with it, offsets as they were.
        pair: Box<Pair>,
        /// What it keeps to.
        limits: Limits,
    },
    /// Takes what a phrase of the client's proposed; see [`Record::feedback`].
    TakeFeedback {
        /// What she said.
        phrase: Phrase,
        /// Both sides with it, offsets as they were.
        pair: Box<Pair>,
    },
    /// Sets how one side is displaced from the shared shape.
    SetOffset {
        /// The side.
        side: Side,
        /// The displacement.
        offset: Offset,
    },
    /// Makes the other side mirror this one again.
    Link {
        /// The side that is kept.
        from: Side,
    },
    /// Lets the sides go their own ways.
    Unlink,
    /// Sets how much smaller a brow heals.
    SetShrink(Shrink),
    /// Keeps, takes, names, orders or removes a shape beside the present one.
    Variant(VariantEdit),
    /// Asks the client, keeps what she says and agrees to. No step for undo.
    Consent(ConsentEdit),
    /// Adds to the log of visits, or changes it.
    Visit(VisitEdit),
}

/// The record with one change made.
///
/// # Errors
/// [`EditError`]; the caller still has the record as it was.
pub fn apply(record: &Record, edit: &Edit) -> Result<Record, EditError> {
    let mut next = record.clone();
    let mut shape = Shape::Kept;
    match edit {
        Edit::SetClient(client) => next.client = client.clone(),
        Edit::AddPhoto(photo) => {
            if record.photo(&photo.id).is_some() {
                let id = photo.id.clone();
                return Err(EditError::PhotoExists { id });
            }
            next.photos.push(photo.clone());
        }
        Edit::RemovePhoto { photo } => {
            find(&mut next, photo)?;
            next.photos.retain(|p| p.id != *photo);
            next.forget_photo_of_visits(photo);
        }
        Edit::SetState { photo, state } => find(&mut next, photo)?.state = *state,
        Edit::SetOptics { photo, optics } => find(&mut next, photo)?.optics = *optics,
        Edit::SetLandmark {
            photo,
            landmark,
            at,
        } => {
            find(&mut next, photo)?.set_by_hand(*landmark, *at);
        }
        Edit::SnapLandmark {
            photo,
            landmark,
            at,
            snap,
        } => {
            find(&mut next, photo)?.set_by_snap(*landmark, *at, *snap);
        }
        Edit::TapAgain {
            photo,
            landmark,
            at,
        } => {
            find(&mut next, photo)?.tap_again(*landmark, *at);
        }
        Edit::RemoveLandmark { photo, landmark } => {
            find(&mut next, photo)?.forget(*landmark);
        }
        Edit::SetLandmarks { photo, landmarks } => {
            find(&mut next, photo)?.set_landmarks(landmarks.clone());
        }
        Edit::AddReference { photo, reference } => {
            find(&mut next, photo)?.references.push(*reference);
        }
        Edit::ReplaceReference {
            photo,
            index,
            reference,
        } => {
            let all = &mut find(&mut next, photo)?.references;
            *all.get_mut(*index)
                .ok_or_else(|| no_reference(photo, *index))? = *reference;
        }
        Edit::RemoveReference { photo, index } => {
            let all = &mut find(&mut next, photo)?.references;
            if *index >= all.len() {
                return Err(no_reference(photo, *index));
            }
            all.remove(*index);
        }
        Edit::TraceHair {
            photo,
            side,
            border,
        } => {
            *find(&mut next, photo)?.hair.get_mut(*side) = border.clone();
        }
        Edit::SetRules(rules) => next.rules = *rules,
        Edit::SetLimits(limits) => {
            next.limits = *limits;
            shape = Shape::Redrawn;
        }
        Edit::SetWrap(wrap) => next.wrap = *wrap,
        Edit::SetTape {
            side,
            line,
            length_mm,
        } => next.wrap = record.wrap.with_tape(*side, *line, *length_mm),
        Edit::SetEarTape { side, length_mm } => *next.ear_tape_mm.get_mut(*side) = *length_mm,
        Edit::SetPlan(plan) => {
            next.plan = PlanChoice {
                decision: PlanDecision::Open,
                ..*plan
            };
        }
        Edit::SetReading {
            side,
            distance,
            read_mm,
        } => next.ruler = record.with_reading(*side, *distance, *read_mm)?,
        Edit::ClearReadings => next.ruler = Sided::default(),
        Edit::TakePlan(offset) => {
            let pair = match &record.pair {
                Some(pair) if !pair.is_linked() => return Err(EditError::Unlinked),
                Some(pair) => pair.clone(),
                None => record.proposal()?,
            };
            next.pair = Some(with_plan(pair, offset));
            next.plan.decision = PlanDecision::Taken;
            shape = Shape::Redrawn;
        }
        Edit::Propose
        | Edit::MoveHandle { .. }
        | Edit::SetPoints { .. }
        | Edit::Sketch { .. }
        | Edit::SetOffset { .. }
        | Edit::Link { .. }
        | Edit::Unlink => {
            next.pair = Some(reshaped(record, edit)?);
            shape = Shape::Redrawn;
        }
        Edit::ApplyStyle { pair, limits, .. } => {
            next.pair = Some((**pair).clone());
            next.limits = *limits;
            shape = Shape::Redrawn;
        }
        Edit::TakeFeedback { pair, .. } => {
            next.pair = Some((**pair).clone());
            shape = Shape::Redrawn;
        }
        Edit::SetShrink(shrink) => next.shrink = *shrink,
        Edit::Consent(edit) => next = consent::apply(record, edit)?,
        Edit::Visit(edit) => next = visits::apply(record, edit)?,
        Edit::Variant(edit) => {
            next = variants::apply(record, edit)?;
            if edit.redraws() {
                shape = Shape::Redrawn;
            }
        }
    }
    if !matches!(edit, Edit::Consent(_)) {
        next.renumber_after(record);
    }
    next.keep_answers(record, edit);
    let problems = next.problems();
    if !problems.is_empty() {
        return Err(EditError::Problems(problems));
    }
    if let (Shape::Redrawn, Some(pair)) = (shape, &next.pair) {
        pair.draw(&next.limits)?;
    }
    if matches!(
        edit,
        Edit::SetWrap(WrapChoice::Tape(_)) | Edit::SetTape { .. }
    ) {
        // A tape may be entered before the taps; once they are there, it must fit.
        if let Err(why @ (StudyError::Tape { .. } | StudyError::Wrap(_))) = next.curve() {
            return Err(why.into());
        }
    }
    Ok(next)
}

/// Whether an edit asks for the curve anew.
#[derive(Clone, Copy)]
enum Shape {
    Kept,
    Redrawn,
}

fn find<'r>(record: &'r mut Record, id: &str) -> Result<&'r mut Photo, EditError> {
    record
        .photos
        .iter_mut()
        .find(|p| p.id == id)
        .ok_or_else(|| EditError::NoSuchPhoto { id: id.to_owned() })
}

fn no_reference(photo: &str, index: usize) -> EditError {
    EditError::NoSuchReference {
        photo: photo.to_owned(),
        index,
    }
}

/// A pair with the heights and turns of a plan.
fn with_plan(mut pair: Pair, plan: &Sided<Offset>) -> Pair {
    for side in Side::BOTH {
        let offset = pair.offset.get_mut(side);
        *offset = Offset {
            lateral_mm: offset.lateral_mm,
            ..*plan.get(side)
        };
    }
    pair
}

fn reshaped(record: &Record, edit: &Edit) -> Result<Pair, EditError> {
    // Whoever touches a proposed shape makes it her own.
    let pair = match (&record.pair, edit) {
        (Some(pair), edit) if *edit != Edit::Propose => pair.clone(),
        _ => {
            let proposed = record.proposal()?;
            match (record.plan.decision, &record.pair) {
                (PlanDecision::Taken, Some(pair)) => with_plan(proposed, &pair.offset),
                _ => proposed,
            }
        }
    };
    Ok(match edit {
        Edit::MoveHandle { side, handle, to } => pair.with_handle_on(*side, *handle, *to),
        Edit::SetPoints { side, points } => pair.with_points(*side, *points),
        Edit::Sketch { side, points, form } => pair
            .with_points(*side, *points)
            .with_form(*side, (**form).clone()),
        Edit::SetOffset { side, offset } => {
            let mut pair = pair;
            *pair.offset.get_mut(*side) = *offset;
            pair
        }
        Edit::Link { from } => pair.linked(*from),
        Edit::Unlink => pair.unlinked(),
        _ => pair,
    })
}

impl Edit {
    /// What it does, to follow "Undo:".
    pub fn words(&self) -> String {
        match self {
            Self::SetClient(_) => "change the client's details".to_owned(),
            Self::AddPhoto(_) => "add a photo".to_owned(),
            Self::RemovePhoto { .. } => "remove a photo".to_owned(),
            Self::SetState { .. } => "change what the face is doing".to_owned(),
            Self::SetOptics { .. } => "change the focal length".to_owned(),
            Self::SetLandmark { landmark, .. } => format!("place the {landmark}"),
            Self::SnapLandmark { landmark, .. } => format!("snap the {landmark}"),
            Self::TapAgain { landmark, .. } => format!("tap the {landmark} again"),
            Self::RemoveLandmark { landmark, .. } => format!("remove the {landmark}"),
            Self::SetLandmarks { .. } => "replace the landmarks".to_owned(),
            Self::AddReference { reference, .. } | Self::ReplaceReference { reference, .. } => {
                format!("set the scale by the {}", reference.name())
            }
            Self::RemoveReference { .. } => "remove a scale".to_owned(),
            Self::TraceHair { side, border, .. } => {
                let verb = if border.is_empty() { "remove" } else { "trace" };
                format!("{verb} the hair of the client's {} brow", side.name())
            }
            Self::SetRules(_) => "choose mapping rules".to_owned(),
            Self::SetLimits(_) => "change the limits".to_owned(),
            Self::SetWrap(_) => "set the curve of the skin".to_owned(),
            Self::SetTape {
                side,
                line,
                length_mm,
            } => {
                let verb = length_mm.map_or("remove", |_| "set");
                format!(
                    "{verb} the tape {} on the client's {}",
                    line.words(),
                    side.name()
                )
            }
            Self::SetEarTape { side, .. } => {
                format!("set the tape to the client's {} ear", side.name())
            }
            Self::SetPlan(_) => "change the plan".to_owned(),
            Self::TakePlan(_) => "take the plan into the shape".to_owned(),
            Self::SetReading {
                side,
                distance,
                read_mm,
            } => {
                let verb = read_mm.map_or("remove", |_| "enter");
                format!(
                    "{verb} {} read on the client's {}",
                    distance.words(),
                    side.name()
                )
            }
            Self::ClearReadings => "clear what the ruler read".to_owned(),
            Self::Propose => "propose a shape".to_owned(),
            Self::MoveHandle { side, handle, .. } => {
                format!(
                    "move {} of the client's {} brow",
                    handle.name(),
                    side.name()
                )
            }
            Self::SetPoints { side, .. } => {
                format!("mend the client's {} brow", side.name())
            }
            Self::Sketch { side, .. } => {
                format!("sketch the client's {} brow", side.name())
            }
            Self::SetOffset { side, .. } => {
                format!("set the offset of the client's {} brow", side.name())
            }
            Self::Link { from } => {
                format!("link the brows from the client's {}", from.name())
            }
            Self::Unlink => "unlink the brows".to_owned(),
            Self::ApplyStyle { style, .. } => format!("draw the style “{style}”"),
            Self::TakeFeedback { phrase, .. } => format!("answer “{}”", phrase.words()),
            Self::SetShrink(_) => "set how much smaller a brow heals".to_owned(),
            Self::Variant(edit) => edit.words(),
            Self::Consent(edit) => edit.words(),
            Self::Visit(edit) => edit.words(),
        }
    }
}
