//! Channels whose ranks do not interleave, though that was wished.

use super::super::board::Limit;
use super::super::finding::{Fact, Fix, Missing, Severity, Subject, Value, WishChange};
use super::super::outcome::{holds_memory, untold, ways};
use super::{ChannelView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "rank-interleave-wish",
    group: Group::Wish,
    severity: Severity::Warning,
    title: "Ranks do not interleave as wished",
    doc: "While one rank of a channel is busy another can answer, if addresses take turns between them. Address bits choose \
          among ranks, so they must be of one size and a power of two in number. Beside a spare rank only some populations \
          interleave, and ranks beyond a power of two are given up.",
    source: "published guide P1, 2.8.10.1 (ranks that interleave) and 2.8.12.1 (beside a spare rank); the populations are the board \
             record's",
    reads: &[
        Fact::Kind,
        Fact::Capacity,
        Fact::PackageRanks,
        Fact::StackHeight,
    ],
    message: "{ $channels }: the ranks of the modules here ({ $ranks }) do not interleave, as was wished.",
    asks: "whether the ranks of each channel interleave as wished",
    checks: &[Check::Channel(check)],
    breaks: r#"{"board": "tarn", "processors": ["fitted", "empty"], "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "A2", "module": "ERW-3R16-2x4"}, {"slot": "A3", "module": "ERW-3R16-2x4"}],
        "wishes": {"rank_interleave": true}}"#,
    meets: r#"{"board": "tarn", "processors": ["fitted", "empty"], "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "A2", "module": "ERW-3R16-2x4"}], "wishes": {"rank_interleave": true}}"#,
};

fn check(view: &ChannelView<'_>, hits: &mut Hits) {
    let Some(wish) = view.setup.request.wishes.rank_interleave else {
        return;
    };
    if !view.modules().any(|on| holds_memory(on.module)) {
        return;
    }
    match ways(view) {
        Some(0 | 1) => hits.broken_as(wish.severity(), |draft| {
            let ranks = view.modules().filter_map(|on| on.module.package_ranks);
            draft
                .about(Subject::RankInterleave)
                .slots(view.occupied_slots())
                .param("ranks", Value::Counts(ranks.map(u64::from).collect()))
                .fix(Fix::AdjustWish(WishChange::RankInterleave))
        }),
        Some(_) => hits.met(),
        None => hits.undecided_as(wish.severity(), &missing(view)),
    }
}

fn missing(view: &ChannelView<'_>) -> Vec<Missing> {
    let limit = view.setup.offer().map(|offer| &offer.rank_interleave);
    let open = view.board().rank_interleave == Limit::Unknown || limit == Some(&Limit::Unknown);
    let facts = view.modules().flat_map(|on| {
        let ranks = on
            .module
            .package_ranks
            .is_none()
            .then_some(Fact::PackageRanks);
        let facts = [untold(on.module), ranks];
        facts
            .into_iter()
            .flatten()
            .map(move |fact| Missing::of(on.part, fact))
    });
    let limit = open.then_some(Missing::general(Fact::BoardLimit));
    let mut missing: Vec<Missing> = facts.chain(limit).collect();
    missing.dedup();
    missing
}

#[cfg(test)]
mod tests {
    use crate::domain::board::policy::{Protection, ProtectionOffer, RankInterleave};
    use crate::domain::board::{BoardFacts, Limit};
    use crate::domain::finding::Severity;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::request::Wish;
    use crate::domain::testing::{Case, Checked, board, offer_of, rdimm};

    const ID: &str = "rank-interleave-wish";

    fn on(limit: Limit<RankInterleave>, protection: Protection) -> Case {
        let offer = ProtectionOffer {
            // Published guide P1, 2.8.12.1.
            rank_interleave: Limit::Is(vec![vec![1, 2], vec![2, 2], vec![2, 2, 1], vec![2, 2, 2]]),
            ..offer_of(Protection::RankSpare, &[])
        };
        let facts = BoardFacts {
            protections: vec![offer],
            rank_interleave: limit,
            ..board(Generation::Ddr3, 1, 2, 3)
        };
        Case::on(facts).with(|request| {
            request.protection = protection;
            request.wishes.rank_interleave = Some(Wish {
                value: (),
                must: true,
            });
        })
    }

    const EQUAL: Limit<RankInterleave> = Limit::Is(RankInterleave::EqualRanks);

    fn seated(case: Case, modules: &[ModuleFacts]) -> Checked {
        let seats = modules.iter().zip(["A1", "A2", "A3"]);
        seats
            .fold(case, |case, (module, slot)| {
                case.seat(module.clone(), &[slot])
            })
            .check()
    }

    #[test]
    fn blocks_a_channel_whose_ranks_do_not_interleave() {
        let of = |modules: &[ModuleFacts]| seated(on(EQUAL, Protection::None), modules);
        assert!(of(&[rdimm(8, 2)]).silent(ID));
        assert_eq!(of(&[rdimm(4, 1)]).severities(ID), [Severity::Blocker]);
        assert!(of(&[rdimm(8, 2), rdimm(4, 2)]).breaks(ID));
        assert!(of(&[rdimm(8, 2), rdimm(4, 1)]).breaks(ID));
        let never = seated(on(Limit::None, Protection::None), &[rdimm(8, 2)]);
        assert!(never.breaks(ID));
    }

    #[test]
    fn beside_a_spare_rank_only_some_populations_interleave_and_cost_more() {
        let of = |modules: &[ModuleFacts]| {
            let checked = seated(on(EQUAL, Protection::RankSpare), modules);
            let ways = checked.outcome.channels[0].rank_ways;
            (
                checked.breaks(ID),
                ways,
                checked.outcome.usable.map(|mib| mib.0 / 1024),
            )
        };
        let (single, dual) = (|| rdimm(4, 1), || rdimm(8, 2));
        assert_eq!(of(&[single(), single()]), (true, Some(1), Some(4)));
        assert_eq!(of(&[dual(), single()]), (false, Some(2), Some(8)));
        // One rank is the spare, one is given up.
        assert_eq!(of(&[dual(), dual()]), (false, Some(2), Some(8)));
        assert_eq!(of(&[dual(), dual(), single()]), (false, Some(4), Some(16)));
        assert_eq!(of(&[dual(), dual(), dual()]), (false, Some(4), Some(16)));
    }

    #[test]
    fn without_the_wish_no_rank_is_given_up() {
        let case = on(EQUAL, Protection::RankSpare).with(|request| {
            request.wishes.rank_interleave = None;
        });
        let checked = seated(case, &[rdimm(8, 2), rdimm(8, 2)]);
        assert_eq!(checked.outcome.usable.map(|mib| mib.0 / 1024), Some(12));
        assert_eq!(checked.outcome.channels[0].rank_ways, Some(1));
    }

    #[test]
    fn an_unknown_rank_count_or_limit_is_undecided() {
        let unknown = ModuleFacts {
            package_ranks: None,
            ..rdimm(8, 2)
        };
        assert!(seated(on(EQUAL, Protection::None), &[unknown]).leaves_open(ID));
        let open = seated(on(Limit::Unknown, Protection::None), &[rdimm(8, 2)]);
        assert!(open.leaves_open(ID));
    }
}
