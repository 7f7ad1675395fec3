//! A module without ECC on a board that needs it, or the other way round.

use super::super::board::EccNeed;
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::super::module::Kind;
use super::fitting::{has_ecc, is_foreign};
use super::{Check, Group, Hits, PartView, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "ecc-differs",
    group: Group::Fit,
    severity: Severity::Blocker,
    title: "ECC is not what the board needs",
    doc: "Modules with ECC carry extra devices for check bits. A board that corrects errors needs them on every \
          module and does not start with others; a board without ECC may refuse modules that have it. The on-die \
          correction of a DDR5 device is not ECC.",
    source: "published guide P1, section 2.8; what a board needs is its record's",
    reads: &[Fact::Kind, Fact::EccBits],
    message: "{ $module } is a module { $found } ECC, but this board starts only with modules { $needed } ECC. Choose a module { $needed } ECC.",
    asks: "whether the module has the ECC that the board needs",
    checks: &[Check::Part(check)],
    breaks: r#"{"board": "beck", "population": [{"slot": "A1", "module": {"generation": "DDR3", "kind": "UDIMM"}}]}"#,
    meets: r#"{"board": "beck", "population": [{"slot": "A1", "module": "ERW-3E8-2x8"}]}"#,
};

fn check(view: &PartView<'_>, hits: &mut Hits) {
    let needed = match view.board().ecc {
        EccNeed::Required => true,
        EccNeed::Refused => false,
        EccNeed::Either => return,
    };
    if is_foreign(view) {
        return;
    }
    match has_ecc(view.module) {
        None => hits.undecided(&[Missing::of(view.part, Fact::Kind)]),
        Some(found) if found == needed => hits.met(),
        Some(found) => hits.broken(|draft| {
            draft
                .param("module", Value::Part(view.part))
                .param("found", with(found))
                .param("needed", with(needed))
                .part(view.part)
                .fix(Fix::ChooseOther {
                    part: view.part,
                    needs: vec![wanted(view, needed)],
                })
        }),
    }
}

const fn with(ecc: bool) -> Value {
    Value::Word(if ecc { "with" } else { "without" })
}

/// The kind to look for: the same build with the other answer to ECC if the board takes it.
fn wanted(view: &PartView<'_>, needed: bool) -> (Fact, Value) {
    let accepts = |kind: &Kind| view.board().accepts.iter().any(|row| row.kind == *kind);
    let flipped = view.module.kind.and_then(Kind::with_ecc_flipped);
    let kinds = match flipped.filter(|kind| kind.has_ecc() == needed && accepts(kind)) {
        Some(kind) => vec![kind],
        None => Kind::ALL
            .into_iter()
            .filter(|kind| kind.has_ecc() == needed && accepts(kind))
            .collect(),
    };
    let words = kinds.into_iter().map(|kind| Value::Word(kind.name()));
    (Fact::Kind, Value::OneOf(words.collect()))
}

#[cfg(test)]
mod tests {
    use crate::domain::board::EccNeed;

    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, accepts, board, module, rdimm};

    fn on(ecc: EccNeed, facts: ModuleFacts) -> crate::domain::testing::Checked {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        board.ecc = ecc;
        board.accepts.push(accepts(Kind::Udimm));
        Case::on(board).seat(facts, &["A1"]).check()
    }

    fn udimm() -> ModuleFacts {
        module(Generation::Ddr3, Kind::Udimm, 8, 2)
    }

    #[test]
    fn a_board_that_needs_ecc_refuses_a_module_without() {
        assert!(on(EccNeed::Required, udimm()).breaks("ecc-differs"));
        assert!(!on(EccNeed::Either, udimm()).breaks("ecc-differs"));
        let ecc = module(Generation::Ddr3, Kind::EccUdimm, 8, 2);
        assert!(on(EccNeed::Refused, ecc.clone()).breaks("ecc-differs"));
        assert!(on(EccNeed::Required, ecc).silent("ecc-differs"));
    }

    #[test]
    fn ecc_bits_tell_even_if_the_kind_is_not_known() {
        let bare = ModuleFacts {
            kind: None,
            ecc_bits: Some(0),
            ..rdimm(8, 2)
        };
        assert!(on(EccNeed::Required, bare).breaks("ecc-differs"));
    }

    #[test]
    fn without_kind_and_ecc_bits_it_is_undecided() {
        let unknown = ModuleFacts {
            kind: None,
            ..rdimm(8, 2)
        };
        let checked = on(EccNeed::Required, unknown);
        assert!(checked.leaves_open("ecc-differs"));
    }
}
