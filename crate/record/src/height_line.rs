//! Where the brows' heights are drawn over the photos.

use ophryon_face::{BrowPlace, BrowStates, FaceState};
use ophryon_frames::{Front, Photo as Px, Point, Side};

use crate::{Levelled, Photo};

/// How far a line reaches past the place on the outside, mm.
const PAST_MM: f64 = 6.0;

/// A level line through one place of one brow.
#[derive(Debug, Clone, PartialEq)]
pub struct HeightLine {
    /// Id of the photo it is drawn over.
    pub photo: String,
    /// What the face was doing when the height was measured. Over the photo in
    /// use, the heights at rest are there too, to see what moved.
    pub state: FaceState,
    /// Where on the brow.
    pub place: BrowPlace,
    /// Whose height.
    pub side: Side,
    /// mm above the pupil line.
    pub height_mm: f64,
    /// The place itself, px.
    pub at: Point<Px>,
    /// From the midline to past the place on its own side, px.
    pub own: [Point<Px>; 2],
    /// The same height carried over the other brow, px.
    pub across: [Point<Px>; 2],
}

impl HeightLine {
    /// Every height over the photo it was measured in, and those at rest over
    /// the photo in use.
    pub(crate) fn all(
        states: &BrowStates,
        levelled: &Levelled,
        at_rest: &Photo,
        in_use: &Photo,
    ) -> Vec<Self> {
        let over_rest = |p: Point<Front>| levelled.survey.frame.to_photo(p);
        let over_use = |p: Point<Front>| states.alignment.to_photo(p);
        let mut all = Vec::with_capacity(18);
        for heights in &states.places {
            for side in Side::BOTH {
                let landmark = ophryon_face::Landmark::Sided(side, heights.place.landmark());
                let mut draw = |photo: &Photo, to: &dyn Fn(Point<Front>) -> Point<Px>, state| {
                    // Both photos' places are on the levelled face.
                    let front: Option<Point<Front>> = match state {
                        FaceState::AtRest => levelled.survey.face.points.get(&landmark).copied(),
                        FaceState::InUse => in_use
                            .landmarks
                            .get(landmark)
                            .map(|p| states.alignment.to_front(p)),
                    };
                    let Some(front) = front else { return };
                    let end = side.sign() * (front.x.abs() + PAST_MM);
                    let level = |x: f64| to(Point::new(x, front.y));
                    all.push(Self {
                        photo: photo.id.clone(),
                        state,
                        place: heights.place,
                        side,
                        height_mm: front.y,
                        at: to(front),
                        own: [level(0.0), level(end)],
                        across: [level(0.0), level(-end)],
                    });
                };
                draw(at_rest, &over_rest, FaceState::AtRest);
                draw(in_use, &over_use, FaceState::InUse);
                draw(in_use, &over_use, FaceState::AtRest);
            }
        }
        all
    }
}
