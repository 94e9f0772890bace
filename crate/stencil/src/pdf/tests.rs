//! The PDF by its own bytes and its own letters; what other readers make of it
//! is in the tests of the whole product.

use super::*;
use crate::{Caption, Facing, Paper, SheetContent, example, lay_out};
use proptest::prelude::*;

fn with_code(code: &str) -> Pdf {
    let caption = Caption {
        code: code.to_owned(),
        ..example::caption()
    };
    let sheet = lay_out(&SheetContent {
        caption,
        ..example::content()
    });
    write_pdf(&[&sheet.unwrap()]).unwrap()
}

fn holds(pdf: &Pdf, words: &[u8]) -> bool {
    pdf.bytes.windows(words.len()).any(|w| w == words)
}

/// A4 is 595.276 x 841.890 pt, Letter 612 x 792 (ISO 32000-1: 1/72 in).
#[test]
fn the_page_is_the_paper_and_asks_for_no_scaling() {
    for (paper, size) in [
        (Paper::A4, "/MediaBox [0 0 595.2756 841.8898]"),
        (Paper::Letter, "/MediaBox [0 0 612 792]"),
    ] {
        let mut content = example::on(paper);
        content.options.facing = Facing::FaceDown;
        let sheet = lay_out(&content);
        let pdf = write_pdf(&[&sheet.unwrap()]).unwrap();
        assert!(holds(&pdf, size.as_bytes()), "{size}");
        assert!(holds(&pdf, b"/PrintScaling /None"));
    }
}

#[test]
fn the_same_sheet_is_the_same_bytes_without_a_date() {
    let pdf = with_code("K. M.");
    assert_eq!(pdf, with_code("K. M."));
    for dated in [&b"/CreationDate"[..], b"/ModDate", b"/ID"] {
        assert!(!holds(&pdf, dated));
    }
    assert!(pdf.missing.is_empty());
    assert!(pdf.bytes.len() < 120_000, "{} bytes", pdf.bytes.len());
}

#[test]
fn scripts_are_set_and_what_no_font_holds_is_told() {
    for code in ["Žofie Ł.", "Ελένη", "Наталія", "שרה", "مريم", "Անի", "ნინო"]
    {
        assert!(with_code(code).missing.is_empty(), "{code}");
    }
    assert_eq!(with_code("K 漢字").missing, ['字', '漢']);
}

/// Arabic letters change shape beside each other (Unicode Standard, 9.2):
/// the four letters of the name, joined, are not the four alone.
#[test]
fn arabic_is_joined_and_runs_backward() {
    let mut letters = Letters::new(&[]).unwrap();
    let joined = letters.line("مريم", crate::Weight::Plain).unwrap();
    let alone = letters.line("م ر ي م", crate::Weight::Plain).unwrap();
    let numbers = |line: &Line| line.letters.iter().map(|l| l.cid).collect::<Vec<_>>();
    let (joined_cids, alone_cids) = (numbers(&joined), numbers(&alone));
    assert_eq!(joined_cids.len(), 4);
    assert!(joined_cids.iter().all(|cid| *cid != 0));
    // The first letter stands last, and in its joining form.
    assert_ne!(joined_cids[3], alone_cids[6]);
    assert!(joined.length < alone.length);
}

/// Layout makes room by a cautious estimate; the letters must stay within it.
#[test]
fn lines_are_no_longer_than_the_layout_took_them_for() {
    let mut letters = Letters::new(&[]).unwrap();
    let sheet = lay_out(&example::content()).unwrap();
    for item in sheet.groups().iter().flat_map(|g| &g.items) {
        if let Mark::Words { words, weight, .. } = &item.mark {
            let length = letters.line(words, *weight).unwrap().length;
            let room = crate::lettering::width_mm(words, 1.0);
            let allowed = match weight {
                crate::Weight::Plain => room,
                crate::Weight::Bold => room * 1.1,
            };
            assert!(length <= allowed + 0.3, "{words}: {length} of {allowed}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn any_words_can_be_written(code in any::<String>()) {
        prop_assert!(with_code(&code).bytes.starts_with(b"%PDF-1.7"));
    }
}

/// Names in the scripts that the built-in letters lack, as common in the
/// countries they are from.
#[cfg(feature = "script-fonts")]
const NAMES: [&str; 16] = [
    "王小美 陳",
    "やまだ ハナコ 山田",
    "김민지",
    "สมหญิง ใจดี",
    "अनुष्का क्षत्रिय",
    "শ্রাবন্তী",
    "ਗੁਰਪ੍ਰੀਤ",
    "કૃષ્ણા",
    "ସୁପ୍ରିୟା",
    "தமிழ்ச்செல்வி",
    "లక్ష్మి",
    "ಲಕ್ಷ್ಮಿ",
    "ലക്ഷ്മി",
    "සඳුනි",
    "ស្រីមុំ",
    "ခင်ခင်",
];

#[cfg(feature = "script-fonts")]
fn with_scripts(code: &str) -> (Pdf, Vec<&'static [u8]>) {
    let mut content = example::content();
    content.caption.code = code.to_owned();
    let sheet = lay_out(&content).unwrap();
    let fonts: Vec<_> = crate::scripts_needed(&[&sheet])
        .into_iter()
        .map(crate::ScriptFont::bytes)
        .collect();
    (write_pdf_with(&[&sheet], &fonts).unwrap(), fonts)
}

#[cfg(feature = "script-fonts")]
#[test]
fn names_of_many_scripts_are_set_without_a_box() {
    for name in NAMES.into_iter().chain(["ሰላም", "ފާތިމަތު"]) {
        let (pdf, fonts) = with_scripts(name);
        assert!(pdf.missing.is_empty(), "{name}: {:?}", pdf.missing);
        assert_eq!(fonts.len(), 1, "{name}");
        // Only what is used travels along.
        assert!(pdf.bytes.len() < 150_000, "{name}: {}", pdf.bytes.len());
    }
}

/// क्ष is one letter of two consonants and a virama (Unicode Standard, 12.1),
/// and ि is set before the consonant it is written after.
#[cfg(feature = "script-fonts")]
#[test]
fn devanagari_is_joined_and_reordered() {
    let font = [crate::ScriptFont::Devanagari.bytes()];
    let mut letters = Letters::new(&font).unwrap();
    let mut cids = |words: &str| -> Vec<u16> {
        let line = letters.line(words, crate::Weight::Plain).unwrap();
        line.letters.iter().map(|l| l.cid).collect()
    };
    assert_eq!(cids("क्ष").len(), 1);
    let (ka, ki) = (cids("क"), cids("कि"));
    assert_eq!(ki.len(), 2);
    assert_eq!(ki[1], ka[0]);
}

/// The layout's estimate is on the wide side for these, too.
#[cfg(feature = "script-fonts")]
#[test]
fn names_of_many_scripts_are_no_longer_than_the_layout_took_them_for() {
    for name in NAMES {
        let (_, fonts) = with_scripts(name);
        let mut letters = Letters::new(&fonts).unwrap();
        let length = letters.line(name, crate::Weight::Plain).unwrap().length;
        let room = crate::lettering::width_mm(name, 1.0);
        assert!(length <= room + 0.01, "{name}: {length} of {room}");
    }
}

#[test]
fn a_font_that_is_none_is_refused_by_its_number() {
    let sheet = lay_out(&example::content()).unwrap();
    let good: &[u8] = include_bytes!("../../fonts/DejaVuSans.ttf");
    for bad in [&b""[..], b"no font at all", &good[..8]] {
        let why = write_pdf_with(&[&sheet], &[good, bad]).unwrap_err();
        assert!(why.to_string().starts_with("font 2 can't be used"), "{why}");
    }
}
