//! What fingers, pen and mouse mean while the hand draws on the face.
//!
//! One of them draws; two fingers that come down together move and enlarge
//! the photo. A palm that comes to rest meanwhile, or a second hand, is not
//! seen. Once a pen has drawn, fingers only move the photo, so that the hand
//! that holds the pen may rest on the glass.

use super::sight::Spot;

/// Two fingers that come down within this belong together, ms.
const TOGETHER_MS: f64 = 300.0;

/// A finger that has drawn farther than this alone goes on drawing, CSS px.
const DRAWN: f64 = 24.0;

/// What draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tool {
    /// A finger, or a palm.
    Finger,
    /// A pen.
    Pen,
    /// A mouse, or anything else with a button.
    Mouse,
}

/// What one finger does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Fingers {
    /// It draws.
    #[default]
    Draw,
    /// It moves the photo; the pen draws.
    Move,
}

/// What a tool that comes down is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// Drawing.
    Draw,
    /// Moving the photo, as the middle button does.
    Move,
}

/// What is to be done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Act {
    /// A stroke begins.
    Begin(Spot),
    /// It goes on to there.
    On(Spot),
    /// It is done.
    End,
    /// It never was.
    CallOff,
    /// Move the photo by so much.
    Pan(f64, f64),
    /// Two fingers went from the one pair of places to the other.
    Pinch([Spot; 2], [Spot; 2]),
}

/// One that is down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Down {
    /// The browser's number for it.
    pub id: i32,
    /// What it is.
    pub tool: Tool,
    /// When it came down, ms.
    pub at_ms: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Default)]
enum Doing {
    #[default]
    Nothing,
    Draw {
        by: Down,
        gone: f64,
    },
    Pan,
    Pinch,
    /// Fingers left over from a pinch.
    Spent,
}

/// Those that count, and what they are doing.
#[derive(Debug, Clone, Default)]
pub struct Drawing {
    counted: Vec<(i32, Spot)>,
    doing: Doing,
}

impl Drawing {
    /// One comes down.
    pub fn down(&mut self, by: Down, at: Spot, purpose: Purpose, fingers: Fingers) -> Vec<Act> {
        self.counted.retain(|(id, _)| *id != by.id);
        let draws =
            purpose == Purpose::Draw && (by.tool != Tool::Finger || fingers == Fingers::Draw);
        match self.doing {
            Doing::Draw { by: first, gone } => {
                if by.tool == Tool::Pen && first.tool == Tool::Finger {
                    // The finger was the hand that holds the pen.
                    self.counted = vec![(by.id, at)];
                    self.doing = Doing::Draw { by, gone: 0.0 };
                    return vec![Act::CallOff, Act::Begin(at)];
                }
                let together = by.tool == Tool::Finger
                    && first.tool == Tool::Finger
                    && by.at_ms - first.at_ms <= TOGETHER_MS
                    && gone <= DRAWN;
                if !together {
                    return vec![];
                }
                self.counted.push((by.id, at));
                self.doing = Doing::Pinch;
                vec![Act::CallOff]
            }
            Doing::Nothing | Doing::Pan | Doing::Pinch | Doing::Spent
                if draws && (by.tool == Tool::Pen || self.counted.is_empty()) =>
            {
                self.counted = vec![(by.id, at)];
                self.doing = Doing::Draw { by, gone: 0.0 };
                vec![Act::Begin(at)]
            }
            _ => {
                self.counted.push((by.id, at));
                self.doing = match self.counted.len() {
                    1 => Doing::Pan,
                    2 => Doing::Pinch,
                    _ => Doing::Spent,
                };
                vec![]
            }
        }
    }

    /// One that is down moves.
    pub fn moved(&mut self, id: i32, to: Spot) -> Vec<Act> {
        let before = self.counted.clone();
        let Some(own) = self.counted.iter_mut().find(|(i, _)| *i == id) else {
            return vec![];
        };
        let from = std::mem::replace(&mut own.1, to);
        match &mut self.doing {
            Doing::Draw { gone, .. } => {
                *gone += from.distance(to);
                vec![Act::On(to)]
            }
            Doing::Pan => vec![Act::Pan(to.x - from.x, to.y - from.y)],
            Doing::Pinch => match (&before[..], &self.counted[..]) {
                ([a, b], [c, d]) => vec![Act::Pinch([a.1, b.1], [c.1, d.1])],
                _ => vec![],
            },
            Doing::Nothing | Doing::Spent => vec![],
        }
    }

    /// One goes up.
    pub fn up(&mut self, id: i32) -> Vec<Act> {
        if self.leaves(id) {
            vec![Act::End]
        } else {
            vec![]
        }
    }

    /// The browser took one away. A finger's stroke never was: it was a palm,
    /// or a gesture of the system. A pen's or a mouse's stays as far as it got.
    pub fn lost(&mut self, id: i32) -> Vec<Act> {
        let by_finger = matches!(self.doing, Doing::Draw { by, .. } if by.tool == Tool::Finger);
        match (self.leaves(id), by_finger) {
            (true, true) => vec![Act::CallOff],
            (true, false) => vec![Act::End],
            (false, _) => vec![],
        }
    }

    /// Takes one away; whether it was the one that drew.
    fn leaves(&mut self, id: i32) -> bool {
        let was_counted = self.counted.iter().any(|(i, _)| *i == id);
        if !was_counted {
            return false;
        }
        self.counted.retain(|(i, _)| *i != id);
        let drew = matches!(self.doing, Doing::Draw { by, .. } if by.id == id);
        self.doing = match self.doing {
            _ if self.counted.is_empty() => Doing::Nothing,
            Doing::Pinch => Doing::Spent,
            other => other,
        };
        drew
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const A: Spot = Spot::new(100.0, 100.0);
    const B: Spot = Spot::new(140.0, 100.0);

    fn by(id: i32, tool: Tool, at_ms: f64) -> Down {
        Down { id, tool, at_ms }
    }

    fn down(d: &mut Drawing, id: i32, tool: Tool, at_ms: f64, at: Spot) -> Vec<Act> {
        d.down(by(id, tool, at_ms), at, Purpose::Draw, Fingers::Draw)
    }

    #[test]
    fn each_of_them_draws_alone() {
        for tool in [Tool::Finger, Tool::Pen, Tool::Mouse] {
            let mut drawing = Drawing::default();
            assert_eq!(down(&mut drawing, 1, tool, 0.0, A), [Act::Begin(A)]);
            assert_eq!(drawing.moved(1, B), [Act::On(B)]);
            assert_eq!(drawing.up(1), [Act::End]);
        }
    }

    #[test]
    fn two_fingers_together_move_the_photo_and_leave_no_stroke() {
        let mut drawing = Drawing::default();
        down(&mut drawing, 1, Tool::Finger, 0.0, A);
        assert_eq!(
            down(&mut drawing, 2, Tool::Finger, 120.0, B),
            [Act::CallOff]
        );
        let c = Spot::new(180.0, 100.0);
        assert_eq!(drawing.moved(2, c), [Act::Pinch([A, B], [A, c])]);
        assert_eq!(drawing.up(2), []);
        // The finger left over draws nothing.
        assert_eq!(drawing.moved(1, B), []);
        assert_eq!(drawing.up(1), []);
        assert_eq!(
            down(&mut drawing, 3, Tool::Finger, 900.0, A),
            [Act::Begin(A)]
        );
    }

    #[test]
    fn a_palm_that_comes_later_spoils_nothing() {
        for tool in [Tool::Finger, Tool::Pen, Tool::Mouse] {
            let mut drawing = Drawing::default();
            down(&mut drawing, 1, tool, 0.0, A);
            drawing.moved(1, B);
            assert_eq!(down(&mut drawing, 2, Tool::Finger, 200.0, A), []);
            assert_eq!(drawing.moved(2, B), []);
            assert_eq!(drawing.moved(1, A), [Act::On(A)]);
            assert_eq!(drawing.up(2), []);
            assert_eq!(drawing.up(1), [Act::End]);
        }
    }

    #[test]
    fn a_palm_before_the_pen_gives_way_to_it() {
        let mut drawing = Drawing::default();
        down(&mut drawing, 1, Tool::Finger, 0.0, A);
        let acts = down(&mut drawing, 2, Tool::Pen, 100.0, B);
        assert_eq!(acts, [Act::CallOff, Act::Begin(B)]);
        assert_eq!(drawing.moved(1, B), []);
        assert_eq!(drawing.moved(2, A), [Act::On(A)]);
        assert_eq!(drawing.lost(1), []);
        assert_eq!(drawing.up(2), [Act::End]);
    }

    #[test]
    fn beside_a_pen_fingers_only_move_the_photo() {
        let mut drawing = Drawing::default();
        let finger = by(1, Tool::Finger, 0.0);
        assert_eq!(drawing.down(finger, A, Purpose::Draw, Fingers::Move), []);
        assert_eq!(drawing.moved(1, B), [Act::Pan(40.0, 0.0)]);
        // The pen draws all the same.
        let pen = by(2, Tool::Pen, 50.0);
        let acts = drawing.down(pen, A, Purpose::Draw, Fingers::Move);
        assert_eq!(acts, [Act::Begin(A)]);
        assert_eq!(drawing.moved(1, A), []);
        assert_eq!(drawing.up(2), [Act::End]);
    }

    #[test]
    fn the_middle_button_moves_the_photo() {
        let mut drawing = Drawing::default();
        let mouse = by(1, Tool::Mouse, 0.0);
        assert_eq!(drawing.down(mouse, A, Purpose::Move, Fingers::Draw), []);
        assert_eq!(drawing.moved(1, B), [Act::Pan(40.0, 0.0)]);
        assert_eq!(drawing.up(1), []);
    }

    #[test]
    fn what_the_browser_takes_away_is_kept_only_from_pen_and_mouse() {
        for (tool, act) in [
            (Tool::Finger, Act::CallOff),
            (Tool::Pen, Act::End),
            (Tool::Mouse, Act::End),
        ] {
            let mut drawing = Drawing::default();
            down(&mut drawing, 1, tool, 0.0, A);
            drawing.moved(1, B);
            assert_eq!(drawing.lost(1), [act]);
            assert_eq!(drawing.up(1), []);
        }
    }
}
