//! Which rules may close a search, or a branch of it, early.
//!
//! A rule of a channel *lasts* if, once broken on a channel, it stays broken whatever modules are added there. A
//! rule is *free of order* if it says the same of a channel whichever positions its modules take. A rule of the kit is *free of modules* if it says the same whatever modules
//! there are, and so needs no search. All are claims, listed here and held by a test on random boards; a rule that is not listed is
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

/// Rules of the kit that look at the board, its sockets and the protection alone.
const FREE_OF_MODULES: &[&str] = &[
    "first-socket-empty",
    "processor-models-mixed",
    "protection-not-offered",
];

/// Whether a rule that is broken on a channel stays broken when modules are added there.
pub fn lasts(id: &str) -> bool {
    LASTING.contains(&id)
}

/// Whether a rule says the same whichever positions the modules of a channel take.
pub fn is_free_of_order(id: &str) -> bool {
    FREE_OF_ORDER.contains(&id)
}

/// Whether a rule of the kit says the same whatever modules there are.
pub fn is_free_of_modules(id: &str) -> bool {
    FREE_OF_MODULES.contains(&id)
}

#[cfg(test)]
mod tests {
    use super::super::{Battery, ChannelView, Check, Matter, RULES, RuleSet, index_of};
    use super::*;
    use crate::domain::board::accept::AcceptRow;
    use crate::domain::board::policy::{Mix, MixPolicy, Protection};
    use crate::domain::board::{Board, BoardFacts, ChannelIx, Limit};
    use crate::domain::channel::Stack;
    use crate::domain::module::{Generation, Kind, ModuleFacts, Width};
    use crate::domain::request::{PartIx, Request, SocketState};
    use crate::domain::setup::Setup;
    use crate::domain::testing::{Case, accepts, board, module, offer_of, rdimm};

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
        for id in LASTING.iter().chain(FREE_OF_ORDER).chain(FREE_OF_MODULES) {
            assert!(index_of(id).is_some(), "{id}");
        }
    }

    /// Every state of two sockets of a board of two models.
    fn processors() -> Vec<Option<Vec<SocketState>>> {
        let states = [
            SocketState::Empty,
            SocketState::Fitted(None),
            SocketState::Fitted(Some(0)),
            SocketState::Fitted(Some(1)),
        ];
        let pairs = states
            .iter()
            .flat_map(|one| states.iter().map(|other| Some(vec![*one, *other])));
        std::iter::once(None).chain(pairs).collect()
    }

    /// What the rules that are free of modules say: which are broken, which are open.
    fn free(board: &Board, request: &Request, model: usize) -> (RuleSet, RuleSet) {
        let own = (0..RULES.len()).filter(|rule| is_free_of_modules(RULES[*rule].id));
        let battery = Battery::new(board, &RuleSet::of(own).complement());
        let setup = Setup::new(board, request, Some(model)).unwrap();
        let mut broken = RuleSet::none();
        battery.kit(&setup, &mut broken);
        let mut alone = RuleSet::none();
        assert_eq!(
            battery.whatever_modules(&setup, &mut alone),
            battery.ask(Matter::Kit(&setup))
        );
        assert_eq!(alone, broken);
        (broken, battery.open(Matter::Kit(&setup)))
    }

    #[test]
    fn a_rule_free_of_modules_says_the_same_of_every_kit_and_only_looks_at_kits() {
        let mut seen = RuleSet::none();
        let mut facts = board(Generation::Ddr3, 2, 2, 2);
        let mut other = facts.processors[0].clone();
        (other.id, other.name) = ("q".into(), "Q".into());
        facts.processors.push(other);
        facts.protections = vec![offer_of(Protection::Mirrored, &[&[1, 2]])];
        let modules = [rdimm(8, 1), rdimm(16, 2), rdimm(32, 4)];
        let mut kits = vec![Case::on(facts.clone())];
        for module in &modules {
            kits.push(Case::on(facts.clone()).kit(module.clone(), 1));
            kits.push(Case::on(facts.clone()).kit(module.clone(), 9));
            kits.push(Case::on(facts.clone()).installed(module.clone(), &["A1", "C1"]));
            kits.push(Case::on(facts.clone()).seat(module.clone(), &["A1", "A2", "D1"]));
        }
        let board = Board::checked(facts).unwrap();
        let protections = [
            Protection::None,
            Protection::Mirrored,
            Protection::RankSpare,
            Protection::Lockstep,
        ];
        for sockets in processors() {
            for protection in protections {
                for model in 0..2 {
                    let asked = |case: &Case| {
                        let request = Request {
                            sockets: sockets.clone(),
                            protection,
                            ..case.request.clone()
                        };
                        free(&board, &request, model)
                    };
                    let said: Vec<_> = kits.iter().map(asked).collect();
                    assert!(said.iter().all(|own| *own == said[0]), "{sockets:?}");
                    said[0].0.iter().for_each(|rule| seen.add(rule));
                }
            }
        }
        for rule in FREE_OF_MODULES.iter().filter_map(|id| index_of(id)) {
            let kit = |check: &Check| matches!(check, Check::Kit(_));
            assert!(RULES[rule].checks.iter().all(kit), "{:?}", RULES[rule]);
            assert!(seen.has(rule), "{:?} is never broken", RULES[rule]);
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
