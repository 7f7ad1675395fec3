//! More modules than there are in stock.

use super::super::finding::{Fix, Severity, Value};
use super::super::setup::Setup;
use super::ordered::ordered;
use super::{Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "stock-short",
    group: Group::Order,
    severity: Severity::Warning,
    title: "More than in stock",
    doc: "The kit asks for more modules of a part than its record says are in stock. The rest would come later or not at all.",
    source: "common practice",
    reads: &[],
    message: "{ $part }: { $quantity } asked for, but only { $stock } in stock.",
    asks: "whether there are enough in stock",
    checks: &[Check::Kit(check)],
    breaks: r#"{"board": "tarn", "kit": [{"quantity": 8, "module": {"name": "rare", "generation": "DDR3", "kind": "RDIMM",
        "capacity_mib": 8192, "package_ranks": 2, "stack_height": 1, "width": "x4", "rate_mts": 1600,
        "supply_mv": [1350, 1500], "stock": 6}}]}"#,
    meets: r#"{"board": "tarn", "kit": [{"quantity": 4, "module": {"name": "rare", "generation": "DDR3", "kind": "RDIMM",
        "capacity_mib": 8192, "package_ranks": 2, "stack_height": 1, "width": "x4", "rate_mts": 1600,
        "supply_mv": [1350, 1500], "stock": 6}}]}"#,
};

fn check(setup: &Setup<'_>, hits: &mut Hits) {
    for own in ordered(setup.request) {
        let Some(module) = setup.request.part(own.part) else {
            continue;
        };
        let Some(stock) = module.stock else { continue };
        if own.quantity <= u64::from(stock) {
            hits.met();
            continue;
        }
        hits.broken(|draft| {
            let draft = draft
                .param("part", Value::Part(own.part))
                .param("quantity", Value::Count(own.quantity))
                .param("stock", Value::Count(u64::from(stock)));
            let pack = module.pack.unwrap_or(1).max(1);
            match own.line_for(u64::from(stock / pack * pack)) {
                Some((line, quantity)) if quantity > 0 => {
                    own.point(draft).fix(Fix::SetQuantity { line, quantity })
                }
                _ => own.point(draft),
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, Checked, board, rdimm};

    const ID: &str = "stock-short";

    fn kit(stock: Option<u32>, pack: Option<u32>, quantities: &[u32]) -> Checked {
        let facts = ModuleFacts {
            stock,
            pack,
            ..rdimm(16, 2)
        };
        let case = Case::on(board(Generation::Ddr3, 2, 4, 3));
        let fill = |case: Case, quantity: &u32| case.kit(facts.clone(), *quantity);
        quantities.iter().fold(case, fill).check()
    }

    #[test]
    fn counts_modules_that_were_given_with_their_slots() {
        let few = ModuleFacts {
            stock: Some(1),
            ..rdimm(16, 2)
        };
        let given = |slots| Case::on(board(Generation::Ddr3, 2, 4, 3)).seat(few.clone(), slots);
        assert!(given(&["A1", "B1"]).check().breaks(ID));
        assert!(given(&["A1"]).check().silent(ID));
    }

    #[test]
    fn what_is_in_stock_is_offered_in_whole_packs() {
        for (pack, offered) in [(None, 7), (Some(2), 6), (Some(4), 4)] {
            let checked = kit(Some(7), pack, &[8]);
            let fix = Fix::SetQuantity {
                line: 0,
                quantity: offered,
            };
            assert_eq!(checked.finding(ID).unwrap().fixes[0].fix, fix);
        }
    }

    #[test]
    fn enough_and_an_unknown_stock_say_nothing() {
        assert!(kit(Some(8), None, &[8]).finding(ID).is_none());
        assert!(kit(None, None, &[800]).finding(ID).is_none());
    }

    #[test]
    fn lines_of_one_part_count_together() {
        let checked = kit(Some(8), None, &[5, 5]);
        let fix = Fix::SetQuantity {
            line: 1,
            quantity: 3,
        };
        assert_eq!(checked.finding(ID).unwrap().fixes[0].fix, fix);
        // With no module left on the last line there is no quantity to offer.
        assert!(
            kit(Some(0), None, &[5])
                .finding(ID)
                .unwrap()
                .fixes
                .is_empty()
        );
    }
}
