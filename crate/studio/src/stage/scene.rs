//! What is drawn over the face, as plain values: a function of the record, of
//! what follows from it, and of what the artist is looking at.

use std::fmt::Write;

use ophryon_brow::Handle;
use ophryon_face::{Landmark, SidedLandmark};
use ophryon_frames::{Front, Photo as Px, Point, Side};
use ophryon_record::{Drawn, LineKind, Photo, PhotoState, Record, TapeLine};

use crate::ask::{self, Ask, taps_of};
use crate::places::Place;
use crate::view::{FoundRim, Hand};
use crate::words;

/// Something on the stage that can be taken hold of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Grip {
    /// A tap of a reference on its way.
    Scale(usize),
    /// A tap of a reference: which one, and which of its taps.
    Reference(usize, usize),
    /// A landmark.
    Landmark(Landmark),
    /// A point of a brow.
    Handle(Side, Handle),
}

impl Grip {
    /// A word for ids.
    pub fn id(self) -> String {
        match self {
            Self::Scale(index) => format!("scale-{index}"),
            Self::Reference(index, tap) => format!("reference-{index}-{tap}"),
            Self::Landmark(l) => format!("landmark-{}", l.id().replace('/', "-")),
            Self::Handle(side, handle) => {
                format!("handle-{}-{}", side.name(), handle.name().replace(' ', "-"))
            }
        }
    }
}

/// A line over the photo: path data in the photo's px.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Style.
    pub class: &'static str,
    /// SVG path data, px of the photo.
    pub path: String,
    /// The inside is tinted.
    pub filled: bool,
}

/// A point to take hold of.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Which one.
    pub grip: Grip,
    /// Where.
    pub at: Point<Px>,
    /// For those who can't see it: what it is and where, in mm.
    pub name: String,
    /// Taken hold of last.
    pub chosen: bool,
    /// A ring (to draw with) or a dot (a landmark).
    pub ring: bool,
}

/// Words over the photo.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// Beside this place.
    pub at: Point<Px>,
    /// Shown only while this point is in view.
    pub of: Point<Px>,
    /// So many CSS px to the right of it.
    pub dx: f64,
    /// So many CSS px below it.
    pub dy: f64,
    /// `start`, `middle` or `end`.
    pub anchor: &'static str,
    /// Style.
    pub class: &'static str,
    /// The words.
    pub text: String,
}

/// Everything over the photo.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Scene {
    /// Lines, from below up.
    pub lines: Vec<Line>,
    /// Points.
    pub marks: Vec<Mark>,
    /// Words.
    pub labels: Vec<Label>,
}

/// What the artist is looking at.
#[derive(Debug, Clone, PartialEq)]
pub struct Looking {
    /// Where she works.
    pub place: Place,
    /// Which photo is looked at there.
    pub state: PhotoState,
    /// The rim of an iris that was just found.
    pub found: Option<FoundRim>,
    /// What is asked for.
    pub ask: Ask,
    /// What she took hold of last.
    pub chosen: Option<Grip>,
    /// What the hands do on it.
    pub hand: Hand,
    /// Another shape is looked at; this is the one before.
    pub is_before: bool,
    /// The mapping lines are shown.
    pub mapping: bool,
    /// A mend she is looking at: path data in the photo's px.
    pub ghost: Option<String>,
    /// What stays of the shape once healed, likewise.
    pub healed: Option<String>,
    /// Taps of a reference on its way.
    pub scale_taps: Vec<Point<Px>>,
}

/// The scene.
pub fn scene(record: &Record, drawn: Option<&Drawn>, looking: &Looking) -> Scene {
    match looking.place {
        Place::Face => face(record, drawn, looking),
        Place::Shape => drawn.map_or_else(Scene::default, |d| shape(d, looking)),
        Place::Balance | Place::Show | Place::Paper | Place::Visits => Scene::default(),
    }
}

fn segment(ends: [Point<Px>; 2]) -> String {
    let [a, b] = ends;
    format!("M{:.2} {:.2}L{:.2} {:.2}", a.x, a.y, b.x, b.y)
}

fn face(record: &Record, drawn: Option<&Drawn>, looking: &Looking) -> Scene {
    let mut scene = Scene::default();
    let Some(photo) = ask::photo_in(record, looking.state) else {
        return scene;
    };
    let is_relaxed = looking.state == PhotoState::Relaxed;
    scale_taps(&mut scene, photo, looking);
    let still_there =
        |f: &FoundRim| f.state == looking.state && photo.snapped.contains_key(&f.landmark);
    if let Some(rim) = looking.found.filter(still_there) {
        scene.lines.push(Line {
            class: "found",
            path: circle(rim.centre, rim.radius_px),
            filled: false,
        });
    }
    if let (true, Some(drawn), Ask::Nothing) = (is_relaxed, drawn, &looking.ask) {
        for line in drawn.measured.drawn_lines() {
            if matches!(line.kind, LineKind::Midline | LineKind::PupilLine) {
                scene.lines.push(mapping_line(line.kind, line.photo));
            }
        }
    }
    if let Ask::Tape(side, line) = looking.ask
        && let Some([start, tail]) = tape(record, side, line)
    {
        scene.lines.push(Line {
            class: "tape",
            path: segment([start, tail]),
            filled: false,
        });
        scene.labels.push(Label {
            dy: 34.0,
            ..named(start.midpoint(tail), "tape, drawn tight")
        });
    }
    for (landmark, at) in photo.landmarks.iter() {
        let grip = Grip::Landmark(landmark);
        let chosen = looking.chosen == Some(grip);
        let name = words::sentence(&landmark.name());
        // While something is asked for, a name would cover what to tap.
        if chosen && !looking.ask.wants_tap() {
            // Its distances stand nearer; see `measures::dimensions`.
            scene.labels.push(Label {
                dy: -44.0,
                ..named(at, name.trim_end_matches('.'))
            });
        }
        scene.marks.push(Mark {
            grip,
            at,
            name,
            chosen,
            ring: false,
        });
    }
    scene
}

/// The taps on things of known size: those on their way, else all.
fn scale_taps(scene: &mut Scene, photo: &Photo, looking: &Looking) {
    let mut one = |taps: &[Point<Px>], grip: &dyn Fn(usize) -> Grip| {
        for pair in taps.chunks_exact(2) {
            scene.lines.push(Line {
                class: "scale",
                path: segment([pair[0], pair[1]]),
                filled: false,
            });
        }
        for (tap, at) in taps.iter().enumerate() {
            let grip = grip(tap);
            scene.marks.push(Mark {
                grip,
                at: *at,
                name: format!("Scale, tap {}", tap + 1),
                chosen: looking.chosen == Some(grip),
                ring: false,
            });
        }
    };
    // What is there already would be in the way of what is tapped now.
    if matches!(looking.ask, Ask::ScaleTap { .. } | Ask::ScaleLength { .. }) {
        one(&looking.scale_taps, &Grip::Scale);
        return;
    }
    for (index, reference) in photo.references.iter().enumerate() {
        one(&taps_of(reference), &|tap| Grip::Reference(index, tap));
    }
}

/// A circle as path data.
fn circle(centre: Point<Px>, radius: f64) -> String {
    format!(
        "M{:.2} {:.2}a{radius:.2} {radius:.2} 0 1 0 {:.2} 0a{radius:.2} {radius:.2} 0 1 0 {:.2} 0Z",
        centre.x - radius,
        centre.y,
        2.0 * radius,
        -2.0 * radius,
    )
}

/// Where a tape is laid, as the photo shows it.
fn tape(record: &Record, side: Side, line: TapeLine) -> Option<[Point<Px>; 2]> {
    let photo = record.design_photo()?;
    let place = |l| photo.landmarks.get(Landmark::Sided(side, l));
    let top = place(SidedLandmark::BrowStartTop)?;
    let start = top.midpoint(place(SidedLandmark::BrowStartBottom)?);
    let tail = place(SidedLandmark::BrowTail)?;
    match line {
        TapeLine::StartToTail => Some([start, tail]),
        TapeLine::MidlineToTail => {
            let frame = record.levelled().ok()?.survey.frame;
            let level = Point::<Front>::new(0.0, frame.to_front(start).y);
            Some([frame.to_photo(level), tail])
        }
    }
}

fn named(at: Point<Px>, name: &str) -> Label {
    Label {
        at,
        of: at,
        dx: 0.0,
        dy: -22.0,
        anchor: "middle",
        class: "label",
        text: name.to_owned(),
    }
}

fn mapping_line(kind: LineKind, ends: [Point<Px>; 2]) -> Line {
    Line {
        class: match kind {
            LineKind::Midline => "midline",
            LineKind::PupilLine => "level",
            LineKind::Start | LineKind::Peak | LineKind::Tail => "mapping",
        },
        path: segment(ends),
        filled: false,
    }
}

fn shape(drawn: &Drawn, looking: &Looking) -> Scene {
    let mut scene = Scene::default();
    for line in drawn.measured.drawn_lines() {
        let always = matches!(line.kind, LineKind::Midline | LineKind::PupilLine);
        if always || looking.mapping && looking.hand == Hand::Points {
            scene.lines.push(mapping_line(line.kind, line.photo));
        }
    }
    let chosen_side = match looking.chosen {
        Some(Grip::Handle(side, _)) => Some(side),
        _ => None,
    };
    for side in Side::BOTH {
        scene.lines.push(Line {
            class: match chosen_side == Some(side) {
                true => "brow chosen",
                false if looking.is_before => "brow before",
                false => "brow",
            },
            path: drawn.photo_path(side),
            filled: looking.hand == Hand::Points,
        });
    }
    for (class, path) in [("healed", &looking.healed), ("ghost", &looking.ghost)] {
        if let Some(path) = path {
            scene.lines.push(Line {
                class,
                path: path.clone(),
                filled: false,
            });
        }
    }
    if let Some(Grip::Handle(side, handle)) = looking.chosen {
        dimensions(&mut scene, drawn, side, handle);
    }
    if looking.hand != Hand::Points {
        // Points would be in the way of the hand that draws.
        return scene;
    }
    let relative_sd = drawn.measured.levelled.scale().relative_sd();
    for (side, places) in drawn.handles.iter() {
        for place in places {
            let grip = Grip::Handle(side, place.handle);
            let chosen = looking.chosen == Some(grip);
            let mut name = words::sentence(place.handle.name());
            name.pop();
            // Both sentences are written to be heard.
            let _ = write!(
                name,
                " of {}. {} from the midline, {} above the pupils.",
                words::side_of(side),
                words::length(place.lateral.x, relative_sd),
                words::length(place.lateral.y, relative_sd),
            );
            scene.marks.push(Mark {
                grip,
                at: place.photo,
                name,
                chosen,
                ring: true,
            });
        }
    }
    scene
}

/// The taken point's distance from the midline and height above the pupils,
/// drawn as a workshop drawing has them.
fn dimensions(scene: &mut Scene, drawn: &Drawn, side: Side, handle: Handle) {
    let Some(place) = drawn.handle(side, handle) else {
        return;
    };
    let levelled = &drawn.measured.levelled;
    let photo = |x: f64, y: f64| levelled.survey.frame.to_photo(Point::<Front>::new(x, y));
    let (x, y) = (place.front.x, place.front.y);
    let sd = levelled.scale().relative_sd();
    for ends in [[photo(0.0, y), place.photo], [photo(x, 0.0), place.photo]] {
        scene.lines.push(Line {
            class: "dimension",
            path: segment(ends),
            filled: false,
        });
    }
    // Words stand where the brow isn't: across at a third from the midline,
    // upright beside the pupil line's end.
    scene.labels.push(Label {
        at: photo(0.0, y),
        of: place.photo,
        dx: 8.0 * side.sign(),
        dy: -9.0,
        anchor: outward(side),
        class: "label",
        text: words::length(place.lateral.x, sd),
    });
    scene.labels.push(Label {
        at: photo(x, 0.3 * y),
        of: place.photo,
        dx: 10.0 * side.sign(),
        dy: 6.0,
        anchor: outward(side),
        class: "label",
        text: words::length(place.lateral.y, sd),
    });
    let below = matches!(handle, Handle::FrontBottom | Handle::LowerArch);
    scene.labels.push(Label {
        dy: if below { 34.0 } else { -20.0 },
        ..named(place.photo, handle.name())
    });
}

/// Words that run away from the midline.
const fn outward(side: Side) -> &'static str {
    match side {
        Side::Right => "end",
        Side::Left => "start",
    }
}

/// The point nearest to a place, if one is within `reach` (same unit as
/// `distance` returns).
pub fn nearest(marks: &[Mark], reach: f64, distance: impl Fn(Point<Px>) -> f64) -> Option<&Mark> {
    marks
        .iter()
        .map(|mark| (distance(mark.at), mark))
        .filter(|(far, _)| *far <= reach)
        .min_by(|(a, _), (b, _)| a.total_cmp(b))
        .map(|(_, mark)| mark)
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_face::MiddleLandmark;

    fn mark(x: f64) -> Mark {
        Mark {
            grip: Grip::Scale(x as usize),
            at: Point::new(x, 0.0),
            name: String::new(),
            chosen: false,
            ring: false,
        }
    }

    #[test]
    fn of_two_points_in_reach_the_nearer_is_taken() {
        let marks = [mark(0.0), mark(14.0)];
        let at = |x: f64| move |p: Point<Px>| (p.x - x).abs();
        assert_eq!(nearest(&marks, 22.0, at(8.0)).unwrap().at.x, 14.0);
        assert_eq!(nearest(&marks, 22.0, at(6.0)).unwrap().at.x, 0.0);
        assert!(nearest(&marks, 22.0, at(40.0)).is_none());
    }

    #[test]
    fn ids_are_words_without_spaces() {
        assert_eq!(
            Grip::Handle(Side::Right, Handle::LowerArch).id(),
            "handle-right-lower-arch"
        );
        assert_eq!(
            Grip::Landmark(Landmark::Middle(MiddleLandmark::Chin)).id(),
            "landmark-middle-chin"
        );
    }

    #[test]
    fn nothing_is_drawn_before_there_is_a_photo() {
        let looking = Looking {
            place: Place::Face,
            state: PhotoState::Relaxed,
            found: None,
            ask: Ask::Photo(PhotoState::Relaxed),
            chosen: None,
            hand: Hand::Points,
            is_before: false,
            mapping: true,
            ghost: None,
            healed: None,
            scale_taps: vec![],
        };
        assert_eq!(scene(&Record::new("A"), None, &looking), Scene::default());
    }
}
