//! Which one-number section is best: the search behind the profile, told again
//! with code of its own. A family is s = x (1 + q g(u)), u = x / 50 mm, with g
//! a mixture of u² (a parabola's) and u⁶ (the turn into the temple); its q is
//! settled on each head by one tape along the centre line. A lean that is the
//! same on every head bends level lines up by a share of q u³.

use ophryon_frames::WrapKind;

use crate::band::{left_over, length};
use crate::crowd::{Group, Measured, crowd};
use crate::surface::Seen;
use crate::{by_laid_tape, left};

/// A family: the lengthening by distance, and the shared bend.
struct Family<'g> {
    section: &'g dyn Fn(f64) -> f64,
    bend: f64,
}

impl Family<'_> {
    fn worn(&self, q: f64, [x, y]: Seen) -> Seen {
        let u = x / 50.0;
        [
            x * (1.0 + q * (self.section)(u)),
            y + self.bend * q * 50.0 * u * u * u,
        ]
    }

    /// What it leaves on a head, mm rms.
    fn left(&self, head: &Measured) -> f64 {
        let laid = |q: f64| length(head.along.iter().map(|p| self.worn(q, *p)));
        let (mut least, mut most) = (0.0, 0.6);
        for _ in 0..50 {
            let middle = 0.5 * (least + most);
            if laid(middle) < head.laid {
                least = middle;
            } else {
                most = middle;
            }
        }
        let own: Vec<Seen> = head
            .band
            .seen
            .iter()
            .map(|p| self.worn(least, *p))
            .collect();
        left_over(&own, &head.flat).rms
    }
}

fn mixture(temple: f64) -> impl Fn(f64) -> f64 {
    move |u| {
        let v = u * u;
        v * (1.0 - temple + temple * v * v)
    }
}

fn mean(of: impl Iterator<Item = f64>) -> f64 {
    let all: Vec<f64> = of.collect();
    all.iter().sum::<f64>() / all.len() as f64
}

const SHARES: [f64; 9] = [0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8];

/// What every mixture leaves on every head, by the order of [`SHARES`].
fn by_mixture(heads: &[Measured]) -> Vec<[f64; 9]> {
    let of = |head: &Measured| {
        SHARES.map(|temple| {
            let section = mixture(temple);
            Family {
                section: &section,
                bend: 0.0,
            }
            .left(head)
        })
    };
    heads.iter().map(of).collect()
}

fn best(of: impl Fn(usize) -> f64) -> usize {
    let all = (0..SHARES.len()).map(|k| (k, of(k)));
    all.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap().0
}

/// Each head's section from the other heads alone.
#[test]
fn mixtures_are_chosen_without_the_head_they_are_tried_on() {
    let heads = crowd();
    let lefts = by_mixture(&heads);
    let round: Vec<f64> = heads
        .iter()
        .map(|h| left(&by_laid_tape(WrapKind::Cylinder, h), h).rms)
        .collect();
    let within = |which: &dyn Fn(Group) -> bool| -> Vec<usize> {
        (0..heads.len())
            .filter(|i| which(heads[*i].group))
            .collect()
    };
    println!(
        "mean rms, mm; share of u⁶:        {}",
        SHARES.map(|s| format!("{s:5.1}")).concat()
    );
    let groups: [(&str, Vec<usize>); 4] = [
        ("open", within(&|g| g == Group::Open)),
        ("drawn", within(&|g| g == Group::Drawn)),
        (
            "solids",
            within(&|g| matches!(g, Group::Ellipsoid | Group::Boxy)),
        ),
        ("all", within(&|_| true)),
    ];
    for (name, these) in &groups {
        let figures: Vec<String> = (0..SHARES.len())
            .map(|k| format!(" {:.2}", mean(these.iter().map(|i| lefts[*i][k]))))
            .collect();
        println!(
            "{name:7} cylinder {:.3}, mixtures      {}",
            mean(these.iter().map(|i| round[*i])),
            figures.concat()
        );
        let alone = these.iter().map(|out| {
            let others = these.iter().filter(|i| *i != out);
            let chosen = best(|k| mean(others.clone().map(|i| lefts[*i][k])));
            (chosen, lefts[*out][chosen])
        });
        let alone: Vec<(usize, f64)> = alone.collect();
        let shares = (
            alone.iter().map(|a| a.0).min().unwrap(),
            alone.iter().map(|a| a.0).max().unwrap(),
        );
        println!(
            "        each head by the others' best ({:.1} to {:.1}): {:.3}",
            SHARES[shares.0],
            SHARES[shares.1],
            mean(alone.iter().map(|a| a.1))
        );
    }
    let of = |group: usize, k: usize| mean(groups[group].1.iter().map(|i| lefts[*i][k]));
    let round = |group: usize| mean(groups[group].1.iter().map(|i| round[*i]));
    // The mean face and the meshes come from two projects and ask for the same.
    let mean_face = heads.len() - 1;
    assert!(SHARES[best(|k| lefts[mean_face][k])] >= 0.4);
    assert!(SHARES[best(|k| of(0, k))] >= 0.5);
    // The chosen share: much better on the open heads, nothing lost to the
    // cylinder over all, little on the generator's; the next step loses there.
    let chosen = SHARES.iter().position(|s| *s == 0.4).unwrap();
    assert!(of(0, chosen) < 0.85 * round(0) && of(3, chosen) < 1.02 * round(3));
    assert!(of(1, chosen) < 1.08 * round(1) && of(1, chosen + 1) > 1.2 * round(1));
    // A single power, as was used before, is worse on the open heads.
    let power = Family {
        section: &|u| libm::pow(u.abs(), 3.5),
        bend: 0.0,
    };
    let power = mean(groups[0].1.iter().map(|i| power.left(&heads[*i])));
    println!("u^3.5 on the open heads: {power:.3}");
    assert!(of(0, chosen) < 0.96 * power);
}

/// Skin that leans bends level lines; which way differs from head to head, so
/// no bend that is the same for all is worth its trouble.
#[test]
fn no_lean_is_common_to_all_heads() {
    const BENDS: [f64; 9] = [-0.8, -0.4, -0.2, 0.0, 0.1, 0.2, 0.3, 0.5, 0.9];
    let heads = crowd();
    let section = mixture(0.4);
    let of = |head: &Measured| {
        BENDS.map(|bend| {
            Family {
                section: &section,
                bend,
            }
            .left(head)
        })
    };
    let lefts: Vec<[f64; 9]> = heads.iter().map(of).collect();
    let own: Vec<f64> = lefts.iter().map(|l| BENDS[best(|k| l[k])]).collect();
    let open: Vec<f64> = heads
        .iter()
        .zip(&own)
        .filter(|(h, _)| h.group == Group::Open)
        .map(|(_, b)| *b)
        .collect();
    println!("own best bend of the open heads: {open:?}");
    let (back, forward) = (
        open.iter().filter(|b| **b > 0.0).count(),
        open.iter().filter(|b| **b < 0.0).count(),
    );
    assert!(back >= 3 && forward >= 2, "{open:?}");
    let shared: Vec<f64> = (0..BENDS.len())
        .map(|k| mean(lefts.iter().map(|l| l[k])))
        .collect();
    println!("one bend for all, {BENDS:?}: {shared:.3?}");
    let level = BENDS.iter().position(|b| *b == 0.0).unwrap();
    let least = shared.iter().fold(f64::INFINITY, |least, v| least.min(*v));
    assert!(least > 0.96 * shared[level], "{shared:?}");
    // Known for each head, it would be worth a lot.
    let known = mean(lefts.iter().map(|l| l[best(|k| l[k])]));
    println!("each head's own bend: {known:.3}");
    assert!(known < 0.8 * shared[level]);
}
