//! A module of a kind that the board does not take.

use super::super::board::EccNeed;
use super::super::finding::{Fact, Severity, Value};
use super::super::module::Kind;
use super::super::setup::Facet;
use super::fitting::{check_facet, has_ecc, kinds};
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "kind-not-taken",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "A kind of module that the board does not take",
    doc: "UDIMM, RDIMM and LRDIMM put different circuits between the devices and the channel, and the memory \
          controller must be built and set up for them. Modules of another kind do not start, even though they may \
          go into the slot.",
    source: "published guide P1, section 2.8; the kinds that a board takes are its record's",
    reads: &[Fact::Kind],
    message: "{ $module } is of the kind { $found }. This board takes { $taken } and does not start with another kind.",
    asks: "whether the board takes this kind of module",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "beck", "population": [{"slot": "A1", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "beck", "population": [{"slot": "A1", "module": "ERW-3E8-2x8"}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    if only_ecc_is_wrong(view) {
        return;
    }
    check_facet(
        view,
        hits,
        Facet::Kind,
        |module| module.kind.map(|kind| Value::Word(kind.name())),
        |rows| {
            let words = kinds(rows).into_iter();
            words.map(|kind| Value::Word(kind.name())).collect()
        },
    );
}

/// Whether `ecc-differs` already says it: the same build with the other answer to ECC is taken.
fn only_ecc_is_wrong(view: &PartView<'_>) -> bool {
    let needed = match view.board().ecc {
        EccNeed::Required => true,
        EccNeed::Refused => false,
        EccNeed::Either => return false,
    };
    let flipped = view.module.kind.and_then(Kind::with_ecc_flipped);
    has_ecc(view.module).is_some_and(|ecc| ecc != needed)
        && flipped.is_some_and(|kind| view.board().accepts.iter().any(|row| row.kind == kind))
}

#[cfg(test)]
mod tests {
    use crate::domain::finding::{Fact, Fix, Value};
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, accepts, board, module, rdimm};

    fn takes_only(kind: Kind) -> Case {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        board.accepts = vec![accepts(kind)];
        Case::on(board)
    }

    #[test]
    fn refuses_an_rdimm_where_only_ecc_udimms_are_taken_and_says_what_is() {
        let checked = takes_only(Kind::EccUdimm)
            .seat(rdimm(16, 2), &["A1"])
            .check();
        let finding = checked.finding("kind-not-taken").expect("a finding");
        assert!(checked.breaks("kind-not-taken"));
        let wanted = Value::OneOf(vec![Value::Word("ECC UDIMM")]);
        assert!(
            matches!(&finding.fixes[0].fix, Fix::ChooseOther { needs, .. } if *needs == [(Fact::Kind, wanted)])
        );
    }

    #[test]
    fn is_silent_where_only_the_ecc_is_wrong() {
        let udimm = module(Generation::Ddr3, Kind::Udimm, 8, 2);
        let checked = takes_only(Kind::EccUdimm)
            .seat(udimm.clone(), &["A1"])
            .check();
        assert!(checked.breaks("ecc-differs") && !checked.breaks("kind-not-taken"));
        // On a board for RDIMM the kind is wrong as well.
        let checked = takes_only(Kind::Rdimm).seat(udimm, &["A1"]).check();
        assert!(checked.breaks("kind-not-taken"));
    }

    #[test]
    fn an_untold_kind_is_undecided() {
        let unknown = ModuleFacts {
            kind: None,
            ecc_bits: Some(8),
            ..rdimm(16, 2)
        };
        let checked = takes_only(Kind::Rdimm).seat(unknown, &["A1"]).check();
        assert!(checked.leaves_open("kind-not-taken"));
    }

    #[test]
    fn takes_a_kind_of_its_list() {
        let checked = takes_only(Kind::Rdimm).seat(rdimm(16, 2), &["A1"]).check();
        assert!(checked.silent("kind-not-taken"), "{:?}", checked.findings);
    }
}
