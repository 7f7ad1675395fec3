//! A protection under which no memory of a processor can be used, since no group of channels is filled
//! alike.

use super::super::board::policy::Protection;
use super::super::finding::{Fact, Fix, Missing, Severity, Subject, Value};
use super::super::outcome::holds_memory;
use super::super::units::Mib;
use super::joined::Joined;
use super::{BoardView, Check, Group, Hits, Rule, SocketView, index_of};

/// The rule.
pub static RULE: Rule = Rule {
    id: "protection-leaves-nothing",
    group: Group::Protection,
    severity: Severity::Blocker,
    title: "The protection leaves no memory",
    doc: "Some firmware leaves out the memory of channels that have no partner filled alike. If no group of channels of a \
          processor is filled alike with modules that give memory, it has none left. Where others may have some, this weighs \
          as much as a processor without memory does on the board.",
    source: "published firmware source F2: where mirroring is required, ports that make no pair are left out",
    reads: &[
        Fact::Kind,
        Fact::Capacity,
        Fact::PackageRanks,
        Fact::Width,
        Fact::PartNumber,
        Fact::ProcessorModel,
    ],
    message: "{ $sockets }: under { $asked } protection none of the { $installed } can be used, since no group of channels that work \
              is filled alike with modules that give memory.",
    asks: "whether the protection leaves any memory",
    checks: &[Check::Board(check)],
    breaks: r#"{"board": "firth", "processors": ["fitted", "empty"], "protection": "mirrored", "population": [
        {"slot": "A1", "module": "ERW-5R32-1x4"}, {"slot": "C1", "module": "ERW-5R32-1x4"}]}"#,
    meets: r#"{"board": "firth", "processors": ["fitted", "empty"], "protection": "mirrored", "population": [
        {"slot": "A1", "module": "ERW-5R32-1x4"}, {"slot": "G1", "module": "ERW-5R32-1x4"}]}"#,
};

/// What is left of the memory of a socket.
enum Left {
    Some,
    Perhaps(Vec<Missing>),
    Nothing,
}

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    let sockets = view.sockets().filter(|socket| socket.is_fitted());
    let sockets = sockets.filter(|socket| socket.modules().any(|on| holds_memory(on.module)));
    let mut told: Vec<(SocketView<'_>, Left)> = Vec::new();
    for socket in sockets {
        let Some(left) = left(&socket) else { return };
        told.push((socket, left));
    }
    let any = |is: fn(&Left) -> bool| told.iter().any(|(_, left)| is(left));
    let some = any(|left| matches!(left, Left::Some));
    let perhaps = any(|left| matches!(left, Left::Perhaps(_)));
    let without = index_of("socket-without-memory");
    let beside = without.and_then(|rule| view.board().severity_override(rule));
    let severity = |counts: bool| beside.filter(|_| counts).unwrap_or(hits.severity());
    // Unless another surely has memory, one that may have none leaves open whether there is any.
    let (open, none) = (severity(some), severity(some || perhaps));
    for (socket, left) in &told {
        match left {
            Left::Some => hits.met(),
            Left::Perhaps(missing) => hits.undecided_as(open, missing),
            Left::Nothing => hits.broken_as(none, |draft| {
                let asked = view.request().protection;
                let own = socket.modules().filter_map(|on| on.module.main_memory());
                let installed = Mib(own.map(|mib| mib.0).sum());
                draft
                    .about(Subject::Protection)
                    .socket(socket.socket)
                    .param("asked", Value::Word(asked.name()))
                    .param("installed", Value::Capacity(installed))
                    .fix(Fix::SetProtection(Protection::None))
            }),
        }
    }
}

/// What is left of a socket's memory; nothing to say where no channels are joined, or where the
/// protection is refused for channels that differ.
fn left(view: &SocketView<'_>) -> Option<Left> {
    let offer = view
        .setup
        .offer()
        .filter(|offer| !offer.groups.is_empty())?;
    let mut missing: Vec<Missing> = Vec::new();
    for group in &offer.groups {
        let own = Joined::of(view, group);
        let alike = own.alike(offer);
        if alike != Some(true) && !own.is_empty() && !view.setup.leaves_groups_out() {
            return None;
        }
        if !own.holds_memory() {
            continue;
        }
        match (alike, own.works()) {
            (Some(true), Some(true)) => return Some(Left::Some),
            (Some(false), _) | (_, Some(false)) => {}
            (alike, works) => {
                if alike.is_none() {
                    missing.extend(own.untold(offer));
                }
                if works.is_none() {
                    missing.push(Missing::general(Fact::ProcessorModel));
                }
            }
        }
    }
    Some(if missing.is_empty() {
        Left::Nothing
    } else {
        Left::Perhaps(missing)
    })
}

#[cfg(test)]
mod tests {
    use crate::domain::board::policy::{Identity, Protection, ProtectionOffer, UnequalGroups};
    use crate::domain::board::{Board, BoardFacts};
    use crate::domain::finding::{Fact, Severity, State, Verdict};
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, Checked, board, offer_of, rdimm};
    use crate::domain::units::Mib;
    use crate::domain::validate::validate;

    const ID: &str = "protection-leaves-nothing";
    const DIFFER: &str = "protection-groups-differ";

    /// Pairs of channels A + B and C + D, of which unequal ones are left out.
    fn mirrored() -> Case {
        let offer = ProtectionOffer {
            identical: vec![Identity::Capacity],
            unequal_groups: UnequalGroups::Lost,
            ..offer_of(Protection::Mirrored, &[&[1, 2], &[3, 4]])
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
        let with = || {
            mirrored()
                .seat(rdimm(16, 2), &["A1"])
                .seat(unknown.clone(), &["B1"])
        };
        let checked = with().check();
        assert!(checked.leaves_open(ID));
        let finding = checked.findings.iter().find(|f| f.rule.id == ID).unwrap();
        let State::Undecided(missing) = &finding.state else {
            panic!("{finding:?}");
        };
        assert_eq!(
            missing.iter().map(|m| m.fact).collect::<Vec<_>>(),
            [Fact::Capacity]
        );
        // Another group surely works.
        let other = with().seat(rdimm(16, 2), &["C1", "D1"]);
        assert!(other.check().silent(ID));
    }

    #[test]
    fn a_fact_that_only_tells_whether_channels_are_alike_keeps_the_usable_memory_open() {
        let unnamed = ModuleFacts {
            part_number: None,
            ..rdimm(16, 1)
        };
        let mut case = mirrored();
        case.board.protections[0].identical = vec![Identity::PartNumber];
        let checked = case
            .seat(rdimm(16, 2), &["A1"])
            .seat(unnamed, &["B1"])
            .check();
        assert_eq!(checked.outcome.usable, None);
        let missing = checked.outcome.missing.iter().map(|m| m.fact);
        assert!(missing.clone().any(|fact| fact == Fact::PartNumber));
        assert!(checked.leaves_open(ID));
    }

    #[test]
    fn a_processor_whose_memory_is_all_left_out_is_one_without_memory() {
        let mut case = mirrored();
        case.board = BoardFacts {
            protections: case.board.protections.clone(),
            ..board(Generation::Ddr3, 2, 4, 2)
        };
        let seated = |case: Case| case.seat(rdimm(16, 2), &["A1", "B1", "E1"]).check();
        let checked = seated(case);
        assert_eq!(checked.severities(ID), [Severity::Blocker]);
        assert_eq!(checked.finding(ID).unwrap().sockets, [2]);
    }

    #[test]
    fn a_board_that_only_warns_of_unequal_groups_loses_their_memory_all_the_same() {
        let mut case = mirrored();
        case.board.severities = vec![(DIFFER.into(), Severity::Warning)];
        case.board.protections[0].groups = vec![vec![1, 2]];
        case.board = BoardFacts {
            protections: case.board.protections.clone(),
            severities: case.board.severities.clone(),
            ..board(Generation::Ddr3, 1, 2, 2)
        };
        let case = case.kit(rdimm(16, 2), 3).kit(rdimm(8, 2), 1);
        let board = Board::checked(case.board).unwrap();
        let answer = validate(&board, &case.request).unwrap();
        assert_eq!(answer.verdict, Verdict::DoesNotFit);
        assert_eq!(answer.outcome.usable, Some(Mib(0)));
    }

    #[test]
    fn a_kit_with_a_fact_missing_is_as_undecided_as_its_population() {
        let unnamed = ModuleFacts {
            part_number: None,
            ..rdimm(16, 1)
        };
        let mut case = mirrored();
        case.board.protections[0].identical = vec![Identity::PartNumber];
        let case = case.kit(rdimm(16, 2), 1).kit(unnamed, 1);
        let board = Board::checked(case.board).unwrap();
        let answer = validate(&board, &case.request).unwrap();
        assert_eq!(answer.verdict, Verdict::Undecided);
        assert_eq!(answer.outcome.usable, None);
    }

    #[test]
    fn a_partner_that_gives_no_memory_leaves_nothing() {
        for unequal_groups in [UnequalGroups::Lost, UnequalGroups::Refused] {
            let mut case = mirrored();
            case.board.protections[0].unequal_groups = unequal_groups;
            let off = ModuleFacts {
                switched_off: true,
                ..rdimm(16, 2)
            };
            let checked = case.seat(rdimm(16, 2), &["A1"]).seat(off, &["B1"]).check();
            assert_eq!(usable(&checked), Some(0));
            assert!(checked.breaks(ID), "{unequal_groups:?}");
        }
    }

    #[test]
    fn a_kit_loses_no_memory_for_the_sake_of_its_rate() {
        use crate::domain::board::rates::RankMatch;
        use crate::domain::module::Kind;
        use crate::domain::testing::rate;
        let mut case = mirrored();
        let mixed = |modules, ranks: &[u8], mts| crate::domain::board::rates::RateRow {
            ranks: RankMatch::Exactly(ranks.to_vec()),
            ..rate(&[Kind::Rdimm], modules, mts)
        };
        case.board.rates = vec![
            mixed(2, &[1, 1], 1600),
            mixed(2, &[2, 2], 1600),
            mixed(2, &[1, 2], 1333),
            rate(&[Kind::Rdimm], 1, 1600),
        ];
        case.board.protections[0].groups = vec![vec![1, 2]];
        case.board = BoardFacts {
            protections: case.board.protections.clone(),
            rates: case.board.rates.clone(),
            ..board(Generation::Ddr3, 1, 2, 2)
        };
        // Each kind on a channel of its own would run at 1600, and all of it would be left out.
        let case = case.kit(rdimm(16, 1), 2).kit(rdimm(8, 2), 2);
        let board = Board::checked(case.board).unwrap();
        let answer = validate(&board, &case.request).unwrap();
        assert_eq!(answer.outcome.usable, Some(Mib::gib(24)));
        assert_eq!(answer.outcome.rate.map(|rate| rate.0), Some(1333));
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
