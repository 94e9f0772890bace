//! A first pair, at once: mapped start, peak and tail at the natural heights.

use ophryon_frames::{Front, Lateral, Point, Side, Sided, Vector, Wrap};

use crate::draw::can_draw;
use crate::mapping::{AimFrame, Line};
use crate::{BrowPoints, Form, Handle, Limits, MappingError, MappingLines, Rules};

/// Middle of the ear when nobody measured it: 143 mm from the midline over the
/// skin, 11 mm below the pupil line. The distance is half the published arc
/// over the brow from ear to ear (Gordon et al. 1989, about 287 mm in women;
/// from memory). 15 mm of error moves the tip by about half a millimetre.
pub const TYPICAL_EAR_MM: (f64, f64) = (143.0, -11.0);

/// Where the tail aims on one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ear {
    /// Middle of the ear on the skin, side-neutral.
    pub on_skin: Point<Lateral>,
    /// As seen in the photo, reflected to the left, when it was tapped.
    pub seen: Option<Point<Front>>,
}

impl Ear {
    /// From what is known: a tape's distance over the skin, a tap in the photo
    /// (whose height counts, its distance doesn't), or neither.
    pub fn from_known(tape_mm: Option<f64>, seen: Option<Point<Front>>) -> Self {
        let (typical_mm, typical_height_mm) = TYPICAL_EAR_MM;
        let height_mm = seen.map_or(typical_height_mm, |p| p.y);
        Self {
            on_skin: Point::new(tape_mm.unwrap_or(typical_mm), height_mm),
            seen,
        }
    }
}

/// The natural brow of one side as tapped, reflected to the left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NaturalBrow {
    /// Upper border at the start.
    pub start_top: Point<Front>,
    /// Lower border at the start.
    pub start_bottom: Point<Front>,
    /// Highest point of the upper border.
    pub peak: Point<Front>,
    /// Highest point of the lower border, when tapped.
    pub lower_arch: Option<Point<Front>>,
    /// Lateral end of the hair.
    pub tail: Point<Front>,
}

/// Where the ear's middle is seen from the front when nobody tapped it, mm.
const TYPICAL_EAR_SEEN_MM: (f64, f64) = (76.0, -11.0);

/// Thickness at the peak as a share of the thickness at the start, where the
/// natural lower arch wasn't tapped. Ours: a brow that keeps its body.
const PEAK_THICKNESS: f64 = 0.9;

/// Thinnest brow proposed, mm; the artist may go thinner.
const THINNEST_MM: f64 = 3.0;

/// How far the tail may be let out, along its aim, to find a shape that can be
/// drawn, and in which steps, mm.
const TAIL_OUT_MM: f64 = 12.0;
const TAIL_STEP_MM: f64 = 1.0;

/// How far the arch may come down where no tail fits it, and in which steps, mm.
const ARCH_DOWN_MM: f64 = 6.0;
const ARCH_STEP_MM: f64 = 0.5;

/// Proposes one side-neutral brow for both sides: mapped on each side from its
/// own landmarks, then the mean of the two, so that a difference between the
/// sides is shared by half (common practice, no source).
///
/// Heights and thickness are the natural hair's; start, peak and tail the
/// rules'. Where those contradict each other the proposal gives way as little
/// as it can: the peak is never below the front, the tail is let out along
/// its aim.
///
/// # Errors
/// A mapping line that doesn't reach the brow, or a point beyond the wrap.
pub fn propose(
    lines: &Sided<MappingLines>,
    natural: &Sided<NaturalBrow>,
    ears: &Sided<Ear>,
    rules: &Rules,
    wrap: &Sided<Wrap>,
    limits: &Limits,
) -> Result<BrowPoints, MappingError> {
    let sides = Sided::try_from_fn(|side| {
        one_side(
            lines.get(side),
            natural.get(side),
            ears.get(side),
            rules,
            wrap.get(side),
            limits,
        )
    })?;
    let mean = sides.right.mean(sides.left);
    let ear = ears.right.on_skin.midpoint(ears.left.on_skin);
    let aimed = match rules.aim {
        AimFrame::Skin => aimed_at(mean, ear),
        AimFrame::Front => mean,
    };
    Ok(drawable(aimed, limits))
}

fn one_side(
    lines: &MappingLines,
    natural: &NaturalBrow,
    ear: &Ear,
    rules: &Rules,
    wrap: &Wrap,
    limits: &Limits,
) -> Result<BrowPoints, MappingError> {
    // On the left side the skin's s is the lateral distance itself.
    let skin = |p: Point<Front>| wrap.to_skin(p).map(|q| Side::Left.neutral(q));
    let thick = (natural.start_top.y - natural.start_bottom.y).max(THINNEST_MM);
    let top = natural.start_top.y;
    let [front_top, front_bottom] = mapped_start(lines, wrap, top, thick)?;
    let peak_height = natural.peak.y.max(top);
    let on_line = lines.peak.at_height(peak_height);
    let peak = skin(on_line.ok_or(MappingError::Misses { rule: "peak rule" })?)?;
    let thick_at_peak = natural
        .lower_arch
        .map_or(PEAK_THICKNESS * thick, |p| peak_height - p.y)
        .clamp(THINNEST_MM, (peak_height - front_bottom.y).max(THINNEST_MM));
    let lower_arch = peak + Vector::new(limits.arch_behind_mm, -thick_at_peak);
    let tail = tip(lines, lower_arch, ear, rules, wrap)?;
    Ok(BrowPoints {
        front_top,
        front_bottom,
        peak,
        lower_arch,
        tail,
    })
}

/// Both front corners on the start rule's line: the upper one at a height, the
/// lower one so much below it.
pub(crate) fn mapped_start(
    lines: &MappingLines,
    wrap: &Wrap,
    top_mm: f64,
    thick_mm: f64,
) -> Result<[Point<Lateral>; 2], MappingError> {
    let at = |height_mm: f64| {
        let on_line = lines.start.at_height(height_mm);
        let seen = on_line.ok_or(MappingError::Misses { rule: "start rule" })?;
        let skin = wrap.to_skin(seen)?;
        Ok::<_, MappingError>(Side::Left.neutral(skin))
    };
    Ok([at(top_mm)?, at(top_mm - thick_mm)?])
}

/// Where the aim from the lower arch meets the tail rule's line.
pub(crate) fn tip(
    lines: &MappingLines,
    lower_arch: Point<Lateral>,
    ear: &Ear,
    rules: &Rules,
    wrap: &Wrap,
) -> Result<Point<Lateral>, MappingError> {
    match rules.aim {
        AimFrame::Skin => {
            let (arch, ear) = (Side::Left.place(lower_arch), Side::Left.place(ear.on_skin));
            Ok(Side::Left.neutral(lines.tip_on_skin(arch, ear, wrap)?))
        }
        AimFrame::Front => {
            let (x, y) = TYPICAL_EAR_SEEN_MM;
            let aim = Line {
                from: wrap.to_front(Side::Left.place(lower_arch)),
                through: ear.seen.unwrap_or(Point::new(x, y)),
            };
            let tip = lines.tail.crossing(&aim);
            let seen = tip.ok_or(MappingError::Misses { rule: "tail rule" })?;
            Ok(Side::Left.neutral(wrap.to_skin(seen)?))
        }
    }
}

/// Turns the tail about the lower arch until it points at the ear.
pub(crate) fn aimed_at(points: BrowPoints, ear: Point<Lateral>) -> BrowPoints {
    let length = points.tail.distance(points.lower_arch);
    match (ear - points.lower_arch).unit() {
        Some(toward) => points.with(Handle::Tail, points.lower_arch + toward * length),
        None => points,
    }
}

/// Gives way as little as possible until the brow can be drawn: the tail is
/// let out along its aim first; then the arch comes down, peak and lower arch
/// together, so that the thickness stays.
fn drawable(points: BrowPoints, limits: &Limits) -> BrowPoints {
    let Some(along) = (points.tail - points.lower_arch).unit() else {
        return points;
    };
    let steps = |most: f64, step: f64| (0..=(most / step) as u32).map(move |i| f64::from(i) * step);
    for down in steps(ARCH_DOWN_MM, ARCH_STEP_MM) {
        let down = Vector::new(0.0, -down);
        let lowered = points
            .moved(Handle::Peak, down)
            .moved(Handle::LowerArch, down);
        let fits = steps(TAIL_OUT_MM, TAIL_STEP_MM)
            .map(|out| lowered.moved(Handle::Tail, along * out))
            .find(|let_out| can_draw(let_out, &Form::default(), limits));
        if let Some(found) = fits {
            return found;
        }
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{EyeSide, PeakRule, draw};

    /// A typical face, pupils 63 mm apart (proportions of the published mean).
    pub(crate) fn typical() -> (Sided<MappingLines>, Sided<NaturalBrow>, Sided<Ear>) {
        let eye = EyeSide {
            inner_corner: Point::new(16.0, -1.0),
            outer_corner: Point::new(44.5, 0.0),
            nose_wing: Point::new(17.0, -38.0),
            pupil: Point::new(31.5, 0.0),
            iris_outer_rim: Some(Point::new(37.4, 0.0)),
            lower_lid: None,
        };
        let lines = MappingLines::construct(&eye, &Rules::default()).unwrap();
        let natural = NaturalBrow {
            start_top: Point::new(15.0, 22.0),
            start_bottom: Point::new(15.0, 15.0),
            peak: Point::new(39.0, 27.5),
            lower_arch: None,
            tail: Point::new(54.0, 18.0),
        };
        let ear = Ear::from_known(None, None);
        (
            Sided::from_fn(|_| lines),
            Sided::from_fn(|_| natural),
            Sided::from_fn(|_| ear),
        )
    }

    #[test]
    fn a_typical_face_gets_a_brow_on_its_own_lines() {
        let (lines, natural, ears) = typical();
        let wrap = Wrap::cylinder(75.0).unwrap();
        let (rules, limits) = (Rules::default(), Limits::default());
        let points = propose(
            &lines,
            &natural,
            &ears,
            &rules,
            &Sided::from_fn(|_| wrap),
            &limits,
        )
        .unwrap();
        let seen = |p| wrap.to_front(Side::Left.place(p));
        assert!(
            (seen(points.front_top).x - 16.0).abs() < 1e-9,
            "starts over the inner corner"
        );
        // From the wing (17, -38) through the pupil (31.5, 0), 27.5 high.
        let peak = 17.0 + 65.5 * 14.5 / 38.0;
        assert!(
            (seen(points.peak).x - peak).abs() < 1e-9,
            "peaks on its line"
        );
        assert!(
            (points.peak.y - 27.5).abs() < 1e-9,
            "at the hair's own height"
        );
        assert!(
            lines.left.tail.beyond(seen(points.tail)).abs() < 1e-6,
            "ends on the tail line"
        );
        assert!(draw(&points, &Form::default(), &limits).is_ok());
    }

    #[test]
    fn two_millimetres_between_the_sides_are_shared_by_half() {
        let (lines, mut natural, ears) = typical();
        let up = Vector::new(0.0, 2.0);
        natural.right.start_top = natural.right.start_top + up;
        natural.right.start_bottom = natural.right.start_bottom + up;
        natural.right.peak = natural.right.peak + up;
        let wrap = Wrap::cylinder(75.0).unwrap();
        let rules = Rules {
            peak: PeakRule::AbovePupil,
            ..Rules::default()
        };
        let points = propose(
            &lines,
            &natural,
            &ears,
            &rules,
            &Sided::from_fn(|_| wrap),
            &Limits::default(),
        )
        .unwrap();
        // One millimetre down on the high side, one up on the low side.
        assert!((points.front_top.y - 23.0).abs() < 1e-9);
        assert!((points.peak.y - 28.5).abs() < 1e-9);
    }
}
