//! One brow on both sides: the mirrored model, a measured offset per side,
//! and sides that have been let go of each other.

use ophryon_frames::{Lateral, Point, Side, Sided, Vector};
use serde::{Deserialize, Serialize};

use crate::{Brow, BrowPoints, Conflict, Form, Handle, Limits, draw};

/// How one side's brow is displaced from the shared model.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Offset {
    /// mm away from the midline (toward the tail).
    pub lateral_mm: f64,
    /// mm up.
    pub height_mm: f64,
    /// Degrees about the middle of the front edge; positive raises the tail.
    pub turn_degrees: f64,
}

/// Largest offset in mm and in degrees that is still the same pair of brows;
/// more is a slip of the finger or of a unit.
pub const LARGEST_OFFSET: f64 = 15.0;

impl Offset {
    /// The side-neutral point with this offset, turned about `about`.
    pub fn apply(&self, p: Point<Lateral>, about: Point<Lateral>) -> Point<Lateral> {
        about + (p - about).turned(self.turn_degrees) + self.shift()
    }

    /// Undoes [`Offset::apply`].
    pub fn undo(&self, p: Point<Lateral>, about: Point<Lateral>) -> Point<Lateral> {
        about + (p - self.shift() - about).turned(-self.turn_degrees)
    }

    /// Undoes [`Offset::apply`] for a front corner, which carries the pivot
    /// (the middle between it and the `other` corner) half the way with it.
    /// With half the turn h: on the face, the corner lies at
    /// (corner + other) / 2 + turned by 2h of (corner - other) / 2, and the
    /// mean of a vector and itself turned by 2h is it turned by h, times cos h.
    fn undo_corner(&self, p: Point<Lateral>, other: Point<Lateral>) -> Point<Lateral> {
        let half = 0.5 * self.turn_degrees;
        let out = (p - self.shift()) - other;
        other + out.turned(-half) * (1.0 / libm::cos(half.to_radians()))
    }

    fn shift(&self) -> Vector<Lateral> {
        Vector::new(self.lateral_mm, self.height_mm)
    }

    /// All three are numbers, none larger than [`LARGEST_OFFSET`].
    pub fn is_plausible(&self) -> bool {
        [self.lateral_mm, self.height_mm, self.turn_degrees]
            .iter()
            .all(|v| v.is_finite() && v.abs() <= LARGEST_OFFSET)
    }
}

/// Both brows as the artist holds them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Pair {
    /// The side whose points are the shared model.
    pub master: Side,
    /// Points of the master side, side-neutral.
    pub points: BrowPoints,
    /// Points of the other side once it is unlinked; `None` while it mirrors.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unlinked: Option<BrowPoints>,
    /// What is wished of the master side's curve beyond its points.
    #[serde(default, skip_serializing_if = "Form::is_default")]
    pub form: Form,
    /// The same of the other side once it is unlinked; counts for nothing
    /// while it mirrors.
    #[serde(default, skip_serializing_if = "Form::is_default")]
    pub unlinked_form: Form,
    /// Displacement of each side.
    #[serde(default)]
    pub offset: Sided<Offset>,
}

impl Pair {
    /// An even pair from one brow.
    pub fn even(points: BrowPoints) -> Self {
        Self {
            master: Side::Right,
            points,
            unlinked: None,
            form: Form::default(),
            unlinked_form: Form::default(),
            offset: Sided::default(),
        }
    }

    /// The points that a side's brow is drawn through, before its offset.
    pub fn points(&self, side: Side) -> &BrowPoints {
        match &self.unlinked {
            Some(own) if side != self.master => own,
            _ => &self.points,
        }
    }

    /// What is wished of a side's curve beyond its points.
    pub fn form(&self, side: Side) -> &Form {
        match &self.unlinked {
            Some(_) if side != self.master => &self.unlinked_form,
            _ => &self.form,
        }
    }

    /// Wishes something else of one side's curve; the other follows while
    /// they are linked.
    #[must_use]
    pub fn with_form(mut self, side: Side, form: Form) -> Self {
        match &self.unlinked {
            Some(_) if side != self.master => self.unlinked_form = form,
            _ => self.form = form,
        }
        self
    }

    /// The points of a side where they lie on the face, offset included.
    pub fn points_on(&self, side: Side) -> BrowPoints {
        let points = *self.points(side);
        let about = points.at(Handle::Start);
        points.mapped(|p| self.offset.get(side).apply(p, about))
    }

    /// Whether moving one side moves the other.
    pub fn is_linked(&self) -> bool {
        self.unlinked.is_none()
    }

    /// Moves a handle of one side; the other follows while they are linked.
    #[must_use]
    pub fn with_points(mut self, side: Side, points: BrowPoints) -> Self {
        match &mut self.unlinked {
            Some(own) if side != self.master => *own = points,
            _ => self.points = points,
        }
        self
    }

    /// Puts a handle of one side where it was dragged to on the face (offset
    /// included, side-neutral).
    #[must_use]
    pub fn with_handle_on(self, side: Side, handle: Handle, place: Point<Lateral>) -> Self {
        let points = *self.points(side);
        let offset = *self.offset.get(side);
        let moved = match handle {
            Handle::Start => {
                // The start carries the pivot with it, so only the shift counts.
                let on_face = points.at(handle) + offset.shift();
                points.moved(handle, place - on_face)
            }
            Handle::FrontTop => points.with(handle, offset.undo_corner(place, points.front_bottom)),
            Handle::FrontBottom => points.with(handle, offset.undo_corner(place, points.front_top)),
            Handle::Peak | Handle::LowerArch | Handle::Tail => {
                points.with(handle, offset.undo(place, points.at(Handle::Start)))
            }
        };
        self.with_points(side, moved)
    }

    /// Lets the other side go its own way, from where it stands now.
    #[must_use]
    pub fn unlinked(mut self) -> Self {
        if self.unlinked.is_none() {
            self.unlinked = Some(self.points);
            self.unlinked_form = self.form.clone();
        }
        self
    }

    /// Makes the other side mirror `from` again, which becomes the master.
    #[must_use]
    pub fn linked(mut self, from: Side) -> Self {
        self.points = *self.points(from);
        self.form = self.form(from).clone();
        self.master = from;
        self.unlinked = None;
        self.unlinked_form = Form::default();
        self
    }

    /// Draws both sides.
    ///
    /// # Errors
    /// The first side that can't be drawn, with its conflict.
    pub fn draw(&self, limits: &Limits) -> Result<Sided<Brow>, SideConflict> {
        let one = |side: Side| {
            draw(self.points(side), self.form(side), limits)
                .map_err(|conflict| SideConflict { side, conflict })
        };
        let master = one(self.master)?;
        let other = match self.unlinked {
            Some(_) => one(self.master.other())?,
            None => master.clone(),
        };
        Ok(match self.master {
            Side::Right => Sided {
                right: master,
                left: other,
            },
            Side::Left => Sided {
                right: other,
                left: master,
            },
        })
    }
}

/// A conflict, with the side it stands on.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("client's {} brow: {conflict}", .side.name())]
pub struct SideConflict {
    /// The side that can't be drawn.
    pub side: Side,
    /// Why.
    pub conflict: Conflict,
}
