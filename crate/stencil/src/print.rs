//! A page that a browser prints at exactly 1:1.

use std::fmt::Write as _;

use crate::Sheet;
use crate::svg;

/// A complete HTML page that prints one sheet at exactly 1:1.
pub fn print_page(sheet: &Sheet) -> String {
    print_pages(&[sheet])
}

/// A complete HTML page that prints these sheets, one to a page, at exactly
/// 1:1, each on a page of its own size.
///
/// CSS Paged Media: `@page` sets size and margin, and a named page one of
/// several sizes. Browsers shrink a page whose content is wider than the paper,
/// so each sheet lies in a block of exactly the page's size, positioned
/// absolutely, with what sticks out cut off.
pub fn print_pages(sheets: &[&Sheet]) -> String {
    let title = escape(sheets.first().map_or("", |s| s.title()));
    let language = escape(sheets.first().map_or("en", |s| s.language()));
    let mut sizes: Vec<(f64, f64)> = vec![];
    for sheet in sheets {
        let size = (sheet.width_mm(), sheet.height_mm());
        if !sizes.contains(&size) {
            sizes.push(size);
        }
    }
    let mut styles = String::new();
    for (number, (width, height)) in sizes.iter().enumerate() {
        // The first size is the one of a browser that knows no names.
        let name = match number {
            0 => String::new(),
            number => format!(" size-{number}"),
        };
        // Writing to a string can't fail.
        let _ = writeln!(
            styles,
            "@page{name} {{ size: {width}mm {height}mm; margin: 0; }}\n\
             .size-{number} {{ width: {width}mm; height: {height}mm; }}"
        );
        if number > 0 {
            let _ = writeln!(styles, ".size-{number} {{ page: size-{number}; }}");
        }
    }
    let mut html = format!(
        "<!doctype html>\n\
         <html lang=\"{language}\">\n\
         <head>\n\
         <meta charset=\"utf-8\">\n\
         <title>{title}</title>\n\
         <style>\n\
         {styles}\
         :root {{ color-scheme: light; }}\n\
         html, body {{ margin: 0; padding: 0; background: #fff; }}\n\
         .page {{ position: relative; overflow: hidden; }}\n\
         .page + .page {{ break-before: page; }}\n\
         .page > svg {{ position: absolute; left: 0; top: 0; }}\n\
         </style>\n\
         </head>\n\
         <body>\n"
    );
    for sheet in sheets {
        let size = (sheet.width_mm(), sheet.height_mm());
        let number = sizes.iter().position(|s| *s == size).unwrap_or(0);
        let _ = writeln!(
            html,
            "<div class=\"page size-{number}\">\n{}\n</div>",
            svg::root(sheet)
        );
    }
    html + "</body>\n</html>\n"
}

fn escape(words: &str) -> String {
    words
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Paper, example, lay_out};

    #[test]
    fn the_page_asks_for_the_paper_and_no_margin() {
        for (paper, size) in [
            (Paper::A4, "size: 210mm 297mm; margin: 0;"),
            (Paper::Letter, "size: 215.9mm 279.4mm; margin: 0;"),
        ] {
            let content = example::on(paper);
            let html = print_page(&lay_out(&content).unwrap());
            assert!(html.contains(size), "{size}");
            assert_eq!(html.matches("<svg").count(), 1);
        }
    }

    #[test]
    fn a_title_can_not_break_out_of_the_head() {
        let mut content = example::content();
        content.caption.code = "</title><script>x</script>".to_owned();
        let html = print_page(&lay_out(&content).unwrap());
        assert!(!html.contains("<script>"));
        assert!(html.contains("&lt;/title&gt;"));
    }
}
