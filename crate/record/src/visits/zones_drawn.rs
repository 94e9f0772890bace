//! Her own brows with their zones, as they are seen from the front: to show and
//! to tap which zone is worked.

use ophryon_brow::Handle;
use ophryon_frames::{Side, Sided};

use super::Zone;
use crate::Drawn;

/// Share of the way from start to peak that counts as the front (ours, for the
/// drawing alone: where the front ends is the artist's to say).
const FRONT_SHARE: f64 = 0.3;

/// White round both brows, mm.
const AROUND_MM: f64 = 6.0;

/// Both brows in a drawing of their own: mm, x toward the client's left, y down.
#[derive(Debug, Clone, PartialEq)]
pub struct ZonesDrawn {
    /// Left, top, width and height of the whole.
    pub view_box: [f64; 4],
    /// Each brow.
    pub brows: Sided<BrowZones>,
}

/// One brow in it.
#[derive(Debug, Clone, PartialEq)]
pub struct BrowZones {
    /// The outline as SVG path data.
    pub path: String,
    /// Where front and body, and body and tail meet: x, mm.
    pub cuts: [f64; 2],
}

impl ZonesDrawn {
    /// From where to where a zone reaches across on one side: x, mm, the
    /// smaller first. The outline goes round all of it.
    pub fn reach(&self, side: Side, zone: Zone) -> [f64; 2] {
        let [left, _, width, _] = self.view_box;
        let [front, peak] = self.brows.get(side).cuts;
        let outer = match side {
            Side::Right => left,
            Side::Left => left + width,
        };
        let ends = match zone {
            Zone::Outline => [0.0, outer],
            Zone::Front => [0.0, front],
            Zone::Body => [front, peak],
            Zone::Tail => [peak, outer],
        };
        [ends[0].min(ends[1]), ends[0].max(ends[1])]
    }
}

impl Drawn {
    /// Both brows with their zones; `None` where a point that parts them is
    /// missing.
    pub fn zones_drawn(&self) -> Option<ZonesDrawn> {
        let mut bounds: Option<[f64; 4]> = None;
        let mut of = |side: Side| {
            let seen = self.seen.get(side);
            let (low, high) = seen.bounds();
            let now = [low.x, -high.y, high.x, -low.y];
            bounds = Some(match bounds {
                None => now,
                Some(b) => [
                    b[0].min(now[0]),
                    b[1].min(now[1]),
                    b[2].max(now[2]),
                    b[3].max(now[3]),
                ],
            });
            let start = self.handle(side, Handle::Start)?.front.x;
            let peak = self.handle(side, Handle::Peak)?.front.x;
            let mut path = String::new();
            for segment in seen.segments() {
                let [a, b, c, end] = segment.controls.map(|p| (p.x, -p.y));
                if path.is_empty() {
                    path = format!("M{:.2} {:.2}", a.0, a.1);
                }
                path.push_str(&format!(
                    "C{:.2} {:.2} {:.2} {:.2} {:.2} {:.2}",
                    b.0, b.1, c.0, c.1, end.0, end.1
                ));
            }
            path.push('Z');
            let front = start + FRONT_SHARE * (peak - start);
            Some(BrowZones {
                path,
                cuts: [front, peak],
            })
        };
        let brows = Sided {
            right: of(Side::Right)?,
            left: of(Side::Left)?,
        };
        let [left, top, right, lower] = bounds?;
        Some(ZonesDrawn {
            view_box: [
                left - AROUND_MM,
                top - AROUND_MM,
                right - left + 2.0 * AROUND_MM,
                lower - top + 2.0 * AROUND_MM,
            ],
            brows,
        })
    }
}
