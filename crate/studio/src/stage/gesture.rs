//! What fingers, pen and mouse on the stage mean.
//!
//! One finger on a point drags it; on empty ground it aims while something is
//! asked for, and moves the photo otherwise. Two fingers zoom and move the
//! photo, and call off whatever one of them had begun.

use super::sight::Spot;

/// Movement below this is still a tap, CSS px: a finger is never quite still.
const STILL: f64 = 5.0;

/// More than this from one message to the next is a quick movement, CSS px.
const QUICK: f64 = 10.0;

/// What lies under a finger that comes down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Under {
    /// A point that can be dragged, and how far its middle is from the finger.
    Point {
        /// Middle of the point less the finger, x.
        dx: f64,
        /// Middle of the point less the finger, y.
        dy: f64,
    },
    /// Ground, while a tap is asked for.
    Asked {
        /// How far the aim goes for a small movement of the finger: below 1
        /// where the photo is seen small, so that a pixel can still be hit.
        gain: f64,
    },
    /// Ground, or a button that means "move the photo".
    Ground,
}

/// What the stage has to do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Act {
    /// Choose the point that the finger came down on.
    Choose,
    /// Show the point being dragged to there.
    Drag(Spot),
    /// The dragged point stays where it was last shown.
    Drop,
    /// Aim there, with the finger at the second place.
    Aim(Spot),
    /// The answer is there.
    Answer(Spot),
    /// Move the photo by so much.
    Pan(f64, f64),
    /// Two fingers went from the one pair of places to the other.
    Pinch([Spot; 2], [Spot; 2]),
    /// Ground was tapped while nothing was asked for.
    TapGround,
    /// Whatever was begun is called off.
    CallOff,
}

#[derive(Debug, Clone, Copy, PartialEq, Default)]
enum Doing {
    #[default]
    Nothing,
    Press {
        dx: f64,
        dy: f64,
    },
    Drag {
        dx: f64,
        dy: f64,
    },
    Aim {
        at: Spot,
        gain: f64,
    },
    MayPan,
    Pan,
    Pinch,
    /// Fingers left over from a pinch.
    Spent,
}

/// The fingers that are down, and what they are doing.
#[derive(Debug, Clone, Default)]
pub struct Gesture {
    fingers: Vec<(i32, Spot)>,
    came_down: Spot,
    doing: Doing,
}

impl Gesture {
    /// A finger (or button) comes down.
    pub fn down(&mut self, finger: i32, at: Spot, under: Under) -> Vec<Act> {
        self.fingers.retain(|(id, _)| *id != finger);
        self.fingers.push((finger, at));
        if self.fingers.len() > 1 {
            let begun = !matches!(self.doing, Doing::Pinch | Doing::Spent);
            self.doing = if self.fingers.len() == 2 {
                Doing::Pinch
            } else {
                Doing::Spent
            };
            return if begun { vec![Act::CallOff] } else { vec![] };
        }
        self.came_down = at;
        match under {
            Under::Point { dx, dy } => {
                self.doing = Doing::Press { dx, dy };
                vec![Act::Choose]
            }
            Under::Asked { gain } => {
                self.doing = Doing::Aim { at, gain };
                vec![Act::Aim(at)]
            }
            Under::Ground => {
                self.doing = Doing::MayPan;
                vec![]
            }
        }
    }

    /// A finger that is down moves.
    pub fn moved(&mut self, finger: i32, to: Spot) -> Vec<Act> {
        let before = self.fingers.clone();
        let Some(own) = self.fingers.iter_mut().find(|(id, _)| *id == finger) else {
            return vec![];
        };
        let from = own.1;
        own.1 = to;
        let far = self.came_down.distance(to) >= STILL;
        match self.doing {
            Doing::Press { dx, dy } if far => {
                self.doing = Doing::Drag { dx, dy };
                vec![Act::Drag(Spot::new(to.x + dx, to.y + dy))]
            }
            Doing::Drag { dx, dy } => vec![Act::Drag(Spot::new(to.x + dx, to.y + dy))],
            Doing::Aim { at, gain } => {
                // A quick movement goes all the way, a slow one is a correction.
                let now = if from.distance(to) > QUICK { 1.0 } else { gain };
                let at = Spot::new(at.x + now * (to.x - from.x), at.y + now * (to.y - from.y));
                self.doing = Doing::Aim { at, gain };
                vec![Act::Aim(at)]
            }
            Doing::MayPan if far => {
                self.doing = Doing::Pan;
                vec![Act::Pan(to.x - self.came_down.x, to.y - self.came_down.y)]
            }
            Doing::Pan => vec![Act::Pan(to.x - from.x, to.y - from.y)],
            Doing::Pinch => match (&before[..], &self.fingers[..]) {
                ([a, b], [c, d]) => vec![Act::Pinch([a.1, b.1], [c.1, d.1])],
                _ => vec![],
            },
            _ => vec![],
        }
    }

    /// A finger goes up.
    pub fn up(&mut self, finger: i32) -> Vec<Act> {
        let was_down = self.fingers.iter().any(|(id, _)| *id == finger);
        self.fingers.retain(|(id, _)| *id != finger);
        if !was_down {
            return vec![];
        }
        let doing = self.doing;
        self.doing = match doing {
            _ if self.fingers.is_empty() => Doing::Nothing,
            Doing::Pinch => Doing::Spent,
            other => other,
        };
        match doing {
            Doing::Drag { .. } => vec![Act::Drop],
            Doing::Aim { at, .. } => vec![Act::Answer(at)],
            Doing::MayPan => vec![Act::TapGround],
            _ => vec![],
        }
    }

    /// The browser took the finger away: nothing it began counts.
    pub fn lost(&mut self, finger: i32) -> Vec<Act> {
        self.fingers.retain(|(id, _)| *id != finger);
        let begun = matches!(
            self.doing,
            Doing::Press { .. } | Doing::Drag { .. } | Doing::Aim { .. }
        );
        self.doing = if self.fingers.is_empty() {
            Doing::Nothing
        } else {
            Doing::Spent
        };
        if begun { vec![Act::CallOff] } else { vec![] }
    }

    /// Whether any finger is down.
    pub fn is_down(&self) -> bool {
        !self.fingers.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const A: Spot = Spot::new(100.0, 100.0);
    const B: Spot = Spot::new(140.0, 100.0);
    const ASKED: Under = Under::Asked { gain: 1.0 };
    const POINT: Under = Under::Point { dx: 3.0, dy: -2.0 };

    #[test]
    fn a_tap_answers_where_the_finger_was_lifted() {
        let mut gesture = Gesture::default();
        assert_eq!(gesture.down(1, A, ASKED), [Act::Aim(A)]);
        assert_eq!(gesture.moved(1, B), [Act::Aim(B)]);
        assert_eq!(gesture.up(1), [Act::Answer(B)]);
    }

    #[test]
    fn a_slow_correction_goes_less_far_than_the_finger_and_a_quick_one_all_the_way() {
        let mut gesture = Gesture::default();
        gesture.down(1, A, Under::Asked { gain: 0.25 });
        let near = Spot::new(104.0, 100.0);
        assert_eq!(gesture.moved(1, near), [Act::Aim(Spot::new(101.0, 100.0))]);
        let far = Spot::new(144.0, 100.0);
        assert_eq!(gesture.moved(1, far), [Act::Aim(Spot::new(141.0, 100.0))]);
        assert_eq!(gesture.up(1), [Act::Answer(Spot::new(141.0, 100.0))]);
    }

    #[test]
    fn a_point_is_dragged_without_jumping_under_the_finger() {
        let mut gesture = Gesture::default();
        assert_eq!(gesture.down(1, A, POINT), [Act::Choose]);
        assert_eq!(gesture.moved(1, Spot::new(102.0, 101.0)), []);
        assert_eq!(gesture.moved(1, B), [Act::Drag(Spot::new(143.0, 98.0))]);
        assert_eq!(gesture.up(1), [Act::Drop]);
    }

    #[test]
    fn touching_a_point_without_moving_changes_nothing() {
        let mut gesture = Gesture::default();
        gesture.down(1, A, POINT);
        assert_eq!(gesture.up(1), []);
    }

    #[test]
    fn a_second_finger_calls_off_the_first_and_leaves_no_tap_behind() {
        for under in [POINT, ASKED, Under::Ground] {
            let mut gesture = Gesture::default();
            gesture.down(1, A, under);
            assert_eq!(gesture.down(2, B, under), [Act::CallOff]);
            let c = Spot::new(180.0, 100.0);
            assert_eq!(gesture.moved(2, c), [Act::Pinch([A, B], [A, c])]);
            assert_eq!(gesture.up(2), []);
            assert_eq!(gesture.moved(1, B), []);
            assert_eq!(gesture.up(1), []);
            // And the next finger begins anew.
            assert_eq!(gesture.down(3, A, ASKED), [Act::Aim(A)]);
        }
    }

    #[test]
    fn ground_is_panned_when_nothing_is_asked() {
        let mut gesture = Gesture::default();
        gesture.down(1, A, Under::Ground);
        assert_eq!(gesture.moved(1, B), [Act::Pan(40.0, 0.0)]);
        assert!(gesture.is_down());
        assert_eq!(gesture.moved(1, A), [Act::Pan(-40.0, 0.0)]);
        assert_eq!(gesture.up(1), []);
        gesture.down(1, A, Under::Ground);
        assert_eq!(gesture.up(1), [Act::TapGround]);
    }

    #[test]
    fn a_finger_the_browser_takes_away_leaves_no_trace() {
        let mut gesture = Gesture::default();
        gesture.down(1, A, POINT);
        gesture.moved(1, B);
        assert_eq!(gesture.lost(1), [Act::CallOff]);
        assert_eq!(gesture.up(1), []);
    }
}
