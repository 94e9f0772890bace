//! What was found against what is so, over many clients.

use ophryon_frames::{Photo as Px, Point, Side};
use ophryon_record::{CheckedSide, HealedOutcome, MeasuredShare, WayKept};

use crate::story::{Care, Story, story};

/// Patches smaller than this in truth need not be found, mm².
const PATCH_MM2: f64 = 4.0;

/// Errors in percentage points, and how many were inside what was stated.
#[derive(Default)]
pub struct Tally {
    errors: Vec<f64>,
    inside: usize,
}

impl Tally {
    fn add(&mut self, found: MeasuredShare, is: f64) {
        let error = found.share - is;
        self.errors.push(100.0 * error);
        self.inside += usize::from(error.abs() <= 2.0 * found.sd);
    }

    pub fn count(&self) -> usize {
        self.errors.len()
    }

    pub fn bias(&self) -> f64 {
        self.errors.iter().sum::<f64>() / self.errors.len() as f64
    }

    pub fn mean(&self) -> f64 {
        self.errors.iter().map(|e| e.abs()).sum::<f64>() / self.errors.len() as f64
    }

    /// What a share of them doesn't exceed.
    pub fn below(&self, share: f64) -> f64 {
        let mut sizes: Vec<f64> = self.errors.iter().map(|e| e.abs()).collect();
        sizes.sort_by(f64::total_cmp);
        sizes[((sizes.len() - 1) as f64 * share) as usize]
    }

    pub fn coverage(&self) -> f64 {
        self.inside as f64 / self.errors.len() as f64
    }

    fn within(&self, points: f64) -> f64 {
        let n = self.errors.iter().filter(|e| e.abs() <= points).count();
        n as f64 / self.errors.len() as f64
    }

    fn print(&self, what: &str) {
        println!(
            "{what}: {} of them, bias {:+.1}, mean {:.1}, 95 % below {:.1}, worst {:.1} points; {:.0} % within 3; {:.0} % inside what is stated",
            self.count(),
            self.bias(),
            self.mean(),
            self.below(0.95),
            self.below(1.0),
            100.0 * self.within(3.0),
            100.0 * self.coverage(),
        );
    }
}

/// Everything that is counted.
#[derive(Default)]
pub struct Tallies {
    /// Area kept of one brow.
    pub area: Tally,
    /// Of both brows together.
    pub both: Tally,
    /// Thickness kept of one brow.
    pub thickness: Tally,
    /// True patches, and how many of them were found.
    pub patches: usize,
    pub found: usize,
    /// Pieces to fill again, and how many of them lie where nothing was lost.
    pub pieces: usize,
    pub wrong: usize,
    /// Brows that were not measured, and whose share under hair was told.
    pub untold: usize,
    pub under_hair: usize,
}

pub fn tallied(seeds: std::ops::Range<u64>, care: Care) -> Tallies {
    let mut all = Tallies::default();
    for story in seeds.filter_map(|seed| story(seed, care)) {
        let outcome = story.outcome().expect("it can be laid over");
        all.take(&story, &outcome);
    }
    all.area.print("area kept");
    all.both.print("of both");
    all.thickness.print("thickness kept");
    println!(
        "patches: {} of {} found; pieces to fill: {} of {} where nothing was lost; {} brows not told, hair told of {}",
        all.found, all.patches, all.wrong, all.pieces, all.untold, all.under_hair
    );
    all
}

impl Tallies {
    fn take(&mut self, story: &Story, outcome: &HealedOutcome) {
        let mut is = Vec::new();
        for side in Side::BOTH {
            let Ok(checked) = outcome.sides.get(side) else {
                self.untold += 1;
                continue;
            };
            let truth = story.truth.get(side);
            is.push(truth.kept_mm2 / truth.drawn_mm2);
            self.area
                .add(checked.area, truth.kept_mm2 / truth.drawn_mm2);
            self.thickness.add(checked.thickness, story.thickness(side));
            self.under_hair += usize::from(checked.under_hair >= 0.1);
            self.look_at_pieces(story, outcome, side, checked);
        }
        if let (Some(both), [right, left]) = (outcome.together(WayKept::Area), &is[..]) {
            self.both.add(both, 0.5 * (right + left));
        }
    }

    fn look_at_pieces(
        &mut self,
        story: &Story,
        outcome: &HealedOutcome,
        side: Side,
        checked: &CheckedSide,
    ) {
        let rings: Vec<Vec<Point<Px>>> = checked
            .missing
            .iter()
            .filter_map(|m| m.lines.first())
            .map(|line| line.iter().map(|p| outcome.laid.to_photo(*p)).collect())
            .collect();
        for (at, mm2) in story.patches_seen(side) {
            if mm2 >= PATCH_MM2 && story.is_lost(side, at) {
                self.patches += 1;
                self.found += usize::from(rings.iter().any(|r| winds_round(r, at)));
            }
        }
        for (missing, ring) in checked.missing.iter().zip(&rings) {
            self.pieces += 1;
            let middle = outcome.laid.to_photo(missing.middle);
            let inner = ring.iter().map(|p| p.midpoint(middle));
            let places: Vec<_> = inner.chain([middle]).collect();
            let lost = places.iter().filter(|p| story.is_lost(side, **p)).count();
            self.wrong += usize::from(3 * lost < places.len());
        }
    }
}

/// Whether a closed line goes round a place.
fn winds_round(ring: &[Point<Px>], at: Point<Px>) -> bool {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).fold(false, |odd, (a, b)| {
        let crosses =
            (a.y <= at.y) != (b.y <= at.y) && at.x < a.x + (b.x - a.x) * (at.y - a.y) / (b.y - a.y);
        odd != crosses
    })
}
