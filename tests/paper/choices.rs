//! Every way to put a stencil on paper, and a sample of them for every day.

use anyhow::Result;
use ophryon_stencil::{Facing, Paper, Sheet, SheetContent, SheetOptions, Sides, lay_out};

use crate::content;

/// A sheet with what it was made of.
pub struct Choice {
    pub content: SheetContent,
    pub sheet: Sheet,
}

impl Choice {
    pub fn of(options: SheetOptions) -> Result<Self> {
        let mut content = content(options.paper, options.facing)?;
        content.options = options;
        let sheet = lay_out(&content)?;
        Ok(Self { content, sheet })
    }

    /// For the message of a failing test.
    pub fn name(&self) -> String {
        format!("{:?}", self.content.options)
    }
}

const FACINGS: [Facing; 2] = [Facing::FaceUp, Facing::FaceDown];

/// All that fit: with one copy, and with as many as there is room for.
pub fn all() -> Result<Vec<Choice>> {
    let mut all = vec![];
    for paper in Paper::ALL {
        for sides in Sides::ALL {
            for facing in FACINGS {
                let one = SheetOptions {
                    paper,
                    sides,
                    facing,
                    ..SheetOptions::default()
                };
                let mut content = content(paper, facing)?;
                content.options = one;
                let most = ophryon_stencil::most_copies(&content)?;
                for copies in [1, most] {
                    if copies <= most && (copies == 1 || most > 1) {
                        all.push(Choice::of(SheetOptions { copies, ..one })?);
                    }
                }
            }
        }
    }
    Ok(all)
}

/// Every paper once, with every other choice among them.
pub fn sample() -> Result<Vec<Choice>> {
    use Facing::{FaceDown, FaceUp};
    use Sides::{Both, Left, Right};
    [
        (Paper::A4, Both, 1, FaceUp),
        (Paper::A4, Both, 1, FaceDown),
        (Paper::A4, Right, 6, FaceUp),
        (Paper::Letter, Both, 3, FaceDown),
        (Paper::Letter, Both, 1, FaceUp),
        (Paper::A5, Left, 2, FaceDown),
        (Paper::A6, Both, 1, FaceUp),
        (Paper::Label100x150, Both, 1, FaceDown),
        (Paper::Label4x6In, Right, 2, FaceDown),
        (Paper::Roll62x150, Left, 1, FaceUp),
    ]
    .into_iter()
    .map(|(paper, sides, copies, facing)| {
        Choice::of(SheetOptions {
            paper,
            sides,
            copies,
            facing,
            with_name: false,
        })
    })
    .collect()
}
