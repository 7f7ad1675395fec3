//! Modules of different rank counts together.

use super::super::board::Limit;
use super::super::finding::{Fact, Severity, Value};
use super::mixing::{Aspect, Key, mixing_checks};
use super::{Check, Group, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "ranks-mixed",
    group: Group::Mix,
    severity: Severity::Blocker,
    title: "Rank counts mixed",
    doc: "Modules of different rank counts load the lines of a channel differently. Some memory controllers need equal rank \
          counts on a channel; others take the mix in a set order, often at a lower rate.",
    source: "published firmware source F2: equal package ranks on a port; the policy is the board record's",
    reads: &[Fact::PackageRanks],
    message: "{ $place }: modules with rank counts of { $found } are mixed. This board's maker wants one rank count on { $scope }.",
    asks: "whether modules of different rank counts come together",
    checks: mixing_checks!(ASPECT),
    breaks: r#"{"board": "fjord", "population": [{"slot": "A1", "module": "ERW-4R32-2x4"}, {"slot": "A2", "module": "ERW-4R16-1x4"}]}"#,
    meets: r#"{"board": "fjord", "population": [{"slot": "A1", "module": "ERW-4R32-2x4"}, {"slot": "A2", "module": "ERW-4R32-2x4"}]}"#,
};

static ASPECT: Aspect = Aspect {
    policy: |board| board.mixing.ranks,
    from: |_| Limit::None,
    fact: Fact::PackageRanks,
    key: |module| Key::number(module.package_ranks),
    show: |module| Value::Count(u64::from(module.package_ranks.unwrap_or(0))),
    discouraged: Severity::Warning,
};

#[cfg(test)]
mod tests {
    use crate::domain::board::policy::{Mix, MixPolicy};
    use crate::domain::finding::Severity;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module};

    fn case(mix: Mix) -> Case {
        let mut board = board(Generation::Ddr4, 1, 2, 2);
        board.mixing.ranks = MixPolicy::everywhere(mix);
        Case::on(board)
    }

    fn of(ranks: Option<u8>) -> ModuleFacts {
        ModuleFacts {
            package_ranks: ranks,
            ..module(Generation::Ddr4, Kind::Rdimm, 32, 2)
        }
    }

    #[test]
    fn refuses_single_rank_with_dual_rank() {
        let case = |mix| case(mix).seat(of(Some(1)), &["A1"]);
        let mixed = case(Mix::Forbidden).seat(of(Some(2)), &["A2"]).check();
        assert_eq!(mixed.severities("ranks-mixed"), [Severity::Blocker]);
        let allowed = case(Mix::Allowed).seat(of(Some(2)), &["A2"]).check();
        assert!(allowed.silent("ranks-mixed"));
        let alike = case(Mix::Forbidden).seat(of(Some(1)), &["A2"]).check();
        assert!(alike.silent("ranks-mixed"));
    }

    #[test]
    fn an_untold_rank_count_is_undecided() {
        let checked = case(Mix::Forbidden)
            .seat(of(Some(1)), &["A1"])
            .seat(of(None), &["B1"])
            .check();
        assert!(checked.leaves_open("ranks-mixed"));
    }
}
