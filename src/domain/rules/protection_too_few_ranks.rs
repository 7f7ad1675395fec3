//! Too few ranks on a channel for the protection.

use super::super::board::Limit;
use super::super::board::policy::Protection;
use super::super::finding::{Fact, Fix, Missing, Severity, Subject, Value};
use super::super::module::{Kind, Module};
use super::super::outcome::holds_memory;
use super::{ChannelView, Check, Draft, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "protection-too-few-ranks",
    group: Group::Protection,
    severity: Severity::Blocker,
    title: "Too few ranks for the protection",
    doc: "A spare rank stands in for a failing one on the same channel, so a channel needs at least two ranks: the spare and \
          one that it can replace. A lone module of one rank can't be spared. Boards may ask for more.",
    source: "published firmware source F1: sparing takes two chip selects of a channel",
    reads: &[Fact::Kind, Fact::PackageRanks, Fact::StackHeight],
    message: "{ $channels }: { $asked } protection needs at least { $needed } ranks on every channel that holds memory, but the modules here count { $found }. \
              Add a module, or choose one with more ranks.",
    asks: "whether every channel has the ranks that the protection needs",
    checks: &[Check::Channel(check)],
    breaks: r#"{"board": "tarn", "processors": ["fitted", "empty"], "protection": "rank_spare", "population": [{"slot": "A1", "module":
        {"generation": "DDR3", "kind": "RDIMM", "capacity_mib": 8192, "package_ranks": 1, "stack_height": 1, "width": "x4",
         "die_gbit": 4, "rate_mts": 1600, "supply_mv": [1350, 1500]}}]}"#,
    meets: r#"{"board": "tarn", "processors": ["fitted", "empty"], "protection": "rank_spare", "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4"}]}"#,
};

fn check(view: &ChannelView<'_>, hits: &mut Hits) {
    let Some(offer) = view.setup.offer() else {
        return;
    };
    // The spare and a rank that it can replace.
    let sparing = match offer.protection {
        Protection::RankSpare => 2,
        Protection::None | Protection::Mirrored | Protection::Lockstep => 0,
    };
    let needed = match offer.ranks_at_least {
        Limit::Is(ranks) => u16::from(ranks).max(sparing),
        Limit::None | Limit::Unknown => sparing,
    };
    // Ranks that hold no memory can't be spared, and stand in for none.
    let holding = || view.modules().filter(|on| holds_memory(on.module));
    if holding().next().is_none() {
        return;
    }
    let counted = || holding().map(|on| ranks(on.module));
    let found: u16 = counted().map(|(ranks, _)| ranks).sum();
    let exact = counted().all(|(_, missing)| missing.is_none());
    let limit_known = offer.ranks_at_least != Limit::Unknown;
    if found < needed && exact {
        hits.broken(|draft| tell(view, offer.protection, needed, found, draft));
    } else if found < needed || !limit_known {
        let open = holding().filter_map(|on| {
            let (_, fact) = ranks(on.module);
            Some(Missing::of(on.part, fact?))
        });
        let limit = (!limit_known).then_some(Missing::general(Fact::BoardLimit));
        hits.undecided(&open.chain(limit).collect::<Vec<_>>());
    } else if needed > 0 {
        hits.met();
    }
}

/// Ranks that can be spared, at least, and the fact that keeps the count from being exact. The
/// buffer of an LRDIMM shows package ranks, other modules logical ones.
fn ranks(module: &Module) -> (u16, Option<Fact>) {
    let Some(package) = module.package_ranks else {
        return (1, Some(Fact::PackageRanks));
    };
    let package = u16::from(package);
    match (module.kind, module.stack_height) {
        (Some(Kind::Lrdimm), _) | (_, Some(1)) => (package, None),
        (None, Some(_)) => (package, Some(Fact::Kind)),
        (Some(_), Some(height)) => (package * u16::from(height), None),
        (_, None) => (package, Some(Fact::StackHeight)),
    }
}

fn tell(view: &ChannelView<'_>, asked: Protection, needed: u16, found: u16, draft: Draft) -> Draft {
    let draft = draft
        .about(Subject::Protection)
        .param("asked", Value::Word(asked.name()))
        .param("needed", Value::Count(u64::from(needed)))
        .param("found", Value::Count(u64::from(found)))
        .slots(view.occupied_slots());
    // A module that sits alone on its channel must bring all the ranks itself.
    let lone = view.modules().next().filter(|_| view.stack.count() == 1);
    let other = lone.map(|on| Fix::ChooseOther {
        part: on.part,
        needs: vec![(Fact::PackageRanks, Value::Count(u64::from(needed)))],
    });
    other
        .into_iter()
        .chain([Fix::SetProtection(Protection::None)])
        .fold(draft, Draft::fix)
}

#[cfg(test)]
mod tests {
    use crate::domain::board::policy::{Protection, ProtectionOffer};
    use crate::domain::board::{BoardFacts, Limit};
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module, offer_of, rdimm};
    use crate::domain::units::Mib;

    const ID: &str = "protection-too-few-ranks";

    fn sparing(ranks_at_least: Limit<u8>) -> Case {
        let offer = ProtectionOffer {
            ranks_at_least,
            ..offer_of(Protection::RankSpare, &[])
        };
        let facts = BoardFacts {
            protections: vec![offer],
            ..board(Generation::Ddr3, 1, 4, 3)
        };
        Case::on(facts).with(|request| request.protection = Protection::RankSpare)
    }

    fn unknown() -> ModuleFacts {
        ModuleFacts {
            package_ranks: None,
            ..rdimm(8, 1)
        }
    }

    #[test]
    fn refuses_a_lone_rank_and_spares_the_largest_of_two() {
        // Published firmware source F1: a lone single-rank module can't be spared; two dual-rank modules of
        // 8 GiB give 12 of 16 GiB, and 16 GiB dual-rank with 4 GiB single-rank give 12 of 20 GiB.
        assert!(
            sparing(Limit::None)
                .seat(rdimm(8, 1), &["A1"])
                .check()
                .breaks(ID)
        );
        let pair = sparing(Limit::None)
            .seat(rdimm(8, 2), &["A1", "A2"])
            .check();
        assert!(pair.silent(ID));
        assert_eq!(pair.outcome.usable, Some(Mib::gib(12)));
        let mixed = sparing(Limit::None)
            .seat(rdimm(16, 2), &["A1"])
            .seat(rdimm(4, 1), &["A2"]);
        assert_eq!(mixed.check().outcome.usable, Some(Mib::gib(12)));
    }

    #[test]
    fn counts_stacked_ranks_but_not_those_behind_a_buffer() {
        let stacked = |kind| ModuleFacts {
            stack_height: Some(2),
            ..module(Generation::Ddr3, kind, 16, 1)
        };
        let lone = |kind| {
            sparing(Limit::None)
                .seat(stacked(kind), &["A1"])
                .check()
                .breaks(ID)
        };
        assert!(!lone(Kind::Rdimm) && lone(Kind::Lrdimm));
    }

    #[test]
    fn a_board_may_ask_for_more_ranks() {
        assert!(
            sparing(Limit::Is(4))
                .seat(rdimm(16, 2), &["A1"])
                .check()
                .breaks(ID)
        );
        assert!(
            sparing(Limit::Is(4))
                .seat(rdimm(16, 2), &["A1", "A2"])
                .check()
                .silent(ID)
        );
        assert!(
            sparing(Limit::Unknown)
                .seat(rdimm(16, 2), &["A1"])
                .check()
                .leaves_open(ID)
        );
    }

    #[test]
    fn an_unknown_rank_count_is_undecided_until_it_is_enough() {
        assert!(
            sparing(Limit::None)
                .seat(unknown(), &["A1"])
                .check()
                .leaves_open(ID)
        );
        assert!(
            sparing(Limit::None)
                .seat(unknown(), &["A1", "A2"])
                .check()
                .silent(ID)
        );
    }
}
