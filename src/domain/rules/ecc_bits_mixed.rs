//! EC4 modules together with EC8 ones.

use super::super::board::Limit;
use super::super::finding::{Fact, Severity, Value};
use super::mixing::{Aspect, Key, mixing_checks};
use super::{Check, Group, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "ecc-bits-mixed",
    group: Group::Mix,
    severity: Severity::Blocker,
    title: "EC4 and EC8 mixed",
    doc: "A DDR5 module has four or eight check bits on each sub-channel. The memory controller computes one code for all: \
          with EC4 among EC8 it falls back to the weaker one, or does not start. Modules without any check bits are another \
          rule's matter.",
    source: "common practice; the policy is the board record's",
    reads: &[Fact::EccBits],
    message: "{ $place }: modules with an ECC width of { $found } bits are mixed. This board's maker wants one ECC width on { $scope }.",
    asks: "whether EC4 and EC8 modules come together",
    checks: mixing_checks!(ASPECT),
    breaks: r#"{"board": "firth", "population": [{"slot": "A1", "module": "ERW-5R64-2x4"}, {"slot": "B1", "module": "ERW-5R64-2x4-EC4"}]}"#,
    meets: r#"{"board": "firth", "population": [{"slot": "A1", "module": "ERW-5R64-2x4"}, {"slot": "B1", "module": "ERW-5R32-1x4"}]}"#,
};

static ASPECT: Aspect = Aspect {
    policy: |board| board.mixing.ecc_bits,
    from: |_| Limit::None,
    fact: Fact::EccBits,
    key: |module| match module.ecc_bits {
        Some(0) => Key::Outside,
        bits => Key::number(bits),
    },
    show: |module| Value::Count(u64::from(module.ecc_bits.unwrap_or(0))),
    discouraged: Severity::Warning,
};

#[cfg(test)]
mod tests {
    use crate::domain::board::policy::{Mix, MixPolicy};
    use crate::domain::finding::Severity;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module};

    fn case(mix: Mix) -> Case {
        let mut board = board(Generation::Ddr5, 1, 2, 2);
        board.mixing.ecc_bits = MixPolicy::everywhere(mix);
        Case::on(board)
    }

    fn bits(ecc_bits: Option<u8>) -> ModuleFacts {
        ModuleFacts {
            ecc_bits,
            ..module(Generation::Ddr5, Kind::Rdimm, 64, 2)
        }
    }

    #[test]
    fn refuses_ec4_with_ec8() {
        let case = |mix| case(mix).seat(bits(Some(8)), &["A1"]);
        let mixed = case(Mix::Forbidden).seat(bits(Some(4)), &["B1"]).check();
        assert_eq!(mixed.severities("ecc-bits-mixed"), [Severity::Blocker]);
        let advised = case(Mix::Discouraged).seat(bits(Some(4)), &["B1"]).check();
        assert_eq!(advised.severities("ecc-bits-mixed"), [Severity::Warning]);
        let alike = case(Mix::Forbidden).seat(bits(Some(8)), &["B1"]).check();
        assert!(alike.silent("ecc-bits-mixed"));
    }

    #[test]
    fn untold_ecc_bits_are_undecided_and_no_ecc_is_not_meant() {
        let case = || case(Mix::Forbidden).seat(bits(Some(8)), &["A1"]);
        let open = case().seat(bits(None), &["B1"]).check();
        assert!(open.leaves_open("ecc-bits-mixed"));
        let udimm = module(Generation::Ddr5, Kind::Udimm, 64, 2);
        assert!(!case().seat(udimm, &["B1"]).check().breaks("ecc-bits-mixed"));
    }
}
