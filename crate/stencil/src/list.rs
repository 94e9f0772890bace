//! The distance list as a sheet of its own.

use crate::{Caption, Distance, Paper, Sheet};

/// Lays out the distance list, with boxes for what the ruler read.
pub fn lay_out_distances(list: &[Distance], caption: &Caption, paper: Paper) -> Sheet {
    let _ = (list, caption);
    Sheet {
        id: "distances",
        title: "Distances".to_owned(),
        paper,
        placing: None,
        groups: vec![],
    }
}
