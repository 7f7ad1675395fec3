//! Another supply voltage would give another rate.

use super::super::finding::{Fact, Fix, Severity, Subject, Value};
use super::super::outcome::SupplyOption;
use super::super::request::VoltagePolicy;
use super::super::timing::faster;
use super::{BoardView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "voltage-choice-matters",
    group: Group::Rate,
    severity: Severity::Note,
    title: "The supply voltage decides the rate",
    doc: "Low-voltage DDR3 modules run at 1.35 V and at 1.5 V. At the lower voltage they draw less, but boards run \
          crowded channels slower there, so one set of modules has two right answers. The voltage policy of the request \
          says which is given: the fastest, ties to the lower voltage, or the lowest.",
    source: "published firmware source F1, mflvddr3.c (policies for performance and power); published guide P1, tables by voltage",
    reads: &[Fact::Supply, Fact::Rate],
    message: "At { $supply } the memory runs at { $rate }; at { $other } it would run at { $other_rate }.",
    asks: "whether another supply voltage would give another rate",
    checks: &[Check::Board(check)],
    breaks: r#"{"board": "tarn", "voltage_policy": "lowest", "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "A2", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "population": [{"slot": "A1", "module": {"generation": "DDR3", "kind": "RDIMM",
        "capacity_mib": 8192, "package_ranks": 2, "stack_height": 1, "width": "x4", "rate_mts": 800,
        "supply_mv": [1350, 1500]}}]}"#,
};

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    let outcome = view.outcome;
    let (Some(supply), Some(rate)) = (outcome.supply, outcome.rate) else {
        return;
    };
    let usable = |option: &&SupplyOption| {
        !option.unsupported && option.rate.is_some() && option.supply != supply
    };
    let options = || outcome.supply_options.iter().filter(usable);
    if options().next().is_none() {
        return;
    }
    let (other, policy) = match view.request().voltage_policy {
        VoltagePolicy::Lowest => (
            options()
                .filter(|option| option.rate.is_some_and(|other| faster(other, rate)))
                .max_by_key(|option| (option.rate, std::cmp::Reverse(option.supply))),
            VoltagePolicy::Fastest,
        ),
        VoltagePolicy::Fastest => (
            options().find(|option| option.supply < supply),
            VoltagePolicy::Lowest,
        ),
    };
    let Some(other) = other else {
        return hits.met();
    };
    hits.broken(|draft| {
        draft
            .param("supply", Value::Voltage(supply))
            .param("rate", Value::Rate(rate))
            .param("other", Value::Voltage(other.supply))
            .param("other_rate", Value::Rate(other.rate.unwrap_or(rate)))
            .about(Subject::VoltagePolicy)
            .fix(Fix::SetVoltagePolicy(policy))
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::BoardFacts;
    use crate::domain::board::rates::RateRow;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, rate, rdimm};
    use crate::domain::units::Millivolts;

    const ID: &str = "voltage-choice-matters";

    /// Published tables F1, large package: two dual-rank modules of the low-voltage kind run 1333 at 1.35 V or
    /// 1600 at 1.5 V (published firmware source F1 tables); one runs 1600 at either here.
    fn g34(slots: &[&str], policy: VoltagePolicy) -> Case {
        let row = |modules, mv: &[u16], mts| RateRow {
            supply: Some(mv.iter().copied().map(Millivolts).collect()),
            ..rate(&[Kind::Rdimm], modules, mts)
        };
        let record = BoardFacts {
            rates: vec![
                row(1, &[1350, 1500], 1600),
                row(2, &[1350], 1333),
                row(2, &[1500], 1600),
            ],
            ..board(Generation::Ddr3, 2, 4, 3)
        };
        let case = Case::on(record).seat(rdimm(8, 2), slots);
        case.with(|request| request.voltage_policy = policy)
    }

    #[test]
    fn each_policy_names_what_the_other_would_give() {
        for (policy, set, other, offered) in [
            (VoltagePolicy::Fastest, 1500, 1350, VoltagePolicy::Lowest),
            (VoltagePolicy::Lowest, 1350, 1500, VoltagePolicy::Fastest),
        ] {
            let checked = g34(&["A1", "A2"], policy).check();
            let finding = checked.finding(ID).unwrap();
            assert_eq!(finding.params[0].1, Value::Voltage(Millivolts(set)));
            assert_eq!(finding.params[2].1, Value::Voltage(Millivolts(other)));
            assert_eq!(finding.fixes[0].fix, Fix::SetVoltagePolicy(offered));
            assert!(!finding.fixes[0].machine_safe);
        }
    }

    #[test]
    fn equal_rates_leave_nothing_to_choose() {
        for policy in [VoltagePolicy::Fastest, VoltagePolicy::Lowest] {
            assert!(g34(&["A1"], policy).check().finding(ID).is_none());
        }
    }

    #[test]
    fn a_single_voltage_or_an_unknown_one_says_nothing() {
        let old = ModuleFacts {
            supply: Some(vec![Millivolts(1500)]),
            ..rdimm(8, 2)
        };
        let unknown = ModuleFacts {
            supply: None,
            ..rdimm(8, 2)
        };
        for facts in [old, unknown] {
            let case = g34(&["A1"], VoltagePolicy::Fastest).seat(facts, &["A2"]);
            assert!(case.check().finding(ID).is_none());
        }
    }
}
