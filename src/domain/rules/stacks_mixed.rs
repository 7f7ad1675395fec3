//! Stacked modules together with flat ones, or with others of another height.

use super::super::board::Limit;
use super::super::finding::{Fact, Severity, Value};
use super::fitting::stack_words;
use super::mixing::{Aspect, Key, mixing_checks};
use super::{Check, Group, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "stacks-mixed",
    group: Group::Mix,
    severity: Severity::Blocker,
    title: "Stacked and flat modules mixed",
    doc: "A stacked module (3DS) is addressed with extra chip ids and has other timing than a flat one. Makers forbid flat \
          with stacked modules and stacks of different heights, in a channel and mostly in the whole server. Two dies in \
          one package are not a stack in this sense.",
    source: "published firmware source F2 compares stack types on a port; for whole servers common practice",
    reads: &[Fact::StackHeight],
    message: "{ $place }: { $found } modules are mixed. This board's maker wants modules of one stack height on { $scope }.",
    asks: "whether stacked and flat modules come together",
    checks: mixing_checks!(ASPECT),
    breaks: r#"{"board": "mere", "population": [{"slot": "A1", "module": "ERW-4R128-2S4x4"}, {"slot": "B1", "module": "ERW-4R32-2x4"}]}"#,
    meets: r#"{"board": "mere", "population": [{"slot": "A1", "module": "ERW-4R128-2S4x4"}, {"slot": "B1", "module": "ERW-4R128-2S4x4"}]}"#,
};

static ASPECT: Aspect = Aspect {
    policy: |board| board.mixing.stacks,
    from: |_| Limit::None,
    fact: Fact::StackHeight,
    key: |module| Key::number(module.stack_height),
    show: |module| module.stack_height.map_or(Value::Word("?"), stack_words),
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
        board.mixing.stacks = MixPolicy::everywhere(mix);
        Case::on(board)
    }

    fn stack_of(height: Option<u8>) -> ModuleFacts {
        ModuleFacts {
            stack_height: height,
            ..module(Generation::Ddr4, Kind::Rdimm, 128, 2)
        }
    }

    #[test]
    fn refuses_flat_with_stacked_and_stacks_of_two_heights() {
        for (one, other) in [(1, 2), (2, 4)] {
            let checked = case(Mix::Forbidden)
                .seat(stack_of(Some(one)), &["A1"])
                .seat(stack_of(Some(other)), &["B1"])
                .check();
            assert_eq!(checked.severities("stacks-mixed"), [Severity::Blocker]);
        }
    }

    #[test]
    fn takes_stacks_of_one_height() {
        let checked = case(Mix::Forbidden)
            .seat(stack_of(Some(4)), &["A1", "B1"])
            .check();
        assert!(checked.silent("stacks-mixed"), "{:?}", checked.findings);
    }

    #[test]
    fn an_untold_stack_height_is_undecided() {
        let checked = case(Mix::Forbidden)
            .seat(stack_of(Some(1)), &["A1"])
            .seat(stack_of(None), &["B1"])
            .check();
        assert!(checked.leaves_open("stacks-mixed"));
    }
}
