//! A style on a face.
//!
//! Start, peak and tail come from the mapping lines and the heights from the
//! natural brow, as in [`crate::propose`]; each is then taken into the style's
//! bands. Where no outline can be drawn so, the style gives way within its own
//! leeway, as little as it can: the tail is let out along its aim first, then
//! the peak comes down, then the peak turns tighter and the top line bends.

use ophryon_frames::{Lateral, Point, Side, Sided, Vector, Wrap};
use serde::Serialize;

use crate::draw::drawn;
use crate::propose::{aimed_at, mapped_start, tip};
use crate::style::{Band, Style, StyleFront};
use crate::{
    AimFrame, Brow, BrowPoints, Conflict, Ear, EyeSide, Form, Front, Handle, Limits, Line,
    MappingError, MappingLines, NaturalBrow, Offset, Rules, SideMeasures, TailWish, Weights, draw,
};

/// Steps in which roundness and straightness give way, from usual to bound.
const ROUNDS: u32 = 2;
/// Steps in which the peak comes down to the band's least.
const RISE_STEPS: u32 = 5;
/// Steps in which the tail is let out to its most.
const TAIL_STEPS: u32 = 4;

/// Thickness that is off its leeway by less than this is inside, mm: what a
/// ruler shows.
const THICKNESS_KEPT_MM: f64 = 0.05;

/// What a style needs to know of one side of the face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StyleSide<'a> {
    /// Landmarks, reflected to the left.
    pub eye: &'a EyeSide,
    /// Mapping lines, likewise.
    pub lines: &'a MappingLines,
    /// The natural brow, likewise.
    pub natural: &'a NaturalBrow,
    /// Where the tail aims.
    pub ear: &'a Ear,
    /// How the frontal view lies on the skin.
    pub wrap: &'a Wrap,
}

/// Why a style can't be drawn on a face.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StyleError {
    /// A mapping line doesn't reach the brow, or a place beyond the wrap.
    #[error(transparent)]
    Mapping(#[from] MappingError),
    /// Nothing inside its leeway can be drawn on these points.
    #[error("“{style}” can't be drawn on this face within its limits: {conflict}")]
    NoRoom {
        /// The style's name.
        style: String,
        /// What keeps the style as it usually is from being drawn.
        conflict: Conflict,
    },
    /// It can be drawn, but only with a thickness that isn't the style's.
    #[error(
        "“{style}” can't keep its thickness on this face: {place} it comes to {found_mm:.1} mm, and it allows {least_mm:.1} to {most_mm:.1} mm"
    )]
    Thickness {
        /// The style's name.
        style: String,
        /// Where: "at the body".
        place: &'static str,
        /// What came out, mm.
        found_mm: f64,
        /// Least that is allowed, mm.
        least_mm: f64,
        /// Most that is allowed, mm.
        most_mm: f64,
    },
}

/// Something of a style that was adapted to the face.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct GaveWay {
    /// What.
    pub what: &'static str,
    /// As the face or the style would have it.
    pub usual: f64,
    /// As it was drawn.
    pub drawn: f64,
    /// "mm" or, for a share, "%" (both values are then in percent).
    pub unit: &'static str,
}

impl GaveWay {
    /// "rise of the peak 3.0 mm instead of 4.5 mm".
    pub fn sentence(&self) -> String {
        let Self {
            what,
            usual,
            drawn,
            unit,
        } = self;
        match *unit {
            "%" => format!("{what} {drawn:.0} % instead of {usual:.0} %"),
            _ => format!("{what} {drawn:.1} {unit} instead of {usual:.1} {unit}"),
        }
    }
}

/// A style as drawn on a face.
#[derive(Debug, Clone, PartialEq)]
pub struct Styled {
    /// The points, for both sides.
    pub points: BrowPoints,
    /// What is wished of the curve between them.
    pub form: Form,
    /// What the outline keeps to; the limits that no style touches are the
    /// artist's.
    pub limits: Limits,
    /// What was adapted to the face; empty where nothing was in the way.
    pub gave_way: Vec<GaveWay>,
    /// The brow drawn.
    pub brow: Brow,
}

/// How far a style gives way, each as a share of its leeway.
#[derive(Clone, Copy)]
struct Given {
    round: f64,
    rise: f64,
    tail: f64,
}

impl Style {
    /// Draws the style on a face, both sides alike: mapped on each side from its
    /// own landmarks, then the mean of the two.
    ///
    /// # Errors
    /// [`StyleError`], which says what keeps it from being drawn.
    pub fn on(
        &self,
        face: &Sided<StyleSide>,
        rules: &Rules,
        limits: &Limits,
    ) -> Result<Styled, StyleError> {
        let share = |i: u32, n: u32| f64::from(i) / f64::from(n);
        let mut refused: Option<StyleError> = None;
        for round in 0..=ROUNDS {
            for rise in 0..=RISE_STEPS {
                for tail in 0..=TAIL_STEPS {
                    let given = Given {
                        round: share(round, ROUNDS),
                        rise: share(rise, RISE_STEPS),
                        tail: share(tail, TAIL_STEPS),
                    };
                    let points = self.points(face, rules, limits, given)?;
                    let (form, limits) = (self.form(&points), self.limits(limits, given));
                    let Some(brow) = drawn(&points, &form, &limits) else {
                        continue;
                    };
                    match self.off_thickness(&brow) {
                        None => {
                            let gave_way = self.gave_way(face, given, &points);
                            return Ok(Styled {
                                points,
                                form,
                                limits,
                                gave_way,
                                brow,
                            });
                        }
                        Some(why) => refused = refused.or(Some(why)),
                    }
                }
            }
        }
        if let Some(why) = refused {
            return Err(why);
        }
        // Say what keeps the style as it usually is, with its remedy.
        let usual = Given {
            round: 0.0,
            rise: 0.0,
            tail: 0.0,
        };
        let points = self.points(face, rules, limits, usual)?;
        match draw(&points, &self.form(&points), &self.limits(limits, usual)) {
            Err(conflict) => Err(StyleError::NoRoom {
                style: self.name.clone(),
                conflict,
            }),
            Ok(brow) => Err(self.off_thickness(&brow).unwrap_or(StyleError::NoRoom {
                style: self.name.clone(),
                conflict: Conflict::Form("its leeway holds no number"),
            })),
        }
    }

    /// The natural hair's thickness at the start, taken into the band.
    fn start_mm(&self, face: &Sided<StyleSide>) -> f64 {
        let one = |side: &StyleSide| side.natural.start_top.y - side.natural.start_bottom.y;
        self.start_mm
            .take(0.5 * (one(&face.right) + one(&face.left)))
    }

    /// The natural hair's rise, taken into the band; then down by a share.
    fn rise_mm(&self, face: &Sided<StyleSide>, share: f64) -> f64 {
        let one = |side: &StyleSide| side.natural.peak.y - side.natural.start_top.y;
        let rise = self
            .rise_mm
            .take(0.5 * (one(&face.right) + one(&face.left)));
        rise + share * (self.rise_mm.least - rise)
    }

    fn points(
        &self,
        face: &Sided<StyleSide>,
        rules: &Rules,
        limits: &Limits,
        given: Given,
    ) -> Result<BrowPoints, MappingError> {
        let start_mm = self.start_mm(face);
        let rise_mm = self.rise_mm(face, given.rise);
        let sides = Sided::try_from_fn(|side| {
            self.one_side(face.get(side), rules, limits, start_mm, rise_mm)
        })?;
        let mean = sides.right.mean(sides.left);
        let ear = face.right.ear.on_skin.midpoint(face.left.ear.on_skin);
        let points = match rules.aim {
            AimFrame::Skin => aimed_at(mean, ear),
            AimFrame::Front => mean,
        };
        let run = points.tail - points.lower_arch;
        let tail = points.lower_arch + run * self.tail_length.toward_most(given.tail);
        Ok(points.with(Handle::Tail, tail))
    }

    fn one_side(
        &self,
        side: &StyleSide,
        rules: &Rules,
        limits: &Limits,
        start_mm: f64,
        rise_mm: f64,
    ) -> Result<BrowPoints, MappingError> {
        let top = side.natural.start_top.y;
        let [front_top, front_bottom] = mapped_start(side.lines, side.wrap, top, start_mm)?;
        let lean = match self.front {
            StyleFront::Slanted { lean_mm } => Vector::new(0.5 * lean_mm.usual, 0.0),
            StyleFront::Square | StyleFront::Soft { .. } => Vector::new(0.0, 0.0),
        };
        let peak = self.peak_on(side, top + rise_mm)?;
        let deep = self.peak.usual * start_mm;
        let lower_arch = peak + Vector::new(limits.arch_behind_mm, -deep);
        let tail = tip(side.lines, lower_arch, side.ear, rules, side.wrap)?;
        Ok(BrowPoints {
            front_top: front_top + lean,
            front_bottom: front_bottom - lean,
            peak,
            lower_arch,
            tail,
        })
    }

    /// The mapped peak, taken into the band.
    fn peak_on(&self, side: &StyleSide, height_mm: f64) -> Result<Point<Lateral>, MappingError> {
        let misses = MappingError::Misses { rule: "peak rule" };
        let on_line = |line: &Line| line.at_height(height_mm);
        let mapped = on_line(&side.lines.peak).ok_or(misses)?;
        let eye = side.eye;
        let width = eye.outer_corner.x - eye.inner_corner.x;
        let place = |share: f64| eye.inner_corner.x + share * width;
        let band = Band {
            least: place(self.peak_place.least),
            most: place(self.peak_place.most),
        };
        let taken = Point::new(band.take(mapped.x), height_mm);
        Ok(Side::Left.neutral(side.wrap.to_skin(taken)?))
    }

    fn form(&self, points: &BrowPoints) -> Form {
        let start_mm = points.front_top.y - points.front_bottom.y;
        Form {
            front: match self.front {
                StyleFront::Soft { radius_mm } => Front::Soft {
                    radius_mm: radius_mm.usual,
                },
                StyleFront::Square | StyleFront::Slanted { .. } => Front::Square,
            },
            body_mm: Some(self.body.usual * start_mm),
            tail: self
                .tail
                .iter()
                .map(|place| TailWish {
                    share: place.at,
                    thickness_mm: place.thickness.usual * start_mm,
                })
                .collect(),
            weights: self.weights(),
            ..Form::default()
        }
    }

    /// A top line that may bow is drawn less straight: the weight on straight
    /// runs falls with the square of what the style allows beyond the usual.
    fn weights(&self) -> Weights {
        let usual = Limits::default().straight_mm;
        let share = (usual / self.straight_mm.usual).min(1.0);
        let weights = Weights::default();
        Weights {
            straight_runs: weights.straight_runs * share * share,
            ..weights
        }
    }

    fn limits(&self, limits: &Limits, given: Given) -> Limits {
        Limits {
            straight_mm: self.straight_mm.toward_most(given.round),
            peak_radius_mm: self.peak_radius_mm.toward_least(given.round),
            rounding: self.rounding.toward_most(given.round),
            ..*limits
        }
    }

    /// The first thickness that came out beyond its leeway.
    fn off_thickness(&self, brow: &Brow) -> Option<StyleError> {
        let points = brow.points();
        let start_mm = points.front_top.y - points.front_bottom.y;
        let body_mm = SideMeasures::of(brow, &Offset::default()).thickness_body_mm;
        let body = ("at the body", body_mm, self.body.band());
        let tail = brow.reached().tail.into_iter();
        let along = tail.zip(&self.tail).map(|((_, wished), place)| {
            ("along the tail", wished.reached_mm, place.thickness.band())
        });
        std::iter::once(body)
            .chain(along)
            .find_map(|(place, found_mm, band)| {
                let (least_mm, most_mm) = (band.least * start_mm, band.most * start_mm);
                let inside = (least_mm - THICKNESS_KEPT_MM..=most_mm + THICKNESS_KEPT_MM)
                    .contains(&found_mm);
                (!inside).then(|| StyleError::Thickness {
                    style: self.name.clone(),
                    place,
                    found_mm,
                    least_mm,
                    most_mm,
                })
            })
    }

    fn gave_way(&self, face: &Sided<StyleSide>, given: Given, points: &BrowPoints) -> Vec<GaveWay> {
        let mut all = Vec::new();
        let mut add = |what, usual: f64, drawn: f64, unit| {
            if (usual - drawn).abs() > 1e-9 {
                all.push(GaveWay {
                    what,
                    usual,
                    drawn,
                    unit,
                });
            }
        };
        let percent = |share: f64| 100.0 * share;
        add(
            "tail's length",
            percent(self.tail_length.usual),
            percent(self.tail_length.toward_most(given.tail)),
            "%",
        );
        add(
            "rise of the peak",
            self.rise_mm(face, 0.0),
            points.peak.y - points.front_top.y,
            "mm",
        );
        add(
            "smallest radius around the peak",
            self.peak_radius_mm.usual,
            self.peak_radius_mm.toward_least(given.round),
            "mm",
        );
        add(
            "bow of the top line",
            self.straight_mm.usual,
            self.straight_mm.toward_most(given.round),
            "mm",
        );
        add(
            "rounding before the peak",
            percent(self.rounding.usual),
            percent(self.rounding.toward_most(given.round)),
            "%",
        );
        all
    }
}
