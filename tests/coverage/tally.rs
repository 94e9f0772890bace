//! How often the true value lies inside what is shown.

use std::fmt;

use ophryon_face::Quantity;

use crate::simulated::{Lot, Simulated};

/// One quantity over many photos.
#[derive(Debug, Clone)]
pub struct Tally {
    pub name: &'static str,
    pub quantity: Option<Quantity>,
    pub count: usize,
    inside: usize,
    /// Sums of squares: of the error, of the stated standard uncertainty.
    error: f64,
    stated: f64,
}

impl Tally {
    const fn new(name: &'static str, quantity: Option<Quantity>) -> Self {
        Self {
            name,
            quantity,
            count: 0,
            inside: 0,
            error: 0.0,
            stated: 0.0,
        }
    }

    pub fn percent(&self) -> f64 {
        100.0 * self.inside as f64 / self.count as f64
    }

    pub fn together<'a>(all: impl Iterator<Item = &'a Self>) -> Self {
        let mut sum = Self::new("", None);
        for one in all {
            sum.name = one.name;
            sum.count += one.count;
            sum.inside += one.inside;
            sum.error += one.error;
            sum.stated += one.stated;
        }
        sum
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let rms = |sum: f64| (sum / self.count as f64).sqrt();
        write!(
            f,
            "{}{}: {:.1} % of {} inside; off by {:.2}, stated {:.2} (rms)",
            self.name,
            self.quantity.map_or(String::new(), |q| format!(" {q:?}")),
            self.percent(),
            self.count,
            rms(self.error),
            rms(self.stated),
        )
    }
}

/// Every quantity over a lot of photos.
pub fn tallied(lot: &Lot, photos: u64, quantities: &[(&'static str, Quantity)]) -> Vec<Tally> {
    let mut all: Vec<Tally> = quantities
        .iter()
        .map(|(name, q)| Tally::new(name, Some(*q)))
        .collect();
    for seed in 0..photos {
        let photo = Simulated::new(seed, lot);
        let survey = photo.survey().expect("a photo like that can be measured");
        let influences = survey.influences().expect("and its errors told");
        for (tally, (_, quantity)) in all.iter_mut().zip(quantities) {
            let budget = influences
                .of_quantity(*quantity)
                .expect("all its landmarks are tapped");
            let off = budget.value - photo.true_value(*quantity);
            tally.count += 1;
            tally.inside += usize::from(off.abs() <= budget.expanded());
            tally.error += off * off;
            tally.stated += budget.sd() * budget.sd();
        }
    }
    all
}
