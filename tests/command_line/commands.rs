//! Commands that are none.

use crate::desk::Desk;

#[test]
fn a_wrong_command_is_explained_with_exit_2() {
    let desk = Desk::new();
    for (arguments, part) in [
        (&["sheet", "client.json"][..], "--out <DIR>"),
        (
            &["sheet", "client.json", "--out", "x", "--paper", "a3"],
            "a4, letter",
        ),
        (&["stencil", "client.json"], "unrecognized subcommand"),
    ] {
        let ran = desk.run(arguments);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{arguments:?}");
        assert!(ran.err.contains(part), "{}", ran.err);
    }
    let ran = desk.run(&["--help"]);
    assert_eq!(ran.code, 0);
    for task in ["sheet", "printer-check", "check", "measure", "serve"] {
        assert!(ran.out.contains(task), "{}", ran.out);
    }
}
