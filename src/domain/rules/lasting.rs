//! Which rules of a channel may close a branch of a search early.
//!
//! A rule *lasts* if, once broken on a channel, it stays broken whatever modules are added there. A
//! rule is *free of order* if it says the same of a channel whichever positions its modules take.
//! Both are claims, listed here and held by a test on random boards; a rule that is not listed is
//! asked again for every stack.

/// Rules that stay broken when modules are added to the channel.
const LASTING: &[&str] = &[
    "rank-budget-exceeded",
    "too-many-of-kind",
    "channel-not-served",
    "kinds-mixed",
    "ecc-mixed",
    "stacks-mixed",
    "widths-mixed",
    "die-densities-mixed",
    "ecc-bits-mixed",
    "too-many-capacities",
    "ranks-mixed",
    "part-numbers-mixed",
    "product-lines-mixed",
    "dram-makers-mixed",
];

/// Rules that say the same whichever positions the modules of a channel take.
const FREE_OF_ORDER: &[&str] = &[
    "rank-budget-exceeded",
    "too-many-of-kind",
    "channel-not-served",
    "kinds-mixed",
    "ecc-mixed",
    "stacks-mixed",
    "widths-mixed",
    "die-densities-mixed",
    "ecc-bits-mixed",
    "too-many-capacities",
    "ranks-mixed",
    "part-numbers-mixed",
    "product-lines-mixed",
    "dram-makers-mixed",
    "protection-too-few-ranks",
];

/// Whether a rule that is broken on a channel stays broken when modules are added there.
pub fn lasts(id: &str) -> bool {
    LASTING.contains(&id)
}

/// Whether a rule says the same whichever positions the modules of a channel take.
pub fn is_free_of_order(id: &str) -> bool {
    FREE_OF_ORDER.contains(&id)
}

#[cfg(test)]
mod tests {
    use super::super::{Battery, ChannelView, RULES, RuleSet, index_of};
    use super::*;
    use crate::domain::board::accept::AcceptRow;
    use crate::domain::board::policy::{Mix, MixPolicy};
    use crate::domain::board::{Board, BoardFacts, ChannelIx, Limit};
    use crate::domain::channel::Stack;
    use crate::domain::module::{Generation, Kind, ModuleFacts, Width};
    use crate::domain::request::{PartIx, Request};
    use crate::domain::setup::Setup;
    use crate::domain::testing::{Case, accepts, board, module, rdimm};

    /// Modules that differ in everything that a channel's rules look at.
    fn parts() -> Vec<ModuleFacts> {
        let lrdimm = module(Generation::Ddr3, Kind::Lrdimm, 32, 4);
        let plain = module(Generation::Ddr3, Kind::EccUdimm, 8, 2);
        let wide = ModuleFacts {
            width: Some(Width::X8),
            part_number: Some("wide".into()),
            product_line: Some("line".into()),
            dram_maker: Some("maker".into()),
            ..rdimm(8, 2)
        };
        vec![rdimm(8, 1), rdimm(16, 2), rdimm(32, 4), lrdimm, plain, wide]
    }

    /// A board that mixes freely, one that mixes nothing, and one with every other limit.
    fn boards() -> Vec<BoardFacts> {
        let free = board(Generation::Ddr3, 1, 1, 3);
        let mut strict = free.clone();
        let never = MixPolicy {
            channel: Mix::Forbidden,
            socket: Mix::Allowed,
            board: Mix::Allowed,
        };
        let mixing = &mut strict.mixing;
        for policy in [
            &mut mixing.kinds,
            &mut mixing.ecc,
            &mut mixing.stacks,
            &mut mixing.widths,
            &mut mixing.die_densities,
            &mut mixing.ecc_bits,
            &mut mixing.ranks,
            &mut mixing.part_numbers,
            &mut mixing.product_lines,
            &mut mixing.dram_makers,
        ] {
            *policy = never;
        }
        mixing.capacities_per_channel = Limit::Is(1);
        let mut limited = free.clone();
        limited.rank_budget = Limit::Is(4);
        limited.accepts.insert(
            0,
            AcceptRow {
                ranks: Some(vec![2]),
                per_channel: Limit::Is(1),
                ..accepts(Kind::Rdimm)
            },
        );
        limited.filling[0].rank_order = true;
        vec![free, strict, limited]
    }

    /// Every stack of three positions.
    fn stacks(parts: usize) -> Vec<Stack> {
        let seats = parts + 1;
        (0..seats.pow(3))
            .map(|code| {
                let digit = |place: u32| (code / seats.pow(place)) % seats;
                Stack::of((0..3).map(|place| {
                    let part = digit(place).checked_sub(1)?;
                    Some(PartIx(part as u16))
                }))
            })
            .collect()
    }

    /// The rules that a stack breaks.
    fn broken(board: &Board, request: &Request, battery: &Battery, stack: Stack) -> RuleSet {
        let setup = Setup::new(board, request, Some(0)).unwrap();
        let mut blamed = RuleSet::none();
        let view = ChannelView {
            setup: &setup,
            socket: 1,
            channel: ChannelIx(0),
            stack,
        };
        if stack.count() > 0 {
            battery.channel(&view, &mut blamed);
        }
        blamed
    }

    fn sorted(stack: &Stack) -> Vec<PartIx> {
        let mut parts: Vec<PartIx> = stack.parts().collect();
        parts.sort_unstable();
        parts
    }

    #[test]
    fn every_listed_rule_exists() {
        for id in LASTING.iter().chain(FREE_OF_ORDER) {
            assert!(index_of(id).is_some(), "{id}");
        }
    }

    #[test]
    fn a_lasting_rule_stays_broken_whatever_is_added_and_order_does_not_matter_where_so_listed() {
        let mut seen = RuleSet::none();
        for facts in boards() {
            let mut case = Case::on(facts);
            for part in parts() {
                case.part(part);
            }
            let board = Board::checked(case.board.clone()).unwrap();
            let battery = Battery::new(&board, &RuleSet::none());
            let all: Vec<(Stack, RuleSet)> = stacks(case.request.parts.len())
                .into_iter()
                .map(|stack| (stack, broken(&board, &case.request, &battery, stack)))
                .collect();
            let holds = |big: &Stack, small: &Stack| {
                (1..=3).all(|p| small.at(p).is_none() || small.at(p) == big.at(p))
            };
            for (small, found) in &all {
                found.iter().for_each(|rule| seen.add(rule));
                for (big, more) in &all {
                    for rule in found.iter().filter(|rule| lasts(RULES[*rule].id)) {
                        assert!(!holds(big, small) || more.has(rule), "{:?}", RULES[rule]);
                    }
                    if sorted(small) == sorted(big) {
                        let free = |rule: &usize| is_free_of_order(RULES[*rule].id);
                        let own: Vec<usize> = found.iter().filter(free).collect();
                        let other: Vec<usize> = more.iter().filter(free).collect();
                        assert_eq!(own, other, "{small:?} {big:?}");
                    }
                }
            }
        }
        let unseen: Vec<&&str> = LASTING
            .iter()
            .filter(|id| !index_of(id).is_some_and(|rule| seen.has(rule)))
            .collect();
        // No module of these parts differs in ECC, stacks, dies or ECC bits; one channel is served.
        assert!(unseen.len() <= 6, "{unseen:?}");
    }
}
