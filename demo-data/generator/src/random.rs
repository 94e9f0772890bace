//! Plausible random faces, for tests over thousands of them. Nothing is drawn.

use crate::chance::Chance;
use crate::hair::{HAIR_COLOURS, Hair, HairStyle, IRIS_COLOURS};
use crate::head::{
    Brow, Expression, Head, Lift, Proportions, Side, SideExpression, SideFeatures, spot,
};
use crate::skin::{Skin, TONES};
use crate::truth::Pair;

impl Head {
    /// A plausible invented head; the same seed gives the same head.
    ///
    /// Means and spreads are those of [`crate::head`]. Sides differ as faces
    /// do: published linear means stay below 1 mm (Chou et al., J Clin Med 8,
    /// 2019, 648), brows differ by 1.3 to 1.8 mm on average in a sample of
    /// patients (Macdonald et al., J Otolaryngol HNS 43, 2014, 36).
    pub fn random(seed: u64) -> Self {
        let mut c = Chance::new(seed ^ 0x0F_1234_5678);
        let pupil_distance = c.around(62.9, 3.5).clamp(54.0, 73.0);
        let inner = pupil_distance / 2.0 - c.around(15.3, 0.7);
        let outer = pupil_distance / 2.0 + c.around(13.0, 0.6);
        let nose_base_y = c.around(-46.0, 2.6);
        let mouth_y = nose_base_y - c.around(21.0, 1.6);
        let chin_y = mouth_y - c.around(52.0, 3.4);
        let head_breadth = c.around(151.0, 5.0).max(2.0 * outer + 54.0);
        let face_breadth = c
            .around(138.0, 5.0)
            .clamp(head_breadth - 22.0, head_breadth - 4.0);
        let face = Proportions {
            pupil_distance,
            inner_corner_distance: 2.0 * inner,
            outer_corner_distance: 2.0 * outer,
            nose_width: c.around(33.5, 2.1),
            nose_base_y,
            mouth_y,
            chin_y,
            face_breadth,
            head_breadth,
            brow_radius: c.around(80.0, 4.5).clamp(69.0, 93.0),
            nose_projection: c.around(1.0, 0.09),
            iris_diameter: c.around(11.71, 0.42),
            pupil_diameter: c.between(2.8, 4.6),
            ear: (
                head_breadth / 2.0 + c.around(0.5, 0.7),
                c.around(-11.0, 3.0),
                c.around(-88.0, 3.0),
            ),
            lip_fullness: c.around(1.0, 0.12),
        };
        // One brow for both sides, then what differs.
        let start = 0.5 * (inner + face.nose_width / 2.0) + c.around(-0.8, 1.2);
        let thick = c.around(6.8, 1.1);
        let bottom = c.around(13.8, 1.4);
        let rise = c.around(5.2, 1.3).max(1.6);
        let peak = outer - c.around(2.2, 1.4);
        let behind = c.around(1.6, 0.6).max(0.4);
        let body = thick - c.around(0.6, 0.5);
        let top = bottom + thick + rise;
        let tail = outer + c.around(12.4, 1.6);
        let shared = Brow {
            start_top: spot(start + c.around(0.8, 0.5), bottom + thick),
            start_bottom: spot(start, bottom),
            peak: spot(peak, top),
            lower_arch: spot(peak + behind, top - body),
            tail: spot(
                tail,
                (top - body - c.around(4.8, 1.3)).min(top - body - 1.2),
            ),
            density: c.between(1.8, 3.6),
        };
        let mut side = || {
            let mut brow = shared.moved(c.around(0.0, 0.5), c.around(0.0, 0.8));
            for s in [&mut brow.start_top, &mut brow.peak, &mut brow.tail] {
                s.lateral += c.around(0.0, 0.25);
                s.height += c.around(0.0, 0.15);
            }
            // Hair's lower border peaks behind the upper one, on both sides.
            brow.lower_arch.lateral = brow.lower_arch.lateral.max(brow.peak.lateral + 0.3);
            SideFeatures {
                inner_corner: (c.around(0.0, 0.25), c.around(-1.2, 0.4)),
                outer_corner: (c.around(0.0, 0.3), c.around(0.6, 0.8)),
                nose_wing: (c.around(0.0, 0.25), c.around(0.0, 0.35)),
                ear_height: c.around(0.0, 1.0),
                brow,
            }
        };
        let (right, left) = (side(), side());
        let mut act = || {
            let peak = c.between(0.0, 2.4);
            SideExpression {
                lid: c.between(2.4, 4.8),
                lower_lid: c.between(4.9, 5.6),
                lift: Lift {
                    start: peak * c.between(0.4, 0.9),
                    peak,
                    tail: peak * c.between(0.3, 0.8),
                },
            }
        };
        let (act_right, act_left) = (act(), act());
        let pick = |c: &mut Chance, n: usize| (c.bits() % n as u64) as usize;
        let style = [HairStyle::Back, HairStyle::Parted, HairStyle::Band][pick(&mut c, 3)];
        Self {
            face,
            right,
            left,
            expression: Expression {
                right: act_right,
                left: act_left,
            },
            skin: Skin::tone(pick(&mut c, TONES)),
            hair: Hair::of(
                pick(&mut c, HAIR_COLOURS.len()),
                pick(&mut c, IRIS_COLOURS.len()),
                style,
            ),
            seed,
            worked: Pair::of(|_| None),
        }
    }

    /// The same head with the forehead at rest and lids half down.
    pub fn at_rest(&self) -> Self {
        let mut head = self.clone();
        for side in Side::BOTH {
            let e = match side {
                Side::Right => &mut head.expression.right,
                Side::Left => &mut head.expression.left,
            };
            *e = SideExpression {
                lift: Lift::default(),
                ..*Expression::relaxed().side(side)
            };
        }
        head
    }
}
