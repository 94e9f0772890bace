//! What readings that are off in a pattern are likely to come from.
//!
//! Every explanation is a pattern of misreadings with one or two free numbers
//! (how much turned, how far shifted, …) or none. Each is fitted to the
//! readings by generalised least squares: the ruler's own error counts for
//! each reading by itself, while scale, tape and what the wrap leaves move
//! many readings together and are known to. What an explanation saves in
//! squares, less a price for each free number and for each alternative that
//! could have been tried instead (after Schwarz, Annals of Statistics 6, 1978,
//! 461-464; from memory), is its evidence against chance.

use ophryon_frames::{Side, Sided};

use crate::distances::RULER_SD_MM;
use crate::{Cause, CheckedDistance, Distance, DistanceId, DistanceKind, LikelyCause, ListBasis};

/// Evidence below this is called chance. Twice the logarithm of the odds, so
/// 55 to 1 (Kass and Raftery, JASA 90, 1995, 773-795, call 6 to 10 strong;
/// from memory).
const NAMED: f64 = 8.0;

/// A cause is listed beside the likeliest while the odds between them are less
/// than that.
const CLOSE: f64 = 6.0;

/// A pattern is looked for in so many readings or more.
const LEAST_READINGS: usize = 4;

/// An explanation with its free numbers still open.
struct Explanation {
    kind: Kind,
    cause: Cause,
    side: Option<Side>,
    /// What one unit of each free number does to each reading, mm.
    columns: Vec<Vec<f64>>,
    /// What is expected to be off without any free number, mm.
    fixed: Option<Vec<f64>>,
}

/// How an explanation is put into words.
#[derive(Clone, Copy)]
enum Kind {
    /// Along the skin by one factor.
    AlongFactor,
    /// As another tape length would have it.
    OtherTape,
    /// Turned, radians; positive raises the client's left.
    Turn,
    /// Along the skin by so much, toward the tail or the client's left.
    Along,
    /// Up by so much.
    Up,
    /// Both.
    AlongAndUp,
    /// Everything by one factor.
    Everything,
    /// Heights and thickness by one factor.
    UprightFactor,
    /// Right for left.
    Exchanged,
    /// One reading alone.
    One(DistanceId),
}

/// An explanation with its free numbers found.
struct Found {
    explanation: Explanation,
    numbers: Vec<f64>,
    evidence: f64,
}

/// The readings that can be compared.
struct Compared<'l> {
    list: &'l [Distance],
    rows: Vec<(&'l CheckedDistance, f64)>,
}

/// What the readings are likely to come from, likeliest first; empty where
/// none is off, or nothing is clearly likelier than chance.
pub(crate) fn likely_causes(
    list: &[Distance],
    basis: &ListBasis,
    rows: &[CheckedDistance],
) -> Vec<LikelyCause> {
    let compared = Compared {
        list,
        rows: rows.iter().filter_map(|r| Some((r, r.off_mm?))).collect(),
    };
    let Some(spread) = compared.spread(basis) else {
        return Vec::new();
    };
    let off: Vec<f64> = compared.rows.iter().map(|r| r.1).collect();
    let off = spread.whitened(&off);
    let explanations = compared.explanations();
    let alternatives = |cause| explanations.iter().filter(|e| e.cause == cause).count() as f64;
    let price = |e: &Explanation| {
        let n = compared.rows.len() as f64;
        e.columns.len() as f64 * libm::log(n) + 2.0 * libm::log(alternatives(e.cause))
    };
    let prices: Vec<f64> = explanations.iter().map(price).collect();
    let mut best: Vec<Found> = Vec::new();
    for (explanation, price) in explanations.into_iter().zip(prices) {
        let (saved, numbers) = spread.saved(&off, &explanation);
        let evidence = saved - price;
        let found = Found {
            explanation,
            numbers,
            evidence,
        };
        // Of each cause the best of its forms.
        match best
            .iter_mut()
            .find(|f| f.explanation.cause == found.explanation.cause)
        {
            Some(other) if other.evidence < found.evidence => *other = found,
            Some(_) => {}
            None => best.push(found),
        }
    }
    best.sort_by(|a, b| b.evidence.total_cmp(&a.evidence));
    let most = best.first().map_or(0.0, |f| f.evidence);
    best.into_iter()
        .filter(|f| f.evidence >= NAMED && f.evidence >= most - CLOSE)
        .filter(|f| f.explanation.cause != Cause::OneReading || compared.is_alone(f))
        .map(|f| LikelyCause {
            cause: f.explanation.cause,
            side: f.explanation.side,
            sentence: compared.sentence(&f, basis),
        })
        .collect()
}

impl Compared<'_> {
    /// Whether most of the others agree: one reading is not alone where many
    /// are off, however much it explains.
    fn is_alone(&self, found: &Found) -> bool {
        let others = self.rows.iter().filter(|(row, _)| !is_of(found, row));
        let off = others
            .filter(|(row, mm)| mm.abs() > row.tolerance_mm)
            .count();
        4 * off <= self.rows.len()
    }

    fn expected(&self, id: DistanceId, side: Side) -> f64 {
        let row = self.list.iter().find(|d| d.id == id);
        row.map_or(0.0, |d| d.expected_mm(side))
    }

    /// Where a reading is taken: from the midline and up, mm.
    fn place(&self, row: &CheckedDistance) -> Option<(f64, f64)> {
        use DistanceId::{
            FrontBottomHeight, FrontTopHeight, LowerArch, LowerArchHeight, Peak, PeakHeight, Start,
            Tail, TailHeight,
        };
        let at = |id| self.expected(id, row.side);
        Some(match row.id {
            Start => (
                at(Start),
                0.5 * (at(FrontTopHeight) + at(FrontBottomHeight)),
            ),
            FrontTopHeight | FrontBottomHeight => (at(Start), at(row.id)),
            Peak | PeakHeight => (at(Peak), at(PeakHeight)),
            LowerArch | LowerArchHeight => (at(LowerArch), at(LowerArchHeight)),
            Tail | TailHeight => (at(Tail), at(TailHeight)),
            _ => return None,
        })
    }

    fn off_of(&self, found: &Found) -> Option<f64> {
        let row = self.rows.iter().find(|(row, _)| is_of(found, row));
        row.map(|(_, mm)| *mm)
    }

    fn column(&self, of: impl Fn(&CheckedDistance) -> f64) -> Vec<f64> {
        self.rows.iter().map(|(row, _)| of(row)).collect()
    }

    fn by_tape(&self, row: &CheckedDistance) -> f64 {
        let found = self.list.iter().find(|d| d.id == row.id);
        found.map_or(0.0, |d| *d.by_tape_mm.get(row.side))
    }

    fn by_scale(&self, row: &CheckedDistance) -> f64 {
        let found = self.list.iter().find(|d| d.id == row.id);
        found.map_or(0.0, |d| *d.by_scale_mm.get(row.side))
    }

    /// How far sound readings stray, and together.
    fn spread(&self, basis: &ListBasis) -> Option<Spread> {
        // One shared influence a column, each of one standard uncertainty.
        let mut shared = vec![self.column(|r| self.by_scale(r))];
        if basis.is_shared {
            shared.push(self.column(|r| self.by_tape(r)));
        } else {
            for side in Side::BOTH {
                shared.push(self.column(|r| if r.side == side { self.by_tape(r) } else { 0.0 }));
            }
        }
        // A head's two sides are much alike, and so is what a wrap leaves.
        for id in DistanceId::ALL {
            shared.push(self.column(|r| {
                if r.id == id {
                    id.wrap_residual_mm()
                } else {
                    0.0
                }
            }));
        }
        Spread::new(self.rows.len(), RULER_SD_MM, &shared)
    }

    fn explanations(&self) -> Vec<Explanation> {
        use DistanceKind::{FromMidline, Height, Length, Thickness};
        let mut all = Vec::new();
        let mut add = |kind, cause, side, columns: Vec<Vec<f64>>| {
            if columns.iter().all(|c| c.iter().any(|v| *v != 0.0)) {
                all.push(Explanation {
                    kind,
                    cause,
                    side,
                    columns,
                    fixed: None,
                });
            }
        };
        for (i, (row, _)) in self.rows.iter().enumerate() {
            let alone = (0..self.rows.len()).map(|j| if i == j { 1.0 } else { 0.0 });
            add(
                Kind::One(row.id),
                Cause::OneReading,
                Some(row.side),
                vec![alone.collect()],
            );
        }
        if self.rows.len() < LEAST_READINGS {
            return all;
        }
        let is_read = Sided::from_fn(|side| self.rows.iter().any(|(r, _)| r.side == side));
        let both = is_read.right && is_read.left;
        let scopes = [
            (None, both),
            (Some(Side::Right), is_read.right),
            (Some(Side::Left), is_read.left),
        ];
        let scopes: Vec<_> = scopes.into_iter().filter(|s| s.1).map(|s| s.0).collect();
        for scope in scopes.iter().copied() {
            let within = |r: &CheckedDistance| scope.is_none_or(|side| side == r.side);
            let where_in = |of: &dyn Fn(&CheckedDistance) -> f64| {
                self.column(|r| if within(r) { of(r) } else { 0.0 })
            };
            let along = |r: &CheckedDistance| matches!(r.kind, FromMidline | Length);
            let factor = where_in(&|r| if along(r) { r.expected_mm } else { 0.0 });
            add(Kind::AlongFactor, Cause::TapeLength, scope, vec![factor]);
            add(
                Kind::OtherTape,
                Cause::TapeLength,
                scope,
                vec![where_in(&|r| self.by_tape(r))],
            );
            // About the midline at two heights; one side cut out, about its
            // start or its middle.
            for pivot in self.pivots(scope) {
                let turned = where_in(&|r| {
                    let Some((from_midline, height)) = self.place(r) else {
                        return 0.0;
                    };
                    let sign = r.side.sign();
                    match r.kind {
                        FromMidline => -sign * (height - pivot.1),
                        Height => sign * (from_midline - pivot.0),
                        Length | Thickness => 0.0,
                    }
                });
                add(Kind::Turn, Cause::SheetTurned, scope, vec![turned]);
            }
            // One piece moves both sides toward the client's left; a side cut
            // out moves toward its tail.
            let outward = |r: &CheckedDistance| if scope.is_none() { r.side.sign() } else { 1.0 };
            let along = where_in(&|r| {
                if r.kind == FromMidline {
                    outward(r)
                } else {
                    0.0
                }
            });
            let up = where_in(&|r| if r.kind == Height { 1.0 } else { 0.0 });
            add(Kind::Along, Cause::SheetShifted, scope, vec![along.clone()]);
            add(Kind::Up, Cause::SheetShifted, scope, vec![up.clone()]);
            add(
                Kind::AlongAndUp,
                Cause::SheetShifted,
                scope,
                vec![along, up],
            );
        }
        let upright = |r: &CheckedDistance| matches!(r.kind, Height | Thickness);
        add(
            Kind::Everything,
            Cause::Scale,
            None,
            vec![self.column(|r| r.expected_mm)],
        );
        let tall = self.column(|r| if upright(r) { r.expected_mm } else { 0.0 });
        add(Kind::UprightFactor, Cause::Scale, None, vec![tall]);
        let exchanged = self.column(|r| self.expected(r.id, r.side.other()) - r.expected_mm);
        if exchanged.iter().any(|mm| *mm != 0.0) {
            all.push(Explanation {
                kind: Kind::Exchanged,
                cause: Cause::SidesExchanged,
                side: None,
                columns: Vec::new(),
                fixed: Some(exchanged),
            });
        }
        all
    }

    /// Places that a sheet may have been turned about, from the midline and up.
    fn pivots(&self, scope: Option<Side>) -> [(f64, f64); 2] {
        use DistanceId::{FrontBottomHeight, FrontTopHeight, Start, Tail, TailHeight};
        let side = scope.unwrap_or(Side::Right);
        let at = |id| self.expected(id, side);
        let height = 0.5 * (at(FrontTopHeight) + at(FrontBottomHeight));
        match scope {
            None => [(0.0, 0.0), (0.0, height)],
            Some(_) => [
                (at(Start), height),
                (
                    0.5 * (at(Start) + at(Tail)),
                    0.5 * (height + at(TailHeight)),
                ),
            ],
        }
    }

    fn sentence(&self, found: &Found, basis: &ListBasis) -> String {
        let side = found.explanation.side;
        let number = found.numbers.first().copied().unwrap_or_default();
        let brow = match side {
            Some(side) => format!("on the client's {}", side.name()),
            None => "on both sides".to_owned(),
        };
        let length = self.expected(DistanceId::Length, side.unwrap_or(Side::Right));
        let by_tape = self.list.iter().find(|d| d.id == DistanceId::Length);
        let by_tape = by_tape.map_or(0.0, |d| *d.by_tape_mm.get(side.unwrap_or(Side::Right)));
        match found.explanation.kind {
            Kind::AlongFactor => tape(&brow, number * length, basis, side),
            Kind::OtherTape => tape(&brow, number * by_tape, basis, side),
            Kind::Turn => {
                let degrees = number.to_degrees();
                let high = if degrees > 0.0 { Side::Left } else { Side::Right };
                match side {
                    None => format!(
                        "The sheet lay turned by about {:.1}°, its end on the client's {} too high: lay it level by its level marks.",
                        degrees.abs(),
                        high.name()
                    ),
                    Some(side) => format!(
                        "The stencil of the client's {} brow lay turned by about {:.1}°, its tail too {}: lay it level by its level marks.",
                        side.name(),
                        degrees.abs(),
                        if high == side { "high" } else { "low" }
                    ),
                }
            }
            Kind::Along => shifted(side, &along_words(side, number)),
            Kind::Up => shifted(side, &up_words(number)),
            Kind::AlongAndUp => {
                let up = found.numbers.get(1).copied().unwrap_or_default();
                shifted(side, &format!("{} and {}", along_words(side, number), up_words(up)))
            }
            Kind::Everything if other_unit(1.0 + number).is_some() => format!(
                "Everything reads as if the ruler were in {}: read it again in millimetres.",
                other_unit(1.0 + number).unwrap_or_default()
            ),
            Kind::Everything => format!(
                "Everything reads about {:.0} % {}: read the print's gauges first against the lengths beside them, then check what gave the photo its scale.",
                100.0 * number.abs(),
                if number > 0.0 { "more" } else { "less" }
            ),
            Kind::UprightFactor => format!(
                "Heights and thickness read about {:.0} % {}, distances along the skin as listed: read the print's upright gauge against the length beside it.",
                100.0 * number.abs(),
                if number > 0.0 { "more" } else { "less" }
            ),
            Kind::Exchanged => "Right and left are exchanged: the readings of each side are those of the other. Check which stencil lay on which side, or in which column the readings were entered.".to_owned(),
            Kind::One(id) => {
                let side = side.unwrap_or(Side::Right);
                let then = match id.kind() {
                    DistanceKind::FromMidline | DistanceKind::Length => {
                        "lay the tape over the skin again"
                    }
                    DistanceKind::Height => "see whether the sheet lay level",
                    DistanceKind::Thickness => "read the print's gauges",
                };
                format!(
                    "Of the client's {}, {} alone is off by {:.1} mm: read it again. If it stays, {then}.",
                    side.name(),
                    id.words(),
                    // As it stands in the table, not as the fit found it.
                    self.off_of(found).unwrap_or(number).abs()
                )
            }
        }
    }
}

/// Whether it is this one reading that an explanation finds off.
fn is_of(found: &Found, row: &CheckedDistance) -> bool {
    matches!(found.explanation.kind, Kind::One(id) if id == row.id)
        && found.explanation.side == Some(row.side)
}

/// A ruler in another unit, by what it makes of a mm.
fn other_unit(factor: f64) -> Option<&'static str> {
    [("inches", 1.0 / 25.4), ("centimetres", 0.1)]
        .into_iter()
        .find(|(_, mm)| (factor / mm - 1.0).abs() < 0.15)
        .map(|(unit, _)| unit)
}

fn tape(place: &str, more_mm: f64, basis: &ListBasis, side: Option<Side>) -> String {
    let (reads, way) = if more_mm > 0.0 {
        ("more", "little")
    } else {
        ("less", "much")
    };
    let mm = more_mm.abs();
    let found = format!(
        "Along the skin the ruler reads about {mm:.1} mm {reads} over a brow {place}, while heights are as listed:"
    );
    if basis.is_by_tape && basis.is_shared && side.is_some() {
        format!(
            "{found} both sides rest on one tape, and this one may be curved otherwise, or the tape read {mm:.1} mm too {way}. Lay a tape on this side too, tight from start to tail; then read the print's level gauge against the length beside it."
        )
    } else if basis.is_by_tape {
        format!(
            "{found} the tape probably read {mm:.1} mm too {way}. Lay it again, tight from start to tail; if it reads the same, read the print's level gauge against the length beside it."
        )
    } else {
        format!(
            "{found} the curve of the skin is not measured, and this client's is another. Lay a tape, tight from start to tail; then read the print's level gauge against the length beside it."
        )
    }
}

fn shifted(side: Option<Side>, way: &str) -> String {
    match side {
        None => format!("The sheet lay {way}: lay it by its midline and level marks."),
        Some(side) => format!(
            "The stencil of the client's {} brow lay {way}: lay it by its midline and level marks.",
            side.name()
        ),
    }
}

fn along_words(side: Option<Side>, mm: f64) -> String {
    let toward = match (side, mm > 0.0) {
        (None, true) => "the client's left",
        (None, false) => "the client's right",
        (Some(_), true) => "the tail",
        (Some(_), false) => "the midline",
    };
    format!("{:.1} mm too far toward {toward}", mm.abs())
}

fn up_words(mm: f64) -> String {
    format!(
        "{:.1} mm too {}",
        mm.abs(),
        if mm > 0.0 { "high" } else { "low" }
    )
}

/// How sound readings stray: the factor of their covariance.
struct Spread {
    n: usize,
    /// Lower triangle of Cholesky's factor, by rows.
    factor: Vec<f64>,
}

impl Spread {
    /// Independent errors of one standard uncertainty, and shared influences.
    /// `None` where there is nothing to compare.
    fn new(n: usize, own_sd: f64, shared: &[Vec<f64>]) -> Option<Self> {
        let mut factor = vec![0.0; n * n];
        for i in 0..n {
            for j in 0..=i {
                let own = if i == j { own_sd * own_sd } else { 0.0 };
                let mut sum = own + shared.iter().map(|s| s[i] * s[j]).sum::<f64>();
                for k in 0..j {
                    sum -= factor[i * n + k] * factor[j * n + k];
                }
                factor[i * n + j] = if i == j {
                    sum.sqrt()
                } else {
                    sum / factor[j * n + j]
                };
            }
        }
        (n > 0 && factor.iter().all(|v| v.is_finite())).then_some(Self { n, factor })
    }

    /// The same in units in which sound readings stray by 1, each for itself.
    fn whitened(&self, values: &[f64]) -> Vec<f64> {
        let mut white: Vec<f64> = Vec::with_capacity(self.n);
        for (i, value) in values.iter().enumerate() {
            let known: f64 = (0..i).map(|k| self.factor[i * self.n + k] * white[k]).sum();
            white.push((value - known) / self.factor[i * self.n + i]);
        }
        white
    }

    /// Squares that an explanation saves at its best, and its free numbers.
    fn saved(&self, off: &[f64], explanation: &Explanation) -> (f64, Vec<f64>) {
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        if let Some(fixed) = &explanation.fixed {
            let left: Vec<f64> = off
                .iter()
                .zip(self.whitened(fixed))
                .map(|(o, f)| o - f)
                .collect();
            return (dot(off, off) - dot(&left, &left), Vec::new());
        }
        let columns: Vec<_> = explanation
            .columns
            .iter()
            .map(|c| self.whitened(c))
            .collect();
        let numbers = match &columns[..] {
            [one] => vec![dot(one, off) / dot(one, one)],
            [a, b] => {
                let (aa, ab, bb) = (dot(a, a), dot(a, b), dot(b, b));
                let (ao, bo) = (dot(a, off), dot(b, off));
                let by = aa * bb - ab * ab;
                vec![(bb * ao - ab * bo) / by, (aa * bo - ab * ao) / by]
            }
            _ => Vec::new(),
        };
        let saved = columns
            .iter()
            .zip(&numbers)
            .map(|(c, n)| n * dot(c, off))
            .sum::<f64>();
        // A pattern that can't be told from another has no number.
        if saved.is_finite() {
            (saved, numbers)
        } else {
            (0.0, numbers)
        }
    }
}
