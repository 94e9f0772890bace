//! The table of differences: right, left, and by how much.

use leptos::prelude::*;
use ophryon_brow::Difference;

use crate::number::{signed, tenths};
use crate::studio::Studio;
use crate::words;

/// Below this a ruler shows no difference, mm.
const SEEN_MM: f64 = 0.05;

/// The section.
#[component]
pub fn Differences(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let rows = Memo::new(move |_| {
        studio
            .drawn
            .with(|d| match d {
                Some(Ok(drawn)) => drawn.differences.clone(),
                _ => Vec::new(),
            })
    });
    let in_short = move || {
        let largest = rows.with(|rows| {
            rows.iter()
                .map(|d| d.difference_mm.abs())
                .fold(0.0, f64::max)
        });
        if largest < SEEN_MM {
            "none".to_owned()
        } else {
            format!("up to {} mm", tenths(largest))
        }
    };
    view! {
        <details class="more" data-testid="differences">
            <summary>"Differences" <span class="beside">{in_short}</span></summary>
            <div class="scroll-across">
                <table class="numbers">
                    <caption class="for-readers">
                        "Lengths on the skin in mm, client's right and left, and right less left"
                    </caption>
                    <thead>
                        <tr>
                            <th scope="col">"mm on the skin"</th>
                            <th scope="col">"Right"</th>
                            <th scope="col">"Left"</th>
                            <th scope="col">"R \u{2212} L"</th>
                        </tr>
                    </thead>
                    <tbody>
                        {move || rows.get().into_iter().map(row).collect_view()}
                    </tbody>
                </table>
            </div>
        </details>
    }
}

fn row(d: Difference) -> impl IntoView {
    let differs = d.difference_mm.abs() >= SEEN_MM;
    let name = words::sentence(d.name);
    let name = name.trim_end_matches('.').to_owned();
    view! {
        <tr class:differs=differs data-testid=format!("difference-{}", d.id)>
            <th scope="row">{name}</th>
            <td>{tenths(d.right_mm)}</td>
            <td>{tenths(d.left_mm)}</td>
            <td>{signed(d.difference_mm)}</td>
        </tr>
    }
}
