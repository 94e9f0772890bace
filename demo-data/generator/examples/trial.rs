//! Draws one trial picture as PNG:
//! `cargo run --release -p ophryon-demo --example trial -- OUT.png SCALE client CODE STATE`
//! or `… -- OUT.png SCALE random SEED`.

use ophryon_demo::{Camera, Head, clients, render};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = args.iter().map(String::as_str).collect();
    let (out, picture) = match words.as_slice() {
        [out, scale, "client", code, state] => {
            let all = clients();
            let shot = all
                .iter()
                .find(|c| c.code == *code)
                .and_then(|c| c.shots.iter().find(|s| s.state == *state))
                .ok_or("no such client or state")?;
            let camera = shot.camera.scaled(scale.parse()?);
            (out, render(&shot.head, &camera, Some(&shot.scale)))
        }
        [out, scale, "random", seed] => {
            let camera = Camera::default().scaled(scale.parse()?);
            (out, render(&Head::random(seed.parse()?), &camera, None))
        }
        _ => return Err("OUT.png SCALE client CODE STATE, or OUT.png SCALE random SEED".into()),
    };
    std::fs::write(out, picture.png()?)?;
    Ok(())
}
