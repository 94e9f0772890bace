//! What turn, tip and nearness cost in millimetres, in sentences.

use ophryon_frames::Front;
use ophryon_frames::Point;

use crate::view::View;
use crate::{
    Angle, BrowPlace, CameraDistance, FrontFace, Landmark, Pose, Quantity, STRAIGHT_DEGREES,
};

/// What the view moves at one place of the brows, mm: as it is in this photo
/// less as it would be from the front and far away. `None` where a landmark
/// is missing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ViewCost {
    /// Where.
    pub place: BrowPlace,
    /// In the height, the larger of both sides.
    pub height_mm: f64,
    /// In the distance from the midline, the larger of both sides.
    pub from_midline_mm: f64,
    /// In how much higher the right is than the left.
    pub height_difference_mm: f64,
    /// In how much farther from the midline the right is than the left.
    pub from_midline_difference_mm: f64,
}

/// What is to be done about the pose.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PoseVerdict {
    /// Straight enough.
    Straight,
    /// The interval that is shown for yaw (k = 2) is wider than
    /// [`STRAIGHT_DEGREES`] to either side, so it can't be told; with both ears
    /// tapped it could.
    Unsure,
    /// Another photo is worth more than this one.
    Turned,
}

/// Which way the head is turned, and what that costs.
#[derive(Debug, Clone, PartialEq)]
pub struct PoseReport {
    /// Yaw and pitch with their uncertainties.
    pub pose: Pose,
    /// What is to be done.
    pub verdict: PoseVerdict,
    /// How far the camera was.
    pub distance: CameraDistance,
    /// What turn and tip cost at each place of the brows.
    pub turn_costs: Vec<ViewCost>,
    /// What the nearness of the camera costs; at a usual distance where it
    /// isn't known.
    pub near_costs: Vec<ViewCost>,
    /// What one standard uncertainty of yaw and of pitch costs, together.
    pub unsure_costs: Vec<ViewCost>,
}

impl PoseReport {
    /// A face that no view can be told of (a scale so wrong that its depths
    /// turn it over) has no costs.
    pub(crate) fn of(face: &FrontFace, pose: Pose, distance: CameraDistance) -> Self {
        let per_mm = distance.nearness().per_mm;
        let straight = View {
            nearness: per_mm,
            ..View::FRONT
        };
        let mut more = pose;
        more.yaw.degrees += pose.yaw.sd;
        more.pitch.degrees += pose.pitch.sd;
        let views = [straight, pose.view(per_mm), more.view(per_mm)];
        let seen = views.map(|view| view.levelled(face, &[]));
        let [turn_costs, near_costs, unsure_costs] = match &seen {
            [Ok(near), Ok(posed), Ok(more)] => {
                [costs(near, posed), costs(face, near), costs(posed, more)]
            }
            _ => [Vec::new(), Vec::new(), Vec::new()],
        };
        let verdict = if pose.turned() {
            PoseVerdict::Turned
        } else if 2.0 * pose.yaw.sd > STRAIGHT_DEGREES {
            PoseVerdict::Unsure
        } else {
            PoseVerdict::Straight
        };
        Self {
            pose,
            verdict,
            distance,
            turn_costs,
            near_costs,
            unsure_costs,
        }
    }

    /// Another photo should be taken: the head is turned, or the camera near.
    pub fn asks_for_another(&self) -> bool {
        self.verdict == PoseVerdict::Turned || self.distance.too_near()
    }

    /// Everything in sentences, whether it is well or not.
    pub fn sentences(&self) -> Vec<String> {
        vec![self.pose_sentence(), self.distance_sentence()]
    }

    /// Only what is to be borne in mind.
    pub fn cautions(&self) -> Vec<String> {
        let mut all = Vec::new();
        if self.verdict != PoseVerdict::Straight {
            all.push(self.pose_sentence());
        }
        if self.distance.too_near() {
            all.push(self.distance_sentence());
        }
        all
    }

    fn pose_sentence(&self) -> String {
        let Pose { yaw, pitch, .. } = self.pose;
        let which = facing(yaw, pitch);
        match self.verdict {
            PoseVerdict::Straight => format!("The head is straight enough: {which}."),
            PoseVerdict::Unsure => format!(
                "How far the head is turned can't be told from eyes and nose alone: {which}.{} Tap the middle of both ears, so that it can.",
                said("one standard uncertainty moves", &self.unsure_costs),
            ),
            PoseVerdict::Turned => format!(
                "The head is {which}.{} Take another photo with the nose pointing into the lens and the eyes level with it; until then everything is shown that much less certain.",
                said("that moves", &self.turn_costs),
            ),
        }
    }

    fn distance_sentence(&self) -> String {
        match self.distance {
            CameraDistance::Known { mm, .. } if self.distance.too_near() => format!(
                "The camera was {} away. So near, the middle of a face swells against its sides.{} Take the photo from 1.2 to 1.5 m and crop it.",
                metres(mm),
                self.near_words(),
            ),
            CameraDistance::Known { .. } => {
                format!("The camera was {} away: far enough.", self.distance)
            }
            CameraDistance::Unknown => format!(
                "How far the camera was isn't known.{} From 1.2 to 1.5 m it would be less.",
                self.near_words().replace("reads", "may read"),
            ),
        }
    }

    /// " The tail of a brow reads 0.9 mm short, its peak …".
    fn near_words(&self) -> String {
        let of = |place| self.near_costs.iter().find(|c| c.place == place);
        let Some(tail) = of(BrowPlace::Tail) else {
            return String::new();
        };
        let way = |mm: f64| if mm < 0.0 { "short" } else { "long" };
        let low = |mm: f64| if mm < 0.0 { "low" } else { "high" };
        let mut said = format!(
            " The tail of a brow reads {:.1} mm too {} from the midline",
            tail.from_midline_mm.abs(),
            way(tail.from_midline_mm),
        );
        if let Some(start) = of(BrowPlace::Start) {
            said.push_str(&format!(
                ", its start {:.1} mm too {}",
                start.height_mm.abs(),
                low(start.height_mm),
            ));
        }
        said.push('.');
        said
    }
}

/// "turned 0.4 ± 1.3 degrees toward the client's left, chin up by 0.5 ± 4.6
/// degrees".
fn facing(yaw: Angle, pitch: Angle) -> String {
    let side = if yaw.degrees < 0.0 { "right" } else { "left" };
    let way = if pitch.degrees < 0.0 { "down" } else { "up" };
    format!(
        "turned {:.1} ± {:.1} degrees toward the client's {side}, chin {way} by {:.1} ± {:.1} degrees",
        yaw.degrees.abs(),
        2.0 * yaw.sd,
        pitch.degrees.abs(),
        2.0 * pitch.sd,
    )
}

/// What is moved where: " At the start that moves heights by …".
fn said(what: &str, costs: &[ViewCost]) -> String {
    let of = |place| costs.iter().find(|c| c.place == place);
    let (Some(start), Some(tail)) = (of(BrowPlace::Start), of(BrowPlace::Tail)) else {
        return String::new();
    };
    format!(
        " At the start {what} heights by {:.1} mm and distances from the midline by {:.1} mm, right against left by {:.1} and {:.1} mm; at the tail by {:.1} and {:.1} mm, right against left by {:.1} and {:.1} mm.",
        start.height_mm.abs(),
        start.from_midline_mm.abs(),
        start.height_difference_mm.abs(),
        start.from_midline_difference_mm.abs(),
        tail.height_mm.abs(),
        tail.from_midline_mm.abs(),
        tail.height_difference_mm.abs(),
        tail.from_midline_difference_mm.abs(),
    )
}

fn metres(mm: f64) -> String {
    format!("{:.2} m", mm / 1e3)
}

fn costs(from: &FrontFace, to: &FrontFace) -> Vec<ViewCost> {
    let value = |face: &FrontFace, q: Quantity| {
        let at = |l: Landmark| -> Option<Point<Front>> { face.points.get(&l).copied() };
        q.value(&at)
    };
    let moved = |q: Quantity| Some(value(to, q)? - value(from, q)?);
    let larger = |a: f64, b: f64| if a.abs() >= b.abs() { a } else { b };
    let of = |place| -> Option<ViewCost> {
        use ophryon_frames::Side::{Left, Right};
        Some(ViewCost {
            place,
            height_mm: larger(
                moved(Quantity::BrowHeight(Right, place))?,
                moved(Quantity::BrowHeight(Left, place))?,
            ),
            from_midline_mm: larger(
                moved(Quantity::BrowFromMidline(Right, place))?,
                moved(Quantity::BrowFromMidline(Left, place))?,
            ),
            height_difference_mm: moved(Quantity::HeightDifference(place))?,
            from_midline_difference_mm: moved(Quantity::FromMidlineDifference(place))?,
        })
    };
    BrowPlace::ALL.into_iter().filter_map(of).collect()
}
