//! Modules of different part numbers together.

use super::super::board::Limit;
use super::super::finding::{Fact, Severity, Value};
use super::mixing::{Aspect, Key, mixing_checks};
use super::{Check, Group, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "part-numbers-mixed",
    group: Group::Mix,
    severity: Severity::Blocker,
    title: "Part numbers mixed",
    doc: "Modules of one part number behave alike, so start-up training and a later search for a fault are simpler. Most \
          makers only advise it, and a mix is advice here; a maker who requires identical modules makes it a blocker.",
    source: "Trusted Firmware-A, NXP ddr.c requires identical modules; otherwise common practice",
    reads: &[Fact::PartNumber],
    message: "{ $place }: different part numbers are mixed ({ $found }). This board's maker wants one part number on { $scope }.",
    asks: "whether modules of different part numbers come together",
    checks: mixing_checks!(ASPECT),
    breaks: r#"{"board": "mere", "population": [{"slot": "A1", "module": "ERW-4R32-2x4"}, {"slot": "B1", "module": "ERW-4R32-2x4-BW"}]}"#,
    meets: r#"{"board": "mere", "population": [{"slot": "A1", "module": "ERW-4R32-2x4"}, {"slot": "B1", "module": "ERW-4R32-2x4"}]}"#,
};

static ASPECT: Aspect = Aspect {
    policy: |board| board.mixing.part_numbers,
    from: |_| Limit::None,
    fact: Fact::PartNumber,
    key: |module| {
        module
            .part_number
            .as_deref()
            .map_or(Key::Unknown, Key::Text)
    },
    show: |module| Value::Text(module.part_number.clone().unwrap_or_default()),
    discouraged: Severity::Advice,
};

#[cfg(test)]
mod tests {
    use crate::domain::board::policy::{Mix, MixPolicy};
    use crate::domain::finding::Severity;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module};

    fn case(mix: Mix) -> Case {
        let mut board = board(Generation::Ddr4, 1, 2, 2);
        board.mixing.part_numbers = MixPolicy::everywhere(mix);
        Case::on(board)
    }

    fn of(part_number: Option<&str>) -> ModuleFacts {
        ModuleFacts {
            part_number: part_number.map(str::to_owned),
            ..module(Generation::Ddr4, Kind::Rdimm, 32, 2)
        }
    }

    #[test]
    fn advises_one_part_number_and_requires_it_where_the_maker_does() {
        let case = |mix| case(mix).seat(of(Some("P")), &["A1"]);
        let advised = case(Mix::Discouraged).seat(of(Some("Q")), &["B1"]).check();
        assert_eq!(advised.severities("part-numbers-mixed"), [Severity::Advice]);
        let required = case(Mix::Forbidden).seat(of(Some("Q")), &["B1"]).check();
        assert_eq!(
            required.severities("part-numbers-mixed"),
            [Severity::Blocker]
        );
        let alike = case(Mix::Forbidden).seat(of(Some("P")), &["B1"]).check();
        assert!(alike.silent("part-numbers-mixed"));
    }

    #[test]
    fn an_untold_part_number_leaves_the_verdict_alone_where_it_is_only_advice() {
        let case = |mix| {
            case(mix)
                .seat(of(Some("P")), &["A1"])
                .seat(of(None), &["B1"])
        };
        let advised = case(Mix::Discouraged).check();
        assert!(advised.leaves_open("part-numbers-mixed"));
        let finding = advised.finding("part-numbers-mixed").expect("a finding");
        assert_eq!(finding.severity, Severity::Advice);
        let required = case(Mix::Forbidden).check();
        assert!(required.leaves_open("part-numbers-mixed"));
    }
}
