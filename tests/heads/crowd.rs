//! Heads of clearly different proportions: drawn by the demo's generator,
//! ellipsoids, boxier superellipsoids, and open meshes kept as fixtures.
//!
//! Breadth 148 ± 5 mm in women and 154 ± 6 mm in men (ANSUR II,
//! NATICK/TR-15/007; spreads from memory). Half-depths, ridges, temples and
//! the lean of the forehead are of our own, about as far as heads go.

use ophryon_demo::{Brow, Face, Head, Proportions};

use crate::band::{Band, COLUMNS, ROWS, centre};
use crate::surface::{Seen, Surface};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Group {
    Drawn,
    Ellipsoid,
    Boxy,
    Open,
}

impl Group {
    pub const ALL: [Self; 4] = [Self::Drawn, Self::Ellipsoid, Self::Boxy, Self::Open];
}

/// A head given as depth over the frontal view.
pub struct Invented {
    pub group: Group,
    pub name: &'static str,
    pub surface: Surface,
    pub brow: Brow,
}

/// A head's brow band as it is seen and as it lies flat; tapes over the skin.
pub struct Measured {
    pub group: Group,
    pub name: String,
    pub band: Band,
    pub flat: Vec<Seen>,
    /// Strain of laying it flat, rms.
    pub strain: f64,
    /// The centre line as it is seen.
    pub along: Vec<Seen>,
    /// A tape laid along it, mm.
    pub laid: f64,
    /// A tape drawn tight from start to tail, mm.
    pub taut: f64,
}

/// The usual brow, as much broader as the head is.
fn brow_for(half_breadth: f64) -> Brow {
    let usual = 0.5 * Proportions::default().head_breadth;
    let mut brow = Brow::default();
    for spot in [
        &mut brow.start_top,
        &mut brow.start_bottom,
        &mut brow.peak,
        &mut brow.lower_arch,
        &mut brow.tail,
    ] {
        spot.lateral *= half_breadth / usual;
    }
    brow
}

type Shape = (Surface, Brow);

fn drawn(breadth: f64, radius: f64) -> Shape {
    let head = Head {
        face: Proportions {
            head_breadth: breadth,
            face_breadth: breadth - 12.0,
            brow_radius: radius,
            ..Proportions::default()
        },
        ..Head::default()
    };
    (Surface::of(Face::of(&head)), brow_for(0.5 * breadth))
}

fn random(seed: u64) -> Shape {
    let head = Head::random(seed).at_rest();
    (Surface::of(Face::of(&head)), head.left.brow)
}

/// Half-breadth, half-height and half-depth; exponent of the section; how far
/// the middle lies below the pupils.
fn solid(half: [f64; 3], n: f64, below: f64) -> Shape {
    (Surface::ellipsoid(half, n, below), brow_for(half[0]))
}

fn bony((surface, brow): Shape, ridge: f64, temple: f64) -> Shape {
    (surface.with_ridge(ridge).with_hollow_temple(temple), brow)
}

pub fn invented() -> Vec<Invented> {
    use Group::{Boxy, Drawn, Ellipsoid};
    [
        (Drawn, "usual", drawn(151.0, 80.0)),
        (Drawn, "narrow and round", drawn(139.0, 69.0)),
        (Drawn, "narrow and flat", drawn(139.0, 92.0)),
        (Drawn, "broad and round", drawn(164.0, 70.0)),
        (Drawn, "broad and flat", drawn(164.0, 93.0)),
        (Drawn, "heavy ridge", bony(drawn(154.0, 84.0), 2.0, 0.0)),
        (Drawn, "hollow temple", bony(drawn(150.0, 82.0), 0.5, 2.0)),
        (Drawn, "smooth brow", bony(drawn(147.0, 76.0), -1.0, 0.0)),
        (Drawn, "random, seed 11", random(11)),
        (Drawn, "random, seed 23", random(23)),
        (Drawn, "random, seed 58", random(58)),
        (Ellipsoid, "usual", solid([75.0, 110.0, 88.0], 2.0, 0.0)),
        (
            Ellipsoid,
            "narrow, deep",
            solid([70.0, 112.0, 98.0], 2.0, 0.0),
        ),
        (
            Ellipsoid,
            "broad, short",
            solid([81.0, 108.0, 80.0], 2.0, 0.0),
        ),
        (Ellipsoid, "small", solid([70.0, 100.0, 78.0], 2.0, 0.0)),
        (Ellipsoid, "large", solid([81.0, 120.0, 100.0], 2.0, 0.0)),
        (
            Ellipsoid,
            "leaning back",
            solid([75.0, 105.0, 90.0], 2.0, 18.0),
        ),
        (Boxy, "usual", solid([74.0, 110.0, 88.0], 2.3, 0.0)),
        (Boxy, "square", solid([76.0, 110.0, 92.0], 2.6, 0.0)),
        (
            Boxy,
            "heavy ridge",
            bony(solid([76.0, 110.0, 90.0], 2.3, 0.0), 2.0, 1.0),
        ),
        (Boxy, "leaning back", solid([75.0, 105.0, 92.0], 2.4, 18.0)),
    ]
    .into_iter()
    .map(|(group, name, (surface, brow))| Invented {
        group,
        name,
        surface,
        brow,
    })
    .collect()
}

impl Invented {
    pub fn measured(&self) -> Measured {
        let band = Band::of(&self.brow);
        let (flat, strain) = band.flattened(|a, b| self.surface.across(a, b));
        let line = |t: f64| centre(&self.brow, t);
        Measured {
            group: self.group,
            name: self.name.to_owned(),
            flat,
            strain,
            along: (0..=96).map(|i| line(f64::from(i) / 96.0)).collect(),
            laid: self.surface.length(1500, line),
            taut: self.surface.taut(line(0.0), line(1.0)),
            band,
        }
    }
}

/// A strip of an open mesh: places with their depth, by column and in each
/// from the lower edge up.
fn meshed(name: String, rows: usize, solid: Vec<[f64; 3]>) -> Measured {
    let seen = solid.iter().map(|p| [p[0], p[1]]).collect();
    let band = Band { rows, seen };
    let apart = |i: usize, j: usize| {
        let squares = (0..3).map(|k| (solid[j][k] - solid[i][k]) * (solid[j][k] - solid[i][k]));
        squares.sum::<f64>().sqrt()
    };
    let (flat, strain) = band.flattened_by(apart);
    let middle: Vec<usize> = (0..solid.len()).skip(rows / 2).step_by(rows).collect();
    let (start, tail) = (middle[0], middle[middle.len() - 1]);
    Measured {
        group: Group::Open,
        name,
        along: middle.iter().map(|i| band.seen[*i]).collect(),
        laid: middle.windows(2).map(|w| apart(w[0], w[1])).sum(),
        taut: libm::hypot(
            flat[tail][0] - flat[start][0],
            flat[tail][1] - flat[start][1],
        ),
        band,
        flat,
        strain,
    }
}

/// Number columns of a fixture, without its notes and its heading.
fn rows(text: &str) -> Vec<Vec<f64>> {
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect())
        .collect()
}

/// Twelve open heads; the fixture says whose.
pub fn open_heads() -> Vec<Measured> {
    let places = rows(include_str!("../fixtures/open-heads-brow-strip.csv"));
    let head = ROWS * COLUMNS.div_ceil(2);
    places
        .chunks(head)
        .map(|strip| {
            let solid = strip.iter().map(|p| [p[3], p[4], p[5]]).collect();
            meshed(format!("mesh {:.0}", strip[0][0]), ROWS, solid)
        })
        .collect()
}

/// The open mean face, and the flat shape its fixture gives.
pub fn mean_face() -> (Measured, Vec<Seen>) {
    const HEIGHTS: usize = 9;
    let places = rows(include_str!("../fixtures/mean-face-brow-strip.csv"));
    let columns = places.len() / HEIGHTS;
    let by_column: Vec<_> = (0..columns)
        .flat_map(|c| (0..HEIGHTS).map(move |r| r * columns + c))
        .map(|i| &places[i])
        .collect();
    let solid = by_column.iter().map(|p| [p[2], p[3], p[4]]).collect();
    let flat = by_column.iter().map(|p| [p[5], p[6]]).collect();
    (meshed("mean face".to_owned(), HEIGHTS, solid), flat)
}

/// All of them.
pub fn crowd() -> Vec<Measured> {
    let mut all: Vec<_> = invented().iter().map(Invented::measured).collect();
    all.extend(open_heads());
    all.push(mean_face().0);
    all
}
