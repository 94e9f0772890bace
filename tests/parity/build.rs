//! Computes the figures on the machine that builds, whatever the crate itself
//! is built for. In the browser they are the native ones, of the same source
//! and the same run.

#[path = "src/agreement.rs"]
mod agreement;
#[path = "src/faces.rs"]
mod faces;
#[path = "src/figures.rs"]
mod figures;
#[path = "src/lot.rs"]
mod lot;
#[path = "src/run.rs"]
mod run;
#[path = "src/wishes.rs"]
mod wishes;

fn main() -> std::io::Result<()> {
    // The engine's crates are build-dependencies: cargo builds and runs this
    // again when any of them changes.
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-changed=src");
    let folder = std::env::var_os("OUT_DIR")
        .ok_or_else(|| std::io::Error::other("cargo says no folder for what is built"))?;
    let file = std::path::Path::new(&folder).join("native.figures");
    std::fs::write(file, run::all().to_bytes())
}
