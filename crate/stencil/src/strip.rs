//! One copy of the drawing, with all that it needs when it is cut from its
//! sheet: the brows with their cut lines and centre lines, midline and level
//! line to lay it by, and a caption of its own.

use ophryon_brow::Outline;
use ophryon_frames::{Page, Point, Side, Skin};

use crate::edge::{CUT_MARGIN_MM, centre_line, cut_line};
use crate::lettering::{clean, fit, width_mm};
use crate::sheet::{Align, Group, Letters, Mark, Stroke};
use crate::{Agreement, Facing, Placing, SheetContent, SheetError, Sides};

/// The outline itself. Thin enough to cut along, thick enough for a transfer
/// machine to copy (common practice, no source), and the heaviest line of the
/// drawing.
const OUTLINE: Stroke = Stroke {
    width_mm: 0.25,
    dashes: &[],
};

/// The agreed outline where only a part of it is to be filled again.
const AGREED: Stroke = Stroke {
    width_mm: 0.12,
    dashes: &[0.8, 0.6],
};

/// Where scissors go: round each brow.
const CUT: Stroke = Stroke {
    width_mm: 0.15,
    dashes: &[1.6, 1.0],
};

/// Centre lines are long-dashed and dotted in technical drawings (ISO 128,
/// line type 04.1, from memory).
const CENTRE: Stroke = Stroke {
    width_mm: 0.12,
    dashes: &[6.0, 1.0, 0.5, 1.0],
};

/// A brow's centre line, in a shorter step: it bends.
const BROW_CENTRE: Stroke = Stroke {
    width_mm: 0.1,
    dashes: &[3.0, 0.7, 0.4, 0.7],
};

/// Marks along the lines to line up with.
const TICK: Stroke = Stroke {
    width_mm: 0.12,
    dashes: &[],
};

/// How far midline and level line run on beyond the cut lines, mm.
const BEYOND_MM: f64 = 1.5;

/// How far the level line runs across the midline where there is no brow
/// beyond it, mm.
const ACROSS_MM: f64 = 6.0;

/// From one mark to the next along midline and level line, mm.
const MARK_EVERY_MM: f64 = 10.0;

/// Below the level line: numbers, and what the lines are, mm.
const FOOT_MM: f64 = 7.4;

/// Above the midline's upper end: its name, mm.
const NAME_MM: f64 = 3.0;

/// Caption of one side: name, whose it is, warnings, mm from one base line to
/// the next and of all.
const LINE_MM: f64 = 2.75;
const CAPTION_MM: f64 = 9.2;
const CAPTION_SIZE_MM: f64 = 2.2;

/// From the midline, its marks and their numbers to the captions, mm.
const BESIDE_MIDLINE_MM: f64 = 6.5;

/// One brow with the lines that follow it.
struct Brow<'a> {
    side: Side,
    outline: &'a Outline<Skin>,
    cut: Vec<Point<Skin>>,
    centre: Vec<Point<Skin>>,
}

/// One copy of the drawing, measured.
pub(crate) struct Strip<'a> {
    content: &'a SheetContent,
    brows: Vec<Brow<'a>>,
    /// From the midline to both ends of the level line, on the page.
    left: f64,
    right: f64,
    /// From the level line to the midline's ends.
    top: f64,
    bottom: f64,
    /// Captions stand under the numbers: the brows leave no room above them.
    is_low: bool,
}

/// The groups that a strip draws into.
pub(crate) struct Layers {
    pub(crate) lining_up: Group,
    pub(crate) cut_lines: Group,
    pub(crate) brows: Group,
    pub(crate) caption: Group,
}

impl Layers {
    pub(crate) fn new() -> Self {
        Self {
            lining_up: Group::new("lining-up"),
            cut_lines: Group::new("cut-lines"),
            brows: Group::new("brows"),
            caption: Group::new("caption"),
        }
    }
}

impl<'a> Strip<'a> {
    pub(crate) fn of(content: &'a SheetContent) -> Result<Self, SheetError> {
        let sides = content.options.sides;
        let mut brows = vec![];
        for side in sides.drawn() {
            let outline = content.outlines.get(side);
            let mut places = outline.segments().iter().flat_map(|s| s.controls);
            if outline.segments().is_empty() || !places.all(Point::is_finite) {
                return Err(SheetError::NoOutline { side });
            }
            let again = content.touch_up.get(side);
            if !again.iter().flatten().all(|p| p.is_finite()) {
                return Err(SheetError::NoOutline { side });
            }
            brows.push(Brow {
                side,
                outline,
                cut: cut_line(outline),
                centre: centre_line(outline),
            });
        }
        let cut = || brows.iter().flat_map(|brow| &brow.cut);
        let top = cut().map(|p| p.y).fold(0.0, f64::max) + BEYOND_MM;
        let bottom = cut().map(|p| p.y).fold(0.0, f64::min) - BEYOND_MM;
        let reach = |way: f64| {
            let out = cut().map(|p| p.x * way).fold(0.0, f64::max);
            (out + BEYOND_MM).max(ACROSS_MM)
        };
        // As far out on both sides where both are drawn: the midline is the middle.
        let (toward_right, toward_left) = match sides {
            Sides::Both => {
                let farther = reach(-1.0).max(reach(1.0));
                (farther, farther)
            }
            Sides::Right | Sides::Left => (reach(-1.0), reach(1.0)),
        };
        let (left, right) = match content.options.facing {
            Facing::FaceUp => (toward_right, toward_left),
            Facing::FaceDown => (toward_left, toward_right),
        };
        let mut strip = Self {
            content,
            brows,
            left,
            right,
            top,
            bottom,
            is_low: false,
        };
        strip.is_low = !strip.has_room_above_level();
        Ok(strip)
    }

    /// Width of all that is drawn and written, mm.
    pub(crate) fn width_mm(&self) -> f64 {
        self.left + self.right
    }

    /// Height of the same, mm.
    pub(crate) fn height_mm(&self) -> f64 {
        let caption = if self.is_low { CAPTION_MM } else { 0.0 };
        NAME_MM + self.top - self.lower_end() + caption
    }

    /// Where the numbers along the level line end, above it, mm.
    fn lower_end(&self) -> f64 {
        self.bottom.min(-FOOT_MM)
    }

    /// Whether the captions fit between the level line and what is above.
    fn has_room_above_level(&self) -> bool {
        self.brows.iter().all(|brow| {
            let length = self.caption_length(brow.side);
            let lowest = brow
                .cut
                .iter()
                .filter(|p| p.x.abs() < BESIDE_MIDLINE_MM + length + 1.0)
                .map(|p| p.y)
                .fold(f64::INFINITY, f64::min);
            lowest > CAPTION_MM + 0.3
        })
    }

    /// Draws it with its upper left corner there; says where the skin lies.
    pub(crate) fn draw(&self, corner: Point<Page>, copy: u32, layers: &mut Layers) -> Placing {
        let placing = Placing {
            origin: Point::new(corner.x + self.left, corner.y + NAME_MM + self.top),
            facing: self.content.options.facing,
        };
        let id = |name: &str| match copy {
            1 => name.to_owned(),
            _ => format!("{name}-{copy}"),
        };
        self.line_up(&placing, &id, &mut layers.lining_up);
        for brow in &self.brows {
            let side = brow.side.name();
            let polyline = |places: &[Point<Skin>], closed: bool, stroke: Stroke| Mark::Polyline {
                places: places.iter().map(|p| placing.to_page(*p)).collect(),
                closed,
                stroke,
            };
            layers
                .cut_lines
                .draw_as(id(&format!("cut-{side}")), polyline(&brow.cut, true, CUT));
            let again = self.content.touch_up.get(brow.side);
            let agreed = if self.content.is_touch_up() {
                AGREED
            } else {
                OUTLINE
            };
            if let Some(outline) = outline(brow.outline, &placing, agreed) {
                layers.brows.draw_as(id(&format!("brow-{side}")), outline);
            }
            if !self.content.is_touch_up() {
                layers.brows.draw_as(
                    id(&format!("centre-{side}")),
                    polyline(&brow.centre, false, BROW_CENTRE),
                );
            }
            for (n, line) in again.iter().enumerate() {
                let name = format!("touch-up-{side}-{}", n + 1);
                layers
                    .brows
                    .draw_as(id(&name), polyline(line, true, OUTLINE));
            }
            self.write_caption(brow.side, &placing, &mut layers.caption);
        }
        self.write_numbers(&placing, &mut layers.caption);
        placing
    }

    /// Midline and level line with a mark every 10 mm.
    fn line_up(&self, placing: &Placing, id: &impl Fn(&str) -> String, group: &mut Group) {
        let Point { x, y, .. } = placing.origin;
        let across = |up: f64| {
            [
                Point::new(x - self.left, y - up),
                Point::new(x + self.right, y - up),
            ]
        };
        let upright = |out: f64| {
            [
                Point::new(x + out, y - self.top),
                Point::new(x + out, y - self.bottom),
            ]
        };
        let line = |ends, stroke| Mark::Lines {
            lines: vec![ends],
            stroke,
        };
        group.draw_as(id("level"), line(across(0.0), CENTRE));
        group.draw_as(id("midline"), line(upright(0.0), CENTRE));
        let mut ticks = vec![];
        let mut level_tick = |out: f64, half: f64| {
            ticks.push([Point::new(x + out, y - half), Point::new(x + out, y + half)]);
        };
        for out in marks(-self.left, self.right) {
            level_tick(out, 0.8);
        }
        // The ends, plain to see when the sheet is cut to a strip.
        level_tick(-self.left, 2.5);
        level_tick(self.right, 2.5);
        let mut midline_tick = |up: f64, half: f64| {
            ticks.push([Point::new(x - half, y - up), Point::new(x + half, y - up)]);
        };
        for up in marks(self.bottom, self.top) {
            midline_tick(up, 0.8);
        }
        midline_tick(self.bottom, 2.5);
        midline_tick(self.top, 2.5);
        group.draw(Mark::Lines {
            lines: ticks,
            stroke: TICK,
        });
    }

    /// Numbers and names along both lines. Places are mirrored with the
    /// drawing, words are not.
    fn write_numbers(&self, placing: &Placing, caption: &mut Group) {
        let Point { x, y, .. } = placing.origin;
        let number = Letters::plain(2.1).quiet();
        for out in marks(-self.left, self.right) {
            let below = Point::new(x + out, y + 3.3);
            caption.write(
                below,
                number.aligned(Align::Middle),
                format!("{:.0}", out.abs()),
            );
        }
        for up in marks(self.bottom, self.top) {
            let beside = Point::new(x + 1.5, y - up + 0.75);
            caption.write(beside, number, format!("{up:.0}"));
        }
        let top = Point::new(x, y - self.top - 1.2);
        caption.write(top, number.aligned(Align::Middle), "midline");
        let base = y + 6.6;
        let (level, unit) = ("level: the pupil line", "numbers: mm over the skin");
        match self.content.options.sides {
            Sides::Both => {
                caption.write(Point::new(x - self.left, base), number, level);
                let end = Point::new(x + self.right, base);
                caption.write(end, number.aligned(Align::End), unit);
            }
            Sides::Right | Sides::Left => {
                let (from, align) = if self.left > self.right {
                    (x - self.left, Align::Start)
                } else {
                    (x + self.right, Align::End)
                };
                let words = format!("{level}; {unit}");
                caption.write(Point::new(from, base), number.aligned(align), words);
            }
        }
    }

    /// Whose brow it is, and what must not be overlooked: once per side, so
    /// that it stays there when the sheet is cut.
    fn write_caption(&self, side: Side, placing: &Placing, caption: &mut Group) {
        let on_the_left = placing.to_page(Point::new(side.sign(), 0.0)).x < placing.origin.x;
        let (x, align) = if on_the_left {
            (placing.origin.x - BESIDE_MIDLINE_MM, Align::End)
        } else {
            (placing.origin.x + BESIDE_MIDLINE_MM, Align::Start)
        };
        let last = if self.is_low {
            placing.origin.y - self.lower_end() + CAPTION_MM - 0.6
        } else {
            placing.origin.y - 1.5
        };
        for (row, (words, letters)) in self.caption_lines(side).into_iter().rev().enumerate() {
            let base = last - LINE_MM * row as f64;
            caption.write(Point::new(x, base), letters.aligned(align), words);
        }
    }

    /// Room for a caption of one side, mm.
    fn caption_room(&self, side: Side) -> f64 {
        let is_left = (side == Side::Left) == (self.content.options.facing == Facing::FaceUp);
        let reach = if is_left { self.right } else { self.left };
        (reach - BESIDE_MIDLINE_MM).max(20.0)
    }

    fn caption_length(&self, side: Side) -> f64 {
        let lines = self.caption_lines(side).into_iter();
        lines
            .map(|(words, letters)| letters.width_mm(&words))
            .fold(0.0, f64::max)
    }

    fn caption_lines(&self, side: Side) -> [(String, Letters); 3] {
        let about = &self.content.caption;
        let room = self.caption_room(side);
        let facing = match self.content.options.facing {
            Facing::FaceUp => "",
            Facing::FaceDown => ", face down",
        };
        let name = Letters::plain(2.8).bold();
        let plain = Letters::plain(CAPTION_SIZE_MM);
        let mut whose = about.client();
        for (before, value) in [("version ", &about.version), ("", &about.fingerprint)] {
            let value = clean(value);
            if !value.is_empty() {
                let gap = if whose.is_empty() { "" } else { ", " };
                whose = format!("{whose}{gap}{before}{value}");
            }
        }
        let warned = about.agreed == Agreement::NotAgreed || !about.is_wrap_measured();
        let (state, letters) = if warned {
            // What must not be overlooked comes first: it is never cut.
            let said = [about.warnings(), about.agreed_short()];
            let said: Vec<_> = said.into_iter().filter(|s| !s.is_empty()).collect();
            (said.join(", "), plain.bold())
        } else {
            (about.agreed_short(), plain)
        };
        let fitted = |words: &str, letters: Letters| (letters.fit(words, room), letters);
        // A long value is set smaller before it is cut: a fingerprint or a seal
        // that lost its end can't be compared.
        let small = |words: &str| {
            let sizes = [CAPTION_SIZE_MM, 2.0, 1.8, 1.6, 1.4];
            let fits = |size: &f64| width_mm(words, *size) <= room;
            sizes.into_iter().find(fits).unwrap_or(1.6)
        };
        let whose_size = small(&whose);
        let letters = Letters {
            size_mm: small(&state),
            ..letters
        };
        [
            fitted(&format!("client's {}{facing}", side.name()), name),
            (fit(&whose, whose_size, room), Letters::plain(whose_size)),
            fitted(&state, letters),
        ]
    }
}

/// What the lines mean, for the notes of a sheet.
pub(crate) fn legend(content: &SheetContent) -> String {
    if content.is_touch_up() {
        let whose = match content.caption.agreed {
            Agreement::Agreed { .. } => "agreed",
            Agreement::NotAgreed => "drawn",
        };
        return format!(
            "Heavy lines: what is to be filled again. Short dashes: the {whose} outline. Long dashes: the cut line, {CUT_MARGIN_MM:.0} mm outside it."
        );
    }
    format!(
        "Heavy line: the brow. Dashes: the cut line, {CUT_MARGIN_MM:.0} mm outside it. Thin line \
         within: its centre."
    )
}

/// Exactly as it lies on the skin.
fn outline(outline: &Outline<Skin>, placing: &Placing, stroke: Stroke) -> Option<Mark> {
    let segments = outline.segments();
    let first = segments.first()?;
    Some(Mark::Outline {
        start: placing.to_page(first.controls[0]),
        cubics: segments
            .iter()
            .map(|s| {
                let [_, b, c, d] = s.controls.map(|p| placing.to_page(p));
                [b, c, d]
            })
            .collect(),
        stroke,
    })
}

/// Whole tens strictly inside a stretch, without 0.
fn marks(from: f64, to: f64) -> impl Iterator<Item = f64> {
    let mut place = (from / MARK_EVERY_MM).floor() * MARK_EVERY_MM;
    std::iter::from_fn(move || {
        place += MARK_EVERY_MM;
        (place < to - 2.0).then_some(place)
    })
    .filter(move |place| *place != 0.0 && *place > from + 2.0)
}
