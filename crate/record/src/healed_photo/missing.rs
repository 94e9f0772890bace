//! What is missing inside the agreed outline, on the skin.

use ophryon_frames::{Point, Side, Skin};
use ophryon_photo::{BandPlace, Patch};

use super::even::EDGE_SD_MM;
use super::lay::LaidOver;

/// Where along the brow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MissingPart {
    /// The first fifth.
    Start,
    /// The second and third.
    Body,
    /// The fourth.
    Arch,
    /// The last.
    Tail,
}

impl MissingPart {
    const fn of(fifth: usize) -> Self {
        match fifth {
            0 => Self::Start,
            1 | 2 => Self::Body,
            3 => Self::Arch,
            _ => Self::Tail,
        }
    }

    /// The name that the artist reads.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Body => "body",
            Self::Arch => "arch",
            Self::Tail => "tail",
        }
    }
}

/// One piece to fill again.
#[derive(Debug, Clone, PartialEq)]
pub struct Missing {
    /// Where along the brow.
    pub part: MissingPart,
    /// A patch with powder round it, and not an edge that drew back.
    pub is_patch: bool,
    /// On the skin, mm².
    pub area_mm2: f64,
    /// Standard uncertainty of that, mm².
    pub area_sd_mm2: f64,
    /// Its place is surer than it is thick. An edge that isn't may be the
    /// outline lying beside its place.
    pub is_sure: bool,
    /// Share of the usual strength that is left there.
    pub left: f64,
    /// Its middle.
    pub middle: Point<Skin>,
    /// Closed lines round it, in order.
    pub lines: Vec<Vec<Point<Skin>>>,
}

impl Missing {
    pub(super) fn of(laid: &LaidOver, side: Side, patch: &Patch) -> Self {
        let grid = laid.grid(side);
        let on_skin = |p: &BandPlace| side.place(grid.at(*p));
        let lines: Vec<Vec<Point<Skin>>> = patch
            .lines
            .iter()
            .map(|line| line.iter().map(on_skin).collect())
            .collect();
        let round: f64 = lines.iter().map(|line| round(line)).sum();
        // A patch is found by its own border, all round. An edge lies between
        // what healed and the outline, which may lie beside its place, along
        // half its way round.
        let by_border = if patch.is_inside {
            EDGE_SD_MM * round
        } else {
            0.5 * round * libm::hypot(EDGE_SD_MM, *laid.place_sd_mm.get(side))
        };
        let by_scale = 2.0 * laid.scale_sd * patch.area_mm2;
        Self {
            area_sd_mm2: libm::hypot(by_border, by_scale),
            part: MissingPart::of(patch.fifth),
            is_patch: patch.is_inside,
            area_mm2: patch.area_mm2,
            is_sure: patch.is_inside || patch.thick_mm > 2.0 * laid.place_sd_mm.get(side),
            left: patch.left,
            middle: on_skin(&patch.middle),
            lines,
        }
    }

    /// "24 ± 9 mm²", k = 2.
    pub fn area_words(&self) -> String {
        let within = 2.0 * self.area_sd_mm2;
        let decimals = usize::from(within < 1.0);
        format!(
            "{:.decimals$} ± {:.decimals$}\u{a0}mm²",
            self.area_mm2,
            within.max(0.1)
        )
    }

    /// "An edge is missing along the arch, 24 ± 9 mm²."
    pub fn sentence(&self) -> String {
        let (what, at) = if self.is_patch {
            ("A patch", "in")
        } else {
            ("An edge", "along")
        };
        let unsure = if self.is_sure {
            ""
        } else {
            " It is thinner than its place is sure: look at the skin."
        };
        format!(
            "{what} is missing {at} the {}, {}.{unsure}",
            self.part.name(),
            self.area_words()
        )
    }
}

/// The way round a closed line, mm.
fn round(line: &[Point<Skin>]) -> f64 {
    let next = line.iter().cycle().skip(1);
    line.iter().zip(next).map(|(a, b)| a.distance(*b)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_piece_is_told_with_how_sure_its_area_is() {
        let mut missing = Missing {
            part: MissingPart::Arch,
            is_patch: false,
            area_mm2: 24.2,
            area_sd_mm2: 4.4,
            is_sure: true,
            left: 0.2,
            middle: Point::new(40.0, 20.0),
            lines: vec![],
        };
        assert_eq!(
            missing.sentence(),
            "An edge is missing along the arch, 24 ± 9\u{a0}mm²."
        );
        (missing.is_patch, missing.area_mm2, missing.area_sd_mm2) = (true, 1.9, 0.31);
        missing.is_sure = false;
        assert_eq!(
            missing.sentence(),
            "A patch is missing in the arch, 1.9 ± 0.6\u{a0}mm². It is thinner than its place is sure: look at the skin."
        );
    }

    #[test]
    fn the_way_round_a_line_comes_back_to_its_beginning() {
        let square = [(0.0, 0.0), (3.0, 0.0), (3.0, 4.0)].map(|(x, y)| Point::new(x, y));
        assert!((round(&square) - 12.0).abs() < 1e-9);
        assert!(round(&[]).abs() < 1e-9);
    }
}
