//! The app's own drawings, 24 units square, in strokes.

use crate::markup::{El, svg};

/// A small drawing beside or instead of a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drawing {
    /// Back in the history.
    Undo,
    /// Forward in the history.
    Redo,
    /// The face without drawing.
    Bare,
    /// Nearer.
    Nearer,
    /// Farther.
    Farther,
    /// The whole photo.
    Whole,
    /// Arrow up.
    Up,
    /// Arrow down.
    Down,
    /// Arrow left.
    Left,
    /// Arrow right.
    Right,
    /// A photo.
    Photo,
    /// A camera.
    Camera,
    /// A file.
    File,
    /// The list of clients.
    Clients,
    /// A card.
    Card,
    /// A ruler.
    Ruler,
    /// A round sticker.
    Sticker,
    /// A coin.
    Coin,
    /// A caliper.
    Caliper,
    /// An iris.
    Iris,
    /// Sides that go together.
    Linked,
    /// Sides that go their own ways.
    Apart,
    /// More room for the panel.
    Taller,
    /// Less room for the panel.
    Smaller,
    /// Takes the last sign away.
    Erase,
    /// A printer.
    Printer,
    /// On to what is behind a row.
    Onward,
}

impl Drawing {
    const fn path(self) -> &'static str {
        match self {
            Self::Undo => "M8.5 5 4 9.500l4.500 4.500M4.500 9.500H14a5.500 5.500 0 0 1 0 11h-3",
            Self::Redo => "M15.500 5 20 9.500 15.500 14M19.500 9.500H10a5.500 5.500 0 0 0 0 11h3",
            Self::Bare => {
                "M12 3.500c4 0 6.500 3 6.500 7.500 0 5-3 9.500-6.500 9.500S5.500 16 5.500 11c0-4.500 2.500-7.500 6.500-7.500ZM8.500 11.500h2M13.500 11.500h2M10.500 16.500h3"
            }
            Self::Nearer => "M12 5v14M5 12h14",
            Self::Farther => "M5 12h14",
            Self::Whole => "M4 9V4h5M20 9V4h-5M4 15v5h5M20 15v5h-5",
            Self::Up => "M12 19V5M6 11l6-6 6 6",
            Self::Down => "M12 5v14M6 13l6 6 6-6",
            Self::Left => "M19 12H5M11 6l-6 6 6 6",
            Self::Right => "M5 12h14M13 6l6 6-6 6",
            Self::Photo => "M4 5.500h16v13H4ZM4 15.500l4.500-4.500 4 4 2.500-2 5 4M15.500 9.300v.1",
            Self::Camera => {
                "M4 8h4l1.500-2.500h5L16 8h4v11H4ZM12 10a3.300 3.300 0 1 1 0 6.600A3.300 3.300 0 0 1 12 10Z"
            }
            Self::File => "M6 3.500h8L18.500 8v12.500H6ZM13.500 3.500V8.500h5M9 13h6M9 16.500h6",
            Self::Clients => "M4 7h2M9 7h11M4 12h2M9 12h11M4 17h2M9 17h11",
            Self::Card => "M3.500 6.500h17v11h-17ZM3.500 10h17M6.500 14.500h4",
            Self::Ruler => "M3 9h18v6.500H3ZM6.600 9v3M10.200 9v2M13.800 9v3M17.400 9v2",
            Self::Sticker => {
                "M12 4.500a7.500 7.500 0 1 1 0 15 7.500 7.500 0 0 1 0-15ZM7 12h10M8.700 10.200 7 12l1.700 1.800M15.300 10.200 17 12l-1.700 1.800"
            }
            Self::Coin => {
                "M12 4.500a7.500 7.500 0 1 1 0 15 7.500 7.500 0 0 1 0-15ZM12 7.300a4.700 4.700 0 1 1 0 9.400 4.700 4.700 0 0 1 0-9.400Z"
            }
            Self::Caliper => "M4 5h16v3.500H4ZM5 8.500v9l3-3v-6M15 8.500v6l-3 3v-9",
            Self::Iris => {
                "M2.500 12C6 7.500 9 6 12 6s6 1.500 9.500 6C18 16.500 15 18 12 18s-6-1.500-9.500-6ZM12 8.500a3.500 3.500 0 1 1 0 7 3.500 3.500 0 0 1 0-7Z"
            }
            Self::Linked => {
                "M3 14.500C5 11 7.500 9.500 10.500 10.500M21 14.500C19 11 16.500 9.500 13.500 10.500M12 4v16M8.500 18.500h7"
            }
            Self::Apart => {
                "M3 14.500C5 11 7.500 9.500 10 10.500M21 11.500C19 8 16.500 6.500 14 7.500M12 4v2.500M12 10v2.500M12 16v2.500"
            }
            Self::Taller => "M6 14l6-6 6 6",
            Self::Smaller => "M6 10l6 6 6-6",
            Self::Erase => "M9 5.500h11v13H9L3.500 12ZM12.500 9.500l4.500 5M17 9.500l-4.500 5",
            Self::Printer => "M7 9V3.500h10V9M7 17H4V9h16v8h-3M7 14h10v6.500H7Z",
            Self::Onward => "M9.500 5.500 16 12l-6.500 6.500",
        }
    }
}

/// A drawing; decoration, so words stand beside it or in a label.
pub fn icon(of: Drawing) -> El {
    drawn("icon", "0 0 24 24", of.path())
}

/// One path in a box of its own.
pub fn drawn(class: &'static str, view_box: &'static str, path: &'static str) -> El {
    svg("svg")
        .at("class", class)
        .at("viewBox", view_box)
        .decoration()
        .put(svg("path").at("d", path))
}
