//! A client's file: photos, landmarks, shape, and every change as an edit.
//!
//! Pure: no browser, no files, no clock. The app and the command line read
//! everything they show from here, so that both show the same millimetres.
//!
//! | to | use |
//! |---|---|
//! | begin, read, write a file | [`Record::new`], [`Record::from_json`], [`Record::to_json`] |
//! | change it | [`Edit`], [`apply`], [`History`] |
//! | see what changed, go back | [`Record::changes_since`], [`History::bring_back`] |
//! | see what the photo says | [`Record::levelled`], [`Record::measured`] |
//! | compare the brows at rest and in use | [`Record::balance`], [`Record::balance_asks`] |
//! | see the shape | [`Record::proposal`], [`Record::drawn`] |
//! | take a sketch into it | [`Strokes`], [`Record::sketched`], [`SketchedShape::edit`] |
//! | keep it beside others, compare them | [`Edit::Variant`], [`Variant`], [`Record::compare`] |
//! | see what stays of it once healed | [`Drawn::healed`], [`Drawn::to_draw`] |
//! | ask the client, keep her yes | [`Consent`], [`Record::agree`], [`Record::agreed`] |
//! | ask her on another device | [`Record::invite`], [`Invitation`], [`Record::take_answer`] |
//! | draw a style on it | [`built_in_styles`], [`Styles`], [`Record::styled`], [`StyledShape::edit`] |
//! | answer what the client says | [`Record::feedback`], [`feedback_edit`] |
//! | log a visit, look at its supplies | [`Edit::Visit`], [`Visit::warnings`], [`Record::visit_log`] |
//! | offer supplies again, put a visit on paper | [`Record::offered`], [`Record::visit_sheet`] |
//! | learn from healed checks | [`HealedCheck`], [`Record::healed_checks`], [`learn`] |
//! | put it on paper | [`Record::papers`], [`Record::report`] |
//! | put an agreement on paper | [`Record::agreement_papers`], [`FacePictures`] |

mod agreement_paper;
mod asking;
mod balance;
mod balance_ask;
mod certainty;
mod changes;
mod client;
mod compare;
mod consent;
mod curve;
mod drawn;
mod edit;
mod edit_error;
mod erase;
mod feedback;
mod fingerprint;
mod healed;
mod healed_photo;
mod height_line;
mod history;
mod identity;
mod json;
mod learned;
mod learned_line;
mod lines;
mod photo;
mod plan_choice;
mod plan_report;
mod printers;
mod problem;
mod read;
mod readings;
mod report;
mod shape_report;
mod sheet;
mod sketched;
mod sketched_breaks;
mod sketched_over;
mod study;
mod study_error;
mod styles;
mod to_hair;
mod variants;
mod visits;
mod wrap_choice;

pub use agreement_paper::{AgreementPaperError, FacePictures};
pub use balance::{AlignmentReport, Balance, BalanceRow};
pub use balance_ask::BalanceAsk;
pub use certainty::{AngleReport, Certainty, Measure, NumberReport, ReferenceReport};
pub use client::{Client, Record, SCHEMA};
pub use compare::{ComparedSide, PRESENT, VariantNumbers};
pub use consent::{
    AgreedDrawing, AgreedShape, AgreedState, Agreement, Answer, AnswerError, Changed, Consent,
    ConsentEdit, ConsentError, Invitation, InviteError, Invited, LONGEST_SEALED, MOST_AGREEMENTS,
    MOST_CIRCLE_POINTS, MOST_CIRCLES, MOST_INVITATIONS, MOST_REMARKS, Opinion, Remark, Reply,
    SEALED_SCHEMA, SealBroken, Sealed, Signed, Whereabouts, WhyNot,
};
pub use curve::{Curve, CurveBasis, TAPE_SD_MM, TapeCheck, TapeVerdict};
pub use drawn::{Drawn, HandlePlace, ShapeSource};
pub use edit::{Edit, apply};
pub use edit_error::EditError;
pub use erase::Erased;
pub use feedback::{Answers, FeedbackError, feedback_edit};
pub use healed::{HealedSide, StageNumbers};
pub use healed_photo::{
    CheckedSide, EvenRow, HealedOutcome, LaidOver, LaidShape, Missing, MissingPart, NotLaid,
    WayKept,
};
pub use height_line::HeightLine;
pub use history::History;
pub use learned::{FEWEST_CHECKS, Learned, Lesson, Lessons, OwnFigure, learn};
pub use learned_line::checks_of_line;
pub use lines::{DrawnLine, LineKind};
pub use ophryon_agreement::Day;
pub use ophryon_face::{
    BrowPlace, FaceState, Moved, NOTICE_SOURCES, NothingToCorrect, Notice, PlanStop, StateVerdict,
};
pub use photo::{Image, Optics, Photo, PhotoState, Snap};
pub use plan_choice::{PlanChoice, PlanDecision, PlanWay, USUAL_BEYOND_HAIR_MM, USUAL_SHARE};
pub use plan_report::{PlanReport, PlanRow};
pub use printers::{Gauges, PrinterError, Printers};
pub use problem::Problem;
pub use read::{LARGEST_FILE, ReadError};
pub use report::{
    CheckReport, CubicReport, Extents, FaceReport, Head, Length, MappingReport, MeasureReport,
    PointReport, ReadingsReport, Report,
};
pub use shape_report::{HealedReport, StandingReport, WayReport};
pub use sheet::{PaperError, Papers};
pub use sketched::{SketchedError, SketchedShape, Strokes};
pub use sketched_breaks::Broken;
pub use sketched_over::SketchedOver;
pub use study::{Levelled, Measured, NaturalDifference};
pub use study_error::StudyError;
pub use styles::{
    Imported, LARGEST_STYLES_FILE, LeftOut, MOST_STYLES, StyledError, StyledShape, Styles,
    StylesError, built_in_styles,
};
pub use to_hair::{NotToHair, ToHair};
pub use variants::{MOST_VARIANTS, Variant, VariantEdit};
pub use visits::{
    AtHand, BrowZones, EachAtHand, HealedCheck, Kept, MOST_PASSES, MOST_SECONDS, MOST_SUPPLIES,
    MOST_VISITS, MeasuredShare, NEXT_VISIT_WEEKS, NO_ADVICE, NextVisit, STRETCHING, SkinAnswer,
    SkinType, Supply, SupplyDraft, SupplyKind, SupplyShelf, Visit, VisitChange, VisitEdit,
    VisitError, VisitKind, VisitSheetOptions, VisitWarning, Zone, ZoneTimer, ZoneTimers, ZoneWork,
    Zones, ZonesDrawn, clock_words,
};
pub use wrap_choice::{TapeLine, Tapes, WrapChoice};
