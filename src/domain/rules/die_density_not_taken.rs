//! A module of dies of a density that the board does not take.

use super::super::finding::{Fact, Severity, Value};
use super::super::setup::Facet;
use super::fitting::{check_facet, values};
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "die-density-not-taken",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "A die density that the board does not take",
    doc: "Denser dies need more address bits and longer refresh times. A memory controller that is older than the die \
          does not know them, so a module of the right capacity may still be unusable.",
    source: "common practice; the die densities that a board takes are its record's",
    reads: &[
        Fact::Kind,
        Fact::Capacity,
        Fact::PackageRanks,
        Fact::Width,
        Fact::StackHeight,
        Fact::DieDensity,
    ],
    message: "{ $module } has dies of { $found }. Of modules otherwise like it, this board takes those with dies of { $taken }.",
    asks: "whether the board takes modules of this die density",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "tarn", "kit": [{"module": {"generation": "DDR3", "kind": "RDIMM", "die_gbit": 8}, "quantity": 1}]}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 1}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    check_facet(
        view,
        hits,
        Facet::DieDensity,
        |module| module.die_density.map(Value::Density),
        |rows| values(rows, |row| row.die_densities.as_ref(), Value::Density),
    );
}

#[cfg(test)]
mod tests {
    use crate::domain::board::accept::AcceptRow;
    use crate::domain::finding::Value;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, accepts, board, rdimm};
    use crate::domain::units::Gigabits;

    fn takes(rows: Vec<AcceptRow>) -> Case {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        board.accepts = rows;
        Case::on(board)
    }

    fn row() -> AcceptRow {
        AcceptRow {
            die_densities: Some(vec![Gigabits(2), Gigabits(4)]),
            ..accepts(Kind::Rdimm)
        }
    }

    #[test]
    fn refuses_dies_of_8_gbit_where_2_and_4_are_listed() {
        let checked = takes(vec![row()]).seat(rdimm(32, 2), &["A1"]).check();
        assert!(
            checked.breaks("die-density-not-taken"),
            "{:?}",
            checked.findings
        );
        let finding = checked.finding("die-density-not-taken").expect("a finding");
        assert_eq!(
            finding.params[2],
            (
                "taken",
                Value::OneOf(vec![
                    Value::Density(Gigabits(2)),
                    Value::Density(Gigabits(4))
                ])
            )
        );
    }

    #[test]
    fn takes_a_die_density_of_the_list() {
        let checked = takes(vec![row()]).seat(rdimm(16, 2), &["A1"]).check();
        assert!(
            checked.silent("die-density-not-taken"),
            "{:?}",
            checked.findings
        );
    }

    #[test]
    fn an_untold_die_density_is_undecided_only_where_the_board_lists_densities() {
        let unknown = ModuleFacts {
            stack_height: None,
            ..rdimm(16, 2)
        };
        let checked = takes(vec![row()]).seat(unknown.clone(), &["A1"]).check();
        assert!(checked.leaves_open("die-density-not-taken"));
        let any = takes(vec![accepts(Kind::Rdimm)])
            .seat(unknown, &["A1"])
            .check();
        assert!(!any.leaves_open("die-density-not-taken"));
    }
}
