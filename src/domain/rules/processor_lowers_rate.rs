//! A processor whose memory controller runs slower than modules and board would allow.

use super::super::finding::{Fact, Severity, Subject, Value};
use super::super::outcome::Ceiling;
use super::super::timing::faster;
use super::super::units::Mts;
use super::{BoardView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "processor-lowers-rate",
    group: Group::Rate,
    severity: Severity::Note,
    title: "The processor holds the memory back",
    doc: "A processor's memory controller has a highest rate of its own. Where modules and board would allow more, only \
          another processor model would run the memory faster; slower modules would do as well with this one.",
    source: "published guide P1, 2.8.9.4: the processor's limit is one of the ceilings; the limit is the board record's",
    reads: &[Fact::ProcessorModel, Fact::Rate],
    message: "With { $processors } the memory runs at { $rate } at most; the modules and the board would allow { $faster }.",
    asks: "whether the processor holds the memory back",
    checks: &[Check::Board(check)],
    breaks: r#"{"board": "tarn", "processors": ["tarn-8", "tarn-8"], "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4-1866"}, {"slot": "E1", "module": "ERW-3R16-2x4-1866"}]}"#,
    meets: r#"{"board": "tarn", "processors": ["tarn-12", "tarn-12"], "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4-1866"}, {"slot": "E1", "module": "ERW-3R16-2x4-1866"}]}"#,
};

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    let outcome = view.outcome;
    let Some(rate) = outcome.rate else { return };
    let mut sockets = outcome.running(view).map(|(channel, _)| channel.socket);
    if !sockets.any(|socket| matches!(view.setup.rate_ceiling(socket), Ok(Some(_)))) {
        return;
    }
    let binds = |ceiling: &Ceiling| matches!(ceiling, Ceiling::Processor(_));
    let without = without_processor(view).filter(|without| faster(*without, rate));
    match without {
        Some(without) if outcome.binding.iter().any(binds) => hits.broken(|draft| {
            draft
                .param("processors", Value::Words(names(view)))
                .param("rate", Value::Rate(rate))
                .param("faster", Value::Rate(without))
                .about(Subject::Processors)
        }),
        _ => hits.met(),
    }
}

/// The rate of the slowest channel if no processor had a limit.
fn without_processor(view: &BoardView<'_>) -> Option<Mts> {
    let mut slowest = None;
    let mut before = None;
    for (channel, run) in view.outcome.running(view) {
        let mut own = run.listed?;
        // Most channels hold and run what the one before does.
        if before == Some((channel.stack, own)) {
            continue;
        }
        before = Some((channel.stack, own));
        for on in channel.modules() {
            own = own.min(on.fit.rating()?);
        }
        slowest = Some(slowest.map_or(own, |slowest: Mts| slowest.min(own)));
    }
    slowest
}

fn names(view: &BoardView<'_>) -> Vec<String> {
    let models = view.outcome.binding.iter().filter_map(|ceiling| {
        let Ceiling::Processor(model) = ceiling else {
            return None;
        };
        view.board().processors.get(*model)
    });
    models.map(|processor| processor.name.clone()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::Limit;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "processor-lowers-rate";

    fn limited(limit: Limit<Mts>, slots: &[&str], facts: ModuleFacts) -> Case {
        let mut case = Case::on(board(Generation::Ddr3, 2, 4, 3)).seat(facts, slots);
        case.board.processors[0].rate = limit;
        case
    }

    #[test]
    fn a_slow_processor_is_named_with_both_rates() {
        let checked = limited(Limit::Is(Mts(1333)), &["A1"], rdimm(16, 2)).check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!(finding.severity, Severity::Note);
        assert_eq!(finding.params[0].1, Value::Words(vec!["P".into()]));
        assert_eq!(finding.params[1].1, Value::Rate(Mts(1333)));
        assert_eq!(finding.params[2].1, Value::Rate(Mts(1600)));
    }

    #[test]
    fn a_processor_that_is_not_the_only_ceiling_is_not_blamed() {
        // Two on a channel run 1333 whatever the processor.
        let two = limited(Limit::Is(Mts(1333)), &["A1", "A2"], rdimm(16, 2));
        assert!(!two.check().breaks(ID));
        let slow = ModuleFacts {
            rate: Some(Mts(1333)),
            ..rdimm(16, 2)
        };
        assert!(
            !limited(Limit::Is(Mts(1333)), &["A1"], slow)
                .check()
                .breaks(ID)
        );
        assert!(
            !limited(Limit::Is(Mts(1600)), &["A1"], rdimm(16, 2))
                .check()
                .breaks(ID)
        );
    }

    #[test]
    fn a_processor_without_a_limit_or_of_unknown_limit_says_nothing() {
        for limit in [Limit::None, Limit::Unknown] {
            let checked = limited(limit, &["A1"], rdimm(16, 2)).check();
            assert!(checked.finding(ID).is_none());
        }
    }
}
