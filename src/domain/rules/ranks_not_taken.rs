//! A module with a rank count that the board does not take.

use super::super::finding::{Fact, Severity, Value};
use super::super::setup::Facet;
use super::fitting::{check_facet, values};
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "ranks-not-taken",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "A rank count that the board does not take",
    doc: "Each rank needs a chip select of its own in the slot, and some boards wire fewer than a module with many ranks \
          needs. The ranks that are not wired are never reached.",
    source: "published guide P1, tables 61 to 65 (rank counts by slot); the counts that a board takes are its record's",
    reads: &[Fact::Kind, Fact::Capacity, Fact::PackageRanks],
    message: "{ $module } has a rank count of { $found }. Of modules like it in kind and capacity, this board takes those with a rank count of { $taken }.",
    asks: "whether the board takes modules with this number of ranks",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "tarn", "kit": [{"module": {"generation": "DDR3", "kind": "RDIMM", "package_ranks": 8}, "quantity": 1}]}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 1}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    check_facet(
        view,
        hits,
        Facet::Ranks,
        |module| {
            module
                .package_ranks
                .map(|ranks| Value::Count(u64::from(ranks)))
        },
        |rows| {
            values(
                rows,
                |row| row.ranks.as_ref(),
                |ranks| Value::Count(u64::from(ranks)),
            )
        },
    );
}

#[cfg(test)]
mod tests {
    use super::super::fitting::asked::{leaves_open_only_if_listed, taken_instead, takes};
    use crate::domain::board::accept::AcceptRow;
    use crate::domain::finding::Value;
    use crate::domain::module::{Kind, ModuleFacts};
    use crate::domain::testing::{accepts, rdimm};

    const ID: &str = "ranks-not-taken";

    fn row() -> AcceptRow {
        AcceptRow {
            ranks: Some(vec![1, 2]),
            ..accepts(Kind::Rdimm)
        }
    }

    #[test]
    fn refuses_a_quad_rank_module_where_one_and_two_ranks_are_listed() {
        let listed = vec![Value::Count(1), Value::Count(2)];
        assert_eq!(taken_instead(ID, row(), rdimm(32, 4)), Value::OneOf(listed));
    }

    #[test]
    fn takes_a_rank_count_of_the_list() {
        takes(ID, row(), rdimm(16, 2));
    }

    #[test]
    fn an_untold_rank_count_is_undecided_only_where_the_board_lists_ranks() {
        let unknown = ModuleFacts {
            package_ranks: None,
            ..rdimm(16, 2)
        };
        leaves_open_only_if_listed(ID, row(), unknown);
    }
}
