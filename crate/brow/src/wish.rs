//! What a form wishes, as squares that the programme makes small.

use ophryon_frames::{Lateral, Point};

use crate::fair::{Bound, Legs};
use crate::leg::{Form, Leg, UNKNOWNS};
use crate::measure::body_across;
use crate::quadratic::Programme;
use crate::{BrowPoints, Guide, GuideSource, MOST_PLACES, Weights};

/// Adds all wishes.
pub(crate) fn add(
    programme: &mut Programme<Bound, UNKNOWNS>,
    legs: &Legs<Leg>,
    points: &BrowPoints,
    form: &crate::Form,
) {
    for guide in form.guide.iter().chain(&form.last_shape) {
        stay_close(programme, legs, points, guide, &form.weights);
    }
    let weight = form.weights.thickness;
    if let Some(mm) = form.body_mm
        && let Some(miss) = body_miss(legs, points, mm)
    {
        programme.add_square(&miss, weight);
    }
    for wish in &form.tail {
        let thick = tail_thickness(legs, wish.share);
        programme.add_square(
            &thick.plus(&Form::constant(-wish.thickness_mm), 1.0),
            weight,
        );
    }
}

/// ∫ of the squared distance from the guide, place by place. A leg is the
/// graph of a height, so the distance across it is the height's difference
/// times the cosine of the slope.
fn stay_close(
    programme: &mut Programme<Bound, UNKNOWNS>,
    legs: &Legs<Leg>,
    points: &BrowPoints,
    guide: &Guide,
    weights: &Weights,
) {
    let weight = match guide.source {
        GuideSource::Sketch => weights.sketch,
        GuideSource::Hair => weights.hair,
        GuideSource::LastShape => weights.last_shape,
    };
    let stretches = guide.stretches(points);
    let all = [
        &legs.upper_body,
        &legs.upper_tail,
        &legs.lower_body,
        &legs.lower_tail,
    ];
    for (stretch, leg) in stretches.iter().zip(all) {
        let each_mm = leg.run() / MOST_PLACES as f64;
        for place in stretch.lie() {
            let (u, h) = leg.plane.seen(place);
            // Beyond the ends nothing can be done: they are where they are.
            if u <= 0.0 || u >= leg.run() {
                continue;
            }
            let off = leg.height_at(u).plus(&Form::constant(-h), 1.0);
            // cos² for the distance, 1/cos for the length of the curve.
            let along = each_mm / leg.lean_at(u).sqrt();
            programme.add_square(&off, weight * along);
        }
    }
}

/// Thickness across the tail's axis at a share of the way from the lower arch
/// to the tip.
fn tail_thickness(legs: &Legs<Leg>, share: f64) -> Form {
    let (upper, lower) = (&legs.upper_tail, &legs.lower_tail);
    let (ahead, above) = lower.plane.seen(upper.plane.origin);
    let u = share * lower.run();
    // Before the peak the upper edge is not in this frame yet; a wish so near
    // the arch is taken to be at the peak.
    let on_upper = upper.height_at((u - ahead).max(0.0));
    on_upper
        .plus(&lower.height_at(u), -1.0)
        .plus(&Form::constant(above), 1.0)
}

/// What the thickness halfway along the body misses the wish by. It is read
/// across the body's own axis ([`body_across`]); each edge is met there by one
/// step of Newton's from where a brow of the wished thickness has it.
fn body_miss(legs: &Legs<Leg>, points: &BrowPoints, wished_mm: f64) -> Option<Form> {
    let (at, across) = body_across(points);
    let across = across.unit()?;
    let meets = |leg: &Leg, front: Point<Lateral>, guess: f64| {
        let turn = leg.plane.origin;
        let place = at + across * guess;
        // A wish far off any brow looks at the leg's end, and steadily so.
        let u = (turn.x - place.x).clamp(0.0, leg.run());
        let chord = (turn.y - front.y) / (turn.x - front.x);
        let above = leg
            .height_at(u)
            .plus(&Form::constant(turn.y - place.y), 1.0);
        Form::constant(guess).plus(&above, 1.0 / (across.y - chord * across.x))
    };
    let half = 0.5 * wished_mm;
    let upper = meets(&legs.upper_body, points.front_top, half);
    let lower = meets(&legs.lower_body, points.front_bottom, -half);
    Some(
        upper
            .plus(&lower, -1.0)
            .plus(&Form::constant(-wished_mm), 1.0),
    )
}
