//! Photos as they come, several things of known size, and the iris assist.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};
use ophryon_face::Landmark;
use ophryon_frames::Side;

use crate::desk::Desk;
use crate::truth::Invented;
use crate::{at_a_desk, bring_photo};

const PUPIL: ophryon_face::SidedLandmark = ophryon_face::SidedLandmark::Pupil;

/// Files that are no photo to work on, each wrong in its own way.
fn bad_files(folder: &Path, client: &Invented) -> Result<Vec<(PathBuf, &'static str)>> {
    let write = |name: &str, bytes: &[u8]| -> Result<PathBuf> {
        let file = folder.join(name);
        fs::write(&file, bytes)?;
        Ok(file)
    };
    let picture = |name: &str, width, height| -> Result<PathBuf> {
        let file = folder.join(name);
        image::GrayImage::new(width, height).save(&file)?;
        Ok(file)
    };
    let whole = fs::read(client.relaxed_photo())?;
    Ok(vec![
        (write("notes.jpg", b"these are notes")?, "no photo"),
        (write("nothing.jpg", b"")?, "empty"),
        (
            write("half.jpg", whole.get(..whole.len() / 2).context("half")?)?,
            "cut short",
        ),
        (
            write("film.heic", b"\0\0\0\x18ftypisom\0\0\x02\0isomiso2")?,
            "no photo",
        ),
        (picture("dot.png", 1, 1)?, "too small"),
        (picture("band.png", 20_000, 500)?, "no photo of a face"),
    ])
}

#[test]
fn bad_files_get_a_sentence_and_change_nothing() {
    at_a_desk((1180, 820), "light", async |desk| {
        let client = Invented::read("demo-even")?;
        let folder = tempfile::tempdir()?;
        desk.find("new-code").await?.send_keys("B. F.").await?;
        desk.click("new-client").await?;
        for (file, why) in bad_files(folder.path(), &client)? {
            desk.choose("photo-file", &file).await?;
            let said = desk.reads("said", why).await?;
            let name = file.file_name().context("a name")?.to_string_lossy();
            ensure!(
                said.contains(&*name) && said.contains("nothing was changed"),
                "{name}: “{said}”"
            );
            ensure!(!desk.is_there("photo").await, "{name} became a photo");
            desk.click("said-close").await?;
        }
        desk.photograph("bad-file").await?;
        // And a good one after them is taken.
        desk.choose("photo-file", &client.relaxed_photo()).await?;
        desk.find("photo").await?;
        Ok(())
    });
}

#[test]
fn a_huge_photo_is_kept_at_24_megapixels() {
    at_a_desk((1280, 800), "light", async |desk| {
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("huge.png");
        image::GrayImage::new(6000, 5000).save(&file)?;
        desk.find("new-code").await?.send_keys("H. P.").await?;
        desk.click("new-client").await?;
        desk.choose("photo-file", &file).await?;
        desk.reads("said", "24 megapixels").await?;
        let photo = desk.find("photo").await?;
        let side = async |name: &str| -> Result<f64> {
            Ok(photo.attr(name).await?.context(name.to_owned())?.parse()?)
        };
        let (width, height) = (side("width").await?, side("height").await?);
        ensure!(width * height <= 24e6, "{width} x {height}");
        ensure!((width / height - 1.2).abs() < 1e-3, "{width} x {height}");
        Ok(())
    });
}

/// Drops a photo that the app ships anywhere on the page.
async fn drop_photo(desk: &Desk, address: &str) -> Result<()> {
    let script = "const done = arguments[1];
        fetch(arguments[0]).then(a => a.blob()).then(blob => {
            const all = new DataTransfer();
            all.items.add(new File([blob], 'dropped.jpg', { type: 'image/jpeg' }));
            window.dispatchEvent(new DragEvent('drop', { dataTransfer: all, bubbles: true, cancelable: true }));
            done(true);
        });";
    desk.driver
        .execute_async(script, vec![serde_json::json!(address)])
        .await?;
    Ok(())
}

#[test]
fn a_dropped_photo_is_asked_what_the_face_is_doing() {
    at_a_desk((1280, 800), "light", async |desk| {
        let client = Invented::read("demo-even")?;
        bring_photo(desk, &client).await?;
        drop_photo(desk, "demo/demo-even/eyes-open.jpg").await?;
        desk.reads("question", "What is the face doing").await?;
        desk.photograph("which-state").await?;
        desk.click("shows-eyes-open").await?;
        desk.reads("question", "Tap the").await?;
        desk.reads("undo", "with eyes wide open").await?;
        // The one at rest is still there, and asks for its scale.
        desk.click("photo-relaxed").await?;
        desk.reads("question", "known size").await?;
        // One that takes another's place is brought back by undo.
        drop_photo(desk, "demo/demo-even/relaxed.jpg").await?;
        desk.click("shows-relaxed").await?;
        desk.reads("undo", "change the photo at rest").await?;
        desk.click("undo").await?;
        desk.find("photo").await?;
        Ok(())
    });
}

#[test]
fn a_rough_tap_snaps_to_the_iris_and_one_touch_takes_it_back() {
    at_a_desk((1280, 800), "light", async |desk| {
        let client = Invented::read("demo-set")?;
        desk.click("try-sample").await?;
        desk.click("demo-set").await?;
        desk.click("place-face").await?;
        desk.click("landmark-list").await?;
        desk.click("again-right-pupil").await?;
        let pupil = client.landmark(Landmark::Sided(Side::Right, PUPIL))?;
        // About 2 mm off.
        let rough = [pupil[0] + 10.0, pupil[1] - 6.0];
        desk.tap(rough).await?;
        desk.find("snapped").await?;
        desk.photograph("snapped").await?;
        desk.reads("undo", "snap").await?;
        let off = async |from: [f64; 2]| -> Result<f64> {
            let [x, y] = desk.on_screen(from).await?;
            let rect = desk.find("landmark-right-pupil").await?.rect().await?;
            let (dx, dy) = (
                rect.x + 0.5 * rect.width - x,
                rect.y + 0.5 * rect.height - y,
            );
            Ok(libm::hypot(dx, dy))
        };
        let found = off(pupil).await?;
        ensure!(
            found < 1.0,
            "the pupil lies {found} screen px from where it is"
        );
        desk.click("back-to-tap").await?;
        let back = off(rough).await?;
        ensure!(back < 1.5, "{back} screen px from the tap");
        ensure!(!desk.is_there("snapped").await, "still said to be snapped");
        Ok(())
    });
}

#[test]
fn a_second_scale_is_held_against_the_first() {
    at_a_desk((1280, 800), "light", async |desk| {
        let client = Invented::read("demo-even")?;
        desk.click("try-sample").await?;
        desk.click("demo-even").await?;
        desk.click("place-face").await?;
        desk.click("scales").await?;
        desk.reads("reference-0", "Card").await?;
        // A ruler that was read wrong: the card's long side as 95 mm.
        desk.click("more-scale").await?;
        desk.reads("question", "What else").await?;
        desk.click("scale-ruler").await?;
        desk.tap(client.scale_place("edge-top")?).await?;
        desk.tap(client.scale_place("edge-bottom")?).await?;
        desk.enter("scale-length", "95").await?;
        desk.click("scale-take").await?;
        desk.click("scales").await?;
        desk.reads("together", "pupils").await?;
        desk.reads("scales", "agree").await?;
        desk.photograph("scales-disagree").await?;
        desk.click("reference-1").await?;
        desk.click("scale-out-1").await?;
        desk.reads("undo", "remove a scale").await?;
        ensure!(!desk.is_there("reference-1").await, "it is still there");
        Ok(())
    });
}

#[test]
fn tapping_once_more_measures_the_spread() {
    at_a_desk((820, 1180), "dark", async |desk| {
        let client = Invented::read("demo-even")?;
        desk.click("try-sample").await?;
        desk.click("demo-even").await?;
        desk.click("place-face").await?;
        let corner = Landmark::from_id("right/outer-corner")?;
        // What comes of itself pushes the list down; nobody aims at it before.
        desk.reads("panel", "Head tilted").await?;
        desk.reads("panel", "Sharp and well lit").await?;
        desk.click("landmark-list").await?;
        desk.click("show-right-outer-corner").await?;
        let places = desk.reads("point-places", "\u{b1}").await?;
        ensure!(places.contains("From the midline"), "“{places}”");
        desk.click("once-more").await?;
        desk.reads("question", "Tap the outer corner").await?;
        desk.tap(client.landmark(corner)?).await?;
        desk.reads("spread", "Tapped 2 times").await?;
        desk.photograph("spread").await?;
        Ok(())
    });
}

/// EXIF of a photo that lies on its side, with the focal length that shows as
/// much on film of 36 x 24 mm: CIPA DC-008 (EXIF 2.32), tags 0x0112, 0x8769,
/// 0xA405; big endian.
fn exif(orientation: u16, equivalent_mm: u16) -> Vec<u8> {
    let entry = |tag: u16, kind: u16, value: u32| {
        let mut bytes = Vec::new();
        bytes.extend(tag.to_be_bytes());
        bytes.extend(kind.to_be_bytes());
        bytes.extend(1_u32.to_be_bytes());
        bytes.extend(value.to_be_bytes());
        bytes
    };
    // A short stands in the upper half of its four bytes.
    let short = |v: u16| u32::from(v) << 16;
    let mut tiff = b"MM\0\x2a\0\0\0\x08".to_vec();
    tiff.extend(2_u16.to_be_bytes());
    tiff.extend(entry(0x0112, 3, short(orientation)));
    tiff.extend(entry(0x8769, 4, 38));
    tiff.extend(0_u32.to_be_bytes());
    tiff.extend(1_u16.to_be_bytes());
    tiff.extend(entry(0xA405, 3, short(equivalent_mm)));
    tiff.extend(0_u32.to_be_bytes());
    let length = u16::try_from(tiff.len() + 8).expect("a short segment");
    let mut segment = vec![0xFF, 0xE1];
    segment.extend(length.to_be_bytes());
    segment.extend(b"Exif\0\0");
    segment.extend(tiff);
    segment
}

#[test]
fn a_photo_on_its_side_stands_upright_and_tells_how_far_the_camera_was() {
    at_a_desk((1280, 800), "light", async |desk| {
        let client = Invented::read("demo-even")?;
        // As a telephone stores it: turned, with its EXIF.
        let upright = image::open(client.relaxed_photo())?;
        let (width, height) = (upright.width(), upright.height());
        let mut jpeg = std::io::Cursor::new(Vec::new());
        upright
            .rotate270()
            .write_to(&mut jpeg, image::ImageFormat::Jpeg)?;
        let jpeg = jpeg.into_inner();
        let (focal_px, distance_mm) = client.camera()?;
        let diagonal = libm::hypot(f64::from(width), f64::from(height));
        let equivalent = (focal_px * libm::hypot(36.0, 24.0) / diagonal).round();
        let mut file = jpeg.get(..2).context("a start")?.to_vec();
        file.extend(exif(6, equivalent as u16));
        file.extend(jpeg.get(2..).context("the rest")?);
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("side.jpg");
        fs::write(&path, file)?;

        desk.find("new-code").await?.send_keys("E. X.").await?;
        desk.click("new-client").await?;
        desk.choose("photo-file", &path).await?;
        let photo = desk.find("photo").await?;
        for (side, px) in [("width", width), ("height", height)] {
            let stands = photo.attr(side).await?.unwrap_or_default();
            ensure!(stands == px.to_string(), "{side} {stands}, not {px}");
        }
        desk.click("scale-card").await?;
        for edge in ["edge-top", "edge-bottom", "edge-left", "edge-right"] {
            desk.tap(client.scale_place(edge)?).await?;
        }
        crate::tap_landmarks(desk, &client).await?;
        desk.click("tape-skip").await?;
        let said = desk.reads("camera", "m away").await?;
        let metres: f64 = said
            .split_whitespace()
            .next()
            .context("a number")?
            .parse()?;
        // EXIF rounds the equivalent focal length to whole mm.
        ensure!(
            (1e3 * metres / distance_mm - 1.0).abs() < 0.03,
            "“{said}”, truly {distance_mm} mm"
        );
        Ok(())
    });
}

#[test]
fn a_turned_head_is_said_with_its_cost_and_the_way_out() {
    at_a_desk((1180, 820), "light", async |desk| {
        let client = Invented::read("demo-even")?;
        desk.click("try-sample").await?;
        desk.click("demo-even").await?;
        desk.click("place-face").await?;
        ensure!(
            !desk.is_there("another-photo-file").await,
            "a straight head is called turned"
        );
        // Both ears 6 mm to one side of where a straight head has them: they
        // lie some 80 mm behind the eyes, so that is 4 degrees.
        for side in ["right", "left"] {
            let ear = Landmark::from_id(&format!("{side}/ear-middle"))?;
            let [x, y] = client.landmark(ear)?;
            desk.click("landmark-list").await?;
            desk.click(&format!("again-{side}-ear-middle")).await?;
            desk.tap([x + 34.0, y]).await?;
        }
        let said = desk.reads("view-of-head", "degrees").await?;
        ensure!(
            said.contains("turned") && said.contains("mm"),
            "no cost: “{said}”"
        );
        desk.find("another-photo-file").await?;
        desk.photograph("turned").await?;
        Ok(())
    });
}

#[test]
fn a_wrong_scale_is_said_as_soon_as_both_pupils_are_tapped() {
    at_a_desk((1180, 820), "light", async |desk| {
        let client = Invented::read("demo-movement")?;
        bring_photo(desk, &client).await?;
        desk.click("scale-ruler").await?;
        desk.tap(client.scale_place("mark-0")?).await?;
        desk.tap(client.scale_place("mark-100")?).await?;
        // The whole ruler's length for two thirds of it.
        desk.enter("scale-length", "150").await?;
        desk.click("scale-take").await?;
        while !desk.is_there("eyes-so-far").await {
            let question = desk.text("question").await?;
            let asked = Landmark::in_order()
                .into_iter()
                .find(|l| question == format!("Tap the {}.", l.name()));
            let landmark = asked.context("all was tapped without a word")?;
            ensure!(!landmark.is_brow(), "said only at “{question}”");
            desk.tap(client.landmark(landmark)?).await?;
            desk.no_longer_reads("question", &question).await?;
        }
        desk.photograph("scale-wrong").await?;
        desk.click("scale-first").await?;
        desk.reads("question", "known size").await?;
        Ok(())
    });
}

#[test]
fn a_length_in_a_wrong_unit_is_said_at_once_and_a_refused_one_is_put_right_in_one_go() {
    at_a_desk((820, 1180), "light", async |desk| {
        let client = Invented::read("demo-movement")?;
        bring_photo(desk, &client).await?;
        desk.click("scale-ruler").await?;
        desk.tap(client.scale_place("mark-0")?).await?;
        desk.tap(client.scale_place("mark-100")?).await?;
        // Each next length is taken at the first press, whatever was said of
        // the one before.
        for (typed, said) in [("-3", "-3 mm"), ("abc", "abc"), ("2000", "2000 mm")] {
            desk.enter("scale-length", typed).await?;
            desk.click("scale-take").await?;
            desk.reads("panel", said).await?;
        }
        desk.photograph("length-refused").await?;
        desk.enter("scale-length", "1").await?;
        ensure!(
            !desk.is_there("said").await,
            "the refusal lies over the field"
        );
        desk.enter("scale-length", "500").await?;
        desk.click("scale-take").await?;
        let said = desk.reads("said", "photo would be").await?;
        ensure!(said.contains("cm wide"), "“{said}”");
        // The first pupil is asked for and the second is in sight after it.
        let pupils = ["right/pupil", "left/pupil"].map(Landmark::from_id);
        for pupil in pupils {
            let pupil = pupil?;
            while !desk
                .text("question")
                .await?
                .contains(&pupil.name().to_string())
            {
                let question = desk.text("question").await?;
                let asked = Landmark::in_order()
                    .into_iter()
                    .find(|l| question == format!("Tap the {}.", l.name()));
                let asked = asked.with_context(|| format!("no pupil asked: “{question}”"))?;
                desk.tap(client.landmark(asked)?).await?;
                desk.no_longer_reads("question", &question).await?;
            }
            desk.tap(client.landmark(pupil)?).await?;
        }
        desk.reads("eyes-so-far", "apart").await?;
        Ok(())
    });
}

#[test]
fn a_dark_photo_is_said_and_stands_in_nobodys_way() {
    at_a_desk((1280, 800), "light", async |desk| {
        let client = Invented::read("demo-even")?;
        // About five stops darker, as a photo against a window is.
        let mut dark = image::open(client.relaxed_photo())?.to_rgb8();
        for byte in dark.iter_mut() {
            *byte /= 5;
        }
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("dark.jpg");
        dark.save(&path)?;
        desk.find("new-code").await?.send_keys("D. P.").await?;
        desk.click("new-client").await?;
        desk.choose("photo-file", &path).await?;
        desk.find("photo").await?;
        desk.click("scale-card").await?;
        for edge in ["edge-top", "edge-bottom", "edge-left", "edge-right"] {
            desk.tap(client.scale_place(edge)?).await?;
        }
        for _ in 0..5 {
            let question = desk.text("question").await?;
            let asked = Landmark::in_order()
                .into_iter()
                .find(|l| question == format!("Tap the {}.", l.name()));
            let landmark = asked.with_context(|| question.clone())?;
            desk.tap(client.landmark(landmark)?).await?;
            desk.no_longer_reads("question", &question).await?;
        }
        let said = desk.reads("take-again", ".").await?;
        ensure!(
            said.to_lowercase().contains("dark"),
            "a dark photo is called “{said}”"
        );
        desk.photograph("photo-dark").await?;
        // The next landmark is asked for all the same.
        desk.reads("question", "Tap the").await?;

        // A good photo is said to be one.
        desk.click("to-clients").await?;
        desk.click("try-sample").await?;
        desk.click("demo-set").await?;
        desk.click("place-face").await?;
        desk.reads("photo-quality", "Sharp and well lit").await?;
        Ok(())
    });
}
