//! DRAM devices of different makers together.

use super::super::finding::{Fact, Severity, Value};
use super::mixing::{Aspect, Key, mixing_checks};
use super::{Check, Group, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "dram-makers-mixed",
    group: Group::Mix,
    severity: Severity::Blocker,
    title: "Makers of the DRAM mixed",
    doc: "The largest modules run near the limits of a channel, and DRAM of two makers may not train together there. Some \
          server makers want modules from a certain capacity on to carry DRAM of one maker, whoever made the modules. Names \
          are compared as they are written.",
    source: "published firmware source F2: modules of 128 GB on one port need one maker of the DRAM; the policy is the board record's",
    reads: &[Fact::Capacity, Fact::DramMaker],
    message: "{ $place }: DRAM of { $found } is mixed. This board's maker wants one maker of DRAM on { $scope }.",
    asks: "whether modules with DRAM of different makers come together",
    checks: mixing_checks!(ASPECT),
    breaks: r#"{"board": "mere", "population": [{"slot": "A1", "module": {"name": "first", "generation": "DDR4", "kind": "RDIMM", "capacity_mib": 524288, "dram_maker": "one"}}, {"slot": "A2", "module": {"name": "second", "generation": "DDR4", "kind": "RDIMM", "capacity_mib": 524288, "dram_maker": "other"}}]}"#,
    meets: r#"{"board": "mere", "population": [{"slot": "A1", "module": {"name": "first", "generation": "DDR4", "kind": "RDIMM", "capacity_mib": 524288, "dram_maker": "one"}}, {"slot": "A2", "module": {"name": "second", "generation": "DDR4", "kind": "RDIMM", "capacity_mib": 524288, "package_ranks": 2, "dram_maker": "one"}}]}"#,
};

static ASPECT: Aspect = Aspect {
    policy: |board| board.mixing.dram_makers,
    from: |board| board.mixing.dram_makers_from,
    fact: Fact::DramMaker,
    key: |module| module.dram_maker.as_deref().map_or(Key::Unknown, Key::Text),
    show: |module| Value::Text(module.dram_maker.clone().unwrap_or_default()),
    discouraged: Severity::Warning,
};

#[cfg(test)]
mod tests {
    use crate::domain::board::Limit;
    use crate::domain::board::policy::{Mix, MixPolicy};
    use crate::domain::finding::{Fact, Severity, State};
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, Checked, board, module};
    use crate::domain::units::Mib;

    const ID: &str = "dram-makers-mixed";

    /// Forbidden on a channel, for modules of 128 GiB and more unless another limit is said.
    fn from(least: Limit<Mib>) -> Case {
        let mut board = board(Generation::Ddr4, 1, 2, 2);
        board.mixing.dram_makers = MixPolicy {
            channel: Mix::Forbidden,
            ..MixPolicy::everywhere(Mix::Allowed)
        };
        board.mixing.dram_makers_from = least;
        Case::on(board)
    }

    fn of(gib: u64, maker: Option<&str>) -> ModuleFacts {
        ModuleFacts {
            dram_maker: maker.map(str::to_owned),
            ..module(Generation::Ddr4, Kind::Rdimm, gib, 2)
        }
    }

    const LARGE: Limit<Mib> = Limit::Is(Mib::gib(128));

    #[test]
    fn refuses_two_makers_on_a_channel_from_a_capacity_on() {
        let beside = |gib, maker| {
            from(LARGE)
                .seat(of(128, Some("one")), &["A1"])
                .seat(of(gib, Some(maker)), &["A2"])
                .check()
        };
        assert_eq!(beside(128, "other").severities(ID), [Severity::Blocker]);
        assert!(beside(128, "one").silent(ID));
        assert!(beside(64, "other").silent(ID));
        let apart = from(LARGE)
            .seat(of(128, Some("one")), &["A1"])
            .seat(of(128, Some("other")), &["B1"]);
        assert!(apart.check().silent(ID));
        let all = from(Limit::None)
            .seat(of(32, Some("one")), &["A1"])
            .seat(of(32, Some("other")), &["A2"]);
        assert!(all.check().breaks(ID));
    }

    #[test]
    fn asks_for_what_is_not_told() {
        let beside = |least, other| {
            let case = from(least).seat(of(128, Some("one")), &["A1"]);
            case.seat(other, &["A2"]).check()
        };
        let asked = |checked: Checked| -> Vec<Fact> {
            assert!(checked.leaves_open(ID));
            let finding = checked.findings.iter().find(|f| f.rule.id == ID);
            match finding.map(|finding| &finding.state) {
                Some(State::Undecided(missing)) => missing.iter().map(|m| m.fact).collect(),
                other => panic!("{other:?}"),
            }
        };
        assert_eq!(asked(beside(LARGE, of(128, None))), [Fact::DramMaker]);
        assert!(beside(LARGE, of(64, None)).silent(ID));
        let untold = ModuleFacts {
            capacity: None,
            ..of(64, Some("other"))
        };
        assert_eq!(asked(beside(LARGE, untold)), [Fact::Capacity]);
        // Whatever its capacity, the maker is the same.
        let same = ModuleFacts {
            capacity: None,
            ..of(64, Some("one"))
        };
        assert!(beside(LARGE, same).silent(ID));
        let unknown = beside(Limit::Unknown, of(64, Some("other")));
        assert_eq!(asked(unknown), [Fact::BoardLimit]);
    }

    #[test]
    fn advice_stays_a_warning_where_the_capacity_is_unknown() {
        let mut case = from(Limit::Unknown);
        case.board.mixing.dram_makers.channel = Mix::Discouraged;
        let checked = case
            .seat(of(32, Some("one")), &["A1"])
            .seat(of(32, Some("other")), &["A2"])
            .check();
        assert!(checked.leaves_open(ID));
        assert!(
            checked
                .findings
                .iter()
                .all(|f| f.rule.id != ID || !f.blocks())
        );
    }
}
