//! `ophryon healed`.

use crate::desk::Desk;

#[test]
fn without_a_healed_photo_it_says_what_to_bring() {
    let desk = Desk::new();
    let ran = desk.run(&["healed", "client.json"]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(
        ran.err
            .contains("there is no photo of the healed brows yet; bring one"),
        "{}",
        ran.err
    );
    let ran = desk.run(&["healed", "client.json", "--replace"]);
    assert!(ran.err.contains("--touch-up"), "{}", ran.err);
}
