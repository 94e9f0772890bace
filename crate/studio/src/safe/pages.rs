//! A long list, a few rows at a time: what isn't looked at costs nothing, and
//! the next rows are one large button away.

use sycamore::reactive::Signal;
use sycamore::web::View;

use crate::markup::{button, div, el, shows};

/// Rows shown at a time.
pub const ROWS: usize = 8;

/// The rows of a page among so many.
pub fn rows(page: usize, count: usize) -> std::ops::Range<usize> {
    let first = (page * ROWS).min(count.saturating_sub(1) / ROWS * ROWS);
    first..(first + ROWS).min(count)
}

/// Where one is, and the way on and back; nothing where all fits.
pub fn turn(page: Signal<usize>, count: impl Fn() -> usize + 'static) -> View {
    shows(
        move || (page.get(), count()),
        move |(now, count)| {
            if count <= ROWS {
                return View::new();
            }
            let shown = rows(now, count);
            let now = shown.start / ROWS;
            let last = (count - 1) / ROWS;
            div("turn")
                .put(
                    button("button", "rows-before")
                        .words("Before")
                        .flag("disabled", now == 0)
                        .click(move || page.set(now.saturating_sub(1))),
                )
                .put(el("span").class("number").id("rows-shown").words(format!(
                    "{} to {} of {count}",
                    shown.start + 1,
                    shown.end
                )))
                .put(
                    button("button", "rows-after")
                        .words("Next")
                        .flag("disabled", now == last)
                        .click(move || page.set((now + 1).min(last))),
                )
                .into()
        },
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_on_one_page_and_no_page_is_beyond_the_end() {
        for count in [0_usize, 1, 7, 8, 9, 16, 2000] {
            let pages = count.div_ceil(ROWS).max(1);
            let all: Vec<usize> = (0..pages).flat_map(|p| rows(p, count)).collect();
            assert_eq!(all, (0..count).collect::<Vec<_>>());
            assert_eq!(rows(pages + 5, count), rows(pages - 1, count));
        }
    }
}
