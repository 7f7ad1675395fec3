//! A stacked module on a board that takes flat ones, or another stack height.

use super::super::finding::{Fact, Severity};
use super::super::setup::Facet;
use super::fitting::{check_facet, stack_words, values};
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "stack-not-taken",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "A stack height that the board does not take",
    doc: "In a stacked module (3DS) each rank has several dies behind one load, and the memory controller must send extra \
          chip ids to reach them. A board that does not know a stack height reaches a part of the module at best. \
          Two dies side by side in one package are not a stack in this sense.",
    source: "common practice; the stack heights that a board takes are its record's",
    reads: &[
        Fact::Kind,
        Fact::Capacity,
        Fact::PackageRanks,
        Fact::Width,
        Fact::StackHeight,
    ],
    message: "{ $module } is { $found }. Of modules otherwise like it, this board takes those that are { $taken }.",
    asks: "whether the board takes modules of this stack height",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "tarn", "kit": [{"module": {"generation": "DDR3", "kind": "RDIMM", "stack_height": 2}, "quantity": 1}]}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 1}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    check_facet(
        view,
        hits,
        Facet::Stack,
        |module| module.stack_height.map(stack_words),
        |rows| values(rows, |row| row.stacks.as_ref(), stack_words),
    );
}

#[cfg(test)]
mod tests {
    use super::super::fitting::asked::{leaves_open_only_if_listed, taken_instead, takes};
    use crate::domain::board::accept::AcceptRow;
    use crate::domain::finding::Value;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{accepts, module};

    const ID: &str = "stack-not-taken";

    fn stack_of(height: u8) -> ModuleFacts {
        ModuleFacts {
            stack_height: Some(height),
            ..module(Generation::Ddr4, Kind::Rdimm, 128, 2)
        }
    }

    fn row() -> AcceptRow {
        AcceptRow {
            stacks: Some(vec![1, 4]),
            ..accepts(Kind::Rdimm)
        }
    }

    #[test]
    fn refuses_a_stack_of_two_where_flat_and_four_are_listed() {
        let listed = vec![Value::Word("flat"), Value::Text("3DS 4H".into())];
        assert_eq!(taken_instead(ID, row(), stack_of(2)), Value::OneOf(listed));
    }

    #[test]
    fn takes_a_stack_height_of_the_list() {
        takes(ID, row(), stack_of(4));
    }

    #[test]
    fn an_untold_stack_height_is_undecided_only_where_the_board_lists_stacks() {
        let unknown = ModuleFacts {
            stack_height: None,
            ..stack_of(4)
        };
        leaves_open_only_if_listed(ID, row(), unknown);
    }
}
