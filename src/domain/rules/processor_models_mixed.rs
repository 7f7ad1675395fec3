//! Two different processor models on one board.

use super::super::finding::{Severity, Subject, Value};
use super::super::setup::Setup;
use super::{Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "processor-models-mixed",
    group: Group::Place,
    severity: Severity::Blocker,
    title: "Processor models mixed",
    doc: "A board with several sockets wants the same model in each, unless its maker says otherwise: different models may not start, \
          or run as the weaker of both. A board whose maker permits it lowers the severity in its record.",
    source: "common practice",
    reads: &[],
    message: "The sockets hold different processor models ({ $processors }), which this board does not take together. \
              Fit the same model into each socket.",
    asks: "whether all sockets hold the same processor model",
    checks: &[Check::Kit(check)],
    breaks: r#"{"board": "tarn", "processors": ["tarn-8", "tarn-12"],
        "population": [{"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "E1", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "processors": ["tarn-8", "tarn-8"],
        "population": [{"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "E1", "module": "ERW-3R16-2x4"}]}"#,
};

fn check(setup: &Setup<'_>, hits: &mut Hits) {
    let fitted = || {
        setup
            .fitted_sockets()
            .filter_map(|socket| Some((socket, setup.processor(socket)?)))
    };
    let Some((_, first)) = fitted().next() else {
        return;
    };
    if fitted().count() < 2 {
        return;
    }
    if fitted().all(|(_, model)| model.id == first.id) {
        return hits.met();
    }
    hits.broken(|draft| {
        let mut names: Vec<String> = fitted().map(|(_, model)| model.name.clone()).collect();
        names.sort_unstable();
        names.dedup();
        let draft = draft
            .about(Subject::Processors)
            .param("processors", Value::Words(names));
        fitted().fold(draft, |draft, (socket, _)| draft.socket(socket))
    });
}

#[cfg(test)]
mod tests {
    use crate::domain::board::{Board, BoardFacts};
    use crate::domain::finding::{Severity, Verdict};
    use crate::domain::module::Generation;
    use crate::domain::request::SocketState;
    use crate::domain::testing::{Case, board, rdimm};
    use crate::domain::validate::validate;

    const ID: &str = "processor-models-mixed";

    fn two_models() -> BoardFacts {
        let mut facts = board(Generation::Ddr3, 2, 4, 3);
        let mut other = facts.processors[0].clone();
        (other.id, other.name) = ("q".into(), "Q".into());
        facts.processors.push(other);
        facts
    }

    fn with(facts: BoardFacts, models: [Option<usize>; 2]) -> Case {
        let case = Case::on(facts).seat(rdimm(8, 2), &["A1", "E1"]);
        let sockets = models.map(SocketState::Fitted).to_vec();
        case.with(|request| request.sockets = Some(sockets))
    }

    #[test]
    fn refuses_two_models_and_takes_one_twice() {
        assert!(with(two_models(), [Some(0), Some(1)]).check().breaks(ID));
        let same = with(two_models(), [Some(1), Some(1)]).check();
        assert!(same.silent(ID));
    }

    #[test]
    fn a_board_may_lower_the_severity() {
        let facts = BoardFacts {
            severities: vec![(ID.into(), Severity::Warning)],
            ..two_models()
        };
        let checked = with(facts, [Some(0), Some(1)]).check();
        assert_eq!(checked.severities(ID), [Severity::Warning]);
    }

    #[test]
    fn one_model_that_was_not_told_may_be_another_though_both_have_the_same_limits() {
        let case = with(two_models(), [Some(1), None]);
        let checked = Board::checked(case.board.clone()).unwrap();
        let answer = validate(&checked, &case.request).unwrap();
        assert_eq!(answer.verdict, Verdict::Undecided);
        // Where no socket's model is told, all have the same.
        let none = with(two_models(), [None, None]);
        let answer = validate(&checked, &none.request).unwrap();
        assert!(answer.verdict <= Verdict::FitsWithWarnings);
    }
}
