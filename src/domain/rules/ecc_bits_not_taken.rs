//! A module with a number of ECC bits that the board does not take.

use super::super::finding::{Fact, Severity, Value};
use super::super::setup::Facet;
use super::fitting::{check_facet, values};
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "ecc-bits-not-taken",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "A number of ECC bits that the board does not take",
    doc: "A DDR5 module with ECC has four (EC4) or eight (EC8) check bits on each sub-channel. The correction that a memory \
          controller computes is made for one of them, and a board may take only that.",
    source: "common practice; the ECC bits that a board takes are its record's",
    reads: &[
        Fact::Kind,
        Fact::Capacity,
        Fact::PackageRanks,
        Fact::Width,
        Fact::StackHeight,
        Fact::DieDensity,
        Fact::EccBits,
    ],
    message: "{ $module } has an ECC width of { $found } bits on each sub-channel. Of modules otherwise like it, this board takes those with an ECC width of { $taken } bits.",
    asks: "whether the board takes modules with this number of ECC bits",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "firth", "kit": [{"module": "ERW-5R64-2x4-EC4", "quantity": 1}]}"#,
    meets: r#"{"board": "firth", "kit": [{"module": "ERW-5R64-2x4", "quantity": 1}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    check_facet(
        view,
        hits,
        Facet::EccBits,
        |module| module.ecc_bits.map(|bits| Value::Count(u64::from(bits))),
        |rows| {
            values(
                rows,
                |row| row.ecc_bits.as_ref(),
                |bits| Value::Count(u64::from(bits)),
            )
        },
    );
}

#[cfg(test)]
mod tests {
    use super::super::fitting::asked::{leaves_open_only_if_listed, taken_instead, takes};
    use crate::domain::board::accept::AcceptRow;
    use crate::domain::finding::Value;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{accepts, module};

    const ID: &str = "ecc-bits-not-taken";

    fn ecc_bits(bits: u8) -> ModuleFacts {
        ModuleFacts {
            ecc_bits: Some(bits),
            ..module(Generation::Ddr5, Kind::Rdimm, 64, 2)
        }
    }

    fn row() -> AcceptRow {
        AcceptRow {
            ecc_bits: Some(vec![8]),
            ..accepts(Kind::Rdimm)
        }
    }

    #[test]
    fn refuses_ec4_where_only_ec8_is_listed() {
        let listed = vec![Value::Count(8)];
        assert_eq!(taken_instead(ID, row(), ecc_bits(4)), Value::OneOf(listed));
    }

    #[test]
    fn takes_ec8_where_it_is_listed() {
        takes(ID, row(), ecc_bits(8));
    }

    #[test]
    fn untold_ecc_bits_are_undecided_only_where_the_board_lists_them() {
        let unknown = ModuleFacts {
            ecc_bits: None,
            ..ecc_bits(8)
        };
        leaves_open_only_if_listed(ID, row(), unknown);
    }
}
