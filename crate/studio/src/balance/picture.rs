//! What is drawn over the two photos: level lines at the brows' heights, the
//! gaps between them with their numbers, and where the plan puts them.
//!
//! Plain values in the px of the photo at rest; the photo in use is laid over
//! it.

use ophryon_frames::{Photo as Px, Point, Side, Vector};
use ophryon_record::{Balance, BalanceRow, BrowPlace, FaceState, HeightLine, Length, Levelled};

use crate::number::tenths;
use crate::stage::scene::{Label, Line};

/// A line begins this far out to the place it belongs to, as a share.
const BEGINS: f64 = 0.6;

/// Half the length of the bar where the plan puts a place, mm.
const HALF_BAR_MM: f64 = 5.0;

/// Everything over one photo.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Picture {
    /// Lines, from below up.
    pub lines: Vec<Line>,
    /// Words.
    pub labels: Vec<Label>,
}

/// How large the brows are seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Room {
    /// Words of start and peak fit side by side.
    Usual,
    /// They don't: those of the peak go up a line.
    Small,
}

/// Over the photo of the face in that state; of one place only, or of all.
pub fn picture(
    balance: &Balance,
    levelled: Option<&Levelled>,
    state: FaceState,
    only: Option<BrowPlace>,
    room: Room,
) -> Picture {
    let mut picture = Picture::default();
    let rows = balance.rows.iter().filter(|row| row.place.is_some());
    for row in rows {
        let Some(place) = row.place else { continue };
        if only.is_some_and(|o| o != place) {
            continue;
        }
        heights(
            &mut picture,
            balance,
            state,
            row,
            place,
            (only.is_some(), room),
        );
    }
    if let (FaceState::AtRest, Some(levelled)) = (state, levelled) {
        planned(&mut picture, balance, levelled, only);
    }
    picture
}

/// A line over its own photo, in px of the photo at rest.
fn line(balance: &Balance, state: FaceState, place: BrowPlace, side: Side) -> Option<HeightLine> {
    let photo = match state {
        FaceState::AtRest => &balance.at_rest,
        FaceState::InUse => &balance.in_use,
    };
    let mut all = balance.lines.iter();
    let found =
        all.find(|l| l.photo == *photo && l.state == state && l.place == place && l.side == side)?;
    let [a, b, c, d, e, f] = match state {
        FaceState::AtRest => [1.0, 0.0, 0.0, 1.0, 0.0, 0.0],
        FaceState::InUse => balance.overlay,
    };
    let over = |p: Point<Px>| Point::new(a * p.x + c * p.y + e, b * p.x + d * p.y + f);
    Some(HeightLine {
        at: over(found.at),
        own: found.own.map(over),
        across: found.across.map(over),
        ..found.clone()
    })
}

fn heights(
    picture: &mut Picture,
    balance: &Balance,
    state: FaceState,
    row: &BalanceRow,
    place: BrowPlace,
    (alone, room): (bool, Room),
) {
    let difference = match state {
        FaceState::AtRest => row.difference_at_rest,
        FaceState::InUse => row.difference_in_use,
    };
    let Length { mm, plus_minus_mm } = difference;
    let is_sure = mm.abs() > plus_minus_mm;
    let high = if mm > 0.0 { Side::Right } else { Side::Left };
    for side in Side::BOTH {
        let Some(own) = line(balance, state, place, side) else {
            continue;
        };
        let class = if is_sure { "height" } else { "height soft" };
        picture
            .lines
            .push(segment(class, [part(own.own, BEGINS), own.own[1]]));
        if side == high && (is_sure || alone) {
            // The higher one carried over the lower one.
            picture.lines.push(segment(
                "carried",
                [part(own.across, BEGINS), own.across[1]],
            ));
        }
    }
    let low = line(balance, state, place, high.other());
    let high = line(balance, state, place, high);
    let (Some(low), Some(high)) = (low, high) else {
        return;
    };
    if !(is_sure || alone) {
        return;
    }
    picture
        .lines
        .push(segment("gap", [low.own[1], high.across[1]]));
    // Above its line, and under that of the tail: there the brow is.
    let (from, dy) = match place {
        BrowPlace::Tail => (low.own[1], 20.0),
        BrowPlace::Peak if room == Room::Small => (high.across[1], -30.0),
        BrowPlace::Start | BrowPlace::Peak => (high.across[1], -8.0),
    };
    picture.labels.push(Label {
        at: from,
        of: low.own[1],
        dx: 0.0,
        dy,
        anchor: match low.side {
            Side::Right => "start",
            Side::Left => "end",
        },
        class: if is_sure { "label" } else { "label soft" },
        text: format!(
            "{} \u{b1} {} mm",
            tenths(mm.abs()),
            tenths(plus_minus_mm.max(0.1))
        ),
    });
}

/// Where the plan puts the places of both brows.
fn planned(picture: &mut Picture, balance: &Balance, levelled: &Levelled, only: Option<BrowPlace>) {
    for row in &balance.plan.rows {
        if only.is_some_and(|o| o != row.place) {
            continue;
        }
        for side in Side::BOTH {
            let up = row.change.get(side).mm;
            let Some(from) = line(balance, FaceState::AtRest, row.place, side) else {
                continue;
            };
            if up == 0.0 {
                continue;
            }
            let front = levelled.survey.frame.to_front(from.at) + Vector::new(0.0, up);
            let end = |x: f64| levelled.survey.frame.to_photo(front + Vector::new(x, 0.0));
            picture
                .lines
                .push(segment("planned", [end(-HALF_BAR_MM), end(HALF_BAR_MM)]));
        }
    }
}

fn part([from, to]: [Point<Px>; 2], share: f64) -> Point<Px> {
    from.lerp(to, share)
}

fn segment(class: &'static str, [a, b]: [Point<Px>; 2]) -> Line {
    Line {
        class,
        path: format!("M{:.2} {:.2}L{:.2} {:.2}", a.x, a.y, b.x, b.y),
        filled: false,
    }
}
