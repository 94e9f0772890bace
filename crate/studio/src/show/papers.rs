//! An agreement as a page to print and as PDF.

use ophryon_record::{FacePictures, Image};
use ophryon_stencil::{Jpeg, Sheet, print_pages};
use sycamore::reactive::Signal;
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use crate::device::{files, print as printer};
use crate::markup::{p, shows};
use crate::paper::letters;
use crate::studio::Studio;
use crate::words::sentence;

/// The pages of one agreement.
async fn pages(studio: Studio, index: usize, with_face: bool) -> Result<Vec<Sheet>, String> {
    let record = studio.settled().ok_or("No client is open.")?;
    let paper = studio.settings.sheet.get_untracked().paper.for_lists();
    let pictures = match record.with_agreement(index) {
        Some((sealed, as_agreed)) if with_face && sealed.keeps_photos() => {
            let image = as_agreed.design_photo().map(|photo| photo.image.clone());
            let blob = match image {
                Some(Image::File { name }) => studio.keeper.picture(&name),
                _ => None,
            };
            match blob {
                Some(blob) => {
                    let tone = studio.view.look.tone.get_untracked();
                    let files = crate::look::face_pictures(&as_agreed, tone, &blob).await?;
                    let [before, drawn, healed] = files.map(Jpeg::read);
                    before
                        .zip(drawn)
                        .zip(healed)
                        .map(|((before, drawn), healed)| FacePictures {
                            before,
                            drawn,
                            healed,
                        })
                }
                None => None,
            }
        }
        _ => None,
    };
    let pages = record.agreement_papers(index, paper, pictures.as_ref());
    pages.map_err(|why| sentence(&why.to_string()))
}

/// Prints it.
pub fn print(studio: Studio, index: usize, with_face: bool, busy: Signal<bool>) {
    working(busy, async move {
        let pages = pages(studio, index, with_face).await;
        let printed =
            pages.and_then(|pages| printer::page(&print_pages(&pages.iter().collect::<Vec<_>>())));
        studio.tell(printed);
    });
}

/// Saves it as PDF.
pub fn save(studio: Studio, index: usize, with_face: bool, busy: Signal<bool>) {
    working(busy, async move {
        let written = async {
            let pages = pages(studio, index, with_face).await?;
            let pages: Vec<_> = pages.iter().collect();
            let press = studio.later.press.get().await?;
            let pdf = (press.pdf)(&pages, &letters::letters(&pages).await);
            let pdf = pdf.map_err(|why| sentence(&why))?;
            let code = studio.settled().map(|r| r.client.code).unwrap_or_default();
            let name = format!("agreement-{}-{}.pdf", plain(&code), index + 1);
            files::save_bytes(&name, "application/pdf", &pdf.bytes)?;
            Ok(letters::boxes(&pdf.missing))
        };
        match written.await {
            Ok(missing) => studio.said.set(missing),
            Err(why) => studio.said.set(Some(why)),
        }
    });
}

/// A code as part of a file's name.
fn plain(code: &str) -> String {
    let kept = |c: char| if c.is_alphanumeric() { c } else { '-' };
    code.chars().take(40).map(kept).collect()
}

fn working(busy: Signal<bool>, work: impl Future<Output = ()> + 'static) {
    busy.set(true);
    spawn_local(async move {
        work.await;
        // The artist may have gone on meanwhile.
        if busy.is_alive() {
            busy.set(false);
        }
    });
}

/// While it is written.
pub fn busy_word(busy: Signal<bool>) -> View {
    shows(
        move || busy.get(),
        |is_busy| {
            if is_busy {
                p("Writing the paper")
                    .class("busy")
                    .at("role", "status")
                    .into()
            } else {
                View::new()
            }
        },
    )
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_code_makes_a_files_name() {
        assert_eq!(super::plain("K. M./3"), "K--M--3");
    }
}
