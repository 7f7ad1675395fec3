//! Modules of different kinds together.

use super::super::board::Limit;
use super::super::finding::{Fact, Severity, Value};
use super::super::module::Kind;
use super::mixing::{Aspect, Key, mixing_checks};
use super::{Check, Group, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "kinds-mixed",
    group: Group::Mix,
    severity: Severity::Blocker,
    title: "Kinds of modules mixed",
    doc: "The memory controller sets a channel up for one kind of module: RDIMM and LRDIMM, or either with UDIMM, need \
          different commands and timing. Makers forbid the mix in a whole server, and the server does not start with it. \
          Modules with and without ECC are another rule's matter.",
    source: "published guide P1, section 2.8; published firmware source F3 refuses the mix",
    reads: &[Fact::Kind],
    message: "{ $place }: { $found } are mixed. This board's maker wants modules of one kind on { $scope }.",
    asks: "whether modules of different kinds come together",
    checks: mixing_checks!(ASPECT),
    breaks: r#"{"board": "tarn", "population": [{"slot": "A1", "module": "ERW-3R32-4x4"}, {"slot": "B1", "module": "ERW-3L32-4x4"}]}"#,
    meets: r#"{"board": "tarn", "population": [{"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "B1", "module": "ERW-3R32-4x4"}]}"#,
};

static ASPECT: Aspect = Aspect {
    policy: |board| board.mixing.kinds,
    from: |_| Limit::None,
    fact: Fact::Kind,
    key: |module| Key::number(module.kind.map(|kind| build(kind) as u64)),
    show: |module| Value::Word(module.kind.map_or("?", |kind| build(kind).name())),
    discouraged: Severity::Warning,
};

/// The kind with ECC aside.
const fn build(kind: Kind) -> Kind {
    match kind.with_ecc_flipped() {
        Some(flipped) if kind.has_ecc() => flipped,
        _ => kind,
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::board::policy::{Mix, MixPolicy};
    use crate::domain::finding::Severity;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module};

    fn case(mix: Mix) -> Case {
        let mut board = board(Generation::Ddr3, 1, 2, 2);
        board.mixing.kinds = MixPolicy::everywhere(mix);
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
    fn refuses_rdimm_with_lrdimm() {
        // Published guide P1, section 2.8 (ddr3-checks MIX-01 has RDIMM with UDIMM).
        for other in [Kind::Lrdimm, Kind::EccUdimm, Kind::Udimm] {
            let checked = case(Mix::Forbidden)
                .seat(of(Kind::Rdimm), &["A1"])
                .seat(of(other), &["B1"])
                .check();
            let broken = checked.broken();
            assert!(
                broken.contains(&("kinds-mixed", Severity::Blocker)),
                "{broken:?}"
            );
        }
    }

    #[test]
    fn takes_udimms_with_and_without_ecc_for_one_kind() {
        let checked = case(Mix::Forbidden)
            .seat(of(Kind::Udimm), &["A1"])
            .seat(of(Kind::EccUdimm), &["B1"])
            .check();
        assert!(checked.silent("kinds-mixed"), "{:?}", checked.findings);
    }

    #[test]
    fn an_untold_kind_is_undecided() {
        let unknown = ModuleFacts {
            kind: None,
            ..of(Kind::Rdimm)
        };
        let checked = case(Mix::Forbidden)
            .seat(of(Kind::Rdimm), &["A1"])
            .seat(unknown, &["B1"])
            .check();
        assert!(checked.leaves_open("kinds-mixed"));
    }
}
