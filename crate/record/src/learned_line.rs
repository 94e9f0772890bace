//! What is learned from, of one client, in one short line: it stands in the
//! list of clients, so that nobody's file has to be opened to learn from it,
//! and goes with her when she is erased.

use crate::{HealedCheck, Kept, MeasuredShare, Record, SkinType, VisitKind};

/// Between two checks, and between what is told of one.
const CHECK: char = ';';
const FIELD: char = ',';

/// What a share is counted in.
const PER: f64 = 1000.0;

impl Record {
    /// Her healed checks in one line. One of the day of the first session is
    /// none: nothing has healed by then.
    pub fn learned_line(&self) -> String {
        let mut line = String::new();
        let healed = self
            .visits
            .iter()
            .filter(|v| v.kind != VisitKind::FirstSession);
        for check in healed.filter_map(|v| v.healed.as_deref()) {
            let Some(brief) = brief(check) else { continue };
            if !line.is_empty() {
                line.push(CHECK);
            }
            line.push_str(&brief);
        }
        line
    }
}

/// One check: mean of the sides that were measured.
fn brief(check: &HealedCheck) -> Option<String> {
    let sides: Vec<&Kept> = check.sound().collect();
    let mean = |of: &dyn Fn(&Kept) -> Option<f64>| {
        let all: Vec<f64> = sides.iter().filter_map(|kept| of(kept)).collect();
        let sum: f64 = all.iter().sum();
        (!all.is_empty()).then(|| (PER * sum / all.len() as f64 + 0.5) as u32)
    };
    let area = mean(&|k| Some(k.area.share))?;
    let thickness = mean(&|k| Some(k.thickness.share))?;
    let lightening = mean(&|k| k.lightening.map(|l| l.share));
    let skin = check.skin_type.map_or("", SkinType::numeral);
    let plain = |c: char| {
        if c == CHECK || c == FIELD || c.is_control() {
            ' '
        } else {
            c
        }
    };
    let pigment: String = check.pigment.chars().map(plain).collect();
    let lightening = lightening.map(|n| n.to_string()).unwrap_or_default();
    Some(format!(
        "{area},{thickness},{lightening},{skin},{}",
        pigment.trim()
    ))
}

/// The checks of such a line; what can't be read is left out.
pub fn checks_of_line(line: &str) -> Vec<HealedCheck> {
    line.split(CHECK).filter_map(read).collect()
}

fn read(one: &str) -> Option<HealedCheck> {
    let mut fields = one.splitn(5, FIELD);
    let share = |text: &str| {
        let share = f64::from(text.parse::<u32>().ok()?) / PER;
        Some(MeasuredShare { share, sd: 0.01 })
    };
    let (area, thickness) = (share(fields.next()?)?, share(fields.next()?)?);
    let lightening = share(fields.next()?);
    let numeral = fields.next()?;
    let skin_type = SkinType::ALL.into_iter().find(|s| s.numeral() == numeral);
    let mut check = HealedCheck {
        pigment: fields.next()?.to_owned(),
        skin_type,
        ..HealedCheck::default()
    };
    check.kept.right = Some(Kept {
        area,
        thickness,
        lightening,
        darkness: None,
    });
    Some(check)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Lesson, Visit, learn};
    use ophryon_brow::ShrinkBy;

    fn kept(area: f64, thickness: f64) -> Kept {
        let share = |share| MeasuredShare { share, sd: 0.02 };
        Kept {
            area: share(area),
            thickness: share(thickness),
            lightening: None,
            darkness: None,
        }
    }

    fn with(kind: VisitKind, area: f64) -> Record {
        let mut record = Record::new("L");
        let mut visit = Visit::new("2027-05-03".parse().unwrap(), kind);
        let mut check = HealedCheck {
            pigment: "Hazel, soft; 2".to_owned(),
            skin_type: Some(SkinType::III),
            ..HealedCheck::default()
        };
        check.kept.right = Some(kept(area, 0.9));
        check.kept.left = Some(kept(area - 0.04, 0.9));
        visit.healed = Some(Box::new(check));
        record.visits.push(visit);
        record
    }

    #[test]
    fn what_is_learned_is_the_same_from_lines_as_from_files() {
        let records: Vec<_> = [0.84, 0.86, 0.88, 0.9, 0.95]
            .map(|area| with(VisitKind::HealedCheck, area))
            .into();
        let whole: Vec<_> = records
            .iter()
            .filter_map(|r| r.visits[0].healed.as_deref())
            .collect();
        let lines: Vec<_> = records
            .iter()
            .flat_map(|r| checks_of_line(&r.learned_line()))
            .collect();
        let lines: Vec<_> = lines.iter().collect();
        for by in [ShrinkBy::Area, ShrinkBy::Thickness] {
            let lesson = Lesson::Shrink(by);
            let (a, b) = (learn(&whole, lesson), learn(&lines, lesson));
            let (a, b) = (a.all.shrink().unwrap(), b.all.shrink().unwrap());
            assert!((a.share - b.share).abs() < 0.001);
        }
        let read = learn(&lines, Lesson::Shrink(ShrinkBy::Area));
        assert_eq!(read.by_pigment.len(), 1);
        assert_eq!(read.by_skin_type[0].0, SkinType::III);
    }

    #[test]
    fn the_day_of_the_work_teaches_nothing_and_damage_is_left_out() {
        assert_eq!(with(VisitKind::FirstSession, 1.0).learned_line(), "");
        assert!(checks_of_line("").is_empty());
        assert_eq!(checks_of_line("x;900,800,,II,Hazel;5").len(), 1);
    }
}
