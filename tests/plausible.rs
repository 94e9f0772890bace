//! Plausible faces and shaken brows by lot.
//!
//! Faces are varied around published anthropometry (plausibility bands, never
//! targets): interpupillary distance 50 to 75 mm in most adults (Dodgson,
//! Proc SPIE 2004;5291:36-46), intercanthal width about 26 to 45 mm (systematic
//! review, PMC9029890), brows uneven by up to 3 mm (Macdonald et al.,
//! J Otolaryngol HNS 2014;43:36). Radius of the brow band 65 to 95 mm (ours).

// Each of the tests that take this in uses its own part of it.
#![allow(dead_code)]

use ophryon_brow::{
    AimFrame, BrowPoints, Ear, EyeSide, Limits, MappingLines, NaturalBrow, PeakRule, Rules,
    StartRule, TailRule, propose,
};
use ophryon_frames::{Front, Point, Sided, Vector, Wrap};
use proptest::prelude::*;

/// One side of a plausible face, as the client's left.
#[derive(Debug, Clone)]
pub struct FaceSide {
    pub eye: EyeSide,
    pub natural: NaturalBrow,
    pub ear_height: f64,
}

#[derive(Debug, Clone)]
pub struct Face {
    pub sides: Sided<FaceSide>,
    pub wrap: Wrap,
    pub rules: Rules,
}

fn rules() -> impl Strategy<Value = Rules> {
    (
        prop_oneof![Just(StartRule::InnerCorner), Just(StartRule::NoseWing)],
        -2.0..3.0f64,
        prop_oneof![
            Just(PeakRule::WingThroughPupil),
            Just(PeakRule::WingThroughIrisRim),
            Just(PeakRule::AbovePupil),
            Just(PeakRule::AboveIrisRim)
        ],
        prop_oneof![3 => Just(TailRule::WingThroughOuterCorner), 1 => Just(TailRule::LowerLid)],
        prop_oneof![3 => Just(AimFrame::Skin), 1 => Just(AimFrame::Front)],
    )
        .prop_map(|(start, start_offset_mm, peak, tail, aim)| Rules {
            start,
            start_offset_mm,
            peak,
            tail,
            aim,
        })
}

/// A symmetric face first; the sides then differ by what faces differ by.
pub fn face() -> impl Strategy<Value = Face> {
    let eyes = (50.0..75.0f64, 0.47..0.56f64, 26.0..32.0f64, -3.0..2.0f64);
    let nose = (14.0..20.0f64, -44.0..-33.0f64);
    let brow = (19.0..27.0f64, 5.0..10.0f64, 1.5..9.0f64, any::<bool>());
    let uneven = prop::collection::vec(-1.5..1.5f64, 12);
    let rest = (1.05..1.5f64, -18.0..-4.0f64, rules());
    (eyes, nose, brow, uneven, rest).prop_map(|(eyes, nose, brow, uneven, (curve, ear, rules))| {
        let side = |sign: f64| {
            let off = |i: usize| sign * uneven[i];
            let at = |x: f64, y: f64, i: usize| Point::new(x + off(i), y + off(i + 1));
            let (pupils, inner_share, fissure, slant) = eyes;
            let (wing, wing_height) = nose;
            let (height, thick, rise, arch_tapped) = brow;
            let half = 0.5 * pupils;
            let inner = half * inner_share;
            let eye = EyeSide {
                inner_corner: at(inner, -1.0, 0),
                outer_corner: at(inner + fissure, -1.0 + slant, 1),
                nose_wing: at(wing, wing_height, 2),
                pupil: at(half, 0.0, 3),
                iris_outer_rim: Some(at(half + 5.85, 0.0, 4)),
                lower_lid: Some(at(inner + fissure - 4.0, slant - 5.5, 5)),
            };
            let lift = off(6);
            let natural = NaturalBrow {
                start_top: Point::new(inner, height + lift),
                start_bottom: Point::new(inner, height - thick + lift),
                peak: Point::new(half + 7.0, height + rise + lift + off(7)),
                lower_arch: arch_tapped
                    .then(|| Point::new(half + 8.0, height + rise - 0.9 * thick + lift + off(8))),
                tail: Point::new(half + 22.0, height - 4.0 + off(9)),
            };
            FaceSide {
                eye,
                natural,
                ear_height: ear + off(10),
            }
        };
        let sides = Sided {
            right: side(0.5),
            left: side(-0.5),
        };
        Face {
            sides,
            wrap: Wrap::Cylinder {
                radius_mm: curve * eyes.0,
            },
            rules,
        }
    })
}

impl Face {
    pub fn ears(&self) -> Sided<Ear> {
        Sided::from_fn(|side| {
            let height = self.sides.get(side).ear_height;
            Ear::from_known(None, Some(Point::new(75.0, height)))
        })
    }

    pub fn proposal(&self) -> Result<BrowPoints, String> {
        let lines = Sided::try_from_fn(|side| {
            MappingLines::construct(&self.sides.get(side).eye, &self.rules)
        })
        .map_err(|e| e.to_string())?;
        let natural = Sided::from_fn(|side| self.sides.get(side).natural);
        let limits = Limits::default();
        propose(
            &lines,
            &natural,
            &self.ears(),
            &self.rules,
            &Sided::from_fn(|_| self.wrap),
            &limits,
        )
        .map_err(|e| e.to_string())
    }

    /// The same face with everything so much higher.
    pub fn raised(&self, by: f64) -> Self {
        let up = |p: Point<Front>| p + Vector::new(0.0, by);
        let raise = |side: &FaceSide| FaceSide {
            eye: EyeSide {
                inner_corner: up(side.eye.inner_corner),
                outer_corner: up(side.eye.outer_corner),
                nose_wing: up(side.eye.nose_wing),
                pupil: up(side.eye.pupil),
                iris_outer_rim: side.eye.iris_outer_rim.map(up),
                lower_lid: side.eye.lower_lid.map(up),
            },
            natural: NaturalBrow {
                start_top: up(side.natural.start_top),
                start_bottom: up(side.natural.start_bottom),
                peak: up(side.natural.peak),
                lower_arch: side.natural.lower_arch.map(up),
                tail: up(side.natural.tail),
            },
            ear_height: side.ear_height + by,
        };
        let sides = Sided {
            right: raise(&self.sides.right),
            left: raise(&self.sides.left),
        };
        Self {
            sides,
            ..self.clone()
        }
    }
}

/// A face's own brow, shaken: whatever the artist drags where.
pub fn shaken() -> impl Strategy<Value = BrowPoints> {
    let start = (8.0..22.0f64, 15.0..26.0f64, 2.0..12.0f64);
    let peak = (10.0..40.0f64, -3.0..14.0f64, -3.0..6.0f64, 1.0..14.0f64);
    (start, peak, (1.0..30.0f64, -25.0..6.0f64)).prop_map(
        |((x, top, thick), (out, rise, behind, deep), (tail_out, tail_up))| {
            let peak = Point::new(x + out, top + rise);
            let lower_arch = Point::new(peak.x + behind, peak.y - deep);
            BrowPoints {
                front_top: Point::new(x, top),
                front_bottom: Point::new(x, top - thick),
                peak,
                lower_arch,
                tail: Point::new(lower_arch.x + tail_out, lower_arch.y + tail_up),
            }
        },
    )
}
