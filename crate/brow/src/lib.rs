//! The brow's outline: mapping, constraints, pairing.
//!
//! A brow is modelled side-neutral on the skin ([`ophryon_frames::Lateral`],
//! mm): one model serves both sides. [`BrowPoints`] are the five places an
//! artist would name; [`draw`] turns them into an [`Outline`] of cubic Béziers
//! or into a [`Conflict`] that says which points contradict each other;
//! [`constraints`] measures the finished curve; [`Pair`] puts it on both
//! sides with a measured offset.

mod conflict;
mod constraint;
mod crossing;
mod draw;
mod fair;
mod feedback;
mod form;
mod front;
mod guide;
mod hair;
mod heal;
mod inset;
mod judge;
mod leg;
mod lift;
mod limits;
mod mapping;
mod measure;
mod onto_hair;
mod outline;
mod overlap;
mod pair;
mod points;
mod propose;
mod quadratic;
mod reached;
mod remedy;
mod shore;
mod sketch;
mod standing;
mod style;
mod trace;
mod wish;

pub use conflict::{Conflict, Remedy, Way};
pub use constraint::{Constraint, Mend, Reading, Setting, Tolerance, Unit, Verdict};
pub use draw::draw;
pub use feedback::{
    Asked, Change, InTheWay, NothingLeft, Parameter, Phrase, Proposal, SMALLEST_STEP_MM,
    TOTAL_BOUNDS, Total, UnknownPhrase, answer,
};
pub use form::{Form, Front, MOST_TAIL_WISHES, SOFTEST_MM, THICKNESS_RANGE_MM, TailWish, Weights};
pub use guide::{Guide, GuidePlace, GuideSource, MOST_PLACES};
pub use hair::{HairFit, HairRegion, HairStep, hugging};
pub use heal::{
    BOLD_MM, HealError, Healing, LARGEST_SHRINK, Shrink, ShrinkBy, Stage, THIN_MM, Thickness,
    USUAL_SHRINK, healed, to_draw,
};
pub use judge::{constraints, pair_constraints};
pub use lift::{KEPT_MM, LEAST_LIFT_MM, Lifted, MOST_LIFT_MM, NoLift, lift};
pub use limits::Limits;
pub use mapping::{
    AimFrame, EyeSide, Line, MappingError, MappingLines, PeakRule, Rules, StartRule, TailRule,
};
pub use measure::{Difference, SideMeasures, differences};
pub use outline::{Brow, Outline, Part, Segment};
pub use pair::{LARGEST_OFFSET, Offset, Pair, SideConflict};
pub use points::{BrowPoints, COINCIDENT_MM, FURTHEST_MM, HEIGHT_RANGE_MM, Handle, PointError};
pub use propose::{Ear, NaturalBrow, TYPICAL_EAR_MM, propose};
pub use reached::{Closeness, Reached, WISH_MET_MM, Wished};
pub use sketch::{
    FARTHEST_SKETCH_MM, FollowedTo, LeftOut, NEAREST_START_MM, SHORTEST_SKETCH_MM, SketchError,
    Sketched, THICKEST_SKETCH_MM, WhyApart, sketch,
};
pub use standing::{NO_BEST_RULE, Published, Seen, SeenSide, Standing, StandingUnit, standing};
pub use style::{
    Band, GaveWay, LONGEST_ABOUT, LONGEST_STYLE_NAME, Leeway, MOST_TAIL_PLACES, Style, StyleError,
    StyleFront, StyleProblem, StyleSide, Styled, TailPlace,
};
