//! A quantity that is no multiple of the pack.

use super::super::finding::{Fix, Severity, Value};
use super::super::setup::Setup;
use super::ordered::ordered;
use super::{Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "pack-not-multiple",
    group: Group::Order,
    severity: Severity::Warning,
    title: "Not sold in this quantity",
    doc: "Some modules are sold in packs, for instance in pairs. A quantity that is no multiple of the pack can't be ordered; \
          the next multiple leaves some over.",
    source: "common practice",
    reads: &[],
    message: "{ $part } is sold in packs of { $pack }; the { $quantity } asked for are no multiple of that, { $next } would be.",
    asks: "whether the quantity is a multiple of the pack",
    checks: &[Check::Kit(check)],
    breaks: r#"{"board": "tarn", "kit": [{"quantity": 3, "module": {"name": "pair", "generation": "DDR3", "kind": "RDIMM",
        "capacity_mib": 8192, "package_ranks": 2, "stack_height": 1, "width": "x4", "rate_mts": 1600,
        "supply_mv": [1350, 1500], "pack": 2}}]}"#,
    meets: r#"{"board": "tarn", "kit": [{"quantity": 4, "module": {"name": "pair", "generation": "DDR3", "kind": "RDIMM",
        "capacity_mib": 8192, "package_ranks": 2, "stack_height": 1, "width": "x4", "rate_mts": 1600,
        "supply_mv": [1350, 1500], "pack": 2}}]}"#,
};

fn check(setup: &Setup<'_>, hits: &mut Hits) {
    for own in ordered(setup.request) {
        let Some(pack) = setup.request.part(own.part).and_then(|module| module.pack) else {
            continue;
        };
        let pack = u64::from(pack).max(1);
        let next = own.quantity.div_ceil(pack) * pack;
        if next == own.quantity {
            hits.met();
            continue;
        }
        hits.broken(|draft| {
            let draft = draft
                .param("part", Value::Part(own.part))
                .param("pack", Value::Count(pack))
                .param("quantity", Value::Count(own.quantity))
                .param("next", Value::Count(next));
            match own.line_for(next) {
                Some((line, quantity)) => own.point(draft).fix(Fix::SetQuantity { line, quantity }),
                None => own.point(draft),
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "pack-not-multiple";

    fn packed(pack: Option<u32>) -> ModuleFacts {
        ModuleFacts {
            pack,
            ..rdimm(16, 2)
        }
    }

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
    }

    #[test]
    fn counts_modules_that_were_given_with_their_slots() {
        assert!(tarn().seat(packed(Some(2)), &["A1"]).check().breaks(ID));
        let line_and_slot = tarn()
            .seat(packed(Some(2)), &["A1"])
            .kit(packed(Some(2)), 1);
        assert!(line_and_slot.check().silent(ID));
    }

    #[test]
    fn the_next_multiple_is_offered() {
        let checked = tarn().kit(packed(Some(4)), 6).check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!(finding.severity, Severity::Warning);
        let fix = Fix::SetQuantity {
            line: 0,
            quantity: 8,
        };
        assert_eq!(finding.fixes[0].fix, fix);
    }

    #[test]
    fn a_multiple_and_an_unknown_pack_say_nothing() {
        for (pack, quantity) in [(Some(4), 8), (Some(1), 7), (None, 7)] {
            let checked = tarn().kit(packed(pack), quantity).check();
            assert!(checked.finding(ID).is_none());
        }
    }

    #[test]
    fn lines_of_one_part_count_together() {
        let two = |second| {
            let case = tarn().kit(packed(Some(4)), 3);
            case.kit(packed(Some(4)), second).check()
        };
        assert!(two(5).finding(ID).is_none());
        let checked = two(2);
        let fix = Fix::SetQuantity {
            line: 1,
            quantity: 5,
        };
        assert_eq!(checked.finding(ID).unwrap().fixes[0].fix, fix);
    }
}
