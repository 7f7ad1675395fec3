//! The data rate can't be told.

use super::super::finding::{Fact, Fix, Severity, Value};
use super::{BoardView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "rate-unknown",
    group: Group::Rate,
    severity: Severity::Note,
    title: "The rate can't be told yet",
    doc: "The rate follows from each module's rating, the processor's limit and the board's row for the population at the \
          voltage that is set. While one of them is missing no rate is named, rather than a guess. A population that \
          the board does not list at all, or modules without a common voltage, are told by their own rules.",
    source: "common practice",
    reads: &[
        Fact::Rate,
        Fact::Kind,
        Fact::PackageRanks,
        Fact::StackHeight,
        Fact::Supply,
        Fact::Firmware,
        Fact::ProcessorModel,
        Fact::BoardLimit,
        Fact::RateRow,
    ],
    message: "How fast the memory will run can't be told yet: { $count ->\n    [1] one fact is\n   *[other] { $count } facts are\n} missing.",
    asks: "whether the rate of the memory is known",
    checks: &[Check::Board(check)],
    breaks: r#"{"board": "tarn", "population": [{"slot": "A1", "module": {"generation": "DDR3", "kind": "RDIMM",
        "capacity_mib": 8192, "package_ranks": 2, "stack_height": 1, "width": "x4", "supply_mv": [1350, 1500]}}]}"#,
    meets: r#"{"board": "tarn", "processors": ["tarn-8", "tarn-8"],
        "population": [{"slot": "A1", "module": "ERW-3R16-2x4"}]}"#,
};

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    let outcome = view.outcome;
    if outcome.rate.is_some() {
        return hits.met();
    }
    if outcome.rate_missing.is_empty() {
        return;
    }
    hits.broken(|draft| {
        let count = outcome.rate_missing.len() as u64;
        let draft = draft.param("count", Value::Count(count));
        outcome.rate_missing.iter().fold(draft, |draft, missing| {
            let draft = draft.fix(Fix::Tell(*missing));
            match missing.part {
                Some(part) => draft.part(part),
                None => draft,
            }
        })
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::rates::Unlisted;
    use crate::domain::finding::Missing;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::request::PartIx;
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "rate-unknown";

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
    }

    #[test]
    fn names_the_facts_that_are_missing() {
        let unknown = ModuleFacts {
            rate: None,
            ..rdimm(8, 2)
        };
        let checked = tarn()
            .seat(rdimm(8, 2), &["A1"])
            .seat(unknown, &["B1"])
            .check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!(finding.severity, Severity::Note);
        let tell = Fix::Tell(Missing::of(PartIx(1), Fact::Rate));
        assert_eq!(finding.fixes.len(), 1);
        assert_eq!(finding.fixes[0].fix, tell);
    }

    #[test]
    fn a_known_rate_and_an_empty_board_say_nothing() {
        assert!(
            tarn()
                .seat(rdimm(8, 2), &["A1"])
                .check()
                .finding(ID)
                .is_none()
        );
        assert!(tarn().check().finding(ID).is_none());
    }

    #[test]
    fn a_population_that_is_not_listed_is_another_rules_matter() {
        let mut case = tarn().seat(rdimm(8, 2), &["A1", "A2"]);
        case.board.rates.truncate(1);
        assert!(case.check().finding(ID).is_none());
        case.board.unlisted_rate = Unlisted::Unknown;
        let checked = case.check();
        let tell = Fix::Tell(Missing::general(Fact::RateRow));
        assert_eq!(checked.finding(ID).unwrap().fixes[0].fix, tell);
    }
}
