//! The brows at rest and in use, the verdict and the plan, as text.

use ophryon_frames::{Side, Sided};
use ophryon_record::{
    Balance, BalanceAsk, BalanceRow, Length, NOTICE_SOURCES, PlanDecision, PlanRow,
};

use crate::table::{Column, number, signed, table};

/// Everything that is known of it.
pub fn words(balance: &Balance) -> String {
    let mut text = format!(
        "The brows at rest (photo “{}”) and in use (photo “{}”)\n{}\n",
        balance.at_rest, balance.in_use, balance.alignment.sentence
    );
    text.push_str("\nHeights above the pupil line (mm, k = 2)\n");
    text.push_str(&heights(&balance.rows));
    text.push_str("\nRight less left (mm, k = 2)\n");
    text.push_str(&differences(&balance.rows));
    text.push_str(&format!("\nVerdict: {}\n", balance.verdict.name()));
    for sentence in balance.sentences.iter().chain([&balance.notice]) {
        text.push_str(&format!("{sentence}\n"));
    }
    text.push_str(&format!("To read to the client: {}\n", balance.aloud));
    let taken = match balance.plan.decision {
        PlanDecision::Open => "not taken yet",
        PlanDecision::Taken if balance.plan.is_in_shape => "taken, and in the shape",
        PlanDecision::Taken => "taken, but the shape has been changed since",
    };
    text.push_str(&format!(
        "\nPlan: {:.0} % on the high side; {taken}\n",
        100.0 * balance.plan.share
    ));
    text.push_str(&plan(&balance.plan.rows));
    for sentence in &balance.plan.sentences {
        text.push_str(&format!("{sentence}\n"));
    }
    for (side, offset) in balance.plan.offset.iter() {
        text.push_str(&format!(
            "Offset of the client's {} from the mean of both natural brows: {} mm up, turned {} degrees\n",
            side.name(),
            signed(offset.height_mm),
            signed(offset.turn_degrees)
        ));
    }
    for caution in &balance.cautions {
        text.push_str(&format!("Mind: {caution}\n"));
    }
    text.push_str(&format!("\nWhat others notice: {NOTICE_SOURCES}\n"));
    text
}

/// What is still missing, one line each.
pub fn missing(asks: &[BalanceAsk]) -> String {
    let mut text = "The brows at rest and in use can't be compared yet:\n".to_owned();
    for ask in asks.iter().filter(|a| a.is_needed()) {
        text.push_str(&format!("- {}\n", ask.sentence()));
    }
    text
}

fn length(l: Length) -> String {
    format!("{} ± {}", number(l.mm), number(l.plus_minus_mm))
}

fn with_sign(l: Length) -> String {
    format!("{} ± {}", signed(l.mm), number(l.plus_minus_mm))
}

fn heights(rows: &[BalanceRow]) -> String {
    let columns = [
        ("", Column::Words),
        ("side", Column::Words),
        ("at rest", Column::Words),
        ("in use", Column::Words),
        ("goes up", Column::Words),
    ];
    let cells = rows.iter().flat_map(|row| {
        Side::BOTH.map(|side| {
            let name = match side {
                Side::Right => row.name,
                Side::Left => "",
            };
            vec![
                name.to_owned(),
                format!("client's {}", side.name()),
                length(*row.at_rest.get(side)),
                length(*row.in_use.get(side)),
                with_sign(*row.rise.get(side)),
            ]
        })
    });
    table(&columns, &cells.collect::<Vec<_>>())
}

fn differences(rows: &[BalanceRow]) -> String {
    let columns = [
        ("", Column::Words),
        ("at rest", Column::Words),
        ("in use", Column::Words),
        ("change", Column::Words),
        ("verdict", Column::Words),
    ];
    let cells = rows.iter().map(|row| {
        vec![
            row.name.to_owned(),
            with_sign(row.difference_at_rest),
            with_sign(row.difference_in_use),
            with_sign(row.change),
            row.verdict.name().to_owned(),
        ]
    });
    table(&columns, &cells.collect::<Vec<_>>())
}

fn plan(rows: &[PlanRow]) -> String {
    let columns = [
        ("", Column::Words),
        ("client's right", Column::Words),
        ("client's left", Column::Words),
        ("remains", Column::Words),
        ("room up, right / left", Column::Words),
        ("room down, right / left", Column::Words),
    ];
    let room = |most: &Sided<Option<f64>>| {
        let one = |side| most.get(side).map_or_else(|| "-".to_owned(), number);
        format!("{} / {}", one(Side::Right), one(Side::Left))
    };
    let cells = rows.iter().map(|row| {
        vec![
            row.place.name().to_owned(),
            with_sign(row.change.right),
            with_sign(row.change.left),
            with_sign(row.remains),
            room(&row.up_to_mm),
            room(&row.down_to_mm),
        ]
    });
    table(&columns, &cells.collect::<Vec<_>>())
}
