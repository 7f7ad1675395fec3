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
    use super::super::fitting::asked::{leaves_open_only_if_listed, taken_instead, takes};
    use crate::domain::board::accept::AcceptRow;
    use crate::domain::finding::Value;
    use crate::domain::module::{Kind, ModuleFacts};
    use crate::domain::testing::{accepts, rdimm};
    use crate::domain::units::Gigabits;

    const ID: &str = "die-density-not-taken";

    fn row() -> AcceptRow {
        AcceptRow {
            die_densities: Some(vec![Gigabits(2), Gigabits(4)]),
            ..accepts(Kind::Rdimm)
        }
    }

    #[test]
    fn refuses_dies_of_8_gbit_where_2_and_4_are_listed() {
        let listed = vec![Value::Density(Gigabits(2)), Value::Density(Gigabits(4))];
        assert_eq!(taken_instead(ID, row(), rdimm(32, 2)), Value::OneOf(listed));
    }

    #[test]
    fn takes_a_die_density_of_the_list() {
        takes(ID, row(), rdimm(16, 2));
    }

    #[test]
    fn an_untold_die_density_is_undecided_only_where_the_board_lists_densities() {
        let unknown = ModuleFacts {
            stack_height: None,
            ..rdimm(16, 2)
        };
        leaves_open_only_if_listed(ID, row(), unknown);
    }
}
