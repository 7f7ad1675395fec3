//! A protection for which no group of channels is filled alike.

use super::super::board::policy::Protection;
use super::super::finding::{Fact, Fix, Severity, Subject, Value};
use super::super::units::Mib;
use super::{BoardView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "protection-leaves-nothing",
    group: Group::Protection,
    severity: Severity::Blocker,
    title: "The protection leaves no memory",
    doc: "Some firmware leaves out the memory of channels that have no partner filled alike. If no group of channels is \
          filled alike, nothing is left to start with.",
    source: "published firmware source F2: where mirroring is required, ports that make no pair are left out",
    reads: &[
        Fact::Kind,
        Fact::Capacity,
        Fact::PackageRanks,
        Fact::Width,
        Fact::PartNumber,
    ],
    message: "No group of channels is filled alike, so under { $asked } protection none of the { $installed } can be used. \
              Fill the channels of a group alike.",
    asks: "whether the protection leaves any memory",
    checks: &[Check::Board(check)],
    breaks: r#"{"board": "firth", "protection": "mirrored", "population": [
        {"slot": "A1", "module": "ERW-5R32-1x4"}, {"slot": "C1", "module": "ERW-5R32-1x4"}]}"#,
    meets: r#"{"board": "firth", "protection": "mirrored", "population": [
        {"slot": "A1", "module": "ERW-5R32-1x4"}, {"slot": "G1", "module": "ERW-5R32-1x4"}]}"#,
};

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    if !view.setup.leaves_groups_out() || view.outcome.modules == 0 {
        return;
    }
    match view.outcome.usable {
        Some(Mib(0)) => hits.broken(|draft| {
            let asked = view.request().protection;
            let installed = view.outcome.installed.unwrap_or_default();
            draft
                .about(Subject::Protection)
                .param("asked", Value::Word(asked.name()))
                .param("installed", Value::Capacity(installed))
                .fix(Fix::SetProtection(Protection::None))
        }),
        Some(_) => hits.met(),
        None => hits.undecided(&view.usable_needs()),
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::board::policy::{Identity, Protection, ProtectionOffer, UnequalGroups};
    use crate::domain::board::{Board, BoardFacts, Limit};
    use crate::domain::finding::{Severity, Verdict};
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, Checked, board, rdimm};
    use crate::domain::units::Mib;
    use crate::domain::validate::validate;

    const ID: &str = "protection-leaves-nothing";
    const DIFFER: &str = "protection-groups-differ";

    /// Pairs of channels A + B and C + D, of which unequal ones are left out.
    fn mirrored() -> Case {
        let offer = ProtectionOffer {
            protection: Protection::Mirrored,
            groups: vec![vec![1, 2], vec![3, 4]],
            identical: vec![Identity::Capacity],
            ranks_at_least: Limit::None,
            needs_x4: false,
            unequal_groups: UnequalGroups::Lost,
            rank_interleave: Limit::None,
        };
        let facts = BoardFacts {
            protections: vec![offer],
            ..board(Generation::Ddr3, 1, 4, 2)
        };
        Case::on(facts).with(|request| request.protection = Protection::Mirrored)
    }

    fn usable(checked: &Checked) -> Option<u64> {
        checked.outcome.usable.map(|usable| usable.0 / 1024)
    }

    #[test]
    fn warns_of_what_is_left_out_and_blocks_where_nothing_is_left() {
        let odd = mirrored().seat(rdimm(16, 2), &["A1", "B1", "C1"]).check();
        assert_eq!(odd.severities(DIFFER), [Severity::Warning]);
        assert!(odd.silent(ID));
        assert_eq!(usable(&odd), Some(16));
        let none = mirrored().seat(rdimm(16, 2), &["A1", "C1"]).check();
        assert_eq!(none.severities(ID), [Severity::Blocker]);
        assert_eq!(usable(&none), Some(0));
    }

    #[test]
    fn a_group_that_is_not_alike_gives_nothing() {
        let checked = mirrored()
            .seat(rdimm(16, 2), &["A1", "B1", "C1"])
            .seat(rdimm(8, 2), &["D1"])
            .check();
        assert_eq!(usable(&checked), Some(16));
        let regions: u64 = checked.outcome.regions[0]
            .iter()
            .map(|r| r.capacity.0)
            .sum();
        assert_eq!(regions, Mib::gib(16).0);
        assert_eq!(checked.outcome.peak.map(|peak| peak.0), Some(12_800));
    }

    #[test]
    fn an_unknown_capacity_leaves_it_open() {
        let unknown = ModuleFacts {
            capacity: None,
            ..rdimm(16, 2)
        };
        let checked = mirrored()
            .seat(rdimm(16, 2), &["A1"])
            .seat(unknown, &["B1"]);
        assert!(checked.check().leaves_open(ID));
    }

    #[test]
    fn a_kit_is_placed_where_the_least_is_lost() {
        // Two channels of one position each would run faster, were they not left out.
        let kit = |count| {
            let case = mirrored().kit(rdimm(16, 2), count);
            let board = Board::checked(case.board).unwrap();
            let answer = validate(&board, &case.request).unwrap();
            (
                answer.verdict,
                answer.outcome.usable.map(|mib| mib.0 / 1024),
            )
        };
        assert_eq!(kit(1), (Verdict::DoesNotFit, Some(0)));
        assert_eq!(kit(2).1, Some(16));
        assert_eq!(kit(3), (Verdict::FitsWithWarnings, Some(16)));
        assert_eq!(kit(4).1, Some(32));
        assert_eq!(kit(5), (Verdict::FitsWithWarnings, Some(32)));
        assert_eq!(kit(6).1, Some(48));
    }
}
