//! Redraws the invented clients: `cargo run --release -p ophryon-demo [-- FOLDER [SCALE]]`.
//! FOLDER is demo-data by default; SCALE draws smaller trial pictures.

use ophryon_demo::{Exif, client_truth, clients, render};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

fn redraw(folder: &Path, scale: f64) -> Result<(), String> {
    for client in clients() {
        let home = folder.join(client.code);
        std::fs::create_dir_all(&home).map_err(|e| format!("{}: {e}", home.display()))?;
        if scale == 1.0 {
            let path = home.join("truth.json");
            let mut text = serde_json::to_string_pretty(&client_truth(&client))
                .map_err(|e| format!("{}: {e}", path.display()))?;
            text.push('\n');
            std::fs::write(&path, text).map_err(|e| format!("{}: {e}", path.display()))?;
        }
        for shot in &client.shots {
            let path = home.join(format!("{}.jpg", shot.state));
            let camera = shot.camera.scaled(scale);
            let picture = render(&shot.head, &camera, Some(&shot.scale));
            let bytes = picture
                .camera_jpeg(90, &Exif::of(&camera, shot.taken))
                .map_err(|e| format!("{}: {e}", path.display()))?;
            std::fs::write(&path, &bytes).map_err(|e| format!("{}: {e}", path.display()))?;
            println!("{} ({} KB)", path.display(), bytes.len() / 1000);
        }
    }
    Ok(())
}

fn main() -> ExitCode {
    let mut args = std::env::args_os().skip(1);
    let folder = args.next().map_or_else(
        || PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/..")),
        PathBuf::from,
    );
    let scale = args
        .next()
        .and_then(|s| s.to_str().and_then(|s| s.parse::<f64>().ok()))
        .filter(|s| (0.05..=1.0).contains(s))
        .unwrap_or(1.0);
    match redraw(&folder, scale) {
        Ok(()) => ExitCode::SUCCESS,
        Err(sentence) => {
            eprintln!("could not write {sentence}");
            ExitCode::FAILURE
        }
    }
}
