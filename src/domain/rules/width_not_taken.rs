//! A module of devices of a width that the board does not take.

use super::super::finding::{Fact, Severity, Value};
use super::super::setup::Facet;
use super::fitting::{check_facet, values};
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "width-not-taken",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "A device width that the board does not take",
    doc: "The device width decides how many devices make up a rank and how the memory controller corrects errors over \
          them. Boards for servers often take x4 and x8 devices only, some x4 only.",
    source: "published guide P1, table 77 (correction by device width); the widths that a board takes are its record's",
    reads: &[Fact::Kind, Fact::Capacity, Fact::PackageRanks, Fact::Width],
    message: "{ $module } is built of { $found } devices. Of modules otherwise like it, this board takes those of { $taken } devices.",
    asks: "whether the board takes modules of this device width",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "tarn", "kit": [{"module": {"generation": "DDR3", "kind": "RDIMM", "width": "x16"}, "quantity": 1}]}"#,
    meets: r#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 1}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    check_facet(
        view,
        hits,
        Facet::Width,
        |module| module.width.map(|width| Value::Word(width.name())),
        |rows| {
            values(
                rows,
                |row| row.widths.as_ref(),
                |width| Value::Word(width.name()),
            )
        },
    );
}

#[cfg(test)]
mod tests {
    use super::super::fitting::asked::{leaves_open_only_if_listed, taken_instead, takes};
    use crate::domain::board::accept::AcceptRow;
    use crate::domain::finding::Value;
    use crate::domain::module::{Kind, ModuleFacts, Width};
    use crate::domain::testing::{accepts, rdimm};

    const ID: &str = "width-not-taken";

    fn row() -> AcceptRow {
        AcceptRow {
            widths: Some(vec![Width::X4]),
            ..accepts(Kind::Rdimm)
        }
    }

    #[test]
    fn refuses_x8_devices_where_only_x4_are_listed() {
        let x8 = ModuleFacts {
            width: Some(Width::X8),
            ..rdimm(16, 2)
        };
        let listed = vec![Value::Word("x4")];
        assert_eq!(taken_instead(ID, row(), x8), Value::OneOf(listed));
    }

    #[test]
    fn takes_a_width_of_the_list() {
        takes(ID, row(), rdimm(16, 2));
    }

    #[test]
    fn an_untold_width_is_undecided_only_where_the_board_lists_widths() {
        let unknown = ModuleFacts {
            width: None,
            ..rdimm(16, 2)
        };
        leaves_open_only_if_listed(ID, row(), unknown);
    }
}
