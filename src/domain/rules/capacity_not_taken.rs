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
    use crate::domain::board::accept::AcceptRow;
    use crate::domain::finding::Value;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, accepts, board, rdimm};
    use crate::domain::units::Mib;

    fn takes(rows: Vec<AcceptRow>) -> Case {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        board.accepts = rows;
        Case::on(board)
    }

    fn row() -> AcceptRow {
        AcceptRow {
            capacities: Some(vec![Mib::gib(16), Mib::gib(8)]),
            ..accepts(Kind::Rdimm)
        }
    }

    #[test]
    fn refuses_a_capacity_that_no_row_lists_and_names_those_that_are() {
        let checked = takes(vec![row()]).seat(rdimm(32, 2), &["A1"]).check();
        assert!(
            checked.breaks("capacity-not-taken"),
            "{:?}",
            checked.findings
        );
        let finding = checked.finding("capacity-not-taken").expect("a finding");
        assert_eq!(
            finding.params[2],
            (
                "taken",
                Value::OneOf(vec![
                    Value::Capacity(Mib::gib(8)),
                    Value::Capacity(Mib::gib(16))
                ])
            )
        );
    }

    #[test]
    fn takes_a_capacity_of_the_list() {
        let checked = takes(vec![row()]).seat(rdimm(16, 2), &["A1"]).check();
        assert!(
            checked.silent("capacity-not-taken"),
            "{:?}",
            checked.findings
        );
    }

    #[test]
    fn an_untold_capacity_is_undecided_only_where_the_board_lists_capacities() {
        let unknown = ModuleFacts {
            capacity: None,
            die_density: Some(crate::domain::units::Gigabits(4)),
            ..rdimm(16, 2)
        };
        let checked = takes(vec![row()]).seat(unknown.clone(), &["A1"]).check();
        assert!(checked.leaves_open("capacity-not-taken"));
        let any = takes(vec![accepts(Kind::Rdimm)])
            .seat(unknown, &["A1"])
            .check();
        assert!(!any.leaves_open("capacity-not-taken"));
    }
}
