//! Starts the app once the page has loaded it.

fn main() {
    ophryon_studio::start();
}
