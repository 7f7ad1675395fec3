//! More peak power than the caller wished.

use super::super::finding::{Fact, Fix, Severity, Subject, Value, WishChange};
use super::super::setup::Setup;
use super::super::units::Milliwatts;
use super::{Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "power-wish",
    group: Group::Wish,
    severity: Severity::Warning,
    title: "More power than wished",
    doc: "The caller may tell how much power all modules together may draw at their peak, for instance to stay within a \
          supply or a rack's share. It is the sum of the modules' peak power.",
    source: "the caller's wish",
    reads: &[Fact::PeakPower],
    message: "All modules together draw up to { $power }, which is { $over } more than the { $wished } that were wished for.",
    asks: "whether the modules stay within the power that was wished",
    checks: &[Check::Kit(check)],
    breaks: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 24}], "wishes": {"peak_power_at_most_mw": 10000}}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 8}], "wishes": {"peak_power_at_most_mw": 900000}}"#,
};

fn check(setup: &Setup<'_>, hits: &mut Hits) {
    let Some(wish) = setup.request.wishes.power_at_most else {
        return;
    };
    let total = setup.total(|module| module.peak_power.map(|power| power.0));
    match total.within(wish.value.0) {
        Some(true) => hits.met(),
        None => {
            let unknown = setup.unknown(Fact::PeakPower, |m| m.peak_power.is_some());
            hits.undecided_as(wish.severity(), &unknown);
        }
        Some(false) => hits.broken_as(wish.severity(), |draft| {
            let power = Milliwatts(total.at_least);
            let draft = draft
                .about(Subject::PowerAtMost)
                .param("power", Value::Power(power))
                .param("over", Value::Power(Milliwatts(power.0 - wish.value.0)))
                .param("wished", Value::Power(wish.value));
            if total.exact {
                draft.fix(Fix::AdjustWish(WishChange::PowerAtMost(power)))
            } else {
                draft
            }
        }),
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::finding::{Fix, Severity, WishChange};
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::request::Wish;
    use crate::domain::testing::{Case, board, rdimm};
    use crate::domain::units::Milliwatts;

    const ID: &str = "power-wish";

    fn wished(watts: u64, must: bool) -> Case {
        Case::on(board(Generation::Ddr3, 1, 4, 3)).with(|request| {
            let value = Milliwatts(watts * 1000);
            request.wishes.power_at_most = Some(Wish { value, must });
        })
    }

    #[test]
    fn adds_the_peak_power_of_all_modules() {
        // The test modules draw 5 W each.
        let with = |watts| {
            let case = wished(watts, true).installed(rdimm(16, 2), &["A1"]);
            case.kit(rdimm(16, 2), 3).check()
        };
        assert!(with(20).silent(ID));
        assert_eq!(with(19).severities(ID), [Severity::Blocker]);
        let holds = Fix::AdjustWish(WishChange::PowerAtMost(Milliwatts(20_000)));
        assert_eq!(with(19).finding(ID).unwrap().fixes[0].fix, holds);
    }

    #[test]
    fn an_unknown_power_is_undecided_until_the_known_ones_are_too_much() {
        let unknown = ModuleFacts {
            peak_power: None,
            ..rdimm(8, 2)
        };
        let with = |watts| {
            let case = wished(watts, false).kit(unknown.clone(), 1);
            case.kit(rdimm(16, 2), 2).check()
        };
        assert!(with(10).leaves_open(ID) && with(9).breaks(ID));
    }
}
