//! What a sheet tells its user, in sentences: at length where there is room,
//! in short where there is not.

use crate::caption::{CAUTIONS, CAUTIONS_SHORT, Note};
use crate::strip::legend;
use crate::{Agreement, Facing, GaugeLengths, SheetContent};

/// Two columns for a page with room: before use, and what the sheet rests on.
pub(crate) fn at_length(content: &SheetContent, gauges: GaugeLengths) -> [Vec<Note>; 2] {
    let about = &content.caption;
    let facing = match content.options.facing {
        Facing::FaceUp => Note::of(
            "FACE UP: the drawing is as you look at the client. Lay the blank side on the skin.",
            false,
        ),
        Facing::FaceDown => Note::of(
            "FACE DOWN: the drawing is mirrored as a whole, for transfer. Lay the printed side on \
             the skin.",
            true,
        ),
    };
    [
        vec![
            Note::of(
                format!(
                    "Print at 100 %, never fitted to the page. Lay a ruler on both gauges: {}. If \
                     one does not, do not use this sheet.",
                    gauges.in_words()
                ),
                true,
            ),
            facing,
            Note::of(
                "Lay the midline on the client's midline and the level line on the line through \
                 both pupils.",
                false,
            ),
            Note::of(legend(content), false),
        ],
        vec![
            Note::of(about.wrap_sentence(), !about.is_wrap_measured()),
            Note::of(
                about.agreement_sentence(),
                about.agreed == Agreement::NotAgreed,
            ),
            Note::of(check_on_skin(content), false),
            Note::of(CAUTIONS, false),
        ],
    ]
}

/// How the drawing is checked on skin. No distance list is printed with a
/// touch-up.
fn check_on_skin(content: &SheetContent) -> &'static str {
    if content.is_touch_up() {
        "Look at the skin before you fill: the photo may be off by the ± above."
    } else {
        "Check on skin with a ruler: the distance list says what it must read."
    }
}

/// The same in short, in the order of what must not be overlooked.
pub(crate) fn in_short(content: &SheetContent, gauges: GaugeLengths) -> Vec<Note> {
    let about = &content.caption;
    let facing = match content.options.facing {
        Facing::FaceUp => Note::of("FACE UP: lay the blank side on the skin.", false),
        Facing::FaceDown => Note::of("FACE DOWN: lay the printed side on the skin.", true),
    };
    let agreed = match about.agreed {
        Agreement::NotAgreed => Note::of("NOT AGREED: the client has not said yes to it.", true),
        Agreement::Agreed { .. } => Note::of(about.agreement_sentence(), false),
    };
    vec![
        Note::of(format!("Print at 100 %. {}", read(gauges)), true),
        facing,
        Note::of(about.wrap_short(), !about.is_wrap_measured()),
        agreed,
        Note::of(legend(content), false),
        Note::of(CAUTIONS_SHORT, false),
    ]
}

/// What both must read, in few words.
fn read(gauges: GaugeLengths) -> String {
    if gauges.across_mm == gauges.down_mm {
        format!("Both gauges must read {:.0} mm.", gauges.across_mm)
    } else {
        format!(
            "Gauges must read {:.0} mm across, {:.0} mm down.",
            gauges.across_mm, gauges.down_mm
        )
    }
}

/// The least that a label must say beside its drawing, where whose it is and
/// whether it was agreed to stands already.
pub(crate) fn in_brief(content: &SheetContent, gauges: GaugeLengths) -> Vec<Note> {
    let about = &content.caption;
    let facing = match content.options.facing {
        Facing::FaceUp => Note::of("FACE UP: blank side on the skin.", false),
        Facing::FaceDown => Note::of("FACE DOWN: printed side on the skin.", true),
    };
    vec![
        Note::of(format!("Print at 100 %. {}", read(gauges)), true),
        facing,
        Note::of(about.wrap_short(), !about.is_wrap_measured()),
        Note::of(CAUTIONS_SHORT, false),
    ]
}
