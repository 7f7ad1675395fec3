//! A module of a capacity that the board does not take.

use super::super::finding::{Fact, Severity, Value};
use super::super::setup::Facet;
use super::fitting::{check_facet, values};
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "capacity-not-taken",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "A capacity that the board does not take",
    doc: "A memory controller addresses modules up to a certain size, and makers release the sizes that they have \
          tested. A module of another capacity is not set up, or not in full.",
    source: "the capacities that a board takes are its record's; common practice",
    reads: &[Fact::Kind, Fact::Capacity],
    message: "{ $module } holds { $found }. Of its kind, this board takes modules of { $taken }.",
    asks: "whether the board takes modules of this capacity",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "tarn", "kit": [{"module": {"generation": "DDR3", "kind": "RDIMM", "capacity_mib": 131072}, "quantity": 1}]}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 1}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    check_facet(
        view,
        hits,
        Facet::Capacity,
        |module| module.capacity.map(Value::Capacity),
        |rows| values(rows, |row| row.capacities.as_ref(), Value::Capacity),
    );
}

#[cfg(test)]
mod tests {
    use super::super::fitting::asked::{leaves_open_only_if_listed, taken_instead, takes};
    use crate::domain::board::accept::AcceptRow;
    use crate::domain::finding::Value;
    use crate::domain::module::{Kind, ModuleFacts};
    use crate::domain::testing::{accepts, rdimm};
    use crate::domain::units::{Gigabits, Mib};

    const ID: &str = "capacity-not-taken";

    fn row() -> AcceptRow {
        AcceptRow {
            capacities: Some(vec![Mib::gib(16), Mib::gib(8)]),
            ..accepts(Kind::Rdimm)
        }
    }

    #[test]
    fn refuses_a_capacity_that_no_row_lists_and_names_those_that_are() {
        let listed = vec![Value::Capacity(Mib::gib(8)), Value::Capacity(Mib::gib(16))];
        assert_eq!(taken_instead(ID, row(), rdimm(32, 2)), Value::OneOf(listed));
    }

    #[test]
    fn takes_a_capacity_of_the_list() {
        takes(ID, row(), rdimm(16, 2));
    }

    #[test]
    fn an_untold_capacity_is_undecided_only_where_the_board_lists_capacities() {
        let unknown = ModuleFacts {
            capacity: None,
            die_density: Some(Gigabits(4)),
            ..rdimm(16, 2)
        };
        leaves_open_only_if_listed(ID, row(), unknown);
    }
}
