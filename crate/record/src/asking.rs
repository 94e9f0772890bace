//! What has to be tapped for this record, which depends on its rules.

use ophryon_brow::{PeakRule, TailRule};
use ophryon_face::{Landmark, Need, STEADY, SidedLandmark};

use crate::balance_ask::needed;
use crate::{PhotoState, Record};

impl Record {
    /// Whether this record's rules need a landmark. [`Need::Rule`] is left for
    /// landmarks that none of the chosen rules uses: they need not be asked
    /// for at all.
    pub fn need(&self, landmark: Landmark) -> Need {
        let used = match landmark {
            Landmark::Sided(_, SidedLandmark::IrisOuterRim) => matches!(
                self.rules.peak,
                PeakRule::AboveIrisRim | PeakRule::WingThroughIrisRim
            ),
            Landmark::Sided(_, SidedLandmark::LowerLid) => self.rules.tail == TailRule::LowerLid,
            _ => false,
        };
        match landmark.need() {
            Need::Rule if used => Need::Always,
            need => need,
        }
    }

    /// The same for a photo of the face in that state. One in use is only laid
    /// over the relaxed one and compared with it: it needs what the brows'
    /// muscles don't move, and the places that are compared. In one of the
    /// healed brows these are measured by their colour, so none of them is
    /// tapped; in one that is kept with a visit nothing is.
    pub fn need_in(&self, state: PhotoState, landmark: Landmark) -> Need {
        match state {
            PhotoState::Relaxed => self.need(landmark),
            PhotoState::EyesOpen | PhotoState::Raised => {
                needed(landmark, state).unwrap_or(Need::Rule)
            }
            PhotoState::Healed => match landmark {
                Landmark::Sided(_, SidedLandmark::Pupil) => Need::Always,
                // They tell best which way the head is turned.
                Landmark::Sided(_, SidedLandmark::EarMiddle) => Need::Optional,
                _ if STEADY.contains(&landmark) => landmark.need(),
                _ => Need::Rule,
            },
            PhotoState::Visit => Need::Rule,
        }
    }

    /// Whether there is a photo of the healed brows of which landmarks are
    /// still to be tapped before anything can be measured in it.
    pub fn is_healed_to_tap(&self) -> bool {
        self.healed_photo().is_some_and(|photo| {
            Landmark::in_order().into_iter().any(|landmark| {
                self.need_in(PhotoState::Healed, landmark) == Need::Always
                    && photo.landmarks.get(landmark).is_none()
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_frames::Side;

    #[test]
    fn a_landmark_is_needed_while_a_rule_is_drawn_through_it() {
        let lid = Landmark::Sided(Side::Left, SidedLandmark::LowerLid);
        let rim = Landmark::Sided(Side::Left, SidedLandmark::IrisOuterRim);
        let mut record = Record::new("A");
        record.rules.peak = PeakRule::AboveIrisRim;
        assert_eq!(
            (record.need(lid), record.need(rim)),
            (Need::Rule, Need::Always)
        );
        record.rules.tail = TailRule::LowerLid;
        record.rules.peak = PeakRule::AbovePupil;
        assert_eq!(
            (record.need(lid), record.need(rim)),
            (Need::Always, Need::Rule)
        );
        // Those that are optional or always needed stay so.
        for l in Landmark::in_order() {
            if l.need() != Need::Rule {
                assert_eq!(record.need(l), l.need());
            }
        }
    }

    #[test]
    fn a_face_in_use_is_tapped_in_half_the_time() {
        let record = Record::new("A");
        let asked = |state| {
            let all = Landmark::in_order().into_iter();
            all.filter(|l| record.need_in(state, *l) != Need::Rule)
                .count()
        };
        assert_eq!(asked(PhotoState::EyesOpen), 14);
        assert!(asked(PhotoState::Relaxed) >= 20);
        let pupil = Landmark::Sided(Side::Left, SidedLandmark::Pupil);
        assert_eq!(record.need_in(PhotoState::Raised, pupil), Need::Rule);
        // The pupils, eye corners and nose wings; ears and the nose's middle.
        let needed = |state, need| {
            let all = Landmark::in_order().into_iter();
            all.filter(|l| record.need_in(state, *l) == need).count()
        };
        assert_eq!(needed(PhotoState::Healed, Need::Always), 8);
        assert_eq!(needed(PhotoState::Healed, Need::Optional), 4);
        assert_eq!(asked(PhotoState::Visit), 0);
    }

    #[test]
    fn a_healed_photo_that_is_tapped_in_part_is_to_be_tapped() {
        let mut record = Record::new("A");
        assert!(!record.is_healed_to_tap());
        let image = crate::Image::File {
            name: "h.jpg".to_owned(),
        };
        let photo = crate::Photo::new("h", PhotoState::Healed, image, 3000, 4000);
        record = crate::apply(&record, &crate::Edit::AddPhoto(photo)).unwrap();
        let needed = Landmark::in_order().into_iter();
        let needed = needed.filter(|l| record.need_in(PhotoState::Healed, *l) == Need::Always);
        for (n, landmark) in needed.collect::<Vec<_>>().into_iter().enumerate() {
            assert!(record.is_healed_to_tap(), "{n} are tapped");
            let at = ophryon_frames::Point::new(100.0 * (n as f64 + 1.0), 900.0);
            let tap = crate::Edit::SetLandmark {
                photo: "h".to_owned(),
                landmark,
                at,
            };
            record = crate::apply(&record, &tap).unwrap();
        }
        assert!(!record.is_healed_to_tap(), "ears and chin can be left out");
    }
}
