//! What became of a form's wishes, measured on the finished outline.
//!
//! Wishes give way to points and limits, so what was reached may be less than
//! was asked; it is said, in mm.

use kurbo::{ParamCurve, ParamCurveCurvature};
use ophryon_frames::{Lateral, Point};
use serde::Serialize;

use crate::measure::tail_thickness;
use crate::{Brow, Front, Guide, GuideSource, Offset, Part, SideMeasures};

/// A wish counts as met when it is missed by less than this, mm: under what a
/// ruler shows.
pub const WISH_MET_MM: f64 = 0.05;

/// One wished length and what it came to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Wished {
    /// What was asked, mm.
    pub wished_mm: f64,
    /// What the outline has, mm.
    pub reached_mm: f64,
}

impl Wished {
    /// Missed by less than [`WISH_MET_MM`].
    pub fn is_met(&self) -> bool {
        (self.reached_mm - self.wished_mm).abs() < WISH_MET_MM
    }

    fn said(&self, what: &str) -> String {
        let Self {
            wished_mm,
            reached_mm,
        } = self;
        if self.is_met() {
            return format!("{what} {reached_mm:.1} mm, as wished");
        }
        format!(
            "{what} {reached_mm:.1} mm instead of {wished_mm:.1} mm; points and limits leave no more room"
        )
    }
}

/// How near the edges came to a line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Closeness {
    /// Where the line comes from.
    pub source: GuideSource,
    /// Largest distance of a place of the line from its edge, mm.
    pub largest_mm: f64,
    /// Where that is, side-neutral, on the line.
    pub at: Point<Lateral>,
    /// Mean distance over the line's places, mm.
    pub mean_mm: f64,
}

/// Every wish of a form and what became of it.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Reached {
    /// Tightest radius of the upper and of the lower rounding of a soft front.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub soft: Option<[Wished; 2]>,
    /// Thickness halfway along the body.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub body: Option<Wished>,
    /// Thickness along the tail: share from the lower arch, and what was
    /// wished there, in the form's order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub tail: Vec<(f64, Wished)>,
    /// Nearness to the sketched line or the hair.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub guide: Option<Closeness>,
    /// Nearness to the last shape.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub last_shape: Option<Closeness>,
}

impl Reached {
    /// What an artist reads of it, wish by wish.
    pub fn sentences(&self) -> Vec<String> {
        let mut said = Vec::new();
        if let Some([upper, lower]) = &self.soft {
            said.push(upper.said("upper front corner rounded to"));
            said.push(lower.said("lower front corner rounded to"));
        }
        said.extend(self.body.map(|body| body.said("body thickness")));
        for (share, wished) in &self.tail {
            let percent = 100.0 * share;
            said.push(wished.said(&format!("tail thickness at {percent:.0} %")));
        }
        for close in self.guide.iter().chain(&self.last_shape) {
            let line = match close.source {
                GuideSource::Sketch => "sketched line",
                GuideSource::Hair => "border of the hair",
                GuideSource::LastShape => "last shape",
            };
            said.push(format!(
                "at most {:.1} mm from the {line}, {:.1} mm on average",
                close.largest_mm, close.mean_mm
            ));
        }
        said
    }
}

impl Brow {
    /// What became of the wishes that this brow was drawn with. Measured
    /// before any offset, which turns a brow but leaves its form.
    pub fn reached(&self) -> Reached {
        let (form, points) = (self.form(), self.points());
        let soft = match form.front {
            Front::Square => None,
            Front::Soft { radius_mm } => self.soft_radii().map(|radii| {
                radii.map(|reached_mm| Wished {
                    wished_mm: radius_mm,
                    reached_mm,
                })
            }),
        };
        let body = form.body_mm.map(|wished_mm| Wished {
            wished_mm,
            reached_mm: SideMeasures::of(self, &Offset::default()).thickness_body_mm,
        });
        let axis = points.tail - points.lower_arch;
        let tail = form.tail.iter().map(|wish| {
            let wished = Wished {
                wished_mm: wish.thickness_mm,
                reached_mm: tail_thickness(self.outline(), points.lower_arch, axis, wish.share),
            };
            (wish.share, wished)
        });
        Reached {
            soft,
            body,
            tail: tail.collect(),
            guide: form.guide.as_ref().and_then(|g| self.closeness(g)),
            last_shape: form.last_shape.as_ref().and_then(|g| self.closeness(g)),
        }
    }

    /// How near the edges are to a line that moves along with these points;
    /// `None` for one without places.
    pub fn closeness(&self, guide: &Guide) -> Option<Closeness> {
        let lines = guide.lines(self.points());
        let edges = [Part::is_upper, Part::is_lower].map(|wanted| self.edge(wanted));
        let mut largest: Option<(f64, Point<Lateral>)> = None;
        let (mut sum, mut count) = (0.0, 0.0);
        for (line, edge) in lines.iter().zip(&edges) {
            for place in line {
                let off = nearest(*place, edge);
                if largest.is_none_or(|(most, _)| off > most) {
                    largest = Some((off, *place));
                }
                sum += off;
                count += 1.0;
            }
        }
        largest.map(|(largest_mm, at)| Closeness {
            source: guide.source,
            largest_mm,
            at,
            mean_mm: sum / count,
        })
    }

    fn edge(&self, wanted: fn(Part) -> bool) -> Vec<Point<Lateral>> {
        let segments = self.outline().segments().iter().filter(|s| wanted(s.part));
        segments
            .flat_map(|s| {
                let curve = s.curve();
                (0..=EDGES_OF_EACH).map(move |i| {
                    Point::from_kurbo(curve.eval(f64::from(i) / f64::from(EDGES_OF_EACH)))
                })
            })
            .collect()
    }

    /// Tightest radius of the upper and of the lower front rounding: where
    /// its two halves meet.
    fn soft_radii(&self) -> Option<[f64; 2]> {
        let front: Vec<_> = self.outline().part(Part::FrontEdge).collect();
        let [low, _, _, high, _] = front[..] else {
            return None;
        };
        Some([high, low].map(|half| 1.0 / half.curve().curvature(1.0).abs()))
    }
}

/// Straight edges of each cubic where a distance is looked for: off by less
/// than 0.002 mm.
const EDGES_OF_EACH: u32 = 16;

fn nearest(p: Point<Lateral>, edge: &[Point<Lateral>]) -> f64 {
    let pairs = edge
        .windows(2)
        .map(|pair| p.distance(p.nearest_on(pair[0], pair[1])));
    pairs.fold(f64::INFINITY, f64::min)
}
