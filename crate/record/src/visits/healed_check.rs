//! What healed, in numbers. How they are measured is not told here.

use ophryon_frames::Sided;
use serde::{Deserialize, Serialize};

/// Largest share of area or thickness that can be kept: beyond 1 because
/// lines can spread as they heal, and because measuring is not exact.
pub(crate) const MOST_KEPT: f64 = 1.5;
/// Least and most standard uncertainty of a share: nobody measures skin to a
/// thousandth, and half says nothing any more.
pub(crate) const LEAST_SHARE_SD: f64 = 0.001;
pub(crate) const MOST_SHARE_SD: f64 = 0.5;

/// A share with how sure it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct MeasuredShare {
    /// 1 is all of it.
    pub share: f64,
    /// Standard uncertainty (JCGM 100:2008) of the share.
    pub sd: f64,
}

impl MeasuredShare {
    /// What can't be used, in words.
    pub(super) fn problem(self, most: f64) -> Option<String> {
        if !(0.0..=most).contains(&self.share) {
            return Some(format!(
                "{} is no share here; it lies between 0 and {most}, 1 being all of it",
                self.share
            ));
        }
        let (least, most) = (LEAST_SHARE_SD, MOST_SHARE_SD);
        (!(least..=most).contains(&self.sd)).then(|| {
            format!(
                "{} is no standard uncertainty of a share; it lies between {least} and {most}",
                self.sd
            )
        })
    }
}

/// What was kept of one brow, against what was drawn.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Kept {
    /// Of the area.
    pub area: MeasuredShare,
    /// Of the thickness of the body.
    pub thickness: MeasuredShare,
    /// Share of the colour's darkness that went, where it was measured; 0 is
    /// as dark as on the day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lightening: Option<MeasuredShare>,
    /// How much darker than the skin round it the brow is, where it was
    /// measured; 0 is as light as the skin. Between two checks it says how much
    /// lighter the colour became.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub darkness: Option<MeasuredShare>,
}

impl Kept {
    /// Every field that can't be used, with a sentence.
    pub(super) fn problems(&self) -> impl Iterator<Item = (&'static str, String)> {
        let all = [
            ("area", Some(self.area), MOST_KEPT),
            ("thickness", Some(self.thickness), MOST_KEPT),
            ("lightening", self.lightening, 1.0),
            ("darkness", self.darkness, 1.0),
        ];
        all.into_iter()
            .filter_map(|(field, one, most)| Some((field, one?.problem(most)?)))
    }
}

/// How the client's skin answers to sun, by her own account: Fitzpatrick's
/// scale, openly published (Fitzpatrick TB, Arch Dermatol 1988;124:869-871;
/// from memory). It was not made to tell colours of skin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum SkinType {
    /// Always burns, never tans.
    I,
    /// Usually burns, tans a little.
    II,
    /// Sometimes burns, tans slowly.
    III,
    /// Seldom burns, tans well.
    IV,
    /// Very seldom burns, tans deeply.
    V,
    /// Never burns.
    VI,
}

impl SkinType {
    /// From the one that burns first.
    pub const ALL: [Self; 6] = [Self::I, Self::II, Self::III, Self::IV, Self::V, Self::VI];

    /// Its numeral.
    pub const fn numeral(self) -> &'static str {
        match self {
            Self::I => "I",
            Self::II => "II",
            Self::III => "III",
            Self::IV => "IV",
            Self::V => "V",
            Self::VI => "VI",
        }
    }

    /// What the client can answer to.
    pub const fn words(self) -> &'static str {
        match self {
            Self::I => "always burns, never tans",
            Self::II => "usually burns, tans a little",
            Self::III => "sometimes burns, tans slowly",
            Self::IV => "seldom burns, tans well",
            Self::V => "very seldom burns, tans deeply",
            Self::VI => "never burns",
        }
    }
}

/// A healed result against what was drawn.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct HealedCheck {
    /// Id of the photo it was measured in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub photo: Option<String>,
    /// What was kept of each brow, where it was measured.
    pub kept: Sided<Option<Kept>>,
    /// The pigment that was worked in; empty where that isn't known.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub pigment: String,
    /// The client's skin, where she told.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub skin_type: Option<SkinType>,
}

impl HealedCheck {
    /// What was kept of each brow that was measured, without those that hold a
    /// number that can't be used.
    pub(crate) fn sound(&self) -> impl Iterator<Item = &Kept> {
        self.kept
            .iter()
            .filter_map(|(_, kept)| kept.as_ref())
            .filter(|kept| kept.problems().next().is_none())
    }
}
