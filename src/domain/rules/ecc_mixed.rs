//! Modules with ECC together with modules without.

use super::super::board::EccNeed;
use super::super::board::Limit;
use super::super::board::policy::{Mix, MixPolicy};
use super::super::finding::{Fact, Severity, Value};
use super::fitting::has_ecc;
use super::mixing::{Aspect, Key, mixing_checks};
use super::{Check, Group, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "ecc-mixed",
    group: Group::Mix,
    severity: Severity::Blocker,
    title: "Modules with and without ECC mixed",
    doc: "A channel corrects errors only if every module has check bits. With one module without ECC the server either does \
          not start or runs all memory without correction, unnoticed. On a board that needs or refuses ECC the module \
          itself is refused.",
    source: "published guide P1, section 2.8 forbids the mix; published firmware source F3 turns ECC off",
    reads: &[Fact::Kind, Fact::EccBits],
    message: "{ $place }: modules { $found } are mixed. This board's maker wants modules on { $scope } either all with ECC or all without.",
    asks: "whether modules with and without ECC come together",
    checks: mixing_checks!(ASPECT),
    breaks: r#"{"board": "delta", "population": [{"slot": "A1", "module": "ERW-5E16-1x8"}, {"slot": "B1", "module": {"generation": "DDR5", "kind": "UDIMM", "capacity_mib": 16384, "package_ranks": 1, "width": "x8", "stack_height": 1}}]}"#,
    meets: r#"{"board": "delta", "population": [{"slot": "A1", "module": "ERW-5E16-1x8"}, {"slot": "B1", "module": "ERW-5E16-1x8"}]}"#,
};

static ASPECT: Aspect = Aspect {
    policy: |board| match board.ecc {
        EccNeed::Either => board.mixing.ecc,
        EccNeed::Required | EccNeed::Refused if board.lowers("ecc-differs") => board.mixing.ecc,
        // `ecc-differs` refuses the module itself.
        EccNeed::Required | EccNeed::Refused => MixPolicy::everywhere(Mix::Allowed),
    },
    from: |_| Limit::None,
    fact: Fact::Kind,
    key: |module| Key::number(has_ecc(module)),
    show: |module| {
        Value::Word(if has_ecc(module) == Some(true) {
            "with ECC"
        } else {
            "without ECC"
        })
    },
    discouraged: Severity::Warning,
};

#[cfg(test)]
mod tests {
    use crate::domain::board::policy::{Mix, MixPolicy};
    use crate::domain::finding::Severity;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module};

    fn case(mix: Mix) -> Case {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        board.mixing.ecc = MixPolicy::everywhere(mix);
        board.ecc = crate::domain::board::EccNeed::Either;
        board
            .accepts
            .push(crate::domain::testing::accepts(Kind::Udimm));
        Case::on(board)
    }

    fn of(kind: Kind) -> ModuleFacts {
        module(Generation::Ddr3, kind, 16, 2)
    }

    #[test]
    fn refuses_a_module_without_ecc_beside_one_with() {
        let case = || case(Mix::Forbidden).seat(of(Kind::EccUdimm), &["A1"]);
        let mixed = case().seat(of(Kind::Udimm), &["B1"]).check();
        assert_eq!(mixed.severities("ecc-mixed"), [Severity::Blocker]);
        let alike = case().seat(of(Kind::EccUdimm), &["B1"]).check();
        assert!(alike.silent("ecc-mixed"), "{:?}", alike.findings);
    }

    #[test]
    fn is_silent_where_the_board_refuses_the_module_itself() {
        let mut case = case(Mix::Forbidden);
        case.board.ecc = crate::domain::board::EccNeed::Required;
        let checked = case
            .seat(of(Kind::EccUdimm), &["A1"])
            .seat(of(Kind::Udimm), &["B1"])
            .check();
        assert!(checked.breaks("ecc-differs") && !checked.breaks("ecc-mixed"));
    }

    #[test]
    fn an_untold_kind_is_undecided_unless_the_ecc_bits_tell() {
        let told = |ecc_bits| ModuleFacts {
            kind: None,
            ecc_bits,
            ..of(Kind::EccUdimm)
        };
        let case = || case(Mix::Forbidden).seat(of(Kind::EccUdimm), &["A1"]);
        let open = case().seat(told(None), &["B1"]).check();
        assert!(open.leaves_open("ecc-mixed"));
        let without = case().seat(told(Some(0)), &["B1"]).check();
        assert!(without.breaks("ecc-mixed"));
    }
}
