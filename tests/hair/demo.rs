//! The invented clients' own photos: hair found in the file, brought on the
//! skin through the record's wrap, against the drawn surface's area of it.

use ophryon_demo::{HairGround, Side as Half, clients};
use ophryon_frames::Side;
use ophryon_photo::{HairSearch, Layout, Pixels, Size, find_hair};
use ophryon_record::{Edit, Record};

fn record(code: &str) -> Record {
    let path = format!(
        "{}/../demo-data/{code}/client.json",
        env!("CARGO_MANIFEST_DIR")
    );
    Record::from_json(&std::fs::read_to_string(path).unwrap()).unwrap()
}

#[test]
fn hair_of_the_demo_clients_has_its_area_on_the_skin() {
    for client in clients() {
        let mut file = record(client.code);
        let drawn = file.drawn().unwrap();
        let photo = file.design_photo().unwrap().clone();
        let name = format!(
            "{}/../demo-data/{}/relaxed.jpg",
            env!("CARGO_MANIFEST_DIR"),
            client.code
        );
        let picture = image::open(name).unwrap().to_rgb8();
        let size = Size::new(picture.width(), picture.height());
        let pixels = Pixels::of_photo(size, Layout::Rgb, picture.as_raw()).unwrap();
        let px_per_mm = 1.0 / drawn.measured.levelled.scale().mm_per_px();
        let shot = &client.shots[0];
        for side in Side::BOTH {
            let search = HairSearch::of_landmarks(&photo.landmarks, side, px_per_mm).unwrap();
            let found = find_hair(&pixels, &search).unwrap();
            assert_eq!(found.remark, None);
            assert_eq!(found.border.len(), 1);
            let edit = Edit::TraceHair {
                photo: photo.id.clone(),
                side,
                border: found.border[0].clone(),
            };
            file = ophryon_record::apply(&file, &edit).unwrap();
            let half = match side {
                Side::Right => Half::Right,
                Side::Left => Half::Left,
            };
            let truth = HairGround::of(&shot.head, half, 0.7, 0.35);
            let fit = file.drawn().unwrap().hair_fit.get(side).unwrap();
            let mm2 = fit.inside_mm2 + fit.outside_mm2;
            let off = mm2 / truth.on_skin_mm2 - 1.0;
            println!(
                "{} {}: {mm2:.0} of {:.0} mm² on the skin, {:+.1} %",
                client.code,
                side.name(),
                truth.on_skin_mm2,
                100.0 * off
            );
            assert!(
                off.abs() < 0.10,
                "{} {side:?}: {:+.1} %",
                client.code,
                100.0 * off
            );
        }
    }
}
