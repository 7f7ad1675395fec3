//! Modules of different device widths together.

use super::super::board::Limit;
use super::super::finding::{Fact, Severity, Value};
use super::mixing::{Aspect, Key, mixing_checks};
use super::{Check, Group, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "widths-mixed",
    group: Group::Mix,
    severity: Severity::Blocker,
    title: "Device widths mixed",
    doc: "Modules of x4 and x8 devices drive their strobes differently and correct errors over different symbols. Some \
          memory controllers take both anywhere, some not in one channel, some not in one server.",
    source: "published firmware source F2: one width on a port; published guide P1, section 2.8.9.5 takes both; the policy is the board record's",
    reads: &[Fact::Width],
    message: "{ $place }: modules of { $found } devices are mixed. This board's maker wants modules of one device width on { $scope }.",
    asks: "whether modules of different device widths come together",
    checks: mixing_checks!(ASPECT),
    breaks: r#"{"board": "mere", "population": [{"slot": "A1", "module": "ERW-4R32-2x4"}, {"slot": "A2", "module": "ERW-4R16-2x8"}]}"#,
    meets: r#"{"board": "mere", "population": [{"slot": "A1", "module": "ERW-4R32-2x4"}, {"slot": "A2", "module": "ERW-4R16-1x4"}]}"#,
};

static ASPECT: Aspect = Aspect {
    policy: |board| board.mixing.widths,
    from: |_| Limit::None,
    fact: Fact::Width,
    key: |module| Key::number(module.width.map(|width| width.bits())),
    show: |module| Value::Word(module.width.map_or("?", |width| width.name())),
    discouraged: Severity::Warning,
};

#[cfg(test)]
mod tests {
    use crate::domain::board::policy::{Mix, MixPolicy};

    use crate::domain::module::{Generation, ModuleFacts, Width};
    use crate::domain::testing::{Case, board, rdimm};

    fn x8() -> ModuleFacts {
        ModuleFacts {
            width: Some(Width::X8),
            ..rdimm(16, 2)
        }
    }

    #[test]
    fn keeps_x4_and_x8_apart_by_channel_where_the_board_says_so() {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        board.mixing.widths = MixPolicy {
            channel: Mix::Forbidden,
            ..MixPolicy::everywhere(Mix::Allowed)
        };
        let case = || Case::on(board.clone()).seat(rdimm(16, 2), &["A1"]);
        assert!(case().seat(x8(), &["A2"]).check().breaks("widths-mixed"));
        let apart = case().seat(x8(), &["B1"]).check();
        assert!(apart.silent("widths-mixed"), "{:?}", apart.findings);
    }

    #[test]
    fn takes_both_in_a_channel_where_the_board_allows_it() {
        // Published guide P1, section 2.8.9.5 (ddr3-checks MIX-04).
        let checked = Case::on(board(Generation::Ddr3, 1, 2, 2))
            .seat(rdimm(16, 2), &["A1"])
            .seat(x8(), &["A2"])
            .check();
        assert!(checked.silent("widths-mixed"));
    }
}
