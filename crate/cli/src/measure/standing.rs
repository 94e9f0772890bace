//! Where the brows stand among published measures, as text.

use ophryon_brow::{NO_BEST_RULE, Standing, StandingUnit};
use ophryon_frames::Side;
use ophryon_record::Drawn;

use crate::table::{Column, number, table};

/// The section; empty where a point of the shape is nowhere.
pub fn words(drawn: &Drawn) -> String {
    let (right, left) = (drawn.standing(Side::Right), drawn.standing(Side::Left));
    if right.is_empty() || left.is_empty() {
        return String::new();
    }
    let rows: Vec<Vec<String>> = right
        .iter()
        .zip(&left)
        .flat_map(|(r, l)| {
            let first = vec![
                r.name.to_owned(),
                cell(r),
                cell(l),
                r.published
                    .first()
                    .map_or_else(|| "no figure read".to_owned(), |p| published(r, p)),
            ];
            let more = r.published.iter().skip(1).map(|p| {
                let blank = String::new;
                vec![blank(), blank(), blank(), published(r, p)]
            });
            std::iter::once(first).chain(more).collect::<Vec<_>>()
        })
        .collect();
    let columns = [
        ("", Column::Words),
        ("client's right", Column::Numbers),
        ("client's left", Column::Numbers),
        ("published (mean ± one standard deviation)", Column::Words),
    ];
    format!(
        "\nThe shape among published measures, as seen from the front\n{}{NO_BEST_RULE}\nOf each publication the abstract was read; what exactly it measured from may differ.\n",
        table(&columns, &rows)
    )
}

const fn unit(of: &Standing) -> &'static str {
    match of.unit {
        StandingUnit::Mm => " mm",
        StandingUnit::Degrees => "°",
        StandingUnit::Share => "",
    }
}

fn cell(of: &Standing) -> String {
    of.value.map_or_else(
        || "-".to_owned(),
        |value| format!("{}{}", number(value), unit(of)),
    )
}

fn published(of: &Standing, p: &ophryon_brow::Published) -> String {
    let spread = p.sd.map_or(String::new(), |sd| format!(" ± {sd}"));
    format!("{}{spread}{} ({}; {})", p.mean, unit(of), p.whom, p.source)
}
