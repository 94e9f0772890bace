//! One client after another through everything the engine does.

use ophryon_brow::{Handle, Offset, Shrink, ShrinkBy};
use ophryon_face::mirror_residual;
use ophryon_frames::{Frame, Point, Side, Sided, Vector};
use ophryon_record::{Drawn, Edit, PlanChoice, PlanWay, Record, VariantEdit, apply};
use ophryon_stencil::{Facing, Paper, SheetOptions, Sides, write_svg};

use crate::agreement;
use crate::faces;
use crate::figures::Figures;
use crate::lot::Lot;
use crate::wishes;

/// How many clients.
pub const CLIENTS: u64 = 120;

/// Every figure of every client.
pub fn all() -> Figures {
    let mut figures = Figures::default();
    for number in 0..CLIENTS {
        client(number, &mut figures);
    }
    figures
}

fn client(number: u64, figures: &mut Figures) {
    figures.at(format!("client {number}, proposed:"));
    let mut record = faces::client(number);
    if let Ok(levelled) = record.levelled() {
        figures.number("mm per px", levelled.scale().mm_per_px());
        figures.number("scale's uncertainty", levelled.scale().relative_sd());
        figures.number("roll", levelled.survey.frame.roll_degrees());
        figures.number(
            "midline's tilt",
            levelled.survey.frame.midline_tilt_degrees(),
        );
        point(figures, "origin", levelled.survey.frame.origin());
        figures.number("pupils", levelled.survey.pupils.mm);
        figures.number("pupils' uncertainty", levelled.survey.pupils.sd);
        for (landmark, place) in &levelled.survey.face.points {
            point(figures, &landmark.id(), *place);
        }
        if let Some(mirrored) = mirror_residual(&levelled.survey.face) {
            figures.number("mirror residual", mirrored.about_upright_mm);
            figures.number("least mirror residual", mirrored.about_best_axis_mm);
            figures.number("mirror axis", mirrored.axis_tilt_degrees);
        }
    }
    shape(&record, number, figures);
    for (step, work) in work(number).into_iter().enumerate() {
        // What is refused is part of the result: the same words everywhere.
        let done = match work {
            Step::Edit(edit) => apply(&record, &edit).map_err(|why| why.to_string()),
            Step::TakePlan => record
                .take_plan()
                .map_err(|ask| ask.sentence())
                .and_then(|edit| apply(&record, &edit).map_err(|why| why.to_string())),
        };
        match done {
            Ok(next) => record = next,
            Err(why) => figures.words(&format!("step {step} refused"), &why),
        }
    }
    figures.at(format!("client {number}, worked on:"));
    shape(&record, number, figures);
    balance(&record, figures);
    wishes::wish(&record, number, figures);
    agreement::agree(&record, number, figures);
    let file = record.to_json().unwrap_or_else(|why| why.to_string());
    figures.words("client's file", &file);
}

enum Step {
    Edit(Box<Edit>),
    /// With the plan as the record then has it.
    TakePlan,
}

/// What an artist might do to a proposal.
fn work(number: u64) -> Vec<Step> {
    let lot = &mut Lot::new(!number);
    let offset = Offset {
        lateral_mm: lot.between(-1.5, 1.5),
        height_mm: lot.between(-2.0, 2.0),
        turn_degrees: lot.between(-4.0, 4.0),
    };
    let side = lot.of(Side::BOTH);
    let edit = |edit| Step::Edit(Box::new(edit));
    let mut steps = vec![
        edit(Edit::Propose),
        edit(Edit::SetOffset { side, offset }),
        edit(Edit::SetPlan(plan(lot))),
        Step::TakePlan,
    ];
    let keep = |name: &str| {
        Edit::Variant(VariantEdit::Keep {
            name: name.to_owned(),
            note: String::new(),
        })
    };
    steps.push(edit(keep("as planned")));
    if lot.one_in(2) {
        steps.push(edit(Edit::Unlink));
    }
    for _ in 0..3 {
        let (side, handle) = (lot.of(Side::BOTH), lot.of(Handle::ALL));
        let usual = match handle {
            Handle::Start => (15.0, 19.0),
            Handle::FrontTop => (15.0, 22.5),
            Handle::FrontBottom => (15.0, 15.0),
            Handle::Peak => (41.0, 27.0),
            Handle::LowerArch => (42.5, 20.5),
            Handle::Tail => (60.0, 14.0),
        };
        let to = Point::new(
            usual.0 + lot.between(-2.0, 2.0),
            usual.1 + lot.between(-2.0, 2.0),
        );
        steps.push(edit(Edit::MoveHandle { side, handle, to }));
    }
    let share = lot.between(0.02, 0.3);
    let by = lot.of([ShrinkBy::Area, ShrinkBy::Thickness]);
    steps.push(edit(Edit::SetShrink(Shrink { share, by })));
    if lot.one_in(2) {
        steps.push(edit(Edit::Variant(VariantEdit::Take { index: 0 })));
    }
    steps
}

fn plan(lot: &mut Lot) -> PlanChoice {
    PlanChoice {
        share: lot.between(0.0, 1.0),
        cap_mm: Sided {
            right: lot.one_in(3).then(|| lot.between(0.0, 2.0)),
            left: None,
        },
        way: lot.of([PlanWay::PerPoint, PlanWay::OneLift]),
        ..PlanChoice::default()
    }
}

fn balance(record: &Record, figures: &mut Figures) {
    let balance = match record.balance() {
        Ok(balance) => balance,
        Err(ask) => return figures.words("asked for the balance", &ask.sentence()),
    };
    figures.numbers("overlay", balance.overlay);
    for row in &balance.rows {
        for (what, length) in [
            ("at rest", row.difference_at_rest),
            ("in use", row.difference_in_use),
            ("change", row.change),
        ] {
            let label = format!("{} {what}", row.name);
            figures.numbers(&label, [length.mm, length.plus_minus_mm]);
        }
    }
    for (side, offset) in balance.plan.offset.iter() {
        let label = format!("{} offset by the plan", side.name());
        figures.numbers(&label, [offset.height_mm, offset.turn_degrees]);
    }
    figures.words("read to the client", &balance.aloud);
    figures.words("balance", &balance.sentences.join(" "));
    figures.words("plan", &balance.plan.sentences.join(" "));
}

fn shape(record: &Record, number: u64, figures: &mut Figures) {
    let drawn = match record.drawn() {
        Ok(drawn) => drawn,
        Err(why) => return figures.words("not drawn", &why.to_string()),
    };
    numbers(&drawn, figures);
    let mut lot = Lot::new(number);
    let mut options = SheetOptions {
        paper: lot.of(Paper::ALL),
        sides: lot.of(Sides::ALL),
        copies: lot.of([1, 1, 2, 3]),
        facing: lot.of([Facing::FaceUp, Facing::FaceDown]),
        ..SheetOptions::default()
    };
    // What doesn't fit is refused in the same words, and then made to fit.
    if let Err(why) = record.papers_of(&drawn, &options) {
        figures.words("no paper at first", &why.to_string());
        options.copies = 1;
        options.paper = lot.of(Paper::LARGE);
    }
    match record.papers_of(&drawn, &options) {
        Ok(papers) => {
            figures.words("stencil.svg", &papers.stencil_svg());
            figures.words("report.json", &papers.report_json());
            figures.words("distances", &write_svg(&papers.distances));
        }
        Err(why) => figures.words("no paper", &why.to_string()),
    }
}

fn numbers(drawn: &Drawn, figures: &mut Figures) {
    for side in Side::BOTH {
        let name = side.name();
        let lines = drawn.measured.lines.get(side);
        for (rule, line) in [
            ("start", lines.start),
            ("peak", lines.peak),
            ("tail", lines.tail),
        ] {
            point(figures, &format!("{name} {rule} line from"), line.from);
            point(
                figures,
                &format!("{name} {rule} line through"),
                line.through,
            );
        }
        for place in drawn.handles.get(side) {
            let label = format!("{name} {}", place.handle.name());
            point(figures, &label, place.lateral);
            point(figures, &format!("{label} seen"), place.front);
            point(figures, &format!("{label} in the photo"), place.photo);
        }
        let (worn, seen) = (drawn.on_skin.get(side), drawn.seen.get(side));
        let controls = worn.segments().iter().flat_map(|s| s.controls);
        points(figures, &format!("{name} cubics"), controls);
        points(figures, &format!("{name} seen"), seen.sampled(1));
        for (what, value) in [
            ("area", worn.area()),
            ("perimeter", worn.perimeter()),
            ("area seen", seen.area()),
        ] {
            figures.number(&format!("{name} {what}"), value);
        }
        let middle = worn.bounds().0.midpoint(worn.bounds().1);
        let crossings = worn.crossings(middle, Vector::new(0.1, 1.0));
        figures.numbers(&format!("{name} crossings"), crossings);
        for reading in drawn.readings.get(side) {
            let label = format!("{name} {:?}", reading.constraint);
            figures.number(&label, reading.value.unwrap_or(-1.0));
            figures.number(
                &format!("{label} beside"),
                reading.beside_mm.unwrap_or(-1.0),
            );
            figures.words(&format!("{label} said"), &format!("{reading:?}"));
        }
        healing(drawn, side, figures);
        if let Some(fit) = drawn.hair_fit.get(side) {
            for (what, value) in [
                ("hair inside", fit.inside_mm2),
                ("hair outside", fit.outside_mm2),
                ("bare", fit.bare_mm2),
                ("largest step", fit.largest_step_mm),
            ] {
                figures.number(&format!("{name} {what}"), value);
            }
        }
    }
    for row in &drawn.differences {
        let both = [row.right_mm, row.left_mm, row.difference_mm];
        figures.numbers(row.id, both);
    }
    for row in drawn.measured.natural_table() {
        figures.words("natural difference", &format!("{row:?}"));
    }
}

/// What stays, what to draw instead, and where that is seen.
fn healing(drawn: &Drawn, side: Side, figures: &mut Figures) {
    let name = side.name();
    for (way, both) in [("healed", drawn.healed()), ("to draw", drawn.to_draw())] {
        let label = |what: &str| format!("{name} {way} {what}");
        match both.get(side) {
            Ok(one) => {
                figures.number(&label("distance"), one.healing.distance_mm);
                for stage in [one.drawn, one.healed] {
                    let values = stage.rows().map(|(_, _, value)| value.unwrap_or(-1.0));
                    figures.numbers(&label("numbers"), values);
                }
                for (worn, seen) in one.on_skin.iter().zip(&one.seen) {
                    let controls = worn.segments().iter().flat_map(|s| s.controls);
                    points(figures, &label("cubics"), controls);
                    points(figures, &label("seen"), seen.sampled(1));
                }
                figures.words(&label("said"), &one.healing.sentences().join(" "));
            }
            Err(why) => figures.words(&label("refused"), &why.to_string()),
        }
    }
    for standing in drawn.standing(side) {
        let label = format!("{name} {}", standing.id);
        figures.number(&label, standing.value.unwrap_or(-1.0));
    }
}

fn point<F: Frame>(figures: &mut Figures, label: &str, place: Point<F>) {
    points(figures, label, [place]);
}

fn points<F: Frame>(
    figures: &mut Figures,
    label: &str,
    places: impl IntoIterator<Item = Point<F>>,
) {
    let numbers = places.into_iter().flat_map(|p| [p.x, p.y]);
    figures.numbers(label, numbers);
}
