//! Modules of dies of different densities together.

use super::super::board::Limit;
use super::super::finding::{Fact, Severity, Value};
use super::mixing::{Aspect, Key, mixing_checks};
use super::{Check, Group, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "die-densities-mixed",
    group: Group::Mix,
    severity: Severity::Blocker,
    title: "Die densities mixed",
    doc: "Dies of different densities have different numbers of rows and banks. Some memory controllers translate addresses \
          for one geometry on a channel only; some DDR5 servers do not take dies of 16 Gbit together with denser ones \
          at all.",
    source: "published firmware source F2: one geometry on a port; the policy is the board record's",
    reads: &[Fact::DieDensity],
    message: "{ $place }: modules with dies of { $found } are mixed. This board's maker wants modules of one die density on { $scope }.",
    asks: "whether modules of different die densities come together",
    checks: mixing_checks!(ASPECT),
    breaks: r#"{"board": "firth", "population": [{"slot": "A1", "module": "ERW-5R64-2x4"}, {"slot": "B1", "module": "ERW-5R48-1x4"}]}"#,
    meets: r#"{"board": "firth", "population": [{"slot": "A1", "module": "ERW-5R64-2x4"}, {"slot": "B1", "module": "ERW-5R32-1x4"}]}"#,
};

static ASPECT: Aspect = Aspect {
    policy: |board| board.mixing.die_densities,
    from: |_| Limit::None,
    fact: Fact::DieDensity,
    key: |module| Key::number(module.die_density.map(|density| density.0)),
    show: |module| module.die_density.map_or(Value::Word("?"), Value::Density),
    discouraged: Severity::Warning,
};

#[cfg(test)]
mod tests {
    use crate::domain::board::policy::{Mix, MixPolicy};
    use crate::domain::finding::Severity;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module};

    fn case(mix: Mix) -> Case {
        let mut board = board(Generation::Ddr5, 1, 2, 2);
        board.mixing.die_densities = MixPolicy::everywhere(mix);
        Case::on(board)
    }

    fn of(gib: u64, ranks: u8) -> ModuleFacts {
        module(Generation::Ddr5, Kind::Rdimm, gib, ranks)
    }

    #[test]
    fn refuses_16_gbit_with_24_gbit_dies() {
        // 64 GiB 2Rx4 is of 16 Gbit dies, 48 GiB 1Rx4 of 24 Gbit ones (capacity arithmetic).
        let case = || case(Mix::Forbidden).seat(of(64, 2), &["A1"]);
        let mixed = case().seat(of(48, 1), &["B1"]).check();
        assert_eq!(mixed.severities("die-densities-mixed"), [Severity::Blocker]);
        let alike = case().seat(of(32, 1), &["B1"]).check();
        assert!(alike.silent("die-densities-mixed"), "{:?}", alike.findings);
    }

    #[test]
    fn an_untold_die_density_is_undecided() {
        let unknown = ModuleFacts {
            stack_height: None,
            ..of(32, 1)
        };
        let checked = case(Mix::Forbidden)
            .seat(of(64, 2), &["A1"])
            .seat(unknown, &["B1"])
            .check();
        assert!(checked.leaves_open("die-densities-mixed"));
    }
}
