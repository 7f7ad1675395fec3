//! Modules of different product lines of a maker together.

use super::super::board::Limit;
use super::super::finding::{Fact, Severity, Value};
use super::mixing::{Aspect, Key, mixing_checks};
use super::{Check, Group, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "product-lines-mixed",
    group: Group::Mix,
    severity: Severity::Blocker,
    title: "Product lines mixed",
    doc: "A server maker may sell two lines of modules of the same organisation, one of which keeps its rate with two modules \
          on a channel. Their settings differ, and the maker does not support them together.",
    source: "common practice; the policy is the board record's",
    reads: &[Fact::ProductLine],
    message: "{ $place }: modules of the product lines { $found } are mixed. This board's maker wants one product line on { $scope }.",
    asks: "whether modules of different product lines come together",
    checks: mixing_checks!(ASPECT),
    breaks: r#"{"board": "mere", "population": [{"slot": "A1", "module": {"generation": "DDR4", "kind": "RDIMM", "product_line": "standard"}}, {"slot": "B1", "module": {"generation": "DDR4", "kind": "RDIMM", "product_line": "fast"}}]}"#,
    meets: r#"{"board": "mere", "population": [{"slot": "A1", "module": {"generation": "DDR4", "kind": "RDIMM", "product_line": "standard"}}, {"slot": "B1", "module": {"generation": "DDR4", "kind": "RDIMM", "product_line": "standard", "capacity_mib": 16384}}]}"#,
};

static ASPECT: Aspect = Aspect {
    policy: |board| board.mixing.product_lines,
    from: |_| Limit::None,
    fact: Fact::ProductLine,
    key: |module| {
        module
            .product_line
            .as_deref()
            .map_or(Key::Unknown, Key::Text)
    },
    show: |module| Value::Text(module.product_line.clone().unwrap_or_default()),
    discouraged: Severity::Warning,
};

#[cfg(test)]
mod tests {
    use crate::domain::board::policy::{Mix, MixPolicy};
    use crate::domain::finding::Severity;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module};

    fn case(mix: Mix) -> Case {
        let mut board = board(Generation::Ddr4, 1, 2, 2);
        board.mixing.product_lines = MixPolicy::everywhere(mix);
        Case::on(board)
    }

    fn of(line: Option<&str>) -> ModuleFacts {
        ModuleFacts {
            product_line: line.map(str::to_owned),
            ..module(Generation::Ddr4, Kind::Rdimm, 32, 2)
        }
    }

    #[test]
    fn refuses_two_product_lines() {
        let case = || case(Mix::Forbidden).seat(of(Some("standard")), &["A1"]);
        let mixed = case().seat(of(Some("fast")), &["B1"]).check();
        assert_eq!(mixed.severities("product-lines-mixed"), [Severity::Blocker]);
        let alike = case().seat(of(Some("standard")), &["B1"]).check();
        assert!(alike.silent("product-lines-mixed"));
    }

    #[test]
    fn an_untold_product_line_is_undecided() {
        let checked = case(Mix::Forbidden)
            .seat(of(Some("standard")), &["A1"])
            .seat(of(None), &["B1"])
            .check();
        assert!(checked.leaves_open("product-lines-mixed"));
    }
}
