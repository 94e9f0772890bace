//! What is put into a measurement and may be off: each with its own standard
//! uncertainty, independent of all others.

use crate::{Cause, Landmark};

/// A direction in the photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Axis {
    X,
    Y,
}

/// One independent thing that may be off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Input {
    /// Where a landmark was tapped.
    Tap(Landmark, Axis),
    /// Where the ends of a reference were tapped, by its place in the list.
    ReferenceTaps(usize),
    /// The size of a reference.
    Size(usize),
    /// The size of both irises: people differ, their two eyes don't.
    IrisSize,
    /// A tilt out of the picture's plane.
    Tilt(usize),
    /// How far in front of the brows a reference was.
    Held(usize),
    /// How far behind the brows both irises lie.
    IrisDepth,
    /// References that contradict each other.
    Disagreement,
    /// One over the camera's distance.
    Nearness,
    /// Turn of the head.
    Yaw,
    /// Tip of the head.
    Pitch,
    /// How deep a landmark lies.
    Depth(Landmark),
    /// How far the middle of a pair, or a landmark of the middle, lies off the
    /// middle of the face by nature.
    Uneven(Landmark),
}

impl Input {
    /// Which cause it belongs to, when the places `measured` are what was
    /// measured.
    pub(crate) fn cause(self, measured: impl Fn(Landmark) -> bool) -> Cause {
        match self {
            Self::Tap(l, _) if measured(l) => Cause::Taps,
            Self::Tap(..) => Cause::Level,
            Self::ReferenceTaps(_)
            | Self::Size(_)
            | Self::IrisSize
            | Self::Tilt(_)
            | Self::Held(_)
            | Self::IrisDepth
            | Self::Disagreement => Cause::Scale,
            Self::Nearness => Cause::Distance,
            Self::Yaw | Self::Pitch => Cause::Pose,
            Self::Depth(_) => Cause::Depth,
            Self::Uneven(_) => Cause::Unevenness,
        }
    }
}

/// By how much inputs, each moved by its own standard uncertainty, move one
/// number.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Moves(pub(crate) Vec<(Input, f64)>);

impl Moves {
    /// What one input does in two ways adds up, sign and all.
    pub(crate) fn add(&mut self, input: Input, by: f64) {
        if by == 0.0 {
            return;
        }
        match self.0.iter_mut().find(|(i, _)| *i == input) {
            Some((_, sum)) => *sum += by,
            None => self.0.push((input, by)),
        }
    }

    /// Adds all of another's, each multiplied.
    pub(crate) fn add_all(&mut self, other: &Self, factor: f64) {
        for (input, by) in &other.0 {
            self.add(*input, factor * by);
        }
    }

    pub(crate) fn of(&self, input: Input) -> f64 {
        let found = self.0.iter().find(|(i, _)| *i == input);
        found.map_or(0.0, |(_, by)| *by)
    }

    pub(crate) fn variance(&self) -> f64 {
        self.0.iter().map(|(_, by)| by * by).sum()
    }

    /// With another number moved by some of the same inputs.
    pub(crate) fn covariance(&self, other: &Self) -> f64 {
        self.0.iter().map(|(i, by)| by * other.of(*i)).sum()
    }
}
