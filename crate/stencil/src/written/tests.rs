use super::*;
use crate::lettering::width_mm;
use crate::write_svg;
use proptest::prelude::*;

fn written(blocks: Vec<Block>) -> Written {
    Written {
        id: "visit",
        title: "Visit sheet, client K. M.".to_owned(),
        heading: "Visit sheet".to_owned(),
        about: "Client K. M.".to_owned(),
        blocks,
    }
}

fn table(rows: usize, words: &str) -> Block {
    Block::Table {
        columns: vec![(1.0, "what".to_owned()), (2.0, "which".to_owned())],
        rows: (0..rows)
            .map(|n| vec![format!("row {n}"), words.to_owned()])
            .collect(),
    }
}

/// Every line of words, with where it begins and ends and its base line.
fn lines(sheet: &Sheet) -> Vec<(f64, f64, f64, String)> {
    let items = sheet.groups().iter().flat_map(|g| &g.items);
    items
        .filter_map(|item| match &item.mark {
            Mark::Words {
                at,
                align,
                size_mm,
                words,
                ..
            } => {
                let long = width_mm(words, *size_mm);
                let from = if *align == Align::End {
                    at.x - long
                } else {
                    at.x
                };
                Some((from, from + long, at.y, words.clone()))
            }
            _ => None,
        })
        .collect()
}

#[test]
fn little_fits_on_one_page_and_much_goes_on_over_several_with_none_lost() {
    let short = written(vec![
        Block::Head("Supplies".to_owned()),
        table(3, "Ash brown"),
        Block::Signatures(vec!["artist".to_owned(), "client".to_owned()]),
    ]);
    let pages = lay_out_written(&short, Paper::A4);
    assert_eq!(pages.len(), 1);
    assert_eq!(pages[0].title(), "Visit sheet, client K. M.");

    let long = written(vec![table(
        120,
        "Ash brown, of a long name ".repeat(4).as_str(),
    )]);
    let pages = lay_out_written(&long, Paper::Letter);
    assert!(pages.len() > 3, "{}", pages.len());
    let all: Vec<_> = pages.iter().flat_map(Sheet::words).collect();
    for n in 0..120 {
        let row = format!("row {n}");
        assert_eq!(all.iter().filter(|w| **w == row).count(), 1, "{row}");
    }
    // Each page says what it is and which it is.
    for (n, page) in pages.iter().enumerate() {
        let said = format!("page {} of {}", n + 1, pages.len());
        assert!(page.words().any(|w| w == said), "{said}");
        assert!(page.words().any(|w| w == "Client K. M."));
    }
}

#[test]
fn a_head_never_stands_alone_at_the_foot_of_a_page() {
    for filler in 40..75 {
        let mut blocks: Vec<_> = (0..filler)
            .map(|n| Block::Words(format!("line {n}")))
            .collect();
        blocks.push(Block::Head("Notes".to_owned()));
        blocks.push(table(1, "Ash brown"));
        for page in lay_out_written(&written(blocks), Paper::A4) {
            let all: Vec<_> = page.words().collect();
            if let Some(at) = all.iter().position(|w| *w == "Notes") {
                assert!(all[at..].contains(&"row 0"), "{filler}: {all:?}");
            }
        }
    }
}

#[test]
fn small_paper_gives_way_to_office_paper() {
    let one = written(vec![Block::Words("A word.".to_owned())]);
    let page = &lay_out_written(&one, Paper::Label4x6In)[0];
    assert_eq!(page.paper(), Paper::Letter);
}

proptest! {
    #[test]
    fn whatever_is_typed_no_word_leaves_the_page_and_no_letter_is_lost(
        note in "(\\PC{0,90}\n?){0,40}",
        cell in "\\PC{0,200}",
        rows in 0..30_usize,
    ) {
        let doc = written(vec![
            Block::Head("Notes".to_owned()),
            Block::Words(note.clone()),
            Block::Fact { name: "next visit".to_owned(), words: cell.clone() },
            table(rows, &cell),
            Block::Signatures(vec![cell.clone(), "client".to_owned()]),
        ]);
        let pages = lay_out_written(&doc, Paper::A4);
        let mut letters = String::new();
        for page in &pages {
            for (from, to, y, words) in lines(page) {
                prop_assert!(from >= MARGIN_MM - 1e-9, "{words}");
                // Bold letters are reckoned a tenth wider when they are set.
                prop_assert!(to <= 210.0 - MARGIN_MM + 1e-9, "{words}");
                prop_assert!((10.0..=297.0 - MARGIN_MM + 1e-9).contains(&y), "{words}");
                letters.extend(words.chars().filter(|c| *c != ' '));
            }
            prop_assert!(roxmltree::Document::parse(&write_svg(page)).is_ok());
        }
        for line in note.lines() {
            let typed: String = clean(line).chars().filter(|c| *c != ' ').collect();
            // On a page's edge its foot and head stand between.
            prop_assert!(letters.contains(&typed) || pages.len() > 1, "{typed}");
        }
    }
}
