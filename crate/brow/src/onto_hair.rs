//! The smallest single move that brings a brow onto its hair.

use ophryon_frames::{Lateral, Vector};

use crate::constraint::{Mend, Setting};
use crate::draw::drawn;
use crate::{Brow, HairFit, Handle, Limits};

/// Largest move offered, and how finely it is found, mm: a ruler's tick.
const MOST_MM: f64 = 5.0;
const STEP_MM: f64 = 0.5;

const UP: Vector<Lateral> = Vector::new(0.0, 1.0);
const DOWN: Vector<Lateral> = Vector::new(0.0, -1.0);
const IN: Vector<Lateral> = Vector::new(-1.0, 0.0);
const OUT: Vector<Lateral> = Vector::new(1.0, 0.0);

const ALL: &[Handle] = &[Handle::Start, Handle::Peak, Handle::LowerArch, Handle::Tail];
const TOP: &[Handle] = &[Handle::FrontTop, Handle::Peak];
const UNDERSIDE: &[Handle] = &[Handle::FrontBottom, Handle::LowerArch];
const START: &[Handle] = &[Handle::Start];
const TAIL: &[Handle] = &[Handle::Tail];

/// What can be moved, which way, and how it is said.
const MOVES: [(&str, &[Handle], Vector<Lateral>); 10] = [
    ("raise the brow", ALL, UP),
    ("lower the brow", ALL, DOWN),
    ("raise the top", TOP, UP),
    ("lower the top", TOP, DOWN),
    ("raise the underside", UNDERSIDE, UP),
    ("lower the underside", UNDERSIDE, DOWN),
    ("move the start toward the midline", START, IN),
    ("move the start out", START, OUT),
    ("bring the tail in", TAIL, IN),
    ("move the tail out", TAIL, OUT),
];

/// The least move after which the fit holds and the brow can be drawn; of
/// equal ones the first of [`MOVES`].
pub(crate) fn onto_hair(
    brow: &Brow,
    setting: &Setting,
    limits: &Limits,
    holds: impl Fn(&HairFit) -> bool,
) -> Option<Mend> {
    let hair = setting.hair?;
    let steps = (MOST_MM / STEP_MM) as u32;
    (1..=steps)
        .map(|step| f64::from(step) * STEP_MM)
        .flat_map(|mm| MOVES.map(|(words, handles, way)| (mm, words, handles, way)))
        .find_map(|(mm, words, handles, way)| {
            let moved = handles
                .iter()
                .fold(*brow.points(), |p, h| p.moved(*h, way * mm));
            let moved_brow = drawn(&moved, brow.form(), limits)?;
            let fit = hair.fit(moved_brow.displaced(&setting.offset).outline());
            holds(&fit).then(|| Mend {
                sentence: format!("{words} by {mm:.1} mm"),
                points: moved,
            })
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::points::tests::plain;
    use crate::{Constraint, Form, HairRegion, Offset, Verdict, constraints, draw};
    use ophryon_frames::Point;

    /// Hair in the very shape of the brow, two millimetres lower.
    #[test]
    fn a_brow_above_its_hair_is_lowered_onto_it() {
        let limits = Limits {
            hair_inside_least: Some(0.99),
            hair_step_most_mm: Some(0.3),
            ..Limits::default()
        };
        let brow = draw(&plain(), &Form::default(), &limits).unwrap();
        let lower = brow
            .outline()
            .flattened(0.01)
            .into_iter()
            .map(|p| Point::new(p.x, p.y - 2.0));
        let hair = HairRegion::new(lower.collect());
        let setting = Setting {
            ear: Point::new(143.0, -11.0),
            offset: Offset::default(),
            hair: hair.as_ref(),
        };
        for constraint in [Constraint::HairInside, Constraint::HairStep] {
            let reading = constraints(&brow, &setting, &limits)
                .into_iter()
                .find(|r| r.constraint == constraint)
                .unwrap();
            assert_eq!(reading.verdict, Verdict::Fails);
            let mend = reading.mend.unwrap();
            assert_eq!(mend.sentence, "lower the brow by 2.0 mm");
            let mended = draw(&mend.points, &Form::default(), &limits).unwrap();
            let again = constraints(&mended, &setting, &limits);
            let now = again.iter().find(|r| r.constraint == constraint).unwrap();
            assert_eq!(now.verdict, Verdict::Holds, "{now:?}");
        }
    }

    #[test]
    fn hair_that_no_single_move_reaches_is_offered_none() {
        let limits = Limits {
            hair_step_most_mm: Some(0.3),
            ..Limits::default()
        };
        let brow = draw(&plain(), &Form::default(), &limits).unwrap();
        let far = [(20.0, 60.0), (30.0, 60.0), (25.0, 65.0)];
        let hair = HairRegion::new(far.map(|(x, y)| Point::new(x, y)).to_vec());
        let setting = Setting {
            ear: Point::new(143.0, -11.0),
            offset: Offset::default(),
            hair: hair.as_ref(),
        };
        let readings = constraints(&brow, &setting, &limits);
        let step = readings
            .iter()
            .find(|r| r.constraint == Constraint::HairStep)
            .unwrap();
        assert_eq!((step.verdict, &step.mend), (Verdict::Fails, &None));
    }
}
