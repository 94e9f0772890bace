//! The pages in their order: cautions, statements, the shape once more, her
//! signature. Plain, so that it is tried without a browser.

use ophryon_agreement::{Answer, Asked, Caution};

/// A page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// That the cautions are no medical advice, and what comes first.
    Advice,
    /// One caution, by its place in the list.
    Caution(usize),
    /// What a doctor should weigh, where there is anything.
    Told,
    /// One statement, by its place in the list.
    Statement(usize),
    /// The shape once more.
    Shape,
    /// Her signature.
    Sign,
}

/// All pages of what is asked.
pub fn steps(asked: &Asked) -> Vec<Step> {
    let mut all = Vec::new();
    if !asked.cautions.is_empty() {
        all.push(Step::Advice);
        all.extend((0..asked.cautions.len()).map(Step::Caution));
        all.push(Step::Told);
    }
    all.extend((0..asked.statements.len()).map(Step::Statement));
    all.extend([Step::Shape, Step::Sign]);
    all
}

/// A page's name, under which it is remembered.
pub fn name_of(step: Step, asked: &Asked) -> String {
    let of = |kind: &str, id: Option<&str>| format!("{kind}:{}", id.unwrap_or_default());
    match step {
        Step::Advice => "advice".to_owned(),
        Step::Caution(n) => of("caution", asked.cautions.get(n).map(|c| c.id.as_str())),
        Step::Told => "told".to_owned(),
        Step::Statement(n) => of("statement", asked.statements.get(n).map(|s| s.id.as_str())),
        Step::Shape => "shape".to_owned(),
        Step::Sign => "sign".to_owned(),
    }
}

/// Where she goes on: where she was. Else at the beginning, or, where every
/// caution is answered already, with what came of them.
pub fn go_on_at(asked: &Asked, remembered: Option<&str>) -> usize {
    let all = steps(asked);
    let was = remembered.and_then(|name| all.iter().position(|s| name_of(*s, asked) == name));
    was.unwrap_or_else(|| {
        let is_open = |c: &Caution| c.answer == Answer::Unanswered;
        if asked.cautions.iter().any(is_open) {
            0
        } else {
            all.iter().position(|s| *s == Step::Told).unwrap_or(0)
        }
    })
}

/// The page with the first statement that lacks what it needs.
pub fn first_lacking(asked: &Asked) -> Option<usize> {
    let lacking = |step: &Step| match step {
        Step::Statement(n) => {
            let mut alone = asked.clone();
            alone.statements = vec![asked.statements[*n].clone()];
            alone.is_answered().is_err()
        }
        _ => false,
    };
    steps(asked).iter().position(lacking)
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_agreement::{Said, text_for};

    fn asked() -> Asked {
        text_for("en").expect("a text").asked()
    }

    #[test]
    fn every_caution_and_every_statement_has_a_page_and_the_signature_is_last() {
        let asked = asked();
        let all = steps(&asked);
        let cautions = all.iter().filter(|s| matches!(s, Step::Caution(_)));
        assert_eq!(cautions.count(), asked.cautions.len());
        let statements = all.iter().filter(|s| matches!(s, Step::Statement(_)));
        assert_eq!(statements.count(), asked.statements.len());
        assert_eq!(all.last(), Some(&Step::Sign));
        let mut names: Vec<_> = all.iter().map(|s| name_of(*s, &asked)).collect();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), all.len());
    }

    #[test]
    fn she_goes_on_where_she_was_and_is_not_asked_twice() {
        let mut asked = asked();
        let at = |asked: &Asked, was| steps(asked)[go_on_at(asked, was)];
        assert_eq!(at(&asked, None), Step::Advice);
        assert_eq!(at(&asked, Some("statement:fades")), Step::Statement(1));
        assert_eq!(at(&asked, Some("nothing of this name")), Step::Advice);
        for caution in &mut asked.cautions {
            caution.answer = Answer::NotMe;
        }
        assert_eq!(at(&asked, None), Step::Told);
        asked.cautions[2].answer = Answer::Unanswered;
        assert_eq!(at(&asked, None), Step::Advice);
        asked.cautions.clear();
        assert_eq!(at(&asked, None), Step::Statement(0));
    }

    #[test]
    fn a_no_to_what_is_needed_lacks_and_a_no_to_a_choice_doesnt() {
        let mut asked = asked();
        for statement in &mut asked.statements {
            statement.said = Said::Yes;
        }
        assert_eq!(first_lacking(&asked), None);
        asked.say("photo", Said::No).expect("it is there");
        assert_eq!(first_lacking(&asked), None);
        asked.say("touch-up", Said::No).expect("it is there");
        let at = first_lacking(&asked).expect("one lacks");
        assert_eq!(steps(&asked)[at], Step::Statement(2));
    }
}
