//! A module that draws more power than a slot feeds or cools.

use super::super::board::Limit;
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "slot-power-exceeded",
    group: Group::Limit,
    severity: Severity::Blocker,
    title: "More power than a slot allows",
    doc: "A slot is laid out for a certain power, and the air past it carries off only so much heat. A module that draws \
          more throttles, fails early, or overloads the board's supply. The maker's service guide decides.",
    source: "common practice; the limit itself is the board record's",
    reads: &[Fact::PeakPower],
    message: "{ $part } draws up to { $power }, but a slot of this board is laid out for { $limit }. \
              Choose a module that draws less.",
    asks: "whether every module stays within the power of a slot",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "firth", "processors": ["fitted", "empty"], "population": [{"slot": "A1", "module":
        {"generation": "DDR5", "kind": "RDIMM", "capacity_mib": 65536, "package_ranks": 2, "stack_height": 1, "width": "x4",
         "ecc_bits": 8, "rate_mts": 4800, "input_mv": 12000, "peak_power_mw": 40000}}]}"#,
    meets: r#"{"board": "firth", "processors": ["fitted", "empty"], "population": [{"slot": "A1", "module": "ERW-5R64-2x4"}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    let limit = match view.board().slot_power {
        Limit::Is(limit) => limit,
        Limit::None => return,
        Limit::Unknown => return hits.undecided(&[Missing::general(Fact::BoardLimit)]),
    };
    match view.module.peak_power {
        None => hits.undecided(&[Missing::of(view.part, Fact::PeakPower)]),
        Some(power) if power <= limit => hits.met(),
        Some(power) => hits.broken(|draft| {
            draft
                .part(view.part)
                .param("part", Value::Part(view.part))
                .param("power", Value::Power(power))
                .param("limit", Value::Power(limit))
                .fix(Fix::ChooseOther {
                    part: view.part,
                    needs: vec![(Fact::PeakPower, Value::Power(limit))],
                })
        }),
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::board::Limit;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, Checked, board, rdimm};
    use crate::domain::units::Milliwatts;

    const ID: &str = "slot-power-exceeded";

    fn check(limit: Limit<Milliwatts>, power: Option<u64>) -> Checked {
        let mut facts = board(Generation::Ddr3, 1, 4, 3);
        facts.slot_power = limit;
        let module = ModuleFacts {
            peak_power: power.map(Milliwatts),
            ..rdimm(16, 2)
        };
        Case::on(facts).seat(module, &["A1"]).check()
    }

    #[test]
    fn refuses_a_module_that_draws_more_than_a_slot_allows() {
        let limit = Limit::Is(Milliwatts(9000));
        assert!(check(limit, Some(9000)).silent(ID) && check(limit, Some(9001)).breaks(ID));
    }

    #[test]
    fn an_unknown_power_or_limit_is_undecided() {
        assert!(check(Limit::Is(Milliwatts(9000)), None).leaves_open(ID));
        assert!(check(Limit::Unknown, Some(1)).leaves_open(ID));
        assert!(check(Limit::None, None).silent(ID));
    }
}
