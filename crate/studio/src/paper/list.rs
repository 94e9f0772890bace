//! The distances that a ruler must read, as a table.

use leptos::prelude::*;
use ophryon_record::Papers;
use ophryon_stencil::{Distance, DistanceKind};

use crate::number::tenths;
use crate::words;

/// The table, in the kinds of reading.
#[component]
pub fn RulerList(
    /// The papers.
    made: Memo<Option<Result<Papers, String>>>,
) -> impl IntoView {
    let rows = Memo::new(move |_| {
        made.with(|m| match m {
            Some(Ok(papers)) => papers.report.distances.clone(),
            _ => Vec::new(),
        })
    });
    let part = move |kind: DistanceKind| {
        let rows: Vec<Distance> = rows.get().into_iter().filter(|d| d.kind == kind).collect();
        view! {
            <table class="numbers">
                <caption class="quiet">{kind.how()}</caption>
                <thead>
                    <tr>
                        <th scope="col">"mm"</th>
                        <th scope="col">"Right"</th>
                        <th scope="col">"Left"</th>
                    </tr>
                </thead>
                <tbody>{rows.into_iter().map(row).collect_view()}</tbody>
            </table>
        }
    };
    view! {
        <div class="inside">
            {move || DistanceKind::ALL.into_iter().map(part).collect_view()}
        </div>
    }
}

fn row(d: Distance) -> impl IntoView {
    let name = words::sentence(d.name);
    view! {
        <tr data-testid=format!("distance-{}", d.id)>
            <th scope="row">{name.trim_end_matches('.').to_owned()}</th>
            <td>{tenths(d.right_mm)}</td>
            <td>{tenths(d.left_mm)}</td>
        </tr>
    }
}
