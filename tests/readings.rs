//! Thousands of simulated sheets, sound and at fault, as a ruler would read
//! them on skin: how often the right cause is named first, how often a sound
//! sheet is accused. Faults are made on the places themselves (turned, moved,
//! seen through another head), not by the patterns that the check looks for.
//!
//! A ruler's reading strays by 0.2 mm and is rounded to its half millimetre;
//! scale, tape and what the wrap leaves stray by their standard uncertainties.
//! Run with `--nocapture` for the figures.

// The exemption for tests doesn't reach the functions that tests share.
#![allow(clippy::unwrap_used)]

use ophryon_brow::{BrowPoints, Handle, Limits, Pair, SideMeasures};
use ophryon_frames::{Front, Lateral, Point, Side, Sided, Wrap, WrapKind};
use ophryon_stencil::{
    Cause, Distance, DistanceId, DistanceKind, ListBasis, RULER_TICK_MM, RulerCheck, RulerReading,
    RulerReadings, RulerVerdict, check_readings, distances,
};
use proptest::prelude::*;

/// Numbers that look drawn by lot (SplitMix64).
struct Lot(u64);

impl Lot {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
    /// Either sign.
    fn away(&mut self, least: f64, most: f64) -> f64 {
        let size = self.between(least, most);
        if self.next() & 1 == 0 { size } else { -size }
    }
    /// From the normal distribution (Box and Muller).
    fn normal(&mut self) -> f64 {
        let (u, turn) = (
            self.between(1e-12, 1.0),
            self.between(0.0, std::f64::consts::TAU),
        );
        (-2.0 * libm::log(u)).sqrt() * libm::cos(turn)
    }
    fn of<T: Copy>(&mut self, all: &[T]) -> T {
        all[(self.next() % all.len() as u64) as usize]
    }
}

/// A pair, its list, and where its points lie.
struct Made {
    list: Vec<Distance>,
    basis: ListBasis,
    measures: Sided<SideMeasures>,
    places: Sided<[Point<Lateral>; 5]>,
}

/// Tape from start to tail on one side or both, or none.
fn made(lot: &mut Lot, uneven_mm: f64) -> Made {
    loop {
        let (start, top) = (lot.between(13.0, 18.0), lot.between(20.0, 27.0));
        let peak = lot.between(38.0, 43.0);
        let points = BrowPoints {
            front_top: Point::new(start, top),
            front_bottom: Point::new(start, top - lot.between(6.5, 9.0)),
            peak: Point::new(peak, top + lot.between(3.5, 6.0)),
            lower_arch: Point::new(peak + 1.5, top + lot.between(-3.0, -1.0)),
            tail: Point::new(lot.between(56.0, 63.0), top - lot.between(7.5, 11.0)),
        };
        let mut pair = Pair::even(points);
        pair.offset.left.height_mm = lot.away(0.6, 1.0) * uneven_mm;
        pair.offset.left.lateral_mm = lot.away(0.6, 1.0) * uneven_mm;
        let Ok(brows) = pair.draw(&Limits::default()) else {
            continue;
        };
        let measures =
            Sided::from_fn(|side| SideMeasures::of(brows.get(side), pair.offset.get(side)));
        let places = Sided::from_fn(|side| {
            let p = pair.points_on(side);
            [
                p.front_top,
                p.front_bottom,
                p.peak,
                p.lower_arch,
                p.at(Handle::Tail),
            ]
        });
        let depth = lot.between(0.06, 0.14);
        let (is_by_tape, is_shared) =
            lot.of(&[(true, true), (true, false), (true, false), (false, true)]);
        let sd = if is_by_tape { 0.008 } else { 0.03 };
        let wrap = |depth: f64| Sided::from_fn(|_| Wrap::profile(depth).unwrap());
        let basis = ListBasis {
            scale_relative_sd: lot.between(0.003, 0.01),
            wrap: wrap(depth),
            longer: wrap(depth + sd),
            is_by_tape,
            is_shared,
        };
        return Made {
            list: distances(&measures, &basis),
            basis,
            measures,
            places,
        };
    }
}

/// What is wrong with a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Fault {
    Sound,
    /// Sound, and scale, tape and wrap happen to be exact.
    Laid,
    Tape,
    Turned,
    Shifted,
    Scale,
    Exchanged,
    One,
}

/// What a ruler reads without any error of its own.
fn truth(made: &Made, fault: Fault, size: f64, lot: &mut Lot) -> Sided<[f64; 14]> {
    let scope = lot.of(&[None, Some(Side::Right), Some(Side::Left)]);
    let within = |side: Side| scope.is_none_or(|s| s == side);
    let sign = if lot.next() & 1 == 0 { 1.0 } else { -1.0 };
    let (pivot, pivot_height) = (lot.between(0.0, 1.0), lot.between(0.0, 20.0));
    let way = lot.of(&[(1.0, 0.0), (0.0, 1.0), (0.7, 0.7)]);
    let one = (lot.of(&Side::BOTH), lot.of(&DistanceId::ALL));
    let own = |side: Side| DistanceId::ALL.map(|id| id.of(made.measures.get(side)));
    let read = |side: Side, place: &dyn Fn(Point<Lateral>) -> Point<Lateral>| {
        // Thickness is read on the drawn line; it moves with it.
        let [top, bottom, peak, arch, tail] = made.places.get(side).map(place);
        let start = top.midpoint(bottom);
        let thick = own(side);
        [
            start.x,
            peak.x,
            arch.x,
            tail.x,
            top.y,
            bottom.y,
            peak.y,
            arch.y,
            tail.y,
            start.distance(tail),
            thick[10],
            thick[11],
            thick[12],
            thick[13],
        ]
    };
    Sided::from_fn(|side| match fault {
        Fault::Sound | Fault::Laid => own(side),
        Fault::Exchanged => own(side.other()),
        Fault::Scale => own(side).map(|mm| mm * (1.0 + sign * size)),
        Fault::One => {
            let mut all = own(side);
            if side == one.0 {
                let at = DistanceId::ALL.iter().position(|id| *id == one.1).unwrap();
                all[at] += sign * size;
            }
            all
        }
        Fault::Tape if within(side) => {
            // The head that the tape should have found.
            let wrap = made.basis.wrap.get(side);
            let ends: Vec<Point<Front>> = [0, 4]
                .map(|i| wrap.to_front(Side::Left.place(made.places.get(side)[i])))
                .to_vec();
            let worn = |w: &Wrap| {
                let [a, b] = [0, 1].map(|i| w.to_skin(ends[i]).unwrap());
                a.distance(b)
            };
            let taped = |mm| Wrap::from_tape(WrapKind::Profile, &ends, worn(wrap) + mm);
            // No head is flatter than flat.
            let other = taped(sign * size).or_else(|_| taped(size)).unwrap();
            read(side, &|p| {
                Side::Left.neutral(other.to_skin(wrap.to_front(Side::Left.place(p))).unwrap())
            })
        }
        Fault::Turned if within(side) => {
            let angle = sign * size.to_radians();
            let (sin, cos) = libm::sincos(angle);
            // One piece turns about the midline, a cut one about its own middle.
            let [top, .., tail] = made.places.get(side);
            let about = match scope {
                None => Point::new(0.0, pivot_height),
                Some(_) => side.place(*top + (*tail - *top) * pivot),
            };
            read(side, &|p| {
                let d = side.place(p) - about;
                side.neutral(Point::new(
                    about.x + cos * d.x - sin * d.y,
                    about.y + sin * d.x + cos * d.y,
                ))
            })
        }
        Fault::Shifted if within(side) => {
            let by = sign * size;
            read(side, &|p| {
                let on = side.place(p);
                side.neutral(Point::new(on.x + way.0 * by, on.y + way.1 * by))
            })
        }
        _ => own(side),
    })
}

fn checked(made: &Made, fault: Fault, size: f64, share: f64, lot: &mut Lot) -> RulerCheck {
    let truth = truth(made, fault, size, lot);
    let stray = if fault == Fault::Laid { 0.0 } else { 1.0 };
    let scale = stray * lot.normal();
    let tape = [lot.normal(), lot.normal()].map(|sd| stray * sd);
    let left = DistanceId::ALL.map(|id| stray * id.wrap_residual_mm() * lot.normal());
    let readings = Sided::from_fn(|side| {
        let mut all = RulerReadings::new();
        for (i, row) in made.list.iter().enumerate() {
            let of_tape = if made.basis.is_shared || side == Side::Right {
                tape[0]
            } else {
                tape[1]
            };
            let strayed = truth.get(side)[i]
                + scale * row.by_scale_mm.get(side)
                + of_tape * row.by_tape_mm.get(side)
                + left[i]
                + 0.2 * lot.normal();
            let read_mm = (strayed / RULER_TICK_MM).round() * RULER_TICK_MM;
            if lot.between(0.0, 1.0) < share {
                let expected_mm = row.expected_mm(side);
                all.insert(
                    row.id,
                    RulerReading {
                        read_mm,
                        expected_mm,
                    },
                );
            }
        }
        all
    });
    check_readings(&made.list, &made.basis, &readings)
}

/// How often the right cause came first, another did, and none.
#[derive(Debug, Clone, Copy, Default)]
struct Tally {
    right: f64,
    wrong: f64,
    none: f64,
    /// The right one is among those listed.
    listed: f64,
    /// At least one reading is off.
    off: f64,
}

fn tally(fault: Fault, sizes: (f64, f64), uneven_mm: f64, share: f64, sheets: u32) -> Tally {
    let cause = match fault {
        Fault::Sound | Fault::Laid => None,
        Fault::Tape => Some(Cause::TapeLength),
        Fault::Turned => Some(Cause::SheetTurned),
        Fault::Shifted => Some(Cause::SheetShifted),
        Fault::Scale => Some(Cause::Scale),
        Fault::Exchanged => Some(Cause::SidesExchanged),
        Fault::One => Some(Cause::OneReading),
    };
    let mut lot = Lot(0x0b0b + fault as u64);
    let mut sum = Tally::default();
    let each = 100.0 / f64::from(sheets);
    for _ in 0..sheets {
        let made = made(&mut lot, uneven_mm);
        let size = lot.between(sizes.0, sizes.1);
        let check = checked(&made, fault, size, share, &mut lot);
        match check.causes.first() {
            None => sum.none += each,
            Some(first) if Some(first.cause) == cause => sum.right += each,
            Some(_) => sum.wrong += each,
        }
        if check.causes.iter().any(|c| Some(c.cause) == cause) {
            sum.listed += each;
        }
        if check.rows.iter().any(|r| r.verdict == RulerVerdict::Off) {
            sum.off += each;
        }
    }
    println!(
        "{:10} {:4.1} to {:4.1}, {:3.0} % read: right first {:5.1} %, listed {:5.1} %, another first {:4.1} %, none named {:5.1} %, a reading off {:5.1} %",
        format!("{fault:?}"),
        sizes.0,
        sizes.1,
        100.0 * share,
        sum.right,
        sum.listed,
        sum.wrong,
        sum.none,
        sum.off
    );
    sum
}

/// Clear faults are named, faint ones rarely wrongly, sound sheets are left in
/// peace.
fn judged(sheets: u32) {
    let sound = tally(Fault::Sound, (0.0, 0.0), 0.5, 1.0, 4 * sheets);
    assert!(sound.wrong < 1.0, "{sound:?}");
    let few = tally(Fault::Sound, (0.0, 0.0), 0.5, 0.4, 2 * sheets);
    assert!(few.wrong < 1.0, "{few:?}");
    // Laid as it was printed, nothing strays but the ruler.
    let ruler = tally(Fault::Laid, (0.0, 0.0), 0.5, 1.0, 4 * sheets);
    assert!(ruler.wrong < 0.5 && ruler.off < 10.0, "{ruler:?}");
    for (fault, clear, least) in [
        (Fault::Tape, (5.0, 8.0), 85.0),
        (Fault::Turned, (4.0, 8.0), 90.0),
        (Fault::Shifted, (3.0, 6.0), 90.0),
        (Fault::Scale, (0.06, 0.12), 90.0),
        (Fault::One, (3.0, 8.0), 90.0),
    ] {
        let found = tally(fault, clear, 0.5, 1.0, sheets);
        assert!(found.right > least, "{fault:?}: {found:?}");
        let faint = tally(fault, (0.4 * clear.0, clear.0), 0.5, 1.0, sheets);
        assert!(faint.wrong < 12.0, "{fault:?}: {faint:?}");
        let part = tally(fault, clear, 0.5, 0.5, sheets);
        assert!(part.right > part.wrong, "{fault:?}: {part:?}");
    }
    // Only where right and left differ can they be told apart.
    let exchanged = tally(Fault::Exchanged, (0.0, 0.0), 4.0, 1.0, sheets);
    assert!(exchanged.right > 90.0, "{exchanged:?}");
    let even = tally(Fault::Exchanged, (0.0, 0.0), 0.1, 1.0, sheets);
    assert!(even.wrong + even.right < 5.0, "{even:?}");
}

#[test]
fn clear_faults_are_named_and_sound_sheets_left_in_peace() {
    judged(150);
}

#[test]
#[ignore = "a long proof: cargo xtask prove"]
fn ten_thousand_sheets_of_each_kind() {
    judged(10_000);
}

/// The patterns that the trade would name, without any noise.
#[test]
fn textbook_patterns_are_named() {
    let mut lot = Lot(7);
    let made = made(&mut lot, 0.0);
    let by = |off: &dyn Fn(Side, &Distance) -> f64| {
        let readings = Sided::from_fn(|side| {
            let row = |d: &Distance| {
                let expected_mm = d.expected_mm(side);
                (
                    d.id,
                    RulerReading {
                        read_mm: expected_mm + off(side, d),
                        expected_mm,
                    },
                )
            };
            made.list.iter().map(row).collect::<RulerReadings>()
        });
        check_readings(&made.list, &made.basis, &readings)
    };
    let first = |off: &dyn Fn(Side, &Distance) -> f64| by(off).causes.first().cloned();
    let along = |d: &Distance| matches!(d.kind, DistanceKind::FromMidline | DistanceKind::Length);
    let none = by(&|_, _| 0.0);
    assert!(
        none.causes.is_empty() && none.sentence.contains("agree"),
        "{none:?}"
    );
    let tape = first(&|side, d| {
        if along(d) && side == Side::Left {
            0.07 * d.left_mm
        } else {
            0.0
        }
    });
    assert_eq!(
        tape.as_ref().map(|c| (c.cause, c.side)),
        Some((Cause::TapeLength, Some(Side::Left)))
    );
    let all = first(&|side, d| 0.08 * d.expected_mm(side));
    assert_eq!(all.map(|c| c.cause), Some(Cause::Scale));
    let turned = first(&|side, d| {
        let from_midline = match d.id {
            DistanceId::FrontTopHeight | DistanceId::FrontBottomHeight => {
                made.measures.get(side).start_mm
            }
            DistanceId::PeakHeight => made.measures.get(side).peak_mm,
            DistanceId::LowerArchHeight => made.measures.get(side).lower_arch_mm,
            DistanceId::TailHeight => made.measures.get(side).tail_mm,
            _ => 0.0,
        };
        side.sign() * 0.08 * from_midline
    });
    let turned = turned.unwrap();
    assert_eq!((turned.cause, turned.side), (Cause::SheetTurned, None));
    assert!(
        turned.sentence.contains("client's left too high"),
        "{turned:?}"
    );
    let low = first(&|_, d| {
        if d.kind == DistanceKind::Height {
            -3.0
        } else {
            0.0
        }
    })
    .unwrap();
    assert_eq!((low.cause, low.side), (Cause::SheetShifted, None));
    assert!(low.sentence.contains("3.0 mm too low"), "{low:?}");
    let out = |side, d: &Distance| match d.kind {
        DistanceKind::FromMidline if side == Side::Right => 3.0,
        _ => 0.0,
    };
    let out = first(&out).unwrap();
    assert_eq!(
        (out.cause, out.side),
        (Cause::SheetShifted, Some(Side::Right))
    );
    assert!(
        out.sentence.contains("3.0 mm too far toward the tail"),
        "{out:?}"
    );
    let one = first(&|side, d| {
        if side == Side::Left && d.id == DistanceId::PeakHeight {
            5.0
        } else {
            0.0
        }
    });
    let one = one.unwrap();
    assert_eq!((one.cause, one.side), (Cause::OneReading, Some(Side::Left)));
    assert!(
        one.sentence
            .contains("the height of the peak alone is off by 5.0 mm"),
        "{one:?}"
    );
}

/// Values in the wrong boxes are no reading off "alone", and a ruler in inches
/// is no scale.
#[test]
fn values_in_the_wrong_boxes_and_in_another_unit_are_told_apart() {
    let made = made(&mut Lot(7), 0.0);
    let by = |read: &dyn Fn(Side, usize) -> f64| {
        let readings = Sided::from_fn(|side| {
            let row = |(i, d): (usize, &Distance)| {
                let expected_mm = d.expected_mm(side);
                let read_mm = read(side, i);
                (
                    d.id,
                    RulerReading {
                        read_mm,
                        expected_mm,
                    },
                )
            };
            made.list
                .iter()
                .enumerate()
                .map(row)
                .collect::<RulerReadings>()
        });
        check_readings(&made.list, &made.basis, &readings)
    };
    let backward = by(&|side, i| made.list[made.list.len() - 1 - i].expected_mm(side));
    assert!(
        backward.causes.iter().all(|c| c.cause != Cause::OneReading),
        "{backward:?}"
    );
    for (unit, mm) in [("inches", 25.4), ("centimetres", 10.0)] {
        let check = by(&|side, i| made.list[i].expected_mm(side) / mm);
        let first = check.causes.first().unwrap();
        assert!(first.sentence.contains(unit), "{first:?}");
    }
}

proptest! {
    /// Whatever is typed in, on whichever rows, is answered: each row says how
    /// it stands, and every sentence is one.
    #[test]
    fn whatever_is_read_is_answered(
        seed in any::<u64>(),
        typed in prop::collection::vec((any::<bool>(), 0..14_usize, prop_oneof![
            4 => -60.0..210.0f64, 1 => any::<f64>(), 1 => Just(0.0),
        ]), 0..40),
        exact in any::<bool>(),
    ) {
        let made = made(&mut Lot(seed), 2.0);
        let mut readings = Sided::<RulerReadings>::default();
        for (is_right, i, read_mm) in typed {
            let side = if is_right { Side::Right } else { Side::Left };
            let row = &made.list[i];
            let expected_mm = if exact { row.expected_mm(side) } else { read_mm };
            readings.get_mut(side).insert(row.id, RulerReading { read_mm, expected_mm });
        }
        let check = check_readings(&made.list, &made.basis, &readings);
        prop_assert_eq!(check.rows.len(), 28);
        for row in &check.rows {
            let is_read = readings.get(row.side).contains_key(&row.id);
            prop_assert_eq!(row.verdict == RulerVerdict::NotRead, !is_read);
            prop_assert_eq!(row.off_mm.is_some(), matches!(row.verdict, RulerVerdict::Agrees | RulerVerdict::Off));
        }
        prop_assert!(check.sentence.ends_with('.'));
        for cause in &check.causes {
            prop_assert!(!cause.sentence.contains("NaN") && !cause.sentence.contains("inf"), "{}", cause.sentence);
        }
        let is_off = check.rows.iter().any(|r| r.verdict == RulerVerdict::Off);
        prop_assert!(is_off || check.causes.is_empty());
    }
}
