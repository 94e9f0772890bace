//! An outline moved inward or outward by the same distance everywhere.
//!
//! Inward, what is left are the points at least the distance away from the
//! outline; outward, what is added are those nearer than it. The border of
//! either consists of pieces of offset curves, each point of a cubic moved
//! along its normal, and of arcs round corners that open. Where those pieces
//! run into each other, as at the tip and at the front corners when moved
//! inward, or at a cusp, they are cut at their crossing.
//!
//! The offset of a cubic is no cubic (it is of degree 10). Cuts, areas and
//! lengths are therefore taken from the exact offset; only the outline handed
//! back is fitted, by cubics with the offset's own ends and derivatives, whose
//! largest distance from it is measured and reported.

mod piece;

use kurbo::{CubicBez, ParamCurve, Point as At};
use ophryon_frames::{Frame, Point};

use self::piece::{Course, Piece, direction, far, longest, right_of};
use crate::outline::{Outline, Part, Segment};
use crate::shore::Shore;

/// Directions that turn by less than this (sine) have no corner between them.
const SMOOTH: f64 = 1e-7;

/// Ends nearer than this are one place, mm.
const ONE_PLACE_MM: f64 = 1e-7;

/// Ends that can't be brought to their crossing are joined across at most
/// this, mm; more means that a piece between them was stepped over.
const LARGEST_GAP_MM: f64 = 0.004;

/// Largest step between places looked at, mm; a quarter of it each time a
/// piece was stepped over.
const STEP_MM: f64 = 0.8;
const MOST_ROUNDS: u32 = 4;

/// Halvings of such a step to where a piece is cut: to 1e-6 mm, from where
/// Newton's steps find the crossing itself.
const HALVINGS: u32 = 20;

/// Which way the outline is moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Toward {
    Inside,
    Outside,
}

/// What has come of it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Moved<F: Frame> {
    /// Each closed line, the one round the largest area first. None when
    /// nothing is left.
    pub outlines: Vec<Outline<F>>,
    /// Area inside, from the exact offset.
    pub area: f64,
    /// Length of all lines, from the exact offset.
    pub length: f64,
    /// Largest distance between outlines and exact offset, mm.
    pub within: f64,
    /// Some of the outline left no trace on the result.
    pub cut: bool,
}

/// A stretch of a piece that stays.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    piece: usize,
    from: f64,
    to: f64,
}

/// Moves a closed outline by a distance; `None` when the pieces can't be told
/// apart, as on outlines that cross themselves.
#[cfg(test)]
pub(crate) fn moved<F: Frame>(
    outline: &Outline<F>,
    distance: f64,
    toward: Toward,
) -> Option<Moved<F>> {
    Ground::of(outline)?.moved(distance, toward)
}

/// An outline made ready to be moved by one distance after another.
pub(crate) struct Ground {
    curves: Vec<(Part, CubicBez)>,
    shore: Shore,
    /// +1 where the outline is walked counter-clockwise.
    turn: f64,
    /// Area inside.
    pub area: f64,
    /// Length of the line.
    pub length: f64,
}

impl Ground {
    /// `None` for an outline without an inside.
    pub fn of<F: Frame>(outline: &Outline<F>) -> Option<Self> {
        let curves: Vec<(Part, CubicBez)> = outline
            .segments()
            .iter()
            .map(|s| (s.part, s.curve()))
            .filter(|(_, c)| c.is_finite() && longest(c) > ONE_PLACE_MM)
            .collect();
        let (mut area, mut length) = (0.0, 0.0);
        for (part, curve) in &curves {
            area += kurbo::ParamCurveArea::signed_area(curve);
            length += Piece::still(*part, *curve).swept(0.0, 1.0).1;
        }
        if curves.is_empty() || !area.is_finite() || area == 0.0 {
            return None;
        }
        Some(Self {
            shore: Shore::of(curves.iter().map(|(_, c)| *c)),
            turn: area.signum(),
            area: area.abs(),
            length,
            curves,
        })
    }

    /// Moves it by a distance; `None` when the pieces can't be told apart, as
    /// on outlines that cross themselves.
    pub fn moved<F: Frame>(&self, distance: f64, toward: Toward) -> Option<Moved<F>> {
        let border = self.border(distance, toward)?;
        (0..MOST_ROUNDS).find_map(|round| border.cut(step(round))?.fitted())
    }

    /// The same, measured before anything is fitted to it.
    pub fn cut(&self, distance: f64, toward: Toward) -> Option<Cut<'_>> {
        self.border(distance, toward)?.cut(step(0))
    }

    fn border(&self, distance: f64, toward: Toward) -> Option<Border<'_>> {
        if !(distance.is_finite() && distance > 0.0) {
            return None;
        }
        // The inside lies to the right of a clockwise walk.
        let right = match toward {
            Toward::Inside => -self.turn * distance,
            Toward::Outside => self.turn * distance,
        };
        let curves = &self.curves;
        let mut pieces = Vec::with_capacity(curves.len() + 4);
        for (i, (part, curve)) in curves.iter().enumerate() {
            let next = &curves[(i + 1) % curves.len()].1;
            let (out, on) = (direction(curve, 1.0), direction(next, 0.0));
            let (across, along) = (out.cross(on), out.dot(on));
            let smooth = across.abs() < SMOOTH && along > 0.0;
            let opens = !smooth && across * right > 0.0;
            pieces.push(Piece {
                distance: right,
                joined: smooth || opens,
                ..Piece::still(*part, *curve)
            });
            if opens {
                let normal = right_of(out) * right.signum();
                pieces.push(Piece {
                    part: *part,
                    course: Course::Arc {
                        centre: curve.p3,
                        from: libm::atan2(normal.y, normal.x),
                        sweep: libm::atan2(across, along),
                    },
                    distance,
                    joined: true,
                });
            }
        }
        Some(Border {
            pieces,
            shore: &self.shore,
            distance,
            toward,
            turn: self.turn,
        })
    }
}

/// Step between places looked at, a quarter of it each time a piece was
/// stepped over.
fn step(round: u32) -> f64 {
    0.25_f64.powi(round.cast_signed()) * STEP_MM
}

#[derive(Clone)]
struct Border<'g> {
    pieces: Vec<Piece>,
    shore: &'g Shore,
    distance: f64,
    toward: Toward,
    turn: f64,
}

/// A border cut at its crossings: closed lines of stretches.
pub(crate) struct Cut<'g> {
    border: Border<'g>,
    loops: Vec<Vec<Stretch>>,
    /// Largest gap that was joined across, mm.
    widest: f64,
    /// Area inside.
    pub area: f64,
    /// Length of all lines.
    pub length: f64,
}

impl Cut<'_> {
    /// Outlines fitted to it; `None` when a piece was stepped over.
    pub fn fitted<F: Frame>(&self) -> Option<Moved<F>> {
        let mut within = self.widest;
        let mut sized: Vec<_> = self
            .loops
            .iter()
            .map(|stretches| {
                let area = self.border.swept(stretches).0;
                (area, self.border.fitted(stretches, &mut within))
            })
            .collect();
        sized.sort_by(|a, b| b.0.total_cmp(&a.0));
        let outlines: Vec<Outline<F>> = sized.into_iter().map(|(_, outline)| outline).collect();
        // A look of its own at what is handed back: nothing of it may lie
        // nearer than the distance.
        let far_enough = self.border.distance - within - 4.0 * Shore::WITHIN_MM;
        let sound = outlines.iter().all(|o| {
            o.segments().iter().all(|s| {
                let curve = s.curve();
                (0..5).all(|i| {
                    let at = curve.eval(f64::from(i) / 5.0);
                    !self.border.shore.is_nearer(at, far_enough)
                })
            })
        });
        let whole = |s: &Stretch| s.from <= 0.0 && s.to >= 1.0;
        sound.then(|| Moved {
            area: self.area,
            length: self.length,
            within,
            cut: self.loops.iter().flatten().count() != self.border.pieces.len()
                || !self.loops.iter().flatten().all(whole),
            outlines,
        })
    }
}

impl<'g> Border<'g> {
    fn stays(&self, at: At) -> bool {
        // Past a sharp tip the offset of one edge lies beyond the other, and
        // in the end farther from it than the distance.
        !self.shore.is_nearer(at, self.distance)
            && self.shore.surrounds(at) == (self.toward == Toward::Inside)
    }

    /// Cuts the border at its crossings, looking every `step`; `None` when
    /// the ends don't meet, so that some piece was stepped over.
    fn cut(&self, step: f64) -> Option<Cut<'g>> {
        let mut stretches = Vec::with_capacity(2 * self.pieces.len());
        for i in 0..self.pieces.len() {
            self.staying(i, step, &mut stretches);
        }
        let mut chains = self.chains(stretches);
        let mut widest = 0.0_f64;
        let loops = self.close(&mut chains, &mut widest)?;
        let (mut area, mut length) = (0.0, 0.0);
        for stretches in &loops {
            let (a, l) = self.swept(stretches);
            area += a;
            length += l;
        }
        Some(Cut {
            border: self.clone(),
            loops,
            widest,
            area,
            length,
        })
    }

    /// Area inside one closed line and its length.
    fn swept(&self, stretches: &[Stretch]) -> (f64, f64) {
        let (mut area, mut length) = (0.0, 0.0);
        for (i, s) in stretches.iter().enumerate() {
            let (a, l) = self.pieces[s.piece].swept(s.from, s.to);
            area += a;
            length += l;
            // Ends that could not be brought to their crossing are joined by
            // a straight line, which belongs to the border too.
            let next = &stretches[(i + 1) % stretches.len()];
            let (a, b) = (
                self.pieces[s.piece].at(s.to),
                self.pieces[next.piece].at(next.from),
            );
            area += 0.5 * a.to_vec2().cross(b.to_vec2());
            length += far(a, b);
        }
        (self.turn * area, length)
    }

    /// The stretches of one piece that stay.
    fn staying(&self, piece: usize, step: f64, found: &mut Vec<Stretch>) {
        let course = &self.pieces[piece];
        let steps = (course.reach() / step).ceil().clamp(6.0, 600.0) as u32;
        let stays = |t: f64| self.stays(course.at(t));
        let (mut before, mut was) = (0.0, stays(0.0));
        let mut from = was.then_some(0.0);
        for k in 1..=steps {
            let t = f64::from(k) / f64::from(steps);
            let is = stays(t);
            if is != was {
                let (mut low, mut high) = (before, t);
                for _ in 0..HALVINGS {
                    let middle = 0.5 * (low + high);
                    if stays(middle) == was {
                        low = middle
                    } else {
                        high = middle
                    }
                }
                if let Some(from) = from.take() {
                    let to = low;
                    found.push(Stretch { piece, from, to });
                } else {
                    from = Some(high);
                }
            }
            (before, was) = (t, is);
        }
        if let Some(from) = from {
            let to = 1.0;
            found.push(Stretch { piece, from, to });
        }
    }

    /// Stretches that run into each other where pieces are joined.
    fn chains(&self, stretches: Vec<Stretch>) -> Vec<Vec<Stretch>> {
        let runs_on = |a: &Stretch, b: &Stretch| {
            a.to == 1.0
                && b.from == 0.0
                && b.piece == (a.piece + 1) % self.pieces.len()
                && self.pieces[a.piece].joined
        };
        let mut chains: Vec<Vec<Stretch>> = Vec::new();
        for s in stretches {
            match chains.last_mut() {
                Some(chain) if chain.last().is_some_and(|a| runs_on(a, &s)) => chain.push(s),
                _ => chains.push(vec![s]),
            }
        }
        if chains.len() > 1 {
            let wraps = match (chains.last().and_then(|c| c.last()), chains[0].first()) {
                (Some(a), Some(b)) => runs_on(a, b),
                _ => false,
            };
            if wraps {
                let first = chains.swap_remove(0);
                // What was last now stands first.
                chains[0].extend(first);
            }
        }
        chains
    }

    /// Joins the chains' ends to closed loops, nearest ends first, each at
    /// the crossing of its two pieces.
    fn close(&self, chains: &mut [Vec<Stretch>], widest: &mut f64) -> Option<Vec<Vec<Stretch>>> {
        let count = chains.len();
        let end = |c: &[Stretch]| c.last().map(|s| self.pieces[s.piece].at(s.to));
        let start = |c: &[Stretch]| c.first().map(|s| self.pieces[s.piece].at(s.from));
        let mut pairs = Vec::with_capacity(count * count);
        for (i, a) in chains.iter().enumerate() {
            for (j, b) in chains.iter().enumerate() {
                pairs.push((far(end(a)?, start(b)?), i, j));
            }
        }
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut after, mut taken) = (vec![usize::MAX; count], vec![false; count]);
        for (_, i, j) in pairs {
            if after[i] == usize::MAX && !taken[j] {
                (after[i], taken[j]) = (j, true);
            }
        }
        for i in 0..count {
            let j = after[i];
            let (last, first) = (*chains[i].last()?, *chains[j].first()?);
            let (a, b) = (&self.pieces[last.piece], &self.pieces[first.piece]);
            if let Some((t, u)) = a.crossing(last.to, b, first.from) {
                chains[i].last_mut()?.to = t;
                chains[j].first_mut()?.from = u;
            }
            let gap = far(end(&chains[i])?, start(&chains[j])?);
            if gap > LARGEST_GAP_MM {
                return None;
            }
            if gap > ONE_PLACE_MM {
                *widest = widest.max(gap);
            }
        }
        if chains.iter().flatten().any(|s| s.from >= s.to) {
            return None;
        }
        let mut loops = Vec::new();
        let mut walked = vec![false; count];
        for first in 0..count {
            let (mut i, mut line) = (first, Vec::new());
            while !walked[i] {
                walked[i] = true;
                line.extend(chains[i].iter().copied());
                i = after[i];
            }
            if !line.is_empty() {
                loops.push(line);
            }
        }
        Some(loops)
    }

    /// One closed line of cubics along the stretches.
    fn fitted<F: Frame>(&self, stretches: &[Stretch], within: &mut f64) -> Outline<F> {
        let mut segments: Vec<Segment<F>> = Vec::with_capacity(2 * stretches.len());
        for s in stretches {
            let piece = &self.pieces[s.piece];
            piece.fit(s.from, s.to, 0, within, &mut |curve| {
                let controls = [curve.p0, curve.p1, curve.p2, curve.p3].map(Point::from_kurbo);
                let part = piece.part;
                segments.push(Segment { part, controls });
            });
        }
        for i in 0..segments.len() {
            let next = (i + 1) % segments.len();
            segments[next].controls[0] = segments[i].controls[3];
        }
        Outline::from_segments(segments)
    }
}

#[cfg(test)]
mod tests;
